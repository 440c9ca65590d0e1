//! What are places called in words? Ids as a reader would say them, from whoever knows the vehicle.

use crate::ids::{AccessId, PointId, ZoneId};

/// A place as a reader would say it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceName {
    /// The place itself: `Rear door boot`.
    pub title: String,
    /// The part of the vehicle it is in: `Rear doors`. Empty: unknown.
    pub zone: String,
}

/// Who knows what places are called.
pub trait Names {
    /// A point.
    fn point(&self, id: &PointId) -> PlaceName;
    /// A part of the vehicle.
    fn zone(&self, id: &ZoneId) -> String;
    /// A step that opens a part of the vehicle.
    fn access(&self, id: &AccessId) -> String;
}

/// Makes words of the ids alone, for a job whose vehicle is not known.
#[derive(Debug, Clone, Copy, Default)]
pub struct FromIds;

impl Names for FromIds {
    fn point(&self, id: &PointId) -> PlaceName {
        // Ids look like `point:passage:rear_door_boot` or, for a mark, `point:r4@0.6`.
        let name = id.as_str().rsplit(':').next().unwrap_or_default();
        let title = match name.split_once('@') {
            Some((run, metres)) => format!("Wire {run}, {metres} m from its start"),
            None => words(name),
        };
        PlaceName { title, zone: String::new() }
    }

    fn zone(&self, id: &ZoneId) -> String {
        words(id.as_str())
    }

    fn access(&self, id: &AccessId) -> String {
        words(id.as_str().rsplit(':').next().unwrap_or_default())
    }
}

/// `load_area_left` as `Load area left`.
pub(crate) fn words(id: &str) -> String {
    let spaced = id.replace('_', " ");
    let mut letters = spaced.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}
