//! The bundle: one job, whole, as it leaves the phone (03-formats: `loomwalk/bundle`).
//!
//! - [`file`]: the format.
//! - [`digest`]: the canonical JSON of events and its SHA-256.
//! - [`read`]: from bytes to a bundle that is known to be whole, or why not.
//! - [`schema`]: the JSON Schemas of all our files, made from the types.

pub mod digest;
pub mod file;
pub mod read;
pub mod schema;
