//! Ohms at the open fuse: what should be there with all connected and as things are unplugged, and what it means when
//! the meter shows something else.

use dioxus::prelude::*;
use gloo_timers::future::TimeoutFuture;

use super::{Read, left};
use crate::app::house::House;
use crate::app::words;
use crate::circuit::meter::{
    Compared, MeterOhms, Shown, Without, but, compare, connected, explained_by, leading_on, would_show_a_short,
};
use crate::circuit::unplug::{Unplugged, label};
use crate::ids::{Condition, JobId};
use crate::job::session::{Ready, Session};
use crate::units;

/// So many readings are computed before the page gets a turn: a few ms on a slow phone.
const AT_ONCE: usize = 2;
/// So many readings are shown at once while they come.
const SHOWN_AT_ONCE: usize = 16;
/// Most things named that would explain a reading.
const NAMED: usize = 3;

/// Something in the list.
#[derive(Debug, Clone, PartialEq)]
struct Plug {
    what: Unplugged,
    label: String,
    zone: String,
    out: bool,
}

/// What the card shows at once.
#[derive(Debug, Clone, PartialEq)]
struct Card {
    now: Result<Option<MeterOhms>, String>,
    plugs: Vec<Plug>,
    volts: f64,
    rating: f64,
}

fn card(ready: &Ready, state: &[Condition], unplugged: &[Unplugged]) -> Card {
    let harness = &ready.harness;
    let mut listed = leading_on(harness, state).unwrap_or_default();
    // What is unplugged stays on the list, whatever else changes.
    listed.extend(unplugged.iter().filter(|what| !listed.contains(what)).cloned().collect::<Vec<_>>());
    let plug = |what: Unplugged| Plug {
        label: label(harness, &what),
        zone: crate::job::corner::zone(harness, &ready.map.map, &what)
            .map_or_else(String::new, |zone| zone.label.clone()),
        out: unplugged.contains(&what),
        what,
    };
    Card {
        now: connected(&left(harness, unplugged), state).map_err(|error| words::sentence(&error.to_string())),
        plugs: listed.into_iter().map(plug).collect(),
        volts: harness.source.volts,
        rating: ready.file.fuse.rating_a,
    }
}

fn value(reading: Option<MeterOhms>) -> String {
    reading.map_or_else(|| "open circuit".to_owned(), |ohms| words::ohms(ohms.value))
}

fn range(reading: MeterOhms) -> String {
    match reading.most {
        Some(most) => format!("{} to {}", words::ohms(reading.least), words::ohms(most)),
        None => format!("{} up to an open circuit, where only electronics are left", words::ohms(reading.least)),
    }
}

/// Ohms at the open fuse.
#[component]
pub fn Ohms(job: JobId, state: ReadSignal<Vec<Condition>>, unplugged: Signal<Vec<Unplugged>>) -> Element {
    let house = House::get();
    let card = use_memo(move || Some(card(house.open.read().of(job)?.ready()?, &state.read(), &unplugged.read())));
    // Each reading without one more is a circuit of its own: they come one by one, and the page is never held up.
    let mut each = use_signal(Vec::<Without>::new);
    let _ = use_resource(move || {
        let open = house.open.read();
        let harness = open.of(job).and_then(Session::ready).map(|ready| left(&ready.harness, &unplugged.read()));
        let state = state.read().clone();
        async move {
            each.set(Vec::new());
            let Some(harness) = harness else { return };
            let Ok(what) = leading_on(&harness, &state) else { return };
            let mut found = Vec::with_capacity(what.len());
            for (number, what) in what.into_iter().enumerate() {
                if number % AT_ONCE == 0 {
                    TimeoutFuture::new(0).await;
                }
                found.extend(but(&harness, &state, what));
                if found.len() % SHOWN_AT_ONCE == 0 {
                    each.set(found.clone());
                }
            }
            each.set(found);
        }
    });
    let Some(card) = card() else { return rsx! {} };
    let now = match card.now {
        Ok(now) => now,
        Err(why) => return rsx! { p { class: "trouble-text", "{why}" } },
    };
    let out = card.plugs.iter().filter(|plug| plug.out).count();
    rsx! {
        p { class: "caution",
            "Fuse out, and no voltage on the circuit: measure volts first, they must be 0. An ohmmeter on a live circuit tells nothing and may be destroyed. Never on airbag or pretensioner circuits: the meter's own current can set them off. Where one is near, battery off and wait as the maker says."
        }
        section { class: "next reading", id: "reading", "aria-label": "What the meter should show",
            p { class: "eyebrow", "Fuse out. Meter between the fuse's load side and ground." }
            p { class: "large", role: "status", {value(now)} }
            if let Some(now) = now {
                p { {range(now)} }
            }
            if out > 0 {
                p { class: "hint", "With {out} unplugged below." }
            }
            p { {less(now)} }
        }
        Against { now, each, plugs: card.plugs.clone(), volts: card.volts, rating: card.rating }
        h2 { "What can be unplugged" }
        if card.plugs.is_empty() {
            p { class: "hint", "Nothing leads to ground with that switched on. Switch on more, above." }
        } else {
            p { class: "hint", "Tap what is unplugged: the value above follows. It is not kept." }
        }
        ul { class: "lines", id: "plugs",
            for plug in card.plugs {
                PlugLine {
                    key: "{plug.what}",
                    becomes: becomes(&plug, &each.read()),
                    plug,
                    ontap: move |what| {
                        let mut unplugged = unplugged;
                        let mut unplugged = unplugged.write();
                        if unplugged.contains(&what) {
                            unplugged.retain(|other| *other != what);
                        } else {
                            unplugged.push(what);
                        }
                    },
                }
            }
        }
    }
}

