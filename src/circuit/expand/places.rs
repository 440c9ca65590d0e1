//! Where is that zone in this body, and which way does a wire take between two of them?

use std::collections::{BTreeMap, HashMap};

use super::super::harness::{Place, Stretch};
use crate::ids::{PassageId, ZoneId};
use crate::units::Metres;
use crate::vehicle::body::ZoneMap;
use crate::vehicle::loom::Loom;
use crate::vehicle::route::{medium_length, way, way_via, ways_from};

/// Length of a ground wire to a ground point in the same zone, in metres. Common practice, no source.
pub(super) const GROUND_METRES: f64 = 0.3;

/// A way, or none.
type Way = Option<Vec<Stretch>>;

/// The zone map with what was asked of it so far.
pub(super) struct Places<'a> {
    map: &'a ZoneMap,
    loom: Loom<'a>,
    ways: HashMap<(ZoneId, ZoneId), Way>,
    to_ground: HashMap<ZoneId, Way>,
    notes: BTreeMap<ZoneId, String>,
}

impl<'a> Places<'a> {
    pub(super) fn new(map: &'a ZoneMap) -> Self {
        let loom = Loom::joining(map, []);
        Self { map, loom, ways: HashMap::new(), to_ground: HashMap::new(), notes: BTreeMap::new() }
    }

    /// Lays the loom that joins those zones: wires between them run in it from here on.
    pub(super) fn lay_loom<'z>(&mut self, zones: impl IntoIterator<Item = &'z ZoneId>) {
        self.loom = Loom::joining(self.map, zones);
        self.ways.clear();
    }

    /// The zone as this body has it. `None`: the body knows no such zone, which is noted.
    pub(super) fn known(&mut self, zone: &ZoneId) -> Option<ZoneId> {
        let found = self.map.zone(zone).map(|found| found.id.clone());
        match &found {
            Some(own) if own == zone => {}
            Some(_) => self.note(zone, self.map.stand_in_note(zone).unwrap_or_default()),
            None => self.note(
                zone,
                format!("The zone map knows no zone \"{zone}\": what is there counts as at an unknown place."),
            ),
        }
        found
    }

    fn note(&mut self, zone: &ZoneId, note: String) {
        self.notes.entry(zone.clone()).or_insert(note);
    }

    /// Zones that had to be replaced or are not known, in words.
    pub(super) fn notes(&self) -> impl Iterator<Item = String> + use<> {
        self.notes.clone().into_values()
    }

    /// Whether the vehicle has it.
    pub(super) fn has(&self, place: &Place) -> bool {
        match place {
            Place::Zone(zone) => self.map.zone(zone).is_some(),
            Place::Passage(passage) => self.map.passage(passage).is_some(),
        }
    }

    /// A zone in words, in quotes.
    pub(super) fn label(&self, zone: &ZoneId) -> String {
        format!("\"{}\"", self.map.zone(zone).map_or(zone.as_str(), |zone| &zone.label))
    }

    /// A zone or a passage in words, in quotes.
    pub(super) fn name(&self, place: &Place) -> String {
        match place {
            Place::Zone(zone) => self.label(zone),
            Place::Passage(id) => {
                format!("\"{}\"", self.map.passage(id).map_or(id.as_str(), |passage| &passage.label))
            }
        }
    }

    /// The zones of a way in words.
    pub(super) fn in_words(&self, way: &[Stretch]) -> String {
        let zones = way.iter().filter_map(|stretch| match &stretch.place {
            Place::Zone(zone) => Some(self.label(zone)),
            Place::Passage(_) => None,
        });
        zones.collect::<Vec<_>>().join(", ")
    }

    /// The way between two zones: within the loom, or the cheapest one where it does not go.
    pub(super) fn way(&mut self, from: &ZoneId, to: &ZoneId) -> Way {
        let (map, loom) = (self.map, &self.loom);
        let find = || loom.way(from, to).or_else(|| way(map, from, to));
        self.ways.entry((from.clone(), to.clone())).or_insert_with(find).clone()
    }

    /// The way between two zones through those places. `None`: there is no such way in this body.
    pub(super) fn way_via(&self, from: &ZoneId, via: &[Place], to: &ZoneId) -> Way {
        way_via(self.map, from, via, to)
    }

    /// The way from a zone to the nearest ground point.
    pub(super) fn way_to_ground(&mut self, from: &ZoneId) -> Way {
        if let Some(known) = self.to_ground.get(from) {
            return known.clone();
        }
        let nearest = if self.map.grounds.contains(from) {
            Some(vec![Stretch { place: Place::Zone(from.clone()), metres: Metres(GROUND_METRES) }])
        } else {
            let map = self.map;
            let ways = ways_from(map, from);
            let ways = map.grounds.iter().filter_map(|ground| ways.as_ref()?.to(ground));
            // Of equally near ones the first in the order of the map.
            ways.min_by_key(|way| medium_length(map, way))
        };
        self.to_ground.insert(from.clone(), nearest.clone());
        nearest
    }

    /// The passage between two neighbouring zones: the shortest if there are several.
    pub(super) fn passage_between(&self, one: &ZoneId, other: &ZoneId) -> Option<PassageId> {
        let joins = |[a, b]: &[ZoneId; 2]| (a == one && b == other) || (a == other && b == one);
        let between = self.map.passages.iter().filter(|passage| joins(&passage.between));
        let shortest = between.min_by(|one, other| one.metres.total_cmp(&other.metres));
        shortest.map(|passage| passage.id.clone())
    }
}

/// Metres of a way.
pub(super) fn length(way: &[Stretch]) -> f64 {
    // Folded from 0.0, because an empty sum is −0.0, which shows in print.
    way.iter().fold(0.0, |sum, stretch| sum + stretch.metres.0)
}
