//! Does each value make sense by itself? Bounds of numbers, lengths of texts and lists, colours, catalogue entries.
//!
//! The upper bounds are far above anything on a road vehicle: they keep slips of the keyboard and absurd
//! numbers out of the computation, nothing else.

use super::problem::{Problems, pointer_part, quoted};
use crate::catalogue;
use crate::circuit::colour::{WireColour, code_list};
use crate::circuit::file::{CircuitFile, FORMAT, Joint, Load, Mark, MarkPlace, Run, Switch, TouchLengths, VERSION};
use crate::circuit::mark::{NoPlace, WrittenMark};
use crate::ids::Condition;

/// No list of a file is longer than this.
pub const MOST_ENTRIES: usize = 20_000;
const MOST_OPTIONS: usize = 1_000;
const MOST_PATH_PARTS: usize = 1_000;
const MOST_CONDITIONS: usize = 32;
/// Lengths of ids and names, labels, and notes, in bytes.
const MOST_NAME: usize = 200;
const MOST_LABEL: usize = 1_000;
const MOST_NOTE: usize = 10_000;
/// Ids of what expansion adds.
pub(super) const RESERVED: &str = "assumed:";

/// Where a number must be more than 0, what is below this is as good as 0: nothing can be computed with it.
pub(in crate::circuit) const LEAST_ABOVE_ZERO: f64 = 1e-9;

/// What a number may be.
struct Range {
    what: &'static str,
    unit: &'static str,
    from: f64,
    /// `from` itself is allowed.
    with_from: bool,
    to: f64,
}

const fn above_zero(what: &'static str, unit: &'static str, to: f64) -> Range {
    Range { what, unit, from: 0.0, with_from: false, to }
}

const fn not_below(from: f64, what: &'static str, unit: &'static str, to: f64) -> Range {
    Range { what, unit, from, with_from: true, to }
}

const VOLTAGE: Range = above_zero("a voltage", " V", 1e3);
const RATING: Range = above_zero("a fuse rating", " A", 1e3);
const CURRENT: Range = above_zero("a current", " A", 1e4);
const POWER: Range = above_zero("a power", " W", 1e6);
const LOAD_OHMS: Range = above_zero("a load's resistance", " Ω", 1e9);
const SERIES_OHMS: Range = not_below(0.0, "a resistance", " Ω", 1e6);
const AREA: Range = above_zero("a cross-section", " mm²", 1e3);
/// Gauges 0000 to 0 are −3 to 0 in the formula of ASTM B258.
const GAUGE: Range = not_below(-3.0, "a wire gauge", "", 50.0);
const LENGTH: Range = above_zero("a run's length", " m", 1e4);
const PART: Range = not_below(0.0, "a length in a zone", " m", 1e4);
/// Whoever rubs for ten minutes on end is a lasting short, not a touch.
const TOUCH: Range = above_zero("a touch", " s", 600.0);
const AT: Range = not_below(0.0, "a place on a run", " m", 1e4);
/// Copper's resistance formula would turn negative below −234 °C; copper melts at 1085 °C.
const TEMPERATURE: Range = not_below(-100.0, "a wire's temperature", " °C", 1e3);

impl Range {
    /// The smallest that is allowed.
    fn least(&self) -> f64 {
        if self.with_from { self.from } else { self.from + LEAST_ABOVE_ZERO }
    }

    fn holds(&self, value: f64) -> bool {
        (self.least()..=self.to).contains(&value)
    }

    fn check(&self, value: Option<f64>, pointer: &str, field: &str, problems: &mut Problems) {
        let Some(value) = value else { return };
        if self.holds(value) {
            return;
        }
        let Self { what, unit, from, to, .. } = self;
        let from_on = if self.with_from { format!("at least {from}") } else { format!("more than {from}") };
        let wrong = if value == 0.0 { format!("it is 0{unit}") } else { format!("it is {value:e}{unit}") };
        let wrong = if (1e-3..1e6).contains(&value.abs()) { format!("it is {value}{unit}") } else { wrong };
        let as_good_as_0 = value > *from && value < self.least();
        let wrong = if as_good_as_0 { format!("{wrong}, which is as good as 0") } else { wrong };
        problems.add(format!("{pointer}/{field}"), wrong, format!("{what} is {from_on} and at most {to}{unit}"));
    }
}

