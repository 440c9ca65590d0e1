//! A VIN that is to stay on this phone: beside its job, not in its log, which is handed over. See [`crate::job::vin`].

use gloo_storage::{LocalStorage, Storage};

use crate::app::house::House;
use crate::app::small;
use crate::ids::JobId;

fn key(job: JobId) -> String {
    format!("loomwalk/vin/{job}")
}

/// The VIN that stays here, empty until it is entered. `None`: it goes with the job.
pub fn vin_here(job: JobId) -> Option<String> {
    LocalStorage::get(key(job)).ok()
}

/// Keeps it here, or nothing any more. False: this browser keeps nothing, so it has to go with the job or unsaid.
pub fn keep_here(house: House, job: JobId, vin: Option<String>) -> bool {
    let kept = match vin {
        Some(vin) => LocalStorage::set(key(job), vin).is_ok(),
        None => {
            LocalStorage::delete(key(job));
            true
        }
    };
    small::has_changed(house);
    kept
}
