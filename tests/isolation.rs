//! Is a hard short cornered soonest by unplugging, and does the lamp in place of the fuse show what it should?

use std::collections::HashMap;

use crate::looms::ngspice::{Question, apart, ask_ngspice};
use crate::looms::{Build, Dice, bare, radial, state, tangled};
use loomwalk::circuit::file::LoadKind;
use loomwalk::circuit::harness::{Harness, NodeIx, NodeKind};
use loomwalk::circuit::isolate::{IsolateError, Isolation, LampGlow, LimitingLamp, Suspect, lamp_shows};
use loomwalk::circuit::unplug::Unplugged;
use loomwalk::ids::LoadId;
use loomwalk::units::{Minutes, Ohms, Volts};
use proptest::prelude::*;

/// A loom of which about every second joint is a connector.
fn plugged(mut loom: Harness, seed: u64) -> Harness {
    let mut dice = Dice(seed ^ 0xc0de);
    for node in &mut loom.nodes {
        if node.kind == NodeKind::Joint(None) && dice.chance(0.5) {
            node.kind = NodeKind::Connector(None);
        }
    }
    loom
}

/// Minutes by name, the same in each test: half a minute to six.
fn minutes(what: &Unplugged) -> Minutes {
    let sum: u64 = what.to_string().bytes().map(u64::from).sum();
    Minutes(0.5 + (sum % 12) as f64 / 2.0)
}

fn weight(at: &Suspect) -> f64 {
    match at {
        Suspect::Run(id) => 1.0 + id.as_str().len() as f64,
        Suspect::Load(_) => 0.5,
    }
}

fn begin(loom: &Harness) -> Isolation {
    Isolation::new(loom, &state(&["key_on", "reverse", "lamps_on"]), weight, |what| Some(minutes(what))).unwrap()
}

/// Whether the fuse feeds a suspect with these unplugged, by trying every path from the fuse that visits no node twice.
fn reaches(loom: &Harness, at: &Suspect, unplugged: &[Unplugged]) -> bool {
    let out = |node: NodeIx| unplugged.contains(&Unplugged::Node(loom.nodes[node.0].id.clone()));
    if let Suspect::Load(id) = at
        && unplugged.contains(&Unplugged::Load(id.clone()))
    {
        return false;
    }
    let wanted = |node: NodeIx| match at {
        Suspect::Load(id) => loom.loads.iter().any(|load| load.id == *id && load.feed == node && !out(node)),
        Suspect::Run(id) => loom.runs.iter().any(|run| run.id == *id && (run.from == node || run.to == node)),
    };
    fn search(
        loom: &Harness,
        node: NodeIx,
        been: &mut Vec<NodeIx>,
        out: &dyn Fn(NodeIx) -> bool,
        wanted: &dyn Fn(NodeIx) -> bool,
    ) -> bool {
        if node == NodeIx::GROUND || been.contains(&node) {
            return false;
        }
        // Each wire keeps its half of a plug that was pulled: nothing on the other side of it is reached.
        if out(node) {
            return false;
        }
        if wanted(node) {
            return true;
        }
        been.push(node);
        let ties = loom.runs.iter().map(|run| (run.from, run.to));
        let ties: Vec<_> = ties.chain(loom.switches.iter().map(|switch| (switch.from, switch.to))).collect();
        let found = ties.iter().any(|(a, b)| {
            (*a == node && search(loom, *b, been, out, wanted)) || (*b == node && search(loom, *a, been, out, wanted))
        });
        been.pop();
        found
    }
    search(loom, NodeIx::FUSE, &mut Vec::new(), &out, &wanted)
}

fn bits(chance: f64) -> f64 {
    -(chance * chance.log2() + (1.0 - chance) * (1.0 - chance).log2())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_next_to_unplug_is_the_best_of_all_by_trying_every_path(seed in any::<u64>(), loads in 2_usize..6, cross in 0_usize..3) {
        let loom = plugged(tangled(seed, loads, cross), seed);
        let isolation = begin(&loom);
        let chances = isolation.chances();
        prop_assert!((chances.iter().map(|(_, chance)| chance).sum::<f64>() - 1.0).abs() < 1e-12);
        prop_assert!(chances.iter().all(|(at, _)| reaches(&loom, at, &[])));
        let mut best = 0.0_f64;
        for what in loomwalk::circuit::unplug::pluggable(&loom) {
            let gone: f64 = chances
                .iter()
                .filter(|(at, _)| !reaches(&loom, at, std::slice::from_ref(&what)))
                .map(|(_, chance)| chance)
                .sum();
            if gone > 1e-12 && gone < 1.0 - 1e-12 {
                best = best.max(bits(gone) / minutes(&what).0);
            }
        }
        prop_assert!((isolation.next().map_or(0.0, |step| step.bits_per_minute) - best).abs() < 1e-9);
    }

    #[test]
    fn wherever_the_short_is_true_answers_end_at_it_and_nothing_in_reach_tells_more(
        seed in any::<u64>(), loads in 2_usize..12, cross in 0_usize..4, at in any::<prop::sample::Index>()
    ) {
        let loom = plugged(tangled(seed, loads, cross), seed);
        let mut isolation = begin(&loom);
        let chances = isolation.chances();
        prop_assume!(!chances.is_empty());
        let truth = chances[at.index(chances.len())].0.clone();
        let mut out = Vec::new();
        let mut steps = 0;
        while let Some(step) = isolation.next() {
            let with = [&out[..], std::slice::from_ref(&step.unplug)].concat();
            let gone = !reaches(&loom, &truth, &with);
            isolation.tell(&step.unplug, gone).unwrap();
            if !gone {
                out = with;
            }
            steps += 1;
            prop_assert!(steps <= 2 * loom.nodes.len());
            prop_assert!(isolation.chances().iter().any(|(at, _)| *at == truth));
        }
        for what in loomwalk::circuit::unplug::pluggable(&loom).iter().filter(|what| !out.contains(what)) {
            let with = [&out[..], std::slice::from_ref(what)].concat();
            let stays: Vec<bool> = isolation.chances().iter().map(|(at, _)| reaches(&loom, at, &with)).collect();
            prop_assert!(stays.windows(2).all(|pair| pair[0] == pair[1]), "{what} would tell more");
        }
    }
}

