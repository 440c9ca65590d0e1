//! What has a job found to be otherwise than the shelf said? Each correction in words, to be taken over or not.
//!
//! Told against the circuit as the job took it, so that what another job has put on the shelf since is neither told as
//! learned nor undone. The vehicle's label and its identification number are the job's own and no correction.

use super::find::load_name;
use super::take::is_of_the_build;
use super::{Shelf, Shelved};
use crate::circuit::check::{self, CircuitError};
use crate::circuit::file::{
    Body, CircuitFile, EnginePlace, Fuse, Joint, Load, Mark, OptionState, Run, Side, SizeClass, Supply, Switch,
    TouchLengths, Vehicle,
};
use crate::circuit::harness::Place;
use crate::circuit::said;
use crate::ids::{LoadId, MarkId, OptionId, RunId, ZoneId};
use crate::job::edit::{drop_wiring, put};
use crate::job::state::Job;
use crate::search::point::mark_words;
use crate::vehicle::fit::{FittedMap, fit};

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
    let mut told = Told { map: fit(&now.vehicle), list: Vec::new() };
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
                drop_wiring(&mut circuit, id);
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
                marks.retain(|mark| runs.iter().any(|run| run.id == mark.run));
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

fn built_words(vehicle: &Vehicle) -> String {
    let side = match vehicle.drive_side {
        Side::Left => "left",
        Side::Right => "right",
    };
    let engine = match vehicle.engine {
        EnginePlace::Front => "",
        EnginePlace::Mid => ", engine between the axles",
        EnginePlace::Rear => ", engine at the rear",
    };
    let size = match vehicle.size {
        SizeClass::Short => ", short",
        SizeClass::Medium => "",
        SizeClass::Long => ", long",
    };
    format!("{}, the driver sits on the {side}{engine}{size}", vehicle.body.name())
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

/// Collects corrections with their words.
struct Told {
    map: FittedMap,
    list: Vec<Correction>,
}

impl Told {
    fn add(&mut self, words: String, change: Change) {
        self.list.push(Correction { words, change });
    }

    fn head(&mut self, before: &CircuitFile, now: &CircuitFile) {
        if before.label != now.label {
            let name = if now.label.is_empty() { "without a name" } else { &now.label };
            self.add(format!("The circuit is called: {name}"), Change::Name(now.label.clone()));
        }
        let (was, is) = (&before.vehicle, &now.vehicle);
        if built(was) != built(is) {
            self.add(format!("The vehicle: {}", built_words(is)), Change::Built(built(is)));
        }
        if before.supply != now.supply {
            let Supply { volts, ohms } = now.supply;
            self.add(format!("The battery and its feed: {volts} V, {ohms} Ω"), Change::Supply(now.supply));
        }
        if before.fuse != now.fuse {
            let Fuse { label, rating_a, style, .. } = &now.fuse;
            let name = if label.is_empty() { "The fuse" } else { label };
            self.add(format!("{name}: {rating_a} A, {}", said::style(*style)), Change::Fuse(now.fuse.clone()));
        }
        if before.touch != now.touch {
            let words = match now.touch {
                Some(touch) => format!("A touch lasts {}", said::span(touch.shortest_s, touch.longest_s)),
                None => "A touch lasts as usual".to_owned(),
            };
            self.add(words, Change::Touch(now.touch));
        }
        let (was, is) = (&was.options, &is.options);
        let mut named: Vec<&OptionId> = was.keys().chain(is.keys()).collect();
        named.sort();
        named.dedup();
        for option in named.into_iter().filter(|option| was.get(*option) != is.get(*option)) {
            let of_load = |load: &&Load| load.option.as_ref() == Some(option);
            let load = now.loads.iter().chain(&before.loads).find(of_load);
            let name = load.map_or_else(|| option.as_str().replace('_', " "), |load| load_name(load).to_owned());
            let state = match is.get(option).copied().unwrap_or_default() {
                OptionState::Fitted => "on this vehicle",
                OptionState::Absent => "not on this vehicle",
                OptionState::RemovedWiringLeft => "removed, wiring left",
            };
            self.add(format!("{name}: {state}"), Change::Option(option.clone(), is.get(option).copied()));
        }
    }

    fn load(&mut self, was: &Load, is: &Load) {
        let name = load_name(is);
        if was.zone != is.zone {
            let (new, old) = (self.zone(is), self.zone(was));
            self.add(format!("{name}: {new} (was: {old})"), Change::Place(is.id.clone(), is.zone.clone()));
        }
        if was.via != is.via {
            let way: Vec<String> = is.via.iter().map(|place| self.place(place)).collect();
            let way = if way.is_empty() { "the usual way".to_owned() } else { format!("by way of {}", way.join(", ")) };
            self.add(format!("{name}: its wire goes {way}"), Change::Way(is.id.clone(), is.via.clone()));
        }
        let (size, old) = (Size::of(is), Size::of(was));
        if size != old {
            let words = format!("{name}: {} (was: {})", size.words(), old.words());
            self.add(words, Change::Size(is.id.clone(), size));
        }
        if but_for_the_rest(was, is) != *was {
            let rest = [
                (load_name(was) != name, format!("was called {}", load_name(was))),
                (was.kind != is.kind || was.item != is.item, "what it is".to_owned()),
                (was.live_when != is.live_when, "when it takes current".to_owned()),
                ((&was.feed, &was.return_) != (&is.feed, &is.return_), "where it is wired to".to_owned()),
                (was.option != is.option, "which option it belongs to".to_owned()),
            ];
            let rest: Vec<String> = rest.into_iter().filter_map(|(differs, words)| differs.then_some(words)).collect();
            let rest = if rest.is_empty() { "its name".to_owned() } else { rest.join(", ") };
            self.add(format!("{name}: {rest}"), Change::Rest(Box::new(is.clone())));
        }
    }

    fn wiring(&mut self, base: &CircuitFile, now: &CircuitFile) {
        let ends = |runs: &[Run]| runs.iter().map(|run| (run.id.clone(), run.from.clone(), run.to.clone())).collect();
        let (was, is): (Vec<_>, Vec<_>) = (ends(&base.runs), ends(&now.runs));
        if !same_set(&base.joints, &now.joints) || !same_set(&base.switches, &now.switches) || !same_set(&was, &is) {
            let counted = |number: usize, what: &str| format!("{number} {what}{}", if number == 1 { "" } else { "s" });
            let (joints, runs) = (counted(now.joints.len(), "joint"), counted(now.runs.len(), "wire"));
            let words = format!("How it is wired: {joints} and {runs}, as they are here");
            self.add(words, Change::Wiring(now.joints.clone(), now.switches.clone(), now.runs.clone()));
            return;
        }
        for run in &now.runs {
            let Some(was) = find(&base.runs, |known| same_ends(known, run)).filter(|was| *was != run) else { continue };
            let name = self.wire(now, &run.id);
            let parts = [
                (was.length_m != run.length_m).then(|| run.length_m.map(|length| format!("{length} m long"))),
                (was.area_mm2 != run.area_mm2).then(|| run.area_mm2.map(|area| format!("{area} mm²"))),
                (was.awg != run.awg).then(|| run.awg.map(|gauge| format!("AWG {gauge}"))),
                (was.colour != run.colour).then(|| run.colour.clone()),
                (was.path != run.path).then(|| Some("another way".to_owned())),
            ];
            let parts: Vec<String> = parts.into_iter().flatten().flatten().collect();
            let parts = if parts.is_empty() { "as it is here".to_owned() } else { parts.join(", ") };
            self.add(format!("{name}: {parts}"), Change::Run(run.clone()));
        }
    }

    fn marks(&mut self, base: &CircuitFile, now: &CircuitFile) {
        for mark in &now.marks {
            if !base.marks.contains(mark) {
                let mut words =
                    format!("{}, {} m along: {}", self.wire(now, &mark.run), mark.at_m, mark_words(mark.kind));
                if !mark.note.is_empty() {
                    words += &format!(" ({})", mark.note);
                }
                self.add(words, Change::Mark(mark.clone()));
            }
        }
        for mark in base.marks.iter().filter(|mark| find(&now.marks, |known| known.id == mark.id).is_none()) {
            let words = format!("{}, {} m along: no longer marked", self.wire(base, &mark.run), mark.at_m);
            self.add(words, Change::MarkOff(mark.id.clone()));
        }
    }

    /// A wire by what it leads to, where that is a load.
    fn wire(&self, circuit: &CircuitFile, id: &RunId) -> String {
        let run = find(&circuit.runs, |run| run.id == *id);
        let leads_to = |load: &&Load| {
            run.is_some_and(|run| {
                [&run.from, &run.to].iter().any(|end| end.as_str().starts_with(&format!("{}.", load.id)))
            })
        };
        match circuit.loads.iter().find(leads_to) {
            Some(load) => format!("Wire {id} of {}", load_name(load)),
            None => format!("Wire {id}"),
        }
    }

    fn zone(&self, load: &Load) -> String {
        let Some(zone) = &load.zone else {
            return if load.item.is_some() { "in its usual place" } else { "place unknown" }.to_owned();
        };
        let known = self.map.map.zone(zone);
        format!("in “{}”", known.map_or_else(|| zone.as_str().replace('_', " "), |zone| zone.label.clone()))
    }

    fn place(&self, place: &Place) -> String {
        let (known, id) = match place {
            Place::Zone(id) => (self.map.map.zone(id).map(|zone| zone.label.clone()), id.as_str()),
            Place::Passage(id) => (self.map.map.passage(id).map(|passage| passage.label.clone()), id.as_str()),
        };
        format!("“{}”", known.unwrap_or_else(|| id.replace('_', " ")))
    }
}
