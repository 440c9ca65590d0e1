//! Does the drawn tree agree with the solver and with the plan? Current and chance are kept from branch to branch.

use std::collections::BTreeSet;

use crate::looms::{radial, states, tangled};
use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::live::live_runs;
use loomwalk::circuit::network::solve;
use loomwalk::circuit::tree::tree;
use loomwalk::search::branch::chances;
use loomwalk::search::plan::{Search, Walk};
use loomwalk::vehicle::fit::map_for;

#[test]
fn in_a_radial_circuit_a_branch_carries_what_the_solver_finds_in_its_wires() {
    let mut compared = 0;
    for seed in 0..24 {
        let loom = radial(seed, 5 + seed as usize);
        let solved = solve(&loom, &[]).unwrap();
        for branch in tree(&loom, &[]).unwrap() {
            for run in &branch.runs {
                let current = solved.run_current(&loom.runs[*run]).unwrap().0;
                assert!((current - branch.current.0).abs() < 1e-6 * current.abs().max(1e-3), "loom {seed}, run {run}");
                compared += 1;
            }
        }
    }
    assert!(compared > 300, "{compared}");
}

#[test]
fn every_wire_that_can_be_live_is_held_by_one_branch_and_no_other_wire_is() {
    for seed in 0..200 {
        let loom = tangled(seed, 3 + seed as usize % 20, 3);
        let branches = tree(&loom, &states()[seed as usize % 8]).unwrap();
        let mut held = vec![0; loom.runs.len()];
        branches.iter().flat_map(|branch| &branch.runs).for_each(|run| held[*run] += 1);
        let live = live_runs(&loom, |_| true, &BTreeSet::new());
        let ground = |run: usize| [loom.runs[run].from, loom.runs[run].to].contains(&NodeIx::GROUND);
        for (run, live) in live.into_iter().enumerate().filter(|(run, _)| !ground(*run)) {
            assert_eq!(held[run], usize::from(live), "loom {seed}, run {run}");
        }
    }
}

fn practice() -> (Harness, Search) {
    let file = check::read(include_bytes!("../assets/demo/van.circuit.json")).unwrap();
    let map = map_for(file.vehicle.body, file.vehicle.drive_side);
    let harness = expand(&file, &map);
    let search = Search::new(&harness, &map.map, &file.fuse);
    (harness, search)
}

#[test]
fn the_chance_of_all_branches_at_the_fuse_is_all_that_is_on_listed_places() {
    let (harness, search) = practice();
    let plan = search.plan(&[], &Walk::default());
    let branches = tree(&harness, &[]).unwrap();
    let chances = chances(&branches, search.points(), &plan.points);
    let at_fuse: f64 = branches.iter().zip(&chances).filter(|(branch, _)| branch.from.is_none()).map(|(_, c)| c).sum();
    assert!((at_fuse + plan.not_listed - 1.0).abs() < 1e-9, "{at_fuse} and {}", plan.not_listed);
    for (branch, chance) in branches.iter().zip(&chances) {
        assert!(branch.from.is_none_or(|from| *chance <= chances[from] + 1e-12), "{}", branch.label);
    }
}
