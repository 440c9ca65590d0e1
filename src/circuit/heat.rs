//! Which wires may a fault have overheated before the fuse opened, or without its opening?
//!
//! In a hard short all heat stays in the wire (adiabatic, IEC 60949): its temperature follows from the fuse's
//! let-through I²t. Below the fuse's holding current the fault lasts, and what counts is the current that the wire
//! carries for good. A wire that may have been too hot has to be examined from end to end, not where it rubbed only.
//! A breaker that resets lets that much through at each closing, again and again: there the first one is computed.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::electrical::{Opens, values};
use crate::circuit::file::FuseStyle;
use crate::circuit::fuse::Curve;
use crate::circuit::harness::{Harness, HarnessRun};
use crate::circuit::network::{NetworkError, Solved, solve};
use crate::circuit::said;
use crate::ids::{Condition, RunId};
use crate::units::{Amps, Ohms, Seconds, SquareMillimetres};

/// How warm a wire gets that takes I²t, A²s, from `start_c`, °C, if no heat leaves it (IEC 60949 without its factor
/// for losses): θ = (β + θ₀)·exp(I²t/(K·S)²) − β.
///
/// ```
/// use loomwalk::circuit::heat::temperature;
/// use loomwalk::units::SquareMillimetres;
/// // 60 A for 0.918 s: the limit of PVC.
/// assert!((temperature(SquareMillimetres(0.5), 60.0 * 60.0 * 0.918, 70.0) - 160.0).abs() < 0.1);
/// ```
pub fn temperature(area: SquareMillimetres, i2t: f64, start_c: f64) -> f64 {
    let heating = &values().wire_heating;
    let (k, beta) = (heating.iec60949_k.value, heating.iec60949_beta_c.value);
    (beta + start_c) * (i2t / (k * area.0).powi(2)).exp() - beta
}

/// The I²t, A²s, that warms a wire from one temperature, °C, to another: the inverse of [`temperature`].
pub fn i2t_between(area: SquareMillimetres, start_c: f64, end_c: f64) -> f64 {
    let heating = &values().wire_heating;
    let (k, beta) = (heating.iec60949_k.value, heating.iec60949_beta_c.value);
    (k * area.0).powi(2) * ((beta + end_c) / (beta + start_c)).ln()
}

/// What a single wire in free air carries for good: log-log between the sizes of the standard, and on past both ends.
pub fn carries(area: SquareMillimetres) -> Amps {
    let rows = &values().wire_heating.carries.rows;
    let points: Vec<(f64, f64)> = rows.iter().map(|row| (row.area_mm2, row.amps)).collect();
    Amps(log_log(&points, area.0, 1.0))
}

/// The I²t, A²s, that melts a fuse in a hard short, by its rating: log-log between listed ratings, and on past both ends.
///
/// Where one rating is listed, it grows with the square: the standard's times are by multiples of the rating.
/// `None`: nothing melts in it.
pub fn melting_i2t(style: FuseStyle, rating: Amps) -> Option<f64> {
    match &values().fuses.of(style).opens {
        Opens::ByMelting(rows) => {
            let points: Vec<(f64, f64)> = rows.iter().map(|row| (row.rating_a, row.a2s)).collect();
            Some(log_log(&points, rating.0, 2.0))
        }
        Opens::ByBimetal => None,
    }
}

/// Through two points or more by rising abscissa; through one with that slope.
fn log_log(points: &[(f64, f64)], at: f64, slope: f64) -> f64 {
    let above = points.partition_point(|(x, _)| *x <= at).clamp(1, points.len().saturating_sub(1).max(1));
    match (points.get(above - 1), points.get(above)) {
        (Some((x0, y0)), Some((x1, y1))) => y0 * (at / x0).powf((y1 / y0).ln() / (x1 / x0).ln()),
        (Some((x0, y0)), None) => y0 * (at / x0).powf(slope),
        _ => f64::NAN,
    }
}

/// What a fault may do to one run.
#[derive(Debug, Clone, PartialEq)]
pub struct RunHeat {
    /// The run.
    pub id: RunId,
    /// Its cross-section.
    pub area: SquareMillimetres,
    /// Whether the cross-section was not stated.
    pub area_assumed: bool,
    /// The current of a short at its `to` end: the one that heats all of it.
    pub short: Amps,
    /// How warm that short makes it, °C, until the fuse must have opened (the first time, if it resets). `None`: it may
    /// take longer than heating without loss can tell (5 s).
    pub hottest_c: Option<f64>,
    /// The same, °C, with the I²t at which such a fuse usually melts. `None` below the last gate of its curve, and where
    /// nothing melts.
    pub usual_c: Option<f64>,
    /// What may flow in it without end while the fuse holds: through a poorer short on it or behind it.
    pub held: Amps,
    /// What it carries for good.
    pub carries: Amps,
    /// Why it may have been too hot, if so.
    pub strain: Option<Strain>,
}

/// Why a wire may have been too hot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Strain {
    /// A hard short makes it too hot before the fuse must have opened.
    BeforeOpening,
    /// Even a hard short lasts longer than 5 s, at more than the wire carries.
    Lasting,
    /// A poorer short can last, at more than the wire carries, while the fuse holds.
    Held,
}

