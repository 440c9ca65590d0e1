//! Ohms at the open fuse: what should be there with all connected and as things are unplugged, and what it means when
//! the meter shows something else.

use dioxus::prelude::*;
use gloo_timers::future::TimeoutFuture;

use super::against::Against;
use super::left;
use crate::app::house::House;
use crate::app::words;
use crate::circuit::file::FuseStyle;
use crate::circuit::live_work::{NO_OHMMETER, never_live};
use crate::circuit::meter::{MeterOhms, Without, but, connected, leading_on, ohms_text, would_show_a_short};
use crate::circuit::unplug::{Unplugged, label};
use crate::ids::{Condition, JobId};
use crate::job::session::{Ready, Session};

/// So many readings are computed before the page gets a turn: a few ms on a slow phone.
const AT_ONCE: usize = 2;
/// So many readings are shown at once while they come.
const SHOWN_AT_ONCE: usize = 16;
/// Something in the list.
#[derive(Debug, Clone, PartialEq)]
pub struct Plug {
    /// What.
    pub what: Unplugged,
    /// In words.
    pub label: String,
    /// Where; empty if that is not known.
    zone: String,
    /// Whether it is unplugged.
    out: bool,
}

/// What the card shows at once.
#[derive(Debug, Clone, PartialEq)]
struct Card {
    now: Result<Option<MeterOhms>, String>,
    plugs: Vec<Plug>,
    volts: f64,
    fuse: (f64, FuseStyle),
    /// A restraint hangs on this fuse: nothing is measured.
    forbidden: bool,
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
        fuse: (ready.file.fuse.rating_a, ready.file.fuse.style),
        forbidden: never_live(&ready.file, harness).forbids_ohmmeter(),
    }
}

fn value(reading: Option<MeterOhms>) -> String {
    reading.map_or_else(|| "open circuit".to_owned(), |ohms| ohms_text(ohms.value))
}

fn range(reading: MeterOhms) -> String {
    match reading.most {
        Some(most) => format!("{} to {}", ohms_text(reading.least), ohms_text(most)),
        None => format!("{} up to an open circuit, where only electronics are left", ohms_text(reading.least)),
    }
}

/// Ohms at the open fuse.
#[component]
pub fn Ohms(job: JobId, state: ReadSignal<Vec<Condition>>, unplugged: Signal<Vec<Unplugged>>) -> Element {
    let house = House::get();
    let card = use_memo(move || Some(card(house.open.read().of(job)?.ready()?, &state.read(), &unplugged.read())));
    // Each reading without one more is a circuit of its own: they come one by one, and the page is never held up.
    let mut each = use_signal(Vec::<Without>::new);
    let _coming = use_resource(move || {
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
    if card.forbidden {
        return rsx! { p { class: "caution", id: "no-ohmmeter", {NO_OHMMETER} } };
    }
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
        Against { job, state, unplugged, now, each, plugs: card.plugs.clone(), volts: card.volts, fuse: card.fuse }
        h2 { "What can be unplugged" }
        if card.plugs.is_empty() {
            p { class: "hint", "Nothing leads to ground with that switched on. Switch on more, above." }
        } else {
            p { class: "hint", "Tap what is unplugged: the value above follows. It is kept with a reading that you keep." }
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
        None => "Below 10 kΩ: something leads to ground.".to_owned(),
        Some(now) if would_show_a_short(Some(now)) => format!(
            "Clearly less than {}: a short, or a load shorted inside. Cold lamps read like a short: that is none, and it is reckoned in.",
            ohms_text(now.least)
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
            format!("Unplugged: {}, {}", ohms_text(ohms.value), range(*ohms))
        }
        None => "…".to_owned(),
    }
}
