//! How often do the chances that it tells come true, and how many minutes does its order save? 10,000 invented jobs on the
//! practice van, with faults as the model takes them to be and with faults that it misjudges by 2 and by 4.
//!
//! Not shown: real vehicles. Faults and observations are drawn from the program's own assumptions, or from assumptions
//! that are off by a stated factor.
#![allow(clippy::unwrap_used, clippy::expect_used, missing_docs)]

#[path = "../tests/dice/mod.rs"]
mod dice;
#[path = "../tests/simulated/mod.rs"]
mod simulated;

use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::CircuitFile;
use loomwalk::circuit::fuse::TouchModel;
use loomwalk::search::electrics::Electrics;
use loomwalk::search::plan::Search;
use loomwalk::search::prior::prior;
use loomwalk::search::suspects::Suspects;
use loomwalk::vehicle::body::fit;
use simulated::{Dice, WAYS, World, simulate};

const JOBS: usize = 10_000;

fn main() {
    let file: CircuitFile = serde_json::from_str(include_str!("../assets/demo/van.circuit.json")).unwrap();
    let map = fit(&file.vehicle);
    let harness = expand(&file, &map);
    let search = Search::of_circuit(&file, &harness, &map.map);
    let prior = prior(search.points(), &harness, &Suspects::of(&file, &harness));
    let electrics = Electrics::new(&harness, &file.fuse, TouchModel::of(file.touch));
    let world = World::new(search, &harness, prior, electrics);
    let mut dice = Dice(2026);
    for factor in [1.0, 2.0, 4.0] {
        let truth = world.misjudged(factor, &mut dice);
        let outcome = simulate(&world, &truth, JOBS, &mut dice);
        println!("{JOBS} jobs, faults misjudged by up to ×{factor}");
        for (way, minutes) in WAYS.into_iter().zip(outcome.minutes) {
            println!(
                "  {way:?}: found after {minutes:.1} min on average, {:.2} times the plan's",
                minutes / outcome.minutes[0]
            );
        }
        println!("  expected calibration error {:.2} points", outcome.calibration_error() * 100.0);
        for (times, told, came_true) in outcome.reliability() {
            println!("    told {:5.1} %  came true {:5.1} %  ({times} times)", told * 100.0, came_true * 100.0);
        }
    }
}