/// An entry of one of the lists.
pub(super) trait Entry {
    /// Checks the values of the entry. False: it holds so much that it is not worth keeping.
    fn check(&self, pointer: &str, problems: &mut Problems) -> bool;
}

/// Checks format and version; missing ones were noted before.
pub(super) fn header(format: Option<&str>, version: Option<u64>, problems: &mut Problems) {
    if let Some(format) = format.filter(|format| *format != FORMAT) {
        let right = format!("this reads the format \"{FORMAT}\"");
        problems.add("/format", format!("the file's format is {}", quoted(format)), right);
        return;
    }
    match version {
        Some(version) if version > u64::from(VERSION) => {
            let wrong = format!("the file has version {version} of {FORMAT}, which is newer than this program");
            problems.add("/version", wrong, format!("this reads version {VERSION}: get a newer Loomwalk"));
        }
        Some(version) if version < u64::from(VERSION) => {
            problems.add("/version", format!("there is no version {version}"), format!("write {VERSION}"));
        }
        _ => {}
    }
}

/// Checks everything but the lists.
pub(super) fn head(file: &CircuitFile, problems: &mut Problems) {
    text(&file.label, "", "label", MOST_LABEL, problems);
    text(&file.vehicle.label, "/vehicle", "label", MOST_LABEL, problems);
    text(file.vehicle.vin.as_deref().unwrap_or_default(), "/vehicle", "vin", MOST_NAME, problems);
    count(file.vehicle.options.len(), MOST_OPTIONS, "/vehicle/options", problems);
    for option in file.vehicle.options.keys() {
        name(option.as_str(), &format!("/vehicle/options/{}", pointer_part(option.as_str())), problems);
    }
    VOLTAGE.check(Some(file.supply.volts), "/supply", "volts", problems);
    SERIES_OHMS.check(Some(file.supply.ohms), "/supply", "ohms", problems);
    text(&file.fuse.label, "/fuse", "label", MOST_LABEL, problems);
    RATING.check(Some(file.fuse.rating_a), "/fuse", "rating_a", problems);
    optional_name(file.fuse.zone.as_ref().map(|zone| zone.as_str()), "/fuse", "zone", problems);
    SERIES_OHMS.check(file.fuse.ohms, "/fuse", "ohms", problems);
    conditions(&file.fuse.live_when, "/fuse", "live_when", problems);
    if let Some(touch) = &file.touch {
        touch_lengths(touch, problems);
    }
}

/// Checks how long a wire touches.
pub(super) fn touch_lengths(touch: &TouchLengths, problems: &mut Problems) {
    let TouchLengths { shortest_s, longest_s } = *touch;
    TOUCH.check(Some(shortest_s), "/touch", "shortest_s", problems);
    TOUCH.check(Some(longest_s), "/touch", "longest_s", problems);
    if TOUCH.holds(shortest_s) && TOUCH.holds(longest_s) && shortest_s >= longest_s {
        let wrong = format!("it is {longest_s} s, and the shortest is {shortest_s} s");
        problems.add("/touch/longest_s", wrong, "the longest touch is longer than the shortest");
    }
}

/// Checks the entries of all lists.
pub(super) fn lists(file: &CircuitFile, problems: &mut Problems) {
    fn list<T: Entry>(entries: &[T], pointer: &str, problems: &mut Problems) {
        count(entries.len(), MOST_ENTRIES, pointer, problems);
        for (index, entry) in entries.iter().enumerate() {
            entry.check(&format!("{pointer}/{index}"), problems);
        }
    }
    list(&file.joints, "/joints", problems);
    list(&file.switches, "/switches", problems);
    list(&file.runs, "/runs", problems);
    list(&file.loads, "/loads", problems);
    list(&file.marks, "/marks", problems);
}

impl Entry for Joint {
    fn check(&self, pointer: &str, problems: &mut Problems) -> bool {
        id(self.id.as_str(), pointer, problems);
        optional_name(self.zone.as_ref().map(|zone| zone.as_str()), pointer, "zone", problems);
        text(&self.label, pointer, "label", MOST_LABEL, problems);
        true
    }
}

