//! Where is everything when the engine is not in front, and what changes with the wheelbase?

use std::collections::BTreeSet;

use crate::fitted::BODIES;
use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::{Body, CircuitFile, EnginePlace, Side, SizeClass, Vehicle};
use loomwalk::circuit::harness::Harness;
use loomwalk::ids::{PointId, ZoneId};
use loomwalk::search::point::points;
use loomwalk::vehicle::body::{FittedMap, ZoneMap, fit};
use loomwalk::vehicle::engine::EngineMove;
use loomwalk::vehicle::fit::{engine_places, has_sizes};

fn fit_to(body: Body, engine: EnginePlace) -> FittedMap {
    fit(&Vehicle { body, engine, ..Vehicle::default() })
}

/// Every body style with an engine place behind.
fn behind() -> Vec<(Body, EnginePlace)> {
    let all = BODIES.iter().flat_map(|body| engine_places(*body).into_iter().map(|engine| (*body, engine)));
    all.filter(|(_, engine)| *engine != EnginePlace::Front).collect()
}

#[test]
fn the_data_say_which_bodies_have_which_engine_places() {
    use EnginePlace::{Front, Mid, Rear};
    assert_eq!(engine_places(Body::Hatchback), [Front, Rear]);
    assert_eq!(engine_places(Body::Saloon), [Front, Rear]);
    assert_eq!(engine_places(Body::Convertible), [Front, Mid]);
    assert_eq!(engine_places(Body::PanelVan), [Front, Mid]);
    assert_eq!((engine_places(Body::Estate), engine_places(Body::Pickup)), (vec![Front], vec![Front]));
}

#[test]
fn the_ids_of_the_engine_bay_go_with_the_engine_and_the_note_says_so() {
    for (body, engine) in behind() {
        let (front, moved) = (fit_to(body, EnginePlace::Front).map, fit_to(body, engine));
        let far_back = |map: &ZoneMap, id: &str| map.zone(&id.into()).unwrap().shape[1];
        for id in ["engine_left", "engine_right", "gearbox_top"] {
            assert!(far_back(&moved.map, id) > far_back(&front, id) + 20.0, "{id} of {body:?}");
            assert!(moved.notes[0].contains(&format!("\"{}\"", id.replace('_', " "))), "{:?}", moved.notes);
        }
        // What is at the front is luggage space, and every zone that was known is known still.
        for id in ["luggage_front_left", "luggage_front_right", "engine_front", "bulkhead", "battery_tray"] {
            assert!(far_back(&moved.map, id) < 45.0 && moved.map.zones.iter().any(|zone| zone.id.as_str() == id));
        }
        assert!(front.zones.iter().all(|zone| moved.map.zones.iter().any(|other| other.id == zone.id)));
        assert!(front.stands_for.keys().all(|id| moved.map.zone(id).is_some()));
        assert_eq!(moved.notes.len(), 1);
        // The walk goes around the vehicle: the engine comes after the cabin's front.
        let at = |map: &ZoneMap, id: &str| map.zones.iter().position(|zone| zone.id.as_str() == id).unwrap();
        assert!(at(&moved.map, "luggage_front_left") < at(&moved.map, "engine_left"));
        assert!(
            at(&front, "engine_left") < at(&front, "bulkhead")
                && at(&moved.map, "engine_left") > at(&moved.map, "bulkhead")
        );
    }
}

