//! Does the plan keep its promises? On a small invented van, against its own laws and against a plain enumeration.

use std::collections::{BTreeMap, BTreeSet};

use crate::small_van::{FUSE, harness, map, small};
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::{CircuitFile, Fuse, TouchLengths};
use loomwalk::circuit::fuse::TouchModel;
use loomwalk::circuit::meter::Shown;
use loomwalk::circuit::unplug::Unplugged;
use loomwalk::ids::{AccessId, Condition, NodeId, PointId};
use loomwalk::search::electrics::{Electrics, Showed};
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use loomwalk::search::likelihood::tables;
use loomwalk::search::plan::{Plan, Search, StepKind, Walk};
use loomwalk::search::point::PointKind;
use loomwalk::units::Ohms;
use loomwalk::vehicle::body::fit;
use proptest::prelude::*;

fn state(names: &[&str]) -> Vec<Condition> {
    names.iter().map(|name| Condition::from(*name)).collect()
}

fn blow(names: &[&str]) -> Observation {
    Observation::Blow { state: state(names), motion: Motion::Smooth, heat: Heat::Warm }
}

fn look(point: &str, seen: Seen) -> Observation {
    Observation::Look { point: PointId::from(point), seen }
}

fn unplugged(node: &str, blew: bool, names: &[&str], minutes: f64) -> Observation {
    Observation::Unplugged { node: Some(NodeId::from(node)), load: None, blew, state: state(names), minutes }
}

fn chances(plan: &Plan) -> BTreeMap<&str, f64> {
    plan.points.iter().map(|point| (point.id.as_str(), point.probability)).collect()
}

fn ids(plan: &Plan) -> Vec<&str> {
    plan.steps.iter().map(|step| step.id.as_str()).collect()
}

/// The laws of 03-formats §3 that hold for every plan.
fn keeps_its_laws(search: &Search, plan: &Plan) {
    let all: f64 = plan.points.iter().map(|point| point.probability).sum::<f64>() + plan.not_listed;
    assert!((all - 1.0).abs() < 1e-9, "the chances sum to {all}");
    assert!(plan.points.iter().all(|point| (0.0..=1.0).contains(&point.probability)));
    let listed: Vec<&PointId> = search.points().iter().map(|point| &point.id).collect();
    assert_eq!(plan.points.iter().map(|point| &point.id).collect::<Vec<_>>(), listed);
    let (mut before, mut found_by, mut elapsed, mut weighted) = (BTreeSet::new(), 0.0, 0.0, 0.0);
    for (place, step) in plan.steps.iter().enumerate() {
        assert_eq!(step.n, place + 1);
        assert!(step.after.as_ref().is_none_or(|after| before.contains(after.as_str())), "{} too early", step.id);
        assert_eq!(step.chance, step.probability * step.detect);
        assert!(step.found_by >= found_by);
        assert_eq!(step.kind == StepKind::Look, step.chance > 0.0);
        found_by += step.chance;
        elapsed += step.minutes;
        weighted += step.chance * elapsed;
        assert!((step.found_by - found_by).abs() < 1e-12);
        assert!(before.insert(step.id.as_str()), "{} stands twice", step.id);
    }
    assert!((plan.left_over - (1.0 - found_by)).abs() < 1e-12);
    let mut behind = plan.legs.first().map_or(plan.steps.len(), |leg| leg.first - 1);
    let mut rate = f64::INFINITY;
    for leg in &plan.legs {
        assert_eq!(leg.first, behind + 1, "a leg begins where the one before it ends");
        let steps = &plan.steps[behind..behind + leg.steps];
        assert!((leg.minutes - steps.iter().map(|step| step.minutes).sum::<f64>()).abs() < 1e-9);
        assert!((leg.chance - steps.iter().map(|step| step.chance).sum::<f64>()).abs() < 1e-12);
        let next = if leg.minutes > 0.0 { leg.chance / leg.minutes } else { f64::INFINITY };
        assert!(next <= rate * (1.0 + 1e-9), "no leg earns more a minute than the one before it");
        (behind, rate) = (behind + leg.steps, next);
    }
    assert_eq!(behind, plan.steps.len());
    match plan.expected_minutes {
        Some(minutes) => assert!((minutes - weighted / found_by).abs() < 1e-9),
        None => assert_eq!(found_by, 0.0),
    }
}

/// The least Σ chance × completion time over all orders that `after` allows, by stages (Held & Karp 1962).
fn least_expected(plan: &Plan) -> f64 {
    let all = plan.steps.len();
    assert!(all <= 20, "{all} steps are too many to enumerate");
    let place = |after: &AccessId| plan.steps.iter().position(|step| step.id == after.as_str()).unwrap();
    let needs: Vec<Option<usize>> = plan.steps.iter().map(|step| step.after.as_ref().map(place)).collect();
    let mut best = vec![(f64::INFINITY, 0.0); 1 << all];
    best[0].0 = 0.0;
    for done in 0..1_usize << all {
        let (so_far, elapsed) = best[done];
        if so_far == f64::INFINITY {
            continue;
        }
        for (index, step) in plan.steps.iter().enumerate().filter(|(index, _)| done >> index & 1 == 0) {
            if needs[index].is_none_or(|before| done >> before & 1 == 1) {
                let at = elapsed + step.minutes;
                let next = &mut best[done | 1 << index];
                *next = (next.0.min(so_far + step.chance * at), at);
            }
        }
    }
    best[(1 << all) - 1].0 / plan.steps.iter().map(|step| step.chance).sum::<f64>()
}

