//! One circuit on the shelf: its name, what is on it, a copy for a sister vehicle, off the shelf.

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::parts::{Field, Screen};
use crate::app::route::Route;
use crate::app::shelf::{about, change, changed, use_shelf};
use crate::app::words;
use crate::device;
use crate::ids::ShelvedId;
use crate::job::event::Act;
use crate::shelf::Shelved as Entry;
use crate::shelf::find::load_name;
use crate::shelf::read::is_label;
use crate::shelf::take::{for_job, for_sister};
use crate::store::StoreError;

/// One circuit.
#[component]
pub fn Shelved(entry: ShelvedId) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    // What was taken off here, until the screen is left.
    let mut off = use_signal(|| None::<Entry>);
    let mut opening = use_signal(|| false);
    let shelf = use_shelf();
    let found = shelf.as_ref().and_then(|shelf| shelf.as_ref().ok()?.get(entry)).cloned();
    let to_shelf = rsx! { Link { class: "key main", to: Route::Shelf {}, "To the shelf" } };
    let Some(found) = found else {
        let gone = off.read().clone();
        return rsx! {
            Screen { title: "Shelf", back: Route::Shelf {}, action: to_shelf,
                match (gone, shelf) {
                    (Some(gone), _) => rsx! {
                        p { "“{gone.label}” is off the shelf. Jobs that used it keep their circuit." }
                        button {
                            class: "key",
                            id: "put-back",
                            onclick: move |_| {
                                // What was taken off stays off on every device: it comes back as a new entry.
                                let back = Entry { id: ShelvedId(house.id()), ..gone.clone() };
                                let entry = back.id;
                                change(house, back, format!("On the shelf again: {}.", gone.label));
                                navigator.replace(Route::Shelved { entry });
                            },
                            "Put it back"
                        }
                    },
                    (None, None) => rsx! { p { class: "hint", role: "status", "Reading the shelf …" } },
                    (None, Some(Err(why))) => rsx! { p { class: "trouble-text", role: "alert", "{words::sentence(&why)}" } },
                    (None, Some(Ok(_))) => rsx! { p { "This circuit is not on the shelf, or no longer." } },
                }
            }
        };
    };
    let (renamed, copied, taken_off, used) = (found.clone(), found.clone(), found.clone(), found.clone());
    let begin = move |_| {
        // A second tap of the same thumb opens no second job.
        if opening.replace(true) {
            return;
        }
        let used = used.clone();
        spawn_forever(async move {
            if let Err(error) = begin_with(house, navigator, &used).await {
                opening.set(false);
                house.say(WordKind::Trouble, format!("No job was opened: {error}"));
            }
        });
    };
    let action = rsx! {
        button { class: "key main", id: "new-job-with", onclick: begin, "New job with this circuit" }
    };
    let loads: Vec<String> = found.circuit.loads.iter().map(|load| load_name(load).to_owned()).collect();
    rsx! {
        Screen { title: found.label.clone(), written: true, back: Route::Shelf {}, action,
            p { class: "eyebrow", "{about(&found)}" }
            p { class: "hint",
                "Kept {words::day(found.kept_at)}"
                match found.circuit.marks.len() {
                    0 => String::new(),
                    marks => format!(", {}", words::count(marks, "mark", "marks")),
                }
                "."
                if found.vin_begins.is_some() {
                    " Of the identification number only the first eight characters are kept, which all vehicles of its line share."
                }
            }
            Field {
                id: "shelf-name",
                label: "What people call it",
                value: found.label.clone(),
                onkeep: move |label: String| {
                    if !is_label(&label) {
                        house.say(WordKind::Trouble, "A circuit on the shelf needs a name of a few words: the old one stays.");
                    } else {
                        let done = format!("It is called {label} now.");
                        change(house, changed(&renamed, |entry| entry.label = label), done);
                    }
                },
            }
            Field {
                id: "sister",
                label: "Copy it for a sister vehicle called",
                hint: "Places, ways and lengths go along; marks for earlier repairs and missing parts do not. Kept when you leave the field.",
                patient: true,
                value: "",
                onkeep: move |label: String| {
                    if is_label(&label) {
                        copy(house, &copied, label);
                    }
                },
            }
            details {
                summary { "What is on it: {loads.len()}" }
                ul { class: "plainlist",
                    for (number, load) in loads.into_iter().enumerate() {
                        li { key: "{number}", "{load}" }
                    }
                }
            }
            button {
                class: "key",
                id: "take-off",
                onclick: move |_| {
                    off.set(Some(taken_off.clone()));
                    change(house, taken_off.id, format!("Off the shelf: {}.", taken_off.label));
                },
                "Take it off the shelf"
            }
        }
    }
}

fn copy(house: House, of: &Entry, label: String) {
    let sister = for_sister(&of.circuit, &label);
    let mut done = format!("On the shelf as well: {label}.");
    if !sister.left_out.is_empty() {
        done += &format!(" Left out: {}.", sister.left_out.join("; "));
    }
    let id = ShelvedId(house.id());
    let copy = Entry { id, kept_at: device::now(), label, from_job: None, circuit: sister.circuit, ..of.clone() };
    change(house, copy, done);
}

async fn begin_with(house: House, navigator: dioxus::router::Navigator, used: &Entry) -> Result<(), StoreError> {
    let job = house.new_job(false).await?;
    let circuit = Box::new(for_job(used, None).circuit);
    house.act_in(job, vec![Act::Circuit { circuit, shelved: Some(used.id) }], Vec::new());
    device::begin_to_persist();
    navigator.push(Route::Concern { job });
    Ok(())
}
