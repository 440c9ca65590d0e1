//! What do phone and desk say to each other? Version 1 of the API (03-formats §6).

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ids::{BundleId, DeviceId, EventId, JobId, PhotoHash};
use crate::job::event::Event;

/// The protocol's version; a part of every address.
pub const VERSION: u32 = 1;
/// The oldest version that this program still speaks.
pub const OLDEST: u32 = 1;
/// The largest photograph that the desk takes, bytes.
pub const PHOTO_LIMIT: u64 = 64 * 1024 * 1024;
/// The largest bundle without photographs that the desk takes, bytes.
pub const BUNDLE_LIMIT: u64 = 32 * 1024 * 1024;
/// The largest piece of a photograph that the desk takes, bytes.
pub const PIECE_LIMIT: u64 = 8 * 1024 * 1024;
/// The longest that a phone may ask the desk to wait for something new, s.
pub const LONGEST_WAIT: u64 = 50;

/// `GET /api/v1/health`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Health {
    /// Always `loomwalk`.
    pub program: String,
    /// The program's version.
    pub version: String,
    /// The protocol's version.
    pub protocol: u32,
    /// The oldest version of the protocol that it still speaks. Desks that do not say it speak version 1 only.
    #[serde(default = "oldest")]
    pub oldest: u32,
    /// Which store the desk keeps things in. A store that was brought back from a copy, or a new one, is another: what was
    /// confirmed before says nothing of it. Desks that do not say it leave that open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub store: Option<DeviceId>,
}

fn oldest() -> u32 {
    OLDEST
}

/// `POST /api/v1/pairings`: a phone gives the code that the desk shows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PairingAsked {
    /// The code, as it was typed or scanned.
    pub code: String,
    /// How the phone is to be called in the desk's list.
    #[serde(default)]
    pub name: String,
}

/// What the phone gets for it, once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Paired {
    /// To be sent with every call: `Authorization: Bearer <token>`.
    pub token: String,
    /// How the desk calls the phone.
    pub name: String,
}

/// A job that the desk holds, in short.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobAtDesk {
    /// Which.
    pub job: JobId,
    /// What the customer says, cut short.
    pub concern: String,
    /// The vehicle.
    pub vehicle: String,
    /// The fuse.
    pub fuse: String,
    /// Whether it is a practice job.
    pub practice: bool,
    /// Whether it is handed over.
    #[serde(default)]
    pub closed: bool,
    /// When it was changed last, by the devices' clocks.
    pub changed_at: Option<DateTime<Utc>>,
}

/// `GET /api/v1/jobs?words={words}`: those in which the words stand, without words those that are not handed over yet; the
/// newest change first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct JobsAtDesk {
    /// The first of them.
    pub jobs: Vec<JobAtDesk>,
    /// How many there are.
    pub of: usize,
}

/// What the desk says once a bundle is durably kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Receipt {
    /// For which job.
    pub job: JobId,
    /// For which bundle.
    pub bundle_id: BundleId,
    /// The events that the desk holds from this bundle.
    pub events: Vec<EventId>,
    /// The digest of the bundle's log, as the desk computed it.
    pub log_digest: String,
    /// Photographs that the bundle names and the desk does not hold yet.
    pub missing_photos: Vec<PhotoHash>,
}

/// `GET /api/v1/jobs/{job}/events?after={cursor}`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EventPage {
    /// Events that the desk took in after the cursor, in the order in which it did.
    pub events: Vec<Event>,
    /// The cursor for the next call.
    pub next: String,
    /// Whether there are more already.
    pub more: bool,
}

/// An error, RFC 9457 `application/problem+json`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Problem {
    /// A URI that names the kind of problem: `about:blank` where the status says it all.
    #[serde(rename = "type")]
    pub type_: String,
    /// Short, the same for each occurrence.
    pub title: String,
    /// The HTTP status.
    pub status: u16,
    /// What is wrong here and what to do.
    pub detail: String,
}
