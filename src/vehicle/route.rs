//! Which way does a wire go? The cheapest way through zones and passages, and the others that it may have taken.
//!
//! The cost of a way is its metres, plus the metres that a loom would rather go round than through an unusual
//! passage ([`Passage::detour_m`](super::body::Passage::detour_m)). It is that of a vehicle of medium size, so that looms
//! go the same way in a longer one, and only their metres grow ([`ZoneMap::stretch`]). All ways from one place form a
//! tree.

use std::cell::OnceCell;
use std::collections::BTreeSet;

use petgraph::algo::dijkstra;
use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

use super::body::ZoneMap;
use crate::circuit::harness::{Place, Stretch};
use crate::gather::Gather as _;
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

/// The cheapest way that goes through all of these places, in this order, and through no place twice. `None`: there is
/// none, or it names a place that this map does not have.
pub fn way_via(map: &ZoneMap, from: &ZoneId, via: &[Place], to: &ZoneId) -> Option<Vec<Stretch>> {
    let places = Places::of(map);
    let start = places.zone(from)?;
    let mut stops: Vec<usize> = via.iter().map(|place| places.place(place)).collect::<Option<_>>()?;
    stops.push(places.zone(to)?);
    let mut walked = vec![start];
    for (at, &stop) in stops.iter().enumerate() {
        let here = *walked.last()?;
        // Later stops are kept free: a way through one of them now would come through it twice.
        let later = &stops[at + 1..];
        let closed = |place: usize| place != here && (walked.contains(&place) || later.contains(&place));
        let on = places.ways(here, |edge| !edge.iter().any(|&place| closed(place))).nodes(stop)?;
        walked.extend(on.into_iter().skip(1));
    }
    Some(stretches(map, &walked))
}

/// The ways between two zones that a wire may have taken in place of the cheapest one: for each place on that one, the
/// cheapest way that avoids it. The shortest first, each with the places that tell it from the others: [`way_via`]
/// those makes the same way again.
pub fn other_ways(map: &ZoneMap, from: &ZoneId, to: &ZoneId) -> Vec<OtherWay> {
    let places = Places::of(map);
    let (Some(start), Some(end)) = (places.zone(from), places.zone(to)) else { return Vec::new() };
    let Some(usual) = places.ways(start, |_| true).nodes(end) else { return Vec::new() };
    let inner = usual.iter().skip(1).take(usual.len().saturating_sub(2));
    let avoiding = |shut: usize| {
        let ways = places.ways(start, |edge| !edge.contains(&shut));
        Some((ways.cost(end)?, ways.nodes(end)?))
    };
    let others: BTreeSet<(u64, Vec<usize>)> = inner.filter_map(|&shut| avoiding(shut)).gather();
    let tell = |nodes: Vec<usize>| {
        let way = stretches(map, &nodes);
        let own: Vec<usize> = nodes.iter().copied().filter(|place| !usual.contains(place)).collect();
        // One place is enough if the way through it is this one; the middle of what is its own tells best.
        let one = own.get(own.len() / 2).map(|&place| vec![name(map, place)]);
        let all = own.iter().map(|&place| name(map, place)).collect();
        let made = |via: &Vec<Place>| way_via(map, from, via, to).as_ref() == Some(&way);
        one.into_iter().chain([all]).find(made).map(|via| OtherWay { via, way })
    };
    others.into_iter().filter_map(|(_, nodes)| tell(nodes)).collect()
}

/// A way that a wire may have taken.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherWay {
    /// The places that tell it from the others.
    pub via: Vec<Place>,
    /// All of it.
    pub way: Vec<Stretch>,
}

/// The cheapest ways from a zone to all others, found at once. `None`: nobody knows the zone.
pub fn ways_from<'m>(map: &'m ZoneMap, from: &ZoneId) -> Option<Ways<'m>> {
    let places = Places::of(map);
    let start = places.zone(from)?;
    Some(places.ways(start, |_| true))
}

/// A zone and a passage at it, by number, and half of what a loom in each of them costs.
pub(super) type Edge = ([usize; 2], u64);

/// The places of a map by number, its zones in their order, then its passages; and what joins them.
#[derive(Debug, Clone)]
pub(super) struct Places<'m> {
    map: &'m ZoneMap,
    pub(super) edges: Vec<Edge>,
}

impl<'m> Places<'m> {
    pub(super) fn of(map: &'m ZoneMap) -> Self {
        let position = |id: &ZoneId| map.zones.iter().position(|zone| zone.id == *id);
        let mut edges = Vec::with_capacity(2 * map.passages.len());
        for (number, passage) in map.passages.iter().enumerate() {
            // A passage into nowhere leads no loom; the shipped maps have none.
            let [Some(one), Some(other)] = passage.between.each_ref().map(position) else { continue };
            let half = (passage.metres + passage.detour_m) / 2.0;
            for zone in [one, other] {
                let cost = tenths_of_a_millimetre(half + map.zones[zone].metres / 2.0);
                edges.push(([zone, map.zones.len() + number], cost));
            }
        }
        Self { map, edges }
    }

    /// The same places, joined by some of the edges only.
    pub(super) fn joined_by(&self, edges: Vec<Edge>) -> Self {
        Self { map: self.map, edges }
    }

    pub(super) fn count(&self) -> usize {
        self.map.zones.len() + self.map.passages.len()
    }

    pub(super) fn zone(&self, id: &ZoneId) -> Option<usize> {
        zone(self.map, id)
    }

