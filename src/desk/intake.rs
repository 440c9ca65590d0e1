//! How does the desk take things in? Each once, and it says so only when they are on the disk.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, PoisonError, RwLock};
use std::time::Duration;

use axum::body::Bytes;
use object_store::WriteMultipart;
use sha2::{Digest, Sha256};
use tokio::sync::RwLock as TaskRwLock;

use crate::bundle::digest::log_digest;
use crate::bundle::file::Bundle;
use crate::bundle::read;
use crate::ids::{BundleId, JobId, PhotoHash};
use crate::sync::protocol::{BUNDLE_LIMIT, Receipt};

use super::incoming::Incoming;
use super::problem::Refusal;
use super::shelf::Shelf;
use super::store::{KeptReceipt, Put, Store, StoreError};

/// How late each piece of a body may be.
const IDLE: Duration = Duration::from_secs(30);

/// Whether something that was sent is new here. Either way it is held now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taken<T> {
    /// It was not held before.
    New(T),
    /// It was.
    Known(T),
}

/// A shelf that one bundle at a time is put on, while others may read what was there before.
type Shared = Arc<TaskRwLock<Shelf>>;

/// One desk: its store, and in memory what the store holds.
#[derive(Debug)]
pub struct Desk {
    store: Store,
    shelves: RwLock<BTreeMap<JobId, Shared>>,
    photos: RwLock<BTreeSet<PhotoHash>>,
    /// Objects of the store that cannot be read, and why. They are left as they are and shown to the service writer.
    damaged: Vec<String>,
    /// How late each piece of a body may be.
    pub idle: Duration,
}

impl Desk {
    /// Rebuilds from the store what was held. A bundle that was kept but not answered before a crash gets its receipt.
    pub async fn open(store: Store) -> Result<Self, StoreError> {
        let photos = store.photos().await?.into_iter().collect();
        let mut desk =
            Self { store, shelves: RwLock::default(), photos: RwLock::new(photos), damaged: Vec::new(), idle: IDLE };
        let mut damaged = Vec::new();

        let mut answered = Vec::new();
        let mut unanswered = Vec::new();
        for (job, bundle) in desk.store.bundles().await? {
            match desk.store.receipt(job, bundle).await {
                Ok(kept) => answered.push((kept, job, bundle)),
                Err(StoreError::Read { source: object_store::Error::NotFound { .. }, .. }) => {
                    unanswered.push((job, bundle));
                }
                Err(error) => damaged.push(error.to_string()),
            }
        }
        answered.sort_by_key(|(kept, job, bundle)| (*job, kept.order, *bundle));
        for (kept, job, bundle) in answered {
            if let Err(why) = desk.restore(job, bundle, kept).await {
                damaged.push(format!("jobs/{job}/bundles/{bundle}.json: {why}"));
            }
        }
        for (job, bundle) in unanswered {
            let body = desk.store.bundle(job, bundle).await?;
            if let Err(why) = desk.take_bundle(job, bundle, body).await {
                damaged.push(format!("jobs/{job}/bundles/{bundle}.json: {why}"));
            }
        }
        desk.damaged = damaged;
        Ok(desk)
    }

    async fn restore(&self, job: JobId, bundle: BundleId, kept: KeptReceipt) -> Result<(), Refusal> {
        let read = read_bundle(job, bundle, self.store.bundle(job, bundle).await?).await?;
        let shelf = self.shelf_for(job);
        let mut shelf = shelf.write().await;
        let mut grown = shelf.with(&read)?;
        grown.acknowledge(kept);
        *shelf = grown;
        Ok(())
    }

    /// Takes a bundle in. The same bundle again gets the same receipt.
    ///
    /// Whoever calls this from a connection spawns it as a task: it is not to stop halfway when the phone hangs up.
    pub async fn take_bundle(&self, job: JobId, id: BundleId, body: Bytes) -> Result<Taken<Receipt>, Refusal> {
        let bundle = read_bundle(job, id, body.clone()).await?;
        let shelf = self.shelf_for(job);
        let mut shelf = shelf.write().await;
        if let Some(receipt) = shelf.receipt(id) {
            let receipt = receipt.clone();
            self.expect_same(job, &bundle, &body).await?;
            return Ok(Taken::Known(receipt));
        }
        let mut grown = shelf.with(&bundle)?;
        if self.store.put_bundle(job, id, body.clone()).await? == Put::Existed {
            // Kept before a crash or a full disk, and never answered.
            self.expect_same(job, &bundle, &body).await?;
        }
        let receipt = Receipt {
            job,
            bundle_id: id,
            events: bundle.log.iter().map(|event| event.id).collect(),
            log_digest: log_digest(&bundle.log),
            missing_photos: self.missing(bundle.photos.iter().map(|listed| &listed.photo.sha256)),
        };
        let kept = self.store.put_receipt(KeptReceipt { order: grown.next_order(), receipt }).await?;
        let receipt = kept.receipt.clone();
        grown.acknowledge(kept);
        *shelf = grown;
        Ok(Taken::New(receipt))
    }

