//! In which order are nodes eliminated, so that little is filled in?

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Most pairs of neighbours that may be joined while ordering. A loom of thousands of wires needs a few thousand.
const MOST_PAIRS: usize = 5_000_000;

/// The node at which elimination became too much work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tangled(pub usize);

/// Minimum-degree order: next comes the node with the fewest neighbours, and those become neighbours of each other.
///
/// A tree is eaten from its leaves and fills in nothing. Ties go to the lower node, so the order is stable.
/// `edges` may hold the same pair more than once.
pub(super) fn minimum_degree(nodes: usize, edges: impl Iterator<Item = (usize, usize)>) -> Result<Vec<usize>, Tangled> {
    let mut neighbours = neighbours(nodes, edges);
    // A node waits once for each number of neighbours that it has had: only the entry with the present one counts.
    let mut waiting: BinaryHeap<Reverse<(usize, usize)>> =
        neighbours.iter().enumerate().map(|(node, near)| Reverse((near.len(), node))).collect();
    let mut done = vec![false; nodes];
    let mut order = Vec::with_capacity(nodes);
    let mut pairs = 0_usize;
    let mut merged = Vec::new();
    while let Some(Reverse((degree, node))) = waiting.pop() {
        if done[node] || degree != neighbours[node].len() {
            continue;
        }
        pairs = pairs.saturating_add(degree.saturating_mul(degree));
        if pairs > MOST_PAIRS {
            return Err(Tangled(node));
        }
        done[node] = true;
        order.push(node);
        let near = std::mem::take(&mut neighbours[node]);
        for &other in &near {
            let theirs = &mut neighbours[other];
            let before = theirs.len();
            merge(theirs, &near, &mut merged);
            merged.retain(|&third| third != node && third != other);
            std::mem::swap(theirs, &mut merged);
            if theirs.len() != before {
                waiting.push(Reverse((theirs.len(), other)));
            }
        }
    }
    Ok(order)
}

/// Each node's neighbours, sorted, each once.
fn neighbours(nodes: usize, edges: impl Iterator<Item = (usize, usize)>) -> Vec<Vec<usize>> {
    let mut neighbours = vec![Vec::new(); nodes];
    for (a, b) in edges {
        neighbours[a].push(b);
        neighbours[b].push(a);
    }
    for near in &mut neighbours {
        near.sort_unstable();
        near.dedup();
    }
    neighbours
}

/// Puts into `merged` what is in either of two sorted lists, each once. Passing over sorted lists is what makes the
/// order quick: sets that are looked up node by node took ten times as long.
fn merge(mut a: &[usize], mut b: &[usize], merged: &mut Vec<usize>) {
    merged.clear();
    merged.reserve(a.len() + b.len());
    while let (Some(first), Some(second)) = (a.first(), b.first()) {
        merged.push(*first.min(second));
        (a, b) = (&a[usize::from(first <= second)..], &b[usize::from(second <= first)..]);
    }
    merged.extend_from_slice(a);
    merged.extend_from_slice(b);
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn order(nodes: usize, edges: &[(usize, usize)]) -> Result<Vec<usize>, Tangled> {
        minimum_degree(nodes, edges.iter().copied())
    }

    #[test]
    fn a_tree_is_eaten_from_its_leaves() {
        let order = order(6, &[(0, 1), (1, 2), (1, 3), (3, 4), (3, 5)]).unwrap();
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
        assert!(order(300, &edges).is_err());
    }
}
