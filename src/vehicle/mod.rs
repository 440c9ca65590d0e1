//! The vehicle: its zones, what is between them, and what it costs to get there.
//!
//! - [`body`]: the zone map of a body style, read from `assets/bodies`.
//! - [`fit`]: the map of one vehicle: body style, engine place, driver's side, size class.
//! - [`engine`]: what changes when the engine is not in front, read from `assets/engines`.
//! - [`check`]: what is wrong with a zone map that was written by someone else.
//! - [`mirror`]: what changes sides with the driver.
//! - [`loom`]: the loom that joins several places.
//! - [`picture`]: the vehicle as drawn, from above and from either side.
//! - [`route`]: the cheapest way of a wire through the zones, and the others that it may have taken.
//! - [`vin`]: what a vehicle identification number says, and what looks wrong with it.

pub mod body;
pub mod check;
pub mod engine;
pub mod fit;
pub mod loom;
pub mod mirror;
pub mod picture;
pub mod route;
pub mod vin;
