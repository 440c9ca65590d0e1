//! Is a press or a live unplugging ever possible on an airbag's wire? It must not be.
use std::collections::BTreeSet;

use loomwalk::catalogue::{CautionClass, items};
use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::CircuitFile;
use loomwalk::circuit::harness::Harness;
use loomwalk::circuit::live_work::{NeverLive, is_restraint, never_live};
use loomwalk::circuit::unplug::{Unplugged, pluggable};
use loomwalk::ids::RunId;
use loomwalk::vehicle::body::map_for;
use proptest::prelude::*;

fn of(rest: &str) -> (CircuitFile, Harness, NeverLive) {
    let text = format!(
        r#"{{"format": "loomwalk/circuit", "version": 1, "fuse": {{"rating_a": 10, "zone": "dash_left"}}, {rest}}}"#
    );
    let file = check::read(text.as_bytes()).unwrap();
    let harness = expand(&file, &map_for(file.vehicle.body, file.vehicle.drive_side));
    let never = never_live(&file, &harness);
    (file, harness, never)
}

fn runs(never: &NeverLive) -> Vec<&str> {
    never.runs.iter().map(RunId::as_str).collect()
}

#[test]
fn the_way_from_fuse_to_airbag_unit_and_on_to_ground_is_forbidden_and_the_branch_to_the_horn_is_not() {
    let (_, _, never) = of(
        r#""joints": [{"id": "s1", "zone": "dash_left"}, {"id": "g1", "kind": "ground_point", "zone": "console"}],
           "runs": [{"id": "trunk", "from": "fuse", "to": "s1"}, {"id": "unit", "from": "s1", "to": "srs.feed"},
                    {"id": "horn", "from": "s1", "to": "horn.feed"}, {"id": "unit_ground", "from": "srs.return", "to": "g1"},
                    {"id": "horn_ground", "from": "horn.return", "to": "g1"}, {"id": "strap", "from": "g1", "to": "ground"}],
           "loads": [{"id": "srs", "item": "airbag_module"}, {"id": "horn", "item": "horn"}]"#,
    );
    assert_eq!(runs(&never), ["strap", "trunk", "unit", "unit_ground"]);
    assert!(never.forbids_press(&[RunId::from("horn"), RunId::from("trunk")]));
    assert!(!never.forbids_press(&[RunId::from("horn")]) && !never.forbids_press(&[]));
    for (what, forbidden) in [
        (Unplugged::Load("srs".into()), true),
        (Unplugged::Load("horn".into()), false),
        (Unplugged::Node("s1".into()), true),
        (Unplugged::Node("horn.feed".into()), false),
    ] {
        assert_eq!(never.forbids_unplugging(&what), forbidden, "{what}");
    }
}

