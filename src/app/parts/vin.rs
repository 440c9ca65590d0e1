//! The vehicle's identification number: never needed; what it says is said, and what looks wrong.

use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::parts::{Field, FileKey};
use crate::app::screens::concern::keep_vehicle;
use crate::app::vin_here::{keep_here, vin_here};
use crate::app::words;
use crate::device::barcode::{bar_codes, reads_bar_codes};
use crate::ids::JobId;
use crate::job::vin::holds_vin;
use crate::vehicle::vin::{Reading, among, read};

/// What a VIN says, in sentences.
fn told(reading: &Reading) -> String {
    let mut told: Vec<String> = reading.problems.iter().map(|problem| words::sentence(&problem.to_string())).collect();
    if let Some(facts) = &reading.facts {
        told.push(format!("Maker registered in {}; {}; {}.", facts.region, facts.check, facts.model_year));
    }
    told.join(" ")
}

/// Keeps a VIN where it belongs: with the job, or on this phone only.
fn keep(house: House, job: JobId, written: String, here: bool) {
    if here && !keep_here(house, job, Some(written.clone())) {
        house.say(WordKind::Trouble, "This browser keeps nothing beside the job: the number was not kept.");
    }
    if !here {
        keep_vehicle(house, |vehicle| vehicle.vin = (!written.is_empty()).then_some(written));
    }
}

/// The number, what it says, and whether it goes with the job.
#[component]
pub fn Vin(job: JobId) -> Element {
    let house = House::get();
    let mut here = use_signal(|| vin_here(job));
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! {} };
    let with_job = session.job.circuit.as_ref().and_then(|circuit| circuit.vehicle.vin.clone()).unwrap_or_default();
    let handed_over = holds_vin(&session.log);
    drop(open);
    let stays = here.read().is_some();
    let value = here.read().clone().unwrap_or(with_job);
    let told = if value.is_empty() { String::new() } else { told(&read(&value)) };
    let mut take = move |written: String| {
        let stays = here.peek().is_some();
        if stays {
            here.set(Some(written.clone()));
        }
        keep(house, job, written, stays);
    };
    rsx! {
        // Before the number is typed: what was kept with the job goes with it.
        label { class: "choice-key",
            input {
                r#type: "checkbox",
                id: "vin-here",
                checked: stays,
                disabled: handed_over,
                onchange: move |event| {
                    if event.checked() {
                        let kept = keep_here(house, job, Some(String::new()));
                        here.set(kept.then(String::new));
                    } else {
                        let written = here.peek().clone().unwrap_or_default();
                        keep_here(house, job, None);
                        here.set(None);
                        keep(house, job, written, false);
                    }
                },
            }
            span {
                if handed_over { "The VIN is in this job's log and goes with it" } else { "Keep the VIN on this phone, out of what is handed over" }
            }
        }
        Field {
            id: "vin",
            label: "VIN, if it is at hand",
            hint: "Not needed. It tells the shelf which vehicle this is.",
            value,
            onkeep: move |typed: String| take(read(&typed).written),
        }
        p { class: "hint", id: "vin-says", role: "status", "{told}" }
        if reads_bar_codes() {
            FileKey {
                id: "scan-vin",
                label: "Read it from its bar code",
                accept: "image/*",
                camera: true,
                onfile: move |picture: web_sys::Blob| {
                    spawn(async move {
                        match bar_codes(&picture).await.map(|codes| among(&codes)) {
                            Ok(Some(reading)) => take(reading.written),
                            Ok(None) => house.say(WordKind::Trouble, "There is no VIN among the bar codes in this picture. Come closer, or type it."),
                            Err(error) => house.say(WordKind::Trouble, error.to_string()),
                        }
                    });
                },
            }
        }
    }
}
