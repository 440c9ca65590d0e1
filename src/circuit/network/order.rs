//! In which order are nodes eliminated, so that little is filled in?

use std::collections::BTreeSet;

/// Most pairs of neighbours that may be joined while ordering. A loom of thousands of wires needs a few thousand.
const MOST_PAIRS: usize = 5_000_000;

/// The node at which elimination became too much work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tangled(pub usize);

/// Minimum-degree order: next comes the node with the fewest neighbours, and those become neighbours of each other.
///
/// A tree is eaten from its leaves and fills in nothing. Ties go to the lower node, so the order is stable.
pub(super) fn minimum_degree(mut neighbours: Vec<BTreeSet<usize>>) -> Result<Vec<usize>, Tangled> {
    let mut waiting: BTreeSet<(usize, usize)> =
        neighbours.iter().enumerate().map(|(node, near)| (near.len(), node)).collect();
    let mut order = Vec::with_capacity(neighbours.len());
    let mut pairs = 0_usize;
    while let Some((degree, node)) = waiting.pop_first() {
        pairs = pairs.saturating_add(degree.saturating_mul(degree));
        if pairs > MOST_PAIRS {
            return Err(Tangled(node));
        }
        order.push(node);
        let near = std::mem::take(&mut neighbours[node]);
        for &other in &near {
            let theirs = &mut neighbours[other];
            waiting.remove(&(theirs.len(), other));
            theirs.remove(&node);
            theirs.extend(near.iter().copied().filter(|&third| third != other));
            waiting.insert((theirs.len(), other));
        }
    }
    Ok(order)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn graph(nodes: usize, edges: &[(usize, usize)]) -> Vec<BTreeSet<usize>> {
        let mut neighbours = vec![BTreeSet::new(); nodes];
        for &(a, b) in edges {
            neighbours[a].insert(b);
            neighbours[b].insert(a);
        }
        neighbours
    }

    #[test]
    fn a_tree_is_eaten_from_its_leaves() {
        let order = minimum_degree(graph(6, &[(0, 1), (1, 2), (1, 3), (3, 4), (3, 5)])).unwrap();
        let at = |node| order.iter().position(|&other| other == node).unwrap();
        // No node goes while two of its neighbours are left: then nothing fills in.
        assert!(at(2) < at(1) || at(0) < at(1));
        for (node, near) in [(1, vec![0, 2, 3]), (3, vec![1, 4, 5])] {
            assert!(near.iter().filter(|&&other| at(other) > at(node)).count() <= 1, "{order:?}");
        }
    }

    #[test]
    fn a_knot_of_everything_with_everything_is_refused_and_not_endured() {
        let edges: Vec<(usize, usize)> = (0..300).flat_map(|a| (0..a).map(move |b| (a, b))).collect();
        assert!(minimum_degree(graph(300, &edges)).is_err());
    }
}
