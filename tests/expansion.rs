//! What harness comes out of a circuit? What was stated stays, what was assumed is named, and ids stay the same.

use std::collections::{BTreeMap, BTreeSet};

use crate::small_map::{describe, small_map};
use expect_test::{expect, expect_file};
use loomwalk::catalogue;
use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::{Body, CircuitFile, MarkPlace, OptionState, Side};
use loomwalk::circuit::harness::{Harness, HarnessRun, NodeIx, Place};
use loomwalk::circuit::meter::{AtRest, at_rest_ohms};
use loomwalk::circuit::network;
use loomwalk::ids::{Condition, LoadId, OptionId};
use loomwalk::units::Ohms;
use loomwalk::vehicle::fit::map_for;
use proptest::prelude::*;

const SMALL_VAN: &str = include_str!("cases/circuits/small_van.json");

fn small_van() -> CircuitFile {
    check::read(SMALL_VAN.as_bytes()).unwrap()
}

/// A circuit with these loads on a 15 A fuse at the left of the dash.
fn loads(loads: &str) -> CircuitFile {
    let file = format!(
        r#"{{"format": "loomwalk/circuit", "version": 1, "fuse": {{"rating_a": 15, "zone": "dash_left"}}, {loads}}}"#
    );
    check::read(file.as_bytes()).unwrap()
}

fn expanded(file: &CircuitFile) -> Harness {
    expand(file, &small_map())
}

