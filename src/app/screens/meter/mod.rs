//! The meter card: what a meter should show on this circuit, to hold beside it. Ohms at the open fuse, amperes through
//! it, metres to a hard short.

mod against;
mod amperes;
mod metres;
mod ohms;

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Choice, Conditions, Screen, Waiting};
use crate::app::route::Route;
use crate::circuit::harness::Harness;
use crate::circuit::unplug::{Unplugged, without};
use crate::ids::{Condition, JobId};
use crate::job::event::FreshFuse;

/// What is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Ohms,
    Amperes,
    Metres,
}

/// In the order in which they are offered, with their words.
const PARTS: [(Part, &str); 3] = [
    (Part::Ohms, "Ohms at the open fuse"),
    (Part::Amperes, "Amperes through the fuse"),
    (Part::Metres, "Metres to a hard short"),
];

/// The harness with that unplugged. What is no longer there to be unplugged is passed over.
fn left(harness: &Harness, unplugged: &[Unplugged]) -> Harness {
    unplugged.iter().fold(harness.clone(), |left, what| without(&left, what).unwrap_or(left))
}

/// The card.
#[component]
pub fn Meter(job: JobId) -> Element {
    let house = House::get();
    let mut chosen = use_signal(|| None::<Vec<Condition>>);
    let mut part = use_signal(|| Part::Ohms);
    let unplugged = use_signal(Vec::<Unplugged>::new);
    let state = use_memo(move || {
        let by_itself = || house.open.read().of(job).map(|session| session.job.last_blow()).unwrap_or_default();
        chosen.read().clone().unwrap_or_else(by_itself)
    });
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let opens_at_once = session.job.concern.fresh_fuse == FreshFuse::OpensAtOnce;
    let more = session.ready().map(|ready| ready.harness.conditions().into_iter().collect::<Vec<_>>());
    drop(open);
    let action = rsx! {
        if opens_at_once {
            Link { class: "key main", to: Route::Unplug { job }, "What to unplug" }
        } else {
            Link { class: "key main", to: Route::Circuit { job }, "To the circuit" }
        }
    };
    let Some(more) = more else {
        return rsx! {
            Screen { title: "Meter card", back: Route::Circuit { job }, job, action,
                p { "First the fuse and what hangs on it: then it can be said what a meter should show." }
            }
        };
    };
    rsx! {
        Screen { title: "Meter card", back: Route::Circuit { job }, job, action,
            Choice {
                name: "measured",
                legend: "What is measured",
                answers: PARTS.iter().map(|(_, words)| (*words).to_owned()).collect::<Vec<_>>(),
                chosen: PARTS.iter().position(|(known, _)| *known == part()),
                onchoose: move |position: usize| part.set(PARTS[position].0),
            }
            details { class: "state",
                summary { span { class: "group-name", "Switched on" } {crate::app::words::state(&state.read())} }
                Conditions {
                    legend: "What is switched on while measuring",
                    state: state(),
                    more,
                    onchange: move |changed| chosen.set(Some(changed)),
                }
            }
            match part() {
                Part::Ohms => rsx! { ohms::Ohms { job, state, unplugged } },
                Part::Amperes => rsx! { amperes::Amperes { job, state, unplugged } },
                Part::Metres => rsx! { metres::Metres { job, state } },
            }
        }
    }
}

/// A figure that is read off a meter: stays on the screen, is kept nowhere.
#[component]
fn Read(
    /// Unique on the screen.
    id: String,
    /// What is asked.
    label: String,
    /// A word of help under the label.
    hint: String,
    /// What was typed.
    text: Signal<String>,
) -> Element {
    rsx! {
        div { class: "field",
            label { r#for: "{id}", "{label}" }
            p { class: "hint", id: "{id}-hint", "{hint}" }
            input {
                id: "{id}",
                r#type: "text",
                autocomplete: "off",
                inputmode: "decimal",
                "aria-describedby": "{id}-hint",
                value: "{text}",
                oninput: move |event| text.set(event.value()),
            }
        }
    }
}
