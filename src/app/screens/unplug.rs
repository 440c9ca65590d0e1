//! Unplug: a fresh fuse opens at once, so the short is there now. A lamp in the fuse's place, and one plug after another.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Chance, Screen, TakeBack, Waiting, last_act};
use crate::app::route::Route;
use crate::app::words;
use crate::circuit::isolate::LampGlow;
use crate::circuit::live_work::{BATTERY_OFF, WHY};
use crate::circuit::unplug::Unplugged;
use crate::ids::JobId;
use crate::job::corner::{Corner, Next, corner};
use crate::job::event::Act;

/// How many places are named that are left.
const NAMED: usize = 5;

fn glow(glow: LampGlow) -> &'static str {
    match glow {
        LampGlow::Dark => "dark",
        LampGlow::Dim => "dim",
        LampGlow::Bright => "bright",
    }
}

/// Cornering a hard short.
#[component]
pub fn Unplug(job: JobId) -> Element {
    let house = House::get();
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let stands = corner(session);
    let last = last_act(session);
    let fuse = session.job.fuse_style();
    drop(open);
    let Some(stands) = stands else {
        return rsx! {
            Screen { title: "Unplug", back: Route::Concern { job }, job,
                action: rsx! { Link { class: "key main", to: Route::Circuit { job }, "To the circuit" } },
                p { "First the fuse and what hangs on it: then it can be said what to unplug." }
            }
        };
    };
    let action = match &stands.next {
        Some(next) => answers(house, next, &stands),
        None => rsx! { Link { class: "key main", to: Route::Walk { job }, "To the walk" } },
    };
    rsx! {
        Screen { title: "Unplug", back: Route::Concern { job }, job, action,
            p { class: "caution",
                if fuse.resets() {
                    "Breaker out: it would close on the short again and again. A 21 W lamp in its place: it "
                } else {
                    "Fuse out, a 21 W lamp in its place: it "
                }
                "lets no more through than it takes itself. Switch on: {words::state(&stands.state).to_lowercase()}. Airbag and pretensioner plugs are never pulled live."
            }
            if let Some([with, without]) = stands.lamp {
                p { id: "lamp", "With the short there the lamp is {glow(with)}. Once it is gone: {glow(without)} at most." }
            } else {
                p { id: "lamp", "The loads draw so much here that the lamp alone does not tell. Switch off what can be switched off, and watch for the change." }
            }
            p { Link { to: Route::Meter { job }, "With a meter instead: what it should show" } }
            if let Some(why) = &stands.contradiction {
                p { class: "note", "The answers do not fit together: {why} Look for a second short, or take the doubtful answer back." }
            }
            match &stands.next {
                Some(next) => rsx! {
                    section { class: "next", id: "next-plug", "aria-label": "Next plug",
                        p { class: "eyebrow", "Unplug next" if !next.zone.is_empty() { " · {next.zone}" } }
                        h2 { "{next.label}" }
                        p { {words::minutes(next.minutes)} " with what must be opened on the way" }
                        if next.battery_off {
                            p { class: "caution", id: "battery-off", {BATTERY_OFF} }
                        }
                        p { "Chance that the short goes with it: {words::chance(next.gone)}. It splits what is left best for the minutes. If it goes, plug it in again: the short is behind it." }
                    }
                },
                None => rsx! {
                    section { class: "next", id: "next-plug", "aria-label": "Next plug",
                        p { class: "eyebrow", "Cornered" }
                        h2 { "No plug tells any more" }
                        p { "Look along what is left below." }
                    }
                },
            }
            if !stands.never_live.is_empty() {
                div { class: "caution", id: "never-live",
                    p { "Not proposed: {stands.never_live.join(\", \")}, and the plugs on the wires to it. {WHY}" }
                }
            }
            h2 { "Where it can still be" }
            ul { class: "lines",
                for (number, left) in stands.left.iter().take(NAMED).cloned().enumerate() {
                    li { key: "{number}", class: "line",
                        span { "{left.label}" }
                        Chance { chance: left.chance }
                    }
                }
            }
            if stands.left.len() > NAMED {
                p { class: "hint", "and {stands.left.len() - NAMED} more" }
            }
            TakeBack { last }
        }
    }
}

/// The two answers.
fn answers(house: House, next: &Next, stands: &Corner) -> Element {
    let (node, load) = match &next.what {
        Unplugged::Node(node) => (Some(node.clone()), None),
        Unplugged::Load(load) => (None, Some(load.clone())),
    };
    let answer = move |blew: bool, state: Vec<crate::ids::Condition>| {
        house.act(Act::Unplugged { node: node.clone(), load: load.clone(), blew, state, minutes: 1.0 });
    };
    let again = answer.clone();
    let (there, gone) = (stands.state.clone(), stands.state.clone());
    rsx! {
        button { class: "key main", id: "still-there", "data-of": "{next.label}", onclick: move |_| answer(true, there.clone()), "Unplugged: still there" }
        button { class: "key strong", id: "gone", "data-of": "{next.label}", onclick: move |_| again(false, gone.clone()), "It is gone" }
    }
}