    /// Refuses a body that is not the kept bundle. However it is spelt, in whichever order its events stand, and with
    /// or without its photographs, it is the same: the digest has told already that each event is as it was.
    async fn expect_same(&self, job: JobId, bundle: &Bundle, body: &Bytes) -> Result<(), Refusal> {
        let id = bundle.bundle_id;
        let kept = self.store.bundle(job, id).await?;
        if kept == *body || read_bundle(job, id, kept).await? == *bundle {
            Ok(())
        } else {
            Err(Refusal::ReusedBundle(id))
        }
    }

    /// Takes a photograph in, hashing it while it comes. Bytes that hash to another name are not kept, even if the
    /// photo itself is held already.
    pub async fn take_photo(self: Arc<Self>, name: PhotoHash, mut body: Incoming) -> Result<Taken<()>, Refusal> {
        let mut upload = if self.has_photo(&name) { None } else { Some(self.store.write_photo(&name).await?) };
        let mut hash = Sha256::new();
        while let Some(piece) = body.next().await? {
            hash.update(&piece);
            if let Some(upload) = &mut upload {
                upload.wait_for_capacity(2).await.map_err(|source| cannot_keep(&name, source))?;
                upload.put(piece);
            }
        }
        let found: String = hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
        if found != name.as_str() {
            return Err(Refusal::OtherPhoto { named: name, found });
        }
        match upload {
            // Its own task, so that a phone that hangs up now does not leave a photo that is kept but not known.
            Some(upload) => tokio::spawn(async move { self.publish_photo(name, upload).await }).await?,
            None => Ok(Taken::Known(())),
        }
    }

    async fn publish_photo(&self, name: PhotoHash, upload: WriteMultipart) -> Result<Taken<()>, Refusal> {
        upload.finish().await.map_err(|source| cannot_keep(&name, source))?;
        // Two may have sent it at once: both wrote the same bytes, one of them was first.
        let first = self.photos.write().unwrap_or_else(PoisonError::into_inner).insert(name);
        Ok(if first { Taken::New(()) } else { Taken::Known(()) })
    }

    /// Whether a photo is held.
    pub fn has_photo(&self, name: &PhotoHash) -> bool {
        self.photos.read().unwrap_or_else(PoisonError::into_inner).contains(name)
    }

    /// Those that are not held, each once.
    pub fn missing<'a>(&self, names: impl IntoIterator<Item = &'a PhotoHash>) -> Vec<PhotoHash> {
        let held = self.photos.read().unwrap_or_else(PoisonError::into_inner);
        let missing: BTreeSet<_> = names.into_iter().filter(|name| !held.contains(name)).collect();
        missing.into_iter().cloned().collect()
    }

    /// Looks at what is held of a job.
    pub async fn look<T>(&self, job: JobId, see: impl FnOnce(&Shelf) -> T) -> Result<T, Refusal> {
        let shared = self.shelves.read().unwrap_or_else(PoisonError::into_inner).get(&job).cloned();
        let shelf = shared.ok_or(Refusal::NoSuchJob(job))?;
        let shelf = shelf.read().await;
        if shelf.is_known() { Ok(see(&shelf)) } else { Err(Refusal::NoSuchJob(job)) }
    }

    /// Looks at what is held of every job, by id.
    pub async fn look_at_all<T>(&self, mut see: impl FnMut(JobId, &Shelf) -> T) -> Vec<T> {
        let shared = self.shelves.read().unwrap_or_else(PoisonError::into_inner).clone();
        let mut all = Vec::new();
        for (job, shelf) in shared {
            let shelf = shelf.read().await;
            if shelf.is_known() {
                all.push(see(job, &shelf));
            }
        }
        all
    }

    /// Objects of the store that could not be read at the start, and why.
    pub fn damaged(&self) -> &[String] {
        &self.damaged
    }

    /// The objects.
    pub fn store(&self) -> &Store {
        &self.store
    }

    fn shelf_for(&self, job: JobId) -> Shared {
        self.shelves.write().unwrap_or_else(PoisonError::into_inner).entry(job).or_default().clone()
    }
}

fn cannot_keep(name: &PhotoHash, source: object_store::Error) -> Refusal {
    Refusal::Store(StoreError::Write { at: format!("photos/{name}"), source })
}

/// A whole bundle of the job and id that the address names, or why not. Off the async threads: it may be large.
async fn read_bundle(job: JobId, id: BundleId, body: Bytes) -> Result<Bundle, Refusal> {
    let bundle =
        tokio::task::spawn_blocking(move || read::open(&body, BUNDLE_LIMIT).map(|opened| opened.bundle)).await??;
    if bundle.job.id != job {
        return Err(Refusal::OtherJob { address: job, body: bundle.job.id });
    }
    if bundle.bundle_id != id {
        return Err(Refusal::OtherBundle { address: id, body: bundle.bundle_id });
    }
    Ok(bundle)
}
