//! Where on this harness could rubbing happen? Its points: passages, marks, plugs and stretches of loom.
//!
//! Points depend on the circuit and the zone map only, never on evidence, and so do their ids:
//! `point:zone:<zone>`, `point:passage:<passage>`, `point:plug:<node>`, `point:<run>@<metres>`.
//! Wires that lie together share a point. Wires behind a load, or never live, make none.

use std::collections::{BTreeMap, BTreeSet};

use crate::circuit::file::MarkKind;
use crate::circuit::harness::{AreaMark, Harness, HarnessMark, HarnessRun, NodeIx, NodeKind, Place, Stretch};
use crate::circuit::live::live_runs;
use crate::gather::{Gather as _, Order as _};
use crate::ids::{AccessId, PassageId, PointId, RunId, ZoneId};
use crate::search::likelihood::tables;
use crate::vehicle::body::{Exposures, PassageKind, Zone, ZoneMap, way_to};

/// A place where rubbing could happen.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Its id.
    pub id: PointId,
    /// What it is.
    pub kind: PointKind,
    /// The zone from which it is looked at.
    pub zone: ZoneId,
    /// Where to look, in words.
    pub title: String,
    /// The step that opens it; none: it is in plain sight.
    pub access: Option<AccessId>,
    /// Minutes that a look takes.
    pub minutes: f64,
    /// Chance that a look sees damage that is there.
    pub detect: f64,
    /// What the loom is exposed to.
    pub exposures: Exposures,
    /// It swings with a door, lid or tailgate.
    pub hinged: bool,
    /// What a loom rubs on there.
    pub contacts: Vec<String>,
    /// What to look for.
    pub look_for: String,
    /// What keeps the loom from rubbing there when all is in order, if the map says so.
    pub protected_by: Option<String>,
    /// What can hurt someone.
    pub caution: Option<String>,
    /// Fuel vapour may be about: nothing that sparks.
    pub fuel_vapour: bool,
    /// Wires of airbags or belt pretensioners are here, too: no test is proposed that presses or pulls apart with the
    /// current on.
    pub restraint: bool,
    /// Where wires that can be live go through it.
    pub crossings: Vec<Crossing>,
    /// Those wires.
    pub runs: Vec<RunId>,
    /// Their colours, as far as known.
    pub colours: Vec<String>,
    /// What was marked for the passage or for all of the zone, each once, beyond what was marked at the place itself.
    pub marks: Vec<MarkKind>,
}

impl Point {
    /// Its wires, each with its share of the point's chance beforehand: in a zone by metres, else alike. They sum to 1.
    ///
    /// A wire with a stated way crosses a passage in no metres, as those of its zones hold them: it rubs there as well as one
    /// whose way was assumed.
    pub fn shares(&self) -> impl Iterator<Item = (&Crossing, f64)> {
        let in_zone = matches!(self.kind, PointKind::Zone { .. });
        let metres: f64 = self.crossings.iter().map(|crossing| crossing.metres).sum();
        let wires = self.crossings.len() as f64;
        let share = move |here: f64| if in_zone && metres > 0.0 { here / metres } else { 1.0 / wires };
        self.crossings.iter().map(move |crossing| (crossing, share(crossing.metres)))
    }
}

/// What a point is.
#[derive(Debug, Clone, PartialEq)]
pub enum PointKind {
    /// A stretch of loom in a zone.
    Zone {
        /// Metres of loom: those of the longest wire in it.
        metres: f64,
    },
    /// The way from one zone into another.
    Passage(PassageKind),
    /// Something that can be unplugged.
    Plug,
    /// A place that the technician marked.
    Mark(Vec<MarkKind>),
}

/// A wire that goes through a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Index in [`Harness::runs`].
    pub run: usize,
    /// Where on the run, as a fraction 0..1 from its `from` end.
    pub at: f64,
    /// Metres of the run here; 0 at a plug or a mark.
    pub metres: f64,
}

