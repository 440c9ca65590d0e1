//! How does the desk read and grow one job, when other desks may grow it at the same time? It looks what lies under the
//! job, reads what it has not read yet, and holds a few jobs in memory.

use std::collections::{BTreeMap, HashMap};
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::{Mutex as TaskMutex, OwnedMutexGuard};

use super::intake::{Desk, read_bundle};
use super::problem::Refusal;
use super::shelf::Shelf;
use super::store::{StoreError, UnderJob};
use crate::bundle::digest::log_digest;
use crate::bundle::file::Bundle;
use crate::ids::{BundleId, JobId};
use crate::sync::protocol::Receipt;

/// How many jobs are held in memory.
const HELD: usize = 256;

/// A job as it was read last.
#[derive(Debug, Default)]
pub(super) struct Held {
    pub shelf: Arc<Shelf>,
    /// Objects that cannot be read, and why.
    pub damaged: BTreeMap<BundleId, String>,
}

/// The jobs that are in memory. One that someone works on is never let go, so there is never a second copy of it.
#[derive(Debug, Default)]
pub(super) struct Shelves {
    held: Mutex<HashMap<JobId, Arc<TaskMutex<Held>>>>,
}

/// A job in hand: nobody else of this desk grows it meanwhile.
pub(super) type InHand = OwnedMutexGuard<Held>;

impl Shelves {
    fn of(&self, job: JobId) -> Arc<TaskMutex<Held>> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        if held.len() >= HELD {
            held.retain(|_, shelf| Arc::strong_count(shelf) > 1);
        }
        held.entry(job).or_default().clone()
    }
}

impl Desk {
    /// A job as it lies in the store now.
    pub(super) async fn in_hand(&self, job: JobId) -> Result<InHand, Refusal> {
        let mut held = self.shelves.of(job).lock_owned().await;
        // Of each: whether it lies there itself, and whether it was answered.
        let mut there: BTreeMap<BundleId, (bool, bool)> = BTreeMap::new();
        for object in self.store().under_jobs(Some(job)).await? {
            match object {
                UnderJob::Bundle(_, bundle) => there.entry(bundle).or_default().0 = true,
                UnderJob::Receipt(_, bundle) => there.entry(bundle).or_default().1 = true,
            }
        }
        // What was answered is never taken away. Where it is not there, the disk is gone from under the desk, or another one
        // is in its place: what is in memory is then kept nowhere, and a phone must not give its own away for it.
        if held.shelf.acknowledged().any(|bundle| there.get(&bundle) != Some(&(true, true))) {
            eprintln!("desk: jobs/{job}: something that was answered is not there any more; it is read anew");
            *held = Held::default();
        }
        for (bundle, (_, answered)) in there {
            if held.shelf.receipt(bundle).is_some() || held.damaged.contains_key(&bundle) {
                continue;
            }
            match self.read_one(job, bundle, answered, &held.shelf).await {
                Ok(grown) => held.shelf = Arc::new(grown),
                // What cannot be reached now may be reached later; what is damaged stays so.
                Err(Refusal::Store(error @ (StoreError::Read { .. } | StoreError::Write { .. }))) => {
                    return Err(error.into());
                }
                Err(why) => {
                    let why = format!("jobs/{job}/bundles/{bundle}.json: {}", in_words(&why));
                    eprintln!("desk: {why}; it was left as it is");
                    held.damaged.insert(bundle, why);
                }
            }
        }
        Ok(held)
    }

    /// The shelf with a bundle more that lies in the store. One that was never answered, because of a crash, is answered now.
    async fn read_one(&self, job: JobId, bundle: BundleId, answered: bool, shelf: &Shelf) -> Result<Shelf, Refusal> {
        let read = read_bundle(job, bundle, self.store().bundle(job, bundle).await?).await?;
        let mut grown = shelf.with(&read)?;
        let kept = if answered { self.store().receipt(job, bundle).await? } else { self.answer(&read, None).await? };
        grown.acknowledge(kept);
        Ok(grown)
    }
}

/// What is for the terminal and not for who asked.
fn in_words(why: &Refusal) -> String {
    match why {
        Refusal::Store(error) => error.to_string(),
        other => other.to_string(),
    }
}

/// The receipt for a bundle.
pub(super) fn receipt_for(bundle: &Bundle, missing_photos: Vec<crate::ids::PhotoHash>) -> Receipt {
    Receipt {
        job: bundle.job.id,
        bundle_id: bundle.bundle_id,
        events: bundle.log.iter().map(|event| event.id).collect(),
        log_digest: log_digest(&bundle.log),
        missing_photos,
    }
}
