//! Hand-over: the report, the file, the desk.

use std::collections::BTreeSet;
use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use web_sys::Blob;

use crate::app::address;
use crate::app::house::{House, WordKind};
use crate::app::learned::learn;
use crate::app::parts::{KeepOnShelf, Screen, Waiting};
use crate::app::route::Route;
use crate::app::words;
use crate::bundle::Leaving;
use crate::bundle::file::file_name;
use crate::device::worker::Packed;
use crate::device::{self, Shared};
use crate::gather::Gather as _;
use crate::ids::{BundleId, EventId, JobId, PhotoHash};
use crate::job::event::{Act, HandOverWay};
use crate::job::release::release;
use crate::job::session::Session;
use crate::sync::status::OutboxStatus;

/// What leaves the phone, and how.
#[component]
pub fn HandOver(job: JobId) -> Element {
    let house = House::get();
    let further = use_signal(Vec::new);
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let found = session.job.findings.len();
    let looked = session.progress().looked;
    let (photos, recordings) = (session.job.pictures().count(), session.job.recordings().count());
    let hashes: BTreeSet<PhotoHash> = session.job.photos.iter().map(|(_, photo)| photo.sha256.clone()).gather();
    let lacks = hashes.iter().filter(|hash| !house.has_original(hash)).count();
    let bytes: u64 = session.job.photos.iter().map(|(_, photo)| photo.bytes).sum();
    let items = release(&session.job, session.ready(), &mut session.log.events());
    let not_done = items.iter().filter(|item| !item.done).count();
    let practice = session.job.practice;
    let handed_over = closed_by(session);
    drop(open);
    let status = house.outbox.read();
    let desk = match &*status {
        status if status.not_here(job) > 0 => words::not_here(status.not_here(job)),
        status if status.has_all(job) => "The desk has all of this job.".to_owned(),
        OutboxStatus::NoDesk => "There is no desk at this address, or no network. Use the file.".to_owned(),
        OutboxStatus::Unpaired => words::UNPAIRED.to_owned(),
        OutboxStatus::Soon => "It is sent in a moment.".to_owned(),
        OutboxStatus::Sending { sent_bytes, total_bytes } => {
            format!("Sending: {} of {}", words::size(*sent_bytes as f64), words::size(*total_bytes as f64))
        }
        OutboxStatus::Waiting { why, .. } => format!("Waiting: {why} Nothing is lost; it goes on by itself."),
        other => format!("The desk refused it: {}", other.refusal(job).unwrap_or_default()),
    };
    let (has_all, unpaired) = (status.has_all(job), *status == OutboxStatus::Unpaired);
    let to_desk = !matches!(*status, OutboxStatus::NoDesk | OutboxStatus::Unpaired);
    drop(status);
    let closing = handed_over.clone();
    let action = rsx! {
        button { class: "key main", id: "share", onclick: move |_| hand_over(house, job, further), "Hand over as a file" }
        Link { class: "key", id: "to-report", to: Route::Report { job }, "Read the report" }
    };
    rsx! {
        Screen { title: "Hand-over", back: Route::Repair { job }, job, action,
            if practice {
                p { class: "note", "A practice job: every page of it says so." }
            }
            dl { class: "facts",
                dt { "Looked at" }
                dd { {words::count(looked, "place", "places")} }
                dt { "Found" }
                dd { if found == 0 { "nothing yet" } else { "{found} " if found == 1 { "place" } else { "places" } } }
                dt { "Photographs" }
                dd {
                    "{photos}"
                    if recordings > 0 {
                        ", {words::count(recordings, \"recording\", \"recordings\")}"
                    }
                    ", {words::size(bytes as f64)}"
                }
                dt { "Release check" }
                dd { if not_done == 0 { "all done" } else { "{not_done} not done" } }
            }
            section {
                h2 { "Desk" }
                p { id: "desk-state", "{desk}" }
                div { class: "side",
                    if unpaired {
                        Link { class: "key", id: "to-pair", to: Route::Pair {}, "Pair with the desk" }
                    } else {
                        // It stays when all is sent: nothing else slides under the thumb.
                        button {
                            class: "key",
                            id: "send-now",
                            "aria-disabled": has_all,
                            onclick: move |_| {
                                if !has_all {
                                    house.nudge(None);
                                }
                            },
                            "Send now"
                        }
                    }
                    if !handed_over.is_empty() {
                        button { class: "key", id: "open-again", onclick: move |_| open_again(house, &closing), "Take back the hand-over" }
                    } else if to_desk {
                        button { class: "key", id: "to-desk", onclick: move |_| to_the_desk(house, job), "Hand over to the desk" }
                    }
                }
            }
            section {
                h2 { "File" }
                p { class: "hint", "One file with everything that is on this phone: the log, the circuit, every photograph. It opens in this app on any other device, and at the desk. The place where photographs were taken is not in it." }
                if lacks > 0 {
                    p { class: "note", id: "lacks", {lacking(lacks, hashes.len())} }
                }
                for (number, (file, name)) in further.read().iter().cloned().enumerate() {
                    button { class: "key", id: "save-{number + 2}", onclick: move |_| save(house, &file, &name),
                        "Save file {number + 2} of {further.read().len() + 1}"
                    }
                }
            }
            KeepOnShelf { job }
            if practice || has_all && !handed_over.is_empty() {
                Forget { job, practice }
            }
        }
    }
}

