//! What was taken back at a place, out of the way, each with a key that brings it back.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::Unfold;
use crate::app::parts::photos::Thumb;
use crate::app::parts::voice::Hear;
use crate::app::words;
use crate::ids::{EventId, PointId};
use crate::job::bring_back::TakenBack;

/// Photographs and notes that were taken back. What is not on this phone itself is for the phone that has it to bring back.
#[component]
pub fn BringBack(point: PointId, taken_back: Vec<(EventId, TakenBack)>) -> Element {
    let house = House::get();
    let is_here = |taken_back: &TakenBack| match taken_back {
        TakenBack::Photo(photo) => house.has_original(&photo.sha256),
        TakenBack::Note(_) => true,
    };
    let mut there = taken_back;
    there.retain(|(_, taken_back)| is_here(taken_back));
    if there.is_empty() {
        return rsx! {};
    }
    rsx! {
        Unfold { id: "taken-back", summary: rsx! { "Taken back here: {there.len()}" },
            ul { class: "strip",
                for (event, it) in there {
                    li { key: "{event}",
                        match &it {
                            TakenBack::Photo(photo) if photo.is_recording() => rsx! {
                                Hear { hash: photo.sha256.clone(), seconds: photo.seconds.unwrap_or_default() }
                            },
                            TakenBack::Photo(photo) => rsx! {
                                Thumb { hash: photo.sha256.clone(), alt: words::stage(photo.stage) }
                                span { {words::stage(photo.stage)} }
                            },
                            TakenBack::Note(text) => rsx! { span { translate: words::own(text), "{text}" } },
                        }
                        button {
                            class: "plain",
                            "aria-label": bring_back(&it),
                            onclick: {
                                let point = point.clone();
                                move |_| house.saying("Brought back.", || house.bring_back(event, &it, &point))
                            },
                            "Bring back"
                        }
                    }
                }
            }
        }
    }
}

fn bring_back(it: &TakenBack) -> String {
    match it {
        TakenBack::Photo(photo) if photo.is_recording() => "Bring back this spoken note".to_owned(),
        TakenBack::Photo(photo) => format!("Bring back this photograph: {}", words::stage(photo.stage)),
        TakenBack::Note(text) => format!("Bring back the note: {text}"),
    }
}
