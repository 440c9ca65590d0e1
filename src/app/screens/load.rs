//! One load: its name, its place, its size, and whether this vehicle has it at all.

use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::parts::picture::Sketch;
use crate::app::parts::{Choice, Conditions, Field, Marks, Picture, Screen, Waiting, WireWay};
use crate::app::route::Route;
use crate::app::words;
use crate::catalogue;
use crate::circuit::file::{Load as LoadFile, LoadKind, OptionState};
use crate::ids::{Condition, JobId, LoadId, ZoneId};
use crate::job::event::Act;
use crate::job::marking::Spot;
use crate::job::state::Job;
use crate::job::strike::option_of;

const STATES: [OptionState; 3] = [OptionState::Fitted, OptionState::Absent, OptionState::RemovedWiringLeft];
const KINDS: [(LoadKind, &str); 11] = [
    (LoadKind::FilamentLamp, "Filament lamp"),
    (LoadKind::LedLamp, "LED lamp"),
    (LoadKind::Motor, "Motor"),
    (LoadKind::Heater, "Heater"),
    (LoadKind::RelayCoil, "Relay coil"),
    (LoadKind::Solenoid, "Solenoid, lock"),
    (LoadKind::Module, "Control unit"),
    (LoadKind::Sensor, "Sensor"),
    (LoadKind::Sounder, "Horn, buzzer"),
    (LoadKind::Socket, "Socket"),
    (LoadKind::Resistor, "Plain resistance"),
];

/// The act that changes a load as it is by then; none where it was taken off the list meanwhile.
pub fn changed(job: &Job, id: &LoadId, change: &dyn Fn(&mut LoadFile)) -> Vec<Act> {
    let loads = job.circuit.iter().flat_map(|circuit| &circuit.loads);
    let known = loads.into_iter().find(|load| load.id == *id).cloned();
    let changed = known.map(|mut load| {
        change(&mut load);
        Act::Load(load)
    });
    changed.into_iter().collect()
}

