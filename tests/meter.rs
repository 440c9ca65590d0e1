//! Do the figures that a meter should show agree with a circuit simulator and with the laws of circuits?

use crate::looms::ngspice::{Question, apart, ask_ngspice};
use crate::looms::{Build, Dice, bare, radial, state, states, tangled};
use loomwalk::circuit::file::{Fuse, FuseStyle, LoadKind};
use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::meter::{
    Compared, End, FuseDoes, Shown, compare, connected, distance, draw, fed_end, in_turn, measurable, meter, reading,
    stalled, stalled_alone,
};
use loomwalk::circuit::network::{holds, solve};
use loomwalk::circuit::unplug::{self, Unplugged};
use loomwalk::ids::Condition;
use loomwalk::units::{Amps, Ohms, Volts};
use proptest::prelude::*;

/// Largest difference to ngspice, by ratio.
const TOLERANCE: f64 = 1e-6;

const KINDS: [LoadKind; 5] =
    [LoadKind::FilamentLamp, LoadKind::Motor, LoadKind::RelayCoil, LoadKind::Heater, LoadKind::Resistor];

/// Gives every load a class.
fn mixed(mut loom: Harness, seed: u64, kinds: &[LoadKind]) -> Harness {
    let mut dice = Dice(seed);
    loom.loads.iter_mut().for_each(|load| load.kind = kinds[dice.below(kinds.len())]);
    loom
}

/// The same circuit at rest, as reference values §4 and §6 say it: filaments at a twelfth, motors at a sixth.
fn at_rest(loom: &Harness) -> Harness {
    let mut cold = loom.clone();
    cold.source.live_when.clear();
    for load in &mut cold.loads {
        load.ohms.0 /= match load.kind {
            LoadKind::FilamentLamp => 12.0,
            LoadKind::Motor => 6.0,
            _ => 1.0,
        };
    }
    cold
}

fn invented() -> Vec<(Harness, Vec<Condition>)> {
    let loom = |at: u64| {
        let loom = if at.is_multiple_of(2) { radial(at, 3 + at as usize) } else { tangled(at, 3 + at as usize, 3) };
        (mixed(loom, at, &KINDS), states()[at as usize % 8].clone())
    };
    (0..24).map(loom).collect()
}

#[test]
fn what_the_meter_reads_agrees_with_ngspice_with_all_connected_and_without_each_load() {
    let (mut compared, mut worst) = (0, 0.0_f64);
    for (loom, state) in invented() {
        let found = reading(&loom, &state).unwrap();
        let mut circuits = vec![at_rest(&loom)];
        for without in &found.without {
            let Unplugged::Load(id) = &without.unplugged else { continue };
            let mut circuit = at_rest(&loom);
            circuit.loads.retain(|load| load.id != *id);
            circuits.push(circuit);
        }
        let questions: Vec<Question<'_>> =
            circuits.iter().map(|loom| Question { loom, state: &state, short: None }).collect();
        let ours = [found.all].into_iter().chain(found.without.iter().map(|without| without.reading));
        for (ours, (volts, fuse_a)) in ours.zip(ask_ngspice(&questions)) {
            match ours {
                Some(ours) => worst = worst.max(apart(ours.value, volts[NodeIx::FUSE.0] / fuse_a)),
                None => assert!(fuse_a.abs() < 1e-9, "ngspice finds {fuse_a} A where the meter should read open"),
            }
            compared += 1;
        }
    }
    assert!(compared > 150, "{compared}");
    assert!(worst <= TOLERANCE, "{compared} readings, worst {worst}");
}

#[test]
fn what_ngspice_measures_with_a_resistance_beside_the_loads_gives_that_resistance_back() {
    let (mut compared, mut worst) = (0, 0.0_f64);
    for (loom, state) in invented() {
        let expected = connected(&loom, &state).unwrap();
        let cold = at_rest(&loom);
        let source = cold.source.supply_ohms.0 + cold.source.fuse_ohms.0;
        let beside = [0.05, 0.2, 0.4, 2.0];
        let questions = beside.map(|ohms| Question { loom: &cold, state: &state, short: Some((NodeIx::FUSE, ohms)) });
        for (beyond, (_, fuse_a)) in beside.into_iter().zip(ask_ngspice(&questions)) {
            match compare(expected, Shown::Ohms(Ohms(cold.source.volts / fuse_a - source))).unwrap() {
                Compared::Lower(found) => {
                    worst = worst.max(apart(found.ohms.value, beyond));
                    assert!(found.ohms.least <= beyond && beyond <= found.ohms.most);
                    compared += 1;
                }
                other => assert!(other == Compared::Within && expected.unwrap().least < beyond + 0.4, "{other:?}"),
            }
        }
    }
    assert!(compared > 15, "{compared}");
    assert!(worst <= 1e-5, "{compared} readings, worst {worst}");
}

