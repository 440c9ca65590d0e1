//! What does a short do, run by run, and does the answer have the shape that was promised (03-formats §2)?

use crate::looms::{Build, bare, radial, state, states, tangled};
use loomwalk::circuit::fault::{Faults, RunEffect, Verdict, effects, faults, touched};
use loomwalk::circuit::file::{Fuse, FuseStyle, LoadKind, TouchLengths};
use loomwalk::circuit::fuse::TouchModel;
use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::meter;
use loomwalk::units::Ohms;
use proptest::prelude::*;

fn fuse(rating_a: f64) -> Fuse {
    serde_json::from_value(serde_json::json!({ "rating_a": rating_a })).unwrap()
}

/// A splice with a lamp that is always lit and, behind a switch that closes in reverse, another on a long thin wire.
fn van() -> Harness {
    let mut loom = bare();
    let (splice, contact) = (loom.joint(), loom.joint());
    loom.wire(NodeIx::FUSE, splice, 1.8, 0.75);
    let (feed, return_) = loom.load(14.4, Vec::new());
    loom.wire(splice, feed, 2.5, 0.5);
    loom.wire(return_, NodeIx::GROUND, 0.3, 0.5);
    loom.switch(splice, contact, state(&["reverse"]), 0.005);
    let (feed, return_) = loom.load(6.857, Vec::new());
    loom.wire(contact, feed, 8.0, 0.35);
    loom.lead(return_, NodeIx::GROUND);
    loom
}

fn verdicts(found: &Faults) -> Vec<(&str, Verdict)> {
    found.runs.iter().map(|run| (run.id.as_str(), run.verdict)).collect()
}

#[test]
fn longer_touches_open_the_fuse_more_surely_and_the_circuits_own_lengths_are_taken() {
    let ask = |stated| touched(&van(), &fuse(15.0), stated, &state(&["reverse"]), 0.01).unwrap();
    let shipped = ask(None);
    assert_eq!((shipped.shortest_s, shipped.longest_s, shipped.stated), (0.002, 2.0, false));
    let long = ask(Some(TouchLengths { shortest_s: 0.02, longest_s: 20.0 }));
    assert_eq!((long.shortest_s, long.longest_s, long.stated), (0.02, 20.0, true));
    for (short, long) in shipped.runs.iter().zip(&long.runs) {
        assert!(short.near <= long.near && short.far <= long.far, "{short:?} {long:?}");
        assert!([short.near, short.far, long.near, long.far].iter().all(|chance| (0.0..=1.0).contains(chance)));
    }
    // By hand: the far end of the long thin wire draws some 25 A, 1.7 times the rating, where the window is 0.22 to 30 s:
    // touches of 2 ms at most never reach it.
    let far = |found: &loomwalk::circuit::fault::Touched| found.runs[3].far;
    assert!(far(&shipped) > 0.0 && far(&long) > far(&shipped), "{} {}", far(&shipped), far(&long));
    assert_eq!(far(&ask(Some(TouchLengths { shortest_s: 0.0001, longest_s: 0.002 }))), 0.0);
    // What the search takes is the same, run by run.
    let of_search = effects(&van(), &fuse(15.0), &TouchModel::stated(), &state(&["reverse"])).unwrap();
    for run in &shipped.runs {
        let same = of_search.iter().find(|effect| effect.id == run.id).unwrap();
        assert_eq!((run.near, run.far), (same.near.touch_opens, same.far.touch_opens), "{}", run.id);
    }
}

#[test]
fn each_run_gets_the_verdict_of_where_it_lies() {
    let dark = faults(&van(), 15.0, FuseStyle::Blade, &[], 0.01).unwrap();
    let expected = [("r0", Verdict::Opens), ("r1", Verdict::Opens), ("r2", Verdict::Holds), ("r3", Verdict::NotLive)];
    assert_eq!(verdicts(&dark), expected, "the lead is not listed");
    let reversing = faults(&van(), 15.0, FuseStyle::Blade, &state(&["reverse"]), 0.01).unwrap();
    assert_eq!(verdicts(&reversing)[3], ("r3", Verdict::Opens));
    assert!(reversing.no_fault_fuse_a > dark.no_fault_fuse_a);
    // A worse touch at the end of 8 m of 0.35 mm² leaves some 17 A, at which a 15 A fuse need not open.
    let touch = faults(&van(), 15.0, FuseStyle::Blade, &state(&["reverse"]), 0.3).unwrap();
    assert_eq!(verdicts(&touch)[3], ("r3", Verdict::MayOpen));
}