#[test]
fn points_are_passages_marks_plugs_and_stretches_with_lasting_ids() {
    let search = small();
    let listed: Vec<&str> = search.points().iter().map(|point| point.id.as_str()).collect();
    assert_eq!(
        listed,
        [
            "point:passage:dash_to_sill",
            "point:zone:dash_left",
            "point:passage:sill_to_tail",
            "point:plug:c1",
            "point:zone:sill_left",
            "point:passage:floor_grommet",
            "point:r2@0.6",
            "point:zone:underbody_tunnel",
            "point:passage:tunnel_to_gearbox",
            "point:plug:c2",
            "point:zone:gearbox_top",
            "point:passage:rear_boot",
            "point:zone:tail_left",
            "point:zone:rear_closure",
        ]
    );
    let tail = search.point(&PointId::from("point:zone:tail_left")).unwrap();
    let runs: Vec<&str> = tail.runs.iter().map(|run| run.as_str()).collect();
    assert_eq!(runs, ["r4", "r5"], "the two wires share one point; the return wire makes none");
    assert_eq!(tail.colours, ["BK/YE", "GN"]);
    let mark = search.point(&PointId::from("point:r2@0.6")).unwrap();
    assert_eq!(mark.zone.as_str(), "underbody_tunnel");
    assert_eq!(mark.access, Some(AccessId::from("access:raise")));
    assert_eq!(mark.detect, 0.7);
    let evidence =
        [blow(&["key_on"]), look("point:zone:dash_left", Seen::Bare), unplugged("c2", true, &["key_on"], 0.0)];
    let plan = search.plan(&evidence, &Walk::default());
    assert_eq!(plan.points.iter().map(|point| point.id.as_str()).collect::<Vec<_>>(), listed);
}

#[test]
fn the_order_is_the_best_of_all_allowed_orders() {
    let search = small();
    for evidence in [vec![], vec![blow(&["key_on"])], vec![look("point:r2@0.6", Seen::Sound)]] {
        let plan = search.plan(&evidence, &Walk::default());
        keeps_its_laws(&search, &plan);
        assert!((plan.expected_minutes.unwrap() - least_expected(&plan)).abs() < 1e-9);
    }
}

#[test]
fn what_was_dead_at_the_blow_has_no_chance_and_no_step() {
    let search = small();
    let plan = search.plan(&[blow(&["key_on"])], &Walk::default());
    let chance = chances(&plan);
    // Only the reversing lamp's wire goes there, behind the open switch on the gearbox.
    assert_eq!(chance["point:zone:rear_closure"], 0.0);
    assert_eq!(chance["point:passage:rear_boot"], 0.0);
    assert!(chance["point:zone:tail_left"] > 0.0);
    assert!(!ids(&plan).contains(&"point:passage:rear_boot"));
    let reversing = search.plan(&[blow(&["key_on", "reverse"])], &Walk::default());
    assert!(reversing.points.iter().all(|point| point.probability > 0.0));
}

#[test]
fn unplugged_and_still_blown_clears_exactly_what_hangs_behind() {
    let search = small();
    let before = search.plan(&[], &Walk::default());
    assert!(before.points.iter().all(|point| point.probability > 0.0));
    let plan = search.plan(&[unplugged("c2", true, &[], 0.0)], &Walk::default());
    let cleared: Vec<&str> =
        plan.points.iter().filter(|point| point.probability == 0.0).map(|point| point.id.as_str()).collect();
    assert_eq!(cleared, ["point:zone:gearbox_top", "point:passage:rear_boot", "point:zone:rear_closure"]);
    let (old, new) = (chances(&before), chances(&plan));
    // The tail has a second wire that does not hang behind the plug: it keeps that wire's part.
    assert!(new["point:zone:tail_left"] > 0.0);
    for uncut in ["point:zone:dash_left", "point:r2@0.6", "point:passage:sill_to_tail"] {
        let grown = new[uncut] / old[uncut];
        assert!((grown - new["point:zone:dash_left"] / old["point:zone:dash_left"]).abs() < 1e-9, "{uncut}");
    }
    let load = Observation::Unplugged { node: None, load: Some("l2".into()), blew: true, state: vec![], minutes: 0.0 };
    let at_load = search.plan(&[load], &Walk::default());
    assert!(at_load.points.iter().all(|point| point.probability > 0.0), "its wire is still there, up to the plug");
}

#[test]
fn unplugged_and_held_speaks_for_what_hangs_behind() {
    let search = small();
    let state = ["key_on", "reverse"];
    let before = search.plan(&[blow(&state)], &Walk::default());
    let plan = search.plan(&[blow(&state), unplugged("c2", false, &state, 90.0)], &Walk::default());
    let (old, new) = (chances(&before), chances(&plan));
    assert!(new["point:passage:rear_boot"] > 1.5 * old["point:passage:rear_boot"]);
    assert!(new["point:zone:dash_left"] < old["point:zone:dash_left"]);
    assert!(new["point:zone:dash_left"] > 0.0);
}

