//! Is this a sound shelf? From bytes to a [`Shelf`], or why not.

use std::fmt;

use chrono::{DateTime, Utc};
use serde::de::{Error as _, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use serde_json::value::RawValue;

use super::Shelf;
use super::file::{FORMAT, Shelved, VERSION, VinStart};
use crate::circuit::check::{self, CircuitError, Problem};
use crate::ids::{JobId, ShelvedId};
use crate::job::told::{pointer, said};

/// No shelf file is longer than this, in bytes.
pub const MOST_BYTES: usize = 64 << 20;
/// No shelf holds more circuits than this, and none has had more taken off.
pub const MOST_ENTRIES: usize = 5_000;
/// No label is longer than this, in bytes.
const MOST_LABEL: usize = 1_000;

/// Whether a circuit on the shelf can be called that.
pub fn is_label(label: &str) -> bool {
    !label.trim().is_empty() && label.len() <= MOST_LABEL
}

/// Why a shelf file is refused. Nothing of a refused file is taken in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ShelfError {
    /// More bytes than are read.
    #[error("this file has {} MB and a shelf has at most {}: choose a file that ends in .shelf.json", .bytes >> 20, MOST_BYTES >> 20)]
    TooLarge {
        /// What it has.
        bytes: usize,
    },
    /// Not JSON, or no object.
    #[error(
        "this is not a shelf file: it should hold one JSON object, but {why}; choose a file that ends in .shelf.json"
    )]
    NotJson {
        /// What is wrong, with line and column.
        why: String,
    },
    /// JSON of another format.
    #[error("/format: this is not a shelf file: its format should be \"{FORMAT}\", but {}{}", found(.format), instead(.format))]
    WrongFormat {
        /// Its `format`, if it has one.
        format: Option<String>,
    },
    /// Written by a newer version.
    #[error(
        "/version: this file is version {version} of {FORMAT} and this program reads up to version {VERSION}: update the program, then open it again"
    )]
    NewerVersion {
        /// The file's version.
        version: u64,
    },
    /// A field is missing or of the wrong kind.
    #[error("{}: {why}", place(.pointer))]
    Field {
        /// JSON pointer.
        pointer: String,
        /// What is wrong and what would be right.
        why: String,
    },
    /// A circuit that cannot be used.
    #[error(transparent)]
    Circuit(#[from] CircuitError),
}

fn place(pointer: &str) -> &str {
    if pointer.is_empty() { "the file" } else { pointer }
}

fn found(format: &Option<String>) -> String {
    match format {
        Some(format) => format!("it is {:?}", format.chars().take(60).collect::<String>()),
        None => "it has none".to_owned(),
    }
}

/// Where a file of another kind belongs.
fn instead(format: &Option<String>) -> &'static str {
    match format.as_deref() {
        Some(crate::circuit::file::FORMAT) => "; open it on the circuit screen of a job",
        Some("loomwalk/bundle") => "; open it in the list of jobs",
        _ => "; choose a file that ends in .shelf.json",
    }
}

/// The top level of the file, cut but not read.
#[derive(Deserialize)]
struct Top<'a> {
    #[serde(default, borrow)]
    format: Option<&'a RawValue>,
    #[serde(default, borrow)]
    version: Option<&'a RawValue>,
    #[serde(default, borrow)]
    entries: Option<&'a RawValue>,
    #[serde(default, borrow)]
    taken_off: Option<&'a RawValue>,
}

/// An entry, its circuit not read yet.
#[derive(Deserialize)]
struct Entry<'a> {
    id: ShelvedId,
    kept_at: DateTime<Utc>,
    label: String,
    #[serde(default)]
    vin_begins: Option<VinStart>,
    #[serde(default)]
    from_job: Option<JobId>,
    #[serde(borrow)]
    circuit: &'a RawValue,
}

