//! Does the network agree with a circuit simulator, a dense solver and the laws of circuits?
//!
//! The simulator is ngspice (Debian package `ngspice`); its decks are written from the harness alone, wire by wire,
//! and a short is a resistor in a copy of the circuit.

use crate::looms::ngspice::{Question, apart, ask_ngspice};
use crate::looms::{Build, Dice, bare, radial, state, states, tangled};
use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::network::{NetworkError, holds, solve};
use loomwalk::ids::Condition;
use loomwalk::units::Ohms;
use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;

/// How many invented circuits go through ngspice, each in two states.
const CIRCUITS: usize = 512;
/// Circuits in one ngspice process: starting it takes longer than solving one.
const IN_ONE_DECK: usize = 32;
/// Places of a short tried in one circuit and state; smaller circuits have them all tried.
const SHORTS: usize = 8;
/// Largest relative difference.
const TOLERANCE: f64 = 1e-6;

/// The circuits that ngspice is asked about: a quarter trees, the rest with switches and up to nine closed loops, 2 to
/// 60 loads, in turn through every state.
fn invented() -> Vec<(Harness, [Vec<Condition>; 2])> {
    let states = states();
    let loads = |at: usize| 2 + at * 58 / (CIRCUITS - 1);
    (0..CIRCUITS)
        .map(|at| {
            let seed = at as u64;
            let loom = if at % 4 == 0 { radial(seed, loads(at)) } else { tangled(seed, loads(at), at % 4 * 3) };
            // All four kinds of circuit come into each of the eight states.
            (loom, [at / 4, at / 4 + 3].map(|turn| states[turn % states.len()].clone()))
        })
        .collect()
}

#[test]
fn voltages_and_fuse_currents_agree_with_ngspice_without_and_with_shorts() {
    let invented = invented();
    let (mut voltages, mut shorts, mut live_nodes, mut worst) = (0, 0, 0, 0.0_f64);
    let mut close = |ours: f64, theirs: f64| {
        worst = worst.max(apart(ours, theirs));
        apart(ours, theirs) <= TOLERANCE
    };
    for deck in invented.chunks(IN_ONE_DECK) {
        let mut questions = Vec::new();
        let in_states = deck.iter().flat_map(|(loom, states)| states.iter().map(move |state| (loom, state)));
        for (loom, state) in in_states {
            questions.push(Question { loom, state, short: None });
            let mut dice = Dice(loom.nodes.len() as u64);
            let nodes: Vec<usize> = if loom.nodes.len() <= SHORTS {
                (1..loom.nodes.len()).collect()
            } else {
                (0..SHORTS).map(|_| 1 + dice.below(loom.nodes.len() - 1)).collect()
            };
            for node in nodes {
                let ohms = [0.0, 0.01, 0.5][dice.below(3)];
                questions.push(Question { loom, state, short: Some((NodeIx(node), ohms)) });
            }
        }
        let mut solved = solve(&bare(), &[]).unwrap();
        let answers = ask_ngspice(&questions);
        for (question, (volts, fuse_a)) in questions.iter().zip(answers) {
            let Question { loom, state, short } = question;
            match short {
                // Each circuit's question without a short comes first; what it gives answers all its shorts.
                None => {
                    solved = solve(loom, state).unwrap();
                    for (node, theirs) in volts.iter().enumerate() {
                        let ours = solved.volts(NodeIx(node)).0;
                        assert!(close(ours, *theirs), "{:?}: {ours} V, ngspice {theirs} V", loom.nodes[node].id);
                        voltages += 1;
                        live_nodes += usize::from(solved.is_live(NodeIx(node)));
                    }
                    assert!(close(solved.fuse_current().0, fuse_a), "{} {fuse_a}", solved.fuse_current());
                }
                Some((node, ohms)) => {
                    let ours = solved.fuse_current_with_short(*node, Ohms(*ohms)).0;
                    assert!(close(ours, fuse_a), "short of {ohms} Ω at {node:?}: {ours} A, ngspice {fuse_a} A");
                    shorts += 1;
                }
            }
        }
    }
    println!(
        "{CIRCUITS} circuits in two states each, {voltages} voltages ({live_nodes} of live nodes), {shorts} shorts; furthest apart: {worst:.1e}"
    );
    assert!(live_nodes > voltages / 4, "most invented circuits must have something to compare");
}

