//! Is a VIN in a job's log? Where it is to stay on one device, it never comes into it.
//!
//! The log is what is handed over, and its entries are never rewritten: the union of two logs is the job, and one id
//! with two bodies is refused. So a VIN that is to be left out cannot be taken out of a bundle; it must not be in an
//! event in the first place. A device whose user says so keeps it beside the job, in its own settings.

use crate::job::log::Log;

/// Whether an entry of this log bears a VIN, taken back or not: then it is handed over with the job.
pub fn holds_vin(log: &Log) -> bool {
    let pointer = |kind: &str| match kind {
        "vehicle" => Some("/vin"),
        "circuit" => Some("/circuit/vehicle/vin"),
        _ => None,
    };
    log.events().any(|event| {
        let vin = pointer(&event.kind).and_then(|pointer| event.body.pointer(pointer));
        vin.and_then(|vin| vin.as_str()).is_some_and(|vin| !vin.is_empty())
    })
}
