//! What are places called in words? Ids as a reader would say them, from whoever knows the vehicle.

use crate::ids::{AccessId, PointId, ZoneId};
use crate::job::session::Ready;

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

/// Knows the vehicle's zone map and the points of its circuit; what they do not know, it makes of the ids.
#[derive(Debug, Clone, Copy)]
pub struct FromVehicle<'a>(pub &'a Ready);

impl Names for FromVehicle<'_> {
    fn point(&self, id: &PointId) -> PlaceName {
        match self.0.search.point(id) {
            Some(point) => PlaceName { title: point.title.clone(), zone: self.zone(&point.zone) },
            None => FromIds.point(id),
        }
    }

    fn zone(&self, id: &ZoneId) -> String {
        self.0.map.map.zone(id).map_or_else(|| FromIds.zone(id), |zone| zone.label.clone())
    }

    fn access(&self, id: &AccessId) -> String {
        self.0.map.map.access(id).map_or_else(|| FromIds.access(id), |step| step.label.clone())
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