#[test]
fn the_chain_that_three_programs_agree_on_comes_out_to_the_last_digits() {
    // ngspice 39.3, scipy and lcapy agree on these figures (reference values §7).
    let mut loom = bare();
    (loom.source.supply_ohms, loom.source.fuse_ohms) = (Ohms(0.010), Ohms(0.0077));
    let (n2, n3) = (loom.joint(), loom.joint());
    loom.run(NodeIx::FUSE, n2, 0.0371);
    loom.run(n2, n3, 0.0742);
    let (feed, return_) = loom.load(6.857, Vec::new());
    loom.lead(n2, feed);
    loom.lead(return_, NodeIx::GROUND);
    let solved = solve(&loom, &[]).unwrap();
    let fuse = solved.fuse_current_with_short(n3, Ohms(0.5)).0;
    assert!((fuse / 21.552_009_912_186 - 1.0).abs() < 1e-12, "{fuse}");
    // The voltages there are those with the short in place: put it in as a wire.
    loom.run(n3, NodeIx::GROUND, 0.5);
    let solved = solve(&loom, &[]).unwrap();
    for (node, volts) in [(NodeIx::FUSE, 12.218_529_424_554), (n2, 11.418_949_856_812), (n3, 9.943_355_848_844)] {
        assert!((solved.volts(node).0 / volts - 1.0).abs() < 1e-12, "{node:?} {}", solved.volts(node));
    }
    assert!((solved.fuse_current().0 / 21.552_009_912_186 - 1.0).abs() < 1e-12);
}

/// A circuit as a dense matrix.
struct Dense {
    /// The row of each node: leads make their ends one node.
    name: Vec<usize>,
    /// Conductances, S. Ground's row says that it is at 0 V; floating nodes are held by 10 GΩ each, which moves no
    /// voltage by more than some microvolts.
    matrix: DMatrix<f64>,
    /// What the source brings in, A.
    injected: DVector<f64>,
    source: f64,
    source_volts: f64,
}

impl Dense {
    fn of(loom: &Harness, state: &[Condition], short: Option<(NodeIx, f64)>) -> Self {
        let count = loom.nodes.len();
        let mut name: Vec<usize> = (0..count).collect();
        for run in loom.runs.iter().filter(|run| run.lead) {
            let (keep, drop) = (name[run.from.0].min(name[run.to.0]), name[run.from.0].max(name[run.to.0]));
            name.iter_mut().filter(|name| **name == drop).for_each(|name| *name = keep);
        }
        let mut matrix = DMatrix::<f64>::identity(count, count) * 1e-10;
        let mut branch = |from: NodeIx, to: NodeIx, ohms: f64| {
            let (from, to) = (name[from.0], name[to.0]);
            for (a, b) in [(from, to), (to, from)] {
                matrix[(a, a)] += 1.0 / ohms;
                matrix[(a, b)] -= 1.0 / ohms;
            }
        };
        for run in loom.runs.iter().filter(|run| !run.lead) {
            branch(run.from, run.to, run.ohms.0);
        }
        for switch in loom.switches.iter().filter(|switch| holds(&switch.closed_when, state)) {
            branch(switch.from, switch.to, switch.ohms.0);
        }
        for load in loom.loads.iter().filter(|load| holds(&load.live_when, state)) {
            branch(load.feed, load.return_, load.ohms.0);
        }
        if let Some((node, ohms)) = short {
            branch(node, NodeIx::GROUND, ohms);
        }
        let fed = holds(&loom.source.live_when, state);
        let source = if fed { 1.0 / (loom.source.supply_ohms.0 + loom.source.fuse_ohms.0) } else { 0.0 };
        matrix[(1, 1)] += source;
        let mut injected = DVector::zeros(count);
        injected[1] = source * loom.source.volts;
        matrix.row_mut(0).fill(0.0);
        matrix[(0, 0)] = 1.0;
        Self { name, matrix, injected, source, source_volts: loom.source.volts }
    }

    /// Voltages and fuse current, by elimination with pivoting.
    fn solve(&self) -> (Vec<f64>, f64) {
        let volts = self.matrix.clone().lu().solve(&self.injected).unwrap();
        let fuse_a = (self.source_volts - volts[1]) * self.source;
        (self.name.iter().map(|name| volts[*name]).collect(), fuse_a)
    }