/// About 3 Ω cold (from memory), 7.8 Ω hot (a data sheet): right after a drive it is still hot.
#[test]
fn a_sensors_heater_is_expected_from_cold_to_as_it_runs() {
    let of = |load: &str| {
        let harness = expanded(&loads(&format!(r#""loads": [{load}]"#)));
        let [load] = harness.loads.as_slice() else { panic!("{:?}", harness.loads) };
        (AtRest::of(load), at_rest_ohms(load))
    };
    let (kind, ohms) = of(r#"{"id": "o", "item": "oxygen_front"}"#);
    assert_eq!(kind, AtRest::ColdHeater);
    assert!((ohms.value - 3.0).abs() < 1e-9 && ohms.least < 3.0 && ohms.most > 7.8, "{ohms:?}");
    // Of another size than the catalogue's, in proportion; of another kind, as that kind is.
    assert!((of(r#"{"id": "o", "item": "oxygen_front", "ohms": 15.6}"#).1.value - 6.0).abs() < 1e-9);
    let (kind, ohms) = of(r#"{"id": "o", "item": "oxygen_front", "kind": "resistor", "ohms": 15.6}"#);
    assert_eq!((kind, ohms.value), (AtRest::AsRunning, 15.6));
}

fn run<'a>(harness: &'a Harness, id: &str) -> &'a HarnessRun {
    let ids: Vec<_> = harness.runs.iter().map(|run| run.id.as_str()).collect();
    harness.runs.iter().find(|run| run.id.as_str() == id).unwrap_or_else(|| panic!("no {id} in {ids:?}"))
}

fn places(run: &HarnessRun) -> Vec<&str> {
    let places = run.path.iter().map(|stretch| match &stretch.place {
        Place::Zone(zone) => zone.as_str(),
        Place::Passage(passage) => passage.as_str(),
    });
    places.collect()
}

fn has_node(harness: &Harness, id: &str) -> bool {
    harness.nodes.iter().any(|node| node.id.as_str() == id)
}

/// Ids, ends, lengths, areas and ways, whatever their order.
fn by_id(harness: &Harness) -> BTreeMap<String, String> {
    let name = |node: NodeIx| harness.nodes[node.0].id.to_string();
    let runs = harness.runs.iter().map(|run| {
        let ends = (name(run.from), name(run.to));
        (run.id.to_string(), format!("{ends:?} {:?} {:?} {:?} {:?}", run.length, run.area, run.ohms, run.path))
    });
    let switches = harness.switches.iter().map(|switch| {
        let ends = (name(switch.from), name(switch.to));
        (format!("switch {}", switch.id), format!("{ends:?} {:?} {:?}", switch.closed_when, switch.zone))
    });
    let loads = harness.loads.iter().map(|load| {
        let ends = (name(load.feed), name(load.return_));
        (format!("load {}", load.id), format!("{ends:?} {:?} {:?} {:?}", load.ohms, load.zone, load.live_when))
    });
    let nodes =
        harness.nodes.iter().map(|node| (format!("node {}", node.id), format!("{:?} {:?}", node.zone, node.kind)));
    runs.chain(switches).chain(loads).chain(nodes).collect()
}

#[test]
fn the_small_van_has_this_harness() {
    expect_file!["cases/circuits/small_van.harness.txt"].assert_eq(&describe(&expanded(&small_van())));
}

#[test]
fn what_was_stated_is_kept() {
    let file = small_van();
    let harness = expanded(&file);
    for stated in file.runs.iter().filter(|run| run.id.as_str() != "r7") {
        let kept = run(&harness, stated.id.as_str());
        assert!(!kept.assumed && !kept.lead);
        assert_eq!(harness.nodes[kept.from.0].id, stated.from);
        assert_eq!(harness.nodes[kept.to.0].id, stated.to);
        assert_eq!(kept.length.0, stated.length_m.unwrap());
        assert_eq!(kept.colour, stated.colour);
        if let Some(area) = stated.area_mm2 {
            assert_eq!(kept.area.0, area);
        }
    }
    // 03-formats §1 by hand: 1.8 m × 0.017241 / 0.75 mm² = 41.38 mΩ.
    assert!((run(&harness, "r1").ohms.0 - 0.0413784).abs() < 1e-9);
    // 20 AWG: 33.31 mΩ/m at 20 °C (ASTM B258 through a published wire table); 3.4 m at 40 °C: × 1.0786.
    assert!((run(&harness, "r4").ohms.0 - 3.4 * 0.03331 * 1.0786).abs() < 2e-5);
    assert_eq!(places(run(&harness, "r1")), ["dash_left", "open_dash_sill", "sill_left"]);
    let watts_10_at_12_volts = harness.loads.iter().find(|load| load.id.as_str() == "lamp_left").unwrap();
    assert!((watts_10_at_12_volts.ohms.0 - 14.4).abs() < 1e-12);
}

#[test]
fn terminals_are_nodes_and_where_they_are_apart_from_what_they_are_wired_to_there_is_a_lead_to_look_at() {
    let harness = expanded(&small_van());
    let lead = run(&harness, "assumed:lamp_left.feed");
    assert!(lead.lead && lead.assumed && lead.ohms.0 == 0.0 && lead.length.0 > 1.0);
    assert_eq!(harness.nodes[lead.from.0].id.as_str(), "s1");
    assert_eq!(harness.nodes[lead.to.0].id.as_str(), "lamp_left.feed");
    assert_eq!(places(lead).first().zip(places(lead).last()), Some((&"sill_left", &"roof_rear")));
    // Ground is everywhere: no wire to look at.
    assert!(run(&harness, "assumed:lamp_left.return").path.is_empty());
    for load in &harness.loads {
        for name in ["feed", "return"] {
            assert!(has_node(&harness, &format!("{}.{name}", load.id)), "{} {name}", load.id);
        }
    }
}

#[test]
fn a_terminal_with_both_a_wire_and_a_named_node_is_tied_to_the_node() {
    let harness = expanded(&loads(
        r#""joints": [{"id": "s1", "zone": "sill_left"}],
           "runs": [{"id": "r1", "from": "fuse", "to": "s1"}, {"id": "r2", "from": "fuse", "to": "lamp.feed"}],
           "loads": [{"id": "lamp", "watts": 5, "zone": "tail_left", "feed": "s1"}]"#,
    ));
    let tie = run(&harness, "assumed:lamp.feed");
    assert!(tie.lead);
    assert_eq!(harness.nodes[tie.from.0].id.as_str(), "s1");
}

#[test]
fn loads_share_a_trunk_as_far_as_their_ways_agree() {
    let harness = expanded(&loads(
        r#""loads": [{"id": "left", "amps": 4, "zone": "tail_left"}, {"id": "right", "amps": 4, "zone": "tail_right"},
                     {"id": "roof", "amps": 2, "zone": "roof_rear"}]"#,
    ));
    let trunk = run(&harness, "assumed:trunk:load_area_left");
    let behind = run(&harness, "assumed:trunk:tail_left");
    assert_eq!(places(trunk).first().zip(places(trunk).last()), Some((&"dash_left", &"load_area_left")));
    assert_eq!(trunk.to, behind.from);
    assert_eq!(run(&harness, "assumed:roof.feed").from, trunk.to);
    assert_eq!(run(&harness, "assumed:left.feed").from, behind.to);
    assert_eq!(run(&harness, "assumed:right.feed").from, behind.to);
    // Sizes for 10, 8 and 2 A.
    let sizes = [trunk, behind, run(&harness, "assumed:roof.feed")].map(|run| run.area.0);
    assert!(sizes[0] > sizes[1] && sizes[1] > sizes[2], "{sizes:?}");
}

#[test]
fn splitting_a_way_into_trunk_and_branches_makes_it_no_longer() {
    let alone = expanded(&loads(r#""loads": [{"id": "left", "amps": 4, "zone": "tail_left"}]"#));
    let shared = expanded(&loads(
        r#""loads": [{"id": "left", "amps": 4, "zone": "tail_left"}, {"id": "right", "amps": 4, "zone": "tail_right"},
                     {"id": "roof", "amps": 2, "zone": "roof_rear"}]"#,
    ));
    let whole = run(&alone, "assumed:left.feed").length.0;
    let parts = ["assumed:trunk:load_area_left", "assumed:trunk:tail_left", "assumed:left.feed"];
    let sum: f64 = parts.iter().map(|id| run(&shared, id).length.0).sum();
    assert!((whole - sum).abs() < 1e-9, "{whole} {sum}");
}

#[test]
fn the_order_in_which_things_were_entered_changes_nothing() {
    let file = small_van();
    let as_entered = by_id(&expanded(&file));
    let mut turned = file.clone();
    turned.loads.reverse();
    turned.runs.reverse();
    turned.joints.reverse();
    assert_eq!(by_id(&expanded(&turned)), as_entered);
    assert_eq!(expanded(&file), expanded(&file));
}

#[test]
fn an_absent_load_goes_with_its_private_wiring_but_one_that_was_removed_leaves_it() {
    let mut file = small_van();
    let tow = OptionId::from("tow_socket");
    let absent = expanded(&file);
    file.vehicle.options.insert(tow.clone(), OptionState::RemovedWiringLeft);
    let removed = expanded(&file);
    file.vehicle.options.insert(tow, OptionState::Fitted);
    let fitted = expanded(&file);
    let has = |harness: &Harness| {
        let load = harness.loads.iter().any(|load| load.id.as_str() == "tow");
        let run = |id| harness.runs.iter().any(|run| run.id.as_str() == id);
        [load, run("r7"), run("assumed:tow.feed"), run("assumed:tow.return"), has_node(harness, "c7")]
    };
    assert_eq!(has(&absent), [false; 5]);
    assert_eq!(has(&removed), [false, true, true, true, true]);
    assert_eq!(has(&fitted), [true; 5]);
    // What others hang on stays.
    assert!(has_node(&absent, "s1") && absent.runs.iter().any(|run| run.id.as_str() == "r1"));
}

#[test]
fn marks_follow_their_runs_and_one_on_absent_wiring_is_told() {
    let mut file = small_van();
    let mut mark = file.marks[0].clone();
    mark.id = "m2".into();
    mark.place = MarkPlace::Run { run: "r7".into(), at_m: 0.6 };
    file.marks.push(mark);
    let harness = expanded(&file);
    let [kept] = harness.marks.as_slice() else { panic!("{:?}", harness.marks) };
    assert_eq!((harness.runs[kept.run].id.as_str(), kept.at.0), ("r4", 0.6));
    assert!(harness.assumptions.iter().any(|note| note.contains("m2") && note.contains("does not have")));
}

#[test]
fn a_load_at_an_unknown_place_is_fed_and_reported() {
    let harness = expanded(&loads(
        r#""loads": [{"id": "a", "amps": 1}, {"id": "b", "amps": 1, "zone": "attic"}, {"id": "c", "amps": 1, "zone": "roof_rear"}]"#,
    ));
    assert_eq!(harness.unplaced, [LoadId::from("a"), LoadId::from("b")]);
    assert!(harness.assumptions.iter().any(|note| note.contains("\"attic\"")));
    assert!(run(&harness, "assumed:a.feed").path.is_empty());
    assert_eq!(run(&harness, "assumed:a.feed").from, NodeIx::FUSE);
}

#[test]
fn a_zone_that_the_body_lacks_is_replaced_and_said_so() {
    let harness = expanded(&loads(r#""loads": [{"id": "a", "amps": 1, "zone": "door_rear_left"}]"#));
    assert_eq!(harness.loads[0].zone.as_ref().unwrap().as_str(), "load_area_left");
    expect![[r#"
        A small van has no "door rear left": it is taken to be at "load area left".
        a: what kind of load it is was not stated; a plain resistance was assumed.
        a: how it is fed was not stated; a wire from the fuse by "dash left", "sill left", "load area left" was assumed.
        a: how it is grounded was not stated; a wire to the ground point at "tail left" was assumed.
        Assumed wires have the cross-section that is usual for their current."#]]
    .assert_eq(&harness.assumptions.join("\n"));
}

#[test]
fn all_that_was_assumed_is_named() {
    let harness = expanded(&small_van());
    let told = harness.assumptions.join("\n");
    for run in harness.runs.iter().filter(|run| run.assumed) {
        assert!(run.id.as_str().starts_with("assumed:"), "{}", run.id);
    }
    for run in harness.runs.iter().filter(|run| !run.assumed) {
        assert!(!run.id.as_str().starts_with("assumed:"), "{}", run.id);
    }
    for switch in &harness.switches {
        assert_eq!(switch.assumed, switch.id.as_str().starts_with("assumed:"));
    }
    // By load: size, place, feed and ground, wherever they were not stated; by run: way, length and size.
    for named in ["Rear door lock: its size", "Rear door lock: how it is fed", "Rear door lock: how it is grounded"] {
        assert!(told.contains(named), "{named}\n{told}");
    }
    assert!(told.contains("Tracker, place unknown: its place is not known"), "{told}");
    assert!(told.contains("Wire r4"), "{told}");
    assert!(!told.contains("Wire r1") && !told.contains("Rear wiper: its size"), "{told}");
}

#[test]
fn every_load_that_is_not_stated_otherwise_gets_current_when_its_conditions_hold() {
    let harness = expanded(&small_van());
    let state = ["key_on", "reverse", "wipers"].map(Condition::from);
    let solved = network::solve(&harness, &state).unwrap();
    for load in &harness.loads {
        let volts = solved.load_volts(load).0;
        assert!(volts > 11.0, "{}: {volts} V", load.id);
    }
}

#[test]
fn a_run_with_one_end_at_a_known_place_lies_there() {
    let harness = expanded(&loads(
        r#""joints": [{"id": "s1", "zone": "sill_left"}, {"id": "s2"}],
           "runs": [{"id": "r1", "from": "fuse", "to": "s1", "length_m": 2}, {"id": "r2", "from": "s1", "to": "s2", "length_m": 0.8}],
           "loads": [{"id": "lamp", "watts": 5, "zone": "tail_left", "feed": "s2"}]"#,
    ));
    assert_eq!(places(run(&harness, "r2")), ["sill_left"]);
    let scaled: f64 = run(&harness, "r1").path.iter().map(|stretch| stretch.metres.0).sum();
    assert!((scaled - 2.0).abs() < 1e-12 && run(&harness, "r1").path.len() == 3);
}

/// Three loads behind the switch on the gearbox, and one behind the ignition switch, on a van as it is drawn.
fn reversing(fuse: &str) -> Harness {
    let file = loads(
        r#""loads": [{"id": "left", "item": "reversing_lamp_left"}, {"id": "right", "item": "reversing_lamp_right"},
                     {"id": "bleeper", "item": "reversing_bleeper"}, {"id": "abs", "item": "abs_module"}]"#,
    );
    let mut file = CircuitFile { vehicle: serde_json::from_str(r#"{"body": "panel_van"}"#).unwrap(), ..file };
    file.fuse = serde_json::from_str(fuse).unwrap();
    expand(&file, &map_for(file.vehicle.body, file.vehicle.drive_side))
}

#[test]
fn loads_switched_at_the_same_place_on_their_way_share_the_switch_and_what_is_behind_it() {
    let harness = reversing(r#"{"rating_a": 10, "zone": "battery_tray"}"#);
    let id = "assumed:switch:key_on+reverse@gearbox_top";
    let shared = harness.switches.iter().find(|switch| switch.id.as_str() == id).unwrap();
    let behind: Vec<_> = harness.runs.iter().filter(|run| run.from == shared.to).map(|run| run.id.as_str()).collect();
    assert_eq!(behind.len(), 1, "{behind:?}");
    assert!(harness.loads.iter().filter(|load| load.id.as_str() != "abs").all(|load| load.live_when.is_empty()));
    for (state, live) in [(&["key_on", "reverse"][..], true), (&["key_on"], false)] {
        let state: Vec<Condition> = state.iter().map(|name| Condition::from(*name)).collect();
        let solved = network::solve(&harness, &state).unwrap();
        for id in ["assumed:left.feed", "assumed:right.feed", "assumed:bleeper.feed"] {
            assert_eq!(solved.is_live(run(&harness, id).to), live, "{id} {state:?}");
        }
    }
}

#[test]
fn what_the_fuse_waits_for_needs_no_switch_behind_it() {
    let harness = reversing(r#"{"rating_a": 10, "zone": "battery_tray", "live_when": ["key_on"]}"#);
    let ids: Vec<_> = harness.switches.iter().map(|switch| switch.id.as_str()).collect();
    assert_eq!(ids, ["assumed:switch:reverse@gearbox_top"]);
}

#[test]
fn the_wire_to_a_switch_is_there_even_where_that_is_a_detour() {
    let harness = reversing(r#"{"rating_a": 10, "zone": "dash_right"}"#);
    let to_switch = run(&harness, "assumed:trunk:switch:key_on+reverse@gearbox_top");
    assert_eq!(places(to_switch).last(), Some(&"gearbox_top"));
    // The control unit has a switch, too, but nobody knows where: its wire stays under suspicion up to its plug.
    let own = harness.switches.iter().find(|switch| switch.id.as_str() == "assumed:switch:abs").unwrap();
    assert_eq!(run(&harness, "assumed:abs.feed").to, own.from);
    assert_eq!(harness.nodes[own.to.0].id.as_str(), "abs.feed");
    let solved = network::solve(&harness, &[]).unwrap();
    assert!(solved.is_live(own.from) && !solved.is_live(own.to) && solved.is_live(to_switch.to));
}

#[test]
fn what_the_catalogue_supplied_is_told_with_its_source() {
    let harness = reversing(r#"{"rating_a": 10, "zone": "battery_tray"}"#);
    let about: Vec<_> = harness
        .assumptions
        .iter()
        .filter(|note| note.starts_with("Reversing lamp, left:"))
        .map(String::as_str)
        .collect();
    expect![[r#"
        Reversing lamp, left: its size was not stated; 21 W at 12 V is in the catalogue (UN R37 category P21W, rated 12 V 21 W, at most 26.5 W at 13.5 V; from memory).
        Reversing lamp, left: its place was not stated; such a thing usually sits at "Left tail corner and rear pillar".
        Reversing lamp, left: when it is live was not stated; such a thing usually is with key_on, reverse.
        Reversing lamp, left: how it is fed was not stated; a wire from the fuse to a switch at "Top of the gearbox, under the air filter box" (closed: key_on, reverse), and from there by "Top of the gearbox, under the air filter box", "Below the engine, front subframe", "Under the cab floor and middle", "Under the floor, rear", "Load area, left wall", "Left tail corner and rear pillar", was assumed.
        Reversing lamp, left: how it is grounded was not stated; a wire to the ground point at "Left tail corner and rear pillar" was assumed."#]].assert_eq(&about.join("\n"));
    assert_eq!(harness.unplaced, []);
}

#[test]
fn every_kind_of_load_in_the_catalogue_finds_its_place_and_its_way_in_every_body() {
    let bodies = [Body::Saloon, Body::Hatchback, Body::Estate, Body::Pickup, Body::PanelVan, Body::Convertible];
    for (body, drive_side) in bodies.into_iter().flat_map(|body| [(body, Side::Left), (body, Side::Right)]) {
        let all: Vec<_> =
            catalogue::items().iter().map(|item| format!(r#"{{"id": "{0}", "item": "{0}"}}"#, item.id)).collect();
        let mut file = loads(&format!(r#""loads": [{}]"#, all.join(", ")));
        (file.vehicle.body, file.vehicle.drive_side) = (body, drive_side);
        let harness = expand(&file, &map_for(body, drive_side));
        assert_eq!(harness.unplaced, [], "{body:?}");
        assert!(harness.runs.iter().all(|run| !run.path.is_empty()), "{body:?}");
        let every: BTreeSet<_> = harness.loads.iter().flat_map(|load| load.live_when.clone()).collect();
        let every =
            harness.switches.iter().flat_map(|switch| switch.closed_when.clone()).chain(every).collect::<Vec<_>>();
        let solved = network::solve(&harness, &every).unwrap();
        assert!(harness.loads.iter().all(|load| solved.load_volts(load).0 > 0.0), "{body:?}");
        let ids: BTreeSet<_> = harness.runs.iter().map(|run| &run.id).collect();
        assert_eq!(ids.len(), harness.runs.len(), "two wires with one id in {body:?}");
    }
}

/// A sound circuit with something in it exchanged, as an edit in the app might leave it.
fn unsound() -> impl Strategy<Value = CircuitFile> {
    let names = ["fuse", "ground", "s1", "c4", "g2", "lamp_left.feed", "tow.return", "nowhere", ""];
    let number = prop_oneof![Just(0.0), Just(-1.0), Just(f64::NAN), Just(f64::INFINITY), Just(1e300), 0.1..10.0];
    let edit = (0..12_u8, 0..16_usize, proptest::sample::select(names.to_vec()), number);
    proptest::collection::vec(edit, 1..8).prop_map(|edits| {
        let mut file = small_van();
        for (what, at, name, number) in edits {
            let (runs, loads, joints) = (file.runs.len(), file.loads.len(), file.joints.len());
            match what {
                0 => file.runs[at % runs].from = name.into(),
                1 => file.runs[at % runs].to = name.into(),
                2 => file.loads[at % loads].feed = Some(name.into()),
                3 => file.loads[at % loads].return_ = Some(name.into()),
                4 => file.runs[at % runs].length_m = Some(number),
                5 => file.runs[at % runs].awg = Some(number),
                6 => file.loads[at % loads].ohms = Some(number),
                7 => file.joints[at % joints].id = name.into(),
                8 => file.loads[at % loads].id = name.into(),
                9 => file.fuse.rating_a = number,
                10 => file.marks[0].place = MarkPlace::Run { run: "r4".into(), at_m: number },
                _ => file.loads[at % loads].option = Some("tow_socket".into()),
            }
        }
        file
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn unsound_circuits_expand_to_something_whole(file in unsound()) {
        let harness = expanded(&file);
        let count = harness.nodes.len();
        prop_assert!(harness.runs.iter().all(|run| run.from.0 < count && run.to.0 < count && run.from != run.to));
        prop_assert!(harness.runs.iter().all(|run| run.length.0.is_finite() && run.ohms.0.is_finite() && run.ohms.0 >= 0.0));
        prop_assert!(harness.loads.iter().all(|load| load.feed.0 < count && load.return_.0 < count && load.ohms.0 > 0.0));
        prop_assert!(harness.marks.iter().all(|mark| mark.run < harness.runs.len()));
        prop_assert_eq!(harness.nodes[0].id.as_str(), "ground");
        prop_assert_eq!(harness.nodes[1].id.as_str(), "fuse");
    }

    #[test]
    fn removing_a_load_from_the_list_changes_no_name_of_what_others_keep(gone in proptest::sample::select(vec![0, 2, 4, 5, 6])) {
        let file = small_van();
        let all = by_id(&expanded(&file));
        let mut fewer = file;
        let id = fewer.loads.remove(gone).id;
        let names = by_id(&expanded(&fewer));
        let own = format!("{id}.");
        // Splices come and go with what they join; everything that bears a load's name stays.
        let others = all.keys().filter(|name| !name.contains(&own) && !name.ends_with(&format!(" {id}")));
        for name in others.filter(|name| !name.contains("trunk") && !name.contains("splice")) {
            prop_assert!(names.contains_key(name), "{name}");
        }
    }
}

#[test]
fn a_stated_length_counts_for_the_resistance_when_its_parts_say_otherwise_and_that_is_said() {
    let text = r#"{ "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 10 },
        "runs": [{ "id": "r1", "from": "fuse", "to": "l1.feed", "length_m": 1.8, "area_mm2": 0.75,
                   "path": [{ "zone": "dash_left", "m": 1.0 }, { "zone": "floor_left", "m": 2.0 }] }],
        "loads": [{ "id": "l1", "ohms": 12, "return": "ground" }] }"#;
    let file = loomwalk::circuit::check::read(text.as_bytes()).unwrap();
    let map = loomwalk::vehicle::fit::map_for(file.vehicle.body, file.vehicle.drive_side);
    let harness = loomwalk::circuit::expand::expand(&file, &map);
    assert!((harness.runs[0].ohms.0 - 1.8 * 0.017241 / 0.75).abs() < 1e-12);
    assert!(harness.assumptions.iter().any(|line| line.contains("its parts make 3.00 m")), "{:?}", harness.assumptions);
}

/// With its switch in the return, a load's feed is live whenever the fuse is; with the switch in the feed, it is dead
/// until the conditions hold. Every entry of the catalogue, alone on a fuse that is always live.
#[test]
fn on_which_side_the_switch_sits_decides_when_the_wire_to_a_load_is_live() {
    let mut of_ground = 0;
    for item in catalogue::items().iter().filter(|item| !item.live_when.is_empty()) {
        let mut file = loads(&format!(r#""loads": [{{"id": "l", "item": "{}"}}]"#, item.id));
        file.vehicle.body = Body::PanelVan;
        let harness = expand(&file, &map_for(Body::PanelVan, Side::Left));
        let [load] = harness.loads.as_slice() else { panic!("{}", item.id) };
        let in_feed = item.switched == catalogue::SwitchedSide::Feed;
        of_ground += u32::from(!in_feed);
        let idle = network::solve(&harness, &[]).unwrap();
        assert_eq!(idle.is_live(load.feed), !in_feed, "{} idle", item.id);
        assert!(idle.fuse_current().0.abs() < 1e-6, "{} idle", item.id);
        // And so does what a short at its plug would draw meanwhile.
        let short = idle.fuse_current_with_short(load.feed, Ohms(0.01)).0;
        assert_eq!(short > 15.0, !in_feed, "{}: {short} A", item.id);
        let works = network::solve(&harness, &item.live_when).unwrap();
        assert!(works.is_live(load.feed) && works.load_volts(load).0 > 6.0, "{} working", item.id);
    }
    assert!(of_ground > 15, "{of_ground}");
}

#[test]
fn what_is_known_of_a_loads_own_wire_is_kept_on_the_wire_that_is_assumed_for_it() {
    let harness = expanded(&loads(
        r#""loads": [{"id": "left", "amps": 4, "zone": "tail_left", "wire": {"colour": "BK/YE", "area_mm2": 2.5}},
                     {"id": "right", "amps": 4, "zone": "tail_right"}]"#,
    ));
    let own = run(&harness, "assumed:left.feed");
    assert_eq!((own.colour.as_deref(), own.area.0), (Some("BK/YE"), 2.5));
    // 03-formats §1: length × 0.017241 / area.
    assert!((own.ohms.0 - own.length.0 * 0.017241 / 2.5).abs() < 1e-9);
    assert!(harness.runs.iter().filter(|run| run.id.as_str() != "assumed:left.feed").all(|run| run.colour.is_none()));
}

#[test]
fn an_led_in_place_of_a_filament_lamp_takes_what_its_class_takes() {
    let ohms = |kind: &str| {
        let file = loads(&format!(r#""loads": [{{"id": "l", "item": "tail_lamp_left"{kind}}}]"#));
        expanded(&file).loads[0].ohms.0
    };
    // 5 W at 12 V (UN R37 category P21/5W), and a quarter of an ampere (common practice, no source).
    assert!((ohms("") - 28.8).abs() < 1e-9 && (ohms(r#", "kind": "led_lamp""#) - 48.0).abs() < 1e-9);
}
