//! Does what is dead fit the open fuse?

use crate::looms::{Build, Dice, bare, state, states, tangled};
use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::network::{Solved, holds, solve};
use loomwalk::circuit::story::{MisfitKind, Said, Story, story};
use loomwalk::ids::LoadId;
use loomwalk::units::Ohms;
use proptest::prelude::*;

/// A lamp that is always lit, one in reverse, and one that waits for a door's contact on its ground side.
fn van() -> Harness {
    let mut loom = bare();
    for closed_when in [&[][..], &["reverse"]] {
        let (feed, return_) = loom.load(12.0, Vec::new());
        loom.switch(NodeIx::FUSE, feed, state(closed_when), 0.005);
        loom.run(return_, NodeIx::GROUND, 0.05);
    }
    let (feed, return_) = loom.load(12.0, Vec::new());
    loom.run(NodeIx::FUSE, feed, 0.05);
    loom.switch(return_, NodeIx::GROUND, state(&["door_open"]), 0.005);
    for (load, label) in loom.loads.iter_mut().zip(["Load-area lamp", "Reversing lamp", "Step lamp"]) {
        load.label = label.to_owned();
    }
    loom
}

fn told(holds: &[&str], dead: &[&str], alive: &[&str]) -> Story {
    let said = |dead: bool| move |what: &&str| Said { what: (*what).to_owned(), dead };
    let said: Vec<Said> = dead.iter().map(said(true)).chain(alive.iter().map(said(false))).collect();
    story(&van(), &state(holds), &said).unwrap()
}

#[test]
fn what_is_dead_and_should_be_fits() {
    let fits = told(&["reverse"], &["l0", "l1"], &["radio"]);
    assert_eq!(fits.should_be_dead, ["l0", "l1"].map(LoadId::from), "the step lamp waits for the door");
    assert_eq!(fits.fits, ["l0", "l1", "radio"]);
    assert!(fits.extra_dead.is_empty() && fits.extra_alive.is_empty() && fits.unsaid.is_empty());
    assert_eq!(fits.meaning, "What is dead fits this fuse.");
    assert_eq!(told(&["reverse"], &["l0"], &[]).unsaid, [LoadId::from("l1")]);
}

#[test]
fn each_misfit_says_what_it_would_mean() {
    let odd = told(&["reverse"], &["l0", "l2", "radio"], &["l1"]);
    let all: Vec<_> = odd.extra_dead.iter().chain(&odd.extra_alive).collect();
    assert_eq!(
        all.iter().map(|misfit| (misfit.what.as_str(), misfit.why)).collect::<Vec<_>>(),
        [
            ("l2", MisfitKind::OffInThisState),
            ("radio", MisfitKind::NotOnThisCircuit),
            ("l1", MisfitKind::FedByThisFuse)
        ]
    );
    let words: Vec<&str> = all.iter().map(|misfit| misfit.meaning.as_str()).chain([odd.meaning.as_str()]).collect();
    expect_test::expect![[r#"
        Step lamp is off in this state also with a whole fuse: that it is dead says nothing. Switch it on and try again.
        radio is dead and not on this circuit: it is fed by this fuse too and missing from the list (then its wires are missing from the search), or it has a fault of its own or another open fuse.
        Reversing lamp works though this fuse should feed it: it has another feed, and then its wires do not belong to this search; or this fuse is not the one that is open.
        Some is dead that this fuse does not feed, and some works that it does: it may be another fuse. Check the list.
    "#]].assert_eq(&(words.join("\n") + "\n"));
}

#[test]
fn a_load_that_is_off_by_itself_is_not_dead_by_the_fuse() {
    let mut loom = van();
    loom.loads[0].live_when = state(&["wipers"]);
    let said = [Said { what: "l0".to_owned(), dead: true }];
    let off = story(&loom, &[], &said).unwrap();
    assert_eq!((off.should_be_dead.len(), off.extra_dead[0].why), (0, MisfitKind::OffInThisState));
    assert_eq!(story(&loom, &state(&["wipers"]), &said).unwrap().fits, ["l0"]);
}

#[test]
fn the_whole_is_summed_up() {
    for (holds, dead, alive, meaning) in [
        (&["reverse"][..], &[][..], &["l0", "l1"][..], "this fuse is whole, or it is not the fuse of these loads"),
        (&["reverse"], &["radio"], &[], "look for the fuse that feeds it"),
        (&["reverse"], &["l0", "radio"], &[], "the list may lack a load"),
        (&["reverse"], &["l0"], &["l1"], "the list has loads that another fuse feeds"),
        (&["reverse"], &[], &[], "Nothing was said yet"),
        (&["reverse"], &["l2"], &["radio"], "Nothing was said yet"),
    ] {
        let found = told(holds, dead, alive).meaning;
        assert!(found.contains(meaning), "{dead:?} {alive:?}: {found}");
    }
    let mut unfed = van();
    unfed.source.live_when = state(&["key_on"]);
    let found = story(&unfed, &[], &[Said { what: "l0".to_owned(), dead: true }]).unwrap();
    assert!(found.meaning.starts_with("In this state the fuse feeds nothing"));
    let both = told(&[], &["l0"], &["l0"]);
    assert_eq!((both.extra_alive.len(), both.extra_alive[0].why), (1, MisfitKind::SaidBoth));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_fuse_that_is_really_open_tells_a_story_without_misfits(seed in any::<u64>(), loads in 1_usize..15, at in 0_usize..8) {
        let (loom, state) = (tangled(seed, loads, 3), states()[at].clone());
        // The open fuse as 1 MΩ, which leaves a load some millivolts at most: what no longer works is what it fed.
        let mut open = loom.clone();
        open.source.fuse_ohms = Ohms(1e6);
        let (whole, open) = (solve(&loom, &state).unwrap(), solve(&open, &state).unwrap());
        // Volts that do something: a load that is off has the voltage too.
        let volts = |solved: &Solved, at: usize| {
            let load = &loom.loads[at];
            if holds(&load.live_when, &state) { solved.load_volts(load).0.abs() } else { 0.0 }
        };
        let mut dice = Dice(seed);
        let said: Vec<Said> = (0..loom.loads.len())
            .filter(|at| volts(&whole, *at) > 0.01 || volts(&whole, *at) < 1e-6)
            .map(|at| (at, volts(&whole, at) > 0.01 && volts(&open, at) < 0.01))
            // Of what is off anyway nobody says that it is dead.
            .filter(|(_, dead)| *dead || dice.chance(0.5))
            .map(|(at, dead)| Said { what: loom.loads[at].id.to_string(), dead })
            .collect();
        let found = story(&loom, &state, &said).unwrap();
        prop_assert!(found.extra_dead.is_empty() && found.extra_alive.is_empty(), "{found:?}");
        prop_assert_eq!(found.fits.len(), said.len());
        for Said { what, dead } in &said {
            prop_assert_eq!(*dead, found.should_be_dead.iter().any(|id| id.as_str() == what));
        }
    }
}