/// How it begins when a job could not be taken off.
const STAYS: &str = "The job stays on this phone: ";

/// Takes a job off the phone, for its room: a practice job, or one that was handed over and lies at the desk. Asked once more.
#[component]
fn Forget(job: JobId, practice: bool) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    let mut going = use_signal(|| false);
    let forget = move |_| {
        if going.replace(true) {
            return;
        }
        let work = (!practice).then(|| house.work("Asking the desk …"));
        spawn_forever(async move {
            let gone = house.forget(job, practice).await;
            drop(work);
            match gone {
                Ok(()) => {
                    // Whoever went on elsewhere meanwhile stays there.
                    if address::is_of(job) {
                        navigator.push(Route::Jobs {});
                    }
                    // What was said at an earlier try holds no more.
                    let mut trouble = house.trouble;
                    trouble.write().retain(|said| !said.starts_with(STAYS));
                    house.say(WordKind::Done, "The job is off this phone.");
                }
                Err(why) => {
                    // The screen may be gone by now.
                    let _ = going.try_write().map(|mut going| *going = false);
                    house.say(WordKind::Trouble, format!("{STAYS}{why}"));
                }
            }
        });
    };
    rsx! {
        details {
            summary { "Take this job off the phone" }
            if practice {
                p { "Its entries and photographs are gone then. “Practise on the demo van” brings a fresh one." }
            } else {
                p { "The desk is asked whether it has all of its entries and photographs; here they are no more then. “Show jobs at the desk”, on the list of jobs, finds it again." }
            }
            p { "What is nowhere else is gone for good: a VIN that was kept on this phone only, and photographs that were taken back." }
            button { class: "key", id: "forget", onclick: forget, "Take it off" }
        }
    }
}

/// What is not in the file, and who has it.
fn lacking(lacks: usize, of: usize) -> String {
    format!(
        "Not on this phone, and so not in the file: {lacks} of {of} photographs and recordings. Another phone or the desk has them."
    )
}

/// The job on screen as it is handed over, with all of its log; and its photographs.
pub fn leaving_of(house: House, job: JobId) -> Option<(Leaving<'static>, BTreeSet<PhotoHash>)> {
    let device_id = house.device()?;
    let bundle_id = BundleId(house.id());
    let open = house.open.peek();
    let session = open.of(job)?;
    let log = session.log.events().cloned().collect();
    let leaving = Leaving { job, log, only: None, bundle_id, device_id, made_at: device::now() };
    Some((leaving, session.job.photos.iter().map(|(_, photo)| photo.sha256.clone()).gather()))
}