/// All points of a harness in the order of the vehicle: by zone as someone walks around it, then by id.
pub fn points(harness: &Harness, map: &ZoneMap) -> Vec<Point> {
    let mut found: BTreeMap<PointId, Point> = BTreeMap::new();
    let live = live_runs(harness, |_| true, &BTreeSet::new());
    let site = Site { map };
    let mut marks: BTreeMap<usize, Vec<&HarnessMark>> = BTreeMap::new();
    for mark in &harness.marks {
        marks.entry(mark.run).or_default().push(mark);
    }
    for (index, run) in harness.runs.iter().enumerate().filter(|(index, _)| live[*index]) {
        let way = Way::of(run);
        for (place, stretch) in run.path.iter().enumerate() {
            let point = site.at(&way, place);
            let metres = stretch.metres.0;
            cross(&mut found, point, Crossing { run: index, at: way.fraction(way.ends[place] - metres / 2.0), metres });
        }
        for (node, at) in [(run.from, 0.0), (run.to, 1.0)] {
            if matches!(harness.nodes[node.0].kind, NodeKind::Connector(_))
                && let Some(point) = site.plug(harness, node, zone_at_end(run, at == 0.0))
            {
                cross(&mut found, point, Crossing { run: index, at, metres: 0.0 });
            }
        }
        for mark in marks.get(&index).into_iter().flatten() {
            let along = run.along_way(mark.at).0;
            let point = site.mark(&way, along, mark);
            cross(&mut found, point, Crossing { run: index, at: way.fraction(along), metres: 0.0 });
        }
    }
    let mut points: Vec<Point> = found.into_values().collect();
    let walk: BTreeMap<&ZoneId, usize> = map.zones.iter().enumerate().map(|(place, zone)| (&zone.id, place)).gather();
    points.order_by_key(|point| walk.get(&point.zone).copied().unwrap_or(usize::MAX));
    for point in &mut points {
        name_wires(point, harness);
        point.marks = marked_around(point, &harness.area_marks);
    }
    points
}

/// The id of the point at a passage.
pub fn at_passage(passage: &PassageId) -> PointId {
    PointId(format!("point:passage:{passage}"))
}

/// What marks of passages and zones say of a point, each kind once.
fn marked_around(point: &Point, marks: &[AreaMark]) -> Vec<MarkKind> {
    let own: &[MarkKind] = if let PointKind::Mark(kinds) = &point.kind { kinds } else { &[] };
    let mut kinds = Vec::new();
    for mark in marks.iter().filter(|mark| is_in(point, &mark.place)) {
        if !own.contains(&mark.kind) && !kinds.contains(&mark.kind) {
            kinds.push(mark.kind);
        }
    }
    kinds
}

/// Whether a point is the one at that passage, or one in that zone.
pub fn is_in(point: &Point, place: &Place) -> bool {
    match place {
        Place::Zone(zone) => point.zone == *zone,
        Place::Passage(passage) => point.id == at_passage(passage),
    }
}

/// Adds a wire to a point, which is made if it is not there yet. Wires come one after another.
fn cross(found: &mut BTreeMap<PointId, Point>, point: Point, crossing: Crossing) {
    let there = found.entry(point.id.clone()).or_insert_with(|| Point { kind: empty(&point.kind), ..point.clone() });
    if let (PointKind::Mark(kinds), PointKind::Mark(more)) = (&mut there.kind, point.kind) {
        kinds.extend(more.into_iter().filter(|kind| !kinds.contains(kind)).collect::<Vec<_>>());
    }
    let here = match there.crossings.last_mut().filter(|other| other.run == crossing.run) {
        // The wire comes through here twice: one place, with all its metres.
        Some(other) => {
            other.metres += crossing.metres;
            other.metres
        }
        None => {
            there.crossings.push(crossing);
            crossing.metres
        }
    };
    if let PointKind::Zone { metres } = &mut there.kind {
        *metres = metres.max(here);
    }
}

/// The kind of a point before its first wire.
fn empty(kind: &PointKind) -> PointKind {
    match kind {
        PointKind::Mark(_) => PointKind::Mark(Vec::new()),
        other => other.clone(),
    }
}