#[test]
fn the_answer_has_the_shape_that_was_promised() {
    let found = faults(&van(), 15.0, FuseStyle::Blade, &state(&["key_on"]), 0.01).unwrap();
    let mut json = serde_json::to_value(&found).unwrap();
    json["runs"].as_array_mut().unwrap().truncate(1);
    for end in ["near", "far"] {
        for figure in ["volts", "fuse_a", "ratio"] {
            let rounded = (json["runs"][0][end][figure].as_f64().unwrap() * 100.0).round() / 100.0;
            json["runs"][0][end][figure] = rounded.into();
        }
    }
    let drawn = (json["no_fault_fuse_a"].as_f64().unwrap() * 100.0).round() / 100.0;
    json["no_fault_fuse_a"] = drawn.into();
    expect_test::expect![[r#"
        {
          "format": "loomwalk/faults",
          "version": 1,
          "state": [
            "key_on"
          ],
          "fault_ohms": 0.01,
          "no_fault_fuse_a": 0.87,
          "runs": [
            {
              "id": "r0",
              "near": {
                "node": "fuse",
                "volts": 12.58,
                "fuse_a": 362.14,
                "ratio": 24.14,
                "open_s": [
                  0.0,
                  0.1
                ]
              },
              "far": {
                "node": "j2",
                "volts": 12.54,
                "fuse_a": 165.42,
                "ratio": 11.03,
                "open_s": [
                  0.0,
                  0.1
                ]
              },
              "verdict": "opens"
            }
          ],
          "warnings": [
            {
              "kind": "fuse_too_large",
              "runs": [
                "r0",
                "r1"
              ],
              "text": "The 15 A fuse is too large for r1, its thinnest wire (0.50 mm²): it holds 16.5 A without end and the wire carries 10.7 A. A poor short or an overload can overheat it and the fuse stays whole. This wire suits a fuse of at most 9.8 A."
            }
          ]
        }"#]]
    .assert_eq(&serde_json::to_string_pretty(&json).unwrap());
}

#[test]
fn the_far_end_of_a_long_thin_wire_is_less_likely_to_open_the_fuse() {
    let found = effects(&van(), &fuse(15.0), &TouchModel::stated(), &state(&["reverse"])).unwrap();
    assert_eq!(found.len(), van().runs.len(), "one entry a run, leads too");
    let long = &found[3];
    assert!(long.live && !long.behind_load && long.verdict == Verdict::Opens);
    assert!(long.near.touch_opens > 5.0 * long.far.touch_opens && long.far.touch_opens > 0.0, "{long:?}");
    let return_ = &found[2];
    assert!(return_.live && return_.behind_load && return_.far.touch_opens == 0.0);
    assert_eq!(return_.near.touch_opens, 0.0);
}

#[test]
fn a_run_without_voltage_cannot_open_anything() {
    let RunEffect { live, near, far, .. } = effects(&van(), &fuse(15.0), &TouchModel::stated(), &[]).unwrap().remove(3);
    assert!(!live && near.touch_opens == 0.0 && far.touch_opens == 0.0);
    let mut unfed = van();
    unfed.source.live_when = state(&["key_on"]);
    let found = faults(&unfed, 15.0, FuseStyle::Blade, &state(&["reverse"]), 0.0).unwrap();
    assert!(found.runs.iter().all(|run| run.verdict == Verdict::NotLive && run.near.fuse_a == 0.0));
}

#[test]
fn thin_wire_behind_a_large_fuse_does_not_survive_it() {
    let mut loom = bare();
    let (feed, return_) = loom.load(14.4, Vec::new());
    loom.wire(NodeIx::FUSE, feed, 4.0, 0.35);
    loom.lead(return_, NodeIx::GROUND);
    let survives = |rating| effects(&loom, &fuse(rating), &TouchModel::stated(), &[]).unwrap()[0].far.wire_survives;
    assert_eq!(survives(5.0), Some(true));
    assert_eq!(survives(30.0), Some(false));
}

#[test]
fn a_meter_through_lamps_reads_low_and_says_which_lamp() {
    let mut loom = van();
    loom.loads[1].kind = LoadKind::FilamentLamp;
    let reading = meter::reading(&loom, &state(&["reverse"])).unwrap();
    // 8 m of 0.35 mm² and a filament of a twelfth of 6.857 Ω, beside 14.4 Ω.
    let lamp = 0.005 + 8.0 * 0.017_241 / 0.35 + 6.857 / 12.0;
    let other = 14.4 + 2.8 * 0.017_241 / 0.5;
    let trunk = 1.8 * 0.017_241 / 0.75;
    let expected = trunk + lamp * other / (lamp + other);
    assert!((reading.all.unwrap().value - expected).abs() < 1e-9, "{reading:?}");
    let without: Vec<f64> = reading.without.iter().map(|without| without.reading.unwrap().value).collect();
    assert!((without[0] - (trunk + lamp)).abs() < 1e-9 && (without[1] - (trunk + other)).abs() < 1e-9);
    loom.loads.truncate(1);
    assert_eq!(
        meter::reading(&loom, &[]).unwrap().without[0].reading,
        None,
        "an open circuit has no resistance to read"
    );
}

#[test]
fn a_wrong_rating_or_short_is_told_and_not_computed() {
    let message = |rating, ohms| faults(&van(), rating, FuseStyle::Blade, &[], ohms).unwrap_err().to_string();
    assert_eq!(message(0.0, 0.01), "fuse.rating_a is 0: enter the rating printed on the fuse, in amperes");
    assert_eq!(message(15.0, -1.0), "the short's resistance is -1 Ω: state a finite number of 0 or more");
    assert!(message(15.0, f64::NAN).contains("NaN"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_figure_is_finite_and_every_verdict_follows_from_its_windows(
        seed in any::<u64>(), loads in 1_usize..25, at in 0_usize..8, short in prop_oneof![Just(0.0), 0.001..50.0_f64],
        rating in prop::sample::select(vec![2.0, 7.5, 15.0, 40.0])
    ) {
        let (loom, state) = (tangled(seed, loads, 3), states()[at].clone());
        let found = faults(&loom, rating, FuseStyle::Mini, &state, short).unwrap();
        let text = serde_json::to_string(&found).unwrap();
        prop_assert_eq!(&serde_json::from_str::<Faults>(&text).unwrap(), &found, "a NaN would come back as null");
        prop_assert_eq!(found.runs.len(), loom.runs.iter().filter(|run| !run.lead).count());
        for run in &found.runs {
            let ends = [&run.near, &run.far];
            for end in ends {
                prop_assert!(end.volts >= 0.0 && end.volts <= 12.6 * (1.0 + 1e-12));
                prop_assert!(end.fuse_a >= found.no_fault_fuse_a * (1.0 - 1e-12), "a short never lowers the draw");
                prop_assert!((end.ratio - end.fuse_a / rating).abs() < 1e-12);
            }
            match run.verdict {
                Verdict::Opens => prop_assert!(ends.iter().all(|end| end.open_s.1.is_some())),
                Verdict::Holds => prop_assert!(ends.iter().all(|end| end.open_s.0 >= 360_000.0)),
                Verdict::NotLive => prop_assert!(ends.iter().all(|end| end.volts == 0.0)),
                Verdict::MayOpen => prop_assert!(ends.iter().any(|end| end.open_s.1.is_none() || end.open_s.0 < 360_000.0)),
            }
        }
    }

    #[test]
    fn a_run_that_no_path_joins_to_the_supply_is_not_live(seed in any::<u64>(), loads in 1_usize..20) {
        let mut loom = radial(seed, loads);
        let (a, b) = (loom.joint(), loom.joint());
        let apart = loom.run(a, b, 0.1);
        // Ground does not carry the supply: a wire that hangs on it alone is dead.
        let on_ground = loom.run(b, NodeIx::GROUND, 0.1);
        let found = effects(&loom, &fuse(10.0), &TouchModel::stated(), &[]).unwrap();
        for at in [apart, on_ground] {
            prop_assert_eq!(found[at].verdict, Verdict::NotLive);
        }
        prop_assert!(found[..apart].iter().all(|effect| effect.verdict != Verdict::NotLive));
    }

    #[test]
    fn a_touch_of_more_resistance_never_draws_more(seed in any::<u64>(), loads in 1_usize..20, low in 0.0..1.0_f64, more in 0.0..5.0_f64) {
        let loom = tangled(seed, loads, 2);
        let solved = loomwalk::circuit::network::solve(&loom, &state(&["key_on"])).unwrap();
        for node in (1..loom.nodes.len()).map(NodeIx) {
            let (hard, soft) = (Ohms(low), Ohms(low + more));
            prop_assert!(solved.fuse_current_with_short(node, soft) <= solved.fuse_current_with_short(node, hard));
        }
    }
}
