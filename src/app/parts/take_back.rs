//! Taking back what was done last.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::words;
use crate::ids::EventId;
use crate::job::event::Act;
use crate::job::session::Session;
use crate::job::tale::name;
use crate::job::together::at_one_tap;

/// What would be taken back, and how it is called.
pub fn last_act(session: &Session) -> Option<(Vec<EventId>, String)> {
    let id = session.job.last_act?;
    let event = session.log.get(id)?;
    if event.kind == "circuit" {
        // A whole circuit takes a slow phone some 20 ms to read, and nothing of it is named.
        return Some((vec![id], "circuit taken over".to_owned()));
    }
    let act = event.act().ok()?;
    let words = match &act {
        // By its name, not by its id.
        Act::LoadRemoved { load } => {
            let struck = session.job.struck_out.get(load);
            format!("“{}” off the list", struck.map_or(load.as_str(), |load| load.label.as_str()))
        }
        Act::Tried { what, dead, state } => {
            let what = name(&session.job, what).to_owned();
            words::act(&Act::Tried { what, dead: *dead, state: state.clone() })
        }
        Act::Access { access, open } => {
            let step = session.ready().and_then(|ready| ready.map.map.access(access));
            let step = step.map_or(access.as_str(), |step| step.label.as_str());
            if *open { format!("“{step}” is done") } else { format!("“{step}” is undone") }
        }
        _ => words::act(&act),
    };
    Some((at_one_tap(session, id, &act), words))
}

/// A key that takes back what was done last; again and again, one tap of the user a time.
#[component]
pub fn TakeBack(last: Option<(Vec<EventId>, String)>) -> Element {
    let house = House::get();
    let Some((events, words)) = last else { return rsx! {} };
    rsx! {
        button {
            class: "plain",
            id: "take-back",
            "data-of": events.first().map(ToString::to_string),
            onclick: move |_| house.change(|_| events.iter().map(|event| Act::TakenBack { event: *event }).collect()),
            "Take back: {words}"
        }
    }
}
