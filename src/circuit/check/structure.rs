//! Is this JSON of the right shape? From bytes to typed values, one entry at a time.
//!
//! The text is first cut into its top-level fields and list entries without copying, so that a wrong entry
//! neither hides the next one nor costs memory, and the bounds hold before anything is built from it.

use std::borrow::Cow;
use std::fmt;

use serde::Deserialize;
use serde::de::{DeserializeOwned, IgnoredAny, SeqAccess, Visitor};
use serde_json::value::RawValue;
use serde_path_to_error::Segment;

use super::problem::{Problems, pointer_part, quoted, shortened};
use super::values::{self, Entry, MOST_ENTRIES};
use crate::circuit::file::{CircuitFile, FORMAT, Fuse, VERSION};
use crate::circuit::mark::WrittenMark;

/// No circuit file is longer than this, in bytes.
pub const MOST_BYTES: usize = 8 << 20;
/// No entry of a list, and no other field of the file, is longer than this, in bytes of JSON.
const MOST_ENTRY_BYTES: usize = 256 << 10;

/// The top level of the file, cut but not read. `null` counts as missing.
#[derive(Deserialize)]
struct Top<'a> {
    #[serde(borrow)]
    format: Option<&'a RawValue>,
    version: Option<&'a RawValue>,
    label: Option<&'a RawValue>,
    vehicle: Option<&'a RawValue>,
    supply: Option<&'a RawValue>,
    fuse: Option<&'a RawValue>,
    joints: Option<&'a RawValue>,
    switches: Option<&'a RawValue>,
    runs: Option<&'a RawValue>,
    loads: Option<&'a RawValue>,
    marks: Option<&'a RawValue>,
    touch: Option<&'a RawValue>,
}

/// What could be read.
pub(super) struct Reading {
    /// The file, with a stand-in for what is missing: only sound if no problems were noted.
    pub(super) file: CircuitFile,
    /// Every entry of every list could be read, so that names can be compared with each other.
    pub(super) complete: bool,
}

/// Reads the file and checks each value by itself. `None`: nothing of it could be read.
pub(super) fn read(bytes: &[u8], problems: &mut Problems) -> Option<Reading> {
    let top = top(bytes, problems)?;
    header(&top, problems)?;
    let mut complete = true;
    let fuse = object(top.fuse, "/fuse", problems);
    missing(top.fuse, "/fuse", "give at least its `rating_a`", problems);
    let mut file = CircuitFile {
        format: FORMAT.to_owned(),
        version: VERSION,
        label: typed(top.label, "/label", problems).unwrap_or_default(),
        vehicle: object(top.vehicle, "/vehicle", problems).unwrap_or_default(),
        supply: object(top.supply, "/supply", problems).unwrap_or_default(),
        fuse: fuse.unwrap_or_else(stand_in_fuse),
        joints: Vec::new(),
        switches: Vec::new(),
        runs: Vec::new(),
        loads: Vec::new(),
        marks: Vec::new(),
        touch: object(top.touch, "/touch", problems),
    };
    values::head(&file, problems);
    file.joints = list(top.joints, "/joints", &mut complete, problems);
    file.switches = list(top.switches, "/switches", &mut complete, problems);
    path_parts_are_objects(top.runs, problems);
    file.runs = list(top.runs, "/runs", &mut complete, problems);
    missing(top.loads, "/loads", "list what the fuse feeds, if only by name", problems);
    file.loads = list(top.loads, "/loads", &mut complete, problems);
    let written: Vec<WrittenMark> = list(top.marks, "/marks", &mut complete, problems);
    file.marks = written.into_iter().filter_map(|mark| mark.try_into().ok()).collect();
    Some(Reading { file, complete })
}

/// A fuse that nothing is wrong with, for going on after a wrong one was noted.
fn stand_in_fuse() -> Fuse {
    let (label, style, zone, ohms, live_when) = Default::default();
    Fuse { label, rating_a: 10.0, style, zone, ohms, live_when }
}

/// Checks format and version. `None`: of another format or version, the rest would only be misread.
fn header(top: &Top, problems: &mut Problems) -> Option<()> {
    missing(top.format, "/format", &format!("write \"{FORMAT}\""), problems);
    missing(top.version, "/version", &format!("write {VERSION}"), problems);
    let format: Option<String> = typed(top.format, "/format", problems);
    // As wide as it gets, so that a much newer file is still called newer.
    let version: Option<u64> = typed(top.version, "/version", problems);
    values::header(format.as_deref(), version, problems);
    problems.is_empty().then_some(())
}

