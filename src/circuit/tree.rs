//! How does the circuit branch? Its feed side as a tree to be drawn: what is live in a state, and what flows where.

use std::collections::VecDeque;

use crate::circuit::harness::{Harness, HarnessSwitch, NodeIx};
use crate::circuit::network::{NetworkError, holds, solve};
use crate::ids::Condition;
use crate::units::Amps;

/// A branching or an end of the tree, in the order in which it is drawn: each behind the one it hangs from.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// What it hangs from. `None`: the fuse.
    pub from: Option<usize>,
    /// How many branchings lie between it and the fuse.
    pub depth: usize,
    /// Words for people.
    pub label: String,
    /// What is there.
    pub kind: BranchKind,
    /// Whether there is voltage here in this state.
    pub live: bool,
    /// What flows through here in this state.
    pub current: Amps,
}

/// What a branch of the tree is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BranchKind {
    /// Wires meet or can be unplugged.
    Joint,
    /// A switch or a relay's contact.
    Switch {
        /// Whether it is closed in this state.
        closed: bool,
    },
    /// Something that the fuse feeds.
    Load,
}

/// The tree of a harness in a state. What several ways lead to hangs from the one with the fewest wires.
///
/// # Errors
/// As [`solve`].
pub fn tree(harness: &Harness, state: &[Condition]) -> Result<Vec<Branch>, NetworkError> {
    let solved = solve(harness, state)?;
    let mut found = Growing { harness, ways: ways(harness), branches: Vec::new() };
    found.grow();
    let mut branches = found.branches;
    for branch in &mut branches {
        branch.1.live = solved.is_live(branch.0);
        if let BranchKind::Switch { closed } = &mut branch.1.kind {
            *closed = branch.2.is_some_and(|switch| holds(&harness.switches[switch].closed_when, state));
        }
        if let (BranchKind::Load, Some(load)) = (branch.1.kind, branch.2) {
            let load = &harness.loads[load];
            if holds(&load.live_when, state) {
                branch.1.current = Amps((solved.load_volts(load).0 / load.ohms.0).abs());
            }
        }
    }
    // What flows into a branching is what flows into all that hangs from it. Ends stand behind what they hang from.
    for index in (0..branches.len()).rev() {
        if let Some(from) = branches[index].1.from {
            branches[from].1.current = branches[from].1.current + branches[index].1.current;
        }
    }
    Ok(branches.into_iter().map(|(_, branch, _)| branch).collect())
}

/// The way from the fuse to each node with the fewest wires: the node before it, and the switch in between.
type Ways = Vec<Vec<(NodeIx, Option<usize>)>>;

fn ways(harness: &Harness) -> Ways {
    let mut beside: Ways = vec![Vec::new(); harness.nodes.len()];
    let runs = harness.runs.iter().map(|run| (run.from, run.to, None));
    let switches = harness.switches.iter().enumerate().map(|(index, switch)| (switch.from, switch.to, Some(index)));
    for (one, other, switch) in runs.chain(switches) {
        beside[one.0].push((other, switch));
        beside[other.0].push((one, switch));
    }
    let mut children: Ways = vec![Vec::new(); harness.nodes.len()];
    let mut seen = vec![false; harness.nodes.len()];
    seen[NodeIx::GROUND.0] = true;
    seen[NodeIx::FUSE.0] = true;
    let mut queue = VecDeque::from([NodeIx::FUSE]);
    while let Some(node) = queue.pop_front() {
        for (next, switch) in &beside[node.0] {
            if !seen[next.0] {
                seen[next.0] = true;
                children[node.0].push((*next, *switch));
                queue.push_back(*next);
            }
        }
    }
    children
}

/// A switch by what closes it: that is what people know of it.
fn switch_label(switch: &HarnessSwitch) -> String {
    let conditions: Vec<String> = switch.closed_when.iter().map(|name| name.as_str().replace('_', " ")).collect();
    if conditions.is_empty() { format!("switch {}", switch.id) } else { format!("with {}", conditions.join(" and ")) }
}

struct Growing<'a> {
    harness: &'a Harness,
    ways: Ways,
    /// With the node, and the index of the load or switch.
    branches: Vec<(NodeIx, Branch, Option<usize>)>,
}