#[test]
fn surviving_minutes_speak_against_what_was_live() {
    let search = small();
    let held =
        |minutes| Observation::Held { state: state(&["key_on"]), motion: Motion::Rough, heat: Heat::Hot, minutes };
    let [before, short, long, absurd] =
        [0.0, 10.0, 100.0, f64::MAX].map(|minutes| search.plan(&[held(minutes)], &Walk::default()));
    let boot = |plan: &Plan| chances(plan)["point:passage:rear_boot"];
    assert!(boot(&before) < boot(&short) && boot(&short) < boot(&long) && boot(&long) < boot(&absurd));
    keeps_its_laws(&search, &absurd);
    assert!(absurd.points.iter().all(|point| point.probability > 0.0));
}

#[test]
fn a_sound_look_lowers_its_point_and_raises_every_other() {
    let search = small();
    let before = search.plan(&[], &Walk::default());
    for point in search.points() {
        let plan = search.plan(&[look(point.id.as_str(), Seen::Sound)], &Walk::default());
        for (new, old) in plan.points.iter().zip(&before.points) {
            let lower = new.id == point.id;
            assert_eq!(new.probability < old.probability, lower, "{} after a look at {}", new.id, point.id);
            assert_eq!(new.probability > old.probability, !lower);
        }
        assert!(plan.not_listed > before.not_listed);
        assert!(!ids(&plan).contains(&point.id.as_str()));
    }
}

#[test]
fn looks_speak_as_loud_as_what_was_seen() {
    let search = small();
    let after = |seen: &[Seen]| {
        let evidence: Vec<Observation> = seen.iter().map(|seen| look("point:r2@0.6", *seen)).collect();
        let plan = search.plan(&evidence, &Walk::default());
        (chances(&plan)["point:r2@0.6"], ids(&plan).contains(&"point:r2@0.6"))
    };
    let (nothing, step) = after(&[]);
    assert!(step);
    assert_eq!(after(&[Seen::NotSeen]), (nothing, true), "what could not be seen is still to be looked at");
    let (sound, step) = after(&[Seen::Sound]);
    assert!(!step && sound < nothing);
    assert_eq!(after(&[Seen::Sound, Seen::Sound]).0, sound, "the same look again misses the same things");
    let rising = [Seen::Marked, Seen::Thinned, Seen::Bare].map(|seen| after(&[seen]).0);
    assert!(nothing < rising[0] && rising.is_sorted());
    assert!(rising[2] > 0.95, "a bare live wire beside metal all but settles it: {}", rising[2]);
}

#[test]
fn presses_speak_by_their_number_and_by_what_was_live() {
    let search = small();
    let after = |point: &str, opened, presses, names: &[&str]| {
        let point_id = PointId::from(point);
        let press = Observation::Press { point: point_id, opened, presses, state: state(names) };
        chances(&search.plan(&[press], &Walk::default()))[point]
    };
    let before = chances(&search.plan(&[], &Walk::default()))["point:r2@0.6"];
    let held = [1, 3, 9].map(|presses| after("point:r2@0.6", false, presses, &["key_on"]));
    assert!(before > held[0] && held[0] > held[1] && held[1] > held[2] && held[2] > 0.0);
    let sill = "point:zone:sill_left";
    assert!(after(sill, true, 1, &["key_on"]) > 5.0 * chances(&search.plan(&[], &Walk::default()))[sill]);
    let dead = after("point:zone:rear_closure", false, 9, &["key_on"]);
    let untouched = chances(&search.plan(&[], &Walk::default()))["point:zone:rear_closure"];
    assert_eq!(dead, untouched, "pressing a dead wire says nothing");
}

#[test]
fn everything_ruled_out_is_said_with_what_is_likely_wrong() {
    let search = small();
    let cases = [
        (vec![blow(&["reverse"])], "no wire on the list was live"),
        (
            vec![
                blow(&["reverse"]),
                Observation::Blow { state: state(&["reverse"]), motion: Motion::Rough, heat: Heat::Hot },
            ],
            "no wire on the list was live",
        ),
        (vec![unplugged("fuse", true, &["key_on"], 1.0)], "unplugged at some time"),
    ];
    for (evidence, words) in cases {
        let plan = search.plan(&evidence, &Walk::default());
        keeps_its_laws(&search, &plan);
        assert_eq!((plan.not_listed, plan.steps.len(), plan.expected_minutes), (1.0, 0, None));
        let said = plan.notes.iter().filter(|note| note.contains(words)).count();
        assert_eq!(said, 1, "{:?}", plan.notes);
    }
}

