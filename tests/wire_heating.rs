//! Do wires warm as the published tables and examples have it, and is a fuse too large for its wire found?

use crate::looms::{Build, bare, state, states, tangled};
use loomwalk::circuit::fault::faults;
use loomwalk::circuit::file::FuseStyle;
use loomwalk::circuit::harness::{Harness, NodeIx};
use loomwalk::circuit::heat::{RunHeat, Strain, WarningKind, carries, heating, i2t_between, melting_i2t, temperature};
use loomwalk::units::{Amps, SquareMillimetres};
use proptest::prelude::*;

fn rows(table: &str) -> Vec<Vec<&str>> {
    let lines = table.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    lines.skip(1).map(|line| line.split(',').map(str::trim).collect()).collect()
}

fn number(cell: &str) -> f64 {
    cell.parse().unwrap_or_else(|_| panic!("{cell:?} is not a number"))
}

#[test]
fn copper_takes_what_the_published_table_of_withstand_says() {
    let table = rows(include_str!("cases/standards/withstand.csv"));
    assert_eq!(table.len(), 6);
    for row in table {
        let area = SquareMillimetres(number(row[0]));
        for (cell, start_c, end_c) in [(row[1], 70.0, 160.0), (row[2], 90.0, 250.0)] {
            let ours = i2t_between(area, start_c, end_c) / 1e6;
            assert!((ours / number(cell) - 1.0).abs() < 0.004, "{row:?}: {ours}");
            assert!((temperature(area, ours * 1e6, start_c) - end_c).abs() < 1e-9, "one is the other's inverse");
        }
    }
}

#[test]
fn every_k_of_the_wiring_regulations_follows_from_the_two_constants() {
    // Reference values §3: BS 7671 / IEC 60364-5-54 as quoted. PVC, PVC from 90 °C, XLPE, rubber, silicone.
    for (start_c, end_c, k) in
        [(70.0, 160.0, 115.0), (90.0, 160.0, 100.0), (90.0, 250.0, 143.0), (60.0, 200.0, 141.0), (180.0, 350.0, 132.0)]
    {
        let ours = i2t_between(SquareMillimetres(1.0), start_c, end_c).sqrt();
        assert!((ours - k).abs() < 0.6, "{start_c} to {end_c} °C: {ours}, {k}");
    }
}

#[test]
fn worked_examples_come_out() {
    // A published worked example of BS 7671 reg. 543.1.3: 3000 A for 0.4 s, PVC, needs 16.5 mm².
    let needed = (3000.0_f64.powi(2) * 0.4 / i2t_between(SquareMillimetres(1.0), 70.0, 160.0)).sqrt();
    assert!((needed - 16.5).abs() < 0.05, "{needed}");
    // Reference values §3, computed outside this project: 0.5 mm².
    for (amps, seconds, start_c, end_c) in
        [(60.0_f64, 0.918, 70.0, 160.0), (60.0, 0.15, 20.0, 31.0), (50.0, 0.5, 20.0, 46.0)]
    {
        let ours = temperature(SquareMillimetres(0.5), amps * amps * seconds, start_c);
        assert!((ours - end_c).abs() < 0.5, "{amps} A for {seconds} s: {ours}");
    }
}

#[test]
fn the_constant_of_the_standard_is_that_of_copper() {
    // From the metal: 3.45e6 J/(K·m³) and 1.7241e-8 Ω·m at 20 °C, rising by 1/254.5 a kelvin (IEC 60949, from memory).
    // Integrated step by step: 1 mm² at 200 A for 0.5 s.
    let (mut celsius, steps) = (20.0, 100_000);
    for _ in 0..steps {
        let ohms_per_m = 1.7241e-8 * (1.0 + (celsius - 20.0) / 254.5) / 1e-6;
        celsius += 200.0_f64.powi(2) * ohms_per_m * (0.5 / f64::from(steps)) / (3.45e6 * 1e-6);
    }
    let ours = temperature(SquareMillimetres(1.0), 200.0_f64.powi(2) * 0.5, 20.0);
    assert!((ours - celsius).abs() < 0.6, "{ours} {celsius}");
}