#[test]
fn every_engine_place_names_its_source_and_changes_only_what_is_there() {
    let folder = format!("{}/assets/engines", env!("CARGO_MANIFEST_DIR"));
    let files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert_eq!(files.len(), behind().len());
    for file in files {
        let moved: EngineMove = serde_json::from_slice(&std::fs::read(&file).unwrap()).unwrap();
        assert!(behind().contains(&(moved.body, moved.engine)), "{}", file.display());
        assert!(moved.source.contains("common practice, no source"), "{}", file.display());
        let plain = fit_to(moved.body, EnginePlace::Front).map;
        let steps = plain.access.iter().map(|step| step.id.as_str());
        let gone: BTreeSet<&str> = steps.chain(plain.passages.iter().map(|passage| passage.id.as_str())).collect();
        assert!(moved.without.iter().all(|id| gone.contains(id.as_str())), "{:?}", moved.without);
        for zone in &moved.zones {
            let known = plain.zones.iter().find(|other| other.id == zone.id);
            assert_ne!(known, Some(zone), "nothing changes at {}", zone.id);
            // A new zone says where it comes in the walk, and all the others know it by what stands for it.
            assert!(known.is_some() || moved.after.contains_key(&zone.id), "{}", zone.id);
            assert!(known.is_some() || plain.stands_for.contains_key(&zone.id), "{}", zone.id);
        }
        assert!(moved.after.keys().all(|id| moved.zones.iter().any(|zone| zone.id == *id)));
        assert!(moved.passages.iter().all(|passage| plain.passage(&passage.id) != Some(passage)));
        assert!(moved.access.iter().all(|step| plain.access(&step.id) != Some(step)));
    }
}

#[test]
fn behind_means_that_heat_and_exhaust_are_behind() {
    for (body, engine) in behind() {
        let map = fit_to(body, engine).map;
        let zone = |id: &str| map.zone(&id.into()).unwrap();
        assert!(zone("luggage_front_left").exposures.heat == 0 && zone("bulkhead").exposures.heat == 0);
        assert_eq!(zone("engine_right").exposures.heat, 3);
        // No sensor lead goes to an exhaust at the front.
        let ends = |id: &'static str| map.passages.iter().filter(move |passage| passage.between.contains(&id.into()));
        assert!(ends("exhaust").all(|passage| !passage.between.contains(&"underbody_front".into())));
        assert!(ends("wheel_front_left").all(|passage| passage.between.contains(&"luggage_front_left".into())));
    }
}

#[test]
fn an_odd_combination_falls_back_to_the_front_and_says_so() {
    let odd = fit_to(Body::Pickup, EnginePlace::Rear);
    assert_eq!(odd.map, fit_to(Body::Pickup, EnginePlace::Front).map);
    assert_eq!(odd.notes, ["There is no map of a pickup with a rear engine; it is taken to be in front."]);
    let odd = fit_to(Body::Estate, EnginePlace::Mid);
    assert_eq!(odd.notes, ["There is no map of an estate (wagon) with a mid engine; it is taken to be in front."]);
}

#[test]
fn what_the_map_notes_is_among_what_the_harness_assumes() {
    for vehicle in [
        sized(Body::Pickup, EnginePlace::Rear, Side::Left, SizeClass::Medium),
        sized(Body::Saloon, EnginePlace::Rear, Side::Right, SizeClass::Long),
    ] {
        let notes = fit(&vehicle).notes;
        assert!(notes.len() == 1 && harness(&vehicle).0.assumptions.contains(&notes[0]), "{notes:?}");
    }
}

const CIRCUIT: &str = r#"{
    "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 15 },
    "loads": [
        { "id": "tail", "item": "tail_lamp_left" }, { "id": "plate", "item": "plate_lamp_right" },
        { "id": "brake", "item": "brake_lamp_right" }, { "id": "reverse", "item": "reversing_lamp_left" },
        { "id": "abs", "item": "abs_module" }, { "id": "pump", "item": "fuel_pump" },
        { "id": "lamp", "item": "load_area_lamp_left" }, { "id": "seat", "item": "seat_heater_left" },
        { "id": "oxygen", "item": "oxygen_rear" }, { "id": "tow", "item": "tow_socket" }
    ] }"#;

fn circuit(vehicle: Vehicle) -> CircuitFile {
    let mut circuit = check::read(CIRCUIT.as_bytes()).unwrap();
    circuit.vehicle = vehicle;
    circuit
}