impl Entry for Switch {
    fn check(&self, pointer: &str, problems: &mut Problems) -> bool {
        id(self.id.as_str(), pointer, problems);
        different_ends(self.from.as_str(), self.to.as_str(), pointer, "to", problems);
        SERIES_OHMS.check(self.ohms, pointer, "ohms", problems);
        optional_name(self.zone.as_ref().map(|zone| zone.as_str()), pointer, "zone", problems);
        text(&self.label, pointer, "label", MOST_LABEL, problems);
        conditions(&self.closed_when, pointer, "closed_when", problems)
    }
}

impl Entry for Run {
    fn check(&self, pointer: &str, problems: &mut Problems) -> bool {
        id(self.id.as_str(), pointer, problems);
        different_ends(self.from.as_str(), self.to.as_str(), pointer, "to", problems);
        colour(self.colour.as_deref(), pointer, problems);
        AREA.check(self.area_mm2, pointer, "area_mm2", problems);
        GAUGE.check(self.awg, pointer, "awg", problems);
        if self.area_mm2.is_some() && self.awg.is_some() {
            problems.add(format!("{pointer}/awg"), "both `area_mm2` and `awg` are given", "give one of them");
        }
        LENGTH.check(self.length_m, pointer, "length_m", problems);
        TEMPERATURE.check(self.temp_c, pointer, "temp_c", problems);
        let path = format!("{pointer}/path");
        if !count(self.path.len(), MOST_PATH_PARTS, &path, problems) {
            return false;
        }
        for (index, part) in self.path.iter().enumerate() {
            let pointer = format!("{path}/{index}");
            name(part.zone.as_str(), &format!("{pointer}/zone"), problems);
            PART.check(Some(part.m), &pointer, "m", problems);
        }
        path_has_length(self, pointer, problems);
        true
    }
}

impl Entry for Load {
    fn check(&self, pointer: &str, problems: &mut Problems) -> bool {
        id(self.id.as_str(), pointer, problems);
        text(&self.label, pointer, "label", MOST_LABEL, problems);
        if let Some(item) = self.item.as_ref().filter(|item| catalogue::item(item).is_none()) {
            let wrong = format!("{} is not in the catalogue", quoted(item.as_str()));
            problems.add(format!("{pointer}/item"), wrong, item_help(item.as_str(), problems));
        }
        LOAD_OHMS.check(self.ohms, pointer, "ohms", problems);
        POWER.check(self.watts, pointer, "watts", problems);
        CURRENT.check(self.amps, pointer, "amps", problems);
        VOLTAGE.check(self.rated_volts, pointer, "rated_volts", problems);
        let sizes = [("ohms", self.ohms), ("watts", self.watts), ("amps", self.amps)];
        let stated: Vec<_> = sizes.iter().filter(|(_, value)| value.is_some()).map(|(name, _)| *name).collect();
        if let [.., last] = stated.as_slice()
            && stated.len() > 1
        {
            let wrong = format!("its size is given {} times: `{}`", stated.len(), stated.join("`, `"));
            problems.add(format!("{pointer}/{last}"), wrong, "give one of `ohms`, `watts`, `amps`");
        }
        optional_name(self.zone.as_ref().map(|zone| zone.as_str()), pointer, "zone", problems);
        if let (Some(feed), Some(return_)) = (&self.feed, &self.return_) {
            different_ends(feed.as_str(), return_.as_str(), pointer, "return", problems);
        }
        if let Some(wire) = &self.wire {
            let pointer = format!("{pointer}/wire");
            colour(wire.colour.as_deref(), &pointer, problems);
            AREA.check(wire.area_mm2, &pointer, "area_mm2", problems);
        }
        optional_name(self.option.as_ref().map(|option| option.as_str()), pointer, "option", problems);
        conditions(&self.live_when, pointer, "live_when", problems)
    }
}

impl Entry for Mark {
    fn check(&self, pointer: &str, problems: &mut Problems) -> bool {
        id(self.id.as_str(), pointer, problems);
        match &self.place {
            MarkPlace::Run { at_m, .. } => AT.check(Some(*at_m), pointer, "at_m", problems),
            MarkPlace::Passage(passage) => name(passage.as_str(), &format!("{pointer}/passage"), problems),
            MarkPlace::Zone(zone) => name(zone.as_str(), &format!("{pointer}/zone"), problems),
        }
        text(&self.note, pointer, "note", MOST_NOTE, problems);
        true
    }
}

