//! The vehicle: its zones, what is between them, and what it costs to get there.
//!
//! - [`body`]: the zone map of a body style, read from `assets/bodies`.
//! - [`mirror`]: what changes sides with the driver.
//! - [`loom`]: the loom that joins several places.
//! - [`route`]: the cheapest way of a wire through the zones, and the others that it may have taken.
//! - [`vin`]: what a vehicle identification number says, and what looks wrong with it.

pub mod body;
pub mod loom;
pub mod mirror;
pub mod route;
pub mod vin;
