//! What has a job found to be otherwise than the shelf said? Each correction in words, to be taken over or not.
//!
//! Told against the circuit as the job took it, so that what another job has put on the shelf since is neither told as
//! learned nor undone. The vehicle's label and its identification number are the job's own and no correction.

mod told;

use self::told::Told;
use super::find::load_name;
use super::take::is_of_the_build;
use super::{Shelf, Shelved};
use crate::circuit::check::{self, CircuitError};
use crate::circuit::file::{
    Body, CircuitFile, EnginePlace, Fuse, Joint, Load, Mark, OptionState, Run, Side, SizeClass, Supply, Switch,
    TouchLengths, Vehicle,
};
use crate::circuit::harness::Place;
use crate::circuit::mark::load_of_wire;
use crate::ids::{LoadId, MarkId, OptionId, RunId, ZoneId};
use crate::job::edit::{lay_aside, put};
use crate::job::state::Job;
use crate::job::state::SetAside;

/// One thing that was learned.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// What, in words.
    pub words: String,
    change: Change,
}

/// What it changes on the shelf.
#[derive(Debug, Clone, PartialEq)]
enum Change {
    Name(String),
    /// How the vehicle is built: its options are told one by one, and its label is the shelf's own.
    Built(Built),
    Supply(Supply),
    Fuse(Fuse),
    Touch(Option<TouchLengths>),
    Option(OptionId, Option<OptionState>),
    Struck(LoadId),
    Added(Load),
    Place(LoadId, Option<ZoneId>),
    Way(LoadId, Vec<Place>),
    Size(LoadId, Size),
    /// Everything about a load but its place, way and size.
    Rest(Box<Load>),
    /// The same wire, measured.
    Run(Run),
    /// Joints, switches and wires, which name one another, as a whole.
    Wiring(Vec<Joint>, Vec<Switch>, Vec<Run>),
    Mark(Mark),
    MarkOff(MarkId),
}

/// Body style, driver's side, place of the engine, size class.
type Built = (Body, Side, EnginePlace, SizeClass);

/// Where a job's circuit stands on the shelf.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Origin<'a> {
    /// The circuit on the shelf.
    pub shelved: &'a Shelved,
    /// What the job began with.
    pub taken: &'a CircuitFile,
}

/// Where a job's circuit came from, or was put before. `None`: the shelf does not have it, or no longer.
pub fn origin<'a>(shelf: &'a Shelf, job: &'a Job) -> Option<Origin<'a>> {
    let own = shelf.entries().into_iter().find(|entry| entry.from_job == Some(job.id));
    let own = own.map(|shelved| Origin { shelved, taken: &shelved.circuit });
    let from_shelf = || {
        let from = job.taken_from.as_ref()?;
        Some(Origin { shelved: shelf.get(from.shelved)?, taken: &from.circuit })
    };
    own.or_else(from_shelf)
}

impl Origin<'_> {
    /// What the job has learned that the shelf does not say yet.
    pub fn learned(&self, now: &CircuitFile) -> Vec<Correction> {
        let news = |correction: &Correction| correction.on(&self.shelved.circuit) != self.shelved.circuit;
        learned(self.taken, now).into_iter().filter(news).collect()
    }
}

/// What `now` says otherwise than `before`. All of it applied to `before` gives `now`, but for the order of the lists.
pub fn learned(before: &CircuitFile, now: &CircuitFile) -> Vec<Correction> {
    let mut told = Told::of(&now.vehicle);
    told.head(before, now);
    // A load that is struck out takes its wires along: they are not told a second time.
    let mut base = before.clone();
    for load in before.loads.iter().filter(|load| find(&now.loads, |known| known.id == load.id).is_none()) {
        let struck = Change::Struck(load.id.clone());
        base = struck.on(&base);
        told.add(format!("{}: not on this fuse", load_name(load)), struck);
    }
    for load in &now.loads {
        match find(&base.loads, |known| known.id == load.id) {
            Some(known) => told.load(known, load),
            None => {
                let place = told.zone(load);
                told.add(format!("{}: on this fuse as well, {place}", load_name(load)), Change::Added(load.clone()));
            }
        }
    }
    told.wiring(&base, now);
    told.marks(&base, now);
    told.list
}

/// The circuit with these corrections.
///
/// # Errors
/// Where it makes no sense with these alone, as a mark without the wire that it is on.
pub fn take_over<'a>(
    circuit: &CircuitFile,
    corrections: impl IntoIterator<Item = &'a Correction>,
) -> Result<CircuitFile, CircuitError> {
    let circuit = corrections.into_iter().fold(circuit.clone(), |circuit, correction| correction.on(&circuit));
    check::validate(&circuit).map(|()| circuit)
}

