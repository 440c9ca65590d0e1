//! The vehicle: its zones, what is between them, and what it costs to get there.
//!
//! - [`body`]: the zone map of a body style, read from `assets/bodies`.
//! - [`route`]: the cheapest way of a loom through the zones.

pub mod body;
pub mod route;
