//! Where along a run does a short stop opening the fuse, and what is left after several blows?

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Judge, Verdict};
use crate::circuit::file::FuseStyle;
use crate::circuit::harness::{Harness, HarnessRun, Place};
use crate::circuit::network::NetworkError;
use crate::gather::Order as _;
use crate::ids::{Condition, RunId};
use crate::units::{Amps, Metres};

/// A part of a run on which a short means the same for the fuse.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct VerdictStretch {
    /// Where it begins, m from the run's `from` end.
    pub from_m: f64,
    /// Where it ends, m from there.
    pub to_m: f64,
    /// What a short on it means.
    pub verdict: Verdict,
}

/// A place on a run at which the meaning of a short changes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Change {
    /// Metres from the run's `from` end.
    pub at_m: f64,
    /// Where on the run's way that is, if it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// What a short before it means.
    pub before: Verdict,
    /// What a short behind it means.
    pub after: Verdict,
}

/// A run, part by part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunStretches {
    /// The run.
    pub id: RunId,
    /// Its parts from the `from` end on, without gaps; neighbours differ.
    pub stretches: Vec<VerdictStretch>,
}

/// What a short could have done in every one of several blows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OverBlows {
    /// The conditions that held when the fuse opened, blow by blow.
    pub states: Vec<Vec<Condition>>,
    /// The runs, in the order of the harness. A short has the verdict of the blow that it explains worst.
    pub runs: Vec<RunStretches>,
}

/// What a short of `fault_ohms` means on every part of every run, in one state. `lead` runs are left out.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed, or rating or `fault_ohms` are not what they should be.
pub fn stretches(
    harness: &Harness,
    rating_a: f64,
    style: FuseStyle,
    state: &[Condition],
    fault_ohms: f64,
) -> Result<Vec<RunStretches>, NetworkError> {
    let judge = Judge::new(harness, rating_a, style, state, fault_ohms)?;
    let runs = harness.runs.iter().enumerate().filter(|(_, run)| !run.lead);
    Ok(runs.map(|(at, run)| RunStretches { id: run.id.clone(), stretches: judge.stretches(at) }).collect())
}

/// What one short, always at the same place, could have done in every one of these blows.
///
/// A place that could not open the fuse in one of them did not open it in all: it keeps the weakest verdict.
///
/// # Errors
///
/// As for [`stretches`].
pub fn over_blows(
    harness: &Harness,
    rating_a: f64,
    style: FuseStyle,
    states: &[Vec<Condition>],
    fault_ohms: f64,
) -> Result<OverBlows, NetworkError> {
    let mut left: Option<Vec<RunStretches>> = None;
    for state in states {
        let here = stretches(harness, rating_a, style, state, fault_ohms)?;
        left = Some(match left {
            None => here,
            Some(left) => left.into_iter().zip(here).map(|(one, other)| both(one, &other)).collect(),
        });
    }
    Ok(OverBlows { states: states.to_vec(), runs: left.unwrap_or_default() })
}

impl Verdict {
    /// The one of two that explains an open fuse worse.
    pub fn weaker(self, other: Self) -> Self {
        let rank = |verdict| match verdict {
            Self::NotLive => 0,
            Self::Holds => 1,
            Self::MayOpen => 2,
            Self::Opens => 3,
        };
        if rank(other) < rank(self) { other } else { self }
    }
}

impl Judge<'_> {
    /// A run part by part. The places of change are exact: at each the fuse carries just its holding current, or just
    /// the current at which it must open.
    pub(super) fn stretches(&self, at: usize) -> Vec<VerdictStretch> {
        let run = &self.harness.runs[at];
        let length = run.length.0;
        if !self.is_live(run) {
            return vec![VerdictStretch { from_m: 0.0, to_m: length, verdict: Verdict::NotLive }];
        }
        let along = self.solved.along(at, run);
        let (holds, must_open) = self.curve.bounds();
        let mut cuts: Vec<f64> = [holds, must_open]
            .iter()
            .flat_map(|ratio| along.where_fuse_carries(Amps(ratio * self.rating_a), self.fault))
            .collect();
        cuts.order_by(f64::total_cmp);
        cuts.push(1.0);
        let mut parts = Vec::with_capacity(cuts.len());
        let mut from = 0.0;
        for to in cuts {
            // Between two places of change the middle is as good as any.
            let ratio = along.fuse_current_with_short((from + to) / 2.0, self.fault).0 / self.rating_a;
            let verdict = if ratio >= must_open {
                Verdict::Opens
            } else if ratio <= holds {
                Verdict::Holds
            } else {
                Verdict::MayOpen
            };
            push(&mut parts, VerdictStretch { from_m: from * length, to_m: to * length, verdict });
            from = to;
        }
        parts
    }
}

/// Adds a part, to the last one if that means the same.
fn push(parts: &mut Vec<VerdictStretch>, part: VerdictStretch) {
    match parts.last_mut() {
        Some(last) if last.verdict == part.verdict => last.to_m = part.to_m,
        _ => parts.push(part),
    }
}

/// Where one part of a run gives way to the next.
pub(super) fn changes(run: &HarnessRun, parts: &[VerdictStretch]) -> Vec<Change> {
    let change = |pair: &[VerdictStretch]| Change {
        at_m: pair[0].to_m,
        place: run.place_at(Metres(pair[0].to_m)).cloned(),
        before: pair[0].verdict,
        after: pair[1].verdict,
    };
    parts.windows(2).map(change).collect()
}

/// The weaker verdict of two, part by part.
fn both(one: RunStretches, other: &RunStretches) -> RunStretches {
    let (mut parts, mut a, mut b) = (Vec::new(), 0, 0);
    let mut from_m = 0.0;
    while let (Some(left), Some(right)) = (one.stretches.get(a), other.stretches.get(b)) {
        let to_m = left.to_m.min(right.to_m);
        push(&mut parts, VerdictStretch { from_m, to_m, verdict: left.verdict.weaker(right.verdict) });
        a += usize::from(left.to_m <= to_m);
        b += usize::from(right.to_m <= to_m);
        from_m = to_m;
    }
    RunStretches { id: one.id, stretches: parts }
}
