//! What would a short to ground do at each end of every run, and does it open the fuse?
//!
//! [`faults`] is the output of `loomwalk faults` (03-formats §2); [`effects`] is the same for the search, with the
//! chance that a short touch opens the fuse; [`stretches`] says where along a run the verdict changes, and
//! [`over_blows`] what is left of it after several recorded blows.

mod along;
mod touch;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::electrical::values;
use crate::circuit::file::{Fuse, FuseStyle};
use crate::circuit::fuse::{Curve, OpenWindow, TouchModel, touch_opens};
use crate::circuit::harness::{Harness, HarnessRun, NodeIx};
use crate::circuit::heat::{Warning, heating, warnings};
use crate::circuit::network::{NetworkError, Solved, solve};
use crate::circuit::wire;
use crate::ids::{Condition, NodeId, RunId};
use crate::units::{Amps, Ohms};

pub use along::{Change, OverBlows, RunStretches, VerdictStretch, over_blows, stretches};
pub use touch::{RunTouch, Touched, touched};

/// The value of `format` in the output.
pub const FORMAT: &str = "loomwalk/faults";
/// Its version.
pub const VERSION: u32 = 1;

/// What a short to ground would do at each end of every run, in one operating state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Faults {
    /// Always `loomwalk/faults`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// Conditions that hold.
    pub state: Vec<Condition>,
    /// Resistance of the short, Ω.
    pub fault_ohms: f64,
    /// What the fuse carries without a fault, A.
    pub no_fault_fuse_a: f64,
    /// The runs, in the order of the harness.
    pub runs: Vec<RunFaults>,
    /// What a short on each run could have done in every one of several recorded blows, if these were handed in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over_blows: Option<OverBlows>,
    /// What rubbing touches of a stated spread of lengths do, where it was asked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub touch: Option<Touched>,
    /// Findings about wires and fuse that hold in this state, whatever the place of the short.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub warnings: Vec<Warning>,
}

/// A run with a short at either end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunFaults {
    /// The run.
    pub id: RunId,
    /// At its `from` end.
    pub near: EndFault,
    /// At its `to` end.
    pub far: EndFault,
    /// What that means for the fuse.
    pub verdict: Verdict,
    /// Where along the run what it means changes, from the `from` end on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes_at: Vec<Change>,
}

/// A short at one end of a run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EndFault {
    /// The node there.
    pub node: NodeId,
    /// Its voltage to ground without a fault, V.
    pub volts: f64,
    /// Current through the fuse with the short there, A.
    pub fuse_a: f64,
    /// `fuse_a` over the fuse's rating.
    pub ratio: f64,
    /// The standard's window of opening times, s. No upper bound: it need not open.
    pub open_s: (f64, Option<f64>),
}

/// What a short on a run means for the fuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// It must open, wherever on the run.
    Opens,
    /// It can open but need not, or not everywhere on the run.
    MayOpen,
    /// It cannot open, wherever on the run.
    Holds,
    /// There is no voltage on the run in this state.
    NotLive,
}

/// What a rubbing touch on a run does, for the search.
#[derive(Debug, Clone, PartialEq)]
pub struct RunEffect {
    /// The run, at the same index as in [`Harness::runs`].
    pub id: RunId,
    /// Whether there is voltage on it in this state.
    pub live: bool,
    /// Whether it gets its voltage only through a load, which then limits the current.
    pub behind_load: bool,
    /// What a lasting short means for the fuse.
    pub verdict: Verdict,
    /// At its `from` end.
    pub near: EndEffect,
    /// At its `to` end.
    pub far: EndEffect,
}

/// What a rubbing touch at one end of a run does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndEffect {
    /// Voltage to ground without a fault, V.
    pub volts: f64,
    /// Current through the fuse during the touch, A.
    pub fuse_a: f64,
    /// `fuse_a` over the fuse's rating.
    pub ratio: f64,
    /// The standard's window of opening times.
    pub window: OpenWindow,
    /// Chance that one touch here opens the fuse; 0 where the run is not live.
    pub touch_opens: f64,
    /// Whether the wire's insulation takes the current until the fuse must have opened (once, if it resets). `None`: slower than heating
    /// without loss can tell (5 s), or the fuse need not open.
    pub wire_survives: Option<bool>,
}

/// The effect of a short of `fault_ohms` to ground at each end of every run.
///
/// `lead` runs are left out: their ends are one node, which other runs show already.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed, or rating or `fault_ohms` are not what they should be.
pub fn faults(
    harness: &Harness,
    rating_a: f64,
    style: FuseStyle,
    state: &[Condition],
    fault_ohms: f64,
) -> Result<Faults, NetworkError> {
    let judge = Judge::new(harness, rating_a, style, state, fault_ohms)?;
    let end = |node: NodeIx| {
        let End { volts, fuse_a, ratio } = judge.end(node)?;
        let OpenWindow { min_s, max_s } = judge.curve.window(ratio);
        Ok(EndFault { node: harness.nodes[node.0].id.clone(), volts, fuse_a, ratio, open_s: (min_s, max_s) })
    };
    let runs = harness.runs.iter().enumerate().filter(|(_, run)| !run.lead).map(|(at, run)| {
        let (near, far) = (end(run.from)?, end(run.to)?);
        let verdict = judge.verdict(run, [near.ratio, far.ratio]);
        let changes_at = along::changes(run, &judge.stretches(at));
        Ok(RunFaults { id: run.id.clone(), near, far, verdict, changes_at })
    });
    Ok(Faults {
        format: FORMAT.to_owned(),
        version: VERSION,
        state: state.to_vec(),
        fault_ohms,
        no_fault_fuse_a: judge.solved.fuse_current().0,
        runs: runs.collect::<Result<_, _>>()?,
        over_blows: None,
        touch: None,
        warnings: warnings(style, rating_a, &heating(harness, rating_a, style, state, fault_ohms)?),
    })
}

