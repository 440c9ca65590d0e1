//! How likely is each point before anything was observed? Length or feature × exposures × marks × usual suspects.
//!
//! A chance belongs to one wire at one point (a [`Guess`]): wires that lie together are not always live
//! together. A point's chance is the sum over its wires, to which its weight is shared out by [`Point::shares`].

use std::collections::BTreeSet;

use crate::circuit::harness::Harness;
use crate::gather::Gather as _;
use crate::ids::LoadId;
use crate::search::likelihood::{Likelihood, tables};
use crate::search::point::{Point, PointKind};
use crate::search::suspects::Suspects;

/// "This wire rubs at this point."
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guess {
    /// Which point, by place in the list.
    pub point: usize,
    /// Which run, by place in [`Harness::runs`].
    pub run: usize,
    /// Where on the run, as a fraction 0..1 from its `from` end.
    pub at: f64,
    /// Chance beforehand, 0..1.
    pub chance: f64,
}

/// All guesses, and the chance that none of them is true. Together they sum to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    /// By point, then by run.
    pub guesses: Vec<Guess>,
    /// Chance that the place is on none of the points.
    pub not_listed: f64,
}

/// Weighs the points of a harness. Each wire counts by its share of its point, and by whether it leads to a usual
/// suspect.
pub fn prior(points: &[Point], harness: &Harness, suspects: &Suspects) -> Prior {
    let mut guesses: Vec<Guess> = Vec::new();
    for (place, point) in points.iter().enumerate() {
        let weight = weight(point);
        guesses.extend(point.shares().map(|(crossing, share)| Guess {
            point: place,
            run: crossing.run,
            at: crossing.at,
            chance: weight * share * suspects.factor(crossing.run),
        }));
    }
    let all: f64 = guesses.iter().map(|guess| guess.chance).sum();
    let not_listed = if all > 0.0 { not_listed(harness) } else { 1.0 };
    for guess in &mut guesses {
        guess.chance = if all > 0.0 { (1.0 - not_listed) * guess.chance / all } else { 0.0 };
    }
    Prior { guesses, not_listed }
}

/// The stated share, and of the rest the part of the loads whose place nobody knows; the feed that all loads
/// have in common counts as one more.
fn not_listed(harness: &Harness) -> f64 {
    let stated = tables().not_listed.share;
    let loads: BTreeSet<&LoadId> = harness.loads.iter().map(|load| &load.id).chain(&harness.unplaced).gather();
    let unplaced: BTreeSet<&LoadId> = harness.unplaced.iter().gather();
    stated + (1.0 - stated) * unplaced.len() as f64 / (loads.len() + 1) as f64
}

fn weight(point: &Point) -> f64 {
    let Likelihood { base, mark, exposure, .. } = tables();
    let feature = match &point.kind {
        PointKind::Zone { metres } => base.zone_per_metre * metres,
        PointKind::Passage(kind) => base.passage.of(*kind),
        PointKind::Plug => base.plug,
        PointKind::Mark(kinds) => base.mark * kinds.iter().map(|kind| mark.of(*kind)).product::<f64>(),
    };
    let around: f64 = point.marks.iter().map(|kind| mark.of(*kind)).product();
    feature * around * exposure.factors(point.exposures).iter().product::<f64>()
}
