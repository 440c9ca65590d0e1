//! The quiet line: what is on this phone only, and what the desk has.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::route::Route;
use crate::app::words;
use crate::ids::JobId;
use crate::job::session::Session;
use crate::sync::status::OutboxStatus;

/// One line under every screen of a job.
#[component]
pub fn Kept(job: JobId) -> Element {
    let house = House::get();
    let counts =
        |session: &Session| (session.log.len(), session.job.pictures().count(), session.job.recordings().count());
    let Some((events, photos, recordings)) = house.open.read().of(job).map(counts) else { return rsx! {} };
    let entries = words::count(events, "entry", "entries");
    let photos = words::count(photos, "photograph", "photographs");
    let recordings = match recordings {
        0 => String::new(),
        some => format!(", {}", words::count(some, "recording", "recordings")),
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
