//! What conducts in this state, and what is left to solve once equal and dead nodes are taken out?

use petgraph::unionfind::UnionFind;

use super::NetworkError;
use crate::circuit::harness::{Harness, NodeIx};
use crate::ids::Condition;
use crate::units::Ohms;

/// Below this, in Ω, an element has no resistance and its ends are one node.
const NO_RESISTANCE: f64 = 1e-9;

/// Whether every condition of a list holds in a state.
pub fn holds(all_of: &[Condition], state: &[Condition]) -> bool {
    all_of.iter().all(|condition| state.contains(condition))
}

/// Something that conducts.
struct Element {
    from: usize,
    to: usize,
    ohms: f64,
    load: bool,
}

/// A conductance between two rows, or between a row and ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Branch {
    pub from: usize,
    /// `None`: ground.
    pub to: Option<usize>,
    pub siemens: f64,
}

/// The part of the circuit that the supply reaches: one row for each set of nodes that are one electrically.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reduced {
    /// The row of every node of the harness. `None`: ground, or not connected to the supply.
    pub row_of: Vec<Option<usize>>,
    /// The row of the fuse's load side.
    pub fuse: usize,
    /// A node of each row, to name it by.
    pub named: Vec<NodeIx>,
    /// Whether the supply reaches the row only through a load.
    pub behind_load: Vec<bool>,
    /// The conductances, parallel ones apart.
    pub branches: Vec<Branch>,
}

/// Takes out what does not conduct in this state, joins what is one node, and keeps what the supply reaches.
///
/// Ground does not carry the supply on: what hangs only on ground is at 0 V and needs no solving. Every row
/// that is left reaches the source, so that the matrix is positive definite.
pub(super) fn reduce(harness: &Harness, state: &[Condition]) -> Result<Reduced, NetworkError> {
    let elements = conducting(harness, state)?;
    let count = harness.nodes.len();
    let labels = |keep: &dyn Fn(&Element) -> bool| {
        let mut sets = UnionFind::<usize>::new(count);
        for element in elements.iter().filter(|element| keep(element)) {
            sets.union(element.from, element.to);
        }
        sets.into_labeling()
    };
    let joined = labels(&|element| element.ohms < NO_RESISTANCE);
    let ground = joined[NodeIx::GROUND.0];
    if joined[NodeIx::FUSE.0] == ground {
        return Err(NetworkError::DeadShort { through: without_resistance(harness, state, &joined, ground) });
    }
    let off_ground = |element: &Element| joined[element.from] != ground && joined[element.to] != ground;
    let reached = labels(&off_ground);
    let by_wire = labels(&|element| !element.load && off_ground(element));

    let mut row_of_set: Vec<Option<usize>> = vec![None; count];
    let mut reduced = Reduced {
        row_of: vec![None; count],
        fuse: 0,
        named: Vec::new(),
        behind_load: Vec::new(),
        branches: Vec::new(),
    };
    for node in 0..count {
        if reached[node] != reached[NodeIx::FUSE.0] || joined[node] == ground {
            continue;
        }
        let row = *row_of_set[joined[node]].get_or_insert_with(|| {
            reduced.named.push(NodeIx(node));
            reduced.behind_load.push(by_wire[node] != by_wire[NodeIx::FUSE.0]);
            reduced.named.len() - 1
        });
        reduced.row_of[node] = Some(row);
        if node == NodeIx::FUSE.0 {
            reduced.fuse = row;
        }
    }
    for element in elements.iter().filter(|element| joined[element.from] != joined[element.to]) {
        let siemens = 1.0 / element.ohms;
        let branch = match (reduced.row_of[element.from], reduced.row_of[element.to]) {
            (Some(from), to) => Branch { from, to, siemens },
            (None, Some(from)) => Branch { from, to: None, siemens },
            (None, None) => continue,
        };
        reduced.branches.push(branch);
    }
    Ok(reduced)
}

/// Everything that conducts in this state.
fn conducting(harness: &Harness, state: &[Condition]) -> Result<Vec<Element>, NetworkError> {
    let bad = |place: String, ohms: Ohms, wanted| NetworkError::Resistance { place, ohms: ohms.0, wanted };
    let sound = |ohms: Ohms| ohms.0.is_finite() && ohms.0 >= 0.0;
    let mut elements = Vec::with_capacity(harness.runs.len() + harness.switches.len() + harness.loads.len());
    for run in &harness.runs {
        let ohms = if run.lead { Ohms(0.0) } else { run.ohms };
        if !sound(ohms) {
            return Err(bad(format!("run {}", run.id), ohms, "of 0 or more"));
        }
        elements.push(Element { from: run.from.0, to: run.to.0, ohms: ohms.0, load: false });
    }
    for switch in harness.switches.iter().filter(|switch| holds(&switch.closed_when, state)) {
        if !sound(switch.ohms) {
            return Err(bad(format!("switch {}", switch.id), switch.ohms, "of 0 or more"));
        }
        elements.push(Element { from: switch.from.0, to: switch.to.0, ohms: switch.ohms.0, load: false });
    }
    for load in harness.loads.iter().filter(|load| holds(&load.live_when, state)) {
        // A load without resistance would be a piece of wire, and what lies behind it would seem to lie before it.
        if !load.ohms.0.is_finite() || load.ohms.0 < NO_RESISTANCE {
            return Err(bad(format!("load {}", load.id), load.ohms, "above 0"));
        }
        elements.push(Element { from: load.feed.0, to: load.return_.0, ohms: load.ohms.0, load: true });
    }
    Ok(elements)
}

/// Names what joins nodes to ground without resistance, for a message.
fn without_resistance(harness: &Harness, state: &[Condition], joined: &[usize], ground: usize) -> String {
    /// A message stays readable.
    const MOST: usize = 6;
    let runs = harness.runs.iter().filter(|run| run.lead || run.ohms.0 < NO_RESISTANCE);
    let switches = harness.switches.iter();
    let switches = switches.filter(|switch| switch.ohms.0 < NO_RESISTANCE && holds(&switch.closed_when, state));
    let mut names: Vec<String> = runs
        .filter(|run| joined[run.from.0] == ground)
        .map(|run| format!("run {}", run.id))
        .chain(switches.filter(|switch| joined[switch.from.0] == ground).map(|switch| format!("switch {}", switch.id)))
        .collect();
    if names.len() > MOST {
        names.truncate(MOST);
        names.push("others".to_owned());
    }
    names.join(", ")
}
