//! How does the desk read and grow one job, when other desks may grow it at the same time? It looks what lies under the
//! job, reads what it has not read yet, and holds a few jobs in memory.

use std::collections::{BTreeMap, HashMap};
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::{Mutex as TaskMutex, MappedMutexGuard, MutexGuard};

use super::problem::Refusal;
use super::shelf::Shelf;
use super::store::{KeptReceipt, Store, StoreError, UnderJob};
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
pub(super) type InHand<'a> = MappedMutexGuard<'a, Held>;

impl Shelves {
    fn of(&self, job: JobId) -> Arc<TaskMutex<Held>> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        if held.len() >= HELD {
            held.retain(|_, shelf| Arc::strong_count(shelf) > 1);
        }
        held.entry(job).or_default().clone()
    }

    /// Does something with a job as it lies in the store now.
    ///
    /// `answer` gives a receipt to a bundle that was kept before a crash and never answered.
    pub async fn with<T>(
        &self,
        store: &Store,
        job: JobId,
        answer: impl AsyncFn(&Bundle) -> Result<KeptReceipt, StoreError>,
        work: impl AsyncFnOnce(InHand<'_>) -> Result<T, Refusal>,
    ) -> Result<T, Refusal> {
        let shared = self.of(job);
        let mut held = shared.lock().await;
        refresh(store, job, &mut held, answer).await?;
        work(MutexGuard::map(held, |held| held)).await
    }
}

/// Reads what has come under the job since.
async fn refresh(
    store: &Store,
    job: JobId,
    held: &mut Held,
    answer: impl AsyncFn(&Bundle) -> Result<KeptReceipt, StoreError>,
) -> Result<(), Refusal> {
    let mut there: BTreeMap<BundleId, bool> = BTreeMap::new();
    for object in store.under_jobs(Some(job)).await? {
        match object {
            UnderJob::Bundle(_, bundle) => drop(there.entry(bundle).or_default()),
            UnderJob::Receipt(_, bundle) => drop(there.insert(bundle, true)),
        }
    }
    for (bundle, answered) in there {
        if held.shelf.receipt(bundle).is_some() || held.damaged.contains_key(&bundle) {
            continue;
        }
        let read = async {
            let read = super::intake::read_bundle(job, bundle, store.bundle(job, bundle).await?).await?;
            let mut grown = held.shelf.with(&read)?;
            let kept = if answered { store.receipt(job, bundle).await? } else { answer(&read).await? };
            grown.acknowledge(kept);
            Ok::<_, Refusal>(grown)
        };
        match read.await {
            Ok(grown) => held.shelf = Arc::new(grown),
            // What cannot be reached now may be reached later; what is damaged stays so.
            Err(Refusal::Store(error @ (StoreError::Read { .. } | StoreError::Write { .. }))) => return Err(error.into()),
            Err(why) => {
                let why = format!("jobs/{job}/bundles/{bundle}.json: {}", in_words(&why));
                eprintln!("desk: {why}; it was left as it is");
                held.damaged.insert(bundle, why);
            }
        }
    }
    Ok(())
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