fn harness(vehicle: &Vehicle) -> (Harness, Vec<PointId>) {
    let map = fit(vehicle);
    let harness = expand(&circuit(vehicle.clone()), &map);
    let ids = points(&harness, &map.map).into_iter().map(|point| point.id).collect();
    (harness, ids)
}

fn sized(body: Body, engine: EnginePlace, drive_side: Side, size: SizeClass) -> Vehicle {
    Vehicle { body, engine, drive_side, size, ..Vehicle::default() }
}

#[test]
fn the_wheelbase_changes_lengths_and_neither_places_nor_the_ids_of_points() {
    for body in BODIES {
        assert!(has_sizes(body));
        for engine in engine_places(body) {
            for side in [Side::Left, Side::Right] {
                let of = |size| harness(&sized(body, engine, side, size));
                let [short, medium, long] = [SizeClass::Short, SizeClass::Medium, SizeClass::Long].map(of);
                assert_eq!(medium.1, short.1);
                assert_eq!(medium.1, long.1);
                let metres = |harness: &Harness| harness.runs.iter().map(|run| run.length.0).sum::<f64>();
                let [short, medium, long] = [&short.0, &medium.0, &long.0].map(metres);
                assert!(short < medium && medium < long, "{body:?} {short} {medium} {long}");
            }
        }
    }
}

#[test]
fn only_zones_along_the_vehicle_grow_each_by_the_factor_of_its_map() {
    for body in BODIES {
        let map = |size| fit(&sized(body, EnginePlace::Front, Side::Left, size)).map;
        let (medium, long) = (map(SizeClass::Medium), map(SizeClass::Long));
        let factor = medium.lengths.unwrap().long;
        assert!(factor > 1.0 && medium.lengths.unwrap().short < 1.0);
        assert!(medium.source.contains("Factors of length by wheelbase: common practice, no source"));
        let along: BTreeSet<&ZoneId> =
            long.zones.iter().filter(|zone| long.stretch(zone) > 1.0).map(|zone| &zone.id).collect();
        assert!(along.contains(&ZoneId::from("exhaust")) && !along.contains(&ZoneId::from("dash_left")));
        for zone in &long.zones {
            let expected = if zone.lengthwise { factor } else { 1.0 };
            assert!((long.stretch(zone) - expected).abs() < 1e-12 && (medium.stretch(zone) - 1.0).abs() < 1e-12);
        }
    }
}

#[test]
fn engine_place_and_size_are_optional_and_a_word_that_is_not_known_is_told() {
    let plain = circuit(Vehicle::default());
    let json = serde_json::to_value(&plain).unwrap();
    assert!(json["vehicle"].get("engine").is_none() && json["vehicle"].get("size").is_none());
    let with = |vehicle: &str| CIRCUIT.replacen("\"fuse\"", &format!("\"vehicle\": {vehicle}, \"fuse\""), 1);
    let read = check::read(with(r#"{ "engine": "rear", "size": "long" }"#).as_bytes()).unwrap();
    assert_eq!((read.vehicle.engine, read.vehicle.size), (EnginePlace::Rear, SizeClass::Long));
    let told = |vehicle: &str| check::read(with(vehicle).as_bytes()).unwrap_err().to_string();
    assert_eq!(
        told(r#"{ "engine": "sideways" }"#),
        "/vehicle/engine: `sideways` is not known here; write one of `front`, `mid`, `rear`"
    );
    assert_eq!(
        told(r#"{ "size": "huge" }"#),
        "/vehicle/size: `huge` is not known here; write one of `short`, `medium`, `long`"
    );
}

#[test]
fn the_brake_lamps_switch_is_at_the_drivers_pedal_on_either_side() {
    for (side, pedal) in [(Side::Left, "dash_left"), (Side::Right, "dash_right")] {
        let (harness, _) = harness(&sized(Body::Saloon, EnginePlace::Front, side, SizeClass::Medium));
        let switch = harness.switches.iter().find(|switch| switch.closed_when == ["brake".into()]).unwrap();
        assert_eq!(switch.zone, Some(pedal.into()));
    }
}
