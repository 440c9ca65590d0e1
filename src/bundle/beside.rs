//! Does what stands beside the log say what the log says? The digest is over the log alone.
//!
//! A file is read all the same, for its log is whole; but who asks whether it is sound is told.

use serde::Deserialize;
use serde_json::Value;

use crate::bundle::file::{Bundle, BundleJob};
use crate::job::act::Photo;
use crate::job::state::Job;

/// Parts of the circuit that two versions may make differently of one log: what hangs on a load that was struck out.
const MADE: [&str; 4] = ["joints", "runs", "switches", "marks"];

/// Where the job and the photographs of a bundle differ from what its log tells, `job`, each as a line with its JSON
/// pointer. `bytes` are the file's: a field that an older version did not write is missed by nobody, and one that is not
/// ours is none of ours. Nothing where the log is a part, or has something from a newer version.
pub fn beside_the_log(bytes: &[u8], bundle: &Bundle, job: &Job) -> Vec<String> {
    #[derive(Deserialize)]
    struct File {
        job: Value,
    }
    let mut differ = Vec::new();
    if let (true, Ok(File { job: stated })) = (bundle.is_whole(job), serde_json::from_slice(bytes)) {
        let mut told = serde_json::to_value(BundleJob::of(job)).unwrap_or_default();
        if let Some(circuit) = told.pointer_mut("/circuit").and_then(Value::as_object_mut) {
            MADE.iter().for_each(|part| drop(circuit.remove(*part)));
        }
        compare(&stated, &told, "/job", &mut differ);
        let photos = bundle.photos.iter().enumerate().filter(|(_, kept)| !is_kept(&kept.photo, job));
        differ.extend(photos.map(|(place, _)| format!("/photos/{place}")));
    }
    let line = |place: String| {
        format!(
            "{place}: it is other than what the log tells: it was changed by hand, and reports go by the log; ask for the file again"
        )
    };
    differ.into_iter().map(line).collect()
}

/// Whether the log keeps that photograph, and says the same of it.
pub fn is_kept(photo: &Photo, job: &Job) -> bool {
    job.photos.iter().any(|(_, kept)| kept == photo)
}

fn compare(stated: &Value, told: &Value, at: &str, differ: &mut Vec<String>) {
    match (stated, told) {
        (Value::Object(stated), Value::Object(told)) => {
            for (key, stated) in stated {
                if let Some(told) = told.get(key) {
                    compare(stated, told, &format!("{at}/{}", key.replace('~', "~0").replace('/', "~1")), differ);
                }
            }
        }
        (Value::Array(stated), Value::Array(told)) if stated.len() == told.len() => {
            for (place, (stated, told)) in stated.iter().zip(told).enumerate() {
                compare(stated, told, &format!("{at}/{place}"), differ);
            }
        }
        // 15 and 15.0 are one number.
        (Value::Number(stated), Value::Number(told)) if stated.as_f64() == told.as_f64() => {}
        _ if stated == told => {}
        _ => differ.push(at.to_owned()),
    }
}
