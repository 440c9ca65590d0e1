//! What is kept on the phone. One contract, two stores: in memory for tests, IndexedDB in the browser.
//!
//! - [`Store`]: the contract. [`contract`] checks a store against it.
//! - [`MemoryStore`]: for tests without a browser.
//! - `idb::IdbStore` (wasm): what the phone uses.

use std::collections::BTreeSet;

use crate::gather::Gather as _;
use crate::ids::{DeviceId, EventId, JobId, PhotoHash};
use crate::job::event::Event;
use crate::shelf::Shelf;
use crate::sync::protocol::Receipt;

#[doc(hidden)]
pub mod contract;
mod memory;

#[cfg(target_arch = "wasm32")]
pub mod idb;
#[cfg(target_arch = "wasm32")]
mod strict;

#[cfg(target_arch = "wasm32")]
pub use idb::IdbStore;
pub use memory::MemoryStore;

/// The media type of previews and thumbs.
pub const PREVIEW_TYPE: &str = "image/jpeg";

/// A photograph to be kept, with the smaller ones made of it.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPhoto<B> {
    /// SHA-256 of `original`.
    pub photo_hash: PhotoHash,
    /// Of `original`: `image/jpeg` …
    pub media_type: String,
    /// The bytes as they travel, without the place.
    pub original: B,
    /// JPEG, long edge at most 1600 pixels. `None` where the device cannot show the original.
    pub preview: Option<B>,
    /// JPEG, long edge at most 320 pixels. `None` as for the preview.
    pub thumb: Option<B>,
}

/// Keeps jobs: their logs, their photographs, and what the desk has confirmed; and the shelf.
///
/// Every call stands alone and is all or nothing. `Ok` says that what was handed in is kept.
#[allow(async_fn_in_trait)] // used within one thread only: a browser's page has one
pub trait Store {
    /// A photograph's bytes, on the side where they need not be copied.
    type Bytes;

    /// This device's id: `candidate` at the first call ever, and that same one for good.
    async fn device(&self, candidate: DeviceId) -> Result<DeviceId, StoreError>;

    /// Jobs that have a log, in the order in which they were made.
    async fn jobs(&self) -> Result<Vec<JobId>, StoreError>;

    /// A job's events in the order of their ids; none for a job that is not here.
    async fn log(&self, job: JobId) -> Result<Vec<Event>, StoreError>;

    /// Keeps events and photographs together, durably.
    ///
    /// What is here already changes nothing; a preview that was missing is added.
    ///
    /// # Errors
    /// [`StoreError::TwoBodies`] where an id stands for another event already. On any error nothing was kept.
    async fn keep(&self, job: JobId, events: &[Event], photos: Vec<NewPhoto<Self::Bytes>>) -> Result<(), StoreError>;

    /// A photograph's media type and bytes. `None`: it is not here.
    async fn photo(&self, hash: &PhotoHash) -> Result<Option<(String, Self::Bytes)>, StoreError>;

    /// A photograph for the screen. `None`: there is none.
    async fn preview(&self, hash: &PhotoHash) -> Result<Option<(String, Self::Bytes)>, StoreError>;

    /// A photograph for a list. `None`: there is none.
    async fn thumb(&self, hash: &PhotoHash) -> Result<Option<(String, Self::Bytes)>, StoreError>;

    /// Keeps a photograph's small ones without the photograph itself, which lies at the desk. What is here already stays.
    async fn keep_small(&self, hash: &PhotoHash, preview: Self::Bytes, thumb: Self::Bytes) -> Result<(), StoreError>;

    /// The desk's receipts for a job, in the order of their bundles' ids.
    async fn receipts(&self, job: JobId) -> Result<Vec<Receipt>, StoreError>;

    /// Keeps a receipt; one for the same bundle is replaced.
    async fn keep_receipt(&self, receipt: &Receipt) -> Result<(), StoreError>;

    /// Photographs that the desk has said it holds.
    async fn confirmed_photos(&self) -> Result<BTreeSet<PhotoHash>, StoreError>;

    /// Keeps that the desk holds a photograph.
    async fn keep_confirmed_photo(&self, hash: &PhotoHash) -> Result<(), StoreError>;

    /// The shelf.
    async fn shelf(&self) -> Result<Shelf, StoreError>;

    /// Takes a shelf in, durably: of one circuit the newest holds, and what was taken off on either side is gone but for
    /// its id.
    async fn keep_on_shelf(&self, more: &Shelf) -> Result<(), StoreError>;

    /// Forgets a job with its receipts, and photographs that no other job speaks of; with `known` only while it has no other
    /// events than these. The app asks first. What was put on the shelf from it stays there.
    ///
    /// # Errors
    /// As the store says. `Ok(false)`: it has another event. In both cases all of it is still here.
    async fn forget_job(&self, job: JobId, known: Option<&BTreeSet<EventId>>) -> Result<bool, StoreError>;
}

/// Why something was not kept or could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StoreError {
    /// One id, two events.
    #[error(
        "event {0} is here already with other words: one of the two was changed by hand. Nothing was kept; ask for the \
         hand-over file again, from the phone that made it"
    )]
    TwoBodies(EventId),
    /// No room left.
    #[error(
        "there is no room left on this device for that ({detail}), so it was not kept. Free some space, or hand over \
         and send jobs that are done, then try again"
    )]
    Full {
        /// What the browser says.
        detail: String,
    },
    /// A newer version of the program has changed how things are kept.
    #[error(
        "a newer version of Loomwalk has been at work here; load this page again to go on with it. If it stays so, the desk \
         has an older one than before and needs the newer one back. Nothing was lost"
    )]
    NewerTab,
    /// It does not open in time: another tab, of an older version of the program, does not let go of it.
    #[error(
        "what is kept here does not open, as when another tab or window of Loomwalk holds an older version of it; close the \
         others, then load this page again. Nothing was lost"
    )]
    OlderTab,
    /// Asked before it was opened.
    #[error("the storage of this device is not open yet, so nothing was kept; wait a moment and try again")]
    NotOpen,
    /// The browser gives no storage.
    #[error(
        "this browser keeps nothing here ({why}), so work would be lost. Leave private mode or allow the page to store \
         data, then load it again"
    )]
    Unavailable {
        /// What the browser says.
        why: String,
    },
    /// Something that is kept cannot be read.
    #[error(
        "{what} on this device cannot be read ({why}). It was left as it is; update Loomwalk, or ask the desk for its copy"
    )]
    Unreadable {
        /// Which thing.
        what: String,
        /// What is wrong with it.
        why: String,
    },
    /// Anything else that the browser reports.
    #[error(
        "the device's storage did not do it ({why}), so nothing was changed. Try again; if it stays so, load the page again"
    )]
    Failed {
        /// What the browser says.
        why: String,
    },
}

/// Photographs that events speak of.
fn photos_in<'a>(events: impl IntoIterator<Item = &'a Event>) -> BTreeSet<PhotoHash> {
    let photos = events.into_iter().filter(|event| event.kind == "photo");
    photos.filter_map(|event| event.body.get("sha256")?.as_str()?.parse().ok()).gather()
}
