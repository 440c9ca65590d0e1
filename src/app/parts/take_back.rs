//! Taking back what was done last.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::words;
use crate::ids::EventId;
use crate::job::event::Act;
use crate::job::session::Session;

/// What would be taken back, and how it is called.
pub fn last_act(session: &Session) -> Option<(EventId, String)> {
    let id = session.job.last_act?;
    let act = session.log.get(id)?.act().ok()?;
    let words = match &act {
        // By its name, not by its id.
        Act::LoadRemoved { load } => {
            let struck = session.job.struck_out.get(load);
            format!("“{}” off the list", struck.map_or(load.as_str(), |load| load.label.as_str()))
        }
        Act::Access { access, open } => {
            let step = session.ready().and_then(|ready| ready.map.map.access(access));
            let step = step.map_or(access.as_str(), |step| step.label.as_str());
            if *open { format!("“{step}” is done") } else { format!("“{step}” is undone") }
        }
        _ => words::act(&act),
    };
    Some((id, words))
}

/// A key that takes back what was done last; again and again, one act a time.
#[component]
pub fn TakeBack(last: Option<(EventId, String)>) -> Element {
    let house = House::get();
    let Some((event, words)) = last else { return rsx! {} };
    rsx! {
        button {
            class: "plain",
            id: "take-back",
            onclick: move |_| {
                house.act(Act::TakenBack { event });
            },
            "Take back: {words}"
        }
    }
}