    fn place(&self, place: &Place) -> Option<usize> {
        match place {
            Place::Zone(zone) => self.zone(zone),
            Place::Passage(id) => {
                let at = self.map.passages.iter().position(|passage| passage.id == *id)?;
                Some(self.map.zones.len() + at)
            }
        }
    }

    /// The cheapest ways from a place, over the edges that are open.
    pub(super) fn ways(&self, start: usize, open: impl Fn(&[usize; 2]) -> bool) -> Ways<'m> {
        let mut graph = UnGraph::<(), u64>::with_capacity(self.count(), self.edges.len());
        for _ in 0..self.count() {
            graph.add_node(());
        }
        for ([zone, passage], cost) in self.edges.iter().filter(|(edge, _)| open(edge)) {
            graph.add_edge(NodeIndex::new(*zone), NodeIndex::new(*passage), *cost);
        }
        let reached = dijkstra(&graph, NodeIndex::new(start), None, |edge| *edge.weight());
        let cost: Vec<Option<u64>> = graph.node_indices().map(|place| reached.get(&place).copied()).collect();
        // Of equally cheap neighbours the one that comes from the first zone in the order of the map: always the same
        // one, hence a tree.
        let comes_by = |at: usize, to: NodeIndex| graph.neighbors(NodeIndex::new(at)).filter(|from| *from != to).min();
        let before = |place: NodeIndex| {
            let total = cost[place.index()]?;
            let comes_from = |at: &usize, by: u64| cost[*at].is_some_and(|before| before + by == total);
            let edges = graph.edges(place).map(|edge| (edge.target().index(), *edge.weight()));
            let cheapest = edges.filter(|(at, by)| comes_from(at, *by)).map(|(at, _)| at);
            cheapest.min_by_key(|&at| (comes_by(at, place), at))
        };
        let before = graph.node_indices().map(before).collect();
        Ways { map: self.map, start, cost, before }
    }
}

/// The cheapest ways from every zone, found when they are first asked for: from most of them nobody asks.
#[derive(Debug, Clone)]
pub(super) struct WaysOf<'m> {
    pub(super) places: Places<'m>,
    by_zone: Vec<OnceCell<Ways<'m>>>,
}

impl<'m> WaysOf<'m> {
    pub(super) fn new(places: Places<'m>) -> Self {
        let by_zone = vec![OnceCell::new(); places.map.zones.len()];
        Self { places, by_zone }
    }

    pub(super) fn from(&self, zone: usize) -> &Ways<'m> {
        self.by_zone[zone].get_or_init(|| self.places.ways(zone, |_| true))
    }
}

/// The cheapest ways from one zone.
#[derive(Debug, Clone)]
pub struct Ways<'m> {
    map: &'m ZoneMap,
    start: usize,
    cost: Vec<Option<u64>>,
    /// For each place, the one through which its way comes; none at the start and where no way leads.
    before: Vec<Option<usize>>,
}

impl Ways<'_> {
    /// The way to a zone, from the start on. `None`: a zone that nobody knows, or no way there.
    pub fn to(&self, to: &ZoneId) -> Option<Vec<Stretch>> {
        Some(stretches(self.map, &self.nodes(zone(self.map, to)?)?))
    }

    /// What the way to a zone costs, in tenths of a millimetre: as [`super::loom::Loom::cost`].
    pub fn cost_to(&self, to: &ZoneId) -> Option<u64> {
        self.cost(zone(self.map, to)?)
    }

    pub(super) fn cost(&self, to: usize) -> Option<u64> {
        self.cost[to]
    }

    /// The places on the way, from the start on.
    pub(super) fn nodes(&self, to: usize) -> Option<Vec<usize>> {
        let mut nodes = vec![to];
        let mut here = to;
        while here != self.start {
            here = self.before[here]?;
            nodes.push(here);
        }
        nodes.reverse();
        Some(nodes)
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

fn zone(map: &ZoneMap, id: &ZoneId) -> Option<usize> {
    let zone = &map.zone(id)?.id;
    map.zones.iter().position(|other| other.id == *zone)
}

fn name(map: &ZoneMap, place: usize) -> Place {
    match place.checked_sub(map.zones.len()) {
        None => Place::Zone(map.zones[place].id.clone()),
        Some(passage) => Place::Passage(map.passages[passage].id.clone()),
    }
}

/// Places in a row as stretches of a loom: half of the zones at the ends.
fn stretches(map: &ZoneMap, nodes: &[usize]) -> Vec<Stretch> {
    let metres = |place: usize| match place.checked_sub(map.zones.len()) {
        None => map.zones[place].metres * map.stretch(&map.zones[place]),
        Some(passage) => map.passages[passage].metres,
    };
    let stretch = |place: usize, metres| Stretch { place: name(map, place), metres: Metres(metres) };
    if let [one] = nodes {
        return vec![stretch(*one, (metres(*one) / 2.0).max(SHORTEST_M))];
    }
    let share = |at: usize| if at == 0 || at + 1 == nodes.len() { 0.5 } else { 1.0 };
    nodes.iter().enumerate().map(|(at, &place)| stretch(place, metres(place) * share(at))).collect()
}

/// Whole numbers, so that equal lengths are equal whatever the order of adding. At least one, so that every step costs
/// something and the ways form a tree.
fn tenths_of_a_millimetre(metres: f64) -> u64 {
    // A cast from float to integer saturates, and makes 0 of what is no number.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = (metres * 10_000.0).round() as u64;
    whole.clamp(1, u64::from(u32::MAX))
}
