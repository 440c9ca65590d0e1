//! The circuit: the fuse and all it feeds, and what a short at each place of it would do.
//!
//! - [`mod@file`]: the circuit as it is written down and kept (03-formats: `loomwalk/circuit`).
//! - [`check`]: from text to a circuit that is known to be sound, or the places where it is not.
//! - [`harness`]: the circuit with every wire and where it runs, what was assumed marked as such.
//! - [`expand`]: makes the harness from the circuit and the zone map.
//! - [`network`]: the harness as a resistive network in one operating state.
//! - [`fault`]: what a short to ground at a place would draw, and whether it opens the fuse.
//! - [`tree`]: how it branches, to be drawn.
//! - [`heat`]: which wires a fault may have overheated.
//! - [`isolate`]: what to unplug next to corner a hard short, and what a lamp in place of the fuse shows.
//! - [`story`]: whether what is dead fits the open fuse.
//! - [`meter`]: what a meter at the fuse should read, and what the loads should draw; [`unplug`]: what is left then.
//! - [`said`]: what the fuse is and does, in words.
//! - [`mod@colour`], [`terminal`]: IEC 60757 colours and DIN 72552 terminals, however they are written.
//! - [`mod@mark`]: what the technician noticed about a place.
//! - [`live_work`]: which wires nobody may press or unplug live.
//! - [`fuse`], [`wire`]: the standard's curves and tables; [`electrical`]: the constants with their sources.

pub mod check;
pub mod colour;
pub mod electrical;
pub mod expand;
pub mod fault;
pub mod file;
pub mod fuse;
pub mod harness;
pub mod heat;
pub mod isolate;
pub mod live;
pub mod live_work;
pub mod mark;
pub mod meter;
pub mod network;
pub mod said;
pub mod story;
pub mod terminal;
pub mod tree;
pub mod unplug;
pub mod wire;