/// Something that can be unplugged, what the meter shows then, and whether it is.
#[component]
fn PlugLine(plug: Plug, becomes: String, ontap: EventHandler<Unplugged>) -> Element {
    let Plug { what, label, zone, out } = plug;
    rsx! {
        li {
            button {
                class: if out { "line plug out" } else { "line plug" },
                "aria-pressed": "{out}",
                onclick: move |_| ontap.call(what.clone()),
                strong { "{label}" }
                if !zone.is_empty() {
                    span { class: "hint", "{zone}" }
                }
                span { "{becomes}" }
            }
        }
    }
}

/// What a value that is too low would mean.
fn less(now: Option<MeterOhms>) -> String {
    match now {
        None => "Any value at all: something leads to ground.".to_owned(),
        Some(now) if would_show_a_short(Some(now)) => format!(
            "Clearly less than {}: a short, or a load shorted inside. Cold lamps read like a short: that is none, and it is reckoned in.",
            words::ohms(now.least)
        ),
        Some(_) => {
            "Cold lamps and motors at rest read so low here that a short does not show. Unplug them first.".to_owned()
        }
    }
}

fn becomes(plug: &Plug, each: &[Without]) -> String {
    if plug.out {
        return "Unplugged. Tap when it is in again.".to_owned();
    }
    match each.iter().find(|one| one.unplugged == plug.what) {
        Some(Without { reading: None, .. }) => "Unplugged: open circuit".to_owned(),
        Some(Without { reading: Some(ohms), .. }) => {
            format!("Unplugged: {}, {}", words::ohms(ohms.value), range(*ohms))
        }
        None => "…".to_owned(),
    }
}

/// What the meter shows, and what that means. It stays here, so that typing draws no list again.
#[component]
fn Against(
    now: Option<MeterOhms>,
    each: ReadSignal<Vec<Without>>,
    plugs: Vec<Plug>,
    volts: f64,
    rating: f64,
) -> Element {
    let typed = use_signal(String::new);
    let mut open_circuit = use_signal(|| false);
    let shown = if open_circuit() {
        Some(Shown::Open)
    } else {
        words::figure(&typed.read()).map(|ohms| Shown::Ohms(units::Ohms(ohms)))
    };
    rsx! {
        Read {
            id: "shown",
            label: "What the meter shows, Ω",
            hint: "If you like. First touch the leads together and take off what the meter shows then.",
            text: typed,
        }
        button {
            class: "chip",
            id: "shows-open",
            "aria-pressed": "{open_circuit}",
            onclick: move |_| open_circuit.toggle(),
            "It shows an open circuit"
        }
        div { role: "status", id: "verdict",
            if let Some(shown) = shown {
                Verdict { now, shown, each, plugs, volts, rating }
            } else if !typed.read().trim().is_empty() {
                p { class: "note", "That is no figure in ohms, such as 0.8." }
            }
        }
    }
}

/// What it means that the meter shows that.
#[component]
fn Verdict(
    now: Option<MeterOhms>,
    shown: Shown,
    each: ReadSignal<Vec<Without>>,
    plugs: Vec<Plug>,
    volts: f64,
    rating: f64,
) -> Element {
    let (heading, told) = match compare(now, shown) {
        Err(why) => ("That cannot be".to_owned(), vec![words::sentence(&why.to_string())]),
        Ok(Compared::Within) => {
            let mut told = vec!["Within what this circuit should show as it is now.".to_owned()];
            if !would_show_a_short(now) {
                told.push(
                    "But a short would not show beside what is connected. Unplug more, and measure again.".to_owned(),
                );
            }
            ("As it should be".to_owned(), told)
        }
        Ok(Compared::Lower(beyond)) => {
            let units::Amps(amps) = beyond.amps(units::Volts(volts));
            let ohms = beyond.ohms;
            let by_itself = format!(
                "Something beyond the loads leads to ground. By itself it measures about {}, {} to {}.",
                words::ohms(ohms.value),
                words::ohms(ohms.least),
                words::ohms(ohms.most)
            );
            let takes = if amps >= rating {
                format!("That lets more through than the {rating} A of the fuse: a short, or a load shorted inside.")
            } else {
                format!(
                    "That lets {amps:.1} A through at {volts} V: too little to open the {rating} A fuse as it is now. A place that only just touches reads like this, a damp one, or a load that is not on the list."
                )
            };
            let next = "Unplug one after the other: where the reading comes up to what is said here, it lies behind that plug.";
            ("Lower".to_owned(), vec![by_itself, takes, next.to_owned()])
        }
        Ok(Compared::Higher) => {
            let mut told =
                vec!["Something is unplugged, a lamp burnt out, a switch open, or a contact bad.".to_owned()];
            let each = each.read();
            let fits = explained_by(&each, shown);
            let names: Vec<&str> = fits
                .iter()
                .take(NAMED)
                .filter_map(|what| plugs.iter().find(|plug| plug.what == **what))
                .map(|plug| plug.label.as_str())
                .collect();
            if !names.is_empty() {
                let more = if fits.len() > names.len() { " or another" } else { "" };
                told.push(format!("It would read so without: {}{more}.", names.join(", or ")));
            }
            ("Higher".to_owned(), told)
        }
    };
    rsx! {
        div { class: "note",
            h3 { "{heading}" }
            for (number, line) in told.into_iter().enumerate() {
                p { key: "{number}", "{line}" }
            }
        }
    }
}
