//! What does a bundle hold? The file format `loomwalk/bundle`, version 1.

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::bundle::digest::log_digest;
use crate::circuit::file::{CircuitFile, Vehicle};
use crate::gather::Order as _;
use crate::ids::{BundleId, DeviceId, EventId, JobId};
use crate::job::event::{Concern, Event, Finding, Photo};
use crate::job::log::{Log, LogError};
use crate::job::state::Job;

/// The value of `format` in a bundle.
pub const FORMAT: &str = "loomwalk/bundle";
/// The newest major version that this program reads and the one it writes.
pub const VERSION: u32 = 1;
/// Extension of a hand-over file.
pub const EXTENSION: &str = ".loomwalk.json";

/// One job as it leaves a phone. Over the network the log may be the part that the desk has not confirmed yet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Bundle {
    /// Always `loomwalk/bundle`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// UUIDv7.
    pub bundle_id: BundleId,
    /// RFC 3339 UTC.
    pub made_at: DateTime<Utc>,
    /// The device that made it.
    pub device_id: DeviceId,
    /// The job as the log tells it, for readers that do not fold.
    pub job: BundleJob,
    /// The log is a part of what the job was made from.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub part: bool,
    /// The events.
    pub log: Vec<Event>,
    /// The photographs that the log speaks of.
    pub photos: Vec<BundlePhoto>,
    /// SHA-256 over the canonical JSON of the events sorted by id, lower-case hex.
    pub log_digest: String,
}

/// The job as the log tells it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BundleJob {
    /// Which job.
    pub id: JobId,
    /// The concern.
    pub concern: Concern,
    /// The vehicle.
    pub vehicle: Vehicle,
    /// The circuit, once there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub circuit: Option<CircuitFile>,
    /// What was found.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<Finding>,
}

/// A photograph in the manifest; in a hand-over file with its bytes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BundlePhoto {
    /// What the log says of it.
    #[serde(flatten)]
    pub photo: Photo,
    /// The bytes, base64 (RFC 4648 §4, padded).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub data: Option<String>,
}

/// The largest hand-over file that is read, bytes.
pub const HAND_OVER_LIMIT: u64 = 150 * 1024 * 1024;
/// The largest hand-over file that is made, bytes; what is more goes into further ones. Below what is read, so that nothing that
/// is counted a little differently elsewhere makes a file that opens nowhere.
pub const MADE_LIMIT: u64 = 140 * 1024 * 1024;

/// What a hand-over file is called: `name` is what it is of, `number` which of the `of` files that belong together.
pub fn file_name(name: &str, number: usize, of: usize) -> String {
    let part = if of > 1 { format!("-{number}-of-{of}") } else { String::new() };
    format!("{name}{part}{EXTENSION}")
}

/// The bundle of a job.
///
/// `log` is the whole log, or the part of it that is to be sent. The manifest names the photographs that these
/// events keep and that still count; the bytes travel apart, or are put in by [`super::write`].
pub fn make<'a>(
    job: &Job,
    log: impl IntoIterator<Item = &'a Event>,
    bundle_id: BundleId,
    device_id: DeviceId,
    made_at: DateTime<Utc>,
) -> Bundle {
    let mut log: Vec<Event> = log.into_iter().cloned().collect();
    log.order_by_key(|event| event.id);
    let kept = |id: &EventId| log.binary_search_by_key(id, |event| event.id).is_ok();
    let photos = job.photos.iter().filter(|(event, _)| kept(event));
    let photos = photos.map(|(_, photo)| BundlePhoto { photo: photo.clone(), data: None }).collect();
    Bundle {
        format: FORMAT.to_owned(),
        version: VERSION,
        bundle_id,
        made_at,
        device_id,
        job: BundleJob::of(job),
        part: log.len() < job.events.len(),
        log_digest: log_digest(&log),
        log,
        photos,
    }
}

impl BundleJob {
    /// What stands beside the log of that job.
    pub fn of(job: &Job) -> Self {
        Self {
            id: job.id,
            concern: job.concern.clone(),
            vehicle: job.circuit.as_ref().map(|circuit| circuit.vehicle.clone()).unwrap_or_default(),
            circuit: job.circuit.clone(),
            findings: job.findings.values().cloned().collect(),
        }
    }
}

impl Bundle {
    /// Whether its log, folded to `job`, is all that there is of the job: it is no part (an older version does not say
    /// so, and then a log with the opening counts as whole), and has nothing that this version cannot read. What stands
    /// beside a part of a log comes from more than that part.
    pub fn is_whole(&self, job: &Job) -> bool {
        let opened = self.log.iter().any(|event| event.kind == "job_opened");
        opened && !self.part && job.from_newer == 0 && job.unreadable.is_empty()
    }

    /// The job that its log tells.
    ///
    /// # Errors
    /// [`LogError`] where two different events bear one id; never for a bundle that was [read](super::read).
    pub fn fold(&self) -> Result<Job, LogError> {
        Ok(Job::fold(self.job.id, &Log::of(self.log.iter().cloned())?))
    }
}
