//! Does any circuit file that the check lets through bring down what comes after it?
//!
//! Every input goes the way of a circuit file: check, expansion, zone map, network, shorts, meter, plan. An answer holds only
//! numbers.

use loomwalk::circuit::file::CircuitFile;
use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::meter::meter;
use loomwalk::circuit::story::story;
use loomwalk::circuit::unplug::pluggable;
use loomwalk::circuit::{expand, fault, network};
use loomwalk::ids::Condition;
use loomwalk::search::plan::{Search, Walk};
use loomwalk::search::short;
use loomwalk::vehicle::body::map_for;

use super::only_numbers;

/// Conditions that are set one by one, beside none and all: a file may name hundreds.
const ALONE: usize = 3;
/// Points that are asked what a short there would do.
const POINTS: usize = 2;

/// Whether it was read.
pub fn read(bytes: &[u8]) -> bool {
    let Some(file) = super::circuit::checked(bytes) else { return false };
    judge(&file);
    true
}

fn judge(file: &CircuitFile) {
    let map = map_for(file.vehicle.body, file.vehicle.drive_side);
    let harness = expand::expand(file, &map);
    let states = states(file);
    for state in &states {
        electrics(&harness, file, state);
    }
    // With everything on, once: it computes the circuit anew for each thing that can be unplugged.
    let unplugged: Vec<_> = pluggable(&harness).into_iter().take(1).collect();
    if let Ok(shown) = meter(&harness, &states[1], &unplugged) {
        only_numbers(&shown);
    }
    let search = Search::new(&harness, &map.map, &file.fuse);
    let plan = search.plan(&[], &Walk::default());
    only_numbers(&plan);
    let all = plan.points.iter().map(|point| point.probability).sum::<f64>() + plan.not_listed;
    assert!((all - 1.0).abs() < 1e-9, "the chances sum to {all}");
    for point in search.points().iter().take(POINTS) {
        short::at_point(&harness, &file.fuse, point, &states[1]);
    }
}

/// None, all, and the first few one by one.
fn states(file: &CircuitFile) -> Vec<Vec<Condition>> {
    let lists = file.switches.iter().map(|switch| &switch.closed_when);
    let lists = lists.chain(file.loads.iter().map(|load| &load.live_when)).chain([&file.fuse.live_when]);
    let mut named: Vec<Condition> = lists.flatten().cloned().collect();
    named.sort();
    named.dedup();
    let alone = named.iter().take(ALONE).map(|condition| vec![condition.clone()]);
    [Vec::new(), named.clone()].into_iter().chain(alone).collect()
}

/// What cannot be computed is told; what is told is finite.
fn electrics(harness: &Harness, file: &CircuitFile, state: &[Condition]) {
    match network::solve(harness, state) {
        Ok(solved) => {
            let supply = file.supply.volts * (1.0 + 1e-6);
            for node in (0..harness.nodes.len()).map(NodeIx) {
                let volts = solved.volts(node).0;
                assert!((-1e-6 * supply..=supply).contains(&volts), "{volts} V at {}", harness.nodes[node.0].id);
            }
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
    let fuse = &file.fuse;
    for ohms in [0.0, fault::default_fault_ohms()] {
        if let Ok(found) = fault::faults(harness, fuse.rating_a, fuse.style, state, ohms) {
            only_numbers(&found);
        }
    }
    if let Ok(told) = story(harness, state, &[]) {
        only_numbers(&told);
    }
}
