//! What is dead: with this fuse open, what does not work and what does? Said thing by thing and held against the circuit.

use std::rc::Rc;

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::tried::{Answer, Thing, Things, answer, say};
use crate::app::parts::{Conditions, Find, Screen, TakeBack, Waiting, find, last_act};
use crate::app::route::Route;
use crate::app::screens::circuit::{by_hand, fresh_id, from_item};
use crate::app::spoken;
use crate::app::words;
use crate::catalogue::{self, Item};
use crate::circuit::story::{Misfit, MisfitKind};
use crate::ids::{Condition, JobId, LoadId};
use crate::job::event::{Act, FreshFuse};
use crate::job::session::Session;
use crate::job::tale::{Tale, tale};

/// How many catalogue entries are offered at once.
const OFFERED: usize = 5;
/// From so many letters on.
const LETTERS: usize = 3;

/// Something that does not fit, and what can be done about it.
#[derive(Debug, Clone, PartialEq)]
struct Odd {
    misfit: Misfit,
    name: String,
    /// Where it stands on the list, if it does.
    load: Option<LoadId>,
}

/// What the screen shows in a state.
#[derive(Debug, Clone, PartialEq)]
struct View {
    meaning: String,
    odd: Vec<Odd>,
    /// Should be dead.
    fed: Vec<Thing>,
    /// Was tried, and should not be dead.
    beside: Vec<Thing>,
    /// Off in this state also with a whole fuse, with why.
    off: Vec<(String, String)>,
    /// What the circuit's switches and loads ask for.
    more: Vec<Condition>,
}

impl View {
    /// `None`: there is no circuit that can be computed.
    fn of(session: &Session, state: &[Condition]) -> Option<Self> {
        let ready = session.ready()?;
        let Tale { answers, story, .. } = tale(&session.job, Some(&ready.harness), state);
        let story = story?;
        let misfits: Vec<&Misfit> = story.extra_alive.iter().chain(&story.extra_dead).collect();
        let odd = |what: &str| misfits.iter().any(|misfit| misfit.what == what);
        let answer = |what: &str| answers.iter().find(|answer| answer.what == what);
        let load_name = |id: &LoadId| {
            let load = ready.harness.loads.iter().find(|load| load.id == *id);
            load.map_or_else(|| id.to_string(), |load| load.label.clone())
        };
        let thing = |what: &str, name: String| Thing {
            what: what.to_owned(),
            name,
            said: answer(what).map(|answer| answer.dead),
            events: answer(what).map(|answer| answer.events.clone()).unwrap_or_default(),
            odd: odd(what),
        };
        let fed = |what: &str| story.should_be_dead.iter().any(|id| id.as_str() == what);
        let listed = |misfit: &Misfit, name: &str| {
            let mut loads = ready.file.loads.iter();
            let load =
                loads.find(|load| load.id.as_str() == misfit.what || load.label.to_lowercase() == name.to_lowercase());
            load.map(|load| load.id.clone())
        };
        let of_misfit = |misfit: &&Misfit| {
            let name = answer(&misfit.what).map_or(misfit.what.clone(), |answer| answer.name.clone());
            Odd { misfit: (*misfit).clone(), load: listed(misfit, &name), name }
        };
        let off =
            ready.harness.loads.iter().filter(|load| !fed(load.id.as_str()) && answer(load.id.as_str()).is_none());
        let why = |needs: &[Condition]| {
            let missing: Vec<Condition> = needs.iter().filter(|needed| !state.contains(needed)).cloned().collect();
            match missing.as_slice() {
                [] => "off in this state: says nothing".to_owned(),
                missing => format!("off without {}: says nothing", words::state(missing).to_lowercase()),
            }
        };
        Some(Self {
            meaning: story.meaning.clone(),
            odd: misfits.iter().map(of_misfit).collect(),
            fed: story.should_be_dead.iter().map(|id| thing(id.as_str(), load_name(id))).collect(),
            beside: answers
                .iter()
                .filter(|answer| !fed(&answer.what))
                .map(|answer| thing(&answer.what, answer.name.clone()))
                .collect(),
            off: off.map(|load| (load.label.clone(), why(&load.live_when))).collect(),
            more: ready.harness.conditions().into_iter().collect(),
        })
    }
}

/// The state to begin with: where something was tried last, else all that this circuit asks for, as each thing is tried
/// with its own switch on.
fn usual_state(session: &Session) -> Vec<Condition> {
    let tried = session.job.tried.last().map(|tried| tried.state.clone());
    let all = || session.ready().map(|ready| ready.harness.conditions().into_iter().collect());
    tried.or_else(all).unwrap_or_default()
}

