//! What is left of a harness when something is unplugged?

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::harness::{Harness, NodeIx, NodeKind};
use crate::ids::{LoadId, NodeId};

/// Something that is unplugged.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Unplugged {
    /// A load is taken off its wires; these stay.
    Load(LoadId),
    /// At a node all wires are pulled apart.
    Node(NodeId),
}

impl std::fmt::Display for Unplugged {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Load(id) => id.fmt(out),
            Self::Node(id) => id.fmt(out),
        }
    }
}

/// Why something cannot be unplugged.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UnplugError {
    /// There is no such thing.
    #[error("{0} is neither a load nor a joint of this circuit, so it cannot be unplugged: use an id from its file")]
    Unknown(String),
    /// Everything would be gone.
    #[error("{0} cannot be unplugged: name a load or a connector")]
    FuseOrGround(String),
}

/// The load or else the node of that name.
///
/// # Errors
///
/// If nothing has that name, or it is the fuse or ground.
pub fn named(harness: &Harness, name: &str) -> Result<Unplugged, UnplugError> {
    if let Some(load) = harness.loads.iter().find(|load| load.id.as_str() == name) {
        return Ok(Unplugged::Load(load.id.clone()));
    }
    let id = NodeId::from(name);
    node(harness, &id).map(|_| Unplugged::Node(id))
}

/// All that is made to be unplugged: loads, then connectors, in the order of the harness. A load's own plug counts once.
pub fn pluggable(harness: &Harness) -> Vec<Unplugged> {
    let loads = harness.loads.iter().map(|load| Unplugged::Load(load.id.clone()));
    let of_load = |node: usize| harness.loads.iter().any(|load| load.feed.0 == node || load.return_.0 == node);
    let connectors = harness.nodes.iter().enumerate().filter(|(at, node)| match &node.kind {
        NodeKind::Connector(Some(_)) => true,
        NodeKind::Connector(None) => !of_load(*at),
        _ => false,
    });
    loads.chain(connectors.map(|(_, node)| Unplugged::Node(node.id.clone()))).collect()
}

/// The words for it that people use.
pub fn label(harness: &Harness, what: &Unplugged) -> String {
    let label = match what {
        Unplugged::Load(id) => harness.loads.iter().find(|load| load.id == *id).map(|load| load.label.as_str()),
        Unplugged::Node(id) => harness.nodes.iter().find(|node| node.id == *id).map(|node| node.label.as_str()),
    };
    label.filter(|label| !label.is_empty()).map_or_else(|| what.to_string(), str::to_owned)
}

/// The harness with that unplugged. Runs, switches and marks keep their places in their lists, and so do nodes.
///
/// # Errors
///
/// If nothing has that name, or it is the fuse or ground.
pub fn without(harness: &Harness, what: &Unplugged) -> Result<Harness, UnplugError> {
    let mut left = harness.clone();
    match what {
        Unplugged::Load(id) => {
            let at = left.loads.iter().position(|load| load.id == *id);
            left.loads.remove(at.ok_or_else(|| UnplugError::Unknown(id.to_string()))?);
        }
        Unplugged::Node(id) => {
            let apart = node(harness, id)?;
            let Harness { nodes, runs, switches, loads, .. } = &mut left;
            // Every wire keeps the half of the plug that it ends in, as a node of its own.
            let mut pull = |end: &mut NodeIx| {
                if *end == apart {
                    *end = NodeIx(nodes.len());
                    nodes.push(nodes[apart.0].clone());
                }
            };
            runs.iter_mut().for_each(|run| [&mut run.from, &mut run.to].into_iter().for_each(&mut pull));
            switches.iter_mut().for_each(|switch| [&mut switch.from, &mut switch.to].into_iter().for_each(&mut pull));
            loads.iter_mut().for_each(|load| [&mut load.feed, &mut load.return_].into_iter().for_each(&mut pull));
        }
    }
    Ok(left)
}

/// The node of that name, where it can be unplugged.
pub(super) fn node(harness: &Harness, id: &NodeId) -> Result<NodeIx, UnplugError> {
    let at = harness.nodes.iter().position(|node| node.id == *id);
    match at.map(NodeIx).ok_or_else(|| UnplugError::Unknown(id.to_string()))? {
        NodeIx::GROUND | NodeIx::FUSE => Err(UnplugError::FuseOrGround(id.to_string())),
        node => Ok(node),
    }
}
