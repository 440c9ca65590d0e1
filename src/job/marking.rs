//! What is marked at a place, and what did one more mark do? One tap a kind, set and taken off.

use crate::circuit::file::{Mark, MarkKind, MarkPlace};
use crate::circuit::harness::Place;
use crate::ids::{LoadId, MarkId, PointId, ZoneId};
use crate::job::act::Act;
use crate::job::session::{Ready, Session};
use crate::job::state::Job;
use crate::search::likelihood::tables;
use crate::search::point::{Point, PointKind, is_in};
use crate::search::reasons::times;
use crate::search::said;

/// The kinds that are offered, the weightiest first.
pub const KINDS: [MarkKind; 9] = [
    MarkKind::NoGrommet,
    MarkKind::Edge,
    MarkKind::TouchesMetal,
    MarkKind::RepairedBefore,
    MarkKind::AddedAfterwards,
    MarkKind::Moves,
    MarkKind::ClipMissing,
    MarkKind::Heat,
    MarkKind::Wet,
];

/// A kind as it stands on a key.
pub fn short(kind: MarkKind) -> &'static str {
    match kind {
        MarkKind::Heat => "Near heat",
        MarkKind::Moves => "Moves",
        MarkKind::TouchesMetal => "Touches metal",
        MarkKind::Edge => "Edge",
        MarkKind::NoGrommet => "No grommet",
        MarkKind::ClipMissing => "Clip missing",
        MarkKind::RepairedBefore => "Repaired before",
        MarkKind::AddedAfterwards => "Added afterwards",
        MarkKind::Wet => "Wet",
        MarkKind::Other => "Other",
    }
}

/// What a mark multiplies a place's weight by, in words: `×6`.
pub fn weight(kind: MarkKind) -> String {
    times(tables().mark.of(kind))
}

/// What someone wants to mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Spot {
    /// A point.
    Point(PointId),
    /// A zone.
    Zone(ZoneId),
    /// The wire of a load, at the load.
    Wire(LoadId),
}

/// Where a mark at that spot goes. `None`: there is no such spot on this circuit.
///
/// A stretch of loom and a plug have no place of their own in the format: their marks hold for the zone.
pub fn place(ready: &Ready, spot: &Spot) -> Option<MarkPlace> {
    match spot {
        Spot::Zone(zone) => Some(MarkPlace::Zone(ready.map.map.zone(zone)?.id.clone())),
        Spot::Point(id) => of_point(ready, ready.point(id)?),
        Spot::Wire(load) => of_wire(ready, load),
    }
}

fn of_point(ready: &Ready, point: &Point) -> Option<MarkPlace> {
    match &point.kind {
        PointKind::Passage(_) => {
            let passages = ready.map.map.passages.iter().map(|passage| &passage.id);
            let mut here = passages.filter(|id| is_in(point, &Place::Passage((*id).clone())));
            here.next().map(|id| MarkPlace::Passage(id.clone()))
        }
        PointKind::Mark(_) => {
            let run = point.crossings.first()?.run;
            let id = |at: f64| format!("point:{}@{at}", ready.harness.runs[run].id);
            let mark = ready.harness.marks.iter().find(|mark| mark.run == run && id(mark.at.0) == point.id.0)?;
            ready.file.marks.iter().find(|known| known.id == mark.id).map(|known| known.place.clone())
        }
        PointKind::Zone { .. } | PointKind::Plug => Some(MarkPlace::Zone(point.zone.clone())),
    }
}

/// The end of the feed wire at the load, to the centimetre.
fn of_wire(ready: &Ready, load: &LoadId) -> Option<MarkPlace> {
    let harness = &ready.harness;
    let feed = harness.loads.iter().find(|known| known.id == *load)?.feed;
    let mut wires = harness.runs.iter().filter(|run| !run.lead && !run.path.is_empty());
    wires.find_map(|run| {
        let at_m = match (run.from == feed, run.to == feed) {
            (true, _) => 0.0,
            (_, true) => (run.length.0 * 100.0).floor() / 100.0,
            _ => return None,
        };
        Some(MarkPlace::Run { run: run.id.clone(), at_m })
    })
}

