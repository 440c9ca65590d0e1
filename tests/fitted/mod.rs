//! The vehicles that there are zone maps for.

#![allow(dead_code, reason = "each test uses its part")]

use loomwalk::circuit::file::{Body, Side, Vehicle};
use loomwalk::vehicle::body::{ZoneMap, fit};
use loomwalk::vehicle::fit::engine_places;

pub const BODIES: [Body; 6] =
    [Body::Saloon, Body::Hatchback, Body::Estate, Body::Pickup, Body::PanelVan, Body::Convertible];

/// Every body style with every engine place that it has, on either side of the road.
pub fn vehicles() -> Vec<Vehicle> {
    let mut vehicles = Vec::new();
    for body in BODIES {
        for engine in engine_places(body) {
            for drive_side in [Side::Left, Side::Right] {
                vehicles.push(Vehicle { body, engine, drive_side, ..Vehicle::default() });
            }
        }
    }
    vehicles
}

/// Their maps.
pub fn maps() -> Vec<ZoneMap> {
    vehicles().iter().map(|vehicle| fit(vehicle).map).collect()
}
