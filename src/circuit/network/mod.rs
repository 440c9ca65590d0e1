//! What flows where, in one operating state, and what would a short to ground draw at each node?
//!
//! The harness becomes a resistive network: closed switches, running loads and wires are conductances, the battery
//! and the fuse a source with a resistance. `reduce` takes out what does not conduct or is one node, `factor`
//! solves by nodal analysis (sparse Cholesky after an `order` that fills in little). With the voltage V_k of every
//! node and the resistance Z_kk seen from it, a short of R_f at node k draws V_k / (Z_kk + R_f), and by
//! reciprocity (one source of V_s) the fuse carries V_k / V_s of that on top of what it carried before:
//! one factorisation serves every place of a short.

mod error;
mod factor;
mod order;
mod reduce;

pub use error::NetworkError;
pub use reduce::holds;

use crate::circuit::harness::{Harness, HarnessLoad, HarnessRun, NodeIx, Source};
use crate::ids::Condition;
use crate::units::{Amps, Ohms, Volts};
use factor::Unsolved;

/// Most connected nodes that are computed. A whole vehicle has a few thousand wires.
pub const MOST_NODES: usize = 50_000;

/// Below this, in Ω, the source has no resistance.
const LEAST_SOURCE_OHMS: f64 = 1e-9;

/// A circuit solved in one operating state.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    supply_volts: f64,
    fuse_a: f64,
    nodes: Vec<AtNode>,
}

/// What holds at one node.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct AtNode {
    volts: f64,
    thevenin: f64,
    live: bool,
    behind_load: bool,
}

/// Solves a harness in the state in which exactly these conditions hold.
///
/// A switch is closed, a load takes current and the fuse is fed if all their conditions hold.
///
/// # Errors
///
/// [`NetworkError`] names what cannot be computed: a source without voltage or resistance, an impossible resistance,
/// fuse and ground joined without resistance, resistances too far apart, too many nodes or cross-connections.
pub fn solve(harness: &Harness, state: &[Condition]) -> Result<Solved, NetworkError> {
    let Source { volts, supply_ohms, fuse_ohms, live_when } = &harness.source;
    if !(volts.is_finite() && *volts > 0.0) {
        return Err(NetworkError::SupplyVolts(*volts));
    }
    let source_ohms = supply_ohms.0 + fuse_ohms.0;
    if !(source_ohms.is_finite() && source_ohms >= LEAST_SOURCE_OHMS && supply_ohms.0 >= 0.0 && fuse_ohms.0 >= 0.0) {
        return Err(NetworkError::SourceOhms(source_ohms));
    }
    let mut solved = Solved { supply_volts: *volts, fuse_a: 0.0, nodes: vec![AtNode::default(); harness.nodes.len()] };
    if !holds(live_when, state) {
        return Ok(solved);
    }
    let reduced = reduce::reduce(harness, state)?;
    if reduced.named.len() > MOST_NODES {
        return Err(NetworkError::TooLarge { nodes: reduced.named.len(), most: MOST_NODES });
    }
    let name = |row: usize| harness.nodes[reduced.named[row].0].id.clone();
    let solution = factor::solve(&reduced, *volts, 1.0 / source_ohms).map_err(|unsolved| match unsolved {
        Unsolved::Spread(row) => NetworkError::Spread { node: name(row) },
        Unsolved::Tangled(row) => NetworkError::Tangled { node: name(row) },
    })?;
    // What leaves the source comes back through ground; no small difference of large voltages is taken.
    let to_ground = reduced.branches.iter().filter(|branch| branch.to.is_none());
    // From +0 on: the sum of nothing is -0 for floating-point numbers, and would be printed so.
    solved.fuse_a = to_ground.fold(0.0, |sum, branch| sum + branch.siemens * solution.volts[branch.from]);
    for (at, row) in solved.nodes.iter_mut().zip(&reduced.row_of) {
        if let Some(row) = *row {
            let (volts, thevenin) = (solution.volts[row], solution.thevenin[row]);
            *at = AtNode { volts, thevenin, live: true, behind_load: reduced.behind_load[row] };
        }
    }
    let strange = solved.nodes.iter().position(|at| !(at.volts.is_finite() && at.thevenin.is_finite()));
    match strange.or((!solved.fuse_a.is_finite()).then_some(NodeIx::FUSE.0)) {
        Some(node) => Err(NetworkError::Overflow { node: harness.nodes[node].id.clone() }),
        None => Ok(solved),
    }
}

impl Solved {
    /// What the fuse carries without a fault.
    pub fn fuse_current(&self) -> Amps {
        Amps(self.fuse_a)
    }

    /// A node's voltage to ground. 0 where it is not live.
    pub fn volts(&self, node: NodeIx) -> Volts {
        Volts(self.nodes[node.0].volts)
    }

    /// Whether the supply reaches the node other than through ground.
    pub fn is_live(&self, node: NodeIx) -> bool {
        self.nodes[node.0].live
    }

    /// Whether the supply reaches the node only through a load, which then limits a short's current.
    pub fn is_behind_load(&self, node: NodeIx) -> bool {
        self.nodes[node.0].behind_load
    }

    /// The resistance that a short at the node sees. `None` where it is not live.
    pub fn thevenin(&self, node: NodeIx) -> Option<Ohms> {
        let at = self.nodes[node.0];
        at.live.then_some(Ohms(at.thevenin))
    }

    /// What a short of that resistance from the node to ground draws. 0 where it is not live.
    pub fn short_current(&self, node: NodeIx, short: Ohms) -> Amps {
        let at = self.nodes[node.0];
        if at.live { Amps(at.volts / (at.thevenin + short.0)) } else { Amps(0.0) }
    }

    /// What the fuse carries with a short of that resistance from the node to ground.
    pub fn fuse_current_with_short(&self, node: NodeIx, short: Ohms) -> Amps {
        Amps(self.fuse_a + self.short_current(node, short).0 * (self.nodes[node.0].volts / self.supply_volts))
    }

    /// The voltage across a load.
    pub fn load_volts(&self, load: &HarnessLoad) -> Volts {
        self.volts(load.feed) - self.volts(load.return_)
    }

    /// What a run carries from `from` to `to`. `None` for one without resistance: its ends do not tell.
    pub fn run_current(&self, run: &HarnessRun) -> Option<Amps> {
        let drop = self.volts(run.from) - self.volts(run.to);
        (!run.lead && run.ohms.0 > 0.0).then(|| drop / run.ohms)
    }
}
