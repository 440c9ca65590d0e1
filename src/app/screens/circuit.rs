//! Circuit: everything on the fuse, fast. Three letters, a tap, the rest is proposed.

use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::parts::{
    FileKey, Find, FuseCard, GroupKeys, KeepOnShelf, Screen, ShelfOffers, TakeBack, Tree, Unfold, Waiting, find,
    last_act,
};
use crate::app::route::Route;
use crate::app::words;
use crate::app::{spoken, used};
use crate::away::circuit_file_question;
use crate::catalogue::offer::Offer;
use crate::catalogue::{self, Item};
use crate::circuit::file::{CircuitFile, Load, OptionState};
use crate::device;
use crate::ids::{JobId, LoadId};
use crate::job::event::{Act, FreshFuse};
use crate::job::session::{CircuitView, Session};
use crate::job::strike;
use crate::objects;

/// How many catalogue entries are offered at once.
const OFFERED: usize = 8;

/// A load in the list.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    load: Load,
    label: String,
    place: String,
    state: OptionState,
}

/// What a load is called.
fn label(load: &Load) -> String {
    let item = load.item.as_ref().and_then(catalogue::item);
    if load.label.is_empty() { item.map_or(load.id.0.clone(), |item| item.label.clone()) } else { load.label.clone() }
}

fn lines(session: &Session) -> Vec<Line> {
    let Some(circuit) = &session.job.circuit else { return Vec::new() };
    let map = crate::vehicle::body::fit(&circuit.vehicle);
    let place = |load: &Load| {
        let item = load.item.as_ref().and_then(catalogue::item);
        let zone = load.zone.clone().or_else(|| item.map(|item| item.zone_of(&circuit.vehicle)));
        let zone = zone.as_ref().and_then(|zone| map.map.zone(zone));
        zone.map_or_else(|| "place unknown".to_owned(), |zone| zone.label.clone())
    };
    circuit
        .loads
        .iter()
        .map(|load| Line { load: load.clone(), label: label(load), place: place(load), state: circuit.state_of(load) })
        .collect()
}

/// An id for a load: its own also when two phones add to one list at the same time.
pub fn fresh_id(house: House) -> LoadId {
    LoadId(format!("load_{:012x}", house.id().as_u128() & 0xffff_ffff_ffff))
}

/// A load of a kind that the catalogue knows.
pub fn from_item(item: &Item, id: LoadId) -> Load {
    Load { item: Some(item.id.clone()), option: item.option.clone(), ..by_hand(&item.label, id) }
}

/// A load of which only the name is known.
pub fn by_hand(label: &str, id: LoadId) -> Load {
    Load {
        id,
        label: label.to_owned(),
        kind: None,
        item: None,
        ohms: None,
        watts: None,
        amps: None,
        rated_volts: None,
        zone: None,
        feed: None,
        via: Vec::new(),
        return_: None,
        wire: None,
        option: None,
        live_when: Vec::new(),
    }
}

