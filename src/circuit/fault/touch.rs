//! How surely does one rubbing touch at each end of every run open the fuse?
//!
//! A lasting short and a touch are two things: a fuse that must open within 5 s may well survive a touch of 2 ms.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Judge;
use crate::circuit::file::{Fuse, TouchLengths};
use crate::circuit::fuse::{TouchModel, touch_opens};
use crate::circuit::harness::{Harness, NodeIx};
use crate::circuit::network::NetworkError;
use crate::ids::{Condition, RunId};

/// What rubbing touches do in one state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Touched {
    /// Shortest touch, s.
    pub shortest_s: f64,
    /// Longest touch, s; any length between is as likely on a logarithmic scale.
    pub longest_s: f64,
    /// Whether the circuit states these lengths; else they are the assumption that ships with the program.
    pub stated: bool,
    /// The runs, in the order of the harness.
    pub runs: Vec<RunTouch>,
}

/// The chance that one touch opens the fuse, 0..1. 0 where the run is not live.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunTouch {
    /// The run.
    pub id: RunId,
    /// With the touch at its `from` end.
    pub near: f64,
    /// With the touch at its `to` end.
    pub far: f64,
}

/// What touches of `fault_ohms` do, of the lengths that the circuit states, else of those that ship.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed, or rating or `fault_ohms` are not what they should be.
pub fn touched(
    harness: &Harness,
    fuse: &Fuse,
    stated: Option<TouchLengths>,
    state: &[Condition],
    fault_ohms: f64,
) -> Result<Touched, NetworkError> {
    let judge = Judge::new(harness, fuse.rating_a, fuse.style, state, fault_ohms)?;
    let touches = TouchModel::of(stated);
    let runs = harness.runs.iter().filter(|run| !run.lead).map(|run| {
        let live = judge.is_live(run);
        let end = |node: NodeIx| {
            let ratio = judge.end(node)?.ratio;
            Ok(if live { touch_opens(judge.curve.adiabatic_window(ratio), &touches) } else { 0.0 })
        };
        Ok(RunTouch { id: run.id.clone(), near: end(run.from)?, far: end(run.to)? })
    });
    Ok(Touched {
        shortest_s: touches.shortest.0,
        longest_s: touches.longest.0,
        stated: stated.is_some(),
        runs: runs.collect::<Result<_, _>>()?,
    })
}