fn top<'a>(bytes: &'a [u8], problems: &mut Problems) -> Option<Top<'a>> {
    if bytes.len() > MOST_BYTES {
        let wrong = format!("it is {} bytes long", bytes.len());
        problems.add("", wrong, format!("a circuit file has at most {MOST_BYTES} bytes"));
        return None;
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let (line, column) = line_and_column(&bytes[..error.valid_up_to()]);
            let wrong = format!("it is not UTF-8 text from line {line}, column {column} on");
            problems.add("", wrong, "a circuit file is JSON in UTF-8");
            return None;
        }
    };
    // Some editors put a byte-order mark in front; RFC 8259 §8.1 allows readers to pass over it.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let whole = match serde_json::from_str::<&RawValue>(text) {
        Ok(whole) => whole,
        Err(error) => {
            let what = without_place(&error).replace("EOF while parsing", "the text ends within");
            let wrong = format!("it is not JSON: line {}, column {}: {what}", error.line(), error.column());
            problems.add("", wrong, "mend or export it again: a circuit file is one JSON object");
            return None;
        }
    };
    if !is_object(whole) {
        problems.add("", format!("it holds {}", what_it_is(whole)), "a circuit file is one JSON object");
        return None;
    }
    match serde_json::from_str(whole.get()) {
        Ok(top) => Some(top),
        Err(error) => {
            shape_problem("", &error, problems);
            None
        }
    }
}

/// Line and column, from 1, of the byte after `before`; columns count bytes, as in serde_json.
fn line_and_column(before: &[u8]) -> (usize, usize) {
    let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
    let column = before.iter().rev().take_while(|byte| **byte != b'\n').count() + 1;
    (line, column)
}

/// Notes that a field is missing.
fn missing(raw: Option<&RawValue>, pointer: &str, right: &str, problems: &mut Problems) {
    if raw.is_none() {
        problems.add(pointer, "it is missing", right);
    }
}

/// Reads a value that must be an object; serde would take a list of the fields' values as well.
fn object<T: DeserializeOwned>(raw: Option<&RawValue>, pointer: &str, problems: &mut Problems) -> Option<T> {
    if raw.is_none_or(is_object) {
        return typed(raw, pointer, problems);
    }
    problems.add(pointer, format!("it is {}", what_it_is(raw?)), "write an object, { … }");
    None
}

fn typed<T: DeserializeOwned>(raw: Option<&RawValue>, pointer: &str, problems: &mut Problems) -> Option<T> {
    let text = raw?.get();
    if text.len() > MOST_ENTRY_BYTES {
        let right = format!("one entry has at most {MOST_ENTRY_BYTES} bytes");
        problems.add(pointer, format!("it is {} bytes long", text.len()), right);
        return None;
    }
    let mut json = serde_json::Deserializer::from_str(text);
    match serde_path_to_error::deserialize(&mut json) {
        Ok(value) => Some(value),
        Err(error) => {
            let mut place = pointer.to_owned();
            for segment in error.path() {
                match segment {
                    Segment::Seq { index } => place.push_str(&format!("/{index}")),
                    Segment::Map { key } => place.push_str(&format!("/{}", pointer_part(key))),
                    Segment::Enum { .. } | Segment::Unknown => {}
                }
            }
            shape_problem(&place, error.inner(), problems);
            None
        }
    }
}

/// Reads a list, entry by entry, checking each as soon as it is read; one that cannot be read is noted and left out.
fn list<T: DeserializeOwned + Entry>(
    raw: Option<&RawValue>,
    pointer: &str,
    complete: &mut bool,
    problems: &mut Problems,
) -> Vec<T> {
    let Some(raw) = raw else { return Vec::new() };
    let Some(entries) = entries(raw, pointer, problems) else {
        *complete = false;
        return Vec::new();
    };
    let mut values = Vec::with_capacity(entries.len());
    for (index, entry) in entries.into_iter().enumerate() {
        let pointer = format!("{pointer}/{index}");
        match object::<T>(Some(entry), &pointer, problems) {
            Some(value) if value.check(&pointer, problems) => values.push(value),
            _ => *complete = false,
        }
    }
    values
}

/// Cuts a list into its entries.
fn entries<'a>(raw: &'a RawValue, pointer: &str, problems: &mut Problems) -> Option<Vec<&'a RawValue>> {
    match serde_json::from_str::<Entries>(raw.get()) {
        Ok(entries) if entries.count <= MOST_ENTRIES => Some(entries.kept),
        Ok(entries) => {
            problems.add(pointer, values::too_many(entries.count), values::at_most(MOST_ENTRIES));
            None
        }
        Err(_) => {
            problems.add(pointer, format!("it is {}", what_it_is(raw)), "write a list, [ … ]");
            None
        }
    }
}

