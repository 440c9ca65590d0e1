//! What do closed jobs teach about where wires rub? The file format `loomwalk/learned`, version 1, and what it changes.
//!
//! Of each closed job it is counted in what kinds of place the fault was found, and in how many the shipped tables would
//! have had it: the sum of their chances, given when the fuse opened but without any look. If faults are found `r` times
//! as often as told in a kind of place, the counts follow a Poisson distribution with mean `r × expected`; with a gamma
//! distribution of shape and rate `weight` beforehand, the mean of `r` is `(weight + found) / (weight + expected)`
//! (conjugate prior; as in A. Gelman et al., Bayesian Data Analysis, 3rd ed., §2.6, from memory). Kinds of place overlap,
//! so of all that a place is, the one with the strongest lesson counts, not their product.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::ids::{JobId, PointId};
use crate::objects;
use crate::search::belief::update;
use crate::search::evidence::Observation;
use crate::search::likelihood::tables;
use crate::search::plan::Search;
use crate::search::point::{Point, PointKind};
use crate::search::sorted::sort;
use crate::vehicle::body::PassageKind;

/// The value of `format` in a file of lessons.
pub const FORMAT: &str = "loomwalk/learned";
/// The newest major version that this program reads and the one it writes.
pub const VERSION: u32 = 1;

/// A kind of place: `edges:3`, or `kind:hinge_boot`.
pub type Feature = String;

/// What closed jobs have taught.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LearnedFile {
    /// Always `loomwalk/learned`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// One for each job, in the order of their ids.
    pub lessons: Vec<Lesson>,
}

/// What one closed job teaches. It names no vehicle and no customer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Lesson {
    /// Which job. A job teaches once: its newest lesson counts.
    pub job: JobId,
    /// In which kinds of place its faults were found, each as often as it was.
    pub found: BTreeMap<Feature, u32>,
    /// How many faults of it the shipped tables would have had there.
    pub expected: BTreeMap<Feature, f64>,
}

/// The counts of a shop: what a job reckons with from its beginning, so that its plan stays what it is.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Shop {
    /// How many jobs have taught it.
    pub jobs: u32,
    /// By kind of place.
    pub counts: Vec<Count>,
}

/// How often faults were found in a kind of place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Count {
    /// The kind of place.
    pub feature: Feature,
    /// How often.
    pub found: u32,
    /// How often the shipped tables would have had it.
    pub expected: f64,
}

impl Default for LearnedFile {
    fn default() -> Self {
        Self { format: FORMAT.to_owned(), version: VERSION, lessons: Vec::new() }
    }
}

impl LearnedFile {
    /// Reads what this program wrote. None: something else wrote it, or a newer version.
    pub fn read(text: &str) -> Option<Self> {
        // In a field that has no name of ours anything would do otherwise, such as a number past the largest: then
        // [`Shop::of_file`] refused what this takes.
        let _: Value = objects::from_str(text).ok()?;
        objects::from_str(text).ok().filter(|file: &Self| file.format == FORMAT && file.version == VERSION)
    }

    /// Puts a lesson in; an older one of the same job goes.
    pub fn put(&mut self, lesson: Lesson) {
        self.lessons.retain(|known| known.job != lesson.job);
        let place = self.lessons.partition_point(|known| known.job < lesson.job);
        self.lessons.insert(place, lesson);
    }

    /// The counts over all lessons. They do not depend on the order in which these came.
    pub fn shop(&self) -> Shop {
        let mut shop = Shop::default();
        for lesson in &self.lessons {
            lesson.expected.iter().for_each(|(feature, expected)| shop.count(feature, 0, *expected));
            lesson.found.iter().for_each(|(feature, found)| shop.count(feature, *found, 0.0));
            shop.jobs += 1;
        }
        shop
    }
}

impl Shop {
    /// The counts of a file of lessons, without the lessons: a phone needs no more of it. `None`: it is none that this
    /// version reads.
    pub fn of_file(text: &str) -> Option<Self> {
        let file: Value = objects::from_str(text).ok()?;
        if file.get("format")?.as_str()? != FORMAT || file.get("version")?.as_u64()? != u64::from(VERSION) {
            return None;
        }
        let mut shop = Self::default();
        for lesson in file.get("lessons")?.as_array()? {
            for (feature, expected) in lesson.get("expected")?.as_object()? {
                shop.count(feature, 0, expected.as_f64()?);
            }
            for (feature, found) in lesson.get("found")?.as_object()? {
                shop.count(feature, u32::try_from(found.as_u64()?).ok()?, 0.0);
            }
            shop.jobs += 1;
        }
        Some(shop)
    }

    fn count(&mut self, feature: &str, found: u32, expected: f64) {
        if !expected.is_finite() {
            return;
        }
        let place = self.counts.partition_point(|known| known.feature.as_str() < feature);
        if self.counts.get(place).is_none_or(|known| known.feature != feature) {
            self.counts.insert(place, Count { feature: feature.to_owned(), found: 0, expected: 0.0 });
        }
        let known = &mut self.counts[place];
        known.found = known.found.saturating_add(found);
        // Past the largest number there is no way to write it down.
        known.expected = (known.expected + expected.max(0.0)).min(f64::MAX);
    }
}

