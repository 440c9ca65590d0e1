//! What was observed? The file format `loomwalk/evidence`, version 1.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use crate::circuit::unplug::Unplugged;
use crate::ids::{Condition, LoadId, NodeId, PointId};

/// The value of `format` in an evidence file.
pub const FORMAT: &str = "loomwalk/evidence";
/// The newest major version that this program reads and the one it writes.
pub const VERSION: u32 = 1;

/// Observations in order of time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EvidenceFile {
    /// Always `loomwalk/evidence`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// The observations.
    pub items: Vec<Observation>,
}

/// One observation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Observation {
    /// The fuse opened.
    Blow {
        /// Conditions that held.
        #[serde(default)]
        state: Vec<Condition>,
        /// How the vehicle moved.
        #[serde(default)]
        motion: Motion,
        /// How warm it was.
        #[serde(default)]
        heat: Heat,
    },
    /// The fuse survived.
    Held {
        /// Conditions that held.
        #[serde(default)]
        state: Vec<Condition>,
        /// How the vehicle moved.
        #[serde(default)]
        motion: Motion,
        /// How warm it was.
        #[serde(default)]
        heat: Heat,
        /// For how long.
        minutes: f64,
    },
    /// Something was unplugged and the fuse was watched.
    Unplugged {
        /// The node where it was unplugged.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        node: Option<NodeId>,
        /// Or the load that was unplugged.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        load: Option<LoadId>,
        /// Whether the fuse opened all the same.
        blew: bool,
        /// Conditions that held.
        #[serde(default)]
        state: Vec<Condition>,
        /// For how long it was watched.
        #[serde(default)]
        minutes: f64,
    },
    /// Someone looked at a point.
    Look {
        /// The point.
        point: PointId,
        /// What was seen.
        seen: Seen,
    },
    /// Someone pressed at a point with a fresh fuse in.
    Press {
        /// The point.
        point: PointId,
        /// Whether the fuse opened meanwhile.
        opened: bool,
        /// How many presses.
        #[serde(default = "one")]
        presses: u32,
        /// Conditions that held.
        #[serde(default)]
        state: Vec<Condition>,
    },
    /// An ohmmeter was held between the load side of the open fuse and ground.
    Meter {
        /// What it showed, Ω. None: an open circuit.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ohms: Option<f64>,
        /// What was unplugged meanwhile.
        #[serde(default)]
        unplugged: Vec<Unplugged>,
        /// Conditions that held, as far as they close switches.
        #[serde(default)]
        state: Vec<Condition>,
    },
}

fn one() -> u32 {
    1
}

/// How the vehicle moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Motion {
    /// It stood.
    #[default]
    Still,
    /// On a smooth road.
    Smooth,
    /// On a rough road.
    Rough,
    /// In a turn.
    Turning,
    /// A door, tailgate or lid was moved.
    DoorMoved,
}

/// How warm engine bay and exhaust were.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Heat {
    /// Just started, or not at all.
    #[default]
    Cold,
    /// Warmed up.
    Warm,
    /// After a long or hard drive.
    Hot,
}

/// What a look showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// Nothing wrong.
    Sound,
    /// Rubbed, polished or dented covering; insulation whole.
    Marked,
    /// Insulation thinner, conductor not seen.
    Thinned,
    /// Conductor seen.
    Bare,
    /// Conductor parted.
    Severed,
    /// The place could not be seen.
    NotSeen,
}

impl Seen {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sound => "sound",
            Self::Marked => "marked",
            Self::Thinned => "thinned",
            Self::Bare => "bare",
            Self::Severed => "severed",
            Self::NotSeen => "not seen",
        }
    }
}

/// What is wrong with an evidence file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EvidenceError {
    /// It is no JSON at all.
    #[error("line {line}, column {column}: this is not JSON ({why}); an evidence file is a JSON object")]
    NotJson {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What the reader says.
        why: String,
    },
    /// Another format.
    #[error("/format: this says {found:?}; an evidence file says {FORMAT:?}")]
    Format {
        /// What it says.
        found: String,
    },
    /// A version from the future.
    #[error("/version: this file is version {found}; this program reads version {VERSION}: use a newer program")]
    Version {
        /// What it says.
        found: u64,
    },
    /// A value of the wrong kind, or a field missing.
    #[error("{}: {why}", if pointer.is_empty() { "the file" } else { pointer })]
    Value {
        /// JSON pointer.
        pointer: String,
        /// What is wrong and what would be right.
        why: String,
    },
    /// Something that this circuit does not have.
    #[error(
        "{pointer}: this circuit has no {what} {id:?}; `loomwalk plan` lists its points, the circuit file the rest"
    )]
    Unknown {
        /// JSON pointer.
        pointer: String,
        /// Point, node or load.
        what: &'static str,
        /// Its id.
        id: String,
    },
}