#[test]
fn a_short_that_cannot_open_the_fuse_is_no_cause() {
    let with = |fuse: &Fuse, ohms: f64| {
        let mut harness = harness();
        harness.runs[3].ohms = loomwalk::units::Ohms(ohms);
        Search::new(&harness, &map(), fuse).plan(&[blow(&["key_on"])], &Walk::default())
    };
    let plan = with(&FUSE, 0.01);
    let (short, long) = (chances(&plan), with(&FUSE, 0.3));
    let long = chances(&long);
    // r4 alone goes on to the tail: the more ohms, the less often a touch there opens the fuse.
    assert!(long["point:zone:tail_left"] < 0.9 * short["point:zone:tail_left"]);
    assert!(long["point:zone:tail_left"] > 0.0);
    let huge = with(&Fuse { rating_a: 1000.0, ..FUSE }, 0.01);
    assert_eq!((huge.not_listed, huge.steps.len()), (1.0, 0));
    assert!(huge.notes.iter().any(|note| note.contains("too weak to open this fuse")), "{:?}", huge.notes);
}

#[test]
fn where_only_long_touches_open_the_fuse_the_stated_lengths_move_the_chances() {
    let mut harness = harness();
    harness.runs[3].ohms = loomwalk::units::Ohms(0.3);
    let with = |touches| {
        let search = Search::touching(&harness, &map(), &FUSE, touches);
        let plan = search.plan(&[blow(&["key_on"])], &Walk::default());
        keeps_its_laws(&search, &plan);
        chances(&plan)["point:zone:tail_left"]
    };
    let shipped = Search::new(&harness, &map(), &FUSE).plan(&[blow(&["key_on"])], &Walk::default());
    assert_eq!(with(TouchModel::of(None)), chances(&shipped)["point:zone:tail_left"]);
    // The tail is far away on a poor wire: a fuse that opened speaks for it the more, the longer wires touch.
    let of = |shortest_s, longest_s| with(TouchModel::of(Some(TouchLengths { shortest_s, longest_s })));
    let (brief, long) = (of(0.001, 0.1), of(1.0, 100.0));
    assert!(brief < with(TouchModel::of(None)) && with(TouchModel::of(None)) < long, "{brief} {long}");
}

#[test]
fn currents_that_cannot_be_computed_are_said_and_cost_no_place() {
    let mut harness = harness();
    harness.source.volts = f64::NAN;
    let search = Search::new(&harness, &map(), &FUSE);
    let plan = search.plan(&[blow(&["key_on"])], &Walk::default());
    keeps_its_laws(&search, &plan);
    assert!(!plan.steps.is_empty());
    assert!(plan.notes.iter().any(|note| note.starts_with("The currents could not be computed")), "{:?}", plan.notes);
}

#[test]
fn a_blow_of_which_nothing_was_noted_does_not_rule_everything_out() {
    let search = small();
    let plan = search.plan(&[blow(&[])], &Walk::default());
    assert!(plan.points.iter().all(|point| point.probability > 0.0));
    assert!(plan.notes.iter().any(|note| note.contains("does not say what was switched on")));
}

#[test]
fn a_place_is_likelier_after_a_blow_that_fits() {
    let search = small();
    let after = |motion, heat, point: &str| {
        let state = state(&["key_on", "reverse"]);
        chances(&search.plan(&[Observation::Blow { state, motion, heat }], &Walk::default()))[point]
    };
    let boot = "point:passage:rear_boot";
    assert!(after(Motion::DoorMoved, Heat::Warm, boot) > 2.0 * after(Motion::Smooth, Heat::Warm, boot));
    let tunnel = "point:zone:underbody_tunnel";
    assert!(after(Motion::Smooth, Heat::Hot, tunnel) > after(Motion::Smooth, Heat::Warm, tunnel));
    let gearbox = "point:zone:gearbox_top";
    assert!(after(Motion::Rough, Heat::Warm, gearbox) > after(Motion::Still, Heat::Warm, gearbox));
}

#[test]
fn done_steps_are_free_and_only_needed_ones_are_listed() {
    let search = small();
    let all = search.plan(&[], &Walk::default());
    let after = |plan: &Plan, id: &str| {
        let step = plan.steps.iter().find(|step| step.id == id);
        step.and_then(|step| step.after.as_ref()).map(|after| after.to_string())
    };
    assert_eq!(after(&all, "access:undertray").as_deref(), Some("access:raise"));
    assert_eq!(after(&all, "point:zone:gearbox_top").as_deref(), Some("access:undertray"));
    let raised = Walk { open: BTreeSet::from(["access:raise".into()]), ..Walk::default() };
    let plan = search.plan(&[], &raised);
    assert!(!ids(&plan).contains(&"access:raise"));
    assert_eq!(after(&plan, "access:undertray"), None);
    assert_eq!(after(&plan, "point:r2@0.6"), None);
    let under = Walk { open: BTreeSet::from(["access:undertray".into()]), ..Walk::default() };
    assert_eq!(after(&search.plan(&[], &under), "point:zone:gearbox_top").as_deref(), Some("access:raise"));
    let looks: Vec<Observation> = ["zone:rear_closure", "passage:rear_boot", "zone:tail_left"]
        .map(|name| look(&format!("point:{name}"), Seen::Sound))
        .into();
    let plan = search.plan(&looks, &Walk::default());
    assert!(!ids(&plan).contains(&"access:tail_trim"), "nothing is left behind the trim");
}