/// The least expected minutes of any order of unplugging, over all orders. In a tree the answer of a plug depends on
/// nothing else that is unplugged, so sets of places that are left say all.
fn least_minutes(cuts: &[(u32, f64)], weights: &[f64], left: u32, known: &mut HashMap<u32, f64>) -> f64 {
    if let Some(known) = known.get(&left) {
        return *known;
    }
    let of = |set: u32| (0..weights.len()).filter(|at| set & (1 << at) != 0).map(|at| weights[at]).sum::<f64>();
    let mut best = f64::INFINITY;
    for (cut, minutes) in cuts {
        let (gone, stays) = (left & cut, left & !cut);
        if gone != 0 && stays != 0 {
            let after = least_minutes(cuts, weights, gone, known) + least_minutes(cuts, weights, stays, known);
            best = best.min(minutes * of(left) + after);
        }
    }
    let best = if best.is_finite() { best } else { 0.0 };
    known.insert(left, best);
    best
}

#[test]
fn looking_one_step_ahead_costs_a_tenth_more_than_the_best_of_all_orders_and_never_twice_as_much() {
    let (mut sum_ours, mut sum_best, mut worst) = (0.0, 0.0, 1.0_f64);
    for seed in 0..60 {
        let loom = plugged(radial(seed, 2 + seed as usize % 5), seed);
        let isolation = begin(&loom);
        let chances = isolation.chances();
        let weights: Vec<f64> = chances.iter().map(|(_, chance)| *chance).collect();
        let cut = |what: &Unplugged| {
            let off = |at: &usize| !reaches(&loom, &chances[*at].0, std::slice::from_ref(what));
            (0..chances.len()).filter(off).fold(0_u32, |set, at| set | 1 << at)
        };
        let cuts: Vec<(u32, f64)> =
            loomwalk::circuit::unplug::pluggable(&loom).iter().map(|what| (cut(what), minutes(what).0)).collect();
        let best = least_minutes(&cuts, &weights, (1 << weights.len()) - 1, &mut HashMap::new());
        let ours: f64 = chances
            .iter()
            .map(|(truth, chance)| {
                let (mut isolation, mut spent) = (begin(&loom), 0.0);
                while let Some(step) = isolation.next() {
                    isolation.tell(&step.unplug, !reaches(&loom, truth, std::slice::from_ref(&step.unplug))).unwrap();
                    spent += step.minutes.0;
                }
                spent * chance
            })
            .sum();
        assert!(ours >= best - 1e-9, "nothing is better than the best: {ours} {best}");
        (sum_ours, sum_best, worst) = (sum_ours + ours, sum_best + best, worst.max(ours / best));
    }
    let mean = sum_ours / sum_best;
    assert!(mean < 1.1 && worst < 2.0, "{mean} times the least on the whole, {worst} times at worst");
}

#[test]
fn answers_that_contradict_each_other_are_told_and_change_nothing() {
    let mut loom = bare();
    let (feed, return_) = loom.load(6.0, Vec::new());
    loom.run(NodeIx::FUSE, feed, 0.1);
    loom.run(return_, NodeIx::GROUND, 0.1);
    let mut isolation = begin(&loom);
    let load = Unplugged::Load("l0".into());
    isolation.tell(&load, false).unwrap();
    assert_eq!(isolation.chances(), [(Suspect::Run("r0".into()), 1.0)]);
    assert_eq!(isolation.next(), None);
    let again = isolation.tell(&Unplugged::Node("l0.feed".into()), false);
    assert!(again.is_ok(), "the wire up to the plug is still there: {again:?}");
    let gone = isolation.tell(&Unplugged::Node("l0.feed".into()), true).unwrap_err();
    assert_eq!(gone, IsolateError::Contradiction(Unplugged::Node("l0.feed".into())));
    assert!(gone.to_string().contains("no place is left"));
    assert_eq!(isolation.chances().len(), 1);
    let wrong = Isolation::new(&loom, &[], |_| f64::NAN, |_| None).unwrap_err();
    assert_eq!(wrong.to_string(), "r0 has a weight of NaN: it should be a finite number above 0");
}

