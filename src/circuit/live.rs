//! What is tied to the load side of the fuse through wires and closed switches, with no load in between?

use std::collections::BTreeSet;

use crate::circuit::harness::{Harness, HarnessSwitch, NodeIx};

/// By node, the nodes at the other ends of its wires and closed switches.
#[derive(Debug, Clone)]
pub struct Ties(Vec<Vec<NodeIx>>);

impl Ties {
    /// Those of a harness; `closed` says which switches are.
    pub fn of(harness: &Harness, closed: impl Fn(&HarnessSwitch) -> bool) -> Self {
        let mut ties = vec![Vec::new(); harness.nodes.len()];
        let switches = harness.switches.iter().filter(|switch| closed(switch)).map(|switch| (switch.from, switch.to));
        for (from, to) in harness.runs.iter().map(|run| (run.from, run.to)).chain(switches) {
            ties[from.0].push(to);
            ties[to.0].push(from);
        }
        Self(ties)
    }

    /// What a node is tied to.
    pub fn at(&self, node: usize) -> &[NodeIx] {
        &self.0[node]
    }

    /// By node, whether it is tied to the fuse. At the nodes in `cut` everything is pulled apart.
    pub fn live(&self, cut: &BTreeSet<NodeIx>) -> Vec<bool> {
        let carries = |node: NodeIx| node != NodeIx::GROUND && !cut.contains(&node);
        let mut live = vec![false; self.0.len()];
        let mut reached = Vec::from([NodeIx::FUSE]);
        while let Some(node) = reached.pop() {
            if carries(node) && !live[node.0] {
                live[node.0] = true;
                reached.extend(self.at(node.0));
            }
        }
        live
    }
}

/// Which of a harness's runs carry the fuse's voltage, in the order of [`Harness::runs`].
///
/// `closed` says which switches are; at the nodes in `cut` everything is pulled apart.
pub fn live_runs(harness: &Harness, closed: impl Fn(&HarnessSwitch) -> bool, cut: &BTreeSet<NodeIx>) -> Vec<bool> {
    let live = Ties::of(harness, closed).live(cut);
    harness.runs.iter().map(|run| live[run.from.0] || live[run.to.0]).collect()
}