/// What a rubbing touch on each run does in a state: one entry a run, `lead` runs too, in the order of the harness.
///
/// The touch has the stated resistance (`touch.ohms` of electrical.json, the default of `loomwalk faults`); how long
/// it lasts is the circuit's ([`TouchModel::of`]).
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed.
pub fn effects(
    harness: &Harness,
    fuse: &Fuse,
    touches: &TouchModel,
    state: &[Condition],
) -> Result<Vec<RunEffect>, NetworkError> {
    let judge = Judge::new(harness, fuse.rating_a, fuse.style, state, default_fault_ohms())?;
    let effect = |run: &HarnessRun| {
        let live = judge.is_live(run);
        let end = |node: NodeIx| {
            let End { volts, fuse_a, ratio } = judge.end(node)?;
            let in_a_touch = judge.curve.adiabatic_window(ratio);
            Ok(EndEffect {
                volts,
                fuse_a,
                ratio,
                window: judge.curve.window(ratio),
                touch_opens: if live { touch_opens(in_a_touch, touches) } else { 0.0 },
                wire_survives: judge.wire_survives(run, node, in_a_touch),
            })
        };
        let (near, far) = (end(run.from)?, end(run.to)?);
        Ok(RunEffect {
            id: run.id.clone(),
            live,
            behind_load: judge.solved.is_behind_load(run.from) || judge.solved.is_behind_load(run.to),
            verdict: judge.verdict(run, [near.ratio, far.ratio]),
            near,
            far,
        })
    };
    harness.runs.iter().map(effect).collect()
}

/// The resistance of a short where none is stated, Ω.
pub fn default_fault_ohms() -> f64 {
    values().touch.ohms.value
}

/// A solved circuit with its fuse, ready to judge a short anywhere.
struct Judge<'h> {
    harness: &'h Harness,
    solved: Solved,
    curve: Curve,
    rating_a: f64,
    fault: Ohms,
}

/// A short at one node.
struct End {
    volts: f64,
    fuse_a: f64,
    ratio: f64,
}

impl<'h> Judge<'h> {
    fn new(
        harness: &'h Harness,
        rating_a: f64,
        style: FuseStyle,
        state: &[Condition],
        fault_ohms: f64,
    ) -> Result<Self, NetworkError> {
        if !(rating_a.is_finite() && rating_a > 0.0) {
            return Err(NetworkError::FuseRating(rating_a));
        }
        if !(fault_ohms.is_finite() && fault_ohms >= 0.0) {
            return Err(NetworkError::FaultOhms(fault_ohms));
        }
        let solved = solve(harness, state)?;
        Ok(Self { harness, solved, curve: Curve::of(style, rating_a), rating_a, fault: Ohms(fault_ohms) })
    }

    fn end(&self, node: NodeIx) -> Result<End, NetworkError> {
        let fuse_a = self.solved.fuse_current_with_short(node, self.fault).0;
        let ratio = fuse_a / self.rating_a;
        if !ratio.is_finite() {
            return Err(NetworkError::Overflow { node: self.harness.nodes[node.0].id.clone() });
        }
        Ok(End { volts: self.solved.volts(node).0, fuse_a, ratio })
    }

    /// One end is enough: a run conducts, so the other end is live as well, or ground.
    fn is_live(&self, run: &HarnessRun) -> bool {
        self.solved.is_live(run.from) || self.solved.is_live(run.to)
    }

    /// Along a run the current lies between those of its ends in a radial circuit, so the ends tell.
    fn verdict(&self, run: &HarnessRun, ratios: [f64; 2]) -> Verdict {
        if !self.is_live(run) {
            Verdict::NotLive
        } else if ratios.iter().all(|ratio| self.curve.window(*ratio).max_s.is_some()) {
            Verdict::Opens
        } else if ratios.iter().all(|ratio| self.curve.holds(*ratio)) {
            Verdict::Holds
        } else {
            Verdict::MayOpen
        }
    }

    /// Compares what the fuse may let through with what the run takes, with all of the short's current in it.
    fn wire_survives(&self, run: &HarnessRun, node: NodeIx, window: OpenWindow) -> Option<bool> {
        let Amps(short) = self.solved.short_current(node, self.fault);
        let opened_by = window.max_s?;
        match wire::withstands(run.area, Amps(short)) {
            Some(takes) => Some(opened_by <= takes.0),
            // It takes this for longer than 5 s; if the fuse is slower still, heat leaves the wire and nothing is known.
            None => (opened_by <= values().wire_heating.longest_s.value).then_some(true),
        }
    }
}
