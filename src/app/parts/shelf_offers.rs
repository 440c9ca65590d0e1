//! Circuits on the shelf that fit the job, to be used with one tap.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::route::Route;
use crate::app::shelf::{about, use_shelf};
use crate::app::words;
use crate::ids::JobId;
use crate::job::Job;
use crate::job::event::Act;
use crate::shelf::Shelved;
use crate::shelf::learned::origin;
use crate::shelf::take::for_job;

/// How many are offered at once.
const OFFERED: usize = 2;

/// What fits the job, best first; nothing where its circuit is from the shelf or on it already, or where it is for
/// practice.
#[component]
pub fn ShelfOffers(job: JobId) -> Element {
    let house = House::get();
    let Some(Ok(shelf)) = use_shelf() else { return rsx! {} };
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! {} };
    let known = &session.job;
    if known.practice || shelf.entries().is_empty() || origin(&shelf, known).is_some() {
        return rsx! {};
    }
    let vehicle = known.circuit.as_ref().map(|circuit| circuit.vehicle.clone()).unwrap_or_default();
    let fuse = known.circuit.as_ref().map(|circuit| circuit.fuse.label.clone()).unwrap_or_default();
    let begun = known.circuit.as_ref().is_some_and(|circuit| !circuit.loads.is_empty());
    let offers: Vec<Shelved> =
        shelf.offers(job, &vehicle, &fuse).into_iter().take(OFFERED).map(|offer| offer.shelved.clone()).collect();
    drop(open);
    rsx! {
        if !offers.is_empty() {
            ul { class: "told", id: "shelf-offers", "aria-label": "On the shelf",
                for shelved in offers {
                    li { key: "{shelved.id}",
                        UseIt { job, shelved, onused: |()| {} }
                    }
                }
            }
        }
        if !begun {
            Link { class: "key", id: "from-shelf", to: Route::ShelfIn { job }, "Take a circuit from the shelf" }
        }
    }
}

/// One circuit from the shelf, and the key that makes it the job's. What was entered already is never replaced unasked.
#[component]
pub fn UseIt(
    /// The job.
    job: JobId,
    /// The circuit.
    shelved: Shelved,
    /// Called once it is used.
    onused: EventHandler<()>,
) -> Element {
    let house = House::get();
    let mut asked = use_signal(|| false);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! {} };
    let taking = for_job(&shelved, session.job.circuit.as_ref());
    drop(open);
    let loads = words::count(taking.circuit.loads.len(), "load", "loads");
    let use_it = {
        let shelved = shelved.clone();
        move |_| {
            let sure = *asked.peek();
            // As the job is by now: what was typed a moment ago counts.
            let take = |job: &Job| {
                let taking = for_job(&shelved, job.circuit.as_ref());
                if !taking.replaces.is_empty() && !sure {
                    asked.set(true);
                    return Vec::new();
                }
                onused.call(());
                vec![Act::Circuit { circuit: Box::new(taking.circuit), shelved: Some(shelved.id) }]
            };
            house.saying(format!("Circuit from the shelf: {loads}."), || house.change(take));
        }
    };
    let replaces = taking.replaces.join("; ");
    rsx! {
        p {
            "On the shelf: "
            strong { translate: "no", "{shelved.label}" }
            ", {about(&shelved)}, kept {words::day(shelved.kept_at)}."
        }
        if !taking.left_out.is_empty() {
            p { class: "hint", "It is another vehicle's. Left out: {taking.left_out.join(\"; \")}." }
        }
        if asked() && !replaces.is_empty() {
            p { class: "note", role: "alert", "This is entered here already and would be replaced: {replaces}. “Take back” on the circuit screen brings it back." }
            button { class: "key", "data-use": "{shelved.id}", onclick: use_it, "Replace it" }
            button { class: "plain", onclick: move |_| asked.set(false), "Leave it as it is" }
        } else {
            button { class: "key", "data-use": "{shelved.id}", "aria-label": "Use it: {shelved.label}", onclick: use_it, "Use it" }
        }
    }
}