/// The list of loads, and how more get on it.
#[component]
pub fn Circuit(job: JobId) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    let mut typed = use_signal(String::new);
    // As they were when the screen was opened: nothing changes places under the thumb.
    let used = use_hook(used::used);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let lines = lines(session);
    let circuit = session.job.circuit.clone();
    let has_fuse = session.job.has_fuse();
    let opens_at_once = session.job.concern.fresh_fuse == FreshFuse::OpensAtOnce;
    let trouble = match &session.circuit {
        CircuitView::Unsound(error) if has_fuse && !lines.is_empty() => Some(error.to_string()),
        _ => None,
    };
    let assumed = session.ready().map(|ready| ready.harness.assumptions.clone());
    let last = last_act(session);
    let groups = circuit.as_ref().map(strike::offered).unwrap_or_default();
    let off: Vec<Load> = session.job.struck_out.values().cloned().collect();
    let marks = session.job.set_aside.marks.len();
    drop(open);
    let assumed = assumed.unwrap_or_default();
    let offered: Vec<Offer> = match typed.read().trim().len() {
        0 => used,
        1 => Vec::new(),
        _ => spoken::offers(&typed.read(), OFFERED),
    };
    let ready = has_fuse && trouble.is_none() && !lines.is_empty();
    let field: Signal<Option<Rc<MountedData>>> = use_signal(|| None);
    let mut take = move |offer: Offer| {
        let items = offer.items();
        house.saying(format!("On the list: {}.", offer.label()), || {
            house.change(|_| items.iter().map(|item| Act::Load(from_item(item, fresh_id(house)))).collect());
        });
        if let Some(first) = items.first() {
            used::remember(first);
        }
        typed.set(String::new());
        spawn(find::focus(field));
    };
    let wanted = if !has_fuse {
        "Walk: choose the fuse first"
    } else if trouble.is_some() {
        "Walk: correct the circuit first"
    } else {
        "Walk: add a load first"
    };
    let action = rsx! {
        if ready {
            if opens_at_once {
                Link { class: "key main", to: Route::Unplug { job }, "What to unplug" }
                Link { class: "key", to: Route::Walk { job }, "Walk" }
            } else {
                Link { class: "key main", to: Route::Walk { job }, "Walk" }
            }
        } else {
            button { class: "key main", disabled: true, "{wanted}" }
        }
    };
    rsx! {
        Screen { title: "Circuit", back: Route::Opening { job }, job, action,
            if !has_fuse {
                p { class: "note",
                    "The walk needs the fuse's rating. "
                    Link { to: Route::Concern { job }, "Choose it" }
                }
            }
            Find { id: "find", label: "Add what is on this fuse", hint: "Three letters will do: lam, wip, soc …", typed, field }
            if !offered.is_empty() || !typed.read().trim().is_empty() {
                if typed.read().trim().is_empty() {
                    h2 { "Used last" }
                }
                ul { class: "offers", "aria-label": "Kinds of load",
                    for offer in offered {
                        li { key: "{offer.label()}",
                            button { class: "key", onclick: move |_| take(offer), {offer.label()} }
                            for other in offer.others() {
                                button { class: "key other", key: "{other.label()}", "aria-label": "{words::sides(other.side)}: {other.label()}", onclick: move |_| take(other),
                                    {words::sides(other.side)}
                                }
                            }
                        }
                    }
                    if !typed.read().trim().is_empty() { li {
                        button {
                            class: "key",
                            id: "by-hand",
                            onclick: move |_| {
                                let load = fresh_id(house);
                                house.act(Act::Load(by_hand(typed.read().trim(), load.clone())));
                                typed.set(String::new());
                                navigator.push(Route::Load { job, load: load.0 });
                            },
                            "“{typed}” by hand"
                        }
                    } }
                }
            }
            Link { class: "key", id: "to-paste", to: Route::Paste { job }, "From a list or a table" }
            if let Some(trouble) = trouble {
                div { class: "trouble-text", role: "alert",
                    p { "This circuit cannot be searched yet:" }
                    pre { "{trouble}" }
                }
            }
            if lines.is_empty() {
                p { class: "hint", "Nothing on the list yet. Everything that the fuse feeds belongs on it: a short in the wire to any of them opens the fuse." }
            } else {
                h2 { "On this fuse: {lines.len()}" }
                ul { class: "lines",
                    for line in lines {
                        li { key: "{line.load.id}",
                            Link {
                                class: if line.state == OptionState::Absent { "line struck" } else { "line" },
                                to: Route::Load { job, load: line.load.id.0.clone() },
                                strong { "{line.label}" }
                                span { class: "hint",
                                    "{line.place}"
                                    if line.state != OptionState::Fitted {
                                        " · {words::option_state(line.state)}"
                                    }
                                }
                            }
                        }
                    }
                }
            }
            OffTheList { off, marks }
            GroupKeys { offered: groups }
            TakeBack { last }
            ShelfOffers { job }
            KeepOnShelf { job }
            if ready {
                Link { class: "key", id: "to-dead", to: Route::Dead { job }, "What is dead with the fuse open" }
                Unfold { id: "tree", summary: rsx! { "What is live, and what it draws" },
                    Tree { job }
                }
                FuseCard { job }
            }
            if !assumed.is_empty() {
                details {
                    summary { "What was assumed: {assumed.len()}" }
                    ul { class: "plainlist",
                        for (number, line) in assumed.into_iter().enumerate() {
                            li { key: "{number}", "{line}" }
                        }
                    }
                }
            }
            div { class: "side",
                FileKey {
                    id: "open-circuit",
                    label: "Open a circuit file",
                    accept: ".json,application/json",
                    onfile: move |file| take_over(house, job, file),
                }
                if let Some(circuit) = circuit {
                    button { class: "key", id: "save-circuit", onclick: move |_| save(house, circuit.clone()), "Save as a circuit file" }
                }
            }
        }
    }
}

/// What was taken off the list, to be put back with its wires and the marks on them.
#[component]
fn OffTheList(
    off: Vec<Load>,
    /// How many marks wait with it.
    marks: usize,
) -> Element {
    let house = House::get();
    rsx! {
        if marks > 0 {
            p { class: "note", "Marks on wires that are not there now, and not counted: {marks}" }
        }
        if !off.is_empty() { details { id: "off-the-list",
            summary { "Off the list: {off.len()}" }
            p { class: "hint", "What is put back has its wires again, and the marks on them." }
            ul { class: "offers",
                for load in off {
                    li { key: "{load.id}",
                        button { class: "key", onclick: move |_| house.act(Act::Load(load.clone())), "Put back: {label(&load)}" }
                    }
                }
            }
        } }
    }
}

fn take_over(house: House, job: JobId, file: web_sys::Blob) {
    spawn_forever(async move {
        let read = async {
            let text = device::read_text(&file).await.map_err(|error| error.to_string())?;
            let asked = circuit_file_question(&text).map_err(|error| error.to_string())?;
            let answer = device::worker::ask(asked).await.map_err(|error| error.to_string())?;
            objects::from_str::<Result<CircuitFile, String>>(&answer).map_err(|error| error.to_string())?
        };
        match read.await {
            Ok(circuit) => {
                house.saying(format!("Circuit taken over, {} loads.", circuit.loads.len()), || {
                    let act = Act::Circuit { circuit: Box::new(circuit), shelved: None };
                    // Not of the job that is on screen by now.
                    house.act_in(job, vec![act], Vec::new());
                });
            }
            Err(why) => house.say(WordKind::Trouble, format!("The circuit was not changed: {why}")),
        }
    });
}

fn save(house: House, circuit: CircuitFile) {
    spawn_forever(async move {
        let saved = async {
            let text = serde_json::to_string(&circuit).map_err(|error| error.to_string())?;
            let blob = device::json_blob(&text).map_err(|error| error.to_string())?;
            let name = format!("{}.circuit.json", device::file_name(&circuit.label, "circuit"));
            device::share_or_download(blob, &name).await.map_err(|error| error.to_string())
        };
        if let Err(why) = saved.await {
            house.say(WordKind::Trouble, format!("The circuit file was not saved: {why}"));
        }
    });
}
