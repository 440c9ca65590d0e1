//! What does the fuse carry, and do, when one motor is jammed and everything else of the state runs?
//!
//! A motor that cannot turn takes several times its running current, so it can open a fuse without any chafed wire.
//! The jammed motor counts with its resistance at a standstill, all other loads as they run, the wires at their stated
//! temperature.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::draw::ordered;
use super::tolerance::{Corner, Figure, cold_ohms};
use crate::circuit::file::{Fuse, FuseStyle, LoadKind};
use crate::circuit::fuse::{Curve, OpenWindow};
use crate::circuit::harness::{Harness, HarnessLoad};
use crate::circuit::network::{NetworkError, holds, solve};
use crate::circuit::said;
use crate::ids::{Condition, LoadId};
use crate::units::Ohms;

/// How many nodes are solved in all: keeps the answer to a second or so.
const MOST_NODES_SOLVED: usize = 200_000;
/// At least so many motors are tried, however large the circuit.
const LEAST_TRIED: usize = 4;

/// Each motor of a state jammed in its turn.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Jams {
    /// In the order of the harness.
    pub motors: Vec<Stalled>,
    /// How many more motors run that were not computed, because the circuit is so large.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub not_computed: usize,
}

/// One motor jammed, everything else of the state running.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stalled {
    /// The motor.
    pub id: LoadId,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// Its resistance at a standstill, Ω: what this is computed with.
    pub stalled_ohms: Figure,
    /// Through the fuse, A. Its range is exact.
    pub fuse_a: Figure,
    /// `fuse_a` over the fuse's rating.
    pub ratio: f64,
    /// When the fuse opens, s: not before that at the most current, and by then at the least. No upper bound: it need
    /// not open.
    pub open_s: (f64, Option<f64>),
    /// The same at the current with everything as stated.
    pub open_as_stated_s: (f64, Option<f64>),
    /// What that means for the fuse.
    pub verdict: FuseDoes,
}

/// What the fuse does over the whole range of currents that a jam can draw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FuseDoes {
    /// It must open, whatever the current within the range.
    Opens,
    /// It can open but need not, or not over all of the range.
    MayOpen,
    /// It cannot open, whatever the current within the range.
    Holds,
}

impl Stalled {
    /// What the fuse does, in words behind its name: `opens within 0.15 to 5 s`.
    pub fn does(&self, style: FuseStyle) -> String {
        let window = |(min_s, max_s)| OpenWindow { min_s, max_s };
        let may = if style.resets() { "may trip" } else { "may open" };
        match self.verdict {
            FuseDoes::Holds => "holds".to_owned(),
            FuseDoes::Opens => said::does(style, window(self.open_s)),
            FuseDoes::MayOpen => match self.open_as_stated_s {
                (_, None) => format!("{may}, but need not at this current"),
                stated => format!("{may}: at this current it {}", said::does(style, window(stated))),
            },
        }
    }
}

/// The jam of each motor that runs in this state.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed, or the fuse's rating is none.
pub fn stalled(harness: &Harness, fuse: &Fuse, state: &[Condition]) -> Result<Jams, NetworkError> {
    let running = running(harness, state)?;
    let tried = tried(harness, 1).min(running.len());
    let motors = running[..tried].iter().map(|motor| jam(harness, fuse, state, motor));
    Ok(Jams { motors: motors.collect::<Result<_, _>>()?, not_computed: running.len() - tried })
}

/// The motors that run in a state.
fn running<'h>(harness: &'h Harness, state: &[Condition]) -> Result<Vec<&'h HarnessLoad>, NetworkError> {
    let solved = solve(harness, state)?;
    let runs = |load: &&HarnessLoad| {
        load.kind == LoadKind::Motor && holds(&load.live_when, state) && solved.load_volts(load).0.abs() > RUNS_FROM
    };
    Ok(harness.loads.iter().filter(runs).collect())
}

/// How many motors are tried, where each asks for that many times the usual work.
fn tried(harness: &Harness, work: usize) -> usize {
    (MOST_NODES_SOLVED / harness.nodes.len().max(1) / work).max(LEAST_TRIED)
}

/// With less than this, V, nothing flows: the rest is the last digits of the solver.
const RUNS_FROM: f64 = 1e-6;

/// The jam of each motor of the circuit with nothing switched on but what that motor needs, and with which conditions.
/// In a very large circuit only of the first so many motors.
///
/// # Errors
///
/// As [`stalled`].
pub fn stalled_alone(harness: &Harness, fuse: &Fuse) -> Result<Vec<(Vec<Condition>, Stalled)>, NetworkError> {
    let everything: Vec<Condition> = harness.conditions().into_iter().collect();
    let alone = |motor: &HarnessLoad| {
        let state = needed(harness, motor, &everything)?;
        let jam = jam(harness, fuse, &state, motor)?;
        Ok((state, jam))
    };
    let tried = tried(harness, 1 + everything.len());
    running(harness, &everything)?.into_iter().take(tried).map(alone).collect()
}

/// The conditions without which a load that runs with all of them stops: more of them never switch anything off.
fn needed(harness: &Harness, load: &HarnessLoad, all: &[Condition]) -> Result<Vec<Condition>, NetworkError> {
    let mut left = all.to_vec();
    for condition in all {
        let without: Vec<Condition> = left.iter().filter(|kept| *kept != condition).cloned().collect();
        let runs = holds(&load.live_when, &without) && solve(harness, &without)?.load_volts(load).0.abs() > RUNS_FROM;
        if runs {
            left = without;
        }
    }
    Ok(left)
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
fn is_zero(count: &usize) -> bool {
    *count == 0
}

fn jam(harness: &Harness, fuse: &Fuse, state: &[Condition], motor: &HarnessLoad) -> Result<Stalled, NetworkError> {
    let rating_a = fuse.rating_a;
    if !(rating_a.is_finite() && rating_a > 0.0) {
        return Err(NetworkError::FuseRating(rating_a));
    }
    let stalled_ohms = cold_ohms(motor.kind, motor.ohms);
    let carries = |corner: Corner| {
        let mut jammed = corner.running(harness);
        let at = jammed.loads.iter_mut().filter(|load| load.id == motor.id);
        at.for_each(|load| load.ohms = Ohms(corner.of(stalled_ohms)));
        Ok(solve(&jammed, state)?.fuse_current().0)
    };
    let fuse_a = ordered(carries(Corner::Stated)?, carries(Corner::Most)?, carries(Corner::Least)?);
    let curve = Curve::of(fuse.style, rating_a);
    let at = |amps: f64| curve.window(amps / rating_a);
    let (slow, stated, fast) = (at(fuse_a.least), at(fuse_a.value), at(fuse_a.most));
    let verdict = if slow.max_s.is_some() {
        FuseDoes::Opens
    } else if curve.holds(fuse_a.most / rating_a) {
        FuseDoes::Holds
    } else {
        FuseDoes::MayOpen
    };
    Ok(Stalled {
        id: motor.id.clone(),
        label: motor.label.clone(),
        stalled_ohms,
        fuse_a,
        ratio: fuse_a.value / rating_a,
        open_s: (fast.min_s, slow.max_s),
        open_as_stated_s: (stated.min_s, stated.max_s),
        verdict,
    })
}
