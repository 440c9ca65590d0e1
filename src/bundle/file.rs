//! What does a bundle hold? The file format `loomwalk/bundle`, version 1.

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::file::{CircuitFile, Vehicle};
use crate::ids::{BundleId, DeviceId, JobId};
use crate::job::event::{Concern, Event, Finding, Photo};

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