/// No evidence file is longer than this, in bytes: a thousand times what a long search observes.
pub const MOST_BYTES: usize = 8 << 20;

/// The top level of the file, cut but not read. `null` counts as missing.
#[derive(Deserialize)]
struct Top<'a> {
    #[serde(default, borrow)]
    format: Option<&'a RawValue>,
    #[serde(default, borrow)]
    version: Option<&'a RawValue>,
    #[serde(default, borrow)]
    items: Option<&'a RawValue>,
}

/// Reads an evidence file.
///
/// # Errors
/// The first thing that is wrong, with its JSON pointer. Whether its points exist is for
/// [`super::plan::Search::check`] to say.
pub fn read(bytes: &[u8]) -> Result<EvidenceFile, EvidenceError> {
    if bytes.len() > MOST_BYTES {
        let why = format!("it has {} bytes; an evidence file has at most {MOST_BYTES}", bytes.len());
        return Err(value("", why));
    }
    let whole: &RawValue = serde_json::from_slice(bytes).map_err(|error| EvidenceError::NotJson {
        line: error.line(),
        column: error.column(),
        why: without_place(&error),
    })?;
    if !is_object(whole) {
        return Err(value("", "it holds no object; an evidence file is one JSON object".to_owned()));
    }
    let top: Top = typed("", whole)?;
    match top.format.map(|raw| typed::<String>("/format", raw)).transpose()? {
        Some(format) if format == FORMAT => {}
        found => return Err(EvidenceError::Format { found: found.unwrap_or_default() }),
    }
    match top.version.and_then(|raw| serde_json::from_str::<u64>(raw.get()).ok()) {
        Some(version) if version == u64::from(VERSION) => {}
        Some(found) if found > u64::from(VERSION) => return Err(EvidenceError::Version { found }),
        _ => return Err(value("/version", format!("the version is a whole number; this program writes {VERSION}"))),
    }
    let Some(items) = top.items else {
        return Err(value("/items", "it is missing; write the list of observations, [ … ]".to_owned()));
    };
    let items: Vec<&RawValue> = typed("/items", items)?;
    let items = items.into_iter().enumerate().map(|(place, raw)| {
        let item = observation(&format!("/items/{place}"), raw)?;
        item.check(place).map(|()| item)
    });
    Ok(EvidenceFile { format: FORMAT.to_owned(), version: VERSION, items: items.collect::<Result<_, _>>()? })
}

fn value(pointer: &str, why: String) -> EvidenceError {
    EvidenceError::Value { pointer: pointer.to_owned(), why }
}

fn is_object(raw: &RawValue) -> bool {
    raw.get().starts_with('{')
}

/// Reads a value that is at `pointer` in the file.
fn typed<'a, T: Deserialize<'a>>(pointer: &str, raw: &'a RawValue) -> Result<T, EvidenceError> {
    let mut json = serde_json::Deserializer::from_str(raw.get());
    serde_path_to_error::deserialize(&mut json).map_err(|error| {
        let place: String = error.path().iter().map(segment).collect();
        value(&format!("{pointer}{place}"), without_place(error.inner()))
    })
}

/// What serde says, without a line and column that count in a part of the file only. A word of a list that is no
/// text at all is "expected value" to it, which helps nobody.
fn without_place(error: &serde_json::Error) -> String {
    let text = error.to_string();
    let text = text.rfind(" at line ").map_or(text.as_str(), |end| &text[..end]);
    if text == "expected value" { "one of the format's words should stand here, in quotes".into() } else { text.into() }
}

