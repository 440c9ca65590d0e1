//! How is each thing that was learned put into words, beside the change that it makes on the shelf?

use super::super::find::load_name;
use super::{Change, Correction, Size, built, but_for_the_rest, find, same_ends, same_set};
use crate::circuit::file::{
    CircuitFile, EnginePlace, Fuse, Load, Mark, MarkPlace, OptionState, Run, Side, SizeClass, Supply, Vehicle,
};
use crate::circuit::harness::Place;
use crate::circuit::said;
use crate::gather::Order as _;
use crate::ids::{OptionId, RunId};
use crate::search::point::mark_words;
use crate::vehicle::fit::{FittedMap, fit};

/// Collects corrections with their words.
pub(super) struct Told {
    map: FittedMap,
    pub list: Vec<Correction>,
}

impl Told {
    /// Nothing told yet, of that vehicle.
    pub fn of(vehicle: &Vehicle) -> Self {
        Self { map: fit(vehicle), list: Vec::new() }
    }

    pub fn add(&mut self, words: String, change: Change) {
        self.list.push(Correction { words, change });
    }

    pub fn head(&mut self, before: &CircuitFile, now: &CircuitFile) {
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
        named.order_by(Ord::cmp);
        named.dedup();
        for option in named.into_iter().filter(|option| was.get(*option) != is.get(*option)) {
            let of_load = |load: &&Load| load.of_option() == Some(option);
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

    pub fn load(&mut self, was: &Load, is: &Load) {
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

    pub fn wiring(&mut self, base: &CircuitFile, now: &CircuitFile) {
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

    pub fn marks(&mut self, base: &CircuitFile, now: &CircuitFile) {
        for mark in &now.marks {
            if !base.marks.contains(mark) {
                let mut words = format!("{}: {}", self.marked(now, mark), mark_words(mark.kind));
                if !mark.note.is_empty() {
                    words += &format!(" ({})", mark.note);
                }
                self.add(words, Change::Mark(mark.clone()));
            }
        }
        for mark in base.marks.iter().filter(|mark| find(&now.marks, |known| known.id == mark.id).is_none()) {
            let words = format!("{}: no longer marked", self.marked(base, mark));
            self.add(words, Change::MarkOff(mark.id.clone()));
        }
    }

    /// Where a mark is.
    fn marked(&self, circuit: &CircuitFile, mark: &Mark) -> String {
        match &mark.place {
            MarkPlace::Run { run, at_m } => format!("{}, {at_m} m along", self.wire(circuit, run)),
            MarkPlace::Passage(passage) => self.place(&Place::Passage(passage.clone())),
            MarkPlace::Zone(zone) => format!("All of {}", self.place(&Place::Zone(zone.clone()))),
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

    pub fn zone(&self, load: &Load) -> String {
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
