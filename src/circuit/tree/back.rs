//! How does the wire behind each load go to ground?

use std::collections::VecDeque;

use super::{By, Return, beside, switch_label};
use crate::circuit::harness::{Harness, NodeIx, NodeKind};

/// The returns of all loads, in their order: the way with the fewest wires, never through the fuse.
pub(super) fn backs(harness: &Harness) -> Vec<Return> {
    let beside = beside(harness);
    let mut next: Vec<Option<(NodeIx, By)>> = vec![None; harness.nodes.len()];
    let mut queue = VecDeque::from([NodeIx::GROUND]);
    while let Some(node) = queue.pop_front() {
        for (before, by) in &beside[node.0] {
            if !matches!(*before, NodeIx::GROUND | NodeIx::FUSE) && next[before.0].is_none() {
                next[before.0] = Some((node, *by));
                queue.push_back(*before);
            }
        }
    }
    harness.loads.iter().map(|load| back(harness, &next, load.return_)).collect()
}

fn back(harness: &Harness, next: &[Option<(NodeIx, By)>], from: NodeIx) -> Return {
    let mut found = Return::default();
    let (mut node, mut first) = (from, true);
    while let Some((on, by)) = next[node.0] {
        match by {
            By::Run(run) if first => found.colour.clone_from(&harness.runs[run].colour),
            By::Run(_) => {}
            By::Switch(switch) => found.through.push(switch_label(&harness.switches[switch])),
        }
        let at = &harness.nodes[on.0];
        if matches!(at.kind, NodeKind::Joint(Some(_)) | NodeKind::Connector(Some(_))) && !at.label.is_empty() {
            found.through.push(at.label.clone());
        }
        (node, first) = (on, false);
    }
    found.grounded = node == NodeIx::GROUND;
    found
}
