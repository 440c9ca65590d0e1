//! How are photographs, bundles and receipts kept? As immutable objects, each visible only once it is whole.
//!
//! ```text
//! desk.json                         what this store is, and the id under which its desks write bundles
//! photos/<sha256>                   the bytes
//! previews/<edge>/<sha256>          the same, small; can be made again
//! uploads/<sha256>/<offset>         pieces of a photograph that is still coming
//! jobs/<job>/bundles/<bundle>.json  as it arrived, byte for byte
//! jobs/<job>/receipts/<bundle>.json what was answered, by which desk, as its how-manieth
//! arrivals/<day>/<time>_<job>_<desk> calls out to other desks that a job has grown
//! index/jobs.jsonl                  what the list shows of every job; can be made again
//! prices.json                       the shop's price table
//! access/…                          who may come in: see [`super::access`]
//! audit/<day>/<time>.json           who did what; audit/refused/<day>/…: who was not let in
//! ```
//!
//! In a folder an object is written beside its place, flushed to the disk and then put in place, so that a crash leaves
//! either all of it or nothing; object stores promise the same. Whatever was acknowledged is durable. Several desks
//! may work with one store at once: each writes receipts under a number of its own run, and none overwrites another's.
//!
//! - [`place`]: a folder, or an object store by its URL. `sweep`: what a crash left behind. `passing`: what was
//!   of use for a while only.
//! - [`copy`]: a whole store to another place, for a back-up and back.

pub mod copy;
mod passing;
pub mod place;
mod sweep;

use std::ops::Range;
use std::sync::Arc;

use axum::body::Bytes;
use chrono::Utc;
use futures::TryStreamExt;
use futures::stream::BoxStream;
use object_store::buffered::BufWriter;
use object_store::path::Path;
use object_store::{GetOptions, ObjectStore, ObjectStoreExt, PutMode, PutOptions, PutPayload};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::ids::{BundleId, DeviceId, IdMaker, JobId, PhotoHash};
use crate::sync::protocol::Receipt;

pub use place::{Place, PlaceError};

/// The value of `format` in `desk.json`.
const FORMAT: &str = "loomwalk/desk-store";
/// The newest layout that this program reads and the one it writes.
const VERSION: u32 = 1;
/// The folders of a store, jobs first: what a receipt rests on was there before it. Elsewhere nobody looks: what was named
/// as a store may be a folder with other things in it.
const FOLDERS: [&str; 8] = ["jobs", "photos", "access", "audit", "arrivals", "index", "previews", "uploads"];
/// What lies beside them.
const FILES: [&str; 2] = ["desk.json", "prices.json"];

/// What can go wrong with the store.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The folder cannot be made or opened.
    #[error("the store {place} cannot be opened: {source}; choose another place with --store")]
    Open {
        /// The folder.
        place: String,
        /// Why.
        source: std::io::Error,
    },
    /// There is none, where one is to be.
    #[error(
        "{0} is no store of a desk: there is no desk.json in it; look whether the address is right and, for a disk, whether \
         it is mounted; a desk makes its store when it first starts"
    )]
    Absent(String),
    /// The store was made by a newer program, or is something else.
    #[error("this store is {format:?} version {version}; this program works with {FORMAT:?} version {VERSION}")]
    Foreign {
        /// What it calls itself.
        format: String,
        /// Its version.
        version: u64,
    },
    /// An object cannot be written.
    #[error("{at} could not be kept: {source}")]
    Write {
        /// Which object.
        at: String,
        /// Why.
        source: object_store::Error,
    },
    /// An object cannot be read.
    #[error("{at} could not be read: {source}")]
    Read {
        /// Which object.
        at: String,
        /// Why.
        source: object_store::Error,
    },
    /// An object is there but is not what it should be.
    #[error("{at} is damaged: {why}")]
    Damaged {
        /// Which object.
        at: String,
        /// What is wrong.
        why: String,
    },
    /// The system gives no random bits.
    #[error("the system gives no random numbers: {0}")]
    Random(getrandom::Error),
}

/// Whether an object was new.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Put {
    /// It was not there before.
    New,
    /// One of that name was there; it was left as it is.
    Existed,
}

