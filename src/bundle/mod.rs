//! The bundle: one job, whole, as it leaves the phone (03-formats: `loomwalk/bundle`).
//!
//! - [`beside`]: whether what stands beside the log says what the log says.
//! - [`mod@file`]: the format, and a bundle made from a job.
//! - [`digest`]: the canonical JSON of events and its SHA-256.
//! - [`leaving`]: what one is made of.
//! - [`read`]: from bytes to a bundle that is known to be whole, or why not.
//! - [`mod@write`]: the hand-over file in pieces, so that photographs never stand in memory together.
//! - [`schema`]: the JSON Schemas of all our files, made from the types.

pub mod beside;
pub mod digest;
pub mod error;
pub mod file;
pub mod leaving;
pub mod read;
pub mod schema;
pub mod write;

pub use error::BundleError;
pub use file::Bundle;
pub use leaving::Leaving;