/// What is dead with the fuse open.
#[component]
pub fn Dead(job: JobId) -> Element {
    let house = House::get();
    let mut chosen = use_signal(|| None::<Vec<Condition>>);
    // Whether it was unfolded at first: it does not fold itself up while someone ticks.
    let mut unfolded = use_signal(|| None::<bool>);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let state = chosen().unwrap_or_else(|| usual_state(session));
    let view = View::of(session, &state);
    let last = last_act(session);
    let opens_at_once = session.job.concern.fresh_fuse == FreshFuse::OpensAtOnce;
    drop(open);
    let Some(view) = view else {
        return rsx! {
            Screen { title: "What is dead", back: Route::Concern { job }, job,
                action: rsx! { Link { class: "key main", to: Route::Circuit { job }, "To the circuit" } },
                p { "First the fuse and what hangs on it: then it can be said what must be dead while it is open." }
                TakeBack { last }
            }
        };
    };
    let known = *unfolded.peek();
    let at_first = known.unwrap_or(view.fed.is_empty());
    if known.is_none() {
        unfolded.set(Some(at_first));
    }
    let (to, label) =
        if opens_at_once { (Route::Unplug { job }, "What to unplug") } else { (Route::Walk { job }, "Walk") };
    let action = rsx! {
        Link { class: "key main", to, "{label}" }
        Link { class: "key", to: Route::Circuit { job }, "Circuit" }
    };
    rsx! {
        Screen { title: "What is dead", back: Route::Circuit { job }, job, action,
            p { "With this fuse open or out, all that it feeds must be dead, and nothing else. Switch on what is ticked, and try each thing." }
            p { class: "caution", "What you switch on may move or get hot at once: hands clear." }
            details { open: at_first,
                summary { id: "tried-with", "Tried with: {words::state(&state).to_lowercase()}" }
                Conditions {
                    legend: "Switched on",
                    state: state.clone(),
                    more: view.more.clone(),
                    onchange: move |state| chosen.set(Some(state)),
                }
            }
            section { class: "next", "aria-label": "What it means",
                p { class: "eyebrow", "What it means" }
                p { id: "meaning", "aria-live": "polite", strong { "{view.meaning}" } }
                for odd in view.odd.iter() {
                    Misfitting { key: "{odd.misfit.what}", job, odd: odd.clone() }
                }
            }
            if !view.fed.is_empty() {
                h2 { "Must be dead" }
                Things { id: "fed", things: view.fed.clone(), state: state.clone(), chosen }
            }
            if !view.beside.is_empty() {
                h2 { "Also tried" }
                Things { id: "beside", things: view.beside.clone(), state: state.clone(), chosen }
            }
            SomethingElse { state, chosen }
            if !view.off.is_empty() {
                h2 { "Off, so they tell nothing" }
                ul { class: "lines", id: "off",
                    for (number, (name, why)) in view.off.iter().enumerate() {
                        li { key: "{number}", class: "line quiet", span { "{name}" } span { class: "hint", "{why}" } }
                    }
                }
            }
            TakeBack { last }
        }
    }
}

/// What does not fit, what that would mean, and the way out.
#[component]
fn Misfitting(job: JobId, odd: Odd) -> Element {
    let house = House::get();
    let Odd { misfit, name, load } = odd;
    let see = load.clone().map(|load| {
        rsx! { Link { class: "key", to: Route::Load { job, load: load.0 }, "See the load: {name}" } }
    });
    rsx! {
        div { class: "note", "data-misfit": "{misfit.what}",
            p { "{misfit.meaning}" }
            match (misfit.why, load) {
                (MisfitKind::FedByThisFuse, Some(load)) => rsx! {
                    button {
                        class: "key",
                        onclick: move |_| house.act(Act::LoadRemoved { load: load.clone() }),
                        "Another fuse feeds it: strike it from the list"
                    }
                    {see}
                },
                (MisfitKind::NotOnThisCircuit, None) => rsx! {
                    button { class: "key", onclick: move |_| add(house, &name), "Add it to the circuit" }
                },
                _ => rsx! { {see} },
            }
        }
    }
}

/// Puts something on the list by its name. As a catalogue's entry where there is one of that name: then its size and
/// its place are proposed.
fn add(house: House, name: &str) {
    let id = fresh_id(house);
    let item = catalogue::items().iter().find(|item| item.label.to_lowercase() == name.to_lowercase());
    // What people call it stays: by that it is known again.
    let load = crate::circuit::file::Load {
        label: name.to_owned(),
        ..item.map_or_else(|| by_hand(name, id.clone()), |item| from_item(item, id.clone()))
    };
    house.saying(format!("On the list: {name}."), || house.act(Act::Load(load)));
}

/// Something that is not on the list, dead or not.
#[component]
fn SomethingElse(state: Vec<Condition>, chosen: Signal<Option<Vec<Condition>>>) -> Element {
    let house = House::get();
    let mut typed = use_signal(String::new);
    let field: Signal<Option<Rc<MountedData>>> = use_signal(|| None);
    let name = typed.read().trim().to_owned();
    let enough = name.chars().count() >= LETTERS;
    let found: Vec<&'static Item> = if enough { spoken::loads(&name, OFFERED) } else { Vec::new() };
    let offered = found.into_iter().filter(|item| item.label != name);
    rsx! {
        Find {
            id: "else",
            label: "Something else that is dead or works",
            hint: "What this list does not have: radio, interior lamp … Three letters will do.",
            typed,
            field,
        }
        if !name.is_empty() {
            ul { class: "offers", "aria-label": "Kinds of load",
                for item in offered {
                    li { key: "{item.id}",
                        button { class: "key", onclick: move |_| typed.set(item.label.clone()), "{item.label}" }
                    }
                }
            }
            div { class: "try-keys",
                for dead in [true, false] {
                    button {
                        class: "key",
                        id: if dead { "else-dead" } else { "else-works" },
                        "aria-label": "{name}: {answer(dead)}",
                        onclick: {
                            let (name, state) = (name.clone(), state.clone());
                            move |_| {
                                let thing = Thing { what: name.clone(), name: name.clone(), said: None, events: Vec::new(), odd: false };
                                say(house, chosen, &thing, dead, &state);
                                typed.set(String::new());
                                find::focus(field)
                            }
                        },
                        Answer { dead }
                    }
                }
            }
        }
    }
}
