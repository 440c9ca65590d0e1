//! Does any hand-over file bring down what opens it, or is it another once it is handed on?
#![no_main]

use loomwalk::bundle::digest::log_digest;
use loomwalk::job::Event;
use serde_json::{Value, json};

/// The digest of the changed log, or nothing behind it is tried.
fn with_its_digest(bundle: &mut Value) {
    let log = bundle.get("log").cloned().unwrap_or_default();
    if let Ok(log) = serde_json::from_value::<Vec<Event>>(log)
        && let Some(digest) = bundle.get_mut("log_digest")
    {
        *digest = json!(log_digest(&log));
    }
}

loomwalk_fuzz::json_target!(loomwalk_fuzz::reads::bundle::read, ["bundle"], with_its_digest);
