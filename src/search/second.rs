//! Where is a second place? Close to a bare one: in the same part, on the same wires, at the same edge.

use crate::gather::Order as _;
use crate::ids::PointId;
use crate::search::belief::update;
use crate::search::evidence::{Observation, Seen};
use crate::search::likelihood::tables;
use crate::search::plan::Search;
use crate::search::point::Point;
use crate::search::sorted::{Sorted, sort};

/// What two places have in common.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Close {
    /// They are in the same part of the vehicle.
    pub part: bool,
    /// A wire goes through both.
    pub wire: bool,
    /// What the loom can touch at both.
    pub edge: Option<String>,
}

impl Close {
    /// What two different places have in common.
    pub fn between(one: &Point, other: &Point) -> Self {
        Self {
            part: one.zone == other.zone,
            wire: one.runs.iter().any(|run| other.runs.contains(run)),
            edge: one.contacts.iter().find(|edge| other.contacts.contains(edge)).cloned(),
        }
    }

    /// How many times likelier that makes a second place.
    pub fn factor(&self) -> f64 {
        let table = &tables().second;
        let counts = |holds, factor| if holds { factor } else { 1.0 };
        counts(self.part, table.same_part)
            * counts(self.wire, table.same_wire)
            * counts(self.edge.is_some(), table.same_edge)
    }

    /// In words; empty where they have nothing in common.
    pub fn in_words(&self) -> String {
        let edge = self.edge.as_ref().map(|edge| format!("rubs on the same: {edge}"));
        let part = self.part.then(|| "the same part of the vehicle".to_owned());
        let wire = self.wire.then(|| "the same wires".to_owned());
        [part, wire, edge].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}

/// By point: how many times likelier the bare places that were seen make it. 1 for those places themselves.
pub(super) fn beside_bare(points: &[Point], sorted: &Sorted) -> Vec<f64> {
    let bare: Vec<usize> = sorted
        .looks
        .iter()
        .filter(|(_, looks)| looks.damage.is_some_and(|damage| damage >= Seen::Bare))
        .map(|(place, _)| *place)
        .collect();
    let nearest = |(place, point): (usize, &Point)| {
        if bare.contains(&place) {
            return 1.0;
        }
        bare.iter().map(|bare| Close::between(&points[*bare], point).factor()).fold(1.0, f64::max)
    };
    if bare.is_empty() { vec![1.0; points.len()] } else { points.iter().enumerate().map(nearest).collect() }
}

/// A place to look at before a found one is closed.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbour {
    /// The place.
    pub point: PointId,
    /// Where that is, in words.
    pub title: String,
    /// Minutes of the look alone.
    pub minutes: f64,
    /// What it has in common with the found one.
    pub close: Close,
}

impl Search {
    /// The places close to a found one that nobody has looked at yet, those where a look earns most first; at most
    /// `most`.
    pub fn neighbours(&self, evidence: &[Observation], found: &PointId, most: usize) -> Vec<Neighbour> {
        let Some(found) = self.point(found) else { return Vec::new() };
        let sorted = sort(evidence, &self.electrics, &self.places);
        let belief = update(&self.points, &self.prior, &self.electrics, &sorted);
        let mut near: Vec<(f64, Neighbour)> = Vec::new();
        for (place, point) in self.points.iter().enumerate() {
            let close = Close::between(found, point);
            let earns = belief.points[place] * point.detect;
            if point.id != found.id && close.factor() > 1.0 && earns > 0.0 && !sorted.looks.contains_key(&place) {
                let (point, title, minutes) = (point.id.clone(), point.title.clone(), point.minutes);
                near.push((earns, Neighbour { point, title, minutes, close }));
            }
        }
        near.order_by(|(one, _), (other, _)| other.total_cmp(one));
        near.truncate(most);
        near.into_iter().map(|(_, neighbour)| neighbour).collect()
    }
}
