//! How does the circuit branch? Its feed side as a tree to be drawn: what is live in a state, what flows where, and how
//! each load's return goes to ground.

mod back;
pub mod rails;

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
    /// The wires from what it hangs from up to here: indices in [`Harness::runs`].
    pub runs: Vec<usize>,
}

/// What a branch of the tree is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BranchKind {
    /// Wires meet or can be unplugged.
    Joint,
    /// A switch or a relay's contact.
    Switch {
        /// Whether it is closed in this state.
        closed: bool,
    },
    /// Something that the fuse feeds.
    Load(Return),
    /// A wire with nothing at its end: what was there was taken off.
    End,
}

/// The wire behind a load.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Return {
    /// Its colour at the load, if known.
    pub colour: Option<String>,
    /// What has a name on its way to ground, from the load on.
    pub through: Vec<String>,
    /// Whether wires and switches lead to ground at all; else the way goes through another load.
    pub grounded: bool,
}

/// The tree of a harness in a state. What several ways lead to hangs from the one with the fewest wires.
///
/// # Errors
/// As [`solve`].
pub fn tree(harness: &Harness, state: &[Condition]) -> Result<Vec<Branch>, NetworkError> {
    let solved = solve(harness, state)?;
    let mut found =
        Growing { harness, ways: ways(harness), holds: vec![None; harness.nodes.len()], branches: Vec::new() };
    found.grow();
    let holds_run = |at: usize| {
        let run = &harness.runs[at];
        // A wire is held by the branching that it leads to; one that closes a loop, by either.
        let led_from = |node: NodeIx, other: NodeIx| (found.ways.before[node.0] == Some(other)).then_some(node);
        let to = led_from(run.to, run.from).or(led_from(run.from, run.to)).unwrap_or(run.to);
        found.holds[to.0].or(found.holds[run.from.0])
    };
    let holders: Vec<Option<usize>> = (0..harness.runs.len()).map(holds_run).collect();
    let backs = back::backs(harness);
    let mut branches = found.branches;
    for (run, holder) in holders.into_iter().enumerate() {
        if let Some(holder) = holder {
            branches[holder].1.runs.push(run);
        }
    }
    for branch in &mut branches {
        branch.1.live = solved.is_live(branch.0);
        if let BranchKind::Switch { closed } = &mut branch.1.kind {
            *closed = branch.2.is_some_and(|switch| holds(&harness.switches[switch].closed_when, state));
        }
        if let (BranchKind::Load(back), Some(at)) = (&mut branch.1.kind, branch.2) {
            let load = &harness.loads[at];
            back.clone_from(&backs[at]);
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

/// The way from the fuse to each node with the fewest wires.
struct Ways {
    /// The nodes behind each, and the switch in between.
    behind: Vec<Vec<(NodeIx, Option<usize>)>>,
    /// The node before each.
    before: Vec<Option<NodeIx>>,
}

fn ways(harness: &Harness) -> Ways {
    let beside = beside(harness);
    let nodes = harness.nodes.len();
    let mut ways = Ways { behind: vec![Vec::new(); nodes], before: vec![None; nodes] };
    let mut seen = vec![false; nodes];
    seen[NodeIx::GROUND.0] = true;
    seen[NodeIx::FUSE.0] = true;
    let mut queue = VecDeque::from([NodeIx::FUSE]);
    while let Some(node) = queue.pop_front() {
        for (next, by) in &beside[node.0] {
            if !seen[next.0] {
                seen[next.0] = true;
                ways.before[next.0] = Some(node);
                let switch = if let By::Switch(switch) = by { Some(*switch) } else { None };
                ways.behind[node.0].push((*next, switch));
                queue.push_back(*next);
            }
        }
    }
    ways
}

/// What joins two nodes: by its index.
#[derive(Debug, Clone, Copy)]
enum By {
    Run(usize),
    Switch(usize),
}

/// What each node is joined to, runs first.
fn beside(harness: &Harness) -> Vec<Vec<(NodeIx, By)>> {
    let mut beside = vec![Vec::new(); harness.nodes.len()];
    let runs = harness.runs.iter().enumerate().map(|(at, run)| (run.from, run.to, By::Run(at)));
    let switches = harness.switches.iter().enumerate();
    for (one, other, by) in runs.chain(switches.map(|(at, switch)| (switch.from, switch.to, By::Switch(at)))) {
        beside[one.0].push((other, by));
        beside[other.0].push((one, by));
    }
    beside
}

/// A switch by what closes it: that is what people know of it.
fn switch_label(switch: &HarnessSwitch) -> String {
    let conditions: Vec<String> = switch.closed_when.iter().map(|name| name.as_str().replace('_', " ")).collect();
    if conditions.is_empty() { format!("switch {}", switch.id) } else { format!("with {}", conditions.join(" and ")) }
}

struct Growing<'a> {
    harness: &'a Harness,
    ways: Ways,
    /// The branching at each node, or the one that the plain stretch through it leads to.
    holds: Vec<Option<usize>>,
    /// With the node, and the index of the load or switch.
    branches: Vec<(NodeIx, Branch, Option<usize>)>,
}

/// Where growing goes on.
struct Tip {
    node: NodeIx,
    /// The switch on the way to it.
    switch: Option<usize>,
    from: Option<usize>,
    depth: usize,
    /// The nodes of the plain stretch since the last branching.
    stretch: Vec<NodeIx>,
}

impl Growing<'_> {
    /// Adds all that hangs from the fuse. Not by recursion: a file may hold a long chain. Plain stretches are no
    /// branchings.
    fn grow(&mut self) {
        let mut waiting = vec![Tip { node: NodeIx::FUSE, switch: None, from: None, depth: 0, stretch: Vec::new() }];
        while let Some(mut tip) = waiting.pop() {
            let node = tip.node;
            if node != NodeIx::FUSE {
                tip.stretch.push(node);
            }
            if let Some(switch) = tip.switch {
                let label = switch_label(&self.harness.switches[switch]);
                self.branch(&mut tip, label, BranchKind::Switch { closed: false }, Some(switch));
            }
            let loads = self.harness.loads.iter().enumerate().filter(|(_, load)| load.feed == node);
            let loads: Vec<(usize, String)> = loads.map(|(index, load)| (index, load.label.clone())).collect();
            let children = std::mem::take(&mut self.ways.behind[node.0]);
            if children.len() + loads.len() > 1 && node != NodeIx::FUSE {
                let label = self.harness.nodes[node.0].label.clone();
                self.branch(&mut tip, label, BranchKind::Joint, None);
            } else if children.is_empty() && loads.is_empty() && !tip.stretch.is_empty() {
                let label = self.harness.nodes[node.0].label.clone();
                self.branch(&mut tip, label, BranchKind::End, None);
            }
            for (index, label) in loads {
                self.end(&mut tip, label, index);
            }
            waiting.extend(children.into_iter().rev().map(|(child, switch)| Tip {
                node: child,
                switch,
                from: tip.from,
                depth: tip.depth,
                // More than one child makes a branching, and that has taken the stretch.
                stretch: std::mem::take(&mut tip.stretch),
            }));
        }
    }

    /// Adds a branching at the tip; what comes then hangs from it.
    fn branch(&mut self, tip: &mut Tip, label: String, kind: BranchKind, which: Option<usize>) {
        let index = self.add(tip, label, kind, which);
        (tip.from, tip.depth) = (Some(index), tip.depth + 1);
    }

    /// Adds a load at the tip.
    fn end(&mut self, tip: &mut Tip, label: String, load: usize) {
        self.add(tip, label, BranchKind::Load(Return::default()), Some(load));
    }

    fn add(&mut self, tip: &mut Tip, label: String, kind: BranchKind, which: Option<usize>) -> usize {
        let index = self.branches.len();
        for node in tip.stretch.drain(..) {
            self.holds[node.0] = Some(index);
        }
        let Tip { node, from, depth, .. } = *tip;
        let (live, current, runs) = (false, Amps(0.0), Vec::new());
        self.branches.push((node, Branch { from, depth, label, kind, live, current, runs }, which));
        index
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use expect_test::expect;

    use super::*;
    use crate::circuit::check;
    use crate::circuit::expand::expand;
    use crate::vehicle::fit::map_for;

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

    #[test]
    fn behind_a_load_the_return_is_told_with_what_is_on_its_way_to_ground() {
        let text = r#"{ "format": "loomwalk/circuit", "version": 1, "vehicle": { "body": "panel_van" },
            "fuse": { "rating_a": 10 },
            "joints": [{ "id": "g1", "kind": "splice", "label": "ground splice" }, { "id": "e1", "label": "cut end" }],
            "runs": [{ "id": "r1", "from": "fuse", "to": "a.feed", "length_m": 2.0, "area_mm2": 1.0 },
                     { "id": "r2", "from": "a.return", "to": "g1", "length_m": 1.0, "area_mm2": 1.0, "colour": "BN" },
                     { "id": "r3", "from": "g1", "to": "ground", "length_m": 1.0, "area_mm2": 1.0 },
                     { "id": "r4", "from": "fuse", "to": "e1", "length_m": 1.0, "area_mm2": 1.0 }],
            "loads": [{ "id": "a", "label": "Lamp", "kind": "filament_lamp", "ohms": 12 }] }"#;
        let file = check::read(text.as_bytes()).unwrap();
        let harness = expand(&file, &map_for(file.vehicle.body, file.vehicle.drive_side));
        let branches = tree(&harness, &[]).unwrap();
        let lamp = branches.iter().find(|branch| branch.label == "Lamp").unwrap();
        let through = vec!["ground splice".to_owned()];
        let back = Return { colour: Some("BN".to_owned()), through, grounded: true };
        assert_eq!(lamp.kind, BranchKind::Load(back));
        let end = branches.iter().find(|branch| branch.label == "cut end").unwrap();
        assert_eq!((&end.kind, end.live), (&BranchKind::End, true));
        let ids = |branch: &Branch| branch.runs.iter().map(|run| harness.runs[*run].id.to_string()).collect::<Vec<_>>();
        assert_eq!((ids(lamp), ids(end)), (vec!["r1".to_owned()], vec!["r4".to_owned()]));
    }
}
