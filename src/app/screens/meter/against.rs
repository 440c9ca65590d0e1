//! What the meter shows, held against what it should: what does the difference mean?

use dioxus::prelude::*;

use super::Read;
use super::ohms::Plug;
use crate::app::house::House;
use crate::app::words;
use crate::circuit::file::FuseStyle;
use crate::circuit::meter::{
    Compared, MeterOhms, Shown, Without, compare, explained_by, is_a_short, ohms_text, would_show_a_short,
};
use crate::circuit::said;
use crate::circuit::unplug::Unplugged;
use crate::ids::{Condition, JobId};
use crate::job::event::Act;
use crate::units;

/// Most things named that would explain a reading.
const NAMED: usize = 3;

/// What the meter shows, and what that means. It stays here, so that typing draws no list again.
#[component]
pub fn Against(
    job: JobId,
    state: ReadSignal<Vec<Condition>>,
    unplugged: ReadSignal<Vec<Unplugged>>,
    now: Option<MeterOhms>,
    each: ReadSignal<Vec<Without>>,
    plugs: Vec<Plug>,
    volts: f64,
    fuse: (f64, FuseStyle),
) -> Element {
    let house = House::get();
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
                Verdict { now, shown, each, plugs, volts, fuse }
                button {
                    class: "key",
                    id: "keep-reading",
                    onclick: move |_| {
                        let ohms = match shown {
                            Shown::Ohms(units::Ohms(ohms)) => Some(ohms),
                            Shown::Open => None,
                        };
                        let (unplugged, state) = (unplugged.peek().clone(), state.peek().clone());
                        let told = match is_a_short(now, shown) {
                            Ok(Some(true)) => "Kept. The walk reckons with it.",
                            // After the place was found, or after a lower reading, it tells nothing of the place.
                            Ok(Some(false)) => "Kept.",
                            Ok(None) | Err(_) => "Kept. The walk stays as it is.",
                        };
                        house.saying(told, || {
                            house.act(Act::Meter { ohms, unplugged, state });
                        });
                    },
                    "Keep this reading"
                }
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
    fuse: (f64, FuseStyle),
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
        Ok(Compared::Lower(beyond)) if beyond.is_fingers_or_damp() => {
            let ohms = ohms_text(beyond.ohms.value);
            let like = format!("So much beyond the loads, about {ohms}, is no short that is there now.");
            let next = "No fuse hears of that, and the walk stays as it is. Hands off the metal, and measure again.";
            ("Fingers, or damp".to_owned(), vec![like, next.to_owned()])
        }
        Ok(Compared::Lower(beyond)) => {
            let (rating, noun) = (fuse.0, said::noun(fuse.1));
            let units::Amps(amps) = beyond.amps(units::Volts(volts));
            let ohms = beyond.ohms;
            let by_itself = format!(
                "Something beyond the loads leads to ground. By itself it measures about {}, {} to {}.",
                ohms_text(ohms.value),
                ohms_text(ohms.least),
                ohms_text(ohms.most)
            );
            let takes = if amps >= rating {
                format!("That lets more through than the {rating} A of the {noun}: a short, or a load shorted inside.")
            } else {
                format!(
                    "That lets {amps:.1} A through at {volts} V: too little to open the {rating} A {noun} as it is now. A place that only just touches reads like this, a damp one, or a load that is not on the list."
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
