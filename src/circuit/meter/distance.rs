//! How far along a wire is a hard short, by the voltage that is lost on it?
//!
//! A lamp or resistor in place of the fuse limits the current. It flows along the wire as far as the short and no
//! farther, so what a voltmeter shows from one end of the wire to the other is lost on that part alone.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::electrical::values;
use crate::circuit::harness::{Harness, HarnessRun, Place};
use crate::circuit::network::{NetworkError, solve};
use crate::ids::{Condition, RunId};
use crate::units::{Amps, Metres, Volts};

/// An end of a wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum End {
    /// Its `from` end.
    #[default]
    From,
    /// Its `to` end.
    To,
}

/// How far along a wire a short is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Distance {
    /// The wire.
    pub run: RunId,
    /// Metres from its `from` end, whichever end is fed.
    pub metres: f64,
    /// The end that the current comes from.
    #[serde(default)]
    pub fed_at: End,
    /// So many metres it can be off to either side, by the voltmeter's last digit and the wire's tolerance together.
    pub plus_minus: f64,
    /// The wire's whole length, m.
    pub length_m: f64,
    /// Where on its way that is. None: beyond its end, or its way is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// More is lost than this wire can lose: the short lies behind it, or wire or current are not as stated.
    pub beyond_end: bool,
}

/// Why a distance cannot be told.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DistanceError {
    /// No such wire.
    #[error("this circuit has no run {0}: name one of those that `loomwalk faults` lists")]
    UnknownRun(RunId),
    /// Which end is fed cannot be computed.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// The wire loses nothing.
    #[error("run {0} is reckoned without length and resistance, so nothing is lost on it: measure along another")]
    NoResistance(RunId),
    /// No current flows.
    #[error("the current is {0} A: it should be above 0, as the ammeter shows it while the voltage is read")]
    Current(f64),
    /// The voltage is none.
    #[error(
        "the lost voltage is {0} V: it should be 0 or more and no more than the battery's; if it shows less, swap the meter's leads"
    )]
    Drop(f64),
    /// The last digit is none.
    #[error("the voltmeter's resolution is {0} V: it should be 0 or more, such as 0.001")]
    Resolution(f64),
}

/// The last digit of a usual voltmeter, V.
pub fn usual_resolution() -> Volts {
    Volts(values().tolerance.voltmeter_v.value)
}

/// The wires along which a hard short can be measured in a state, in the order of the harness: something is lost on
/// them, and no load before them limits the current.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed.
pub fn measurable<'a>(harness: &'a Harness, state: &[Condition]) -> Result<Vec<&'a HarnessRun>, NetworkError> {
    let solved = solve(harness, state)?;
    let fed = |run: &&HarnessRun| {
        let loses = !run.lead && run.ohms.0 > 0.0 && run.length.0 > 0.0;
        loses && [run.from, run.to].into_iter().all(|end| solved.is_live(end) && !solved.is_behind_load(end))
    };
    Ok(harness.runs.iter().filter(fed).collect())
}

/// The end of a wire from which current comes to a short on it: where the voltage is the higher while there is none, and
/// where none flows, the end that is the nearer to the source. A file may name a wire's ends either way round.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed.
pub fn fed_end(harness: &Harness, state: &[Condition], run: &HarnessRun) -> Result<End, NetworkError> {
    let solved = solve(harness, state)?;
    let [from, to] =
        [run.from, run.to].map(|end| (solved.volts(end).0, solved.thevenin(end).map_or(f64::INFINITY, |ohms| ohms.0)));
    // Below a microvolt it is only the solver's last digits.
    let same = (from.0 - to.0).abs() < 1e-6;
    let at_to = if same { to.1 < from.1 } else { to.0 > from.0 };
    Ok(if at_to { End::To } else { End::From })
}

/// How far along a wire is shorted that is fed at that end, if `drop` is lost on it at `current`.
///
/// `resolution` is the last digit of the voltmeter. The current counts as read: its error in per cent is that of the
/// distance.
///
/// ```
/// # use loomwalk::circuit::harness::{HarnessRun, NodeIx};
/// # use loomwalk::circuit::{meter::{End, distance}, wire};
/// # use loomwalk::units::{Amps, Metres, SquareMillimetres, Volts};
/// # let (length, area) = (Metres(4.0), SquareMillimetres(0.75));
/// # let run = HarnessRun { id: "r1".into(), from: NodeIx(1), to: NodeIx(2), ohms: wire::resistance(length, area, 20.0),
/// #     length, area, colour: None, path: Vec::new(), assumed: false, area_assumed: false, lead: false };
/// // 4 m of 0.75 mm² have 23 mΩ/m.
/// let found = distance(&run, End::From, Volts(0.115), Amps(2.0), Volts(0.001)).unwrap();
/// assert!((found.metres - 2.50).abs() < 0.01 && (found.plus_minus - 0.30).abs() < 0.01);
/// ```
///
/// # Errors
///
/// [`DistanceError`]: the wire has no resistance, or a figure is not what it should be.
pub fn distance(
    run: &HarnessRun,
    fed_at: End,
    drop: Volts,
    current: Amps,
    resolution: Volts,
) -> Result<Distance, DistanceError> {
    let sound = |figure: f64| figure.is_finite() && figure >= 0.0;
    if !(current.0.is_finite() && current.0 > 0.0) {
        return Err(DistanceError::Current(current.0));
    }
    if !sound(drop.0) {
        return Err(DistanceError::Drop(drop.0));
    }
    if !sound(resolution.0) {
        return Err(DistanceError::Resolution(resolution.0));
    }
    let volts_per_metre = current.0 * run.ohms.0 / run.length.0;
    if run.lead || !(volts_per_metre.is_finite() && volts_per_metre > 0.0) {
        return Err(DistanceError::NoResistance(run.id.clone()));
    }
    let tolerance = values().tolerance.wire.value;
    let along = drop.0 / volts_per_metre;
    let least = (drop.0 - resolution.0).max(0.0) / (volts_per_metre * (1.0 + tolerance));
    let most = (drop.0 + resolution.0) / (volts_per_metre * (1.0 - tolerance));
    if !most.is_finite() {
        return Err(DistanceError::Drop(drop.0));
    }
    let metres = match fed_at {
        End::From => along,
        End::To => (run.length.0 - along).max(0.0),
    };
    Ok(Distance {
        run: run.id.clone(),
        metres,
        fed_at,
        plus_minus: (along - least).max(most - along),
        length_m: run.length.0,
        place: run.place_at(Metres(metres)).cloned(),
        beyond_end: least > run.length.0,
    })
}
