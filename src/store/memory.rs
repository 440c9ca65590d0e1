//! How is work kept where there is no browser? In memory, for tests.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::{NewPhoto, PREVIEW_TYPE, Store, StoreError, photos_in};
use crate::ids::{BundleId, DeviceId, EventId, JobId, PhotoHash};
use crate::job::event::Event;
use crate::job::log::{Log, LogError};
use crate::shelf::Shelf;
use crate::sync::protocol::Receipt;

/// A store in memory. A clone is another handle on the same store.
#[derive(Debug, Clone, Default)]
pub struct MemoryStore {
    kept: Rc<RefCell<Kept>>,
}

#[derive(Debug, Default)]
struct Kept {
    device: Option<DeviceId>,
    logs: BTreeMap<JobId, Log>,
    originals: BTreeMap<PhotoHash, (String, Vec<u8>)>,
    previews: BTreeMap<PhotoHash, Vec<u8>>,
    thumbs: BTreeMap<PhotoHash, Vec<u8>>,
    receipts: BTreeMap<(JobId, BundleId), Receipt>,
    confirmed: BTreeSet<PhotoHash>,
    shelf: Shelf,
}

impl Store for MemoryStore {
    type Bytes = Vec<u8>;

    async fn device(&self, candidate: DeviceId) -> Result<DeviceId, StoreError> {
        Ok(*self.kept.borrow_mut().device.get_or_insert(candidate))
    }

    async fn jobs(&self) -> Result<Vec<JobId>, StoreError> {
        Ok(self.kept.borrow().logs.keys().copied().collect())
    }

    async fn log(&self, job: JobId) -> Result<Vec<Event>, StoreError> {
        Ok(self.kept.borrow().logs.get(&job).map(|log| log.events().cloned().collect()).unwrap_or_default())
    }

    async fn keep(&self, job: JobId, events: &[Event], photos: Vec<NewPhoto<Vec<u8>>>) -> Result<(), StoreError> {
        let mut kept = self.kept.borrow_mut();
        if !events.is_empty() {
            let log = kept.logs.entry(job).or_default();
            log.union(events.iter().cloned()).map_err(|LogError::TwoBodies(id)| StoreError::TwoBodies(id))?;
        }
        for photo in photos {
            let hash = photo.photo_hash;
            kept.originals.entry(hash.clone()).or_insert((photo.media_type, photo.original));
            if let Some(preview) = photo.preview {
                kept.previews.entry(hash.clone()).or_insert(preview);
            }
            if let Some(thumb) = photo.thumb {
                kept.thumbs.entry(hash).or_insert(thumb);
            }
        }
        Ok(())
    }

    async fn photo(&self, hash: &PhotoHash) -> Result<Option<(String, Vec<u8>)>, StoreError> {
        Ok(self.kept.borrow().originals.get(hash).cloned())
    }

    async fn preview(&self, hash: &PhotoHash) -> Result<Option<(String, Vec<u8>)>, StoreError> {
        Ok(self.kept.borrow().previews.get(hash).map(|bytes| (PREVIEW_TYPE.to_owned(), bytes.clone())))
    }

    async fn thumb(&self, hash: &PhotoHash) -> Result<Option<(String, Vec<u8>)>, StoreError> {
        Ok(self.kept.borrow().thumbs.get(hash).map(|bytes| (PREVIEW_TYPE.to_owned(), bytes.clone())))
    }

    async fn keep_small(&self, hash: &PhotoHash, preview: Vec<u8>, thumb: Vec<u8>) -> Result<(), StoreError> {
        let mut kept = self.kept.borrow_mut();
        kept.previews.entry(hash.clone()).or_insert(preview);
        kept.thumbs.entry(hash.clone()).or_insert(thumb);
        Ok(())
    }

    async fn receipts(&self, job: JobId) -> Result<Vec<Receipt>, StoreError> {
        let kept = self.kept.borrow();
        Ok(kept.receipts.iter().filter(|((of, _), _)| *of == job).map(|(_, receipt)| receipt.clone()).collect())
    }

    async fn keep_receipt(&self, receipt: &Receipt) -> Result<(), StoreError> {
        self.kept.borrow_mut().receipts.insert((receipt.job, receipt.bundle_id), receipt.clone());
        Ok(())
    }

    async fn confirmed_photos(&self) -> Result<BTreeSet<PhotoHash>, StoreError> {
        Ok(self.kept.borrow().confirmed.clone())
    }

    async fn keep_confirmed_photo(&self, hash: &PhotoHash) -> Result<(), StoreError> {
        self.kept.borrow_mut().confirmed.insert(hash.clone());
        Ok(())
    }

    async fn shelf(&self) -> Result<Shelf, StoreError> {
        Ok(self.kept.borrow().shelf.clone())
    }

    async fn keep_on_shelf(&self, more: &Shelf) -> Result<(), StoreError> {
        self.kept.borrow_mut().shelf.merge(more.clone());
        Ok(())
    }

    async fn forget_job(&self, job: JobId, known: Option<&BTreeSet<EventId>>) -> Result<bool, StoreError> {
        let mut kept = self.kept.borrow_mut();
        let mut events = kept.logs.get(&job).into_iter().flat_map(Log::events);
        if known.is_some_and(|known| events.any(|event| !known.contains(&event.id))) {
            return Ok(false);
        }
        drop(events);
        let log = kept.logs.remove(&job).unwrap_or_default();
        kept.receipts.retain(|(of, _), _| *of != job);
        let needed = photos_in(kept.logs.values().flat_map(Log::events));
        for hash in photos_in(log.events()).difference(&needed) {
            kept.originals.remove(hash);
            kept.previews.remove(hash);
            kept.thumbs.remove(hash);
        }
        Ok(true)
    }
}