/// A receipt as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptReceipt {
    /// The run of a desk that answered. Nil in stores that only ever had one desk at a time.
    #[serde(default)]
    pub desk: Uuid,
    /// Counts what that run has answered: what cursors rest on. Numbers may be left out.
    pub order: u64,
    /// Which phone had sent it, by its id among those that were paired: what stands in a bundle about its sender is the sender's
    /// own word. None where a crash came before the answer, and in receipts of earlier versions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub phone: Option<String>,
    /// What was answered.
    pub receipt: Receipt,
}

/// What lies under a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum UnderJob {
    /// A bundle.
    Bundle(JobId, BundleId),
    /// What was answered to it.
    Receipt(JobId, BundleId),
}

/// `desk.json`.
#[derive(Debug, Serialize, Deserialize)]
struct Identity {
    format: String,
    version: u64,
    device_id: DeviceId,
}

impl Identity {
    fn new() -> Result<Self, StoreError> {
        Ok(Self {
            format: FORMAT.to_owned(),
            version: VERSION.into(),
            device_id: DeviceId(IdMaker::default().make(now(), random()?)),
        })
    }
}

/// The objects of a shop's desks.
#[derive(Debug, Clone)]
pub struct Store {
    objects: Arc<dyn ObjectStore>,
    /// Bytes of one object that are written at a time.
    piece: usize,
    device_id: DeviceId,
}

impl Store {
    /// Opens the store at a place; makes it where there is none.
    ///
    /// # Errors
    /// Where it cannot be read or written, or is not one of ours.
    pub async fn open(place: &Place) -> Result<Self, StoreError> {
        Self::open_with(place, environment()).await
    }

    /// Opens the store that is at a place, and makes none: a store that was made by a slip of the pen looks like one in
    /// which nothing is.
    ///
    /// # Errors
    /// [`StoreError::Absent`], and as above.
    pub async fn find(place: &Place) -> Result<Self, StoreError> {
        let absent = || StoreError::Absent(place.to_string());
        if !place::may_hold_one(place)? {
            return Err(absent());
        }
        let (objects, piece) = place::open(place, environment())?;
        let mut store = Self { objects, piece, device_id: DeviceId(Uuid::nil()) };
        store.device_id = store.known().await?.ok_or_else(absent)?;
        Ok(store)
    }

    /// The same where not the environment says how to get in.
    ///
    /// # Errors
    /// As above.
    pub async fn open_with(
        place: &Place,
        told: impl IntoIterator<Item = (String, String)>,
    ) -> Result<Self, StoreError> {
        place::make(place)?;
        let (objects, piece) = place::open(place, told)?;
        let mut store = Self { objects, piece, device_id: DeviceId(Uuid::nil()) };
        store.device_id = match store.known().await? {
            Some(known) => {
                place::tidy(place)?;
                known
            }
            // What was no store until now holds nothing that a desk left behind.
            None => store.begun().await?,
        };
        Ok(store)
    }

    /// Who writes here. `None`: nobody ever did.
    async fn known(&self) -> Result<Option<DeviceId>, StoreError> {
        let Some(identity) = self.json::<Identity>(&Path::from("desk.json")).await? else { return Ok(None) };
        if identity.format == FORMAT && identity.version == u64::from(VERSION) {
            Ok(Some(identity.device_id))
        } else {
            Err(StoreError::Foreign { format: identity.format, version: identity.version })
        }
    }

    /// Decides it, at the first start ever.
    async fn begun(&self) -> Result<DeviceId, StoreError> {
        let identity = Identity::new()?;
        self.create_json(&Path::from("desk.json"), &identity).await?;
        // Another desk may have been first.
        Ok(self.known().await?.unwrap_or(identity.device_id))
    }

    /// Gives what lies there another identity: to a phone it is another store from then on. Desks that run on it have the
    /// former until they start again.
    ///
    /// # Errors
    /// Where it cannot be written; it is the store that it was then.
    pub async fn become_another(&self) -> Result<(), StoreError> {
        self.replace_json(&Path::from("desk.json"), &Identity::new()?).await
    }

    /// The id under which the desks of this store write.
    pub fn device_id(&self) -> DeviceId {
        self.device_id
    }

