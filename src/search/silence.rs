//! What is a drive worth on which the fuse held? How sure it makes that the place repaired was the one.
//!
//! If another place is still there, it opens the fuse at a rate that nobody knows: a gamma distribution, the one that
//! the search begins with, sharpened by how often the fuse opened in how many minutes (shape `α`, minutes `β`). It then
//! stays silent for `t` minutes with the chance `(β / (β + t))^α`, the gamma-Poisson mixture at no event. A place that
//! was the one with chance `p` is it after such a drive with `p / (p + (1 − p) · (β / (β + t))^α)`.

use crate::search::likelihood::tables;

/// Minutes in an hour.
const HOUR: f64 = 60.0;

/// What is known before the drive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Silence {
    shape: f64,
    minutes: f64,
    found: f64,
}

impl Silence {
    /// `times`: how often the fuse opened; `hours`: in how many hours of use, as far as anyone can say; `found`: the
    /// chance that the place repaired is the one.
    pub fn new(times: f64, hours: f64, found: f64) -> Self {
        let rate = &tables().rate;
        Self {
            shape: rate.shape + times.max(0.0),
            minutes: rate.minutes + hours.max(0.0) * HOUR,
            found: found.clamp(0.0, 1.0),
        }
    }

    /// How sure it is, after so many minutes of such use without an opening, that the place repaired was the one. No drive
    /// makes certain what was not.
    pub fn sure_after(&self, minutes: f64) -> f64 {
        let silent = (-self.shape * (minutes.max(0.0) / self.minutes).ln_1p()).exp();
        let other = (1.0 - self.found) * silent;
        let most = if self.found < 1.0 { 1.0 - f64::EPSILON } else { 1.0 };
        if self.found + other > 0.0 { (self.found / (self.found + other)).min(most) } else { 0.0 }
    }

    /// How many minutes make it as sure as `wanted`, below 1. `None`: no drive does, for nothing speaks for the place.
    pub fn minutes_until(&self, wanted: f64) -> Option<f64> {
        if self.found >= wanted {
            return Some(0.0);
        }
        if self.found <= 0.0 {
            return None;
        }
        let odds = |chance: f64| chance / (1.0 - chance);
        let fold = (odds(wanted) / odds(self.found)).ln() / self.shape;
        Some(self.minutes * fold.exp_m1())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn silence_is_worth_the_more_the_oftener_it_opened() {
        let often = Silence::new(6.0, 2.0, 0.8);
        let seldom = Silence::new(2.0, 40.0, 0.8);
        assert!(often.sure_after(60.0) > 0.95, "{}", often.sure_after(60.0));
        assert!(seldom.sure_after(60.0) < 0.83, "{}", seldom.sure_after(60.0));
    }

    #[test]
    fn the_minutes_that_are_asked_for_make_it_as_sure_as_asked() {
        for (times, hours, found) in [(1.0, 0.0, 0.2), (4.0, 30.0, 0.9), (2.0, 1.5, 0.999)] {
            let silence = Silence::new(times, hours, found);
            let minutes = silence.minutes_until(0.95).unwrap();
            assert!((silence.sure_after(minutes) - found.max(0.95)).abs() < 1e-12);
        }
    }

    #[test]
    fn no_drive_makes_certain_what_was_not() {
        let sure = Silence::new(50.0, 1.0, 0.5).sure_after(600.0);
        assert!(sure > 0.999 && sure < 1.0, "{sure}");
        assert_eq!(crate::search::said::chance(sure), "over 99 %");
    }

    #[test]
    fn no_drive_proves_a_place_that_nothing_speaks_for() {
        let silence = Silence::new(3.0, 1.0, 0.0);
        assert_eq!(silence.minutes_until(0.9), None);
        assert_eq!(silence.sure_after(1e6), 0.0);
    }

    /// Time to demonstrate a rate of which nearly all is known, without a failure: `t = −ln(1 − c) / λ` (exponential
    /// model; NIST/SEMATECH e-Handbook of Statistical Methods, §8.3.1.2: factor 2.30 for no failures at 90 %).
    #[test]
    fn with_a_rate_that_is_known_it_is_the_classical_test_without_failures() {
        // 10,000 openings in 100,000 minutes: 0.1 a minute. Even odds before: as sure as 1 / (1 + e^(−λt)).
        let silence = Silence::new(1e4, 1e5 / HOUR, 0.5);
        let minutes = silence.minutes_until(1.0 / 1.1).unwrap();
        assert!((minutes * 0.1 - 2.30).abs() < 0.01, "{minutes}");
    }

    /// No event in a gamma-Poisson mixture is the negative binomial's first term. Values of
    /// `scipy.stats.nbinom.pmf(0, a, b / (b + t))`, scipy 1.17.1, for (a, b, t).
    #[test]
    fn the_chance_of_silence_is_the_negative_binomials_first_term() {
        for ((times, hours, minutes), silent) in NBINOM {
            let sure = Silence::new(times, hours, 0.5).sure_after(minutes);
            assert!((sure - 1.0 / (1.0 + silent)).abs() < 1e-12, "{sure}");
        }
    }

    const NBINOM: [((f64, f64, f64), f64); 3] =
        [((0.0, 0.0, 60.0), 0.5), ((2.0, 1.0, 90.0), 0.186_588_921_282_798_83), ((4.0, 29.0, 600.0), 0.237_304_687_5)];
}