/// One load.
#[component]
pub fn Load(job: JobId, load: String) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let circuit = session.job.circuit.as_ref();
    let found = circuit.and_then(|circuit| circuit.loads.iter().find(|known| known.id.as_str() == load)).cloned();
    let (Some(circuit), Some(load)) = (circuit, found) else {
        return rsx! {
            Screen { title: "This load is not on the list", back: Route::Circuit { job }, job,
                action: rsx! { Link { class: "key main", to: Route::Circuit { job }, "To the list" } },
                p { "It was taken off. “Take back” under the list brings it back, as long as nothing else was done since." }
            }
        };
    };
    let option = option_of(&load);
    let state = circuit.state_of(&load);
    let map = crate::vehicle::body::fit(&circuit.vehicle).map;
    let item = load.item.as_ref().and_then(catalogue::item);
    let usual = item.and_then(|item| map.zone(&item.zone_of(&circuit.vehicle)).cloned());
    let here = load.zone.as_ref().and_then(|zone| map.zone(zone)).or(usual.as_ref()).map(|zone| zone.id.clone());
    let picture = Sketch::to_choose(&circuit.vehicle, here.as_ref());
    let zones: Vec<(ZoneId, String)> = map.zones.iter().map(|zone| (zone.id.clone(), zone.label.clone())).collect();
    let more = session.conditions();
    drop(open);

    let kind = load.kind.or(item.map(|item| item.kind));
    let size = match (load.watts, load.amps, load.ohms) {
        (Some(watts), _, _) => format!("{watts}"),
        _ => String::new(),
    };
    let amps = load.amps.map(|amps| format!("{amps}")).unwrap_or_default();
    let taken = item.filter(|item| load.live_when.is_empty() && !item.live_when.is_empty());
    let taken = taken.map(|item| words::state(&item.live_when).to_lowercase());
    let id = load.id.clone();
    // One thing about the load, as it is by then.
    let keep = {
        let id = id.clone();
        move |change: &dyn Fn(&mut LoadFile)| house.change(|job| changed(job, &id, change))
    };
    let keep_size = {
        let keep = keep.clone();
        move |text: String, watts: bool| {
            let value = words::number(&text);
            if value.is_none() && !text.trim().is_empty() {
                house.say(
                    WordKind::Trouble,
                    format!("“{text}” is not a size: write a number above 0, such as 21 or 1.5."),
                );
                return;
            }
            let (watts, amps) = if watts { (value, None) } else { (None, value) };
            keep(&|load| (load.watts, load.amps, load.ohms) = (watts, amps, None));
        }
    };
    let keep_amps = keep_size.clone();
    let title = if load.label.is_empty() { load.id.0.clone() } else { load.label.clone() };
    let (keep_state, keep_label, keep_zone, pick_zone, keep_kind, keep_live) =
        (id.clone(), keep.clone(), keep.clone(), keep.clone(), keep.clone(), keep);
    let action = rsx! {
        Link { class: "key main", to: Route::Circuit { job }, "Back to the list" }
    };
    rsx! {
        Screen { title, back: Route::Circuit { job }, job, action,
            Choice {
                name: "state",
                legend: "This vehicle",
                answers: STATES.iter().map(|state| words::option_state(*state).to_owned()).collect::<Vec<_>>(),
                chosen: STATES.iter().position(|offered| *offered == state),
                onchoose: move |chosen: usize| {
                    house.change(|job| {
                        let mut acts = changed(job, &keep_state, &|load| load.option = Some(option_of(load)));
                        acts.push(Act::Option { option: option.clone(), state: STATES[chosen], why: String::new() });
                        acts
                    });
                },
            }
            p { class: "hint", "An unplugged connector with its wiring left can short too: “Removed, wiring left” keeps its wire on the walk." }
            Field {
                id: "label",
                label: "Name",
                value: load.label.clone(),
                onkeep: move |label: String| keep_label(&|load| load.label.clone_from(&label)),
            }
            div { class: "field",
                label { r#for: "zone", "Where it sits" }
                select {
                    id: "zone",
                    onchange: move |event: FormEvent| {
                        let zone = event.value();
                        keep_zone(&|load| load.zone = (!zone.is_empty()).then(|| ZoneId(zone.clone())));
                    },
                    option { value: "", selected: here.is_none(), "Not known" }
                    for (zone, label) in zones {
                        option { key: "{zone}", value: "{zone}", selected: here.as_ref() == Some(&zone), "{label}" }
                    }
                }
            }
            details {
                summary { "Choose the place in the picture" }
                Picture {
                    sketch: picture,
                    caption: "Thick frame: where it sits now. Tap another part to put it there.",
                    onchoose: move |zone: ZoneId| pick_zone(&|load| load.zone = Some(zone.clone())),
                }
            }
            WireWay { job, load: id.clone() }
            div { class: "field",
                label { r#for: "kind", "What it is" }
                select {
                    id: "kind",
                    onchange: move |event: FormEvent| {
                        let chosen = event.value().parse().ok().and_then(|position: usize| KINDS.get(position));
                        keep_kind(&|load| load.kind = chosen.map(|(kind, _)| *kind));
                    },
                    option { value: "", selected: kind.is_none(), "Not known" }
                    for (position, (offered, label)) in KINDS.into_iter().enumerate() {
                        option { key: "{position}", value: "{position}", selected: kind == Some(offered), "{label}" }
                    }
                }
            }
            Field {
                id: "watts",
                label: "Watts, if stated",
                keyboard: "decimal",
                value: size,
                onkeep: move |text| keep_size(text, true),
            }
            Field {
                id: "amps",
                label: "Or amperes",
                keyboard: "decimal",
                value: amps,
                onkeep: move |text| keep_amps(text, false),
            }
            Conditions {
                legend: "Takes current only with",
                state: load.live_when.clone(),
                more,
                onchange: move |live: Vec<Condition>| keep_live(&|load| load.live_when.clone_from(&live)),
            }
            if let Some(taken) = taken {
                p { class: "hint", id: "taken-live-when", "Nothing is ticked, so the catalogue's holds: {taken}." }
            }
            if let Some(item) = item {
                p { class: "hint", "Size and place are proposed from “{item.label}”: {item.source}." }
            }
            Marks { legend: "Mark its wire", spot: Spot::Wire(id.clone()) }
            button {
                class: "key",
                id: "remove",
                onclick: move |_| {
                    house.act(Act::LoadRemoved { load: id.clone() });
                    navigator.push(Route::Circuit { job });
                },
                "Take it off the list"
            }
        }
    }
}
