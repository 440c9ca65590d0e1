//! `loomwalk check`: whether files of ours are sound, and where they are not.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::value::RawValue;

use crate::bundle::beside::beside_the_log;
use crate::bundle::file::HAND_OVER_LIMIT;
use crate::bundle::read::{PART_VALUES_LIMIT, count_values, open};
use crate::circuit::file::{CircuitFile, Side};
use crate::cli::circuit::say;
use crate::cli::{figures, input};
use crate::job::told::{pointer, said};
use crate::report::{estimate, prices};
use crate::search::lessons::LearnedFile;
use crate::vehicle::engine::EngineMove;
use crate::{bundle, circuit, job, search, shelf, vehicle};

/// Arguments of `loomwalk check`.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Circuits, shelves, lessons, evidence, plans, faults, meter readings, stories, isolations, prices, estimates, zone maps, engine places and
    /// hand-over files, in any order
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
}

/// Runs it.
pub fn run(args: &Args) -> ExitCode {
    let mut sound = true;
    for file in &args.files {
        let told =
            check(file).and_then(|what| say(&format!("{}: {what}\n", file.display())).map_err(|wrong| vec![wrong]));
        if let Err(problems) = told {
            sound = false;
            for problem in problems {
                eprintln!("{}: {problem}", file.display());
            }
        }
    }
    if sound { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// What a sound file is, or all that is wrong with it.
fn check(file: &Path) -> Checked {
    let bytes = input::read(file, HAND_OVER_LIMIT).map_err(|error| {
        // The name stands before each line already.
        let name = format!("{}: ", file.display());
        let error = error.to_string();
        vec![error.strip_prefix(&name).unwrap_or(&error).to_owned()]
    })?;
    check_bytes(&bytes)
}

/// What a sound file is, or all that is wrong with it.
type Checked = Result<String, Vec<String>>;
/// What checks the files of a format.
type Check = fn(&[u8]) -> Checked;

/// The same for bytes.
///
/// # Errors
/// All that is wrong, each with its place.
pub fn check_bytes(bytes: &[u8]) -> Checked {
    let format = format_of(bytes).map_err(|problem| vec![problem])?;
    match FORMATS.iter().find(|(known, _)| *known == format) {
        Some((_, check)) => check(bytes),
        None => Err(vec![format!(
            "/format: {:?} is not a format of this program; it should be one of {}",
            format.chars().take(60).collect::<String>(),
            formats()
        )]),
    }
}

/// Every format with what checks it, in the order in which they are named.
const FORMATS: [(&str, Check); 15] = [
    (bundle::file::FORMAT, of_bundle),
    (circuit::file::FORMAT, |bytes| {
        let circuit = circuit::check::read(bytes).map_err(|error| lines(&error))?;
        let what = format!("{} loads, {} wires", circuit.loads.len(), circuit.runs.len());
        Ok(told(&circuit.format, circuit.version, &what))
    }),
    (circuit::fault::FORMAT, |bytes| sound(bytes, circuit::fault::FORMAT, figures::of_faults)),
    (circuit::meter::FORMAT, |bytes| of_type::<circuit::meter::Meter>(bytes, circuit::meter::FORMAT)),
    (circuit::story::FORMAT, |bytes| of_type::<circuit::story::Story>(bytes, circuit::story::FORMAT)),
    (job::cornered::FORMAT, |bytes| of_type::<job::cornered::Cornered>(bytes, job::cornered::FORMAT)),
    (search::evidence::FORMAT, |bytes| {
        let evidence = search::evidence::read(bytes).map_err(|error| vec![error.to_string()])?;
        Ok(told(&evidence.format, evidence.version, &format!("{} observations", evidence.items.len())))
    }),
    (search::lessons::FORMAT, |bytes| {
        let learned = learned(bytes)?;
        Ok(told(&learned.format, learned.version, &format!("{} jobs", learned.lessons.len())))
    }),
    (search::plan::FORMAT, |bytes| sound(bytes, search::plan::FORMAT, figures::of_plan)),
    (prices::FORMAT, |bytes| {
        let prices = prices::read(bytes).map_err(|error| error.0)?;
        let what = format!("{} parts, {}", prices.parts.len(), prices.currency);
        Ok(told(&prices.format, prices.version, &what))
    }),
    (estimate::FORMAT, |bytes| of_type::<estimate::Estimate>(bytes, estimate::FORMAT)),
    (shelf::FORMAT, |bytes| {
        let shelf = shelf::read::read(bytes).map_err(|error| lines(&error))?;
        let what = format!("{} circuits, {} taken off", shelf.entries().len(), shelf.taken_off().len());
        Ok(told(shelf::FORMAT, shelf::VERSION, &what))
    }),
    (vehicle::body::FORMAT, |bytes| {
        few_values(bytes, vehicle::body::FORMAT)?;
        let map = vehicle::check::read(bytes).map_err(|error| lines(&error))?;
        let what = format!("{} zones, {} passages", map.zones.len(), map.passages.len());
        Ok(told(&map.format, map.version, &what))
    }),
    (vehicle::engine::FORMAT, |bytes| sound(bytes, vehicle::engine::FORMAT, in_the_map_it_makes)),
    (LOADS, |bytes| of_type::<Loads>(bytes, LOADS)),
];

/// Their names.
fn formats() -> String {
    FORMATS.map(|(format, _)| format).join(", ")
}

fn told(format: &str, version: u32, what: &str) -> String {
    format!("a sound {format}, version {version}: {what}")
}

fn of_bundle(bytes: &[u8]) -> Checked {
    let opened = open(bytes, HAND_OVER_LIMIT).map_err(|error| vec![error.to_string()])?;
    let problems = in_bundle(bytes, &opened.bundle);
    if !problems.is_empty() {
        return Err(problems);
    }
    let (events, photos) = (opened.bundle.log.len(), opened.bundle.photos.len());
    let what = format!("{events} events, {photos} photographs ({} with their bytes)", opened.photos().count());
    Ok(told(bundle::file::FORMAT, opened.bundle.version, &what))
}

/// Reads a file of lessons, or says all that is wrong with it.
pub(super) fn learned(bytes: &[u8]) -> Result<LearnedFile, Vec<String>> {
    let problems = |file: &LearnedFile| {
        let mut problems = Vec::new();
        for (place, lesson) in file.lessons.iter().enumerate() {
            for (feature, expected) in lesson.expected.iter().filter(|(_, expected)| **expected < 0.0) {
                problems.push(format!("/lessons/{place}/expected/{feature}: it is {expected}; 0 or more is right"));
            }
        }
        problems
    };
    sound(bytes, search::lessons::FORMAT, problems)?;
    serde_json::from_slice(bytes).map_err(|error| vec![said(&error)])
}

/// A message, one problem a line.
fn lines(error: &impl std::error::Error) -> Vec<String> {
    error.to_string().lines().map(str::to_owned).collect()
}

/// What is wrong with the zone map that an engine place makes of its body's.
fn in_the_map_it_makes(moved: &EngineMove) -> Vec<String> {
    let plain = vehicle::fit::map_for(moved.body, Side::Left).map;
    let problems = vehicle::check::problems(&moved.apply(&plain));
    problems.into_iter().map(|problem| format!("in the map that it makes, {problem}")).collect()
}

/// What is wrong with the circuit of a bundle, as it stands beside the log, and else as the log makes it; and where what
/// stands beside the log is other than what that tells. A job may be handed over however its circuit is, and its log is
/// all of it, so reading a bundle does not ask for this.
fn in_bundle(bytes: &[u8], bundle: &bundle::Bundle) -> Vec<String> {
    let problems = |circuit: &Option<CircuitFile>, place: &str| -> Vec<String> {
        let Some(Err(error)) = circuit.as_ref().map(circuit::check::validate) else { return Vec::new() };
        let told = |circuit::check::Problem { pointer, wrong, right }| format!("{place}{pointer}: {wrong}; {right}");
        error.problems.into_iter().map(told).collect()
    };
    let stated = problems(&bundle.job.circuit, "/job/circuit");
    if !stated.is_empty() {
        return stated;
    }
    match bundle.fold() {
        Ok(job) => match problems(&job.circuit, "/log: in the circuit that it makes, ") {
            sound if sound.is_empty() => beside_the_log(bytes, bundle, &job),
            problems => problems,
        },
        Err(error) => vec![format!("/log: {error}")],
    }
}

/// A file of the catalogue of loads.
const LOADS: &str = "loomwalk/loads";

#[derive(Deserialize)]
struct Loads {
    #[serde(rename = "items")]
    _items: Vec<crate::catalogue::Item>,
}

/// The newest major version of every format but the bundle, which checks its own.
const VERSION: u64 = 1;

#[derive(Deserialize)]
struct Head<'a> {
    #[serde(default, borrow)]
    format: Option<&'a RawValue>,
    #[serde(default, borrow)]
    version: Option<&'a RawValue>,
}

fn head(bytes: &[u8]) -> Result<Head<'_>, String> {
    let object = bytes.trim_ascii_start().starts_with(b"{");
    match serde_json::from_slice(bytes) {
        Ok(head) if object => Ok(head),
        Err(_) if bytes.trim_ascii().is_empty() => Err("the file: it is empty".to_owned()),
        Err(error) if error.is_eof() => {
            Err(format!("the file: it ends in the middle, after {} bytes: it was cut off; get it again", bytes.len()))
        }
        Err(error) if object && error.to_string().starts_with("duplicate field") => {
            Err(format!("the file: {}; give it once", said(&error)))
        }
        Err(error) if !error.is_data() => Err(format!("the file: it should be JSON, but {error}")),
        _ => Err("the file: it should hold one JSON object with a \"format\"".to_owned()),
    }
}