/// The entries of a list, at most [`MOST_ENTRIES`] of them kept, all of them counted.
struct Entries<'a> {
    kept: Vec<&'a RawValue>,
    count: usize,
}

impl<'de: 'a, 'a> Deserialize<'de> for Entries<'a> {
    fn deserialize<D: serde::Deserializer<'de>>(json: D) -> Result<Self, D::Error> {
        struct Cut;
        impl<'de> Visitor<'de> for Cut {
            type Value = Entries<'de>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a list")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
                let mut kept = Vec::new();
                while kept.len() < MOST_ENTRIES {
                    match list.next_element()? {
                        Some(entry) => kept.push(entry),
                        None => return Ok(Entries { count: kept.len(), kept }),
                    }
                }
                let mut count = kept.len();
                while list.next_element::<IgnoredAny>()?.is_some() {
                    count += 1;
                }
                Ok(Entries { kept, count })
            }
        }
        json.deserialize_seq(Cut)
    }
}

/// Serde would read `["dash_left", 0.6]` as a part of a path, too.
fn path_parts_are_objects(runs: Option<&RawValue>, problems: &mut Problems) {
    #[derive(Deserialize)]
    struct Path<'a> {
        #[serde(borrow)]
        path: Option<&'a RawValue>,
    }
    let Some(Ok(runs)) = runs.map(|raw| serde_json::from_str::<Entries>(raw.get())) else { return };
    for (index, run) in runs.kept.into_iter().enumerate() {
        let Ok(Path { path: Some(path) }) = serde_json::from_str(run.get()) else { continue };
        let Ok(parts) = serde_json::from_str::<Entries>(path.get()) else { continue };
        // What is no list and no object is told with its type when the run is read.
        for (part, raw) in parts.kept.into_iter().enumerate().filter(|(_, raw)| raw.get().starts_with('[')) {
            let pointer = format!("/runs/{index}/path/{part}");
            problems.add(pointer, format!("it is {}", what_it_is(raw)), "write an object, { … }");
        }
    }
}

fn is_object(raw: &RawValue) -> bool {
    raw.get().starts_with('{')
}

fn what_it_is(raw: &RawValue) -> String {
    let text = raw.get();
    match text.bytes().next() {
        Some(b'{') => "an object".to_owned(),
        Some(b'[') => "a list".to_owned(),
        Some(b'"') => format!("the text {}", shortened(text)),
        _ => shortened(text),
    }
}

/// Says in our words what serde found.
fn shape_problem(pointer: &str, error: &serde_json::Error, problems: &mut Problems) {
    let text = without_place(error);
    if let Some(field) = text.strip_prefix("missing field ") {
        let field = field.trim_matches('`');
        problems.add(format!("{pointer}/{}", pointer_part(field)), "it is missing", "add it");
    } else if let Some(field) = text.strip_prefix("duplicate field ") {
        problems.add(pointer, format!("the field {field} is given more than once"), "give it once");
    } else if let Some((found, right)) = text.rsplit_once(", expected ") {
        let wrong = match found.split_once(' ').unwrap_or_default() {
            ("unknown", name) => format!("{} is not known here", shortened(name.trim_start_matches("variant "))),
            (_, found) => format!("it is {}", in_words(found.split_once(": ").map_or(found, |(_, what)| what))),
        };
        problems.add(pointer, wrong, format!("write {}", in_words(right)));
    } else if text == "expected value" {
        // Serde's word where one of a few texts should stand and something else does.
        problems.add(pointer, "it is no text", "write one of the format's words, in quotes");
    } else if text == "number out of range" {
        problems.add(pointer, "it is a number that no computer can hold", "write a smaller one");
    } else {
        problems.add(pointer, shortened(&text), "write a value of the kind that the format asks for");
    }
}

/// Serde's names of types, in words.
fn in_words(type_name: &str) -> Cow<'_, str> {
    match type_name {
        "f64" => "a number".into(),
        "u32" | "u64" => "a whole number".into(),
        "a string" | "string" => "a text, in quotes".into(),
        "a sequence" => "a list, [ … ]".into(),
        "sequence" => "a list".into(),
        "a map" => "an object, { … }".into(),
        "map" => "an object".into(),
        other if other.starts_with("struct ") => "an object, { … }".into(),
        other => match other.strip_prefix("string ") {
            Some(text) => format!("the text {}", quoted(text.trim_matches('"'))).into(),
            None => other.replace("floating point", "the number").replace("integer", "the number").into(),
        },
    }
}

fn without_place(error: &serde_json::Error) -> String {
    let text = error.to_string();
    match text.rfind(" at line ") {
        Some(end) => text[..end].to_owned(),
        None => text,
    }
}
