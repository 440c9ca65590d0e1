//! Where along a run does a short stop opening the fuse? Against solving anew with the run cut in two at that place.

use crate::looms::ngspice::{Question, apart, ask_ngspice};
use crate::looms::{Build, bare, state, states, tangled};
use loomwalk::circuit::fault::{RunStretches, Verdict, faults, over_blows, stretches};
use loomwalk::circuit::file::FuseStyle;
use loomwalk::circuit::harness::{Harness, NodeIx, Place};
use loomwalk::circuit::network::solve;
use loomwalk::units::Ohms;
use proptest::prelude::*;

/// The harness with a run cut in two at a share of it, and the node there.
fn cut(loom: &Harness, run: usize, x: f64) -> (Harness, NodeIx) {
    let mut cut = loom.clone();
    let node = cut.joint();
    let (ohms, to) = (cut.runs[run].ohms.0, cut.runs[run].to);
    (cut.runs[run].ohms, cut.runs[run].to) = (Ohms(ohms * x), node);
    cut.run(node, to, ohms * (1.0 - x));
    (cut, node)
}

/// A switch in reverse, then 12 m of 0.35 mm² to a small load.
fn long() -> Harness {
    let mut loom = bare();
    let contact = loom.joint();
    loom.switch(NodeIx::FUSE, contact, state(&["reverse"]), 0.005);
    let (feed, return_) = loom.load(1200.0, Vec::new());
    let run = loom.wire(contact, feed, 12.0, 0.35);
    loom.runs[run].path[0].metres = loom.runs[run].length;
    loom.lead(return_, NodeIx::GROUND);
    loom
}

#[test]
fn the_fuse_current_with_a_short_inside_a_run_agrees_with_ngspice() {
    let mut worst = 0.0_f64;
    let mut compared = 0;
    for seed in 0..12 {
        let (loom, state) = (tangled(seed, 12, 6), state(&["key_on", "reverse", "lamps_on"]));
        let solved = solve(&loom, &state).unwrap();
        let runs: Vec<usize> = (0..loom.runs.len()).filter(|at| !loom.runs[*at].lead).collect();
        let places: Vec<(usize, f64)> =
            runs.iter().map(|run| (*run, 0.1 + 0.8 * (*run as f64 * 0.37).fract())).collect();
        let cuts: Vec<(Harness, NodeIx)> = places.iter().map(|(run, x)| cut(&loom, *run, *x)).collect();
        let questions: Vec<Question<'_>> =
            cuts.iter().map(|(loom, node)| Question { loom, state: &state, short: Some((*node, 0.05)) }).collect();
        for ((run, x), (_, theirs)) in places.iter().zip(ask_ngspice(&questions)) {
            let ours = solved.along(*run, &loom.runs[*run]).fuse_current_with_short(*x, Ohms(0.05)).0;
            worst = worst.max(apart(ours, theirs));
            compared += 1;
        }
    }
    assert!(compared > 200, "{compared}");
    assert!(worst < 1e-6, "{compared} places, worst {worst}");
}

#[test]
fn on_a_long_thin_wire_the_change_is_where_the_current_falls_to_the_gate() {
    // A 15 A fuse must open from 20.25 A on and holds up to 16.5 A. By hand: 12.6 V over 24.8 mΩ, 5 mΩ and 0.3 Ω
    // leave the wire's 49.26 mΩ/m to make up the rest.
    let found = faults(&long(), 15.0, FuseStyle::Blade, &state(&["reverse"]), 0.3).unwrap();
    let changes = &found.runs[0].changes_at;
    assert_eq!(
        changes.iter().map(|change| (change.before, change.after)).collect::<Vec<_>>(),
        [(Verdict::Opens, Verdict::MayOpen), (Verdict::MayOpen, Verdict::Holds)]
    );
    for (change, amps) in changes.iter().zip([20.25, 16.5]) {
        let per_metre = 0.017_241 / 0.35;
        let metres = (12.6 / amps - 0.0248 - 0.005 - 0.3) / per_metre;
        // The load beside the short takes some 4 mA.
        assert!((change.at_m - metres).abs() < 0.01, "{} {metres}", change.at_m);
        assert_eq!(change.place, Some(Place::Zone("dash_left".into())));
    }
    let bolted = faults(&long(), 5.0, FuseStyle::Blade, &state(&["reverse"]), 0.0).unwrap();
    assert_eq!(bolted.runs[0].changes_at, [], "it opens a 5 A fuse all along");
}

