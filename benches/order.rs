//! How long do the order and a whole plan take as they grow?
//!
//! Not shown: reading files, expansion, and the phone, which is several times slower than this machine.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

#[path = "../tests/small_van/mod.rs"]
mod small_van;

use divan::{Bencher, black_box};
use loomwalk::circuit::file::MarkKind;
use loomwalk::circuit::harness::HarnessMark;
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use loomwalk::search::order::{Forest, StepIx};
use loomwalk::search::plan::{Search, Walk};
use loomwalk::units::Metres;
use small_van::{FUSE, harness, map, small};

fn main() {
    divan::main();
}

/// Numbers that look random and are the same each time (Knuth's multiplicative hashing).
fn scattered(seed: usize) -> f64 {
    (seed as u32).wrapping_mul(2_654_435_761) as f64 / f64::from(u32::MAX)
}

/// A forest in which each step hangs under one that came before, every tenth under none.
fn forest(steps: usize) -> Forest {
    let mut forest = Forest::default();
    let mut added: Vec<StepIx> = Vec::new();
    for seed in 0..steps {
        let under = (scattered(3 * seed) * seed as f64) as usize;
        let after = added.get(under).filter(|_| seed % 10 != 0).copied();
        added.push(forest.add(1.0 + scattered(3 * seed + 1), scattered(3 * seed + 2), after));
    }
    forest
}

#[divan::bench(args = [1_000, 10_000, 100_000])]
fn order(bencher: Bencher, steps: usize) {
    let forest = forest(steps);
    bencher.bench(|| black_box(&forest).order());
}

#[divan::bench(args = [1_000, 10_000, 100_000])]
fn order_of_a_chain(bencher: Bencher, steps: usize) {
    let mut forest = Forest::default();
    let mut before = None;
    for seed in 0..steps {
        before = Some(forest.add(1.0 + scattered(2 * seed), scattered(2 * seed + 1), before));
    }
    bencher.bench(|| black_box(&forest).order());
}

/// The small van with its wires marked in so many places.
fn marked(points: usize) -> Search {
    let mut harness = harness();
    let live = 6;
    harness.marks = (0..points)
        .map(|seed| {
            let run = seed % live;
            let at = harness.runs[run].length.0 * (seed + 1) as f64 / (points + 1) as f64;
            let kind = MarkKind::TouchesMetal;
            HarnessMark { id: format!("m{seed}").as_str().into(), run, at: Metres(at), kind, note: String::new() }
        })
        .collect();
    Search::new(&harness, &map(), &FUSE)
}

/// As it is after an hour's work: blows, minutes, something unplugged, looks and presses.
fn evidence(search: &Search) -> Vec<Observation> {
    let state = |names: &[&str]| names.iter().map(|name| (*name).into()).collect::<Vec<_>>();
    let (motion, heat) = (Motion::Rough, Heat::Warm);
    let mut items = vec![
        Observation::Blow { state: state(&["key_on"]), motion, heat },
        Observation::Blow { state: state(&["key_on", "reverse"]), motion: Motion::Smooth, heat },
        Observation::Held { state: state(&["key_on"]), motion, heat, minutes: 40.0 },
        Observation::Unplugged {
            node: Some("c1".into()),
            load: None,
            blew: false,
            state: state(&["key_on"]),
            minutes: 10.0,
        },
    ];
    for point in search.points().iter().step_by(50) {
        items.push(Observation::Look { point: point.id.clone(), seen: Seen::Sound });
        let press =
            Observation::Press { point: point.id.clone(), opened: false, presses: 5, state: state(&["key_on"]) };
        items.push(press);
    }
    items
}

#[divan::bench(args = [500, 10_000])]
fn plan(bencher: Bencher, points: usize) {
    let search = marked(points);
    let evidence = evidence(&search);
    bencher.bench(|| black_box(&search).plan(&evidence, &Walk::default()));
}

#[divan::bench(args = [500, 10_000])]
fn first_plan_of_a_circuit(bencher: Bencher, points: usize) {
    let evidence = evidence(&marked(points));
    bencher.bench(|| marked(points).plan(&evidence, &Walk::default()));
}

#[divan::bench]
fn plan_of_the_small_van(bencher: Bencher) {
    let search = small();
    bencher.bench(|| search.plan(&[], &Walk::default()));
}