#[test]
fn what_is_out_of_reach_is_never_proposed() {
    let loom = plugged(radial(3, 6), 3);
    let shut = Isolation::new(&loom, &[], weight, |_| None).unwrap();
    assert_eq!(shut.next(), None);
    let only: LoadId = "l2".into();
    let one = |what: &Unplugged| (*what == Unplugged::Load(only.clone())).then_some(Minutes(1.0));
    assert_eq!(Isolation::new(&loom, &[], weight, one).unwrap().steps().len(), 1);
}

const TURN: LimitingLamp = LimitingLamp { watts: 21.0, rated: Volts(12.0) };
const HEAD: LimitingLamp = LimitingLamp { watts: 55.0, rated: Volts(12.0) };

/// Loads of that many ohms straight on the fuse.
fn loads(ohms: &[f64], kind: LoadKind) -> Harness {
    let mut loom = bare();
    for ohms in ohms {
        let (feed, return_) = loom.load(*ohms, Vec::new());
        loom.run(NodeIx::FUSE, feed, 0.05);
        loom.run(return_, NodeIx::GROUND, 0.02);
    }
    loom.loads.iter_mut().for_each(|load| load.kind = kind);
    loom
}

#[test]
fn the_lamp_is_bright_with_a_short_and_dark_without_where_the_loads_take_little() {
    let module = loads(&[240.0], LoadKind::Module);
    let short = Some((NodeIx::FUSE, Ohms(0.01)));
    for lamp in [TURN, HEAD] {
        let with = lamp_shows(&module, &[], lamp, short).unwrap();
        let without = lamp_shows(&module, &[], lamp, None).unwrap();
        assert_eq!((with.least_glow, with.most_glow), (LampGlow::Bright, LampGlow::Bright), "{with:?}");
        assert_eq!((without.least_glow, without.most_glow), (LampGlow::Dark, LampGlow::Dark), "{without:?}");
        assert!(with.differs_from(&without));
    }
}

#[test]
fn where_the_loads_take_much_a_small_lamp_cannot_tell_and_a_large_one_tells_more() {
    // Four lamps of 21 W: at rest they are a fifteenth of an ohm beside each other.
    let lamps = loads(&[6.86, 6.86, 6.86, 6.86], LoadKind::FilamentLamp);
    let short = Some((NodeIx::FUSE, Ohms(0.01)));
    let [small, large] = [TURN, HEAD].map(|lamp| {
        let (with, without) =
            (lamp_shows(&lamps, &[], lamp, short).unwrap(), lamp_shows(&lamps, &[], lamp, None).unwrap());
        assert!(!with.differs_from(&without), "{with:?} {without:?}");
        without.least.0
    });
    assert!(small > large, "the stronger lamp leaves more for the loads: {small} V and {large} V across it");
    let nothing = lamp_shows(&bare(), &[], TURN, None).unwrap();
    assert_eq!((nothing.most.0, nothing.most_glow), (0.0, LampGlow::Dark));
    assert!(lamp_shows(&lamps, &[], LimitingLamp { watts: -1.0, ..TURN }, None).is_err());
    assert!(lamp_shows(&lamps, &[], TURN, Some((NodeIx::FUSE, Ohms(f64::NAN)))).is_err());
}

#[test]
fn the_lamps_voltage_is_what_ngspice_finds_with_the_filament_at_that_resistance() {
    let mut dice = Dice(7);
    let mut cases = Vec::new();
    for seed in 0..20 {
        let loom = radial(seed, 4);
        let short = (seed % 2 == 0).then(|| (loom.runs[dice.below(loom.runs.len())].from, Ohms(0.05)));
        let lamp = if seed % 3 == 0 { HEAD } else { TURN };
        // All loads are resistors here: at rest they are as they run.
        let shows = lamp_shows(&loom, &[], lamp, short.filter(|(node, _)| *node != NodeIx::GROUND)).unwrap();
        assert_eq!(shows.least, shows.most);
        // I = I_rated × (V / V_rated)^0.55: rerating of incandescent lamps, from memory; at most that of a cold filament.
        let share = shows.least.0 / 12.0;
        let amps = lamp.watts / 12.0 * share.powf(0.55).min(12.0 * share);
        let mut replaced = loom.clone();
        replaced.source.fuse_ohms = Ohms(shows.least.0 / amps);
        cases.push((replaced, short.filter(|(node, _)| *node != NodeIx::GROUND), shows.least.0));
    }
    let questions: Vec<Question<'_>> = cases
        .iter()
        .map(|(loom, short, _)| Question { loom, state: &[], short: short.map(|(node, ohms)| (node, ohms.0)) })
        .collect();
    for ((loom, _, ours), (_, amps)) in cases.iter().zip(ask_ngspice(&questions)) {
        assert!(apart(*ours, amps * loom.source.fuse_ohms.0) < 1e-6, "{ours}");
    }
}