/// Reads one observation. Serde reads a tagged type from a copy that has lost its places, so where it refuses, the
/// fields are read again one by one to find the wrong one.
fn observation(pointer: &str, raw: &RawValue) -> Result<Observation, EvidenceError> {
    if !is_object(raw) {
        return Err(value(pointer, "an observation is an object, such as {\"kind\": \"blow\"}".to_owned()));
    }
    let refused = match typed(pointer, raw) {
        Ok(item) => return Ok(item),
        Err(refused) => refused,
    };
    let fields: BTreeMap<String, &RawValue> = typed(pointer, raw)?;
    for (name, raw) in fields {
        let place = format!("{pointer}/{name}");
        match name.as_str() {
            "kind" => typed::<String>(&place, raw).map(drop),
            "state" => typed::<Vec<Condition>>(&place, raw).map(drop),
            "motion" => typed::<Motion>(&place, raw).map(drop),
            "heat" => typed::<Heat>(&place, raw).map(drop),
            "minutes" => typed::<f64>(&place, raw).map(drop),
            "node" | "load" => typed::<Option<String>>(&place, raw).map(drop),
            "blew" | "opened" => typed::<bool>(&place, raw).map(drop),
            "point" => typed::<String>(&place, raw).map(drop),
            "seen" => typed::<Seen>(&place, raw).map(drop),
            "presses" => typed::<u32>(&place, raw).map(drop),
            "ohms" => typed::<Option<f64>>(&place, raw).map(drop),
            "unplugged" => typed::<Vec<Unplugged>>(&place, raw).map(drop),
            _ => Ok(()),
        }?;
    }
    // All that is there is of the right type: something is missing, there twice, or the kind is unknown.
    Err(match refused {
        EvidenceError::Value { why, .. } if why.starts_with("missing field `") => {
            let field = why.split('`').nth(1).unwrap_or_default();
            value(&format!("{pointer}/{field}"), "it is missing".to_owned())
        }
        EvidenceError::Value { why, .. } if why.starts_with("unknown variant") => {
            value(&format!("{pointer}/kind"), why)
        }
        other => other,
    })
}

/// One step of a JSON pointer (RFC 6901).
fn segment(step: &serde_path_to_error::Segment) -> String {
    match step {
        serde_path_to_error::Segment::Seq { index } => format!("/{index}"),
        serde_path_to_error::Segment::Map { key } => format!("/{}", key.replace('~', "~0").replace('/', "~1")),
        // The variant's name is no place in the file.
        serde_path_to_error::Segment::Enum { .. } | serde_path_to_error::Segment::Unknown => String::new(),
    }
}

