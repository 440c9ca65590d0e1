//! The job: what happened, as a log of immutable events, and what follows from it.
//!
//! - [`event`]: one act with its id, time and device.
//! - [`log`]: a set of events: append, union, integrity.
//! - [`state`]: the job as a fold of its log.

pub mod event;
pub mod log;
pub mod state;

pub use event::{Act, Event};
pub use state::Job;
