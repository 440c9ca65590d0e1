//! One load: its name, its place, its size, and whether this vehicle has it at all.

use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::parts::{Choice, Conditions, Field, Screen, Waiting};
use crate::app::route::Route;
use crate::app::screens::circuit::option_of;
use crate::app::words;
use crate::catalogue;
use crate::circuit::file::{Load as LoadFile, LoadKind, OptionState};
use crate::ids::{JobId, LoadId, ZoneId};
use crate::job::event::Act;

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

/// Reads a size as people type it: a decimal comma is as good as a point.
fn number(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    text.parse().ok().filter(|value: &f64| value.is_finite() && *value > 0.0)
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
                p { "It was removed. “Take back” on the walk brings it back." }
            }
        };
    };
    let option = option_of(&load);
    let state = circuit.vehicle.options.get(&option).copied().unwrap_or_default();
    let map = crate::vehicle::body::map_for(circuit.vehicle.body, circuit.vehicle.drive_side).map;
    let item = load.item.as_ref().and_then(catalogue::item);
    let usual =
        item.and_then(|item| map.zone(&item.zone_on(circuit.vehicle.body, circuit.vehicle.drive_side)).cloned());
    let here = load.zone.as_ref().and_then(|zone| map.zone(zone)).or(usual.as_ref()).map(|zone| zone.id.clone());
    let zones: Vec<(ZoneId, String)> = map.zones.iter().map(|zone| (zone.id.clone(), zone.label.clone())).collect();
    drop(open);

    let kind = load.kind.or(item.map(|item| item.kind));
    let size = match (load.watts, load.amps, load.ohms) {
        (Some(watts), _, _) => format!("{watts}"),
        _ => String::new(),
    };
    let amps = load.amps.map(|amps| format!("{amps}")).unwrap_or_default();
    let keep = move |load: LoadFile| house.act(Act::Load(load));
    let keep_size = {
        let load = load.clone();
        move |text: String, watts: bool| {
            let value = number(&text);
            if value.is_none() && !text.trim().is_empty() {
                house.say(
                    WordKind::Trouble,
                    format!("“{text}” is not a size: write a number above 0, such as 21 or 1.5."),
                );
                return;
            }
            let (watts, amps) = if watts { (value, None) } else { (None, value) };
            keep(LoadFile { watts, amps, ohms: None, ..load.clone() });
        }
    };
    let keep_amps = keep_size.clone();
    let title = if load.label.is_empty() { load.id.0.clone() } else { load.label.clone() };
    let id = load.id.clone();
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
                onchoose: {
                    let load = load.clone();
                    move |chosen: usize| {
                        if load.option.is_none() {
                            keep(LoadFile { option: Some(option.clone()), ..load.clone() });
                        }
                        house.act(Act::Option { option: option.clone(), state: STATES[chosen] });
                    }
                },
            }
            p { class: "hint", "An unplugged connector with its wiring left can short too: “Removed, wiring left” keeps its wire on the walk." }
            Field {
                id: "label",
                label: "Name",
                value: load.label.clone(),
                onkeep: {
                    let load = load.clone();
                    move |label| keep(LoadFile { label, ..load.clone() })
                },
            }
            div { class: "field",
                label { r#for: "zone", "Where it sits" }
                select {
                    id: "zone",
                    onchange: {
                        let load = load.clone();
                        move |event: FormEvent| {
                            let zone = event.value();
                            let zone = (!zone.is_empty()).then_some(ZoneId(zone));
                            keep(LoadFile { zone, ..load.clone() });
                        }
                    },
                    option { value: "", selected: here.is_none(), "Not known" }
                    for (zone, label) in zones {
                        option { key: "{zone}", value: "{zone}", selected: here.as_ref() == Some(&zone), "{label}" }
                    }
                }
            }
            div { class: "field",
                label { r#for: "kind", "What it is" }
                select {
                    id: "kind",
                    onchange: {
                        let load = load.clone();
                        move |event: FormEvent| {
                            let chosen = event.value().parse().ok().and_then(|position: usize| KINDS.get(position));
                            keep(LoadFile { kind: chosen.map(|(kind, _)| *kind), ..load.clone() });
                        }
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
                onchange: {
                    let load = load.clone();
                    move |live_when| keep(LoadFile { live_when, ..load.clone() })
                },
            }
            if let Some(item) = item {
                p { class: "hint", "Size and place are proposed from “{item.label}”: {item.source}." }
            }
            button {
                class: "key",
                id: "remove",
                onclick: move |_| {
                    house.act(Act::LoadRemoved { load: LoadId(id.0.clone()) });
                    navigator.push(Route::Circuit { job });
                },
                "Take it off the list"
            }
        }
    }
}
