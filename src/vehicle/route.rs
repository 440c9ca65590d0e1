//! Which way does a loom go? The cheapest way through zones and passages.
//!
//! The cost of a way is its metres, plus the metres that a loom would rather go round than through an unusual
//! passage ([`Passage::detour_m`]). It is that of a vehicle of medium size, so that looms go the same way in a longer
//! one, and only their metres grow ([`ZoneMap::stretch`]). All ways from one place form a tree, so that looms share their trunk.

use petgraph::algo::dijkstra;
use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

use super::body::{Passage, Zone, ZoneMap};
use crate::circuit::harness::{Place, Stretch};
use crate::ids::ZoneId;
use crate::units::Metres;

/// The shortest loom between two things in one zone, in metres. Common practice, no source.
const SHORTEST_M: f64 = 0.3;

/// The cheapest way between two zones. `None`: a zone that nobody knows, or no way there.
///
/// Half of the zones at the ends, all of those between, and the passages. Within one zone: half of it, at least
/// 0.3 m.
pub fn way(map: &ZoneMap, from: &ZoneId, to: &ZoneId) -> Option<Vec<Stretch>> {
    ways_from(map, from)?.to(to)
}

/// The cheapest ways from a zone to all others, found at once. `None`: nobody knows the zone.
pub fn ways_from<'m>(map: &'m ZoneMap, from: &ZoneId) -> Option<Ways<'m>> {
    let graph = graph(map);
    let start = position(map, from)?;
    let reached = dijkstra(&graph, start, None, |edge| edge.weight().cost);
    let cost: Vec<Option<u64>> = graph.node_indices().map(|zone| reached.get(&zone).copied()).collect();
    let before = graph.node_indices().map(|zone| step_before(&graph, &cost, zone)).collect();
    Some(Ways { map, start, before })
}

/// The cheapest ways from one zone.
#[derive(Debug, Clone)]
pub struct Ways<'m> {
    map: &'m ZoneMap,
    start: NodeIndex,
    /// For each zone, the zone and the passage through which its way comes; none at the start and where no way leads.
    before: Vec<Option<(NodeIndex, usize)>>,
}

/// An edge: a passage by its position in the map, and what a loom through it costs.
#[derive(Debug, Clone, Copy)]
struct Leg {
    passage: usize,
    cost: u64,
}

impl Ways<'_> {
    /// The way to a zone, from the start on. `None`: a zone that nobody knows, or no way there.
    pub fn to(&self, to: &ZoneId) -> Option<Vec<Stretch>> {
        let mut here = position(self.map, to)?;
        if here == self.start {
            let zone = self.zone(here);
            return Some(vec![in_zone(zone, (self.metres(zone) / 2.0).max(SHORTEST_M))]);
        }
        let mut stretches = vec![in_zone(self.zone(here), self.metres(self.zone(here)) / 2.0)];
        while here != self.start {
            let (zone, passage) = self.before[here.index()]?;
            stretches.push(through(&self.map.passages[passage]));
            let share = if zone == self.start { 0.5 } else { 1.0 };
            stretches.push(in_zone(self.zone(zone), self.metres(self.zone(zone)) * share));
            here = zone;
        }
        stretches.reverse();
        Some(stretches)
    }

    fn zone(&self, index: NodeIndex) -> &Zone {
        &self.map.zones[index.index()]
    }

    fn metres(&self, zone: &Zone) -> f64 {
        zone.metres * self.map.stretch(zone)
    }
}

/// How long a way is in a vehicle of medium size, in tenths of a millimetre: for choosing between ways, so that the
/// size class changes lengths and never places.
pub fn medium_length(map: &ZoneMap, way: &[Stretch]) -> u64 {
    let stretch = |place: &Place| match place {
        Place::Zone(zone) => map.zone(zone).map_or(1.0, |zone| map.stretch(zone)),
        Place::Passage(_) => 1.0,
    };
    way.iter().map(|part| tenths_of_a_millimetre(part.metres.0 / stretch(&part.place))).sum()
}

/// Nodes are the zones in the order of the map, edges the passages. Costs are in tenths of a millimetre: whole
/// numbers, so that equal lengths are equal whatever the order of adding.
fn graph(map: &ZoneMap) -> UnGraph<(), Leg> {
    let mut graph = UnGraph::with_capacity(map.zones.len(), map.passages.len());
    for _ in &map.zones {
        graph.add_node(());
    }
    for (number, passage) in map.passages.iter().enumerate() {
        // A passage into nowhere leads no loom; the shipped maps have none.
        if let [Some(one), Some(other)] = passage.between.each_ref().map(|id| position(map, id)) {
            let halves = (map.zones[one.index()].metres + map.zones[other.index()].metres) / 2.0;
            let cost = tenths_of_a_millimetre(passage.metres + passage.detour_m + halves);
            graph.add_edge(one, other, Leg { passage: number, cost });
        }
    }
    graph
}

/// The neighbour and the passage through which the cheapest way comes. Of equal ones the first in the order of
/// the map: always the same one, hence a tree.
fn step_before(graph: &UnGraph<(), Leg>, cost: &[Option<u64>], here: NodeIndex) -> Option<(NodeIndex, usize)> {
    let total = cost[here.index()]?;
    graph
        .edges(here)
        .filter(|edge| cost[edge.target().index()].is_some_and(|before| before + edge.weight().cost == total))
        .map(|edge| (edge.target(), edge.weight().passage))
        .min()
}

fn position(map: &ZoneMap, id: &ZoneId) -> Option<NodeIndex> {
    let zone = &map.zone(id)?.id;
    map.zones.iter().position(|other| other.id == *zone).map(NodeIndex::new)
}

/// At least one, so that every step costs something and the ways form a tree.
fn tenths_of_a_millimetre(metres: f64) -> u64 {
    // A cast from float to integer saturates, and makes 0 of what is no number.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = (metres * 10_000.0).round() as u64;
    whole.clamp(1, u64::from(u32::MAX))
}

fn in_zone(zone: &Zone, metres: f64) -> Stretch {
    Stretch { place: Place::Zone(zone.id.clone()), metres: Metres(metres) }
}

fn through(passage: &Passage) -> Stretch {
    Stretch { place: Place::Passage(passage.id.clone()), metres: Metres(passage.metres) }
}