fn name_wires(point: &mut Point, harness: &Harness) {
    let runs = point.crossings.iter().map(|crossing| &harness.runs[crossing.run]);
    point.runs = runs.clone().map(|run| run.id.clone()).collect();
    let colours: BTreeSet<&String> = runs.filter_map(|run| run.colour.as_ref()).gather();
    point.colours = colours.into_iter().cloned().collect();
}

/// A run's way, measured along it.
struct Way<'run> {
    run: &'run HarnessRun,
    /// Metres from the `from` end to the end of each stretch.
    ends: Vec<f64>,
}

impl<'run> Way<'run> {
    fn of(run: &'run HarnessRun) -> Self {
        let mut end = 0.0;
        let ends = run.path.iter().map(|stretch| {
            end += stretch.metres.0;
            end
        });
        Self { run, ends: ends.collect() }
    }

    /// A place on it, so many metres along its stretches, as a fraction 0..1.
    fn fraction(&self, metres: f64) -> f64 {
        let way = self.ends.last().copied().filter(|way| *way > 0.0).unwrap_or(self.run.length.0);
        if way > 0.0 { (metres / way).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// The stretch so many metres along them, or the last one.
    fn stretch_at(&self, metres: f64) -> usize {
        self.ends.partition_point(|end| *end < metres).min(self.ends.len().saturating_sub(1))
    }
}

fn zone_of(stretch: &Stretch) -> Option<&ZoneId> {
    match &stretch.place {
        Place::Zone(zone) => Some(zone),
        Place::Passage(_) => None,
    }
}

/// The zone nearest to an end of a run: its `from` end, or the other.
fn zone_at_end(run: &HarnessRun, from: bool) -> Option<&ZoneId> {
    let mut zones = run.path.iter().filter_map(zone_of);
    if from { zones.next() } else { zones.next_back() }
}

/// How a stretch of loom is called.
const ALONG: &str = "Along the loom: ";

/// Makes points from what the zone map knows about a place.
struct Site<'map> {
    map: &'map ZoneMap,
}

impl Site<'_> {
    /// Whether what must be opened for a place lays wires of airbags or pretensioners open.
    fn opens_a_restraint(&self, access: Option<&AccessId>) -> bool {
        way_to(|id| self.map.access(id), access).into_iter().any(|step| step.restraint)
    }

    fn zone(&self, id: &ZoneId) -> Point {
        let look = &tables().look;
        let known = self.map.zone(id);
        let id = known.map_or(id, |zone| &zone.id);
        // A zone that the map does not know is still a place to look, on plain assumptions.
        let blank = Point {
            id: PointId(format!("point:zone:{id}")),
            kind: PointKind::Zone { metres: 0.0 },
            zone: id.clone(),
            title: format!("{ALONG}{id}"),
            access: None,
            minutes: look.unknown_minutes,
            detect: look.unknown_detect,
            exposures: Exposures::default(),
            hinged: tables().motion.hinged_zones.contains(id),
            contacts: Vec::new(),
            look_for: String::new(),
            protected_by: None,
            caution: None,
            fuel_vapour: false,
            restraint: false,
            crossings: Vec::new(),
            runs: Vec::new(),
            colours: Vec::new(),
            marks: Vec::new(),
        };
        let Some(zone) = known else {
            return blank;
        };
        Point {
            title: if zone.label.starts_with("Along ") { zone.label.clone() } else { format!("{ALONG}{}", zone.label) },
            access: zone.access.clone(),
            minutes: zone.look_minutes,
            detect: zone.detect.min(look.detect_most),
            exposures: zone.exposures,
            contacts: zone.contacts.clone(),
            look_for: zone.look_for.clone(),
            caution: zone.caution.clone(),
            fuel_vapour: zone.fuel_vapour,
            restraint: zone.restraint || self.opens_a_restraint(zone.access.as_ref()),
            ..blank
        }
    }

