//! How does a circuit from the shelf become that of a job, or of a sister vehicle?

use super::Shelved;
use super::find::{bare, same_label};
use crate::circuit::file::{Body, CircuitFile, EnginePlace, MarkKind, Side, SizeClass};

/// A copy for a sister vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct Sister {
    /// The circuit under its new label.
    pub circuit: CircuitFile,
    /// What was left out, in words; may be empty.
    pub left_out: Vec<String>,
}

/// A circuit from the shelf as a job takes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Taking {
    /// The circuit, with the job's own vehicle label and identification number.
    pub circuit: CircuitFile,
    /// What was left out because the vehicle is another one, in words.
    pub left_out: Vec<String>,
    /// What was entered in the job already and would be replaced, in words. Empty: nothing is lost.
    pub replaces: Vec<String>,
}

/// The same circuit on a sister vehicle.
///
/// What follows from how the vehicles are built stays: places, ways, lengths, and marks for heat, movement, metal,
/// edges and wet. What was seen on the one vehicle goes: its identification number, its options struck out or taken out
/// (the sister may have them, and a load left off the list by mistake hides places), and marks for what is missing,
/// repaired or added there.
pub fn for_sister(circuit: &CircuitFile, label: &str) -> Sister {
    let mut circuit = circuit.clone();
    let mut left_out = Vec::new();
    circuit.vehicle.vin = None;
    circuit.vehicle.label = label.to_owned();
    let marks = circuit.marks.len();
    circuit.marks.retain(|mark| is_of_the_build(mark.kind));
    match marks - circuit.marks.len() {
        0 => {}
        1 => left_out.push("1 mark that was of that vehicle alone".to_owned()),
        more => left_out.push(format!("{more} marks that were of that vehicle alone")),
    }
    let options = std::mem::take(&mut circuit.vehicle.options);
    match options.values().filter(|state| **state != Default::default()).count() {
        0 => {}
        1 => left_out.push("1 option struck out there: strike it out again if this one lacks it too".to_owned()),
        more => {
            left_out.push(format!("{more} options struck out there: strike them out again if this one lacks them too"))
        }
    }
    Sister { circuit, left_out }
}

/// Whether a mark is about how vehicles of this kind are built, and not about what happened to one.
pub(super) fn is_of_the_build(kind: MarkKind) -> bool {
    match kind {
        MarkKind::Heat | MarkKind::Moves | MarkKind::TouchesMetal | MarkKind::Edge | MarkKind::Wet => true,
        MarkKind::NoGrommet
        | MarkKind::ClipMissing
        | MarkKind::RepairedBefore
        | MarkKind::AddedAfterwards
        | MarkKind::Other => false,
    }
}

/// A circuit from the shelf for a job of which `entered` is known: as it is for the vehicle under whose label it was
/// kept, and else as for a sister vehicle.
pub fn for_job(shelved: &Shelved, entered: Option<&CircuitFile>) -> Taking {
    let vehicle = entered.map(|circuit| &circuit.vehicle);
    let label = vehicle.map(|vehicle| vehicle.label.trim()).filter(|label| !label.is_empty());
    let own = label.is_none_or(|label| same_label(label, &shelved.label));
    let label = label.unwrap_or(&shelved.label);
    let Sister { mut circuit, left_out } = if own {
        let mut circuit = shelved.circuit.clone();
        circuit.vehicle.label = label.to_owned();
        Sister { circuit, left_out: Vec::new() }
    } else {
        for_sister(&shelved.circuit, label)
    };
    circuit.vehicle.vin = vehicle.and_then(|vehicle| vehicle.vin.clone());
    let replaces = entered.map(|entered| replaced(entered, &circuit)).unwrap_or_default();
    Taking { circuit, left_out, replaces }
}

/// What of `entered` the new circuit does not have. A body or side that stands as it does before anyone chose it says
/// nothing.
fn replaced(entered: &CircuitFile, new: &CircuitFile) -> Vec<String> {
    let mut words = Vec::new();
    let (has, gets) = (&entered.vehicle, &new.vehicle);
    if has.body != Body::default() && has.body != gets.body {
        words.push(format!("the body: {}, not {}", has.body.name(), gets.body.name()));
    }
    if has.drive_side != Side::default() && has.drive_side != gets.drive_side {
        words.push("the side on which the driver sits".to_owned());
    }
    let (engine, size) = (has.engine != EnginePlace::default(), has.size != SizeClass::default());
    if (engine && has.engine != gets.engine) || (size && has.size != gets.size) {
        words.push("where the engine sits, or how long the vehicle is".to_owned());
    }
    if has.options.iter().any(|(option, state)| gets.options.get(option) != Some(state)) {
        words.push("what this vehicle has and has not".to_owned());
    }
    let (has, gets) = (&entered.fuse, &new.fuse);
    let same_name = has.label.is_empty() || bare(&has.label) == bare(&gets.label);
    // Rated 0 A until a fuse is chosen.
    let same_rating = has.rating_a <= 0.0 || (has.rating_a == gets.rating_a && has.style == gets.style);
    if !(same_name && same_rating) {
        let name = [&*has.label, "fuse"].into_iter().find(|name| !name.is_empty()).unwrap_or_default();
        let rating = if has.rating_a > 0.0 { format!(", {} A", has.rating_a) } else { String::new() };
        words.push(format!("the fuse: {name}{rating}"));
    }
    let lost = |number: usize, one: &str, more: &str| match number {
        0 => None,
        1 => Some(format!("1 {one}")),
        number => Some(format!("{number} {more}")),
    };
    let loads = entered.loads.iter().filter(|load| !new.loads.contains(load)).count();
    let runs = entered.runs.iter().filter(|run| !new.runs.contains(run)).count();
    let marks = entered.marks.iter().filter(|mark| !new.marks.contains(mark)).count();
    words.extend(lost(loads, "load", "loads"));
    words.extend(lost(runs, "wire", "wires"));
    words.extend(lost(marks, "mark", "marks"));
    words
}