fn format_of(bytes: &[u8]) -> Result<String, String> {
    let Some(format) = head(bytes)?.format else {
        return Err(format!("/format: there is none; it should be one of {}", formats()));
    };
    serde_json::from_str(format.get()).map_err(|_| format!("/format: it should be a text, one of {}", formats()))
}

/// Checks a format by its type alone.
fn of_type<T: DeserializeOwned>(bytes: &[u8], format: &str) -> Checked {
    sound(bytes, format, |_: &T| Vec::new())
}

/// Checks a format by its type, and then by what `wrong` finds in it.
fn sound<T: DeserializeOwned>(bytes: &[u8], format: &str, wrong: impl Fn(&T) -> Vec<String>) -> Checked {
    let version = head(bytes).map_err(|problem| vec![problem])?.version;
    match version.and_then(|raw| serde_json::from_str::<u64>(raw.get()).ok()) {
        Some(VERSION) => {}
        Some(newer) if newer > VERSION => {
            return Err(vec![format!(
                "/version: this is version {newer} of {format} and this program reads up to version {VERSION}: update the program"
            )]);
        }
        _ => return Err(vec![format!("/version: it should be the whole number {VERSION}")]),
    }
    few_values(bytes, format)?;
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    match serde_path_to_error::deserialize::<_, T>(&mut reader) {
        Ok(value) => match wrong(&value) {
            problems if problems.is_empty() => Ok(format!("a sound {format}, version {VERSION}")),
            problems => Err(problems),
        },
        Err(error) => {
            let place = pointer(error.path());
            let place = if place.is_empty() { "the file".to_owned() } else { place };
            Err(vec![format!("{place}: {}", said(error.inner()))])
        }
    }
}

/// A value may take two bytes in a file and a hundred in memory: a file of nothing but values is stopped first.
fn few_values(bytes: &[u8], format: &str) -> Result<(), Vec<String>> {
    if count_values(bytes) > PART_VALUES_LIMIT {
        return Err(vec![format!(
            "the file: more than {PART_VALUES_LIMIT} values, which is more than any {format} has"
        )]);
    }
    Ok(())
}