    /// The passage at `place` of a way. It is looked at from the side that the same step opens, else from the
    /// side nearer the fuse.
    fn passage(&self, id: &PassageId, path: &[Stretch], place: usize) -> Point {
        let before = path[..place].iter().rev().find_map(zone_of);
        let after = path[place + 1..].iter().find_map(zone_of);
        let Some(passage) = self.map.passage(id) else {
            let zone = before.or(after).cloned().unwrap_or_else(|| ZoneId(id.to_string()));
            let nearby = self.zone(&zone);
            let kind = PointKind::Passage(PassageKind::Open);
            return Point { id: at_passage(id), kind, title: id.to_string(), ..nearby };
        };
        let opened_with = |zone: &&ZoneId| self.map.zone(zone).is_some_and(|zone| zone.access == passage.access);
        let zone = passage.between.iter().find(opened_with).unwrap_or(&passage.between[0]);
        let beside: Vec<&Zone> = passage.between.iter().filter_map(|zone| self.map.zone(zone)).collect();
        let restraint = passage.restraint || self.opens_a_restraint(passage.access.as_ref());
        Point {
            id: at_passage(id),
            kind: PointKind::Passage(passage.kind),
            title: passage.label.clone(),
            access: passage.access.clone(),
            minutes: passage.look_minutes,
            detect: passage.detect.min(tables().look.detect_most),
            exposures: passage.exposures,
            hinged: passage.kind == PassageKind::HingeBoot,
            contacts: passage.contacts.clone(),
            look_for: passage.look_for.clone(),
            protected_by: passage.protected_by.clone(),
            caution: passage.caution.clone(),
            fuel_vapour: passage.fuel_vapour || beside.iter().any(|zone| zone.fuel_vapour),
            restraint: restraint || beside.iter().any(|zone| zone.restraint),
            ..self.zone(zone)
        }
    }

    /// `None`: nobody knows where it is, so nobody can be sent there.
    fn plug(&self, harness: &Harness, node: NodeIx, end: Option<&ZoneId>) -> Option<Point> {
        let node = &harness.nodes[node.0];
        let nearby = self.zone(node.zone.as_ref().or(end)?);
        let name = if node.label.is_empty() { node.id.as_str() } else { &node.label };
        let title = match name.strip_prefix("plug ") {
            Some(rest) => format!("Plug {rest}"),
            None => format!("Plug: {name}"),
        };
        Some(Point {
            id: PointId(format!("point:plug:{}", node.id)),
            kind: PointKind::Plug,
            title,
            minutes: tables().look.plug_minutes,
            ..nearby
        })
    }

    /// The point of a mark that is so many metres along the way.
    fn mark(&self, way: &Way, along: f64, mark: &HarnessMark) -> Point {
        let nearby = self.at(way, way.stretch_at(along));
        let look = &tables().look;
        let place = nearby.title.trim_start_matches(ALONG);
        let what = if mark.note.is_empty() { mark_words(mark.kind) } else { &mark.note };
        Point {
            id: PointId(format!("point:{}@{}", way.run.id, mark.at.0)),
            title: format!("{place}: {what}"),
            kind: PointKind::Mark(vec![mark.kind]),
            minutes: look.mark_minutes,
            // The place is known: the look is aimed at it.
            detect: nearby.detect.max(look.directed),
            ..nearby
        }
    }

    /// What is at a stretch of a run's way.
    fn at(&self, way: &Way, place: usize) -> Point {
        match way.run.path.get(place).map(|stretch| &stretch.place) {
            Some(Place::Zone(zone)) => self.zone(zone),
            Some(Place::Passage(passage)) => self.passage(passage, &way.run.path, place),
            None => self.zone(&ZoneId(way.run.id.to_string())),
        }
    }
}

/// What was noticed, in words.
pub fn mark_words(kind: MarkKind) -> &'static str {
    match kind {
        MarkKind::Heat => "close to something hot",
        MarkKind::Moves => "moves with another part",
        MarkKind::TouchesMetal => "lies against metal",
        MarkKind::Edge => "crosses an edge",
        MarkKind::NoGrommet => "grommet missing",
        MarkKind::ClipMissing => "clip missing",
        MarkKind::RepairedBefore => "repaired before",
        MarkKind::AddedAfterwards => "added afterwards",
        MarkKind::Wet => "gets wet",
        MarkKind::Other => "marked",
    }
}