#[test]
fn a_short_is_measured_along_fed_wires_only() {
    let mut loom = bare();
    let splice = loom.joint();
    let (feed, return_) = loom.load(12.0, Vec::new());
    let dead = loom.joint();
    loom.wire(NodeIx::FUSE, splice, 2.0, 1.0);
    loom.wire(splice, feed, 2.0, 1.0);
    loom.wire(return_, NodeIx::GROUND, 1.0, 1.0);
    loom.lead(NodeIx::FUSE, splice);
    loom.switch(splice, dead, state(&["reverse"]), 0.01);
    let end = loom.joint();
    loom.wire(dead, end, 1.0, 1.0);
    let measured = |state: &[Condition]| {
        measurable(&loom, state).unwrap().into_iter().map(|run| run.id.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(measured(&[]), ["r0", "r1"]);
    assert_eq!(measured(&state(&["reverse"])), ["r0", "r1", "r4"]);
}

#[test]
fn draws_and_voltages_at_the_loads_agree_with_ngspice() {
    let invented = invented();
    let questions: Vec<Question<'_>> =
        invented.iter().map(|(loom, state)| Question { loom, state, short: None }).collect();
    let (mut compared, mut worst) = (0, 0.0_f64);
    for ((loom, state), (volts, fuse_a)) in invented.iter().zip(ask_ngspice(&questions)) {
        let found = draw(loom, state).unwrap();
        worst = worst.max(apart(found.fuse_a.value, fuse_a));
        for load in &found.loads {
            let wired = loom.loads.iter().find(|other| other.id == load.id).unwrap();
            let theirs = volts[wired.feed.0] - volts[wired.return_.0];
            // A load that leads nowhere in this state has no voltage; ngspice's way to ground through 1 TΩ leaves it some.
            if theirs.abs() > 1e-6 {
                worst = worst.max(apart(load.volts.value, theirs)).max(apart(load.amps.value, theirs / wired.ohms.0));
                compared += 1;
            } else {
                assert!(load.volts.value.abs() < 1e-6);
            }
            let lost = load.volts.value + load.feed_drop_v + load.return_drop_v;
            assert!((lost - loom.source.volts).abs() < 1e-9, "{lost} V in all");
        }
    }
    assert!(compared > 100, "{compared}");
    assert!(worst <= TOLERANCE, "{compared} loads, worst {worst}");
}

/// Loads that share nothing but the fuse's terminal and the body.
fn star(seed: u64, loads: usize) -> Harness {
    let mut dice = Dice(seed);
    let mut loom = bare();
    for _ in 0..loads {
        let (feed, return_) = loom.load(dice.spread(0.5, 500.0), Vec::new());
        loom.run(NodeIx::FUSE, feed, dice.spread(0.001, 0.3));
        loom.run(return_, NodeIx::GROUND, dice.spread(0.001, 0.1));
    }
    mixed(loom, seed, &KINDS)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn in_a_star_unplugging_a_load_takes_away_its_own_branch_and_nothing_else(seed in any::<u64>(), loads in 2_usize..20) {
        let loom = star(seed, loads);
        let cold = at_rest(&loom);
        let found = reading(&loom, &[]).unwrap();
        let all = 1.0 / found.all.unwrap().value;
        prop_assert_eq!(found.without.len(), loads);
        for (at, without) in found.without.iter().enumerate() {
            let branch = 1.0 / (cold.loads[at].ohms.0 + loom.runs[2 * at].ohms.0 + loom.runs[2 * at + 1].ohms.0);
            let left = 1.0 / without.reading.unwrap().value;
            prop_assert!((all - left - branch).abs() < 1e-9 * all, "{all} {left} {branch}");
        }
    }

    #[test]
    fn no_circuit_inside_the_tolerances_reads_or_draws_outside_the_range(
        seed in any::<u64>(), loads in 1_usize..15, at in 0_usize..8
    ) {
        let loom = mixed(tangled(seed, loads, 3), seed, &KINDS);
        let state = &states()[at];
        let (read, drawn) = (reading(&loom, state).unwrap().all, draw(&loom, state).unwrap());
        let mut dice = Dice(seed);
        for _ in 0..8 {
            let mut off = |by: f64| 1.0 + by * (2.0 * dice.share() - 1.0);
            let mut real = loom.clone();
            real.runs.iter_mut().for_each(|run| run.ohms.0 *= off(0.1));
            real.switches.iter_mut().for_each(|switch| switch.ohms.0 *= off(0.5));
            real.loads.iter_mut().for_each(|load| {
                load.ohms.0 *= off(match load.kind {
                    LoadKind::Motor => 0.2,
                    LoadKind::Resistor => 0.05,
                    _ => 0.1,
                });
            });
            let fuse_a = solve(&real, state).unwrap().fuse_current().0;
            prop_assert!(drawn.fuse_a.least <= fuse_a * (1.0 + 1e-9) && fuse_a <= drawn.fuse_a.most * (1.0 + 1e-9));
            let solved = solve(&at_rest(&real), state).unwrap();
            if let Some(read) = read {
                let ohms = solved.volts(NodeIx::FUSE).0 / solved.fuse_current().0;
                prop_assert!(read.least <= ohms * (1.0 + 1e-9) && ohms <= read.most.unwrap() * (1.0 + 1e-9), "{read:?} {ohms}");
            } else {
                prop_assert_eq!(solved.fuse_current().0, 0.0);
            }
        }
    }

    #[test]
    fn another_load_beside_never_lowers_the_draw_and_never_raises_the_reading(
        seed in any::<u64>(), loads in 1_usize..15, node in any::<prop::sample::Index>(), ohms in 0.5..500.0_f64
    ) {
        let mut loom = mixed(tangled(seed, loads, 3), seed, &KINDS);
        let state = state(&["key_on", "lamps_on"]);
        let (drawn, read) = (draw(&loom, &state).unwrap().fuse_a, reading(&loom, &state).unwrap().all);
        let node = NodeIx(1 + node.index(loom.nodes.len() - 1));
        let (feed, return_) = loom.load(ohms, Vec::new());
        loom.run(node, feed, 0.01);
        loom.run(return_, NodeIx::GROUND, 0.01);
        let more = draw(&loom, &state).unwrap().fuse_a;
        for (before, after) in [(drawn.value, more.value), (drawn.least, more.least), (drawn.most, more.most)] {
            prop_assert!(after >= before * (1.0 - 1e-9), "{before} {after}");
        }
        if let Some(read) = read {
            prop_assert!(reading(&loom, &state).unwrap().all.unwrap().value <= read.value * (1.0 + 1e-9));
        }
    }

    #[test]
    fn whatever_is_unplugged_the_reading_never_falls_and_all_unplugged_reads_open(seed in any::<u64>(), loads in 1_usize..12) {
        let loom = mixed(tangled(seed, loads, 2), seed, &KINDS);
        let state = state(&["key_on", "reverse", "lamps_on"]);
        let all = unplug::pluggable(&loom);
        let turns = in_turn(&loom, &state, &all).unwrap();
        let mut before = reading(&loom, &state).unwrap().all.map_or(f64::INFINITY, |ohms| ohms.value);
        for turn in &turns {
            let after = turn.reading.map_or(f64::INFINITY, |ohms| ohms.value);
            prop_assert!(after >= before * (1.0 - 1e-9), "{before} {after} without {}", turn.unplugged);
            before = after;
        }
        prop_assert_eq!(before, f64::INFINITY);
    }
}

#[test]
fn a_connector_takes_all_behind_it_and_leaves_the_wires_where_they_are() {
    // fuse ─ plug ─┬─ 4 Ω ─ ground
    //              └─ 8 Ω ─ ground, and 16 Ω from the fuse itself.
    let mut loom = bare();
    let plug = loom.joint();
    loom.run(NodeIx::FUSE, plug, 0.1);
    for (from, ohms) in [(plug, 4.0), (plug, 8.0), (NodeIx::FUSE, 16.0)] {
        let (feed, return_) = loom.load(ohms, Vec::new());
        loom.run(from, feed, 0.1);
        loom.lead(return_, NodeIx::GROUND);
    }
    let plug = Unplugged::Node(loom.nodes[plug.0].id.clone());
    let read = in_turn(&loom, &[], std::slice::from_ref(&plug)).unwrap();
    assert!((read[0].reading.unwrap().value - 16.1).abs() < 1e-12, "{read:?}");
    let left = unplug::without(&loom, &plug).unwrap();
    assert_eq!(left.runs.len(), loom.runs.len());
    assert!((draw(&left, &[]).unwrap().fuse_a.value - 12.6 / (16.1 + 0.0248)).abs() < 1e-12);
}

#[test]
fn electronics_may_read_open_and_a_lamp_may_read_a_fifteenth() {
    let mut loom = bare();
    let (feed, return_) = loom.load(12.0, Vec::new());
    loom.lead(NodeIx::FUSE, feed);
    loom.lead(return_, NodeIx::GROUND);
    loom.loads[0].kind = LoadKind::Module;
    let module = reading(&loom, &[]).unwrap().all.unwrap();
    assert_eq!((module.value, module.most), (12.0, None));
    loom.loads[0].kind = LoadKind::FilamentLamp;
    let lamp = reading(&loom, &[]).unwrap().all.unwrap();
    // 12 Ω ± 10 %, over 10 to 15.
    let expected = [1.0, 0.72, 1.32];
    let found = [lamp.value, lamp.least, lamp.most.unwrap()];
    assert!(found.iter().zip(expected).all(|(found, expected)| (found - expected).abs() < 1e-12), "{found:?}");
}

#[test]
fn what_is_not_there_cannot_be_unplugged() {
    let loom = star(1, 2);
    let message = |name: &str| unplug::named(&loom, name).unwrap_err().to_string();
    assert_eq!(
        message("l9"),
        "l9 is neither a load nor a joint of this circuit, so it cannot be unplugged: use an id from its file"
    );
    assert_eq!(message("fuse"), "fuse cannot be unplugged: name a load or a connector");
    let twice = [Unplugged::Load("l0".into()), Unplugged::Load("l0".into())];
    assert!(meter(&loom, &[], &twice).is_err());
    assert!(loom.loads.iter().all(|load| holds(&load.live_when, &[])));
}

#[test]
fn the_voltage_lost_on_the_way_to_a_short_as_ngspice_finds_it_tells_how_far_it_is() {
    // 12.6 V through a lamp of 6.9 Ω in place of the fuse into wires of several sizes, shorted somewhere by 20 mΩ.
    let cases: Vec<(f64, f64, f64)> = [0.35, 0.5, 0.75, 2.5]
        .iter()
        .flat_map(|area| [(4.0, 0.3), (4.0, 3.9), (1.2, 0.6)].map(|(length, at)| (*area, length, at)))
        .collect();
    let shorted = |(area, length, at): &(f64, f64, f64)| {
        let mut loom = bare();
        loom.source.fuse_ohms.0 = 6.9;
        let (short, end) = (loom.joint(), loom.joint());
        loom.wire(NodeIx::FUSE, short, *at, *area);
        loom.wire(short, end, length - at, *area);
        loom.run(short, NodeIx::GROUND, 0.02);
        loom
    };
    let looms: Vec<Harness> = cases.iter().map(shorted).collect();
    let questions: Vec<Question<'_>> = looms.iter().map(|loom| Question { loom, state: &[], short: None }).collect();
    for ((area, length, at), (volts, amps)) in cases.iter().zip(ask_ngspice(&questions)) {
        let mut whole = bare();
        let end = whole.joint();
        whole.wire(NodeIx::FUSE, end, *length, *area);
        let drop = Volts(volts[NodeIx::FUSE.0] - volts[3]);
        let found = distance(&whole.runs[0], End::From, drop, Amps(amps), Volts(0.0)).unwrap();
        assert!((found.metres / at - 1.0).abs() < 1e-6, "{found:?}");
        assert!(found.place.is_some() && !found.beyond_end);
    }
}

#[test]
fn a_wire_that_is_written_from_its_load_to_the_fuse_is_measured_from_the_end_that_is_fed() {
    // 4 m of 0.75 mm², 0.115 V lost at 2 A: 2.5 m from the fuse. With a load behind it, and with nothing.
    for load in [Some(6.0), None] {
        let mut loom = bare();
        let end = loom.joint();
        loom.wire(end, NodeIx::FUSE, 4.0, 0.75);
        if let Some(ohms) = load {
            loom.run(end, NodeIx::GROUND, ohms);
        }
        let run = &loom.runs[0];
        let fed_at = fed_end(&loom, &[], run).unwrap();
        assert_eq!(fed_at, End::To);
        let found = distance(run, fed_at, Volts(0.115), Amps(2.0), Volts(0.001)).unwrap();
        assert!((found.metres - 1.5).abs() < 0.01, "{found:?}");
        let behind = distance(run, fed_at, Volts(0.5), Amps(2.0), Volts(0.001)).unwrap();
        assert!(behind.beyond_end && behind.metres == 0.0, "{behind:?}");
    }
}

proptest! {
    #[test]
    fn the_true_place_is_within_what_the_last_digit_and_the_wire_allow(
        length in 0.2..12.0_f64, at in 0.0..1.0_f64, area in 0.22..6.0_f64, amps in 0.1..20.0_f64,
        off in -0.1..0.1_f64, digit in -0.001..0.001_f64
    ) {
        let mut loom = bare();
        let end = loom.joint();
        loom.wire(NodeIx::FUSE, end, length, area);
        let run = &loom.runs[0];
        let shown = at * run.ohms.0 * (1.0 + off) * amps + digit;
        let found = distance(run, End::From, Volts(shown.max(0.0)), Amps(amps), Volts(0.001)).unwrap();
        prop_assert!((found.metres - at * length).abs() <= found.plus_minus * (1.0 + 1e-9), "{found:?}");
        prop_assert!(!found.beyond_end);
    }
}

#[test]
fn a_distance_that_cannot_be_is_told_and_not_computed() {
    let mut loom = bare();
    let end = loom.joint();
    loom.wire(NodeIx::FUSE, end, 2.0, 0.75);
    loom.lead(NodeIx::FUSE, end);
    let far = distance(&loom.runs[0], End::From, Volts(1.0), Amps(2.0), Volts(0.001)).unwrap();
    assert!(far.beyond_end && far.place.is_none(), "{far:?}");
    let message = |run: usize, drop: f64, amps: f64, digit: f64| {
        distance(&loom.runs[run], End::From, Volts(drop), Amps(amps), Volts(digit)).unwrap_err().to_string()
    };
    expect_test::expect![[r#"
        run r1 is reckoned without length and resistance, so nothing is lost on it: measure along another
        the lost voltage is -1 V: it should be 0 or more and no more than the battery's; if it shows less, swap the meter's leads
        the current is 0 A: it should be above 0, as the ammeter shows it while the voltage is read
        the voltmeter's resolution is NaN V: it should be 0 or more, such as 0.001
    "#]]
    .assert_eq(
        &[
            message(1, 0.1, 2.0, 0.0),
            message(0, -1.0, 2.0, 0.0),
            message(0, 0.1, 0.0, 0.0),
            message(0, 0.1, 2.0, f64::NAN),
            String::new(),
        ]
        .join("\n"),
    );
}

fn fuse(style: FuseStyle, rating_a: f64) -> Fuse {
    Fuse { style, rating_a, ..serde_json::from_value(serde_json::json!({ "rating_a": 1 })).unwrap() }
}

/// A wiper, when it is on, and a lamp beside it, on one wire of 57 mΩ.
fn wiper() -> Harness {
    let mut loom = bare();
    let splice = loom.joint();
    loom.run(NodeIx::FUSE, splice, 0.057);
    for (ohms, kind, live_when) in
        [(2.4, LoadKind::Motor, state(&["key_on", "wipers"])), (14.4, LoadKind::FilamentLamp, Vec::new())]
    {
        let (feed, return_) = loom.load(ohms, live_when);
        loom.lead(splice, feed);
        loom.lead(return_, NodeIx::GROUND);
        loom.loads.last_mut().unwrap().kind = kind;
    }
    loom.source.live_when = state(&["key_on"]);
    loom
}

#[test]
fn a_jammed_motor_draws_what_ohms_law_says_with_its_standstill_and_all_else_running() {
    // By hand: 2.4 Ω running is 0.4 Ω standing still (a sixth); with the lamp lit, 14.4 Ω, beside it 0.38919 Ω; behind
    // 20 + 4.8 + 57 mΩ on 12.6 V that is 26.753 A, 1.78 times 15 A.
    let found = stalled(&wiper(), &fuse(FuseStyle::Blade, 15.0), &state(&["key_on", "wipers"])).unwrap().motors;
    assert_eq!(found.len(), 1, "the lamp is no motor");
    let jam = &found[0];
    assert!((jam.fuse_a.value - 26.753).abs() < 5e-3, "{jam:?}");
    assert!((jam.ratio - 26.753 / 15.0).abs() < 1e-3 && (jam.stalled_ohms.value - 0.4).abs() < 1e-12);
    assert_eq!((jam.stalled_ohms.least, jam.stalled_ohms.most), (2.4 * 0.8 / 10.0, 2.4 * 1.2 / 5.0));
    assert!(jam.fuse_a.least < 20.25 + 2.5 && jam.fuse_a.most > 40.0, "a tenth to a fifth, and the tolerance: {jam:?}");
    assert!(
        stalled(&wiper(), &fuse(FuseStyle::Blade, 15.0), &state(&["key_on"])).unwrap().motors.is_empty(),
        "it is off"
    );
}

#[test]
fn what_the_fuse_does_holds_over_the_whole_range_of_the_jams_current() {
    let on = state(&["key_on", "wipers"]);
    let jam = |style, rating| stalled(&wiper(), &fuse(style, rating), &on).unwrap().motors.remove(0);
    // Some 19 to 47 A: far above 10 A, around the 33 to 40 A at which a 30 A blade begins, and never what 60 A hold.
    assert_eq!(jam(FuseStyle::Blade, 10.0).verdict, FuseDoes::Opens);
    assert_eq!(jam(FuseStyle::Blade, 30.0).verdict, FuseDoes::MayOpen);
    assert_eq!(jam(FuseStyle::Blade, 60.0).verdict, FuseDoes::Holds);
    for style in FuseStyle::ALL {
        for rating in [5.0, 10.0, 20.0, 30.0, 60.0] {
            let jam = jam(style, rating);
            let (earliest, latest) = jam.open_s;
            assert_eq!(latest.is_some(), jam.verdict == FuseDoes::Opens, "{jam:?}");
            assert!(latest.is_none_or(|latest| earliest <= latest), "{jam:?}");
            assert!(jam.verdict != FuseDoes::Holds || earliest == 360_000.0, "{jam:?}");
        }
    }
}

#[test]
fn a_motor_is_jammed_with_nothing_on_but_what_it_needs() {
    let mut loom = wiper();
    loom.loads[1].live_when = state(&["lamps_on"]);
    let found = stalled_alone(&loom, &fuse(FuseStyle::Blade, 15.0)).unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].0, state(&["key_on", "wipers"]), "not the lamp");
    // 12.6 V over 0.4 Ω and 81.8 mΩ.
    assert!((found[0].1.fuse_a.value - 12.6 / 0.4818).abs() < 1e-9);
}

#[test]
fn jams_agree_with_ngspice() {
    let mut compared = 0;
    for (loom, state) in invented() {
        let found = stalled(&loom, &fuse(FuseStyle::Blade, 15.0), &state).unwrap().motors;
        let jammed: Vec<Harness> = found
            .iter()
            .map(|jam| {
                let mut loom = loom.clone();
                loom.loads.iter_mut().filter(|load| load.id == jam.id).for_each(|load| load.ohms.0 /= 6.0);
                loom
            })
            .collect();
        let questions: Vec<Question> =
            jammed.iter().map(|loom| Question { loom, state: &state, short: None }).collect();
        if questions.is_empty() {
            continue;
        }
        for (jam, (_, amps)) in found.iter().zip(ask_ngspice(&questions)) {
            assert!(apart(jam.fuse_a.value, amps) < TOLERANCE, "{jam:?} {amps}");
            compared += 1;
        }
    }
    assert!(compared > 20, "{compared}");
}

#[test]
fn a_jam_draws_no_less_than_running_and_its_range_bounds_it() {
    for (loom, state) in invented() {
        let running = draw(&loom, &state).unwrap().fuse_a;
        for jam in stalled(&loom, &fuse(FuseStyle::Maxi, 30.0), &state).unwrap().motors {
            let found = jam.fuse_a;
            assert!(found.value >= running.value && found.least >= running.least && found.most >= running.most);
            assert!(found.least <= found.value && found.value <= found.most, "{jam:?}");
        }
    }
    let none = stalled(&wiper(), &fuse(FuseStyle::Blade, f64::NAN), &state(&["key_on", "wipers"]));
    assert!(none.is_err(), "a rating that is none");
}

#[test]
fn in_a_very_large_circuit_the_motors_that_were_not_tried_are_counted() {
    let mut loom = wiper();
    (0..60_000).for_each(|_| {
        loom.joint();
    });
    for _ in 0..9 {
        let motor = loom.loads[0].clone();
        let id = loomwalk::ids::LoadId(format!("motor{}", loom.loads.len()));
        loom.loads.push(loomwalk::circuit::harness::HarnessLoad { id, ..motor });
    }
    let found = stalled(&loom, &fuse(FuseStyle::Blade, 15.0), &state(&["key_on", "wipers"])).unwrap();
    assert_eq!((found.motors.len(), found.not_computed), (4, 6));
}
