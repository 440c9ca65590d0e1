//! The screens, one file each.

pub mod circuit;
pub mod concern;
pub mod dead;
pub mod draw;
pub mod finding;
pub mod guide;
pub mod handover;
pub mod jobs;
pub mod list;
pub mod load;
pub mod lost;
pub mod meter;
pub mod opening;
pub mod pair;
pub mod paste;
pub mod point;
pub mod press;
pub mod repair;
pub mod report;
pub mod road;
pub mod settings;
pub mod shelf;
pub mod shelved;
pub mod unplug;
pub mod walk;
pub mod watch;
