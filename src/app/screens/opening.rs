//! When it opened: what the vehicle was doing then, and when it held. The strongest evidence there is before looking.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{Choice, Conditions, Screen, Waiting};
use crate::app::route::Route;
use crate::app::words;
use crate::ids::{Condition, EventId, JobId};
use crate::job::event::Act;
use crate::search::evidence::{Heat, Motion, Observation};

const MOTIONS: [Motion; 5] = [Motion::Still, Motion::Smooth, Motion::Rough, Motion::Turning, Motion::DoorMoved];
const HEATS: [Heat; 3] = [Heat::Cold, Heat::Warm, Heat::Hot];
const HELD_MINUTES: [f64; 4] = [10.0, 30.0, 60.0, 240.0];

/// One opening as told, in a line.
fn told(observation: &Observation) -> Option<String> {
    match observation {
        Observation::Blow { state, motion, heat } => Some(format!(
            "It opened: {}, {}, {}",
            words::motion(*motion).to_lowercase(),
            words::heat(*heat).to_lowercase(),
            words::state(state).to_lowercase()
        )),
        Observation::Held { state, motion, heat, minutes } => Some(format!(
            "It held for {}: {}, {}, {}",
            words::minutes(*minutes),
            words::motion(*motion).to_lowercase(),
            words::heat(*heat).to_lowercase(),
            words::state(state).to_lowercase()
        )),
        Observation::Unplugged { .. }
        | Observation::Look { .. }
        | Observation::Press { .. }
        | Observation::Meter { .. } => None,
    }
}

/// Records an opening, or a time without one.
#[component]
pub fn Opening(job: JobId) -> Element {
    let house = House::get();
    let mut state = use_signal(|| vec![Condition::from("key_on")]);
    let mut motion = use_signal(|| Motion::Still);
    let mut heat = use_signal(|| Heat::Cold);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let known: Vec<(EventId, String)> =
        session.job.observations.iter().filter_map(|(event, observation)| Some((*event, told(observation)?))).collect();
    let more = session.conditions();
    drop(open);
    let action = rsx! {
        button {
            class: "key main",
            id: "it-opened",
            onclick: move |_| {
                house.saying("Added to the list above: it opened.", || {
                    house.act(Act::Blow { state: state(), motion: motion(), heat: heat() });
                });
            },
            "It opened like this"
        }
        Link { class: "key", to: Route::Circuit { job }, "On to the circuit" }
    };
    rsx! {
        Screen { title: "When it opened", back: Route::Concern { job }, job, action,
            p { "Each time the fuse opened: what was switched on, how the vehicle moved, how warm it was. A wire that was dead then is not the one." }
            Link { class: "line", id: "to-road", to: Route::Road { job }, "On a test drive, or while someone shakes it: large keys, and the time it held" }
            if !known.is_empty() {
                ul { class: "told",
                    for (event, line) in known {
                        li { key: "{event}",
                            span { "{line}" }
                            button { class: "plain", onclick: move |_| house.act(Act::TakenBack { event }), "Take back" }
                        }
                    }
                }
            }
            Conditions { legend: "Switched on", state: state(), more, onchange: move |chosen| state.set(chosen) }
            Choice {
                name: "motion",
                legend: "The vehicle",
                answers: MOTIONS.iter().map(|motion| words::motion(*motion).to_owned()).collect::<Vec<_>>(),
                chosen: MOTIONS.iter().position(|offered| *offered == motion()),
                onchoose: move |chosen: usize| motion.set(MOTIONS[chosen]),
            }
            Choice {
                name: "heat",
                legend: "Engine and exhaust",
                answers: HEATS.iter().map(|heat| words::heat(*heat).to_owned()).collect::<Vec<_>>(),
                chosen: HEATS.iter().position(|offered| *offered == heat()),
                onchoose: move |chosen: usize| heat.set(HEATS[chosen]),
            }
            section { class: "side",
                h2 { "Or it held like this for" }
                for minutes in HELD_MINUTES {
                    button {
                        class: "key",
                        key: "{minutes}",
                        onclick: move |_| {
                            house.saying("Added to the list above: it held.", || {
                                house.act(Act::Held { state: state(), motion: motion(), heat: heat(), minutes });
                            });
                        },
                        {words::minutes(minutes)}
                    }
                }
            }
        }
    }
}
