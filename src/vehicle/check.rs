//! Is a zone map sound that someone else wrote? Its names, its access tree, its numbers, and whether all is reached.

use std::collections::{BTreeMap, BTreeSet};

use super::body::{AccessStep, Exposures, FORMAT, ZoneMap};
use crate::circuit::check::Problem;
use crate::gather::Gather as _;
use crate::ids::{AccessId, ZoneId};
use crate::objects::pointer;

/// The version that this program reads.
pub const VERSION: u32 = 1;
/// No list of a map is longer: a vehicle has some forty zones.
const MOST_ENTRIES: usize = 1000;
/// How many problems are told at once: more than that helps nobody.
const MOST_PROBLEMS: usize = 50;
/// No step and no look takes longer, in minutes.
const MOST_MINUTES: f64 = 600.0;
/// No step needs more others at once, beside the first.
const MOST_NEEDS: usize = 8;
/// No zone and no passage is longer, in metres.
const MOST_METRES: f64 = 100.0;

/// Why a zone map cannot be used. Shown one problem a line, each with a JSON pointer (RFC 6901).
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MapError {
    /// It is no JSON, or not of the format's shape.
    #[error("{place}: {what}")]
    Shape {
        /// Where.
        place: String,
        /// What is wrong there.
        what: String,
    },
    /// It is something else.
    #[error("/format: the file's format is {0:?}; this reads the format \"{FORMAT}\"")]
    Format(String),
    /// It is of another version.
    #[error("/version: the file has version {0} of {FORMAT}; this reads version {VERSION}: get a newer Loomwalk")]
    Version(u32),
    /// It makes no sense.
    #[error("{}", lines(.0))]
    Unsound(Vec<Problem>),
}

fn lines(problems: &[Problem]) -> String {
    problems.iter().map(Problem::to_string).collect::<Vec<_>>().join("\n")
}

/// Reads a zone map.
///
/// # Errors
/// [`MapError`]: what is wrong, where, and what would be right.
pub fn read(json: &[u8]) -> Result<ZoneMap, MapError> {
    #[derive(serde::Deserialize)]
    struct Head {
        format: Option<String>,
        version: Option<u32>,
    }
    // Format and version come first: of another version, the rest would only be misread.
    if let Ok(head) = serde_json::from_slice::<Head>(json) {
        if let Some(format) = head.format.filter(|format| format != FORMAT) {
            return Err(MapError::Format(format.chars().take(60).collect()));
        }
        if let Some(version) = head.version.filter(|version| *version != VERSION) {
            return Err(MapError::Version(version));
        }
    }
    let mut reader = serde_json::Deserializer::from_slice(json);
    let map: ZoneMap = serde_path_to_error::deserialize(&mut reader).map_err(|error| {
        let place = match pointer(error.path()) {
            whole if whole.is_empty() => "the file".to_owned(),
            place => place,
        };
        let what = error.inner().to_string();
        // Line and column count in a text that nobody has seen; the place says it already.
        let what = what.rsplit_once(" at line ").map_or(what.as_str(), |(what, _)| what).to_owned();
        MapError::Shape { place, what }
    })?;
    let problems = problems(&map);
    if problems.is_empty() { Ok(map) } else { Err(MapError::Unsound(problems)) }
}

/// What is wrong with a map; at most the first fifty things.
pub fn problems(map: &ZoneMap) -> Vec<Problem> {
    let mut told = Told { map, problems: Vec::new() };
    if told.short_enough() {
        told.steps();
        told.parts();
        told.passages();
        told.stand_ins();
        told.reach();
    }
    told.problems.truncate(MOST_PROBLEMS);
    told.problems
}

struct Told<'m> {
    map: &'m ZoneMap,
    problems: Vec<Problem>,
}

