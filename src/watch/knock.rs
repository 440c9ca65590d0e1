//! Was that a knock or a clap? A short sound that stands out from what is heard all the while.

/// How loud it must be at least.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Firmness {
    /// Quiet places.
    Light,
    /// Where others work too.
    Firm,
}

/// How far its peak must stand out from the mean of what was heard before, and how slowly that mean follows, ms. Common
/// practice, no source: speech stands out by some four times, a clap in a workshop by ten and more.
const OUT: f64 = 8.0;
const FOLLOWS: f64 = 1_500.0;
/// After one knock, and at the beginning, nothing is heard for so long, ms: a clap rings, and a shutter clicks.
const DEAF: f64 = 700.0;

/// Listens for knocks.
#[derive(Debug)]
pub struct Knock {
    least: f64,
    mean: f64,
    last: Option<f64>,
    deaf_until: f64,
}

impl Knock {
    /// Begins to listen.
    pub fn new(firmness: Firmness) -> Self {
        let least = match firmness {
            Firmness::Light => 0.1,
            Firmness::Firm => 0.35,
        };
        Self { least, mean: 0.0, last: None, deaf_until: f64::INFINITY }
    }

    /// Takes in what was heard last: when, ms on any steady clock; its root mean square and its peak, of 1. Says whether
    /// that was a knock.
    pub fn hears(&mut self, at_ms: f64, mean: f64, peak: f64) -> bool {
        let Some(last) = self.last.replace(at_ms) else {
            self.mean = mean;
            self.deaf_until = at_ms + DEAF;
            return false;
        };
        let knocks = at_ms >= self.deaf_until && peak >= self.least && peak >= self.mean * OUT;
        // What is loud for long becomes what is heard all the while.
        self.mean += (mean - self.mean) * (1.0 - (-(at_ms - last).max(0.0) / FOLLOWS).exp());
        if knocks {
            self.deaf_until = at_ms + DEAF;
        }
        knocks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How often it knocks in sounds of 20 ms each.
    fn knocks(firmness: Firmness, sounds: impl IntoIterator<Item = (f64, f64)>) -> usize {
        let mut knock = Knock::new(firmness);
        (0..).zip(sounds).filter(|(at, (mean, peak))| knock.hears(f64::from(*at) * 20.0, *mean, *peak)).count()
    }

    fn room(for_ms: usize, mean: f64) -> impl Iterator<Item = (f64, f64)> {
        std::iter::repeat_n((mean, mean * 4.0), for_ms / 20)
    }

    #[test]
    fn one_clap_that_rings_is_one_knock() {
        let clap = [(0.2, 0.9), (0.15, 0.6), (0.08, 0.3)];
        assert_eq!(knocks(Firmness::Firm, room(2_000, 0.01).chain(clap).chain(room(1_000, 0.01))), 1);
        let two = room(2_000, 0.01).chain(clap).chain(room(1_500, 0.01)).chain(clap);
        assert_eq!(knocks(Firmness::Firm, two), 2);
    }

    #[test]
    fn a_light_knock_counts_only_where_that_was_asked_for() {
        let tap = [(0.05, 0.2)];
        assert_eq!(knocks(Firmness::Light, room(2_000, 0.005).chain(tap)), 1);
        assert_eq!(knocks(Firmness::Firm, room(2_000, 0.005).chain(tap)), 0);
    }

    #[test]
    fn a_running_engine_and_speech_are_no_knocks() {
        assert_eq!(knocks(Firmness::Light, room(10_000, 0.1)), 0, "loud, and always so");
        let speech = room(10_000, 0.01).enumerate().map(|(at, quiet)| if at % 25 < 12 { (0.06, 0.25) } else { quiet });
        // The first word after silence may be one; what follows is not.
        assert!(knocks(Firmness::Firm, speech) == 0);
    }

    #[test]
    fn what_is_heard_as_it_begins_is_none() {
        assert_eq!(knocks(Firmness::Light, [(0.001, 0.002), (0.3, 0.9), (0.3, 0.9)]), 0);
    }
}