impl Growing<'_> {
    /// Adds all that hangs from the fuse. Not by recursion: a file may hold a long chain. Plain stretches are no
    /// branchings.
    fn grow(&mut self) {
        let mut waiting = vec![(NodeIx::FUSE, None, None, 0)];
        while let Some((node, switch, mut from, mut depth)) = waiting.pop() {
            if let Some(switch) = switch {
                let kind = BranchKind::Switch { closed: false };
                let label = switch_label(&self.harness.switches[switch]);
                (from, depth) = (Some(self.add(node, from, depth, label, kind, Some(switch))), depth + 1);
            }
            let loads = self.harness.loads.iter().enumerate().filter(|(_, load)| load.feed == node);
            let loads: Vec<(usize, String)> = loads.map(|(index, load)| (index, load.label.clone())).collect();
            let children = std::mem::take(&mut self.ways[node.0]);
            if children.len() + loads.len() > 1 && node != NodeIx::FUSE {
                let label = self.harness.nodes[node.0].label.clone();
                (from, depth) = (Some(self.add(node, from, depth, label, BranchKind::Joint, None)), depth + 1);
            }
            for (index, label) in loads {
                self.add(node, from, depth, label, BranchKind::Load, Some(index));
            }
            waiting.extend(children.into_iter().rev().map(|(child, switch)| (child, switch, from, depth)));
        }
    }

    fn add(
        &mut self,
        node: NodeIx,
        from: Option<usize>,
        depth: usize,
        label: String,
        kind: BranchKind,
        which: Option<usize>,
    ) -> usize {
        let branch = Branch { from, depth, label, kind, live: false, current: Amps(0.0) };
        self.branches.push((node, branch, which));
        self.branches.len() - 1
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use expect_test::expect;

    use super::*;
    use crate::circuit::check;
    use crate::circuit::expand::expand;
    use crate::vehicle::body::map_for;

    /// The tree as a reader sees it: indented, the current behind, `-` where it is dead.
    fn drawn(state: &[&str]) -> String {
        let text = r#"{ "format": "loomwalk/circuit", "version": 1, "vehicle": { "body": "panel_van" },
            "fuse": { "rating_a": 10 },
            "joints": [{ "id": "s1", "label": "sill splice" }, { "id": "c1", "label": "behind the switch" }],
            "runs": [{ "id": "r1", "from": "fuse", "to": "s1", "length_m": 2.0, "area_mm2": 1.0 },
                     { "id": "r2", "from": "s1", "to": "a.feed", "length_m": 2.0, "area_mm2": 1.0 },
                     { "id": "r3", "from": "c1", "to": "b.feed", "length_m": 2.0, "area_mm2": 1.0 }],
            "switches": [{ "id": "sw1", "from": "s1", "to": "c1", "closed_when": ["reverse"] }],
            "loads": [{ "id": "a", "label": "Lamp", "kind": "filament_lamp", "ohms": 12, "return": "ground" },
                      { "id": "b", "label": "Reversing lamp", "kind": "filament_lamp", "ohms": 6, "return": "ground" }] }"#;
        let file = check::read(text.as_bytes()).unwrap();
        let harness = expand(&file, &map_for(file.vehicle.body, file.vehicle.drive_side));
        let state: Vec<Condition> = state.iter().map(|name| Condition::from(*name)).collect();
        let line = |branch: &Branch| {
            let flow = if branch.live { format!("{:.1}", branch.current) } else { "-".to_owned() };
            format!("{}{} {flow}\n", "  ".repeat(branch.depth), branch.label)
        };
        tree(&harness, &state).unwrap().iter().map(line).collect()
    }

    #[test]
    fn what_hangs_behind_an_open_switch_is_dead_and_carries_nothing() {
        expect![[r#"
            sill splice 1.0 A
              Lamp 1.0 A
              with reverse -
                Reversing lamp -
        "#]]
        .assert_eq(&drawn(&[]));
    }

    #[test]
    fn with_the_switch_closed_a_branching_carries_the_sum_of_what_hangs_from_it() {
        expect![[r#"
            sill splice 3.1 A
              Lamp 1.0 A
              with reverse 2.1 A
                Reversing lamp 2.1 A
        "#]]
        .assert_eq(&drawn(&["reverse"]));
    }
}