impl Told<'_> {
    fn add(&mut self, pointer: String, wrong: impl Into<String>, right: impl Into<String>) {
        self.problems.push(Problem { pointer, wrong: wrong.into(), right: right.into() });
    }

    /// A number that must lie above zero.
    fn above_zero(&mut self, pointer: String, value: f64, most: f64, what: &str) {
        // Not a number lies in no range.
        if !(value > 0.0 && value <= most) {
            self.add(pointer, format!("it is {value}"), format!("{what} is more than 0 and at most {most}"));
        }
    }

    /// Lists of sane lengths, so that comparing all with all takes no time worth speaking of.
    fn short_enough(&mut self) -> bool {
        let map = self.map;
        let lists = [
            ("/access", map.access.len()),
            ("/zones", map.zones.len()),
            ("/passages", map.passages.len()),
            ("/stands_for", map.stands_for.len()),
            ("/grounds", map.grounds.len()),
        ];
        for (list, count) in lists.into_iter().filter(|(_, count)| *count > MOST_ENTRIES) {
            self.add(list.to_owned(), format!("it has {count} entries"), format!("write at most {MOST_ENTRIES}"));
        }
        self.problems.is_empty()
    }

    fn unique<'i>(&mut self, list: &str, ids: impl Iterator<Item = &'i str>) {
        let mut first: BTreeMap<&str, usize> = BTreeMap::new();
        for (at, id) in ids.enumerate() {
            if let Some(taken) = first.get(id) {
                let wrong = format!("the id \"{id}\" is taken by {list}/{taken}");
                self.add(format!("{list}/{at}/id"), wrong, "give each its own id");
            } else {
                first.insert(id, at);
            }
        }
    }

    fn known_zone(&mut self, pointer: String, zone: &ZoneId) {
        if !self.map.zones.iter().any(|own| own.id == *zone) {
            self.add(pointer, format!("there is no zone \"{zone}\" in this map"), "name one of its zones");
        }
    }

    fn known_step(&mut self, pointer: String, step: Option<&AccessId>) {
        if let Some(step) = step.filter(|step| self.map.access(step).is_none()) {
            self.add(pointer, format!("there is no access step \"{step}\""), "name one of /access, or leave it out");
        }
    }

    fn steps(&mut self) {
        let map = self.map;
        self.unique("/access", map.access.iter().map(|step| step.id.as_str()));
        if let Some(lengths) = map.lengths {
            self.above_zero("/lengths/short".to_owned(), lengths.short, 10.0, "a factor of length");
            self.above_zero("/lengths/long".to_owned(), lengths.long, 10.0, "a factor of length");
        }
        let circle = in_a_circle(map);
        for (at, step) in map.access.iter().enumerate() {
            let place = format!("/access/{at}");
            if !step.id.as_str().starts_with("access:") {
                self.add(format!("{place}/id"), format!("it is \"{}\"", step.id), "start it with \"access:\"");
            }
            self.above_zero(format!("{place}/minutes"), step.minutes, MOST_MINUTES, "the time of a step");
            self.known_step(format!("{place}/after"), step.after.as_ref());
            for (nth, before) in step.also_after.iter().enumerate() {
                self.known_step(format!("{place}/also_after/{nth}"), Some(before));
            }
            if step.also_after.len() > MOST_NEEDS {
                let wrong = format!("it has {} entries", step.also_after.len());
                self.add(format!("{place}/also_after"), wrong, format!("write at most {MOST_NEEDS}"));
            }
            if step.after.is_none() && !step.also_after.is_empty() {
                self.add(format!("{place}/also_after"), "there is no \"after\"", "name the first of them in \"after\"");
            }
            if circle.contains(&step.id) {
                let wrong = format!("\"{}\" comes after itself, directly or by way of others", step.id);
                self.add(format!("{place}/after"), wrong, "break the circle: some step needs no other");
            }
        }
    }

    fn parts(&mut self) {
        let map = self.map;
        self.unique("/zones", map.zones.iter().map(|zone| zone.id.as_str()));
        if map.zones.is_empty() {
            self.add("/zones".to_owned(), "it is empty", "list the parts that one can look into");
        }
        for (at, zone) in map.zones.iter().enumerate() {
            let place = format!("/zones/{at}");
            self.known_step(format!("{place}/access"), zone.access.as_ref());
            self.look(&place, zone.exposures, zone.look_minutes, zone.detect, zone.metres);
            let [x, y, width, height] = zone.shape;
            let inside = x >= 0.0 && y >= 0.0 && width > 0.0 && height > 0.0;
            if !(inside && x + width <= 100.0 && y + height <= 200.0) {
                let right = "write x, y, width and height on a sheet 100 wide and 200 long";
                self.add(format!("{place}/shape"), format!("{:?} is not on the sheet", zone.shape), right);
            }
        }
    }

    fn look(&mut self, place: &str, on: Exposures, minutes: f64, detect: f64, metres: f64) {
        self.above_zero(format!("{place}/look_minutes"), minutes, MOST_MINUTES, "the time of a look");
        self.above_zero(format!("{place}/metres"), metres, MOST_METRES, "a length");
        if !(0.0..=1.0).contains(&detect) {
            self.add(format!("{place}/detect"), format!("it is {detect}"), "a chance is from 0 to 1");
        }
        let Exposures { heat, movement, vibration, edges, water, disturbance } = on;
        let all = [
            ("heat", heat),
            ("movement", movement),
            ("vibration", vibration),
            ("edges", edges),
            ("water", water),
            ("disturbance", disturbance),
        ];
        for (name, grade) in all.into_iter().filter(|(_, grade)| *grade > 3) {
            self.add(format!("{place}/exposures/{name}"), format!("it is {grade}"), "an exposure is from 0 to 3");
        }
    }

    fn passages(&mut self) {
        let map = self.map;
        self.unique("/passages", map.passages.iter().map(|passage| passage.id.as_str()));
        for (at, passage) in map.passages.iter().enumerate() {
            let place = format!("/passages/{at}");
            for (end, zone) in passage.between.iter().enumerate() {
                self.known_zone(format!("{place}/between/{end}"), zone);
            }
            if passage.between[0] == passage.between[1] {
                let wrong = format!("both its ends are at \"{}\"", passage.between[0]);
                self.add(format!("{place}/between"), wrong, "name two different zones");
            }
            self.known_step(format!("{place}/access"), passage.access.as_ref());
            self.look(&place, passage.exposures, passage.look_minutes, passage.detect, passage.metres);
            if !(0.0..=MOST_METRES).contains(&passage.detour_m) {
                let right = format!("a detour is from 0 to {MOST_METRES} m");
                self.add(format!("{place}/detour_m"), format!("it is {}", passage.detour_m), right);
            }
        }
    }

    fn stand_ins(&mut self) {
        for (lacking, has) in &self.map.stands_for {
            let place = format!("/stands_for/{}", lacking.as_str().replace('~', "~0").replace('/', "~1"));
            if self.map.zones.iter().any(|zone| zone.id == *lacking) {
                self.add(place.clone(), "this map has that zone itself", "leave it out");
            }
            self.known_zone(place, has);
        }
        for (at, ground) in self.map.grounds.iter().enumerate() {
            self.known_zone(format!("/grounds/{at}"), ground);
        }
    }

    /// Every zone must be reached from the first: a loom has no other way than through passages.
    fn reach(&mut self) {
        let Some(first) = self.map.zones.first() else { return };
        let mut reached = BTreeSet::from([&first.id]);
        let mut open = vec![&first.id];
        while let Some(here) = open.pop() {
            for passage in self.map.passages.iter().filter(|passage| passage.between.contains(here)) {
                open.extend(passage.between.iter().filter(|end| reached.insert(end)));
            }
        }
        for (at, zone) in self.map.zones.iter().enumerate().filter(|(_, zone)| !reached.contains(&zone.id)) {
            let wrong = format!("no passages lead from \"{}\" to \"{}\"", first.id, zone.id);
            self.add(format!("/zones/{at}/id"), wrong, "add the passage by which a loom gets there");
        }
    }
}

/// The steps that come after themselves, directly or by way of others, and what lies between two such circles.
fn in_a_circle(map: &ZoneMap) -> BTreeSet<&AccessId> {
    let mut left: Vec<&AccessStep> = map.access.iter().collect();
    loop {
        // Whatever needs none of those left, or is needed by none of them, is in no circle of theirs.
        let ids: BTreeSet<&AccessId> = left.iter().map(|step| &step.id).gather();
        let needed: BTreeSet<&AccessId> = left.iter().flat_map(|step| step.needs()).gather();
        let before = left.len();
        left.retain(|step| needed.contains(&step.id) && step.needs().any(|need| ids.contains(need)));
        if left.len() == before {
            return ids;
        }
    }
}
