//! What does it mean when an ohmmeter shows something else than it should?
//!
//! Less: beside all that should be there, something else leads to ground. What is beside it is known, so what the
//! something measures by itself follows: 1 / (1/shown − 1/expected). More: something that should be there is missing.

use super::reading::{MeterOhms, Without};
use super::tolerance::Figure;
use crate::circuit::electrical::values;
use crate::circuit::unplug::Unplugged;
use crate::units::{Amps, Ohms, Volts};

/// More than that is fingers on the probes, or damp: at a vehicle's voltage it takes about 1 mA, of which no fuse hears, Ω.
/// Common practice, no source.
const DAMP_OHMS: f64 = 10_000.0;

/// What an ohmmeter shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// So many ohms.
    Ohms(Ohms),
    /// An open circuit.
    Open,
}

/// What that means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Compared {
    /// As it should be.
    Within,
    /// Something beyond what should be there leads to ground.
    Lower(Beyond),
    /// Something that should be there is missing.
    Higher,
}

/// What leads to ground beyond all that should.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beyond {
    /// Its resistance by itself, Ω.
    pub ohms: Figure,
}

impl Beyond {
    /// What it would take by itself at that voltage, if it stays as it measures. Infinite for a dead short.
    pub fn amps(&self, at: Volts) -> Amps {
        Amps(at.0 / self.ohms.value)
    }

    /// Whether it is so much that fingers on the probes, or damp, read like it: no short, and no load.
    pub fn is_fingers_or_damp(&self) -> bool {
        self.ohms.least > DAMP_OHMS
    }
}

/// Why a reading cannot be compared.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CompareError {
    /// It is none.
    #[error(
        "the meter cannot show {0} Ω: it should be 0 or more; below 0 a voltage is on the circuit, or the leads were taken off twice"
    )]
    Ohms(f64),
}

/// What it means that a meter shows that, where it should show what was `expected` (none: an open circuit).
///
/// The meter itself can be off by a digit or two: that much counts as within.
///
/// ```
/// # use loomwalk::circuit::meter::{Compared, MeterOhms, Shown, compare};
/// # use loomwalk::units::Ohms;
/// let expected = Some(MeterOhms { value: 6.0, least: 5.0, most: Some(7.5) });
/// let Ok(Compared::Lower(beyond)) = compare(expected, Shown::Ohms(Ohms(2.0))) else { panic!() };
/// // 6 Ω and 3 Ω side by side are 2 Ω.
/// assert!((beyond.ohms.value - 3.0).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// [`CompareError`]: what is shown is no resistance.
pub fn compare(expected: Option<MeterOhms>, shown: Shown) -> Result<Compared, CompareError> {
    let off = values().tolerance.ohmmeter_ohms.value;
    let shown = match shown {
        Shown::Open => {
            // Where only electronics lead to ground, nothing may be just what is shown.
            let may_be_open = expected.is_none_or(|expected| expected.most.is_none());
            return Ok(if may_be_open { Compared::Within } else { Compared::Higher });
        }
        Shown::Ohms(Ohms(shown)) if shown.is_finite() && shown >= 0.0 => shown,
        Shown::Ohms(Ohms(shown)) => return Err(CompareError::Ohms(shown)),
    };
    let Some(expected) = expected else {
        let ohms = Figure { value: shown, least: (shown - off).max(0.0), most: shown + off };
        return Ok(Compared::Lower(Beyond { ohms }));
    };
    if shown + off < expected.least {
        let beside = |shown: f64, expected: f64| 1.0 / (1.0 / shown - 1.0 / expected);
        let ohms = Figure {
            value: beside(shown, expected.value),
            least: beside((shown - off).max(0.0), expected.most.unwrap_or(f64::INFINITY)),
            most: beside(shown + off, expected.least),
        };
        return Ok(Compared::Lower(Beyond { ohms }));
    }
    let higher = expected.most.is_some_and(|most| shown - off > most);
    Ok(if higher { Compared::Higher } else { Compared::Within })
}

/// Whether a dead short would show at all: what should be there must measure more than the meter can be off.
pub fn would_show_a_short(expected: Option<MeterOhms>) -> bool {
    matches!(compare(expected, Shown::Ohms(Ohms(0.0))), Ok(Compared::Lower(_)))
}

/// Whether that is a short, where the meter should show what was `expected`: it is, it is not, or it tells neither, as beside
/// cold lamps, with fingers on the probes, or where something is missing.
///
/// # Errors
///
/// [`CompareError`]: what is shown is no resistance.
pub fn is_a_short(expected: Option<MeterOhms>, shown: Shown) -> Result<Option<bool>, CompareError> {
    Ok(match compare(expected, shown)? {
        Compared::Lower(beyond) => (!beyond.is_fingers_or_damp()).then_some(true),
        Compared::Within => would_show_a_short(expected).then_some(false),
        Compared::Higher => None,
    })
}