    /// Keeps a bundle as it arrived. One that is there already stays as it is.
    pub async fn put_bundle(&self, job: JobId, bundle: BundleId, body: Bytes) -> Result<Put, StoreError> {
        self.create(&bundle_path(job, bundle), body).await
    }

    /// A bundle as it arrived.
    pub async fn bundle(&self, job: JobId, bundle: BundleId) -> Result<Bytes, StoreError> {
        let path = bundle_path(job, bundle);
        self.read(&path).await?.ok_or_else(|| lacking(&path))
    }

    /// Keeps a receipt, and gives back the one that is kept now: an earlier one stays as it is.
    pub async fn put_receipt(&self, kept: KeptReceipt) -> Result<KeptReceipt, StoreError> {
        let (job, bundle) = (kept.receipt.job, kept.receipt.bundle_id);
        match self.create_json(&receipt_path(job, bundle), &kept).await? {
            Put::New => Ok(kept),
            Put::Existed => self.receipt(job, bundle).await,
        }
    }

    /// A kept receipt.
    pub async fn receipt(&self, job: JobId, bundle: BundleId) -> Result<KeptReceipt, StoreError> {
        let path = receipt_path(job, bundle);
        self.json(&path).await?.ok_or_else(|| lacking(&path))
    }

    /// All bundles and receipts, or those of one job.
    pub async fn under_jobs(&self, job: Option<JobId>) -> Result<Vec<UnderJob>, StoreError> {
        let prefix = match job {
            Some(job) => Path::from(format!("jobs/{job}")),
            None => Path::from("jobs"),
        };
        Ok(self.list(&prefix).await?.iter().filter_map(under_job).collect())
    }

    /// Starts to write a photograph. It appears under its name when the writer is shut down, and never if it is dropped.
    pub fn write_photo(&self, hash: &PhotoHash) -> BufWriter {
        BufWriter::with_capacity(self.objects.clone(), photo_path(hash), self.piece)
    }

    /// Whether a photograph is here.
    pub async fn has_photo(&self, hash: &PhotoHash) -> Result<bool, StoreError> {
        self.has(&photo_path(hash)).await
    }

    /// A photograph's length in bytes, and its bytes.
    pub async fn photo(
        &self,
        hash: &PhotoHash,
    ) -> Result<(u64, BoxStream<'static, object_store::Result<Bytes>>), StoreError> {
        let path = photo_path(hash);
        match self.objects.get(&path).await {
            Ok(found) => Ok((found.meta.size, found.into_stream())),
            Err(source) => Err(StoreError::Read { at: path.to_string(), source }),
        }
    }

