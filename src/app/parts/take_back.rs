//! Taking back what was done last.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::words;
use crate::ids::EventId;
use crate::job::event::{Act, Event};
use crate::job::session::Session;
use crate::job::tale::name;

/// What would be taken back, and how it is called.
pub fn last_act(session: &Session) -> Option<(Vec<EventId>, String)> {
    let id = session.job.last_act?;
    let act = session.log.get(id)?.act().ok()?;
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
    Some((with_its_own(session, id, &act), words))
}

/// One tap may have put several places out of reach, or struck out a group: they come back together.
fn with_its_own(session: &Session, last: EventId, act: &Act) -> Vec<EventId> {
    let (Act::CannotReach { why, .. } | Act::Option { why, .. }) = act else { return vec![last] };
    let same = |event: &&Event| {
        event.kind == act.kind()
            && matches!(event.act(), Ok(Act::CannotReach { why: told, .. } | Act::Option { why: told, .. }) if told == *why)
    };
    let counts = |event: &&Event| !session.job.taken_back.contains(&event.id) && event.kind != "taken_back";
    match why.is_empty() {
        true => vec![last],
        false => session.log.events().rev().filter(counts).take_while(same).map(|event| event.id).collect(),
    }
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
            onclick: move |_| house.change(|_| events.iter().map(|event| Act::TakenBack { event: *event }).collect()),
            "Take back: {words}"
        }
    }
}
