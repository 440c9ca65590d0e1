//! The vehicle: its zones, what is between them, and what it costs to get there.
//!
//! - [`body`]: the zone map of a body style, read from `assets/bodies`.
//! - [`mirror`]: what changes sides with the driver.
//! - [`route`]: the cheapest way of a loom through the zones.
//! - [`vin`]: what a vehicle identification number says, and what looks wrong with it.

pub mod body;
pub mod mirror;
pub mod route;
pub mod vin;
