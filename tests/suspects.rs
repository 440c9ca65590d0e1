//! Do usual suspects and earlier repairs count beforehand, and only where their reason holds? Against the weights by hand.
use std::collections::BTreeMap;

use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::fuse::TouchModel;
use loomwalk::search::likelihood::tables;
use loomwalk::search::plan::{Plan, Search, Walk};
use loomwalk::search::suspects::Suspects;
use loomwalk::vehicle::body::fit;

/// A splice that feeds a lamp of no catalogue and a load of the given entry, each over a metre of its own wire in one
/// zone. With and without what the file says of its loads.
fn plans(body: &str, item: &str, zone: &str, mark: &str) -> [Plan; 2] {
    let text = format!(
        r#"{{ "format": "loomwalk/circuit", "version": 1, "vehicle": {{ "body": "{body}" }}, "fuse": {{ "rating_a": 10 }},
            "joints": [{{ "id": "s1", "zone": "dash_left" }}],
            "runs": [{{ "id": "r1", "from": "fuse", "to": "s1", "length_m": 1.0, "path": [{{ "zone": "dash_left", "m": 1.0 }}] }},
                     {{ "id": "r2", "from": "s1", "to": "l1.feed", "length_m": 1.0, "path": [{{ "zone": "{zone}", "m": 1.0 }}] }},
                     {{ "id": "r3", "from": "s1", "to": "l2.feed", "length_m": 1.0, "path": [{{ "zone": "sill_right", "m": 1.0 }}] }}],
            "loads": [{{ "id": "l1", "item": "{item}", "zone": "{zone}" }},
                      {{ "id": "l2", "kind": "filament_lamp", "watts": 5, "zone": "sill_right" }}], "marks": [{mark}] }}"#
    );
    let file = check::read(text.as_bytes()).unwrap();
    let fitted = fit(&file.vehicle);
    let harness = expand(&file, &fitted);
    let plain = Search::touching(&harness, &fitted.map, &file.fuse, TouchModel::of(file.touch));
    let told = Search::of_circuit(&file, &harness, &fitted.map);
    [plain, told].map(|search| search.plan(&[], &Walk::default()))
}

/// What each place gained against the wire that both loads share, as a factor.
fn gains([plain, told]: &[Plan; 2]) -> BTreeMap<String, f64> {
    let chances = |plan: &Plan| -> BTreeMap<String, f64> {
        plan.points.iter().map(|point| (point.id.to_string(), point.probability)).collect()
    };
    let (plain, told) = (chances(plain), chances(told));
    let shared = told["point:zone:dash_left"] / plain["point:zone:dash_left"];
    plain.iter().map(|(id, chance)| (id.clone(), (told[id] / chance / shared * 1e9).round() / 1e9)).collect()
}

fn suspected(plan: &Plan) -> Vec<&str> {
    let reasons = |step: &loomwalk::search::plan::Step| step.why.iter().any(|why| why.starts_with("a usual suspect"));
    plan.steps.iter().filter(|step| reasons(step)).map(|step| step.id.as_str()).collect()
}

#[test]
fn the_own_wire_of_a_usual_suspect_gains_its_factor_and_no_other_place_does() {
    let plans = plans("hatchback", "plate_lamp_left", "rear_closure", "");
    let gains = gains(&plans);
    assert_eq!(gains["point:zone:rear_closure"], tables().suspect.lead);
    assert_eq!(gains["point:zone:sill_right"], 1.0);
    assert_eq!(suspected(&plans[1]), ["point:zone:rear_closure"]);
    assert!(suspected(&plans[0]).is_empty());
    let all: f64 = plans[1].points.iter().map(|point| point.probability).sum::<f64>() + plans[1].not_listed;
    assert!((all - 1.0).abs() < 1e-12);
    assert_eq!(plans[0].not_listed, plans[1].not_listed, "what nobody listed is no suspect");
}

#[test]
fn the_reason_counts_only_where_it_holds() {
    // The same lamp that sits in no lid: its lead bends in no boot.
    for zone in ["tail_left", "bumper_rear"] {
        let plans = plans("saloon", "plate_lamp_left", zone, "");
        assert!(gains(&plans).values().all(|gain| *gain == 1.0), "{zone}");
        assert!(suspected(&plans[1]).is_empty());
    }
}

#[test]
fn a_load_that_itself_gives_trouble_makes_no_wire_likelier() {
    let plans = plans("hatchback", "accessory_socket", "centre_console", "");
    assert!(gains(&plans).values().all(|gain| *gain == 1.0));
}

#[test]
fn a_usual_suspect_is_told_in_words_with_its_factor() {
    let [_, plan] = plans("hatchback", "lock_front_left", "door_front_left", "");
    let step = plan.steps.iter().find(|step| step.id == "point:zone:door_front_left").unwrap();
    let told = "its lead bends in the door's rubber boot each time that opens ×2";
    assert!(step.why.iter().any(|why| why.starts_with("a usual suspect, ") && why.ends_with(told)), "{:?}", step.why);
}

#[test]
fn a_place_that_was_repaired_before_counts_and_says_so() {
    let mark = r#"{ "id": "m1", "run": "r3", "at_m": 0.5, "kind": "repaired_before" }"#;
    let [plan, _] = plans("hatchback", "plate_lamp_left", "rear_closure", mark);
    let chance = |id: &str| plan.points.iter().find(|point| point.id.as_str() == id).unwrap().probability;
    // Both lie in one zone, so their exposures are the same: a metre of loom counts 1, a repair its base times its factor.
    let repaired = tables().base.mark * tables().mark.repaired_before;
    assert!((chance("point:r3@0.5") / chance("point:zone:sill_right") - repaired).abs() < 0.02 * repaired);
    assert!(repaired > tables().base.mark * tables().mark.other);
    let step = plan.steps.iter().find(|step| step.id == "point:r3@0.5").unwrap();
    assert!(step.why.contains(&"marked: repaired before ×5".to_owned()), "{:?}", step.why);
}

#[test]
fn a_wire_that_feeds_more_than_the_suspect_is_not_its_own() {
    // The second load hangs on the first one's terminal: only the wires from there on are anyone's own.
    let text = r#"{ "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 10 },
        "runs": [{ "id": "r1", "from": "fuse", "to": "l1.feed", "length_m": 1.0 },
                 { "id": "r2", "from": "l1.feed", "to": "l2.feed", "length_m": 1.0 }],
        "loads": [{ "id": "l1", "item": "lock_front_left" }, { "id": "l2", "item": "lock_front_right" }] }"#;
    let file = check::read(text.as_bytes()).unwrap();
    let harness = expand(&file, &fit(&file.vehicle));
    let suspects = Suspects::of(&file, &harness);
    let run = |id: &str| harness.runs.iter().position(|run| run.id.as_str() == id).unwrap();
    assert_eq!(suspects.factor(run("r1")), 1.0);
    assert_eq!(suspects.factor(run("r2")), tables().suspect.lead);
}
