//! The key that keeps a job's circuit for the next time, and what was learned since it was taken from the shelf.

use std::collections::BTreeSet;

use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::route::Route;
use crate::app::shelf::{change, changed, use_shelf};
use crate::app::words;
use crate::device;
use crate::ids::{JobId, ShelvedId};
use crate::job::state::Job;
use crate::shelf::Shelved;
use crate::shelf::find::same_label;
use crate::shelf::learned::{Correction, origin, take_over};

/// Where the job's circuit stands on the shelf. Nothing as long as it cannot be searched.
#[component]
pub fn KeepOnShelf(job: JobId) -> Element {
    let house = House::get();
    let Some(Ok(shelf)) = use_shelf() else { return rsx! {} };
    let open = house.open.read();
    let Some(session) = open.of(job).filter(|session| session.ready().is_some()) else { return rsx! {} };
    let Some(circuit) = &session.job.circuit else { return rsx! {} };
    let origin = origin(&shelf, &session.job);
    let learned = origin.map(|origin| origin.learned(circuit)).unwrap_or_default();
    let kept = origin.map(|origin| origin.shelved.clone());
    let practice = session.job.practice;
    let label = circuit.vehicle.label.clone();
    drop(open);
    let keep = move |_| keep_now(house, job);
    match kept {
        None if practice => rsx! {
            details {
                summary { "Keep this circuit on the shelf" }
                p { "It is a practice job: its circuit is invented. On the shelf it would lie among those of real vehicles." }
                button { class: "key", id: "keep-on-shelf", onclick: keep, "Keep it all the same" }
            }
        },
        None => rsx! {
            button { class: "key", id: "keep-on-shelf", onclick: keep, "Keep this circuit on the shelf" }
        },
        Some(kept) if learned.is_empty() => rsx! {
            p { class: "hint", id: "on-shelf",
                "On the shelf, kept {words::day(kept.kept_at)}: "
                Link { to: Route::Shelved { entry: kept.id }, translate: "no", "{kept.label}" }
            }
        },
        Some(kept) => rsx! { Learned { job, kept, label, learned } },
    }
}

fn shelved_now(house: House, job: &Job) -> Option<Shelved> {
    match Shelved::of(job, ShelvedId(house.id()), device::now())? {
        Ok(shelved) => Some(shelved),
        Err(error) => {
            house.say(WordKind::Trouble, format!("The circuit was not put on the shelf: {error}"));
            None
        }
    }
}

fn keep_now(house: House, job: JobId) {
    let shelved = house.open.peek().of(job).and_then(|session| shelved_now(house, &session.job));
    if let Some(shelved) = shelved {
        let done = format!("On the shelf: {}.", shelved.label);
        change(house, shelved, done);
    }
}

/// What the job has found to be otherwise, each to be taken over or not.
#[component]
fn Learned(job: JobId, kept: Shelved, label: String, learned: Vec<Correction>) -> Element {
    let house = House::get();
    // By their words: the list changes under the user's thumb when the job goes on.
    let mut turned = use_signal(BTreeSet::<String>::new);
    let sister = !label.is_empty() && !same_label(&label, &kept.label);
    let taken = |correction: &Correction| {
        let at_first = !(sister && correction.is_of_one_vehicle());
        at_first != turned.read().contains(&correction.words)
    };
    let chosen: Vec<Correction> = learned.iter().filter(|correction| taken(correction)).cloned().collect();
    let lines: Vec<(String, bool)> =
        learned.iter().map(|correction| (correction.words.clone(), taken(correction))).collect();
    let number = chosen.len();
    let name = kept.label.clone();
    let take = move |_| match take_over(&kept.circuit, &chosen) {
        Ok(circuit) => {
            let done = format!("The shelf knows it now: {}.", kept.label);
            change(house, changed(&kept, |entry| entry.circuit = circuit), done);
        }
        Err(error) => house.say(
            WordKind::Trouble,
            format!("These make no sense by themselves. Take over what they hang on as well: {error}"),
        ),
    };
    rsx! {
        section { id: "learned",
            h2 { "Learned since it was on the shelf" }
            p { class: "hint", "“{name}” on the shelf does not say this yet. What is ticked is taken over there." }
            ul { class: "checks",
                for (words, is_taken) in lines {
                    li { class: "check", key: "{words}",
                        label { class: "choice-key",
                            input {
                                r#type: "checkbox",
                                checked: is_taken,
                                onchange: {
                                    let words = words.clone();
                                    move |_| {
                                        let mut turned = turned.write();
                                        if !turned.remove(&words) {
                                            turned.insert(words.clone());
                                        }
                                    }
                                },
                            }
                            span { "{words}" }
                        }
                    }
                }
            }
            div { class: "side",
                button { class: "key", id: "take-learned", disabled: number == 0, onclick: take, "Take over to the shelf: {number}" }
                if sister {
                    button { class: "key", id: "keep-on-shelf", onclick: move |_| keep_now(house, job), "Keep it as “{label}” as well" }
                }
            }
        }
    }
}