impl Count {
    /// How many times likelier than the shipped tables have it a fault is in such a place.
    pub fn factor(&self) -> f64 {
        let weight = tables().learned.weight;
        let expected = if self.expected.is_finite() { self.expected.max(0.0) } else { 0.0 };
        (weight + f64::from(self.found)) / (weight + expected)
    }

    /// In words, such as `at hinges: 7 found, 3.2 were to be expected (jobs: 11)`. A job can have several faults.
    pub fn in_words(&self, jobs: u32) -> String {
        let (found, expected) = (self.found, self.expected);
        format!("{}: {found} found, {expected:.1} were to be expected (jobs: {jobs})", feature_words(&self.feature))
    }
}

impl Shop {
    /// The strongest lesson about a place.
    pub fn about(&self, point: &Point) -> Option<&Count> {
        if self.counts.is_empty() {
            return None;
        }
        let features = features(point);
        let strength = |count: &Count| count.factor().ln().abs();
        let mut strongest: Option<&Count> = None;
        for count in self.counts.iter().filter(|count| features.contains(&count.feature)) {
            if strongest.is_none_or(|known| strength(count) > strength(known)) {
                strongest = Some(count);
            }
        }
        strongest
    }
}

impl Search {
    /// What a job teaches whose faults were found at these points, given when its fuse opened. Of a search without
    /// lessons. None where no place of it is one of these.
    pub fn lesson(&self, job: JobId, evidence: &[Observation], found: &[PointId]) -> Option<Lesson> {
        let found: Vec<&Point> = found.iter().filter_map(|id| self.point(id)).collect();
        if found.is_empty() {
            return None;
        }
        // What was found by looking and pressing is what is to be explained.
        let is_cause = |item: &&Observation| !matches!(item, Observation::Look { .. } | Observation::Press { .. });
        let evidence: Vec<Observation> = evidence.iter().filter(is_cause).cloned().collect();
        let sorted = sort(&evidence, &self.electrics, &self.places);
        let belief = update(&self.points, &self.prior, &self.electrics, &sorted);
        let listed: f64 = belief.points.iter().sum();
        let mut lesson = Lesson { job, found: BTreeMap::new(), expected: BTreeMap::new() };
        for (point, chance) in self.points.iter().zip(&belief.points).filter(|_| listed > 0.0) {
            for feature in features(point) {
                *lesson.expected.entry(feature).or_default() += chance / listed * found.len() as f64;
            }
        }
        for feature in found.into_iter().flat_map(features) {
            *lesson.found.entry(feature).or_default() += 1;
        }
        Some(lesson)
    }
}

/// What a place is.
fn features(point: &Point) -> Vec<Feature> {
    let exposures = point.exposures;
    let grades = [
        ("heat", exposures.heat),
        ("movement", exposures.movement),
        ("vibration", exposures.vibration),
        ("edges", exposures.edges),
        ("water", exposures.water),
        ("disturbance", exposures.disturbance),
    ];
    // Little or nothing of it makes no kind of place.
    let mut features: Vec<Feature> =
        grades.into_iter().filter(|(_, grade)| *grade >= 2).map(|(name, grade)| format!("{name}:{grade}")).collect();
    let kind = match &point.kind {
        PointKind::Zone { .. } => "loom",
        PointKind::Plug => "plug",
        PointKind::Mark(_) => "mark",
        PointKind::Passage(PassageKind::Open) => "open",
        PointKind::Passage(PassageKind::Grommet) => "grommet",
        PointKind::Passage(PassageKind::HingeBoot) => "hinge_boot",
        PointKind::Passage(PassageKind::SeatLoop) => "seat_loop",
        PointKind::Passage(PassageKind::FrameHole) => "frame_hole",
        PointKind::Passage(PassageKind::ColumnLoop) => "column_loop",
        PointKind::Passage(PassageKind::OutsidePlug) => "outside_plug",
    };
    features.push(format!("kind:{kind}"));
    features
}

fn feature_words(feature: &str) -> String {
    let words = match feature.split_once(':') {
        Some(("kind", "loom")) => "along a loom",
        Some(("kind", "plug")) => "at plugs",
        Some(("kind", "mark")) => "at marks",
        Some(("kind", "open")) => "at open ways through",
        Some(("kind", "grommet")) => "at grommets",
        Some(("kind", "hinge_boot")) => "at hinges",
        Some(("kind", "seat_loop")) => "at seat loops",
        Some(("kind", "frame_hole")) => "at holes in the frame",
        Some(("kind", "column_loop")) => "at the steering column",
        Some(("kind", "outside_plug")) => "at plugs outside",
        Some(("heat", "3")) => "in the hottest places",
        Some(("heat", _)) => "in hot places",
        Some(("movement", "3")) => "where it moves most",
        Some(("movement", _)) => "where it moves",
        Some(("vibration", "3")) => "where it shakes most",
        Some(("vibration", _)) => "where it shakes",
        Some(("edges", "3")) => "at the worst edges",
        Some(("edges", _)) => "at edges and bare metal",
        Some(("water", "3")) => "in the wettest places",
        Some(("water", _)) => "in wet places",
        Some(("disturbance", "3")) => "where people work most",
        Some(("disturbance", _)) => "where people work",
        _ => feature,
    };
    words.to_owned()
}