/// Which of these, if it alone was missing, would make the meter show that. In their order.
pub fn explained_by(without: &[Without], shown: Shown) -> Vec<&Unplugged> {
    let fits = |one: &&Without| compare(one.reading, shown) == Ok(Compared::Within);
    without.iter().filter(fits).map(|one| &one.unplugged).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn about(value: f64) -> Option<MeterOhms> {
        Some(MeterOhms { value, least: value * 0.8, most: Some(value * 1.3) })
    }

    fn ohms(shown: f64) -> Shown {
        Shown::Ohms(Ohms(shown))
    }

    #[test]
    fn what_the_meter_can_be_off_counts_as_within_on_both_sides() {
        let verdict = |shown: f64| compare(about(10.0), ohms(shown)).unwrap();
        assert_eq!(verdict(8.0), Compared::Within);
        assert_eq!(verdict(7.9), Compared::Within);
        assert!(matches!(verdict(7.7), Compared::Lower(_)));
        assert_eq!(verdict(13.1), Compared::Within);
        assert_eq!(verdict(13.3), Compared::Higher);
    }

    #[test]
    fn electronics_may_show_nothing_at_all_but_a_lamp_must_show_something() {
        let electronics = Some(MeterOhms { value: 50.0, least: 40.0, most: None });
        assert_eq!(compare(electronics, Shown::Open), Ok(Compared::Within));
        assert_eq!(compare(electronics, ohms(1e6)), Ok(Compared::Within));
        assert_eq!(compare(about(10.0), Shown::Open), Ok(Compared::Higher));
        assert_eq!(compare(None, Shown::Open), Ok(Compared::Within));
    }

    #[test]
    fn where_nothing_should_lead_to_ground_all_that_is_shown_is_beyond_it() {
        let Ok(Compared::Lower(beyond)) = compare(None, ohms(4.0)) else { panic!("lower") };
        assert!((beyond.ohms.value - 4.0).abs() < 1e-12);
        assert!((beyond.amps(Volts(12.0)).0 - 3.0).abs() < 1e-12);
    }

    #[test]
    fn a_dead_short_measures_nothing_and_would_take_any_current() {
        let Ok(Compared::Lower(beyond)) = compare(about(5.0), ohms(0.0)) else { panic!("lower") };
        assert!(beyond.ohms.value == 0.0 && beyond.ohms.least == 0.0 && beyond.ohms.most < 0.3);
        assert!(beyond.amps(Volts(12.0)).0.is_infinite());
    }

    #[test]
    fn megohms_are_fingers_and_not_a_bad_contact() {
        assert_eq!(is_a_short(None, ohms(20e6)), Ok(None));
        assert_eq!(is_a_short(None, ohms(9_000.0)), Ok(Some(true)));
        assert_eq!(is_a_short(None, Shown::Open), Ok(Some(false)));
    }

    #[test]
    fn what_is_missing_or_would_hide_a_short_tells_neither() {
        assert_eq!(is_a_short(about(5.0), ohms(9.0)), Ok(None));
        assert_eq!(is_a_short(about(0.2), ohms(0.2)), Ok(None));
        assert_eq!(is_a_short(about(5.0), ohms(5.0)), Ok(Some(false)));
        assert!(is_a_short(None, ohms(-1.0)).is_err());
    }

    #[test]
    fn behind_enough_cold_lamps_a_short_no_longer_shows() {
        assert!(would_show_a_short(None) && would_show_a_short(about(1.0)));
        assert!(!would_show_a_short(about(0.2)));
    }

    #[test]
    fn a_missing_lamp_is_named_by_what_the_meter_shows_without_it() {
        let without = |id: &str, reading| Without { unplugged: Unplugged::Load(id.into()), reading };
        let each = [without("wiper", about(3.0)), without("lamp", about(12.0)), without("all", None)];
        let named = |shown| explained_by(&each, shown).into_iter().map(ToString::to_string).collect::<Vec<_>>();
        assert_eq!(named(ohms(12.5)), ["lamp"]);
        assert_eq!(named(Shown::Open), ["all"]);
    }

    #[test]
    fn what_no_meter_shows_is_told() {
        let message = compare(about(5.0), ohms(-0.5)).unwrap_err().to_string();
        expect_test::expect!["the meter cannot show -0.5 Ω: it should be 0 or more; below 0 a voltage is on the circuit, or the leads were taken off twice"].assert_eq(&message);
        assert!(compare(about(5.0), ohms(f64::NAN)).is_err() && compare(None, ohms(f64::INFINITY)).is_err());
    }

    proptest! {
        /// Two resistances side by side: the sum of their conductances (Kirchhoff).
        #[test]
        fn what_lies_beside_the_expected_is_found_within_its_range_whatever_the_tolerances_made_of_it(
            expected in 0.5..500.0_f64, at in 0.0..1.0_f64, beyond in 0.01..50.0_f64, off in -0.19..0.19_f64
        ) {
            let range = about(expected).unwrap();
            let really = range.least + at * (range.most.unwrap() - range.least);
            let side_by_side = 1.0 / (1.0 / really + 1.0 / beyond);
            match compare(about(expected), ohms((side_by_side + off).max(0.0))).unwrap() {
                Compared::Lower(Beyond { ohms }) => {
                    prop_assert!(ohms.least <= beyond * (1.0 + 1e-9) && beyond <= ohms.most * (1.0 + 1e-9), "{ohms:?}");
                    prop_assert!(ohms.least <= ohms.value && ohms.value <= ohms.most);
                }
                // Too little beside too much to be told.
                other => prop_assert!(other == Compared::Within && side_by_side + 2.0 * 0.2 > range.least, "{other:?}"),
            }
        }
    }
}
