//! What should an ohmmeter read from the fuse's load terminal to ground, with the fuse out?
//!
//! A lamp measures a tenth of what it takes when lit, so a low reading through lamps is no short. The reading is
//! computed with all connected, again without each thing that can be unplugged, and as things are unplugged in turn.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::MeterError;
use super::tolerance::Corner;
use crate::circuit::harness::{Harness, NodeIx};
use crate::circuit::network::{NetworkError, holds, solve};
use crate::circuit::unplug::{Unplugged, pluggable, without};
use crate::ids::{Condition, NodeId};

/// How many nodes are solved in all for [`Reading::without`]: keeps the answer to a second or so.
const MOST_NODES_SOLVED: usize = 200_000;
/// At least so many things are tried, however large the circuit.
const LEAST_TRIED: usize = 16;

/// What a meter at the open fuse should read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reading {
    /// With everything connected. None: nothing leads to ground, the meter shows an open circuit.
    pub all: Option<MeterOhms>,
    /// With that unplugged and all else connected: first the loads, then the connectors that lead anywhere in this state.
    pub without: Vec<Without>,
    /// How many more could be unplugged that were not computed, because the circuit is so large.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub not_computed: usize,
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
fn is_zero(count: &usize) -> bool {
    *count == 0
}

/// What a meter reads, Ω, with the range that the tolerances leave.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MeterOhms {
    /// With everything as stated.
    pub value: f64,
    /// The least it can be.
    pub least: f64,
    /// The most it can be. None: it may show an open circuit, where only electronics lead to ground.
    pub most: Option<f64>,
}

/// The reading with something unplugged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Without {
    /// What is unplugged.
    pub unplugged: Unplugged,
    /// The reading. None: an open circuit.
    pub reading: Option<MeterOhms>,
}

/// What a meter reads from the fuse's load terminal to ground, with switches as in that state and the fuse out.
///
/// # Errors
///
/// [`MeterError::Network`]: the circuit cannot be computed.
pub fn reading(harness: &Harness, state: &[Condition]) -> Result<Reading, MeterError> {
    let mut candidates = leading_on(harness, state)?;
    let tried = (MOST_NODES_SOLVED / harness.nodes.len().max(1)).max(LEAST_TRIED).min(candidates.len());
    let not_computed = candidates.len() - tried;
    candidates.truncate(tried);
    let without = candidates.into_iter().map(|what| but(harness, state, what));
    Ok(Reading { all: connected(harness, state)?, without: without.collect::<Result<_, MeterError>>()?, not_computed })
}

/// What can be unplugged and leads anywhere in a state: what [`reading`] tries one by one. First the loads.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed.
pub fn leading_on(harness: &Harness, state: &[Condition]) -> Result<Vec<Unplugged>, NetworkError> {
    let solved = solve(&Corner::Stated.cold(harness), state)?;
    let leads_on = |id: &NodeId| {
        let at = harness.nodes.iter().position(|node| node.id == *id);
        at.is_some_and(|at| solved.is_live(NodeIx(at)))
    };
    let mut candidates = pluggable(harness);
    candidates.retain(|what| match what {
        Unplugged::Load(id) => harness
            .loads
            .iter()
            .any(|load| load.id == *id && holds(&load.live_when, state) && solved.is_live(load.feed)),
        Unplugged::Node(id) => leads_on(id),
    });
    Ok(candidates)
}

/// The reading with one thing unplugged and all else connected.
///
/// # Errors
///
/// [`MeterError`]: it is not there to be unplugged, or the circuit cannot be computed.
pub fn but(harness: &Harness, state: &[Condition], what: Unplugged) -> Result<Without, MeterError> {
    let reading = connected(&without(harness, &what)?, state)?;
    Ok(Without { unplugged: what, reading })
}

/// The readings while one thing after the other is unplugged and stays so.
///
/// # Errors
///
/// [`MeterError`]: something is not there to be unplugged, or the circuit cannot be computed.
pub fn in_turn(harness: &Harness, state: &[Condition], unplugged: &[Unplugged]) -> Result<Vec<Without>, MeterError> {
    let mut left = harness.clone();
    let step = |what: &Unplugged| {
        left = without(&left, what)?;
        Ok(Without { unplugged: what.clone(), reading: connected(&left, state)? })
    };
    unplugged.iter().map(step).collect()
}

/// The reading through all that is connected.
pub fn connected(harness: &Harness, state: &[Condition]) -> Result<Option<MeterOhms>, NetworkError> {
    let at = |corner: Corner| ohms(&corner.cold(harness), state);
    let Some(value) = at(Corner::Stated)? else { return Ok(None) };
    Ok(Some(MeterOhms { value, least: at(Corner::Least)?.unwrap_or(value), most: at(Corner::Most)? }))
}

/// Volts at the fuse over current through it: the source's own resistance has no part in it.
fn ohms(harness: &Harness, state: &[Condition]) -> Result<Option<f64>, NetworkError> {
    let solved = solve(harness, state)?;
    let current = solved.fuse_current().0;
    Ok((current > 0.0).then(|| solved.volts(NodeIx::FUSE).0 / current))
}

/// Ohms as a meter shows them: three digits are more than the tolerances bear.
///
/// ```
/// use loomwalk::circuit::meter::ohms_text;
///
/// let shown: Vec<String> = [0.3, 12.34, 999.4, 999.6, 47_000.0, 2e7].map(ohms_text).into();
/// assert_eq!(shown, ["0.30 Ω", "12.3 Ω", "999 Ω", "1.00 kΩ", "47.0 kΩ", "20.0 MΩ"]);
/// ```
pub fn ohms_text(ohms: f64) -> String {
    let (figure, unit) = match ohms {
        _ if ohms >= 999_500.0 => (ohms / 1e6, "MΩ"),
        _ if ohms >= 999.5 => (ohms / 1000.0, "kΩ"),
        _ => (ohms, "Ω"),
    };
    let places = match figure {
        _ if figure >= 99.95 => 0,
        _ if figure >= 9.995 => 1,
        _ => 2,
    };
    format!("{figure:.places$} {unit}")
}
