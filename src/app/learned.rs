//! What have the jobs that were closed on this phone taught? Kept apart from them: it can be worked out from them again.

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use gloo_storage::{LocalStorage, Storage};

use crate::app::house::{House, WordKind};
use crate::app::small;
use crate::away::lesson::Closed;
use crate::away::lesson_question;
use crate::device;
use crate::ids::JobId;
use crate::objects;
use crate::search::lessons::Shop;

const KEY: &str = "loomwalk/learned";
const OF_DESK: &str = "loomwalk/learned at the desk";

/// As text, as it is handed on. Empty: nothing was learned, or the browser keeps nothing.
pub fn text() -> String {
    LocalStorage::get(KEY).unwrap_or_default()
}

/// The counts, for a job that begins now: those of the desk, or of this phone if it has closed more jobs. None: something
/// is kept that this version cannot read.
pub fn shop() -> Option<Shop> {
    let own = match text().as_str() {
        "" => Shop::default(),
        text => Shop::of_file(text)?,
    };
    Some(of_desk().filter(|desk| desk.jobs >= own.jobs).unwrap_or(own))
}

/// What the desk had learned when it was last asked.
pub fn of_desk() -> Option<Shop> {
    objects::from_str(&LocalStorage::get::<String>(OF_DESK).ok()?).ok()
}

/// Asks the desk what it has learned, for the jobs that begin from now on. Without an answer the last one stays.
pub fn ask_desk() {
    spawn_forever(async {
        if let Ok(text) = device::desk::lessons().await {
            // Without room for it, new jobs begin with what this phone has learned itself.
            let _ = LocalStorage::set(OF_DESK, text);
        }
    });
}

/// Begins without the desk again.
pub fn leave_desk(house: House) {
    LocalStorage::delete(OF_DESK);
    small::has_changed(house);
}

/// Forgets it, and gives it back as text. Jobs that have begun go on as they began.
pub fn forget(house: House) -> String {
    let text = text();
    LocalStorage::delete(KEY);
    small::has_changed(house);
    text
}

/// Keeps what was just forgotten. False: the browser does not.
pub fn put_back(house: House, text: &str) -> bool {
    let kept = LocalStorage::set(KEY, text).is_ok();
    small::has_changed(house);
    kept
}

/// Learns from a job that was handed over, if its place was found. A practice job teaches nothing.
pub fn learn(house: House, job: JobId) {
    let open = house.open.peek();
    let closed = open.of(job).filter(|session| !session.job.practice).and_then(|session| {
        let ready = session.ready()?;
        Some(Closed {
            job,
            circuit: ready.file.clone(),
            evidence: ready.evidence().to_vec(),
            found: session.job.findings.keys().cloned().collect(),
            known: text(),
        })
    });
    let Some(question) = closed.and_then(|closed| lesson_question(&closed).ok()) else { return };
    spawn_forever(async move {
        // Where the worker does not answer, nothing is learned this time; the job itself is kept.
        let answer = device::worker::ask(question).await.unwrap_or_default();
        let Ok(Some(learned)) = objects::from_str::<Option<String>>(&answer) else { return };
        if LocalStorage::set(KEY, learned).is_err() {
            let why = "What this job teaches could not be kept: this browser gives no more room for it. The job itself is kept.";
            house.say(WordKind::Trouble, why);
        }
        small::has_changed(house);
    });
}