#[test]
fn a_ring_that_leads_to_the_airbag_unit_is_forbidden_all_round() {
    let (_, _, never) = of(r#""joints": [{"id": "a"}, {"id": "b"}, {"id": "c"}],
           "runs": [{"id": "r1", "from": "fuse", "to": "a"}, {"id": "r2", "from": "a", "to": "b"},
                    {"id": "r3", "from": "a", "to": "c"}, {"id": "r4", "from": "b", "to": "c"},
                    {"id": "r5", "from": "c", "to": "srs.feed"}, {"id": "r6", "from": "b", "to": "x.feed"}],
           "loads": [{"id": "srs", "label": "SRS unit", "amps": 0.3, "return": "ground"},
                     {"id": "x", "amps": 1, "return": "ground"}]"#);
    assert_eq!(runs(&never), ["assumed:srs.return", "r1", "r2", "r3", "r4", "r5"]);
}

#[test]
fn what_was_entered_by_hand_counts_by_its_name() {
    for (label, restraint) in [
        ("Air-bag control unit", true),
        ("SRS module", true),
        ("Seat belt pre-tensioner, left", true),
        ("Restraint ECU", true),
        ("Seat heater", false),
        ("Horn", false),
        ("Cars radio", false),
    ] {
        let (file, _, never) = of(&format!(r#""loads": [{{"id": "l", "label": "{label}", "amps": 1}}]"#));
        assert_eq!(is_restraint(&file.loads[0]), restraint, "{label}");
        assert_eq!(never == NeverLive::default(), !restraint, "{label}");
    }
}

#[test]
fn a_restraint_that_is_not_on_the_vehicle_forbids_nothing_unless_its_wires_feed_others() {
    let absent = r#""vehicle": {"options": {"o": "absent"}},"#;
    let (_, _, never) = of(&format!(
        r#"{absent} "loads": [{{"id": "srs", "item": "airbag_module", "option": "o"}}, {{"id": "horn", "item": "horn"}}]"#
    ));
    assert_eq!(never, NeverLive::default());
    // Here the horn hangs on the terminal of the unit that is not there.
    let (_, _, never) = of(&format!(
        r#"{absent} "runs": [{{"id": "r1", "from": "fuse", "to": "srs.feed"}}, {{"id": "r2", "from": "srs.feed", "to": "horn.feed"}}],
           "loads": [{{"id": "srs", "item": "airbag_module", "option": "o"}}, {{"id": "horn", "item": "horn"}}]"#
    ));
    assert!(never.forbids_ohmmeter() && never.forbids_press(&[RunId::from("r1")]));
}

/// Whether a load of that name, entered by hand, is taken for a restraint.
fn by_name(label: &str) -> bool {
    let text = serde_json::json!({"format": "loomwalk/circuit", "version": 1, "fuse": {"rating_a": 10},
        "loads": [{"id": "l", "label": label, "amps": 1}]});
    is_restraint(&check::read(text.to_string().as_bytes()).unwrap().loads[0])
}

#[test]
fn restraints_are_known_by_name_in_each_language() {
    for label in [
        // English
        "Airbag, driver",
        "Belt tensioner",
        "Seatbelt pretensioner RH",
        "Head restraint actuator",
        "Squib 2",
        "Seat belt reminder",
        "Belt buckle LH",
        "Occupant sensor",
        "Seat occupancy mat",
        "SRS",
        "ACU",
        "SIR module",
        "SDM",
        "RCM (under console)",
        "ACM",
        "ORC unit",
        "OCS module",
        // German
        "Beifahrer-Airbag",
        "Gurtstraffer links",
        "Straffer rechts",
        "Gurtstrammer",
        "Sicherheitsgurt hinten",
        "Gurtschlossschalter",
        "Gurtkraftbegrenzer",
        "Rückhaltesystem",
        "Rueckhaltesystem",
        "Ruckhaltesystem",
        "RÜCKHALTE-STG",
        "Luftsack",
        "Sitzbelegungsmatte",
        "Zündpille Fahrer",
        "Zuendpille",
        // Spanish
        "Pretensor cinturón",
        "Pretensores",
        "Tensor del cinturón",
        "Hebilla del cinturon",
        "Sistema de retención",
        "sistema de retencion",
        "Bolsa de aire",
        "Bolsas de aire laterales",
        "Sensor de ocupación",
        "Detección de ocupante",
        "Detonador",
        // An accent on its own behind its letter
        "Sistema de retencio\u{301}n",
        "Ru\u{308}ckhaltesystem",
    ] {
        assert!(by_name(label), "{label}");
    }
    for label in [
        "Reversing sensor",
        "Siren",
        "Sirene",
        "Sirena",
        "Seat heater",
        "Air suspension compressor",
        "Tension relay",
        "Vacuum pump",
        "Drive belt fan",
        "Radio",
        "Rückfahrlicht",
        "Rückfahrkamera",
        "Sitzheizung",
        "Luftpumpe",
        "Zündspule",
        "Gurke",
        "Luz de marcha atrás",
        "Retrovisor",
        "Calefacción del asiento",
        "Bomba de aire",
        "Sensor de tensión",
        "Encendido",
        "Sector 4 lamp",
        "Orchid lamp",
        "Macumba",
    ] {
        assert!(!by_name(label), "{label}");
    }
}

#[test]
fn what_the_catalogue_calls_a_restraint_is_one_by_its_name_alone() {
    for item in items().iter().filter(|item| item.restraint) {
        assert!(by_name(&item.label), "{}", item.label);
    }
}

#[test]
fn every_word_that_names_a_restraint_is_tried() {
    let file: serde_json::Value = serde_json::from_str(include_str!("../assets/values/restraints.json")).unwrap();
    assert!(!file["source"].as_str().unwrap().is_empty());
    let all = |field: &str| file[field].as_array().unwrap().iter().map(|word| word.as_str().unwrap().to_owned());
    for word in all("parts").chain(all("words")) {
        assert_eq!(word, word.to_lowercase());
        assert!(by_name(&word.to_uppercase()), "{word}");
    }
}

#[test]
fn wiring_left_behind_by_a_unit_that_was_taken_out_stays_forbidden() {
    let (_, harness, never) = of(r#""vehicle": {"options": {"o": "removed_wiring_left"}},
           "loads": [{"id": "srs", "item": "airbag_module", "option": "o"}, {"id": "horn", "item": "horn"}]"#);
    assert!(harness.loads.iter().all(|load| load.id.as_str() != "srs"));
    assert!(never.forbids_press(&[RunId::from("assumed:srs.feed")]));
}

#[test]
fn the_catalogue_tells_restraints_from_what_only_sits_beside_them() {
    let restraints: Vec<_> = items().iter().filter(|item| item.restraint).map(|item| item.id.as_str()).collect();
    assert_eq!(restraints, ["belt_switch_left", "belt_switch_right", "seat_occupancy", "airbag_module"]);
    let all = items().iter().filter(|item| item.restraint);
    assert!(all.clone().all(|item| item.caution == Some(CautionClass::Airbag)) && all.count() == 4);
}

proptest! {
    /// Taking any forbidden wire and all that is not forbidden away, the unit is never fed without a forbidden wire:
    /// from the fuse, over allowed wires only, no restraint is reached.
    #[test]
    fn no_allowed_wire_touches_a_restraint(chosen in prop::collection::btree_set(0..items().len(), 1..8)) {
        let loads: Vec<String> = chosen
            .iter()
            .map(|at| format!(r#"{{"id": "l{at}", "item": "{}"}}"#, items()[*at].id))
            .chain([r#"{"id": "srs", "item": "airbag_module"}"#.to_owned()])
            .collect();
        let (_, harness, never) = of(&format!(r#""loads": [{}]"#, loads.join(",")));
        let restraint_nodes: BTreeSet<usize> = harness
            .loads
            .iter()
            .filter(|load| never.loads.contains(&load.id))
            .flat_map(|load| [load.feed.0, load.return_.0])
            .collect();
        for run in harness.runs.iter().filter(|run| !never.runs.contains(&run.id)) {
            prop_assert!(!restraint_nodes.contains(&run.from.0) && !restraint_nodes.contains(&run.to.0));
        }
        for what in pluggable(&harness) {
            if let Unplugged::Load(id) = &what {
                prop_assert_eq!(never.forbids_unplugging(&what), never.loads.contains(id));
            }
        }
    }
}