impl Correction {
    /// Whether it is about what happened to one vehicle, or what that one has: no news for its sisters.
    pub fn is_of_one_vehicle(&self) -> bool {
        match &self.change {
            Change::Option(..) => true,
            Change::Mark(mark) => !is_of_the_build(mark.kind),
            _ => false,
        }
    }

    /// The circuit with this correction.
    fn on(&self, circuit: &CircuitFile) -> CircuitFile {
        self.change.on(circuit)
    }
}

/// How big a load is.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Size {
    ohms: Option<f64>,
    watts: Option<f64>,
    amps: Option<f64>,
    rated_volts: Option<f64>,
}

impl Size {
    fn of(load: &Load) -> Self {
        Self { ohms: load.ohms, watts: load.watts, amps: load.amps, rated_volts: load.rated_volts }
    }

    fn words(self) -> String {
        let sizes = [(self.ohms, "Ω"), (self.watts, "W"), (self.amps, "A")];
        let size = sizes.into_iter().find_map(|(size, unit)| size.map(|size| format!("{size} {unit}")));
        let size = size.unwrap_or_else(|| "the usual size".to_owned());
        self.rated_volts.map_or(size.clone(), |volts| format!("{size} at {volts} V"))
    }
}

impl Change {
    fn on(&self, circuit: &CircuitFile) -> CircuitFile {
        let mut circuit = circuit.clone();
        let load = |circuit: &mut CircuitFile, id: &LoadId, change: &dyn Fn(&mut Load)| {
            circuit.loads.iter_mut().filter(|load| load.id == *id).for_each(change);
        };
        match self {
            Self::Name(name) => circuit.label.clone_from(name),
            Self::Built((body, side, engine, size)) => {
                let vehicle = &mut circuit.vehicle;
                (vehicle.body, vehicle.drive_side, vehicle.engine, vehicle.size) = (*body, *side, *engine, *size);
            }
            Self::Supply(supply) => circuit.supply = *supply,
            Self::Fuse(fuse) => circuit.fuse = fuse.clone(),
            Self::Touch(touch) => circuit.touch = *touch,
            Self::Option(option, None) => drop(circuit.vehicle.options.remove(option)),
            Self::Option(option, Some(state)) => drop(circuit.vehicle.options.insert(option.clone(), *state)),
            Self::Struck(id) => {
                circuit.loads.retain(|load| load.id != *id);
                lay_aside(&mut circuit, &mut SetAside::default(), id);
            }
            Self::Added(load) => put(&mut circuit.loads, load.clone(), |load| &load.id),
            Self::Place(id, zone) => load(&mut circuit, id, &|load| load.zone.clone_from(zone)),
            Self::Way(id, way) => load(&mut circuit, id, &|load| load.via.clone_from(way)),
            Self::Size(id, size) => load(&mut circuit, id, &|load| {
                let Size { ohms, watts, amps, rated_volts } = *size;
                (load.ohms, load.watts, load.amps, load.rated_volts) = (ohms, watts, amps, rated_volts);
            }),
            Self::Rest(new) => load(&mut circuit, &new.id, &|load| *load = but_for_the_rest(load, new)),
            Self::Run(run) => {
                let same = |known: &&mut Run| same_ends(known, run);
                circuit.runs.iter_mut().filter(same).for_each(|known| known.clone_from(run));
            }
            Self::Wiring(joints, switches, runs) => {
                circuit.joints.clone_from(joints);
                circuit.switches.clone_from(switches);
                circuit.runs.clone_from(runs);
                let CircuitFile { marks, runs, .. } = &mut circuit;
                let stays = |run: &RunId| load_of_wire(run).is_some() || runs.iter().any(|known| known.id == *run);
                marks.retain(|mark| mark.run().is_none_or(stays));
            }
            Self::Mark(mark) => put(&mut circuit.marks, mark.clone(), |mark| &mark.id),
            Self::MarkOff(id) => circuit.marks.retain(|mark| mark.id != *id),
        }
        circuit
    }
}

/// `new` with the place, way and size of `old`.
fn but_for_the_rest(old: &Load, new: &Load) -> Load {
    let Size { ohms, watts, amps, rated_volts } = Size::of(old);
    Load { zone: old.zone.clone(), via: old.via.clone(), ohms, watts, amps, rated_volts, ..new.clone() }
}

fn built(vehicle: &Vehicle) -> Built {
    (vehicle.body, vehicle.drive_side, vehicle.engine, vehicle.size)
}

fn find<T>(list: &[T], holds: impl Fn(&T) -> bool) -> Option<&T> {
    list.iter().find(|one| holds(one))
}

fn same_ends(one: &Run, other: &Run) -> bool {
    (&one.id, &one.from, &one.to) == (&other.id, &other.from, &other.to)
}

/// Whether two lists hold the same, in whatever order.
fn same_set<T: PartialEq>(one: &[T], other: &[T]) -> bool {
    one.len() == other.len() && one.iter().all(|part| other.contains(part))
}
