//! What does someone read who wrote a zone map that makes no sense?
use expect_test::{Expect, expect};
use loomwalk::cli::check::check_bytes;
use loomwalk::vehicle::check;
use serde_json::{Value, json};

const SMALL: &str = include_str!("cases/plans/small.body.json");

/// What is said of the small map once `change` was at it.
fn told(change: impl FnOnce(&mut Value), expected: &Expect) {
    let mut map: Value = serde_json::from_str(SMALL).unwrap();
    change(&mut map);
    let bytes = serde_json::to_vec(&map).unwrap();
    let error = check::read(&bytes).unwrap_err().to_string();
    expected.assert_eq(&error);
    // The command says the same.
    assert_eq!(check_bytes(&bytes).unwrap_err().join("\n"), error);
}

#[test]
fn the_small_map_is_sound() {
    assert_eq!(check_bytes(SMALL.as_bytes()).unwrap(), "a sound loomwalk/body, version 1: 6 zones, 5 passages");
}

#[test]
fn zones_and_steps_that_are_not_there_are_named_with_their_place() {
    told(
        |map| {
            map["passages"][1]["between"][0] = json!("attic");
            map["zones"][2]["access"] = json!("access:ladder");
            map["stands_for"]["cellar"] = json!("attic");
            map["grounds"][0] = json!("attic");
        },
        &expect![[r#"
            /zones/2/access: there is no access step "access:ladder"; name one of /access, or leave it out
            /passages/1/between/0: there is no zone "attic" in this map; name one of its zones
            /stands_for/cellar: there is no zone "attic" in this map; name one of its zones
            /grounds/0: there is no zone "attic" in this map; name one of its zones
            /zones/2/id: no passages lead from "dash_left" to "underbody_tunnel"; add the passage by which a loom gets there
            /zones/3/id: no passages lead from "dash_left" to "gearbox_top"; add the passage by which a loom gets there"#]],
    );
}

#[test]
fn access_that_goes_in_a_circle_is_told() {
    told(
        |map| {
            map["access"] = json!([
                { "id": "access:one", "after": "access:two", "label": "One", "minutes": 1 },
                { "id": "access:two", "after": "access:one", "label": "Two", "minutes": 1 },
                { "id": "access:three", "after": "access:three", "label": "Three", "minutes": 1 },
                { "id": "four", "after": "access:nowhere", "label": "Four", "minutes": -1 }
            ]);
            for list in ["zones", "passages"] {
                for part in map[list].as_array_mut().unwrap() {
                    part.as_object_mut().unwrap().remove("access");
                }
            }
        },
        &expect![[r#"
            /access/0/after: "access:one" comes after itself, directly or by way of others; break the circle: some step needs no other
            /access/1/after: "access:two" comes after itself, directly or by way of others; break the circle: some step needs no other
            /access/2/after: "access:three" comes after itself, directly or by way of others; break the circle: some step needs no other
            /access/3/id: it is "four"; start it with "access:"
            /access/3/minutes: it is -1; the time of a step is more than 0 and at most 600
            /access/3/after: there is no access step "access:nowhere"; name one of /access, or leave it out"#]],
    );
}

#[test]
fn a_zone_that_no_passage_leads_to_is_told() {
    told(
        |map| {
            map["passages"].as_array_mut().unwrap().pop();
            map["passages"][0]["between"][1] = map["passages"][0]["between"][0].clone();
        },
        &expect![[r#"
            /passages/0/between: both its ends are at "dash_left"; name two different zones
            /zones/1/id: no passages lead from "dash_left" to "sill_left"; add the passage by which a loom gets there
            /zones/2/id: no passages lead from "dash_left" to "underbody_tunnel"; add the passage by which a loom gets there
            /zones/3/id: no passages lead from "dash_left" to "gearbox_top"; add the passage by which a loom gets there
            /zones/4/id: no passages lead from "dash_left" to "tail_left"; add the passage by which a loom gets there
            /zones/5/id: no passages lead from "dash_left" to "rear_closure"; add the passage by which a loom gets there"#]],
    );
}

#[test]
fn ids_used_twice_and_numbers_that_cannot_be_are_told() {
    told(
        |map| {
            map["zones"][1]["id"] = map["zones"][0]["id"].clone();
            map["zones"][0]["shape"] = json!([90, 10, 20, 10]);
            map["zones"][0]["detect"] = json!(1.2);
            map["zones"][0]["exposures"]["heat"] = json!(4);
            map["passages"][0]["look_minutes"] = json!(0);
            map["passages"][0]["metres"] = json!(1e9);
            map["passages"][0]["detour_m"] = json!(-1);
            map["lengths"] = json!({ "short": 0, "long": 1.2 });
        },
        &expect![[r#"
            /lengths/short: it is 0; a factor of length is more than 0 and at most 10
            /zones/1/id: the id "dash_left" is taken by /zones/0; give each its own id
            /zones/0/detect: it is 1.2; a chance is from 0 to 1
            /zones/0/exposures/heat: it is 4; an exposure is from 0 to 3
            /zones/0/shape: [90.0, 10.0, 20.0, 10.0] is not on the sheet; write x, y, width and height on a sheet 100 wide and 200 long
            /passages/0/between/1: there is no zone "sill_left" in this map; name one of its zones
            /passages/0/look_minutes: it is 0; the time of a look is more than 0 and at most 600
            /passages/0/metres: it is 1000000000; a length is more than 0 and at most 100
            /passages/0/detour_m: it is -1; a detour is from 0 to 100 m
            /passages/1/between/0: there is no zone "sill_left" in this map; name one of its zones
            /passages/2/between/0: there is no zone "sill_left" in this map; name one of its zones"#]],
    );
}

#[test]
fn lists_longer_than_any_vehicle_are_told_and_not_worked_through() {
    let steps: Vec<Value> = (0..1500)
        .map(|at| json!({ "id": format!("access:{at}"), "after": format!("access:{}", at + 1), "label": "", "minutes": 1 }))
        .collect();
    told(|map| map["access"] = Value::Array(steps), &expect!["/access: it has 1500 entries; write at most 1000"]);
}

#[test]
fn another_version_another_format_and_another_shape_are_told() {
    told(
        |map| map["version"] = json!(2),
        &expect!["/version: the file has version 2 of loomwalk/body; this reads version 1: get a newer Loomwalk"],
    );
    told(
        |map| map["zones"][1]["shape"][2] = json!("wide"),
        &expect![[r#"/zones/1/shape/2: invalid type: string "wide", expected f64"#]],
    );
    told(
        |map| map["passages"][0]["kind"] = json!("trapdoor"),
        &expect![
            "/passages/0/kind: unknown variant `trapdoor`, expected one of `open`, `grommet`, `hinge_boot`, `seat_loop`, `frame_hole`, `column_loop`, `outside_plug`"
        ],
    );
    // A name is one part of the place, whatever stands in it.
    told(
        |map| map["stands_for"]["tail.left/[2]~"] = json!(5),
        &expect!["/stands_for/tail.left~1[2]~0: invalid type: integer `5`, expected a string"],
    );
    let wrong = check::read(br#"{ "format": "loomwalk/circuit", "version": 1 }"#).unwrap_err();
    expect![[r#"/format: the file's format is "loomwalk/circuit"; this reads the format "loomwalk/body""#]]
        .assert_eq(&wrong.to_string());
    for cut in [0, 1, SMALL.len() / 2, SMALL.len() - 3] {
        assert!(check::read(&SMALL.as_bytes()[..cut]).is_err());
    }
}

#[test]
fn an_engine_place_is_checked_in_the_map_that_it_makes() {
    let path = format!("{}/assets/engines/hatchback_rear.json", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).unwrap();
    assert_eq!(check_bytes(&bytes).unwrap(), "a sound loomwalk/engine, version 1");
    let mut wrong: Value = serde_json::from_slice(&bytes).unwrap();
    wrong["passages"][0]["between"][0] = json!("attic");
    let told = check_bytes(&serde_json::to_vec(&wrong).unwrap()).unwrap_err().join("\n");
    assert!(told.starts_with("in the map that it makes, /passages/"), "{told}");
    assert!(told.contains("there is no zone \"attic\" in this map"), "{told}");
}
