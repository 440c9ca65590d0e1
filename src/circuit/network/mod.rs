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
use crate::gather::Order as _;
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
    /// Transfer resistance between the ends of each run: what 1 A into one end raises the other by, V. 0 where one
    /// end is ground or the run is not live.
    mutual: Vec<f64>,
}

/// What a short somewhere along a run sees, by the share `x` of the run from its `from` end, 0 to 1.
///
/// A place on a run is a node that cuts its resistance R in two. So V(x) = (1−x)·V_a + x·V_b, and with the transfer
/// resistance Z_ab between its ends Z(x) = (1−x)²·Z_aa + x²·Z_bb + 2x(1−x)·Z_ab + x(1−x)·R: nothing is solved anew.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Along {
    volts: [f64; 2],
    thevenin: [f64; 3],
    no_fault_fuse_a: f64,
    supply_volts: f64,
}

impl Along {
    /// What the fuse carries with a short of that resistance to ground there.
    pub fn fuse_current_with_short(&self, x: f64, short: Ohms) -> Amps {
        let [v0, v1] = self.volts;
        let [z0, z1, z2] = self.thevenin;
        let (volts, ohms) = (v0 + x * v1, z0 + x * (z1 + x * z2) + short.0);
        let drawn = if volts == 0.0 { 0.0 } else { volts * volts / (self.supply_volts * ohms) };
        Amps(self.no_fault_fuse_a + drawn)
    }

    /// Where the fuse carries just that current, by rising share. In a loop there may be two such places.
    pub fn where_fuse_carries(&self, current: Amps, short: Ohms) -> Vec<f64> {
        let [v0, v1] = self.volts;
        let [z0, z1, z2] = self.thevenin;
        // V(x)² = f·(Z(x) + R_f), a quadratic in x.
        let f = (current.0 - self.no_fault_fuse_a) * self.supply_volts;
        let (a, b, c) = (v1 * v1 - f * z2, 2.0 * v0 * v1 - f * z1, v0 * v0 - f * (z0 + short.0));
        let mut roots = roots(a, b, c);
        roots.retain(|x| *x > 0.0 && *x < 1.0);
        roots.order_by(f64::total_cmp);
        roots
    }
}

/// The real roots of ax² + bx + c, without taking the difference of what is nearly equal.
fn roots(a: f64, b: f64, c: f64) -> Vec<f64> {
    let under = b * b - 4.0 * a * c;
    if under < 0.0 {
        return Vec::new();
    }
    let q = -0.5 * (b + under.sqrt().copysign(b));
    [q / a, c / q].into_iter().filter(|x| x.is_finite()).collect()
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
    let mut solved = Solved {
        supply_volts: *volts,
        fuse_a: 0.0,
        nodes: vec![AtNode::default(); harness.nodes.len()],
        mutual: vec![0.0; harness.runs.len()],
    };
    if !holds(live_when, state) {
        return Ok(solved);
    }
    let reduced = reduce::reduce(harness, state)?;
    if reduced.named.len() > MOST_NODES {
        return Err(NetworkError::TooLarge { nodes: reduced.named.len(), most: MOST_NODES });
    }
    let name = |row: usize| harness.nodes[reduced.named[row].0].id.clone();
    let rows = |run: &HarnessRun| Some((reduced.row_of[run.from.0]?, reduced.row_of[run.to.0]?));
    let joined: Vec<(usize, (usize, usize))> =
        harness.runs.iter().enumerate().filter_map(|(at, run)| Some((at, rows(run)?))).collect();
    let pairs: Vec<(usize, usize)> = joined.iter().map(|(_, pair)| *pair).collect();
    let solution = factor::solve(&reduced, *volts, 1.0 / source_ohms, &pairs).map_err(|unsolved| match unsolved {
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
    for ((run, _), mutual) in joined.iter().zip(&solution.mutual) {
        solved.mutual[*run] = *mutual;
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

    /// What a short along a run sees; `at` is its place in [`Harness::runs`].
    pub fn along(&self, at: usize, run: &HarnessRun) -> Along {
        let (from, to) = (self.nodes[run.from.0], self.nodes[run.to.0]);
        let ohms = if run.lead { 0.0 } else { run.ohms.0 };
        let mutual = self.mutual[at];
        Along {
            volts: [from.volts, to.volts - from.volts],
            thevenin: [
                from.thevenin,
                2.0 * (mutual - from.thevenin) + ohms,
                from.thevenin + to.thevenin - 2.0 * mutual - ohms,
            ],
            no_fault_fuse_a: self.fuse_a,
            supply_volts: self.supply_volts,
        }
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