    /// The resistance that a short at each node sees: what 1 A raises it by.
    fn thevenin(&self) -> Vec<f64> {
        let inverse = self.matrix.clone().try_inverse().unwrap();
        self.name.iter().map(|name| inverse[(*name, *name)]).collect()
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_dense_solver_finds_the_same_and_solving_each_short_anew_changes_nothing(
        seed in any::<u64>(), loads in 2_usize..30, cross in 0_usize..20, at in 0_usize..8, node in any::<prop::sample::Index>()
    ) {
        let (loom, state) = (tangled(seed, loads, cross), states()[at].clone());
        let solved = solve(&loom, &state).unwrap();
        let dense = Dense::of(&loom, &state, None);
        let (volts, fuse_a) = dense.solve();
        for (node, theirs) in volts.iter().enumerate() {
            let ours = solved.volts(NodeIx(node)).0;
            prop_assert!((ours - theirs).abs() < 2e-5, "{node}: {ours} {theirs}");
        }
        prop_assert!((solved.fuse_current().0 - fuse_a).abs() < 1e-6);
        let node = NodeIx(1 + node.index(loom.nodes.len() - 1));
        let ours = solved.fuse_current_with_short(node, Ohms(0.05)).0;
        let (_, theirs) = Dense::of(&loom, &state, Some((node, 0.05))).solve();
        prop_assert!((ours - theirs).abs() < 1e-6, "{ours} {theirs}");
        for (node, theirs) in dense.thevenin().into_iter().enumerate() {
            if let Some(ours) = solved.thevenin(NodeIx(node)) {
                prop_assert!((ours.0 / theirs - 1.0).abs() < TOLERANCE, "{node}: {ours} {theirs} Ω");
            }
        }
    }

    #[test]
    fn another_load_never_lowers_the_draw(
        seed in any::<u64>(), loads in 1_usize..30, at in 0_usize..8, node in any::<prop::sample::Index>(), ohms in 0.1..1000.0_f64
    ) {
        let (mut loom, state) = (tangled(seed, loads, 4), states()[at].clone());
        let before = solve(&loom, &state).unwrap().fuse_current().0;
        let node = NodeIx(1 + node.index(loom.nodes.len() - 1));
        let (feed, return_) = loom.load(ohms, Vec::new());
        loom.run(node, feed, 0.01);
        loom.run(return_, NodeIx::GROUND, 0.01);
        let after = solve(&loom, &state).unwrap().fuse_current().0;
        prop_assert!(after >= before * (1.0 - 1e-12), "{before} {after}");
    }

    #[test]
    fn in_a_radial_circuit_a_short_nearer_the_fuse_never_draws_less(
        seed in any::<u64>(), loads in 1_usize..40, short in prop_oneof![Just(0.0), 0.001..5.0_f64]
    ) {
        let loom = radial(seed, loads);
        let solved = solve(&loom, &[]).unwrap();
        for run in &loom.runs {
            let near = solved.fuse_current_with_short(run.from, Ohms(short)).0;
            let far = solved.fuse_current_with_short(run.to, Ohms(short)).0;
            prop_assert!(near >= far * (1.0 - 1e-12), "{}: {near} {far}", run.id);
        }
    }

    #[test]
    fn what_flows_into_a_joint_flows_out_of_it(seed in any::<u64>(), loads in 1_usize..40) {
        let loom = radial(seed, loads);
        let solved = solve(&loom, &[]).unwrap();
        let mut sums = vec![0.0; loom.nodes.len()];
        sums[NodeIx::FUSE.0] += solved.fuse_current().0;
        for run in &loom.runs {
            let current = solved.run_current(run).unwrap().0;
            sums[run.from.0] -= current;
            sums[run.to.0] += current;
        }
        for load in &loom.loads {
            let current = solved.load_volts(load).0 / load.ohms.0;
            sums[load.feed.0] -= current;
            sums[load.return_.0] += current;
        }
        let draw = solved.fuse_current().0;
        prop_assert!(sums.iter().skip(1).all(|sum| sum.abs() < 1e-9 * draw.max(1.0)), "{sums:?}");
        prop_assert!((sums[0] - draw).abs() < 1e-9 * draw);
    }

    #[test]
    fn no_resistance_however_odd_makes_it_panic_or_answer_with_a_number_that_is_none(
        seed in any::<u64>(),
        odd in prop::sample::select(vec![0.0, 1e-300, 1e-12, 1e-8, 1e6, 1e12, 1e200, 1e308, -1.0, f64::NAN, f64::INFINITY]),
        other in prop::sample::select(vec![0.0, 1e-300, 1e-12, 1e-8, 1e6, 1e12, 1e200, 1e308]),
        volts in prop::sample::select(vec![12.6, 1e-300, 1e300]),
    ) {
        let mut loom = tangled(seed, 6, 3);
        let mut dice = Dice(seed);
        loom.source.volts = volts;
        for ohms in [odd, other, other] {
            let at = dice.below(loom.runs.len());
            loom.runs[at].ohms = Ohms(ohms);
            let at = dice.below(loom.loads.len());
            loom.loads[at].ohms = Ohms(ohms);
        }
        if let Ok(solved) = solve(&loom, &state(&["key_on"])) {
            for node in 0..loom.nodes.len() {
                prop_assert!(solved.volts(NodeIx(node)).0.is_finite());
                prop_assert!(solved.volts(NodeIx(node)).0 <= volts * (1.0 + 1e-6), "{} {volts}", solved.volts(NodeIx(node)));
            }
        }
    }
}

#[test]
fn a_load_limits_a_short_behind_it() {
    let mut loom = bare();
    let (feed, return_) = loom.load(12.0, Vec::new());
    loom.run(NodeIx::FUSE, feed, 0.05);
    loom.switch(return_, NodeIx::GROUND, state(&["door_open"]), 0.005);
    let solved = solve(&loom, &[]).unwrap();
    assert!(solved.is_live(return_) && solved.is_behind_load(return_) && !solved.is_behind_load(feed));
    assert!((solved.volts(return_).0 - 12.6).abs() < 1e-12, "nothing flows, so all the voltage is there");
    let expected = 12.6 / (0.0248 + 0.05 + 12.0);
    assert!((solved.fuse_current_with_short(return_, Ohms(0.0)).0 - expected).abs() < 1e-12);
}

#[test]
fn a_module_of_ten_megohms_in_front_of_a_thick_wire_keeps_its_digits() {
    let mut loom = bare();
    let (feed, return_) = loom.load(1e7, Vec::new());
    loom.run(NodeIx::FUSE, feed, 0.001);
    let mut end = return_;
    for _ in 0..20 {
        let next = loom.joint();
        loom.run(end, next, 0.0001);
        end = next;
    }
    let solved = solve(&loom, &[]).unwrap();
    assert!((solved.volts(end).0 / 12.6 - 1.0).abs() < 1e-9, "{}", solved.volts(end));
    let current = solved.fuse_current_with_short(end, Ohms(0.0)).0;
    assert!((current / (12.6 / 1e7) - 1.0).abs() < 1e-4, "{current}");
}

#[test]
fn errors_name_the_place_and_say_what_to_do() {
    let wired = || {
        let mut loom = bare();
        let (feed, return_) = loom.load(12.0, Vec::new());
        loom.run(NodeIx::FUSE, feed, 0.05);
        loom.run(return_, NodeIx::GROUND, 0.05);
        loom
    };
    let message = |change: &dyn Fn(&mut Harness)| {
        let mut loom = wired();
        change(&mut loom);
        solve(&loom, &[]).unwrap_err().to_string()
    };
    let expected = expect_test::expect![[r#"
        supply.volts is 0, so nothing can flow: enter the battery's voltage, such as 12.6
        supply.ohms and fuse.ohms together are 0 Ω, so a short at the fuse would draw without limit: enter a resistance above 0 for at least one of them, such as 0.02 for the supply
        run r1 has a resistance of -1 Ω: enter a finite number of 0 or more
        load l0 has a resistance of 0 Ω: enter a finite number above 0
        in this state the fuse is joined to ground without any resistance by run r2, switch sw0: as entered, the circuit is a dead short; correct where these are connected
        the resistances that meet at l0.return lie too far apart to compute with (more than a million million to one): correct the smallest and the largest of them
    "#]];
    let messages = [
        message(&|loom| loom.source.volts = 0.0),
        message(&|loom| (loom.source.supply_ohms, loom.source.fuse_ohms) = (Ohms(0.0), Ohms(0.0))),
        message(&|loom| loom.runs[1].ohms = Ohms(-1.0)),
        message(&|loom| loom.loads[0].ohms = Ohms(0.0)),
        message(&|loom| {
            let joint = loom.joint();
            loom.lead(NodeIx::FUSE, joint);
            loom.switch(joint, NodeIx::GROUND, Vec::new(), 0.0);
        }),
        message(&|loom| {
            loom.runs[0].ohms = Ohms(1e15);
            loom.runs[1].ohms = Ohms(1e15);
            loom.loads[0].ohms = Ohms(1e-8);
        }),
    ];
    expected.assert_eq(&(messages.join("\n") + "\n"));
}

#[test]
fn a_knot_far_beyond_any_loom_is_refused_by_name() {
    let mut loom = bare();
    let joints: Vec<NodeIx> = (0..300).map(|_| loom.joint()).collect();
    loom.run(NodeIx::FUSE, joints[0], 0.01);
    for (at, &a) in joints.iter().enumerate() {
        for &b in &joints[..at] {
            loom.run(a, b, 0.01);
        }
    }
    assert!(matches!(solve(&loom, &[]), Err(NetworkError::Tangled { .. })));
}
