//! What is the whole plan? The output of `loomwalk plan` (03-formats §3) and what the walk shows.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::slice;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::file::{CircuitFile, Fuse};
use crate::circuit::fuse::TouchModel;
use crate::circuit::harness::{Harness, Place};
use crate::circuit::live_work::{NeverLive, never_live};
use crate::circuit::unplug::Unplugged;
use crate::ids::{AccessId, PointId, RunId, ZoneId};
use crate::search::belief::{Belief, update};
use crate::search::doubt::{Case, Doubt, Told, doubts};
use crate::search::electrics::{Electrics, Showed};
use crate::search::evidence::{EvidenceError, Observation};
use crate::search::legs::Leg;
use crate::search::lessons::{Count, Shop};
use crate::search::limits::{Limited, Limits};
use crate::search::point::{Point, PointKind, is_in, points};
use crate::search::prior::{Prior, prior};
use crate::search::sorted::{Sorted, sort};
use crate::search::suspects::Suspects;
use crate::search::test_value::Test;
use crate::vehicle::body::{AccessStep, ZoneMap, way_to};

mod tour;

use tour::{Route, Stop, Tour, Ways, right_before};

/// The value of `format` in a plan.
pub const FORMAT: &str = "loomwalk/plan";

/// The whole plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Plan {
    /// Always `loomwalk/plan`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// Every point with its chance given all evidence, in the order of the vehicle.
    pub points: Vec<PointChance>,
    /// Chance that the place is on none of the points.
    pub not_listed: f64,
    /// Σ chance × minutes elapsed at the end of that step ÷ Σ chance. `None` where no step has a chance.
    pub expected_minutes: Option<f64>,
    /// 1 − Σ chance: what the rest of this pass will not find.
    pub left_over: f64,
    /// Where places stand behind several covers and this order is not proven to be the best: no order that is allowed
    /// has a smaller `expected_minutes` than this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least_minutes: Option<f64>,
    /// What is done in one go, in order; the chance per minute never rises from one leg to the next. What was asked for
    /// first is in none of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub legs: Vec<Leg>,
    /// What the plan was held to; none: it is the whole pass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limited: Option<Limited>,
    /// What was assumed, and what contradicts itself, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// What is likely wrong where the places do not explain what was seen, the likeliest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub doubts: Vec<Doubt>,
    /// Tests that save more minutes than they take, the best first. `loomwalk plan` asks for them; a plan by itself has
    /// none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tests: Vec<Test>,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Step {
    /// Position, from 1.
    pub n: usize,
    /// `access:…` or `point:…`.
    pub id: String,
    /// Opening something, or looking.
    pub kind: StepKind,
    /// The access step that must stand before it.
    pub after: Option<AccessId>,
    /// Further access steps that must, where one alone does not do.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also_after: Vec<AccessId>,
    /// The zone; none for an access step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
    /// Minutes that it takes.
    pub minutes: f64,
    /// Chance that the place is here (0 for access).
    #[serde(default)]
    pub probability: f64,
    /// Chance that a look here sees it (0 for access).
    #[serde(default)]
    pub detect: f64,
    /// probability × detect.
    pub chance: f64,
    /// Running sum of `chance`.
    pub found_by: f64,
    /// What to do or where to look, in words.
    pub title: String,
    /// Runs that pass here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub runs: Vec<RunId>,
    /// Their colours.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub colours: Vec<String>,
    /// The strongest reasons, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub why: Vec<String>,
    /// Why it comes before what follows, in words. `loomwalk plan` says it; a plan by itself does not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why_next: Option<String>,
    /// What can hurt someone here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
}

/// Kinds of step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StepKind {
    /// Opens a part of the vehicle.
    Access,
    /// Looks at a point.
    Look,
}

/// A point and how likely it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PointChance {
    /// The point.
    pub id: PointId,
    /// Where it is.
    pub zone: ZoneId,
    /// Chance that the place is here, given all evidence.
    pub probability: f64,
}

/// What the person on the walk has said about it, beside the evidence.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Walk {
    /// Access steps that are done.
    pub open: BTreeSet<AccessId>,
    /// Points that cannot be reached now: they keep their chance and get no step.
    pub out_of_reach: BTreeSet<PointId>,
    /// Points that were seen sound since they were mended: no evidence, but no look either.
    pub proven: BTreeSet<PointId>,
    /// "Do another first": this point, after the access steps it needs, leads the plan.
    pub first: Option<PointId>,
    /// What was tried with the fuse open and does not fit it.
    pub told: Vec<Told>,
}

/// The list of points of a harness and how likely each is beforehand: made once a circuit, asked at each tap.
///
/// It remembers what it has computed for an operating state; clones share that memory.
#[derive(Debug, Clone)]
pub struct Search {
    pub(super) points: Vec<Point>,
    pub(super) places: HashMap<PointId, usize>,
    pub(super) prior: Prior,
    pub(super) electrics: Electrics,
    suspects: Suspects,
    shop: Shop,
    pub(super) never_live: NeverLive,
    pub(super) access: HashMap<AccessId, AccessStep>,
    notes: Vec<String>,
}