impl Entry for WrittenMark {
    fn check(&self, pointer: &str, problems: &mut Problems) -> bool {
        match Mark::try_from(self.clone()) {
            Ok(mark) => mark.check(pointer, problems),
            Err(NoPlace { field, wrong, right }) => {
                problems.add(format!("{pointer}/{field}"), wrong, right);
                false
            }
        }
    }
}

fn path_has_length(run: &Run, pointer: &str, problems: &mut Problems) {
    let sum: f64 = run.path.iter().map(|part| part.m).sum();
    // A part that is no length has been told already.
    let sound = run.path.iter().all(|part| part.m >= 0.0);
    if sound && !run.path.is_empty() && run.length_m.is_none() && sum < LEAST_ABOVE_ZERO {
        let right = "say how far the run goes in each zone, or give `length_m`";
        problems.add(format!("{pointer}/path"), "its parts make a run of 0 m", right);
    }
}

fn colour(written: Option<&str>, pointer: &str, problems: &mut Problems) {
    if let Some(wrong) = written.filter(|colour| WireColour::from_code(colour).is_none()) {
        let pointer = format!("{pointer}/colour");
        problems.add(pointer, format!("{} is no colour code", quoted(wrong)), colour_help(wrong));
    }
}

fn colour_help(wrong: &str) -> String {
    match WireColour::parse(wrong) {
        Ok(colour) => format!("write \"{colour}\""),
        Err(_) => format!("write IEC 60757 codes, base/stripe as in \"BK/YE\": {}", code_list()),
    }
}

fn item_help(wrong: &str, problems: &Problems) -> String {
    let typed = wrong.replace('_', " ");
    let near = if problems.is_full() { Vec::new() } else { catalogue::find(&typed, 3) };
    let near: Vec<_> = near.iter().map(|item| format!("\"{}\"", item.id)).collect();
    let near = if near.is_empty() { String::new() } else { format!(", such as {}", near.join(", ")) };
    format!("leave `item` out, or name an entry of the catalogue{near}")
}

fn different_ends(one: &str, other: &str, pointer: &str, field: &str, problems: &mut Problems) {
    if one == other {
        let wrong = format!("both its ends are at {}", quoted(one));
        problems.add(format!("{pointer}/{field}"), wrong, "name two different nodes");
    }
}

/// Checks a list of conditions. False: it is too long to keep.
fn conditions(list: &[Condition], pointer: &str, field: &str, problems: &mut Problems) -> bool {
    let pointer = format!("{pointer}/{field}");
    if !count(list.len(), MOST_CONDITIONS, &pointer, problems) {
        return false;
    }
    for (index, condition) in list.iter().enumerate() {
        name(condition.as_str(), &format!("{pointer}/{index}"), problems);
    }
    true
}

fn id(id: &str, pointer: &str, problems: &mut Problems) {
    let pointer = format!("{pointer}/id");
    name(id, &pointer, problems);
    if id.starts_with(RESERVED) {
        let right = format!("choose one that does not start with \"{RESERVED}\": those stand for what was not stated");
        problems.add(pointer, format!("the id {} is reserved", quoted(id)), right);
    }
}

fn optional_name(value: Option<&str>, pointer: &str, field: &str, problems: &mut Problems) {
    if let Some(value) = value {
        name(value, &format!("{pointer}/{field}"), problems);
    }
}

fn name(value: &str, pointer: &str, problems: &mut Problems) {
    if value.is_empty() {
        problems.add(pointer, "it is empty", "give it a name");
    } else if value.len() > MOST_NAME {
        problems.add(pointer, format!("it is {} bytes long", value.len()), format!("use at most {MOST_NAME}"));
    }
}

fn text(value: &str, pointer: &str, field: &str, most: usize, problems: &mut Problems) {
    if value.len() > most {
        let wrong = format!("it is {} bytes long", value.len());
        problems.add(format!("{pointer}/{field}"), wrong, format!("use at most {most}"));
    }
}

fn count(entries: usize, most: usize, pointer: &str, problems: &mut Problems) -> bool {
    if entries > most {
        problems.add(pointer, too_many(entries), at_most(most));
    }
    entries <= most
}

/// What is wrong with a list that is too long.
pub(super) fn too_many(entries: usize) -> String {
    format!("it has {entries} entries")
}

/// What would be right in place of a list that is too long.
pub(super) fn at_most(entries: usize) -> String {
    format!("at most {entries} are read")
}