impl Observation {
    /// What the types cannot say: minutes are not negative, and exactly one thing was unplugged.
    fn check(&self, place: usize) -> Result<(), EvidenceError> {
        match self {
            Self::Held { minutes, .. } | Self::Unplugged { minutes, .. }
                if !(minutes.is_finite() && *minutes >= 0.0) =>
            {
                Err(value(&format!("/items/{place}/minutes"), format!("{minutes} minutes; 0 or more is right")))
            }
            Self::Unplugged { node, load, .. } if node.is_some() == load.is_some() => {
                let why = "say what was unplugged by exactly one of `node` and `load`".to_owned();
                Err(value(&format!("/items/{place}"), why))
            }
            Self::Meter { ohms: Some(ohms), .. } if !(ohms.is_finite() && *ohms >= 0.0) => {
                let why = format!("{ohms} Ω; 0 or more is right, and for an open circuit nothing");
                Err(value(&format!("/items/{place}/ohms"), why))
            }
            Self::Press { presses: 0, .. } => {
                Err(value(&format!("/items/{place}/presses"), "0 presses; 1 or more is right".to_owned()))
            }
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use expect_test::{Expect, expect};

    fn refused(items: &str, says: &Expect) {
        let file = format!(r#"{{"format": "loomwalk/evidence", "version": 1, "items": {items}}}"#);
        says.assert_eq(&read(file.as_bytes()).map_or_else(|error| error.to_string(), |file| format!("{file:?}")));
    }

    #[test]
    fn all_kinds_are_read_with_their_defaults() {
        let file = read(
            br#"{"format": "loomwalk/evidence", "version": 1, "later": true, "items": [
                {"kind": "blow", "state": ["key_on"], "motion": "door_moved", "heat": "hot"},
                {"kind": "held", "minutes": 12.5},
                {"kind": "unplugged", "load": "l1", "blew": true},
                {"kind": "look", "point": "point:r4@0.6", "seen": "not_seen"},
                {"kind": "press", "point": "point:r4@0.6", "opened": false},
                {"kind": "meter", "ohms": 0.3, "unplugged": [{"load": "l1"}]}]}"#,
        )
        .unwrap_or_else(|error| panic!("{error}"));
        let point = PointId::from("point:r4@0.6");
        let (motion, heat) = (Motion::Still, Heat::Cold);
        assert_eq!(
            file.items,
            [
                Observation::Blow { state: vec!["key_on".into()], motion: Motion::DoorMoved, heat: Heat::Hot },
                Observation::Held { state: vec![], motion, heat, minutes: 12.5 },
                Observation::Unplugged { node: None, load: Some("l1".into()), blew: true, state: vec![], minutes: 0.0 },
                Observation::Look { point: point.clone(), seen: Seen::NotSeen },
                Observation::Press { point, opened: false, presses: 1, state: vec![] },
                Observation::Meter { ohms: Some(0.3), unplugged: vec![Unplugged::Load("l1".into())], state: vec![] },
            ]
        );
    }

    #[test]
    fn what_is_wrong_is_named_with_its_place() {
        refused("[{}]", &expect!["/items/0/kind: it is missing"]);
        refused(r#"[{"kind": "held"}]"#, &expect!["/items/0/minutes: it is missing"]);
        refused("[7]", &expect![[r#"/items/0: an observation is an object, such as {"kind": "blow"}"#]]);
        refused("{}", &expect!["/items: invalid type: map, expected a sequence"]);
        refused("null", &expect!["/items: it is missing; write the list of observations, [ … ]"]);
        for (field, says) in [
            (
                r#""heat": "tepid""#,
                expect!["/items/1/heat: unknown variant `tepid`, expected one of `cold`, `warm`, `hot`"],
            ),
            (r#""motion": 7"#, expect!["/items/1/motion: one of the format's words should stand here, in quotes"]),
            (r#""state": [1]"#, expect!["/items/1/state/0: invalid type: integer `1`, expected a string"]),
            (
                r#""state": "key_on""#,
                expect![[r#"/items/1/state: invalid type: string "key_on", expected a sequence"#]],
            ),
            (r#""heat": "hot", "heat": "hot""#, expect!["/items/1: duplicate field `heat`"]),
        ] {
            refused(&format!(r#"[{{"kind": "blow"}}, {{"kind": "blow", {field}}}]"#), &says);
        }
        refused(
            r#"[{"kind": "blow"}, {"kind": "smoke"}]"#,
            &expect![
                "/items/1/kind: unknown variant `smoke`, expected one of `blow`, `held`, `unplugged`, `look`, `press`, `meter`"
            ],
        );
        refused(r#"[{"kind": "held", "minutes": -1}]"#, &expect!["/items/0/minutes: -1 minutes; 0 or more is right"]);
        refused(
            r#"[{"kind": "unplugged", "blew": true}]"#,
            &expect!["/items/0: say what was unplugged by exactly one of `node` and `load`"],
        );
        refused(
            r#"[{"kind": "press", "point": "point:plug:c1", "opened": true, "presses": 0}]"#,
            &expect!["/items/0/presses: 0 presses; 1 or more is right"],
        );
        refused(
            r#"[{"kind": "meter", "ohms": -0.1}]"#,
            &expect!["/items/0/ohms: -0.1 Ω; 0 or more is right, and for an open circuit nothing"],
        );
        refused(
            r#"[{"kind": "meter", "unplugged": ["l1"]}]"#,
            &expect!["/items/0/unplugged/0: unknown variant `l1`, expected `load` or `node`"],
        );
        refused("[1e999]", &expect![[r#"/items/0: an observation is an object, such as {"kind": "blow"}"#]]);
    }

    #[test]
    fn other_formats_and_newer_versions_are_refused_by_name() {
        let says = |text: &str| read(text.as_bytes()).map_or_else(|error| error.to_string(), |_| "read".to_owned());
        expect![[r#"/format: this says "loomwalk/circuit"; an evidence file says "loomwalk/evidence""#]]
            .assert_eq(&says(r#"{"format": "loomwalk/circuit", "version": 1}"#));
        expect!["/version: this file is version 2; this program reads version 1: use a newer program"]
            .assert_eq(&says(r#"{"format": "loomwalk/evidence", "version": 2, "items": 7}"#));
        expect!["/version: the version is a whole number; this program writes 1"]
            .assert_eq(&says(r#"{"format": "loomwalk/evidence", "items": []}"#));
        expect!["line 1, column 0: this is not JSON (EOF while parsing a value); an evidence file is a JSON object"]
            .assert_eq(&says(""));
        expect![
            "line 1, column 100000: this is not JSON (EOF while parsing a list); an evidence file is a JSON object"
        ]
        .assert_eq(&says(&"[".repeat(100_000)));
        expect!["the file: it holds no object; an evidence file is one JSON object"].assert_eq(&says("[1]"));
        let long = format!(r#"{{"format": "loomwalk/evidence", "version": 1, "items": [{}"#, " ".repeat(MOST_BYTES));
        expect!["the file: it has 8388664 bytes; an evidence file has at most 8388608"].assert_eq(&says(&long));
    }
}