#[test]
fn what_was_asked_for_first_leads_and_what_cannot_be_reached_stays_out() {
    let search = small();
    let first = Walk { first: Some("point:zone:gearbox_top".into()), ..Walk::default() };
    let plan = search.plan(&[], &first);
    keeps_its_laws(&search, &plan);
    assert_eq!(ids(&plan)[..3], ["access:raise", "access:undertray", "point:zone:gearbox_top"]);
    let without = Walk { out_of_reach: BTreeSet::from(["point:zone:gearbox_top".into()]), ..first.clone() };
    let plan = search.plan(&[], &without);
    keeps_its_laws(&search, &plan);
    assert!(!ids(&plan).contains(&"point:zone:gearbox_top"));
    assert_eq!(chances(&plan), chances(&search.plan(&[], &Walk::default())), "it keeps its chance");
    let looked = search.plan(&[look("point:zone:gearbox_top", Seen::Sound)], &first);
    assert!(!ids(&looked).contains(&"point:zone:gearbox_top"), "once looked at, it leads no more");
}

#[test]
fn reasons_name_what_counts_most() {
    let search = small();
    let door = Observation::Blow { state: state(&["key_on", "reverse"]), motion: Motion::DoorMoved, heat: Heat::Warm };
    let plan = search.plan(&[door.clone(), blow(&["key_on", "reverse"])], &Walk::default());
    let why = |id: &str| plan.steps.iter().find(|step| step.id == id).unwrap().why.clone();
    assert_eq!(
        why("point:passage:rear_boot"),
        ["fits a blow as a door moved ×6", "moves with the door ×4", "edges and bare metal close by ×2.5"]
    );
    assert_eq!(why("point:r2@0.6")[0], "marked: grommet missing ×8");
    assert!(plan.steps.iter().filter(|step| step.kind == StepKind::Look).all(|step| (1..=3).contains(&step.why.len())));
    let plan = search.plan(&[blow(&["key_on"]), blow(&["key_on"])], &Walk::default());
    let both =
        |step: &&loomwalk::search::plan::Step| step.why.iter().any(|why| why.starts_with("was live at both blows"));
    assert!(plan.steps.iter().any(|step| both(&step)), "{:?}", plan.steps);
}

#[test]
fn presses_while_the_wire_was_dead_say_nothing_and_are_no_reason() {
    let search = small();
    let boot = "point:passage:rear_boot";
    let before = search.plan(&[], &Walk::default());
    let place = before.points.iter().position(|point| point.id.as_str() == boot).unwrap();
    for opened in [false, true] {
        let pressed = |state: &[&str]| {
            let press = Observation::Press { point: boot.into(), opened, presses: 10, state: self::state(state) };
            let plan = search.plan(&[press], &Walk::default());
            let step = plan.steps.iter().find(|step| step.id == boot).map(|step| step.why.join("; "));
            (plan.points[place].probability, step.unwrap_or_default())
        };
        // Its wire is only fed in reverse.
        let (dead, why) = pressed(&["key_on"]);
        assert!((dead - before.points[place].probability).abs() < 1e-12 && !why.contains("press"), "{dead}: {why}");
        let (live, why) = pressed(&["key_on", "reverse"]);
        assert!((live > dead) == opened && live != dead && why.contains("press"), "{live}: {why}");
    }
}

#[test]
fn a_wire_with_a_stated_way_rubs_at_a_passage_as_well_as_one_whose_way_is_assumed() {
    let mut file: serde_json::Value =
        serde_json::from_slice(include_bytes!("../assets/demo/van.circuit.json")).unwrap();
    // Both number-plate lamps as they are when only their kind was picked: their wire goes through the same boot as r4.
    for (load, item) in [(5, "plate_lamp_left"), (6, "plate_lamp_right")] {
        assert_eq!(file["loads"][load]["kind"], "filament_lamp");
        file["loads"][load] = serde_json::json!({ "id": item, "item": item });
    }
    let file: CircuitFile = serde_json::from_value(file).unwrap();
    let map = fit(&file.vehicle);
    let search = Search::of_circuit(&file, &expand(&file, &map), &map.map);
    let boot = search.points().iter().find(|point| point.id.as_str() == "point:passage:boot_rear_left").unwrap();
    assert!(boot.runs.iter().any(|run| run.as_str() == "r4") && boot.runs.len() > 1, "{:?}", boot.runs);
    // With the lamps off only r4 is live there.
    let plan = search.plan(&[blow(&["key_on"])], &Walk::default());
    let chance = plan.points.iter().find(|point| point.id == boot.id).unwrap().probability;
    assert!(chance > 0.03, "{chance}");
}

#[test]
fn loads_without_a_place_take_their_share() {
    let mut harness = harness();
    let placed = Search::new(&harness, &map(), &FUSE).plan(&[], &Walk::default());
    assert!((placed.not_listed - tables().not_listed.share).abs() < 1e-12);
    harness.unplaced.push("l9".into());
    let plan = Search::new(&harness, &map(), &FUSE).plan(&[], &Walk::default());
    // Three loads and the common feed, one of them nowhere.
    assert!((plan.not_listed - (0.03 + 0.97 / 4.0)).abs() < 1e-12, "{}", plan.not_listed);
}

