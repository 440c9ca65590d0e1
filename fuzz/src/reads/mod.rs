//! What must hold of any input, whoever wrote it?
//!
//! Each module has a `read`, which says whether its input was read, and panics where something does not hold: what is
//! read and written again is the same, an answer holds only numbers, what is refused is told in words, and more. Time and
//! memory are for libFuzzer to watch.

pub mod bundle;
pub mod circuit;
pub mod evidence;
pub mod job;
pub mod lessons;
pub mod log;
pub mod map;
pub mod names;
pub mod paste;
pub mod photo;
pub mod plan;
pub mod prices;
#[cfg(feature = "desk")]
pub mod requests;
pub mod shelf;
pub mod table;
pub mod words;

use std::fmt::{Debug, Display};

use loomwalk::circuit::check;
use loomwalk::circuit::file::{CircuitFile, Load};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// More than anyone reads: a list of fifty problems has less.
const LONGEST_WORDS: usize = 200_000;

/// A target's reader, by the target's name.
pub fn reader(target: &str) -> fn(&[u8]) -> bool {
    match target {
        "bundle" => bundle::read,
        "circuit" => circuit::read,
        "evidence" => evidence::read,
        "job" => job::read,
        "lessons" => lessons::read,
        "log" => log::read,
        "map" => map::read,
        "names" => names::read,
        "paste" => paste::read,
        "photo" => photo::read,
        "plan" => plan::read,
        "prices" => prices::read,
        #[cfg(feature = "desk")]
        "requests" => requests::read,
        "shelf" => shelf::read,
        "table" => table::read,
        "words" => words::read,
        other => panic!("there is no target {other}"),
    }
}

/// JSON has no word for infinity or what is no number: such an answer does not come back as it was.
fn only_numbers<T: Serialize + DeserializeOwned + PartialEq + Debug>(answer: &T) {
    let text = serde_json::to_string(answer).expect("an answer can be written");
    match serde_json::from_str::<T>(&text) {
        Ok(read) => assert_eq!(read, *answer, "read again"),
        Err(error) => panic!("what was written cannot be read, {error}: {text}"),
    }
}

/// What is refused is told in words that someone can read.
fn told(error: impl Display) {
    let words = error.to_string();
    assert!(!words.trim().is_empty());
    assert!(words.len() < LONGEST_WORDS, "{} bytes of words", words.len());
}

/// A place in a file: the whole, or RFC 6901.
fn is_pointer(place: &str) -> bool {
    place.is_empty() || place.starts_with('/')
}

/// The small van, that something may be done with what was read.
fn small_van() -> CircuitFile {
    check::read(include_bytes!("../../../tests/cases/circuits/small_van.json")).expect("it is sound")
}

/// What comes of a list can be put on a circuit, be kept, and be read again.
fn are_sound(loads: Vec<Load>) {
    if loads.is_empty() {
        return;
    }
    let mut circuit = check::read(
        br#"{"format": "loomwalk/circuit", "version": 1, "fuse": {"rating_a": 15}, "loads": [{"id": "x", "amps": 1}]}"#,
    )
    .expect("it is sound");
    circuit.loads = loads;
    let text = serde_json::to_vec(&circuit).expect("a circuit can be written");
    match check::read(&text) {
        Ok(read) => assert_eq!(read, circuit),
        Err(error) => panic!("{error}: {}", String::from_utf8_lossy(&text)),
    }
}
