//! What was observed? The file format `loomwalk/evidence`, version 1.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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

/// The two fields that say what a file is.
#[derive(Deserialize)]
struct Header {
    #[serde(default)]
    format: Option<String>,
    #[serde(default)]
    version: Option<u64>,
}

/// Reads an evidence file.
///
/// # Errors
/// The first thing that is wrong, with its JSON pointer. Whether its points exist is for
/// [`super::plan::Search::check`] to say.
pub fn read(bytes: &[u8]) -> Result<EvidenceFile, EvidenceError> {
    let header: Header = parse(bytes)?;
    match header.format {
        Some(format) if format == FORMAT => {}
        found => return Err(EvidenceError::Format { found: found.unwrap_or_default() }),
    }
    match header.version {
        Some(version) if version == u64::from(VERSION) => {}
        Some(found) if found > u64::from(VERSION) => return Err(EvidenceError::Version { found }),
        _ => return Err(value("/version", format!("the version is a whole number; this program writes {VERSION}"))),
    }
    let file: EvidenceFile = parse(bytes)?;
    file.items.iter().enumerate().try_for_each(|(place, item)| item.check(place))?;
    Ok(file)
}

fn value(pointer: &str, why: String) -> EvidenceError {
    EvidenceError::Value { pointer: pointer.to_owned(), why }
}

fn parse<'de, T: Deserialize<'de>>(bytes: &'de [u8]) -> Result<T, EvidenceError> {
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let parsed = serde_path_to_error::deserialize(&mut json).map_err(|error| {
        let pointer: String = error.path().iter().map(segment).collect();
        refused(pointer, error.into_inner())
    })?;
    json.end().map_err(|error| refused(String::new(), error))?;
    Ok(parsed)
}

fn refused(pointer: String, error: serde_json::Error) -> EvidenceError {
    let why = error.to_string();
    match error.classify() {
        serde_json::error::Category::Data => EvidenceError::Value { pointer, why },
        _ => EvidenceError::NotJson { line: error.line(), column: error.column(), why },
    }
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
                {"kind": "press", "point": "point:r4@0.6", "opened": false}]}"#,
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
            ]
        );
    }

    #[test]
    fn what_is_wrong_is_named_with_its_place() {
        refused("[{}]", &expect!["/items/0: missing field `kind` at line 1 column 58"]);
        refused(
            r#"[{"kind": "blow"}, {"kind": "smoke"}]"#,
            &expect![
                "/items/1/kind: unknown variant `smoke`, expected one of `blow`, `held`, `unplugged`, `look`, `press` at line 1 column 90"
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
            "[1e999]",
            &expect![
                "line 1, column 61: this is not JSON (number out of range at line 1 column 61); an evidence file is a JSON object"
            ],
        );
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
        expect!["line 1, column 0: this is not JSON (EOF while parsing a value at line 1 column 0); an evidence file is a JSON object"]
            .assert_eq(&says(""));
        expect!["/0: invalid type: sequence, expected a string at line 1 column 1"]
            .assert_eq(&says(&"[".repeat(100_000)));
    }
}