#[test]
fn fuses_melt_and_wires_carry_what_their_tables_say() {
    let mut listed = 0;
    for row in rows(include_str!("cases/standards/fuse_resistance.csv")).iter().filter(|row| !row[3].is_empty()) {
        let style: FuseStyle = serde_json::from_value(row[0].into()).unwrap();
        let ours = melting_i2t(style, Amps(number(row[1]))).unwrap();
        assert!((ours / number(row[3]) - 1.0).abs() < 1e-12, "{row:?}: {ours}");
        listed += 1;
    }
    assert_eq!(listed, 17);
    // One rating is listed for mini fuses: half of it melts at a quarter.
    assert!((melting_i2t(FuseStyle::Mini, Amps(7.5)).unwrap() - 77.0).abs() < 1e-9);
    // DIN VDE 0298-4 table 11, single core, free in air; between the sizes it rises.
    for (area, amps) in [(0.75, 15.0), (1.0, 19.0), (2.5, 32.0), (16.0, 98.0)] {
        assert!((carries(SquareMillimetres(area)).0 - amps).abs() < 1e-9);
    }
    let sizes = [0.22, 0.35, 0.5, 0.75, 0.9, 1.0, 2.0, 16.0, 25.0];
    assert!(sizes.is_sorted_by(|a, b| carries(SquareMillimetres(*a)) < carries(SquareMillimetres(*b))));
}

/// A thick wire to a splice and a thin one on to a lamp.
fn thin_behind_thick(thin_mm2: f64) -> Harness {
    let mut loom = bare();
    let splice = loom.joint();
    loom.wire(NodeIx::FUSE, splice, 2.0, 2.5);
    let (feed, return_) = loom.load(24.0, Vec::new());
    loom.wire(splice, feed, 3.0, thin_mm2);
    loom.wire(return_, NodeIx::GROUND, 0.3, thin_mm2);
    loom
}

fn heat(loom: &Harness, rating_a: f64) -> Vec<RunHeat> {
    heating(loom, rating_a, FuseStyle::Blade, &[], 0.01).unwrap()
}

#[test]
fn a_fuse_that_suits_its_thinnest_wire_is_no_finding_and_a_large_one_is() {
    let loom = thin_behind_thick(0.5);
    let suits = heat(&loom, 7.5);
    assert_eq!(
        suits.iter().map(|run| run.id.as_str()).collect::<Vec<_>>(),
        ["r0", "r1"],
        "not the wire behind the lamp"
    );
    assert!(suits.iter().all(|run| run.strain.is_none() && run.hottest_c.unwrap() < 160.0), "{suits:?}");
    assert!(faults(&loom, 7.5, FuseStyle::Blade, &[], 0.01).unwrap().warnings.is_empty());

    let large = heat(&loom, 15.0);
    assert_eq!((large[0].strain, large[1].strain), (None, Some(Strain::Held)));
    assert!((large[1].held.0 - 16.5).abs() < 1e-9 && large[1].carries.0 < 11.0);
    let found = faults(&loom, 15.0, FuseStyle::Blade, &[], 0.01).unwrap().warnings;
    assert_eq!((found.len(), found[0].kind, &found[0].runs), (1, WarningKind::FuseTooLarge, &vec!["r1".into()]));
    expect_test::expect!["The 15 A fuse is too large for r1, its thinnest wire (0.50 mm²): it holds 16.5 A without end and the wire carries 10.7 A. A poor short or an overload can overheat it and the fuse stays whole. This wire suits a fuse of at most 9.8 A."].assert_eq(&found[0].text);
}

#[test]
fn a_thin_wire_on_a_far_too_large_fuse_is_to_be_examined_whole() {
    let loom = thin_behind_thick(0.35);
    // A bolted short behind 3 m of 0.35 mm² draws some 64 A: 2.1 times a 30 A fuse, which may take 4 s, and 1.6 times a
    // 40 A fuse, which may take 50 s.
    let thin = |rating| heat(&loom, rating).remove(1);
    assert_eq!((thin(30.0).strain, thin(40.0).strain), (Some(Strain::BeforeOpening), Some(Strain::Lasting)));
    assert!(thin(30.0).hottest_c.unwrap() > 160.0 && thin(40.0).hottest_c.is_none());
    let warnings = faults(&loom, 40.0, FuseStyle::Blade, &[], 0.01).unwrap().warnings;
    assert!(
        warnings.iter().any(|found| found.kind == WarningKind::ExamineWhole && found.runs == ["r1".into()]),
        "{warnings:?}"
    );
    assert!(warnings.iter().any(|found| found.kind == WarningKind::FuseTooLarge));
}