#[test]
fn a_circuit_without_any_way_has_no_points_and_says_so() {
    let mut harness = harness();
    for run in &mut harness.runs {
        run.path.clear();
    }
    // Its plugs are then nowhere as well, not at the fuse box.
    for node in &mut harness.nodes {
        node.zone = None;
    }
    harness.marks.clear();
    let search = Search::new(&harness, &map(), &FUSE);
    let plan = search.plan(&[blow(&["key_on"])], &Walk::default());
    keeps_its_laws(&search, &plan);
    assert_eq!((plan.not_listed, plan.points.len()), (1.0, 0));
    assert!(plan.notes.iter().any(|note| note.contains("no place to look yet")));
}

#[test]
fn observations_of_another_circuit_are_named_and_left_out() {
    let search = small();
    let evidence = [blow(&["key_on"]), look("point:zone:nowhere", Seen::Bare), unplugged("c9", true, &[], 1.0)];
    assert_eq!(
        search.check(&evidence).unwrap_err().to_string(),
        "/items/1/point: this circuit has no point \"point:zone:nowhere\"; `loomwalk plan` lists its points, the \
         circuit file the rest"
    );
    assert!(
        search.check(&evidence[2..]).unwrap_err().to_string().starts_with("/items/0/node: this circuit has no node")
    );
    assert_eq!(search.check(&evidence[..1]), Ok(()));
    let plan = search.plan(&evidence, &Walk::default());
    assert_eq!(plan.points, search.plan(&evidence[..1], &Walk::default()).points);
    assert_eq!(plan.notes.len(), 2, "{:?}", plan.notes);
}

/// Any observation on the small van.
fn observation() -> impl Strategy<Value = Observation> {
    let points: Vec<PointId> = small().points().iter().map(|point| point.id.clone()).collect();
    let point = || prop::sample::select(points.clone());
    let on = || prop::sample::subsequence(vec!["key_on", "reverse", "brake"], 0..=3).prop_map(|names| state(&names));
    let motion = || {
        let all = vec![Motion::Still, Motion::Smooth, Motion::Rough, Motion::Turning, Motion::DoorMoved];
        prop::sample::select(all)
    };
    let heat = || prop::sample::select(vec![Heat::Cold, Heat::Warm, Heat::Hot]);
    let seen =
        prop::sample::select(vec![Seen::Sound, Seen::Marked, Seen::Thinned, Seen::Bare, Seen::Severed, Seen::NotSeen]);
    let node = prop::sample::select(vec!["s1", "c1", "c2", "l1.feed"]);
    prop_oneof![
        (on(), motion(), heat()).prop_map(|(state, motion, heat)| Observation::Blow { state, motion, heat }),
        (on(), motion(), heat(), 0.0..500.0).prop_map(|(state, motion, heat, minutes)| Observation::Held {
            state,
            motion,
            heat,
            minutes
        }),
        (node, any::<bool>(), on(), 0.0..90.0).prop_map(|(node, blew, state, minutes)| Observation::Unplugged {
            node: Some(node.into()),
            load: None,
            blew,
            state,
            minutes
        }),
        (prop::option::of(0.0..40.0), prop::sample::subsequence(vec!["s1", "c1", "c2"], 0..=2), on()).prop_map(
            |(ohms, nodes, state)| Observation::Meter {
                ohms,
                unplugged: nodes.into_iter().map(|node| Unplugged::Node(node.into())).collect(),
                state
            }
        ),
        (point(), seen).prop_map(|(point, seen)| Observation::Look { point, seen }),
        (point(), any::<bool>(), 0..20_u32, on()).prop_map(|(point, opened, presses, state)| Observation::Press {
            point,
            opened,
            presses,
            state
        }),
    ]
}