/// What is marked with the spot, where that is more or other than the spot itself, in words.
pub fn reach(ready: &Ready, spot: &Spot, place: &MarkPlace) -> Option<String> {
    match (spot, place) {
        (Spot::Point(_), MarkPlace::Zone(zone)) => {
            let label = ready.map.map.zone(zone).map_or(zone.as_str(), |zone| &zone.label);
            Some(format!("Counts for every place in: {label}."))
        }
        (Spot::Wire(_), _) => Some("Marks its wire close to the load, as a place of its own on the walk.".to_owned()),
        _ => None,
    }
}

/// The marks at a place.
pub fn marks_at<'j>(job: &'j Job, ready: &'j Ready, place: &'j MarkPlace) -> impl Iterator<Item = &'j Mark> {
    let marks = job.circuit.iter().flat_map(|circuit| &circuit.marks);
    marks.filter(|mark| is_same(ready, &mark.place, place))
}

/// Whether two places are one in this body, which may have one zone stand in for another.
fn is_same(ready: &Ready, one: &MarkPlace, other: &MarkPlace) -> bool {
    let own = |zone| ready.map.map.zone(zone).map(|zone| &zone.id);
    match (one, other) {
        (MarkPlace::Zone(one), MarkPlace::Zone(other)) => {
            one == other || (own(one).is_some() && own(one) == own(other))
        }
        _ => one == other,
    }
}

/// The acts that set a mark, or take it off where it is set.
pub fn toggled(job: &Job, ready: &Ready, place: &MarkPlace, kind: MarkKind, fresh: MarkId) -> Vec<Act> {
    let set = marks_at(job, ready, place).filter(|mark| mark.kind == kind);
    let off: Vec<Act> = set.map(|mark| Act::MarkRemoved { mark: mark.id.clone() }).collect();
    if off.is_empty() {
        vec![Act::Mark(Mark { id: fresh, place: place.clone(), kind, note: String::new() })]
    } else {
        off
    }
}

/// The chance of what is marked there: the point's, all of the zone's, or of all places that the load's wire goes through.
pub fn chance(ready: &Ready, spot: &Spot) -> f64 {
    let places = ready.search.points().iter().zip(&ready.plan.points);
    let wire = place(ready, spot).and_then(|place| match place {
        MarkPlace::Run { run, .. } => Some(run),
        MarkPlace::Passage(_) | MarkPlace::Zone(_) => None,
    });
    let counts = |point: &Point| match spot {
        Spot::Point(id) => point.id == *id,
        Spot::Zone(zone) => is_in(point, &Place::Zone(zone.clone())),
        Spot::Wire(_) => wire.as_ref().is_some_and(|wire| point.runs.contains(wire)),
    };
    places.filter(|(point, _)| counts(point)).map(|(_, chance)| chance.probability).sum()
}

/// A tap on a mark's key, and what the chance was before it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tap {
    /// What was tapped.
    pub kind: MarkKind,
    /// The mark that was set or taken off.
    pub mark: MarkId,
    /// The chance of the spot before.
    pub before: f64,
}

/// What that tap did, in words, as long as nothing else was done since: `Edge ×6: this place goes from 4 % to 19 %.`
pub fn told(session: &Session, spot: &Spot, tap: &Tap) -> Option<String> {
    let ready = session.ready()?;
    let act = session.log.get(session.job.last_act?)?.act().ok()?;
    let how = match act {
        Act::Mark(mark) if mark.id == tap.mark => weight(tap.kind),
        Act::MarkRemoved { mark } if mark == tap.mark => "taken off".to_owned(),
        _ => return None,
    };
    let what = match spot {
        Spot::Point(_) => "this place goes",
        Spot::Zone(_) => "all of it together goes",
        Spot::Wire(_) => "the places on this wire go",
    };
    let (before, after) = (said::chance(tap.before), said::chance(chance(ready, spot)));
    Some(format!("{} {how}: {what} from {before} to {after}.", short(tap.kind)))
}
