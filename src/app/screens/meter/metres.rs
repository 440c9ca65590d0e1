//! Metres to a hard short: what is lost along a wire at a known current tells how far the current flows.

use dioxus::prelude::*;

use super::Read;
use crate::app::house::House;
use crate::app::words;
use crate::circuit::harness::{Harness, HarnessRun, Place};
use crate::circuit::meter::{Distance, DistanceError, End, distance, fed_end, measurable, usual_resolution};
use crate::ids::{Condition, JobId, RunId};
use crate::job::session::Ready;
use crate::units::{Amps, Volts};

/// A wire to choose.
#[derive(Debug, Clone, PartialEq)]
struct Wire {
    run: RunId,
    label: String,
    /// Where one lead goes, and the other.
    ends: [String; 2],
}

fn wire(harness: &Harness, run: &HarnessRun) -> Wire {
    let end = |node: usize| {
        let node = &harness.nodes[node];
        match node.label.as_str() {
            "" if node.id.as_str() == "fuse" => "the fuse".to_owned(),
            "" => {
                node.id.as_str().strip_suffix(".feed").map_or_else(|| node.id.to_string(), |load| named(harness, load))
            }
            label => label.to_owned(),
        }
    };
    let ends = [end(run.from.0), end(run.to.0)];
    let colour = run.colour.as_ref().map_or_else(String::new, |colour| format!("{colour} · "));
    let label = format!("{colour}{} to {}, {:.1} m", ends[0], ends[1], run.length.0);
    Wire { run: run.id.clone(), label, ends }
}

fn named(harness: &Harness, load: &str) -> String {
    let found = harness.loads.iter().find(|known| known.id.as_str() == load);
    found.map_or_else(|| load.to_owned(), |load| load.label.clone())
}

fn place(ready: &Ready, place: &Place) -> String {
    let map = &ready.map.map;
    match place {
        Place::Zone(id) => map.zone(id).map_or_else(|| id.to_string(), |zone| zone.label.clone()),
        Place::Passage(id) => map.passage(id).map_or_else(|| id.to_string(), |passage| passage.label.clone()),
    }
}

/// What was measured, as far as it is typed: none while a figure is missing.
fn measured(
    ready: &Ready,
    state: &[Condition],
    run: &RunId,
    [drop, amps, digit]: [&str; 3],
) -> Option<Result<(Distance, Option<String>), String>> {
    let run = ready.harness.runs.iter().find(|known| known.id == *run)?;
    let resolution = words::figure(digit).map_or_else(usual_resolution, Volts);
    let (drop, amps) = (Volts(words::figure(drop)?), Amps(words::figure(amps)?));
    let found = fed_end(&ready.harness, state, run).map_err(DistanceError::from);
    let found = found.and_then(|fed_at| distance(run, fed_at, drop, amps, resolution));
    let with_place = |found: Distance| {
        let place = found.place.as_ref().map(|at| place(ready, at));
        (found, place)
    };
    Some(found.map(with_place).map_err(|error| words::sentence(&error.to_string())))
}

/// How far to a hard short.
#[component]
pub fn Metres(job: JobId, state: ReadSignal<Vec<Condition>>) -> Element {
    let house = House::get();
    let mut chosen = use_signal(|| None::<RunId>);
    let drop = use_signal(String::new);
    let amps = use_signal(String::new);
    let digit = use_signal(String::new);
    let wires = use_memo(move || {
        let open = house.open.read();
        let harness = &open.of(job)?.ready()?.harness;
        let runs = measurable(harness, &state.read()).map_err(|error| words::sentence(&error.to_string()));
        Some(runs.map(|runs| runs.into_iter().map(|run| wire(harness, run)).collect::<Vec<_>>()))
    });
    let wires = match wires() {
        None => return rsx! {},
        Some(Err(why)) => return rsx! { p { class: "trouble-text", "{why}" } },
        Some(Ok(wires)) => wires,
    };
    let known = |wire: &&Wire| Some(&wire.run) == chosen.read().as_ref();
    let Some(wire) = wires.iter().find(known).or(wires.first()).cloned() else {
        return rsx! { p { class: "hint", "No wire of this circuit is fed with that switched on. Switch on more, above." } };
    };
    let open = house.open.read();
    let ready = open.of(job).and_then(|session| session.ready());
    let found =
        ready.and_then(|ready| measured(ready, &state.read(), &wire.run, [&drop.read(), &amps.read(), &digit.read()]));
    let [from, to] = wire.ends.clone();
    rsx! {
        p { class: "caution",
            "For a short that is there now. A lamp or a supply with a set limit in the fuse's place, never a larger fuse or a bridge: wires and the short get hot. No fuel vapour. Never on airbag or pretensioner circuits."
        }
        div { class: "field",
            label { r#for: "wire", "Along which wire" }
            select {
                id: "wire",
                onchange: move |event| chosen.set(Some(RunId(event.value()))),
                for other in &wires {
                    option { key: "{other.run}", value: "{other.run}", selected: other.run == wire.run, "{other.label}" }
                }
            }
        }
        p { "Unplug or switch off what else is on it: else a part of the current flows elsewhere. One lead of the voltmeter at {from}, the other at {to}." }
        Read {
            id: "amps",
            label: "Amperes through it",
            hint: "As an ammeter shows them, or as the supply's limit is set. A 21 W lamp in the fuse's place lets up to 1.8 A through; read it, do not guess.",
            text: amps,
        }
        Read { id: "drop", label: "Volts lost from one end to the other", hint: "As 0.035. In millivolts: divide by 1000.", text: drop }
        Read {
            id: "digit",
            label: "Last digit of the voltmeter, V",
            hint: "Without it: {usual_resolution().0}.",
            text: digit,
        }
        div { role: "status", id: "distance",
            match found {
                None => rsx! { p { class: "hint", "With both figures the place follows." } },
                Some(Err(why)) => rsx! { p { class: "note", "{why}" } },
                Some(Ok((found, place))) => rsx! { Found { found, place, from, to } },
            }
        }
    }
}

/// Where it is: a figure, in words, and drawn along the wire.
#[component]
fn Found(found: Distance, place: Option<String>, from: String, to: String) -> Element {
    let Distance { metres, fed_at, plus_minus, length_m, beyond_end, .. } = found;
    let behind = if fed_at == End::From { &to } else { &from };
    let share = |metres: f64| format!("{:.1}%", 100.0 * (metres / length_m).clamp(0.0, 1.0));
    rsx! {
        section { class: "next reading", "aria-label": "Where the short is",
            p { class: "eyebrow", "From {from} on" }
            p { class: "large", "{metres:.2} m" }
            p { "± {plus_minus:.2} m, of {length_m:.2} m to {to}" }
            svg { class: "along", "aria-hidden": "true",
                line { class: "along-wire", x1: "0", y1: "50%", x2: "100%", y2: "50%" }
                if !beyond_end {
                    line { class: "along-part", x1: share(metres - plus_minus), y1: "50%", x2: share(metres + plus_minus), y2: "50%" }
                    line { class: "along-place", x1: share(metres), y1: "0", x2: share(metres), y2: "100%" }
                }
            }
            if beyond_end {
                p { "More is lost than this wire can lose: the short lies behind {behind}, or wire or current are not as stated." }
            } else if let Some(place) = place {
                p { strong { "{place}" } }
            }
        }
    }
}
