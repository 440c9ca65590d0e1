//! The quiet line: what is on this phone only, and what the desk has.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::route::Route;
use crate::app::words;
use crate::ids::JobId;
use crate::job::session::Session;
use crate::job::state::Job;
use crate::sync::status::OutboxStatus;

/// How many photographs or recordings of a job are on this phone themselves, and how many there are.
fn here(house: House, job: &Job, sound: bool) -> (usize, usize) {
    let (mut here, mut all) = (0, 0);
    for (_, photo) in job.photos.iter().filter(|(_, photo)| photo.is_recording() == sound) {
        all += 1;
        here += usize::from(house.has_original(&photo.sha256));
    }
    (here, all)
}

fn counted((here, all): (usize, usize), one: &str, many: &str) -> String {
    if here == all { words::count(all, one, many) } else { format!("{here} of {all} {many}") }
}

/// One line under every screen of a job.
#[component]
pub fn Kept(job: JobId) -> Element {
    let house = House::get();
    let counts = |session: &Session| {
        let [photos, recordings] = [false, true].map(|sound| here(house, &session.job, sound));
        (session.log.len(), photos, recordings)
    };
    let Some((events, photos, recordings)) = house.open.read().of(job).map(counts) else { return rsx! {} };
    let entries = words::count(events, "entry", "entries");
    let photos = counted(photos, "photograph", "photographs");
    let recordings = match recordings {
        (_, 0) => String::new(),
        some => format!(", {}", counted(some, "recording", "recordings")),
    };
    let status = house.outbox.read();
    let desk = match &*status {
        status if status.not_here(job) > 0 => words::not_here(status.not_here(job)),
        status if status.has_all(job) => "The desk has all of it.".to_owned(),
        OutboxStatus::NoDesk => "No desk here: hand over as a file.".to_owned(),
        OutboxStatus::Unpaired => "Not at the desk: this phone is not paired with it.".to_owned(),
        OutboxStatus::Soon => "Not yet at the desk: it is sent in a moment.".to_owned(),
        OutboxStatus::Sending { sent_bytes, total_bytes } => {
            let (sent, total) = (words::size(*sent_bytes as f64), words::size(*total_bytes as f64));
            format!("Sending to the desk: {sent} of {total}.")
        }
        OutboxStatus::Waiting { why, .. } => format!("Not yet at the desk: {why}"),
        other => format!("The desk refused it: {}", other.refusal(job).unwrap_or_default()),
    };
    rsx! {
        p { class: "kept", id: "kept",
            "Kept on this phone: {entries}, {photos}{recordings}. {desk} "
            if *status == OutboxStatus::Unpaired {
                Link { to: Route::Pair {}, "Pair with the desk" }
            }
        }
    }
}