/// The desk closes the job once it hears of it; without a network that is later.
fn to_the_desk(house: House, job: JobId) {
    let bundle_id = BundleId(house.id());
    house.saying("Handed over: the desk closes the job once it has all of it.", || {
        house.act_in(job, vec![Act::HandedOver { bundle_id, way: HandOverWay::Desk }], Vec::new());
    });
    learn(house, job);
}

/// The acts by which it is handed over. A print alone is none: it is as often a look at how far it is.
fn closed_by(session: &Session) -> Vec<EventId> {
    let counts = session.log.events().filter(|event| !session.job.taken_back.contains(&event.id));
    let closing =
        counts.filter(|event| matches!(event.act(), Ok(Act::HandedOver { way, .. }) if way != HandOverWay::Print));
    closing.map(|event| event.id).collect()
}

/// As if it had not been handed over.
fn open_again(house: House, closing: &[EventId]) {
    house.saying("The job is open again.", || {
        house.change(|_| closing.iter().map(|event| Act::TakenBack { event: *event }).collect());
    });
}

/// One more file of several, at a tap of its own.
fn save(house: House, file: &Blob, name: &str) {
    if let Err(error) = device::download(file, name) {
        house.say(WordKind::Trouble, error.to_string());
    }
}

/// `further`: the files of several that are still to be saved.
fn hand_over(house: House, job: JobId, mut further: Signal<Vec<(Blob, String)>>) {
    const PACKING: &str = "Packing the file …";
    // A second tap of the same thumb makes no second file.
    if house.busy.peek().iter().any(|busy| busy.words == PACKING) {
        return;
    }
    let Some((leaving, photos)) = leaving_of(house, job) else { return };
    let open = house.open.peek();
    let label = open.of(job).and_then(|session| Some(session.job.circuit.as_ref()?.vehicle.label.clone()));
    drop(open);
    let Some(store) = house.store() else { return };
    let work = house.work(PACKING);
    spawn_forever(async move {
        let (bundle_id, photographs) = (leaving.bundle_id, photos.len());
        let packing = device::worker::pack(&leaving, photos, Rc::clone(&store), work.progress());
        let Some(packed) = work.unless_stopped(packing).await else { return };
        let handed = async {
            let Packed { files, lacks } = packed.map_err(|error| error.to_string())?;
            let name = device::file_name(&label.unwrap_or_default(), "job");
            let of = files.len();
            let files = files.into_iter().zip(1..).map(|(file, number)| (file, file_name(&name, number, of)));
            let mut files: Vec<_> = files.collect();
            let shared = device::share_or_download_all(&files).await.map_err(|error| error.to_string())?;
            // The screen may be gone by now.
            if let Ok(mut further) = further.try_write() {
                *further = if shared == Shared::Downloaded { files.split_off(1.min(files.len())) } else { Vec::new() };
            }
            Ok::<_, String>((shared, of, lacks))
        };
        let handed = handed.await;
        drop(work);
        match handed {
            Ok((Shared::Dismissed, ..)) => house.say(WordKind::Done, "Not shared. Everything is still on this phone."),
            Ok((Shared::Given | Shared::Downloaded, of, lacks)) => {
                house.act_in(job, vec![Act::HandedOver { bundle_id, way: HandOverWay::File }], Vec::new());
                learn(house, job);
                // What is still to be done, or is not in it, stays until it was read.
                if of > 1 {
                    let told =
                        "files are made. Open all of them on the other device: each has a part of the photographs.";
                    house.say(WordKind::Trouble, format!("{of} {told}"));
                } else {
                    house.say(WordKind::Done, "The file is made.");
                }
                if lacks > 0 {
                    house.say(WordKind::Trouble, lacking(lacks, photographs));
                }
            }
            Err(why) => house.say(WordKind::Trouble, format!("No file was made: {why}")),
        }
    });
}