    /// Some of a photograph's bytes.
    pub async fn photo_part(
        &self,
        hash: &PhotoHash,
        part: Range<u64>,
    ) -> Result<BoxStream<'static, object_store::Result<Bytes>>, StoreError> {
        let path = photo_path(hash);
        let options = GetOptions { range: Some(part.into()), ..GetOptions::default() };
        match self.objects.get_opts(&path, options).await {
            Ok(found) => Ok(found.into_stream()),
            Err(source) => Err(StoreError::Read { at: path.to_string(), source }),
        }
    }

    /// Keeps an object. One that is there already stays as it is.
    pub async fn create(&self, path: &Path, body: Bytes) -> Result<Put, StoreError> {
        let options = PutOptions { mode: PutMode::Create, ..PutOptions::default() };
        match self.objects.put_opts(path, PutPayload::from(body), options).await {
            Ok(_) => Ok(Put::New),
            Err(object_store::Error::AlreadyExists { .. }) => Ok(Put::Existed),
            Err(source) => Err(StoreError::Write { at: path.to_string(), source }),
        }
    }

    /// Keeps an object in place of what is there.
    pub async fn replace(&self, path: &Path, body: Bytes) -> Result<(), StoreError> {
        let put = self.objects.put(path, PutPayload::from(body)).await;
        put.map(drop).map_err(|source| StoreError::Write { at: path.to_string(), source })
    }

    /// As [`Self::create`], as JSON.
    pub async fn create_json(&self, path: &Path, value: &impl Serialize) -> Result<Put, StoreError> {
        self.create(path, to_json(path, value)?).await
    }

    /// As [`Self::replace`], as JSON.
    pub async fn replace_json(&self, path: &Path, value: &impl Serialize) -> Result<(), StoreError> {
        self.replace(path, to_json(path, value)?).await
    }

    /// An object's bytes; none where there is none.
    pub async fn read(&self, path: &Path) -> Result<Option<Bytes>, StoreError> {
        let cannot = |source| StoreError::Read { at: path.to_string(), source };
        match self.objects.get(path).await {
            Ok(found) => found.bytes().await.map(Some).map_err(cannot),
            Err(object_store::Error::NotFound { .. }) => Ok(None),
            Err(source) => Err(cannot(source)),
        }
    }

    /// An object read as JSON.
    pub async fn json<T: DeserializeOwned>(&self, path: &Path) -> Result<Option<T>, StoreError> {
        let damaged = |error: serde_json::Error| StoreError::Damaged { at: path.to_string(), why: error.to_string() };
        self.read(path).await?.map(|body| serde_json::from_slice(&body).map_err(damaged)).transpose()
    }

    /// Whether there is such an object.
    pub async fn has(&self, path: &Path) -> Result<bool, StoreError> {
        match self.objects.head(path).await {
            Ok(_) => Ok(true),
            Err(object_store::Error::NotFound { .. }) => Ok(false),
            Err(source) => Err(StoreError::Read { at: path.to_string(), source }),
        }
    }

    /// Removes an object, if it is there.
    pub async fn remove(&self, path: &Path) -> Result<(), StoreError> {
        match self.objects.delete(path).await {
            Ok(()) | Err(object_store::Error::NotFound { .. }) => Ok(()),
            Err(source) => Err(StoreError::Write { at: path.to_string(), source }),
        }
    }

    /// The objects under a prefix, by name.
    pub async fn list(&self, prefix: &Path) -> Result<Vec<Path>, StoreError> {
        let objects = self.objects.list(Some(prefix)).map_ok(|meta| meta.location);
        let mut found: Vec<Path> =
            objects.try_collect().await.map_err(|source| StoreError::Read { at: format!("{prefix}/"), source })?;
        found.sort();
        Ok(found)
    }
}

/// What the environment says of how to get in. Names that are not text are none of ours.
fn environment() -> impl Iterator<Item = (String, String)> {
    std::env::vars_os().filter_map(|(name, value)| Some((name.into_string().ok()?, value.into_string().ok()?)))
}

fn photo_path(hash: &PhotoHash) -> Path {
    Path::from_iter(["photos", hash.as_str()])
}

fn bundle_path(job: JobId, bundle: BundleId) -> Path {
    Path::from(format!("jobs/{job}/bundles/{bundle}.json"))
}

fn receipt_path(job: JobId, bundle: BundleId) -> Path {
    Path::from(format!("jobs/{job}/receipts/{bundle}.json"))
}

/// The inverse of [`bundle_path`] and [`receipt_path`].
fn under_job(path: &Path) -> Option<UnderJob> {
    let parts: Vec<_> = path.parts().collect();
    let [_, job, kind, file] = parts.as_slice() else { return None };
    let (job, bundle) = (job.as_ref().parse().ok()?, file.as_ref().strip_suffix(".json")?.parse().ok()?);
    match kind.as_ref() {
        "bundles" => Some(UnderJob::Bundle(job, bundle)),
        "receipts" => Some(UnderJob::Receipt(job, bundle)),
        _ => None,
    }
}

fn lacking(path: &Path) -> StoreError {
    StoreError::Damaged { at: path.to_string(), why: "it is not there".to_owned() }
}

fn to_json(path: &Path, value: &impl Serialize) -> Result<Bytes, StoreError> {
    let damaged = |error: serde_json::Error| StoreError::Damaged { at: path.to_string(), why: error.to_string() };
    serde_json::to_vec(value).map(Bytes::from).map_err(damaged)
}

/// The desk's clock.
pub fn now() -> chrono::DateTime<Utc> {
    std::time::SystemTime::now().into()
}

/// So many bytes of chance.
pub fn random<const N: usize>() -> Result<[u8; N], StoreError> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(StoreError::Random)?;
    Ok(bytes)
}