#[test]
fn a_breaker_is_judged_by_its_first_opening_and_said_to_close_again() {
    let loom = thin_behind_thick(1.5);
    // By hand: a bolted short behind 2 m of 2.5 mm² (13.79 mΩ) and 3 m of 1.5 mm² (34.48 mΩ), 20 mΩ of supply, 4.8 mΩ of
    // breaker and 10 mΩ of touch draws 12.6 / 83.07 mΩ = 151.7 A past the lamp: 7.6 times 20 A. The bimetal's I²t is that of
    // its last gate, (6 × 20 A)² × 4 s = 57 600 A²s, and 1.5 mm² takes 29 756 A²s (reference values §3).
    let runs = heating(&loom, 20.0, FuseStyle::Breaker, &[], 0.01).unwrap();
    assert!(runs[1].usual_c.is_none(), "nothing melts");
    assert_eq!(runs[1].strain, Some(Strain::BeforeOpening));
    let through = runs[1].short.0.powi(2) * 4.0 * (120.0 / (runs[1].short.0 + 0.3)).powi(2);
    let ours = runs[1].hottest_c.unwrap();
    assert!((ours / temperature(SquareMillimetres(1.5), through, 70.0) - 1.0).abs() < 0.02, "{ours}");
    let found = faults(&loom, 20.0, FuseStyle::Breaker, &[], 0.01).unwrap().warnings;
    let text = |kind| found.iter().find(|found| found.kind == kind).map(|found| found.text.as_str());
    let whole = text(WarningKind::ExamineWhole).unwrap();
    assert!(whole.contains("before the breaker must have tripped for the first time"), "{whole}");
    let again = text(WarningKind::ClosesAgain).unwrap();
    assert!(again.contains("closes again by itself") && again.contains("heats at every closing"), "{again}");
    for style in FuseStyle::ALL.into_iter().filter(|style| !style.resets()) {
        let found = faults(&loom, 20.0, style, &[], 0.01).unwrap().warnings;
        assert!(found.iter().all(|found| found.kind != WarningKind::ClosesAgain), "{style:?}");
    }
}

#[test]
fn what_was_assumed_about_a_wire_condemns_no_fuse_and_a_dead_circuit_heats_nothing() {
    let mut loom = thin_behind_thick(0.35);
    loom.runs[1].area_assumed = true;
    assert!(faults(&loom, 15.0, FuseStyle::Blade, &[], 0.01).unwrap().warnings.is_empty());
    loom.source.live_when = state(&["key_on"]);
    assert!(heat(&loom, 40.0).is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_thicker_wire_is_never_warmer_and_every_figure_is_finite(
        seed in any::<u64>(), loads in 1_usize..12, at in 0_usize..8,
        rating in prop::sample::select(vec![2.0, 7.5, 15.0, 40.0]), thicker in 1.0..4.0_f64
    ) {
        let (loom, state) = (tangled(seed, loads, 3), states()[at].clone());
        let mut thick = loom.clone();
        // The same resistance, so that the same current flows.
        thick.runs.iter_mut().for_each(|run| run.area.0 *= thicker);
        let ask = |loom: &Harness| heating(loom, rating, FuseStyle::Blade, &state, 0.01).unwrap();
        for (thin, thick) in ask(&loom).iter().zip(ask(&thick)) {
            prop_assert!(thin.short.0.is_finite() && thin.carries < thick.carries || thicker == 1.0);
            if let (Some(thin), Some(thick)) = (thin.hottest_c, thick.hottest_c) {
                prop_assert!(thick <= thin && thick >= 70.0);
            }
            if let (Some(usual), Some(hottest)) = (thin.usual_c, thin.hottest_c) {
                prop_assert!(usual.is_finite() && hottest >= 70.0 && usual >= 70.0);
            }
            prop_assert!(thin.strain.is_some() || thick.strain.is_none());
        }
    }
}
