//! How long does it take to solve a circuit and know what a short at every node would draw?
//!
//! Far larger than any circuit on one fuse, which has ten to a hundred nodes: it shows how the work grows. Lines that
//! begin with `measured` are held against benches/budget.toml by `cargo xtask bench`; beside them stands what a circuit
//! simulator takes, which solves each short anew.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

#[path = "../tests/dice/mod.rs"]
mod dice;
#[path = "../tests/looms/mod.rs"]
mod looms;

use looms::ngspice::{self, Question};
use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::network::solve;
use loomwalk::units::Ohms;

/// How often each figure is taken. The fastest counts: what else the machine does can only slow it.
const TIMES: usize = 21;
/// Runs of the simulator that are measured: all that were needed would take most of an hour.
const SIMULATED: usize = 5;

fn main() {
    divan::main();
    // `cargo bench` says so; a test run has no use for figures.
    if std::env::args().any(|argument| argument == "--bench") {
        print_measured();
    }
}

fn tree(nodes: usize) -> Harness {
    looms::radial(1, nodes * 10 / 26)
}

fn meshes(nodes: usize) -> Harness {
    let mut loom = looms::tangled(1, nodes * 10 / 29, nodes / 50);
    loom.source.live_when.clear();
    loom
}

fn print_measured() {
    let [small, large, meshes] = [tree(1_000), tree(10_000), meshes(10_000)];
    // In turn, so that what else the machine does falls on all alike.
    let turns: Vec<[Duration; 3]> = (0..TIMES)
        .map(|_| {
            [&small, &large, &meshes].map(|loom| {
                time(|| {
                    let _ = divan::black_box(all_shorts(loom));
                })
            })
        })
        .collect();
    let [of_small, of_large, of_meshes] =
        [0, 1, 2].map(|at| fastest(turns.iter().map(|turn| turn[at]).collect()).as_secs_f64() * 1e3);
    println!("measured shorts_at_10000_nodes_of_a_tree {of_large:.2} ms");
    println!("measured shorts_at_10000_nodes_with_loops {of_meshes:.2} ms");
    println!("measured tree_of_10000_over_tree_of_1000 {:.2} times", of_large / of_small);
    print_simulator(&large, of_large);
}

/// What ngspice takes for the same answers, if it is installed.
fn print_simulator(loom: &Harness, ours_ms: f64) {
    let asked = Command::new("ngspice").arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
    if !asked.is_ok_and(|status| status.success()) {
        println!("ngspice is not installed here, so nothing is compared with it");
        return;
    }
    let shorts = loom.nodes.len() - 1;
    let state = looms::state(&["key_on"]);
    let one_run = |turn: usize| {
        let short = Some((NodeIx(1 + turn * (shorts - 1) / (SIMULATED - 1)), 0.01));
        let deck = ngspice::deck(&[Question { loom, state: &state, short }]);
        time(|| drop(ngspice::run_ngspice(&deck)))
    };
    let one = fastest((0..SIMULATED).map(one_run).collect()).as_secs_f64();
    println!(
        "{shorts} shorts: {ours_ms:.1} ms here; ngspice, one run a short with its start and reading: {one:.2} s a run \
         (the fastest of {SIMULATED} that were measured), so {:.0} min for all (scaled, not measured)",
        one * shorts as f64 / 60.0
    );
}

fn time(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

fn fastest(times: Vec<Duration>) -> Duration {
    times.into_iter().min().unwrap()
}

/// The sum of the fuse currents with a short at each node in turn.
fn all_shorts(loom: &Harness) -> f64 {
    let Ok(solved) = solve(loom, &looms::state(&["key_on"])) else { return f64::NAN };
    (1..loom.nodes.len()).map(|node| solved.fuse_current_with_short(NodeIx(node), Ohms(0.01)).0).sum()
}

/// About the wanted number of nodes: an invented load brings 2.6 or, where circuits are tangled, 2.9.
#[divan::bench(args = [100, 1_000, 10_000])]
fn radial_with_a_short_at_every_node(bencher: divan::Bencher<'_, '_>, nodes: usize) {
    let loom = tree(nodes);
    bencher.bench(|| all_shorts(divan::black_box(&loom)));
}

/// The same with one closed loop for every fifty nodes, switches, common returns and dead ends.
#[divan::bench(args = [100, 1_000, 10_000])]
fn tangled_with_a_short_at_every_node(bencher: divan::Bencher<'_, '_>, nodes: usize) {
    let loom = meshes(nodes);
    bencher.bench(|| all_shorts(divan::black_box(&loom)));
}
