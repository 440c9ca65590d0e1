//! Where does the loom lie that joins several places? What runs together shares one way.
//!
//! Wires do not each take the shortest way: they are bound into one loom, which is laid so that it is short in all.
//! That is a Steiner tree over zones and passages. It is found by the iterated heuristic of Alexander & Robins (1996):
//! join all places by a minimum spanning tree over their cheapest ways (Kou, Markowsky & Berman 1981), then let the
//! loom branch, one after the other, at whichever further zone shortens it most. It is never longer than the cheapest
//! ways of all places, each for itself.

use std::collections::BTreeSet;

use petgraph::unionfind::UnionFind;

use super::body::ZoneMap;
use super::route::{Edge, Places, WaysOf};
use crate::circuit::harness::Stretch;
use crate::gather::{Gather as _, Order as _};
use crate::ids::ZoneId;

/// The loom that joins some zones of a map: a tree, so there is just one way between any two of them.
#[derive(Debug, Clone)]
pub struct Loom<'m> {
    /// Over the edges of the loom only.
    ways: WaysOf<'m>,
}

impl<'m> Loom<'m> {
    /// The loom that joins these zones, in whatever order they are named. Left out are zones that nobody knows, and
    /// those to which no way leads from the first in the order of the map.
    pub fn joining<'z>(map: &'m ZoneMap, zones: impl IntoIterator<Item = &'z ZoneId>) -> Self {
        let places = Places::of(map);
        let wanted: BTreeSet<usize> = zones.into_iter().filter_map(|zone| places.zone(zone)).gather();
        let wanted: Vec<usize> = wanted.into_iter().collect();
        match wanted.as_slice() {
            [] | [_] => Self { ways: WaysOf::new(places.joined_by(Vec::new())) },
            _ => Search::new(map, places).loom(wanted),
        }
    }

    /// The way between two zones within the loom. `None`: it does not reach both.
    pub fn way(&self, from: &ZoneId, to: &ZoneId) -> Option<Vec<Stretch>> {
        self.ways.from(self.ways.places.zone(from)?).to(to)
    }

    /// What the loom costs: its metres, with half of each zone at an end, and those by which it would rather go round;
    /// in tenths of a millimetre.
    pub fn cost(&self) -> u64 {
        self.ways.places.edges.iter().map(|(_, cost)| cost).sum()
    }
}

/// Two places by number, and what the way between them costs.
type Pair = (u64, usize, usize);

/// The map with the cheapest ways from its zones.
struct Search<'m> {
    ways: WaysOf<'m>,
    /// Zones where more than two ways meet: a loom gains nothing by branching elsewhere.
    forks: Vec<usize>,
}

impl<'m> Search<'m> {
    fn new(map: &ZoneMap, places: Places<'m>) -> Self {
        let meet = |zone: usize| places.edges.iter().filter(|(edge, _)| edge[0] == zone).count();
        let forks = (0..map.zones.len()).filter(|&zone| meet(zone) > 2).collect();
        Self { ways: WaysOf::new(places), forks }
    }

    fn loom(&self, mut nodes: Vec<usize>) -> Loom<'m> {
        nodes.retain({
            let first = nodes.first().copied();
            move |&zone| first.is_some_and(|first| self.ways.from(first).cost(zone).is_some())
        });
        let wanted = nodes.clone();
        let mut ways = self.spanning(&nodes);
        // Each round shortens the loom, so the rounds come to an end.
        loop {
            let with = |fork: usize| {
                let with: Vec<usize> = nodes.iter().copied().chain([fork]).collect();
                let ways = self.spanning(&with);
                (total(&ways), with, ways)
            };
            let forks = self.forks.iter().copied().filter(|fork| !nodes.contains(fork));
            let best = forks.map(with).min_by(|one, other| (one.0, &one.1).cmp(&(other.0, &other.1)));
            match best {
                Some((cost, with, shorter)) if cost < total(&ways) => (nodes, ways) = (with, shorter),
                _ => break,
            }
        }
        self.tree(&ways, &wanted)
    }

    /// The cheapest ways that join all nodes (Kruskal). Of equal ones the first in the order of the map.
    fn spanning(&self, nodes: &[usize]) -> Vec<Pair> {
        let after = |at: usize| nodes[at + 1..].iter().copied();
        let pairs = nodes.iter().enumerate().flat_map(|(at, &one)| after(at).map(move |other| (one, other)));
        let mut pairs: Vec<Pair> = pairs
            .filter_map(|(one, other)| Some((self.ways.from(one).cost(other)?, one.min(other), one.max(other))))
            .collect();
        pairs.order_by(Ord::cmp);
        let mut joined = UnionFind::new(self.ways.places.count());
        pairs.retain(|&(_, one, other)| joined.union(one, other));
        pairs
    }

    /// The loom along those ways. They may share parts or close a ring: a spanning tree of their edges does neither.
    fn tree(&self, ways: &[Pair], wanted: &[usize]) -> Loom<'m> {
        let nodes = ways.iter().filter_map(|&(_, one, other)| self.ways.from(one).nodes(other));
        // A way goes by zone, passage, zone; an edge stands as zone and passage.
        let walked: BTreeSet<[usize; 2]> = nodes
            .flat_map(|nodes| {
                nodes.windows(2).map(|pair| [pair[0].min(pair[1]), pair[0].max(pair[1])]).collect::<Vec<_>>()
            })
            .gather();
        let mut edges: Vec<Edge> =
            self.ways.places.edges.iter().filter(|(edge, _)| walked.contains(edge)).copied().collect();
        edges.order_by_key(|(edge, cost)| (*cost, *edge));
        let mut joined = UnionFind::new(self.ways.places.count());
        edges.retain(|&([zone, passage], _)| joined.union(zone, passage));
        prune(&mut edges, wanted);
        Loom { ways: WaysOf::new(self.ways.places.joined_by(edges)) }
    }
}

fn total(ways: &[Pair]) -> u64 {
    ways.iter().map(|(cost, ..)| cost).sum()
}

/// Takes off the ends that nobody wanted.
fn prune(edges: &mut Vec<Edge>, wanted: &[usize]) {
    loop {
        let at_end = |place: usize| edges.iter().filter(|(edge, _)| edge.contains(&place)).count() == 1;
        let loose = |edge: &[usize; 2]| edge.iter().any(|&place| !wanted.contains(&place) && at_end(place));
        match edges.iter().position(|(edge, _)| loose(edge)) {
            Some(at) => drop(edges.remove(at)),
            None => return,
        }
    }
}
