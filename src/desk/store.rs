//! How are photographs, bundles and receipts kept? As immutable objects, each visible only once it is whole.
//!
//! ```text
//! desk.json                        what this store is, and the desk's own id
//! photos/<sha256>                  the bytes
//! jobs/<job>/bundles/<bundle>.json as it arrived, byte for byte
//! jobs/<job>/receipts/<bundle>.json what was answered, and in which order
//! ```
//!
//! An object is written beside its place, flushed to the disk and then put in place, so that a crash leaves
//! either all of it or nothing. Whatever was acknowledged is on the disk.

use std::fs::{File, TryLockError};
use std::ops::Range;
use std::path::{Path as FsPath, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use axum::body::Bytes;
use chrono::Utc;
use futures::stream::BoxStream;
use futures::{StreamExt, TryStreamExt};
use object_store::local::LocalFileSystem;
use object_store::path::Path;
use object_store::{GetOptions, ObjectStore, ObjectStoreExt, PutMode, PutOptions, PutPayload, WriteMultipart};
use serde::{Deserialize, Serialize};

use crate::ids::{BundleId, DeviceId, IdMaker, JobId, PhotoHash};
use crate::sync::protocol::Receipt;

/// The value of `format` in `desk.json`.
const FORMAT: &str = "loomwalk/desk-store";
/// The newest layout that this program reads and the one it writes.
const VERSION: u32 = 1;
/// Bytes of a photograph that are held in memory before they are written.
const CHUNK: usize = 1024 * 1024;

/// How long a desk that ends may hold on to its store.
const LET_GO: Duration = Duration::from_secs(1);

/// What can go wrong with the store.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The folder cannot be made or opened.
    #[error("the store {folder} cannot be opened: {source}; choose another folder with --store file:///…")]
    Open {
        /// The folder.
        folder: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// Another desk has it.
    #[error("another desk already works with the store {0}; stop that one, or choose another folder with --store")]
    InUse(PathBuf),
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
    /// The system gives no random bits for the desk's id.
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
    /// Counts the job's bundles in the order in which they were taken in: what cursors rest on.
    pub order: u64,
    /// What was answered.
    pub receipt: Receipt,
}

/// `desk.json`.
#[derive(Debug, Serialize, Deserialize)]
struct Identity {
    format: String,
    version: u64,
    device_id: DeviceId,
}

/// The objects of one desk.
#[derive(Debug)]
pub struct Store {
    objects: Arc<dyn ObjectStore>,
    device_id: DeviceId,
    /// Held as long as the store is open: the index in memory is only right while nobody else writes.
    _lock: File,
}

impl Store {
    /// Opens the store in a folder, which is made if it is not there.
    pub async fn open(folder: &FsPath) -> Result<Self, StoreError> {
        let cannot = |source| StoreError::Open { folder: folder.to_owned(), source };
        std::fs::create_dir_all(folder).map_err(cannot)?;
        let lock = File::create(folder.join("desk.lock")).map_err(cannot)?;
        let give_up = tokio::time::Instant::now() + LET_GO;
        while let Err(error) = lock.try_lock() {
            match error {
                // A desk that is just ending, or a program that it has just started, lets go in a moment.
                TryLockError::WouldBlock if tokio::time::Instant::now() < give_up => {
                    tokio::time::sleep(LET_GO / 20).await;
                }
                TryLockError::WouldBlock => return Err(StoreError::InUse(folder.to_owned())),
                TryLockError::Error(source) => return Err(cannot(source)),
            }
        }
        for objects in ["photos", "jobs"] {
            sweep(&folder.join(objects)).map_err(cannot)?;
        }
        let objects = LocalFileSystem::new_with_prefix(folder)
            .map_err(|source| StoreError::Read { at: folder.display().to_string(), source })?;
        let objects: Arc<dyn ObjectStore> = Arc::new(objects.with_fsync(true));
        let device_id = identity(objects.as_ref()).await?;
        Ok(Self { objects, device_id, _lock: lock })
    }

    /// The desk's own id.
    pub fn device_id(&self) -> DeviceId {
        self.device_id
    }

    /// Keeps a bundle as it arrived. One that is there already stays as it is.
    pub async fn put_bundle(&self, job: JobId, bundle: BundleId, body: Bytes) -> Result<Put, StoreError> {
        create(self.objects.as_ref(), &bundle_path(job, bundle), body).await
    }

    /// A bundle as it arrived.
    pub async fn bundle(&self, job: JobId, bundle: BundleId) -> Result<Bytes, StoreError> {
        read(self.objects.as_ref(), &bundle_path(job, bundle)).await
    }

    /// Keeps a receipt, and gives back the one that is kept now: an earlier one stays as it is.
    pub async fn put_receipt(&self, kept: KeptReceipt) -> Result<KeptReceipt, StoreError> {
        let (job, bundle) = (kept.receipt.job, kept.receipt.bundle_id);
        let path = receipt_path(job, bundle);
        match create(self.objects.as_ref(), &path, to_json(&path, &kept)?).await? {
            Put::New => Ok(kept),
            Put::Existed => self.receipt(job, bundle).await,
        }
    }

    /// A kept receipt.
    pub async fn receipt(&self, job: JobId, bundle: BundleId) -> Result<KeptReceipt, StoreError> {
        let path = receipt_path(job, bundle);
        from_json(&path, &read(self.objects.as_ref(), &path).await?)
    }

    /// Starts to write a photograph. It appears under its name when the upload is finished, and never if it is dropped.
    pub async fn write_photo(&self, hash: &PhotoHash) -> Result<WriteMultipart, StoreError> {
        let path = photo_path(hash);
        match self.objects.put_multipart(&path).await {
            Ok(upload) => Ok(WriteMultipart::new_with_chunk_size(upload, CHUNK)),
            Err(source) => Err(StoreError::Write { at: path.to_string(), source }),
        }
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

    /// The names of all photographs that are held.
    pub async fn photos(&self) -> Result<Vec<PhotoHash>, StoreError> {
        let names = self.list("photos").await?;
        Ok(names.iter().filter_map(|path| path.filename()?.parse().ok()).collect())
    }

    /// Every kept bundle, by job and id, with its receipt if there is one.
    pub async fn bundles(&self) -> Result<Vec<(JobId, BundleId)>, StoreError> {
        let mut found: Vec<_> = self.list("jobs").await?.iter().filter_map(bundle_of).collect();
        found.sort();
        Ok(found)
    }

    async fn list(&self, prefix: &str) -> Result<Vec<Path>, StoreError> {
        let objects = self.objects.list(Some(&Path::from(prefix)));
        objects
            .map(|object| object.map(|meta| meta.location))
            .try_collect()
            .await
            .map_err(|source| StoreError::Read { at: format!("{prefix}/"), source })
    }
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

/// The inverse of [`bundle_path`].
fn bundle_of(path: &Path) -> Option<(JobId, BundleId)> {
    let parts: Vec<_> = path.parts().collect();
    let [jobs, job, bundles, file] = parts.as_slice() else { return None };
    if (jobs.as_ref(), bundles.as_ref()) != ("jobs", "bundles") {
        return None;
    }
    Some((job.as_ref().parse().ok()?, file.as_ref().strip_suffix(".json")?.parse().ok()?))
}

async fn create(objects: &dyn ObjectStore, path: &Path, body: Bytes) -> Result<Put, StoreError> {
    let options = PutOptions { mode: PutMode::Create, ..PutOptions::default() };
    match objects.put_opts(path, PutPayload::from(body), options).await {
        Ok(_) => Ok(Put::New),
        Err(object_store::Error::AlreadyExists { .. }) => Ok(Put::Existed),
        Err(source) => Err(StoreError::Write { at: path.to_string(), source }),
    }
}

async fn read(objects: &dyn ObjectStore, path: &Path) -> Result<Bytes, StoreError> {
    let cannot = |source| StoreError::Read { at: path.to_string(), source };
    objects.get(path).await.map_err(cannot)?.bytes().await.map_err(cannot)
}

fn to_json(path: &Path, value: &impl Serialize) -> Result<Bytes, StoreError> {
    let damaged = |error: serde_json::Error| StoreError::Damaged { at: path.to_string(), why: error.to_string() };
    serde_json::to_vec(value).map(Bytes::from).map_err(damaged)
}

fn from_json<T: for<'a> Deserialize<'a>>(path: &Path, body: &[u8]) -> Result<T, StoreError> {
    serde_json::from_slice(body).map_err(|error| StoreError::Damaged { at: path.to_string(), why: error.to_string() })
}

/// Reads who this desk is; on the first start, decides it.
async fn identity(objects: &dyn ObjectStore) -> Result<DeviceId, StoreError> {
    let path = Path::from("desk.json");
    let identity: Identity = match read(objects, &path).await {
        Ok(body) => from_json(&path, &body)?,
        Err(StoreError::Read { source: object_store::Error::NotFound { .. }, .. }) => {
            let mut random = [0; 10];
            getrandom::fill(&mut random).map_err(StoreError::Random)?;
            let device_id = DeviceId(IdMaker::default().make(now(), random));
            let identity = Identity { format: FORMAT.to_owned(), version: VERSION.into(), device_id };
            create(objects, &path, to_json(&path, &identity)?).await?;
            identity
        }
        Err(error) => return Err(error),
    };
    if identity.format == FORMAT && identity.version == u64::from(VERSION) {
        Ok(identity.device_id)
    } else {
        Err(StoreError::Foreign { format: identity.format, version: identity.version })
    }
}

/// The desk's clock.
pub fn now() -> chrono::DateTime<Utc> {
    std::time::SystemTime::now().into()
}

/// Removes what a killed desk left half-written: files that `LocalFileSystem` calls `<name>#<number>` and never shows.
fn sweep(folder: &FsPath) -> std::io::Result<()> {
    let entries = match std::fs::read_dir(folder) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        entries => entries?,
    };
    for entry in entries {
        let entry = entry?;
        if entry.file_type()?.is_dir() {
            sweep(&entry.path())?;
        } else if is_half_written(&entry.file_name().to_string_lossy()) {
            std::fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

fn is_half_written(name: &str) -> bool {
    name.split_once('#')
        .is_some_and(|(_, number)| !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()))
}