impl Search {
    /// Lists and weighs the points of a harness on that fuse, with touches of the lengths that ship with the program.
    pub fn new(harness: &Harness, map: &ZoneMap, fuse: &Fuse) -> Self {
        Self::touching(harness, map, fuse, TouchModel::stated())
    }

    /// Lists and weighs the points of a harness on that fuse, with touches of such lengths.
    pub fn touching(harness: &Harness, map: &ZoneMap, fuse: &Fuse, touches: TouchModel) -> Self {
        Self::knowing(harness, map, fuse, touches, (Suspects::default(), NeverLive::default()))
    }

    /// Lists and weighs the points of a circuit with all that its file says of touches and loads; `harness` is that of
    /// `file`.
    pub fn of_circuit(file: &CircuitFile, harness: &Harness, map: &ZoneMap) -> Self {
        let known = (Suspects::of(file, harness), never_live(file, harness));
        Self::knowing(harness, map, &file.fuse, TouchModel::of(file.touch), known)
    }

    fn knowing(
        harness: &Harness,
        map: &ZoneMap,
        fuse: &Fuse,
        touches: TouchModel,
        (suspects, never_live): (Suspects, NeverLive),
    ) -> Self {
        let points = points(harness, map);
        let prior = prior(&points, harness, &suspects);
        let mut notes = harness.assumptions.clone();
        if points.is_empty() {
            notes.push(
                "No wire of this circuit has a known way, so there is no place to look yet: say where its loads sit."
                    .to_owned(),
            );
        }
        let marks = points.iter().filter(|point| matches!(point.kind, PointKind::Mark(_)));
        let marked: HashSet<usize> = marks.flat_map(|point| &point.crossings).map(|crossing| crossing.run).collect();
        for mark in harness.marks.iter().filter(|mark| !marked.contains(&mark.run)) {
            let run = &harness.runs[mark.run].id;
            notes.push(format!("The mark on {run} is no place to look: that wire is never live before its load."));
        }
        for mark in harness.area_marks.iter().filter(|mark| !points.iter().any(|point| is_in(point, &mark.place))) {
            notes.push(format!(
                "The mark at \"{}\" changes nothing: no wire that is live before its load goes through there.",
                in_words(&mark.place, map)
            ));
        }
        Self {
            places: points.iter().enumerate().map(|(place, point)| (point.id.clone(), place)).collect(),
            prior,
            electrics: Electrics::new(harness, fuse, touches),
            suspects,
            shop: Shop::default(),
            never_live,
            access: map.access.iter().map(|step| (step.id.clone(), step.clone())).collect(),
            points,
            notes,
        }
    }

    /// The same places, as likely beforehand as a shop's closed jobs have taught.
    pub fn taught_by(mut self, shop: Shop) -> Self {
        if shop.counts.is_empty() {
            self.shop = shop;
            return self;
        }
        let listed = 1.0 - self.prior.not_listed;
        for guess in &mut self.prior.guesses {
            guess.chance *= shop.about(&self.points[guess.point]).map_or(1.0, Count::factor);
        }
        let all: f64 = self.prior.guesses.iter().map(|guess| guess.chance).sum();
        self.prior.guesses.iter_mut().filter(|_| all > 0.0).for_each(|guess| guess.chance *= listed / all);
        self.shop = shop;
        self
    }

    /// What the shop's closed jobs have taught.
    pub fn shop(&self) -> &Shop {
        &self.shop
    }

    /// All points, in the order of the vehicle.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The point of that id: what to look for, what the loom may touch, what can hurt someone.
    pub fn point(&self, id: &PointId) -> Option<&Point> {
        self.points.get(*self.places.get(id)?)
    }