/// What a fault of `fault_ohms` at its far end, or a poorer one, may do to each run that has the fuse's voltage in this
/// state other than through a load. `lead` runs are left out.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed, or rating or `fault_ohms` are not what they should be.
pub fn heating(
    harness: &Harness,
    rating_a: f64,
    style: FuseStyle,
    state: &[Condition],
    fault_ohms: f64,
) -> Result<Vec<RunHeat>, NetworkError> {
    if !(rating_a.is_finite() && rating_a > 0.0) {
        return Err(NetworkError::FuseRating(rating_a));
    }
    if !(fault_ohms.is_finite() && fault_ohms >= 0.0) {
        return Err(NetworkError::FaultOhms(fault_ohms));
    }
    let solved = solve(harness, state)?;
    let fuse = HotFuse {
        curve: Curve::of(style, rating_a),
        rating: Amps(rating_a),
        melting: melting_i2t(style, Amps(rating_a)),
    };
    let fed = |run: &&HarnessRun| {
        let before_load = |node| solved.is_live(node) && !solved.is_behind_load(node);
        !run.lead && before_load(run.from) && before_load(run.to)
    };
    Ok(harness.runs.iter().filter(fed).map(|run| fuse.heats(run, &solved, Ohms(fault_ohms))).collect())
}

struct HotFuse {
    curve: Curve,
    rating: Amps,
    melting: Option<f64>,
}

impl HotFuse {
    fn heats(&self, run: &HarnessRun, solved: &Solved, fault: Ohms) -> RunHeat {
        let heating = &values().wire_heating;
        // All of the short's current is taken to flow in it, as it does unless the run is part of a loop.
        let short = solved.short_current(run.to, fault);
        let in_fuse = solved.fuse_current_with_short(run.to, fault);
        let ratio = in_fuse.0 / self.rating.0;
        let (holds, _) = self.curve.bounds();
        let must_open = self.curve.adiabatic_window(ratio).max_s.filter(|seconds| *seconds <= heating.longest_s.value);
        let warms = |i2t: f64| temperature(run.area, i2t, heating.start_c.value);
        let hottest_c = must_open.map(|seconds| warms(i2t(short, Seconds(seconds))));
        let melting = self.melting.filter(|_| self.curve.is_past_last_gate(ratio));
        let usual_c = melting.map(|melting| warms(melting * (short.0 / in_fuse.0).powi(2)));
        let held = Amps((holds * self.rating.0).min(short.0));
        let carries = carries(run.area);
        let strain = match hottest_c {
            Some(hottest) if hottest > heating.limit_c.value => Some(Strain::BeforeOpening),
            None if short > carries => Some(Strain::Lasting),
            _ => (held > carries).then_some(Strain::Held),
        };
        RunHeat {
            id: run.id.clone(),
            area: run.area,
            area_assumed: run.area_assumed,
            short,
            hottest_c,
            usual_c,
            held,
            carries,
            strain,
        }
    }
}

fn i2t(current: Amps, time: Seconds) -> f64 {
    current.0 * current.0 * time.0
}

/// A finding about the wires and the fuse, beside what single shorts do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Warning {
    /// What it is about.
    pub kind: WarningKind,
    /// The runs it is about, in the order of the harness.
    pub runs: Vec<RunId>,
    /// In words.
    pub text: String,
}

/// Kinds of finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WarningKind {
    /// The fuse holds more than its thinnest wire carries.
    FuseTooLarge,
    /// A hard short may have overheated these wires: they are to be examined whole.
    ExamineWhole,
    /// What protects these wires closes again by itself and feeds a short anew each time.
    ClosesAgain,
}

/// The findings from what faults do to the runs: a fuse too large for its thinnest wire, and the wires to examine whole.
pub fn warnings(style: FuseStyle, rating_a: f64, runs: &[RunHeat]) -> Vec<Warning> {
    let limit_c = values().wire_heating.limit_c.value;
    let mut found = Vec::new();
    let (holds, _) = Curve::of(style, rating_a).bounds();
    let held = Amps(holds * rating_a);
    let noun = said::noun(style);
    // What was assumed about a wire's size is no reason to doubt the fuse.
    let thin = runs.iter().filter(|run| !run.area_assumed && held > run.carries);
    let ids = |runs: &mut dyn Iterator<Item = &RunHeat>| runs.map(|run| run.id.clone()).collect::<Vec<_>>();
    if let Some(thinnest) = thin.clone().min_by(|a, b| a.area.0.total_cmp(&b.area.0)) {
        let RunHeat { id, area, carries, .. } = thinnest;
        found.push(Warning {
            kind: WarningKind::FuseTooLarge,
            runs: ids(&mut thin.clone()),
            text: format!(
                "The {} A {noun} is too large for {id}, its thinnest wire ({:.2}): it holds {:.1} without end and the wire carries \
                 {:.1}. A poor short or an overload can overheat it and the {noun} stays {}. This wire suits a {noun} of \
                 at most {:.1}.",
                rating_a,
                area,
                held,
                carries,
                if style.resets() { "closed" } else { "whole" },
                Amps(carries.0 / holds)
            ),
        });
    }
    let hot = runs.iter().filter(|run| matches!(run.strain, Some(Strain::BeforeOpening | Strain::Lasting)));
    if hot.clone().next().is_some() {
        found.push(Warning {
            kind: WarningKind::ExamineWhole,
            runs: ids(&mut hot.clone()),
            text: format!(
                "A hard short at the far end may heat these beyond {limit_c:.0} °C before the {noun} must have {}: examine \
                 them from end to end, not only where they rubbed.",
                if style.resets() { "tripped for the first time" } else { "opened" }
            ),
        });
    }
    if style.resets() && !runs.is_empty() {
        found.push(Warning {
            kind: WarningKind::ClosesAgain,
            runs: ids(&mut runs.iter()),
            text: "This breaker trips and closes again by itself: a short is fed again and again, and the wire heats at \
                   every closing, from warm. Take the breaker out before you look, and do not leave it to trip again and \
                   again."
                .to_owned(),
        });
    }
    found
}
