//! What was taken back at a place, out of the way, each with a key that brings it back.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::{PhotoStrip, Recordings, Unfold};
use crate::app::words;
use crate::ids::{EventId, JobId};
use crate::job::bring_back::TakenBack;

/// Photographs and notes that were taken back. What is not on this phone itself is for the phone that has it to bring back.
#[component]
pub fn BringBack(job: JobId, taken_back: Vec<(EventId, TakenBack)>) -> Element {
    let house = House::get();
    let (mut photos, mut spoken, mut notes) = (Vec::new(), Vec::new(), Vec::new());
    for (event, it) in taken_back {
        match it {
            TakenBack::Photo(photo) if !house.has_original(&photo.sha256) => {}
            TakenBack::Photo(photo) if photo.is_recording() => spoken.push((event, photo)),
            TakenBack::Photo(photo) => photos.push((event, photo)),
            TakenBack::Note(point, text) => notes.push((event, point, text)),
        }
    }
    let count = photos.len() + spoken.len() + notes.len();
    if count == 0 {
        return rsx! {};
    }
    rsx! {
        Unfold { id: "taken-back", summary: rsx! { "Taken back here: {count}" },
            PhotoStrip { job, photos, taken_back: true }
            Recordings { kept: spoken, taken_back: true }
            ul { class: "plainlist",
                for (event, point, text) in notes {
                    li { key: "{event}",
                        span { translate: words::own(&text), "{text}" }
                        " "
                        button {
                            class: "plain",
                            "aria-label": "Bring back the note: {text}",
                            onclick: move |_| house.bring_back(event, TakenBack::Note(point.clone(), text.clone())),
                            "Bring back"
                        }
                    }
                }
            }
        }
    }
}