    /// Whether every observation speaks of points, nodes and loads of this circuit.
    ///
    /// # Errors
    /// The first that does not, with its place in the file.
    pub fn check(&self, evidence: &[Observation]) -> Result<(), EvidenceError> {
        let electrics = &self.electrics;
        for (place, item) in evidence.iter().enumerate() {
            let unknown = |field: &str, what: &'static str, id: &str| EvidenceError::Unknown {
                pointer: format!("/items/{place}/{field}"),
                what,
                id: id.to_owned(),
            };
            match item {
                Observation::Look { point, .. } | Observation::Press { point, .. }
                    if !self.places.contains_key(point) =>
                {
                    return Err(unknown("point", "point", point.as_str()));
                }
                Observation::Unplugged { node: Some(node), .. } if electrics.plug_at_node(node).is_none() => {
                    return Err(unknown("node", "node", node.as_str()));
                }
                Observation::Unplugged { load: Some(load), .. } if electrics.plug_of_load(load).is_none() => {
                    return Err(unknown("load", "load", load.as_str()));
                }
                Observation::Meter { unplugged, .. } => {
                    for (nth, what) in unplugged.iter().enumerate() {
                        let field = |kind: &str| format!("unplugged/{nth}/{kind}");
                        match what {
                            Unplugged::Node(id) if electrics.plug_at_node(id).is_none() => {
                                return Err(unknown(&field("node"), "node", id.as_str()));
                            }
                            Unplugged::Load(id) if electrics.plug_of_load(id).is_none() => {
                                return Err(unknown(&field("load"), "load", id.as_str()));
                            }
                            _ => {}
                        }
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Whether that is a reading of an ohmmeter that shows a short: that more leads to ground than should.
    pub fn shows_a_short(&self, observation: &Observation) -> bool {
        let read = matches!(observation, Observation::Meter { .. });
        read && sort(slice::from_ref(observation), &self.electrics, &self.places)
            .meter
            .iter()
            .any(|(.., showed)| *showed == Showed::Less)
    }

    /// The plan given what was observed and said so far. The same input gives the same plan.
    ///
    /// Observations at points that this circuit does not have are left out, and a note says so.
    pub fn plan(&self, evidence: &[Observation], walk: &Walk) -> Plan {
        self.plan_within(evidence, walk, &Limits::default())
    }

    /// The plan for now: the set of steps with the greatest chance in the time, of those that can be reached, in the
    /// order with the least expected time.
    ///
    /// What was asked for first leads if it keeps within the limits; else it is left for another time.
    pub fn plan_within(&self, evidence: &[Observation], walk: &Walk, limits: &Limits) -> Plan {
        let sorted = sort(evidence, &self.electrics, &self.places);
        let belief = update(&self.points, &self.prior, &self.electrics, &sorted);
        let closed = self.closed_ways(walk);
        let right_before = closed.keys().map(|id| (*id, right_before(&closed, id))).collect();
        let tour = Tour { search: self, belief: &belief, sorted: &sorted, walk, limits, closed, right_before };
        let Route { stops, legs, at_least } = tour.in_order();
        let mut plan = Plan {
            format: FORMAT.to_owned(),
            version: 1,
            steps: Vec::with_capacity(stops.len()),
            points: self.chances(&belief),
            not_listed: belief.not_listed,
            expected_minutes: None,
            left_over: 1.0,
            at_least_minutes: None,
            legs,
            limited: None,
            notes: [&self.notes, &sorted.notes, &belief.notes].into_iter().flatten().cloned().collect(),
            doubts: self.doubts(&sorted, &belief, &walk.told),
            tests: Vec::new(),
        };
        let (mut found_by, mut elapsed, mut weighted) = (0.0, 0.0, 0.0);
        for (index, stop) in stops.into_iter().enumerate() {
            let mut step = match stop {
                Stop::Open(access) => tour.open(access),
                Stop::Look(place) => tour.look(place),
            };
            elapsed += step.minutes;
            found_by += step.chance;
            weighted += step.chance * elapsed;
            step.n = index + 1;
            step.found_by = found_by;
            plan.steps.push(step);
        }
        plan.expected_minutes = (found_by > 0.0).then(|| weighted / found_by);
        plan.left_over = 1.0 - found_by;
        plan.at_least_minutes = at_least.filter(|_| found_by > 0.0).map(|least| least / found_by);
        if !limits.is_none() {
            plan.limited = Some(tour.limited(&plan.steps));
        }
        plan
    }

    /// The steps still to be done to open each thing, in order; the innermost, that itself, is the last.
    fn closed_ways<'a>(&'a self, walk: &Walk) -> Ways<'a> {
        let still = |id| {
            let mut way = way_to(|id| self.access.get(id), Some(id));
            way.retain(|step| !walk.open.contains(&step.id));
            way
        };
        self.access.keys().map(|id| (id, still(id))).collect()
    }

    fn doubts(&self, sorted: &Sorted, belief: &Belief, told: &[Told]) -> Vec<Doubt> {
        let Self { prior, electrics, suspects, never_live, .. } = self;
        doubts(&Case { prior, electrics, suspects, never_live, sorted, belief, told })
    }

    fn chances(&self, belief: &Belief) -> Vec<PointChance> {
        let points = self.points.iter().zip(&belief.points);
        points
            .map(|(point, chance)| PointChance { id: point.id.clone(), zone: point.zone.clone(), probability: *chance })
            .collect()
    }
}

fn in_words<'m>(place: &'m Place, map: &'m ZoneMap) -> &'m str {
    match place {
        Place::Zone(zone) => map.zone(zone).map_or(zone.as_str(), |zone| &zone.label),
        Place::Passage(id) => map.passage(id).map_or(id.as_str(), |passage| &passage.label),
    }
}
