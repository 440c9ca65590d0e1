//! What should a lamp in place of the fuse show, with the short and without?
//!
//! A lamp limits the current, so that one can look for a short without a new fuse each time. It shines with a short,
//! but also where the loads themselves take much; only the circuit can tell which glow means what.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::electrical::values;
use crate::circuit::harness::{Harness, NodeIx};
use crate::circuit::meter::{MeterError, at_rest_ohms};
use crate::circuit::network::{NetworkError, solve};
use crate::ids::Condition;
use crate::units::{Ohms, Volts};

/// A lamp in place of the fuse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitingLamp {
    /// Its power, W.
    pub watts: f64,
    /// The voltage at which it has that power.
    pub rated: Volts,
}

/// What the eye sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LampGlow {
    /// No light, or none to see by day.
    Dark,
    /// It glows.
    Dim,
    /// It shines about as it should.
    Bright,
}

/// What the lamp shows, between the loads at rest and running.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LampShows {
    /// The least voltage across it: loads as they run.
    pub least: Volts,
    /// The most: loads at rest, as they are behind a lamp that takes most of the voltage.
    pub most: Volts,
    /// What the eye sees at the least.
    pub least_glow: LampGlow,
    /// What the eye sees at the most.
    pub most_glow: LampGlow,
}

impl LampShows {
    /// Whether this can be told from another state by looking: what both can show does not overlap.
    pub fn differs_from(&self, other: &Self) -> bool {
        self.least_glow > other.most_glow || other.least_glow > self.most_glow
    }
}

/// What a lamp in place of the fuse shows in a state, with a short of that resistance from a node to ground or without.
///
/// The filament's own resistance follows from its voltage: its current goes with V^0.55 and never above that of a cold
/// filament; the rest of the circuit counts once as it runs and once at rest.
///
/// # Errors
///
/// [`MeterError::Network`]: the circuit cannot be computed, or the lamp or the short are none.
pub fn lamp_shows(
    harness: &Harness,
    state: &[Condition],
    lamp: LimitingLamp,
    short: Option<(NodeIx, Ohms)>,
) -> Result<LampShows, MeterError> {
    for figure in [lamp.watts, lamp.rated.0] {
        if !(figure.is_finite() && figure > 0.0) {
            return Err(
                NetworkError::Resistance { place: "the lamp".to_owned(), ohms: figure, wanted: "above 0" }.into()
            );
        }
    }
    if let Some((_, Ohms(ohms))) = short.filter(|(_, ohms)| !(ohms.0.is_finite() && ohms.0 >= 0.0)) {
        return Err(NetworkError::FaultOhms(ohms).into());
    }
    let mut at_rest = harness.clone();
    at_rest.loads.iter_mut().for_each(|load| load.ohms = Ohms(at_rest_ohms(load).value));
    let across =
        |harness: &Harness| Ok::<_, NetworkError>(lamp.across(harness.source.volts, behind(harness, state, short)?));
    let (one, other) = (across(harness)?, across(&at_rest)?);
    let (least, most) = (one.0.min(other.0), one.0.max(other.0));
    Ok(LampShows { least: Volts(least), most: Volts(most), least_glow: lamp.glow(least), most_glow: lamp.glow(most) })
}

/// The resistance that the lamp has in series: the supply's, and the circuit's from the fuse's load side to ground.
/// Infinite where nothing conducts.
fn behind(harness: &Harness, state: &[Condition], short: Option<(NodeIx, Ohms)>) -> Result<f64, NetworkError> {
    let solved = solve(harness, state)?;
    let current = short.map_or(solved.fuse_current(), |(node, ohms)| solved.fuse_current_with_short(node, ohms));
    // All that the source sees; its fuse has been replaced by the lamp.
    Ok(harness.source.volts / current.0 - harness.source.fuse_ohms.0)
}

impl LimitingLamp {
    fn current(self, volts: f64) -> f64 {
        let lamp = &values().limiting_lamp;
        let rated = self.watts / self.rated.0;
        let cold = values().cold_loads.filament_lamp.value;
        (rated * (volts / self.rated.0).powf(lamp.current_exponent.value)).min(rated * cold * volts / self.rated.0)
    }

    /// The voltage across it, in series with a resistance on a source. Its current rises with its voltage and what is
    /// left for it falls with its current, so there is one answer, found by halving.
    fn across(self, source: f64, ohms: f64) -> Volts {
        if !ohms.is_finite() {
            return Volts(0.0);
        }
        let (mut low, mut high) = (0.0, source);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if middle + self.current(middle) * ohms > source { high = middle } else { low = middle }
        }
        Volts((low + high) / 2.0)
    }

    fn glow(self, volts: f64) -> LampGlow {
        let lamp = &values().limiting_lamp;
        let share = volts / self.rated.0;
        if share >= lamp.bright_from.value {
            LampGlow::Bright
        } else if share >= lamp.dim_from.value {
            LampGlow::Dim
        } else {
            LampGlow::Dark
        }
    }
}