/// The posterior by plain products over every wire at every point, straight from 02-model §6: no logarithms, no
/// sorting, the live wires by hand.
fn by_enumeration(search: &Search, electrics: &Electrics, evidence: &[Observation]) -> Vec<f64> {
    let tables = tables();
    let on = |state: &[Condition], name: &str| state.iter().any(|condition| condition.as_str() == name);
    // r1 to r4 hang on the fuse; r5 and r6 hang on r3's far end through the reversing switch; r7 is behind a load.
    let live = |run: usize, state: &[Condition]| on(state, "key_on") && (run < 4 || run < 6 && on(state, "reverse"));
    let behind = |node: &str, run: usize| match node {
        "s1" => run != 0,
        "c1" => run == 3,
        "c2" => run == 4 || run == 5,
        _ => false,
    };
    let noted =
        |state: &[Condition]| if state.is_empty() { self::state(&["key_on", "reverse"]) } else { state.to_vec() };
    let opens = |run: usize, at: f64, state: &[Condition]| {
        let facts = electrics.in_state(&electrics.relevant(state)).runs[run];
        if live(run, state) { facts.near * (1.0 - at) + facts.far * at } else { 0.0 }
    };

    // (point, run, place on the run, chance)
    let mut guesses = Vec::new();
    for (place, point) in search.points().iter().enumerate() {
        let feature = match &point.kind {
            PointKind::Zone { metres } => *metres,
            PointKind::Passage(kind) => tables.base.passage.of(*kind),
            PointKind::Plug => tables.base.plug,
            PointKind::Mark(kinds) => tables.base.mark * tables.mark.of(kinds[0]),
        };
        let weight = tables.exposure.factors(point.exposures).iter().fold(feature, |weight, factor| weight * factor);
        let metres: f64 = point.crossings.iter().map(|crossing| crossing.metres).sum();
        for crossing in &point.crossings {
            let by_metres = matches!(point.kind, PointKind::Zone { .. }) && metres > 0.0;
            let share = if by_metres { crossing.metres / metres } else { 1.0 / point.crossings.len() as f64 };
            guesses.push((place, crossing.run, crossing.at, weight * share));
        }
    }
    let all: f64 = guesses.iter().map(|guess| guess.3).sum();
    guesses.iter_mut().for_each(|guess| guess.3 *= (1.0 - tables.not_listed.share) / all);
    let prior: Vec<f64> = guesses.iter().map(|guess| guess.3).collect();
    let usual = |factors: &[f64]| {
        let (weight, sum) = prior
            .iter()
            .zip(factors)
            .filter(|(_, factor)| **factor > 0.0)
            .fold((0.0, 0.0), |(weight, sum), (chance, factor)| (weight + chance, sum + chance * factor));
        if weight > 0.0 { sum / weight } else { 1.0 }
    };

    let mut posterior = prior.clone();
    let mut elsewhere = tables.not_listed.share;
    let mut survived = vec![0.0; prior.len()];
    let mut survived_elsewhere = 0.0;
    let mut blows = 0;
    let mut looked: BTreeSet<(usize, bool)> = BTreeSet::new();
    let mut worst: BTreeMap<usize, Seen> = BTreeMap::new();
    let mut held_presses: Vec<u32> = vec![0; prior.len()];
    let provoked = |state: &[Condition], motion: Motion, heat: Heat| -> Vec<f64> {
        let factor = |guess: &(usize, usize, f64, f64)| {
            let point = &search.points()[guess.0];
            opens(guess.1, guess.2, state)
                * tables.motion.factor(motion, point.exposures, point.hinged)
                * tables.warmth.factor(heat, point.exposures)
        };
        guesses.iter().map(factor).collect()
    };
    let mut survive = |factors: &[f64], minutes: f64| {
        survived.iter_mut().zip(factors).for_each(|(sum, factor)| *sum += factor * minutes);
        let mean: f64 = prior.iter().zip(factors).map(|(chance, factor)| chance * factor).sum();
        survived_elsewhere += mean / (1.0 - tables.not_listed.share) * minutes;
    };
    type Told = (Showed, Vec<f64>);
    let mut readings: BTreeMap<(Vec<String>, BTreeSet<Condition>), Told> = BTreeMap::new();
    for item in evidence {
        match item {
            Observation::Meter { ohms, unplugged, state } => {
                let relevant = electrics.relevant(state);
                let shown = ohms.map_or(Shown::Open, |ohms| Shown::Ohms(Ohms(ohms)));
                let Some(showed) = electrics.shows(shown, unplugged, &relevant) else { continue };
                let out: Vec<String> = unplugged.iter().map(ToString::to_string).collect();
                let tied = |run: usize| {
                    (run < 4 || run < 6 && on(state, "reverse")) && !out.iter().any(|node| behind(node, run))
                };
                let less = |run| {
                    let touches = if tied(run) { tables.meter.touches } else { 0.0 };
                    touches + (1.0 - touches) * tables.meter.misled
                };
                let factors = guesses.iter().map(|guess| match showed {
                    Showed::Less => less(guess.1),
                    Showed::AsExpected => 1.0 - less(guess.1),
                });
                let key = (out.iter().cloned().collect::<BTreeSet<_>>().into_iter().collect(), relevant);
                let told = (showed, factors.collect());
                readings
                    .entry(key)
                    .and_modify(|known| {
                        if told.0 > known.0 {
                            known.clone_from(&told)
                        }
                    })
                    .or_insert(told);
            }
            Observation::Blow { state, motion, heat } => {
                blows += 1;
                let factors = provoked(&noted(state), *motion, *heat);
                posterior.iter_mut().zip(&factors).for_each(|(chance, factor)| *chance *= factor);
                elsewhere *= usual(&factors);
            }
            Observation::Held { state, motion, heat, minutes } => {
                survive(&provoked(&noted(state), *motion, *heat), *minutes);
            }
            Observation::Unplugged { node, blew: true, .. } => {
                let node = node.as_ref().unwrap().as_str();
                let gone = |guess: &(usize, usize, f64, f64)| behind(node, guess.1);
                posterior
                    .iter_mut()
                    .zip(&guesses)
                    .filter(|(_, guess)| gone(guess))
                    .for_each(|(chance, _)| *chance = 0.0);
            }
            Observation::Unplugged { node, state, minutes, .. } => {
                let node = node.as_ref().unwrap().as_str();
                let state = noted(state);
                let left = |guess: &(usize, usize, f64, f64)| {
                    if behind(node, guess.1) { 0.0 } else { opens(guess.1, guess.2, &state) }
                };
                survive(&guesses.iter().map(left).collect::<Vec<_>>(), *minutes);
            }
            Observation::Look { point, seen } => {
                let place = search.points().iter().position(|other| other.id == *point).unwrap();
                match seen {
                    Seen::NotSeen => {}
                    Seen::Sound => drop(looked.insert((place, true))),
                    damage => {
                        let worst = worst.entry(place).or_insert(*damage);
                        *worst = (*worst).max(*damage);
                    }
                }
            }
            Observation::Press { point, opened, presses, state } => {
                let unnoted = *opened && state.is_empty();
                let state = if unnoted { vec!["key_on".into(), "reverse".into()] } else { noted(state) };
                for (index, guess) in guesses.iter().enumerate() {
                    let here = search.points()[guess.0].id == *point;
                    if here && *opened && live(guess.1, &state) {
                        posterior[index] *= tables.press.factor(true, *presses);
                    } else if here && !*opened && live(guess.1, &state) {
                        held_presses[index] += presses;
                    }
                }
            }
        }
    }
    if blows == 0 {
        let factors: Vec<f64> =
            guesses.iter().map(|guess| opens(guess.1, guess.2, &state(&["key_on", "reverse"]))).collect();
        posterior.iter_mut().zip(&factors).for_each(|(chance, factor)| *chance *= factor);
        elsewhere *= usual(&factors);
    }
    for (_, factors) in readings.values() {
        posterior.iter_mut().zip(factors).for_each(|(chance, factor)| *chance *= factor);
        elsewhere *= usual(factors);
    }
    let bare: Vec<usize> = worst.iter().filter(|(_, seen)| **seen >= Seen::Bare).map(|(place, _)| *place).collect();
    for (index, guess) in guesses.iter().enumerate().filter(|(_, guess)| !bare.contains(&guess.0)) {
        let here = &search.points()[guess.0];
        let times = bare.iter().map(|place| {
            let there = &search.points()[*place];
            let part = if here.zone == there.zone { tables.second.same_part } else { 1.0 };
            let wire = here.crossings.iter().any(|one| there.crossings.iter().any(|other| one.run == other.run));
            let edge = here.contacts.iter().any(|edge| there.contacts.contains(edge));
            part * if wire { tables.second.same_wire } else { 1.0 } * if edge { tables.second.same_edge } else { 1.0 }
        });
        posterior[index] *= times.fold(1.0, f64::max);
    }
    let power = tables.rate.shape + f64::from(blows.max(1));
    let surviving = |minutes: f64| (tables.rate.minutes / (tables.rate.minutes + minutes)).powf(power);
    for (index, guess) in guesses.iter().enumerate() {
        let detect = search.points()[guess.0].detect;
        let sound = if looked.contains(&(guess.0, true)) { 1.0 - detect } else { 1.0 };
        let damage = worst.get(&guess.0).map_or(1.0, |seen| tables.seen.factor(*seen, detect));
        posterior[index] *=
            surviving(survived[index]) * sound * damage * tables.press.factor(false, held_presses[index]);
    }
    elsewhere *= surviving(survived_elsewhere);
    let all: f64 = posterior.iter().sum::<f64>() + elsewhere;
    let mut points = vec![0.0; search.points().len()];
    guesses.iter().zip(&posterior).for_each(|(guess, chance)| points[guess.0] += chance / all);
    points
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_plan_keeps_its_laws(evidence in prop::collection::vec(observation(), 0..12)) {
        let search = small();
        keeps_its_laws(&search, &search.plan(&evidence, &Walk::default()));
    }

    #[test]
    fn the_order_of_the_evidence_does_not_matter(
        (evidence, shuffled) in prop::collection::vec(observation(), 0..12)
            .prop_flat_map(|evidence| (Just(evidence.clone()), Just(evidence).prop_shuffle()))
    ) {
        let search = small();
        prop_assert_eq!(search.plan(&evidence, &Walk::default()), search.plan(&shuffled, &Walk::default()));
    }

    #[test]
    fn taking_an_observation_back_gives_the_plan_from_before(
        evidence in prop::collection::vec(observation(), 0..8), more in observation()
    ) {
        let search = small();
        let before = search.plan(&evidence, &Walk::default());
        let longer: Vec<Observation> = evidence.iter().chain([&more]).cloned().collect();
        search.plan(&longer, &Walk::default());
        prop_assert_eq!(before, search.plan(&evidence, &Walk::default()));
    }

    #[test]
    fn the_chances_are_those_of_a_plain_enumeration(evidence in prop::collection::vec(observation(), 0..10)) {
        let search = small();
        let electrics = Electrics::new(&harness(), &FUSE, TouchModel::stated());
        let plan = search.plan(&evidence, &Walk::default());
        for (point, expected) in plan.points.iter().zip(by_enumeration(&search, &electrics, &evidence)) {
            prop_assert!((point.probability - expected).abs() < 1e-9, "{}: {} against {expected}", point.id, point.probability);
        }
    }
}

#[test]
fn a_fuse_is_told_apart_only_by_what_it_does() {
    let fuse = Fuse { label: "another name".to_owned(), ..FUSE };
    let other = Search::new(&harness(), &map(), &fuse);
    assert_eq!(other.plan(&[], &Walk::default()), small().plan(&[], &Walk::default()));
}
