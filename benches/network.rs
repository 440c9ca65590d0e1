//! How long does it take to solve a circuit and know what a short at every node would draw?
//!
//! Far larger than any circuit on one fuse, which has ten to a hundred nodes: it shows how the work grows.

#[path = "../tests/looms/mod.rs"]
mod looms;

use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::network::solve;
use loomwalk::units::Ohms;

fn main() {
    divan::main();
}

/// The sum of the fuse currents with a short at each node in turn.
fn all_shorts(loom: &Harness) -> f64 {
    let Ok(solved) = solve(loom, &looms::state(&["key_on"])) else { return f64::NAN };
    (1..loom.nodes.len()).map(|node| solved.fuse_current_with_short(NodeIx(node), Ohms(0.01)).0).sum()
}

/// About the wanted number of nodes: an invented load brings 2.6 or, where circuits are tangled, 2.9.
#[divan::bench(args = [100, 1_000, 10_000])]
fn radial_with_a_short_at_every_node(bencher: divan::Bencher<'_, '_>, nodes: usize) {
    let loom = looms::radial(1, nodes * 10 / 26);
    bencher.bench(|| all_shorts(divan::black_box(&loom)));
}

/// The same with one closed loop for every fifty nodes, switches, common returns and dead ends.
#[divan::bench(args = [100, 1_000, 10_000])]
fn tangled_with_a_short_at_every_node(bencher: divan::Bencher<'_, '_>, nodes: usize) {
    let mut loom = looms::tangled(1, nodes * 10 / 29, nodes / 50);
    loom.source.live_when.clear();
    bencher.bench(|| all_shorts(divan::black_box(&loom)));
}