/// Reads a shelf file and checks all of it, every circuit included.
///
/// Memory stays in step with `bytes`: how many entries there may be is checked before anything is built from them.
///
/// # Errors
/// The first thing that is wrong, of a circuit all that is wrong with it. Fields that this version does not know are
/// passed over.
pub fn read(bytes: &[u8]) -> Result<Shelf, ShelfError> {
    if bytes.len() > MOST_BYTES {
        return Err(ShelfError::TooLarge { bytes: bytes.len() });
    }
    let not_json = |why: String| ShelfError::NotJson { why };
    let text = std::str::from_utf8(bytes).map_err(|_| not_json("it is not UTF-8 text".to_owned()))?;
    // Some editors put a byte-order mark in front; RFC 8259 §8.1 allows readers to pass over it.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let whole: &RawValue = serde_json::from_str(text).map_err(|error| not_json(error.to_string()))?;
    if !whole.get().starts_with('{') {
        return Err(not_json("it holds something else".to_owned()));
    }
    let top: Top = typed(whole, "")?;
    let format = top.format.and_then(|raw| serde_json::from_str::<String>(raw.get()).ok());
    if format.as_deref() != Some(FORMAT) {
        return Err(ShelfError::WrongFormat { format });
    }
    match top.version.and_then(|raw| serde_json::from_str::<u64>(raw.get()).ok()) {
        Some(version) if version == u64::from(VERSION) => {}
        Some(version) if version > u64::from(VERSION) => return Err(ShelfError::NewerVersion { version }),
        _ => return Err(field("/version", format!("write the whole number {VERSION}"))),
    }
    let entries = top.entries.ok_or_else(|| field("/entries", "it is missing; write the list of circuits, [ … ]"))?;
    let Bounded(entries) = typed::<Bounded<&RawValue>>(entries, "/entries")?;
    let Bounded(taken_off) = match top.taken_off {
        Some(raw) => typed::<Bounded<ShelvedId>>(raw, "/taken_off")?,
        None => Bounded(Vec::new()),
    };
    let entries = entries.into_iter().enumerate().map(|(number, raw)| entry(raw, &format!("/entries/{number}")));
    Ok(Shelf::of(entries.collect::<Result<Vec<_>, _>>()?, taken_off))
}

fn field(pointer: impl Into<String>, why: impl Into<String>) -> ShelfError {
    ShelfError::Field { pointer: pointer.into(), why: why.into() }
}

/// Reads one circuit of a shelf that is kept by itself, as it stands in a file.
///
/// # Errors
/// As [`read`], with the places that it has by itself.
pub fn one(text: &str) -> Result<Shelved, ShelfError> {
    let raw: &RawValue = serde_json::from_str(text).map_err(|error| ShelfError::NotJson { why: error.to_string() })?;
    entry(raw, "")
}

fn entry(raw: &RawValue, place: &str) -> Result<Shelved, ShelfError> {
    if !raw.get().starts_with('{') {
        return Err(field(place, "it should be an object, { … }, with id, kept_at, label and circuit"));
    }
    let Entry { id, kept_at, label, vin_begins, from_job, circuit } = typed(raw, place)?;
    if !is_label(&label) {
        return Err(field(format!("{place}/label"), format!("it should be a text of 1 to {MOST_LABEL} bytes")));
    }
    let circuit = check::read(circuit.get().as_bytes()).map_err(|error| inside(error, &format!("{place}/circuit")))?;
    if circuit.vehicle.vin.is_some() {
        let why = "a shelf is not about one vehicle: leave its identification number out";
        return Err(field(format!("{place}/circuit/vehicle/vin"), why));
    }
    Ok(Shelved { id, kept_at, label, vin_begins, from_job, circuit })
}

/// What is wrong with a circuit, told with the places that it has in this file.
fn inside(error: CircuitError, place: &str) -> CircuitError {
    let moved = |problem: Problem| Problem { pointer: format!("{place}{}", problem.pointer), ..problem };
    CircuitError { problems: error.problems.into_iter().map(moved).collect(), ..error }
}

/// Reads a value that is at `place` in the file.
fn typed<'a, T: Deserialize<'a>>(raw: &'a RawValue, place: &str) -> Result<T, ShelfError> {
    let mut reader = serde_json::Deserializer::from_str(raw.get());
    serde_path_to_error::deserialize(&mut reader)
        .map_err(|error| field(format!("{place}{}", pointer(error.path())), said(error.inner())))
}

/// A list of at most [`MOST_ENTRIES`].
struct Bounded<T>(Vec<T>);

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Bounded<T> {
    fn deserialize<D: Deserializer<'de>>(reader: D) -> Result<Self, D::Error> {
        struct Cut<T>(std::marker::PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Cut<T> {
            type Value = Bounded<T>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(out, "a list of at most {MOST_ENTRIES}")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
                let mut kept = Vec::new();
                while let Some(one) = list.next_element()? {
                    if kept.len() == MOST_ENTRIES {
                        return Err(A::Error::custom(format!("more than {MOST_ENTRIES}, which no shelf has")));
                    }
                    kept.push(one);
                }
                Ok(Bounded(kept))
            }
        }
        reader.deserialize_seq(Cut(std::marker::PhantomData))
    }
}
