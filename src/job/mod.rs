//! The job: what happened, as a log of immutable events, and what follows from it.
//!
//! - [`act`]: what a person can do or say.
//! - [`amperes`]: whether what was measured is what the circuit should take.
//! - [`event`]: one act with its id, time and device.
//! - [`log`]: a set of events: append, union, integrity.
//! - [`state`]: the job as its log tells it.
//! - [`fold`]: how it follows from the log.
//! - [`edit`]: how acts change the circuit.
//! - [`marking`]: what is marked at a place, and what one more mark does.
//! - [`strike`]: what is struck out together.
//! - [`decide`]: whether an act makes sense now, and if not, why.
//! - [`bring_back`]: what was taken back at a place and can be brought back.
//! - [`corner`]: a fresh fuse opens at once: what to unplug next.
//! - [`cornered`]: the same as a file.
//! - [`drawing`]: what is drawn on a photograph, and how long what it shows is.
//! - [`road`]: a test drive, and what a tap on it says of the fuse.
//! - [`drive`]: what the drive before the hand-over must be, and what it was worth.
//! - [`tale`]: what was tried with the fuse open, and whether it fits.
//! - [`held`]: what the walk is held to for now: time, and reach.
//! - [`lesson`]: what a closed job teaches.
//! - [`mended`]: since when something was found or repaired at a place, and what proves it.
//! - [`methods`]: how such a place is repaired.
//! - [`release`]: what must hold before the vehicle goes back, by the circuit.
//! - [`vin`]: whether a VIN is in the log.
//! - [`watched`]: at which press the telltale went out.
//! - [`session`]: a job with all that follows from it: harness, search, plan.

pub mod act;
pub mod amperes;
pub mod bring_back;
pub mod corner;
pub mod cornered;
pub mod decide;
pub mod drawing;
pub mod drive;
pub mod edit;
pub mod event;
pub mod fold;
pub mod held;
pub mod lesson;
pub mod log;
pub mod marking;
pub mod mended;
pub mod methods;
pub mod overheated;
pub mod release;
pub mod road;
pub mod session;
pub mod state;
pub mod strike;
pub mod tale;
pub mod together;
pub(crate) mod told;
pub mod vin;
pub mod watched;
pub mod whole;

pub use decide::{Refusal, may};
pub use event::{Act, Event};
pub use log::Log;
pub use state::Job;
