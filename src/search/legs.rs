//! Why does this step come before that one? The legs of the walk, and what they earn a minute.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::search::plan::{Plan, StepKind};
use crate::search::said::percent;

/// Steps that are done in one go: nothing else earns more a minute than to go through them all.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Leg {
    /// The number of its first step.
    pub first: usize,
    /// How many steps.
    pub steps: usize,
    /// Minutes that they take together.
    pub minutes: f64,
    /// The chance that the place is found on it.
    pub chance: f64,
}

impl Plan {
    /// Why the step of that number comes before what follows it, in words. Nothing where there is no such step.
    pub fn why_next(&self, n: usize) -> Option<String> {
        let step = self.steps.get(n.checked_sub(1)?)?;
        let at = self.legs.iter().position(|leg| (leg.first..leg.first + leg.steps).contains(&n));
        let Some(at) = at else { return Some("asked for first".to_owned()) };
        let leg = &self.legs[at];
        let rest = leg.first + leg.steps - n;
        let looks = self.steps[n - 1..n - 1 + rest].iter().filter(|step| step.kind == StepKind::Look).count();
        // What is left of the leg from here on: what lies behind is spent.
        let here = self.steps[n - 1..n - 1 + rest]
            .iter()
            .fold((0.0, 0.0), |(chance, minutes), step| (chance + step.chance, minutes + step.minutes));
        if here.0 < LITTLE {
            return Some("little is left to be found on this pass".to_owned());
        }
        let rate = a_minute(here.0, here.1);
        let earns = match step.kind {
            StepKind::Access if looks == 1 => {
                format!("opens the way to one place, {} within {}", percent(here.0), minutes(here.1))
            }
            StepKind::Access => {
                format!("opens the way to {looks} places, {} within {}", percent(here.0), minutes(here.1))
            }
            StepKind::Look if rest == 1 => format!("{} within {}", percent(here.0), minutes(here.1)),
            StepKind::Look => format!("with what follows, {} within {}", percent(here.0), minutes(here.1)),
        };
        Some(match self.legs.get(at + 1) {
            Some(next) if next.chance > 0.0 => {
                format!("{earns}: {rate} a minute; what comes then, {}", a_minute(next.chance, next.minutes))
            }
            _ => format!("{earns}: {rate} a minute; the last of this pass"),
        })
    }
}

/// A smaller chance than this needs no figures.
const LITTLE: f64 = 0.001;

/// What a leg earns a minute. No look takes no time, and what is left of a leg ends with one.
fn a_minute(chance: f64, minutes: f64) -> String {
    percent(chance / minutes)
}

fn minutes(minutes: f64) -> String {
    if minutes < 10.0 { format!("{:.1} min", minutes) } else { format!("{minutes:.0} min") }
}