#[test]
fn a_place_must_explain_every_blow() {
    let loom = long();
    let blows = [state(&["reverse"]), state(&["reverse", "key_on"])];
    let both = over_blows(&loom, 15.0, FuseStyle::Blade, &blows, 0.3).unwrap();
    assert_eq!(both.runs, stretches(&loom, 15.0, FuseStyle::Blade, &blows[0], 0.3).unwrap());
    let with_a_dead_one = over_blows(&loom, 15.0, FuseStyle::Blade, &[blows[0].clone(), Vec::new()], 0.3).unwrap();
    let verdicts: Vec<Verdict> = with_a_dead_one.runs[0].stretches.iter().map(|part| part.verdict).collect();
    assert_eq!(verdicts, [Verdict::NotLive], "no voltage in the second blow: it is not there");
    assert!(over_blows(&loom, 15.0, FuseStyle::Blade, &[], 0.3).unwrap().runs.is_empty());
}

/// The verdict at a place of a run.
fn at(run: &RunStretches, metres: f64) -> Verdict {
    run.stretches.iter().find(|part| metres <= part.to_m).unwrap().verdict
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_verdict_anywhere_on_a_run_is_that_of_the_run_cut_there(
        seed in any::<u64>(), loads in 1_usize..15, which in 0_usize..8, x in 0.01..0.99_f64,
        run in any::<prop::sample::Index>(), short in prop_oneof![Just(0.0), 0.001..5.0_f64],
        rating in prop::sample::select(vec![2.0, 7.5, 15.0, 40.0])
    ) {
        let (loom, state) = (tangled(seed, loads, 4), states()[which].clone());
        let found = stretches(&loom, rating, FuseStyle::Blade, &state, short).unwrap();
        let wires: Vec<usize> = (0..loom.runs.len()).filter(|at| !loom.runs[*at].lead).collect();
        let which = run.index(wires.len());
        let run = &found[which];
        prop_assert_eq!(run.stretches[0].from_m, 0.0);
        prop_assert_eq!(run.stretches.last().unwrap().to_m, loom.runs[wires[which]].length.0);
        prop_assert!(run.stretches.windows(2).all(|pair| pair[0].to_m == pair[1].from_m && pair[0].verdict != pair[1].verdict));
        let (cut, node) = cut(&loom, wires[which], x);
        let solved = solve(&cut, &state).unwrap();
        let ratio = solved.fuse_current_with_short(node, Ohms(short)).0 / rating;
        // At a gate itself the last digit decides.
        prop_assume!((ratio / 1.1 - 1.0).abs() > 1e-6 && (ratio / 1.35 - 1.0).abs() > 1e-6);
        let expected = match ratio {
            _ if !solved.is_live(node) => Verdict::NotLive,
            _ if ratio <= 1.1 => Verdict::Holds,
            _ if ratio >= 1.35 => Verdict::Opens,
            _ => Verdict::MayOpen,
        };
        prop_assert_eq!(at(run, x), expected, "{} {:?}", ratio, run);
    }

    #[test]
    fn over_several_blows_every_place_keeps_its_weakest_verdict(
        seed in any::<u64>(), loads in 1_usize..12, blows in prop::collection::vec(0_usize..8, 1..4), x in 0.0..1.0_f64
    ) {
        let loom = tangled(seed, loads, 3);
        let blows: Vec<_> = blows.into_iter().map(|at| states()[at].clone()).collect();
        let over = over_blows(&loom, 10.0, FuseStyle::Mini, &blows, 0.4).unwrap();
        let each: Vec<_> = blows.iter().map(|blow| stretches(&loom, 10.0, FuseStyle::Mini, blow, 0.4).unwrap()).collect();
        for (which, run) in over.runs.iter().enumerate() {
            let weakest = each.iter().map(|runs| at(&runs[which], x)).reduce(Verdict::weaker).unwrap();
            prop_assert_eq!(at(run, x), weakest);
        }
    }
}
