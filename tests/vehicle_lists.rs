//! Would a technician work from these lists? Five invented vehicles, each with what `loomwalk plan` prints for it.
//!
//! Common practice, no source: each list was read for whether the order is sane, the places are real, the loom runs
//! where looms run, and minutes and cautions are right. `UPDATE_EXPECT=1 cargo test --test program vehicle_lists` writes
//! tests/cases/vehicles again: read the difference in the same way.
use std::process::Command;

use expect_test::{ExpectFile, expect_file};
use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::Body;
use loomwalk::circuit::harness::Place;
use loomwalk::vehicle::body::{self, PassageKind, ZoneMap};

const VEHICLES: [&str; 5] = ["saloon", "estate", "pickup", "convertible_mid", "panel_van_right"];

fn prints(name: &str, golden: &ExpectFile) {
    let file = |ending: &str| format!("tests/cases/vehicles/{name}.{ending}.json");
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    let output =
        command.args(["plan", &file("circuit"), "--evidence", &file("evidence")]).output().expect("the program runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    golden.assert_eq(&String::from_utf8(output.stdout).unwrap());
}

#[test]
fn a_saloon_with_water_in_the_boot() {
    prints("saloon", &expect_file!["cases/vehicles/saloon.txt"]);
}

#[test]
fn an_estate_with_a_tow_bar_fitted_later() {
    prints("estate", &expect_file!["cases/vehicles/estate.txt"]);
}

#[test]
fn a_pickup_with_a_loom_on_its_frame() {
    prints("pickup", &expect_file!["cases/vehicles/pickup.txt"]);
}

#[test]
fn a_convertible_with_its_engine_behind_the_seats() {
    prints("convertible_mid", &expect_file!["cases/vehicles/convertible_mid.txt"]);
}

#[test]
fn a_long_panel_van_with_the_driver_on_the_right() {
    prints("panel_van_right", &expect_file!["cases/vehicles/panel_van_right.txt"]);
}

#[test]
fn no_loom_goes_through_a_door_a_seat_or_the_column_to_get_somewhere_else() {
    for name in VEHICLES {
        let path = format!("{}/tests/cases/vehicles/{name}.circuit.json", env!("CARGO_MANIFEST_DIR"));
        let file = check::read(&std::fs::read(path).unwrap()).unwrap();
        let map = body::fit(&file.vehicle);
        for run in expand(&file, &map).runs {
            let bends = |place: &&Place| matches!(place, Place::Passage(id) if bends(&map.map, id.as_str()));
            let places: Vec<&Place> = run.path.iter().map(|stretch| &stretch.place).collect();
            // At an end of the wire, as the second place or the last but one, it leads to what sits there.
            let inner = places.iter().enumerate().filter(|(at, _)| *at > 1 && at + 2 < places.len());
            let through: Vec<&&Place> = inner.map(|(_, place)| place).filter(|place| bends(place)).collect();
            assert!(through.is_empty(), "{name}, {}: {through:?}", run.id);
        }
    }
}

#[test]
fn what_bends_costs_a_detour_in_every_body() {
    for body in [Body::Saloon, Body::Hatchback, Body::Estate, Body::Pickup, Body::PanelVan, Body::Convertible] {
        let map = body::fit(&loomwalk::circuit::file::Vehicle { body, ..Default::default() }).map;
        for passage in map.passages.iter().filter(|passage| bends(&map, passage.id.as_str())) {
            assert!(passage.detour_m >= 1.5, "{} in {body:?}: {} m", passage.id, passage.detour_m);
        }
    }
}

fn bends(map: &ZoneMap, passage: &str) -> bool {
    let kind = map.passages.iter().find(|known| known.id.as_str() == passage).map(|known| known.kind);
    use PassageKind::{ColumnLoop, HingeBoot, OutsidePlug, SeatLoop};
    kind.is_some_and(|kind| matches!(kind, HingeBoot | SeatLoop | ColumnLoop | OutsidePlug))
}
