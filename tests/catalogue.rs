//! Does a technician find the load, and is what the catalogue says of it credible?
use std::collections::{BTreeMap, BTreeSet};

use loomwalk::catalogue::{CautionClass, Item, Kind, Size, SwitchedSide, find, item, items, kinds, pair};
use loomwalk::circuit::file::{Body, EnginePlace, LoadKind, Side, Vehicle};
use loomwalk::ids::ZoneId;
use loomwalk::vehicle::fit::fit;
use proptest::prelude::*;

const BODIES: [Body; 6] =
    [Body::Saloon, Body::Hatchback, Body::Estate, Body::Pickup, Body::PanelVan, Body::Convertible];

fn ids(found: &[&Item]) -> Vec<&'static str> {
    found.iter().map(|item| items().iter().find(|own| own.id == item.id).unwrap().id.as_str()).collect()
}

#[test]
fn there_are_more_than_sixty_kinds_of_load_each_with_its_own_id_and_name() {
    let kinds: BTreeSet<String> =
        items().iter().map(|item| item.id.as_str().replace("_left", "").replace("_right", "")).collect();
    assert!(kinds.len() >= 60, "{}", kinds.len());
    let ids: BTreeSet<_> = items().iter().map(|item| &item.id).collect();
    let labels: BTreeSet<_> = items().iter().map(|item| &item.label).collect();
    assert_eq!((ids.len(), labels.len()), (items().len(), items().len()));
    for id in ids {
        assert!(item(id).is_some());
        assert!(id.as_str().bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'_'));
    }
    assert!(items().iter().all(|item| !format!("{item:?}").contains("{side}")));
}

#[test]
fn every_load_and_its_switch_have_a_place_in_every_body_on_either_side_wherever_the_engine_is() {
    for body in BODIES {
        for engine in [EnginePlace::Front, EnginePlace::Mid, EnginePlace::Rear] {
            for drive_side in [Side::Left, Side::Right] {
                let vehicle = Vehicle { body, engine, drive_side, ..Vehicle::default() };
                let map = fit(&vehicle).map;
                for item in items() {
                    let zone = item.zone_of(&vehicle);
                    assert!(map.zone(&zone).is_some(), "{} in {body:?}: {zone}", item.id);
                    let switch = item.switch_zone_of(&vehicle);
                    assert!(switch.iter().all(|zone| map.zone(zone).is_some()), "{}: {switch:?}", item.id);
                    // A place that is named for this body is one that it has, and needs nothing to stand in.
                    let own = |zone: &ZoneId| map.zones.iter().any(|own| own.id == *zone);
                    assert!(!item.zone_in.contains_key(&body) || own(&zone), "{} in {body:?}: {zone}", item.id);
                }
            }
        }
    }
}

#[test]
fn what_sits_with_the_driver_changes_sides_with_the_driver() {
    let vehicle = |drive_side| Vehicle { drive_side, ..Vehicle::default() };
    let zone = |id: &str, side| item(&id.into()).unwrap().zone_of(&vehicle(side)).to_string();
    assert_eq!(zone("glove_box_lamp", Side::Left), "dash_right");
    assert_eq!(zone("glove_box_lamp", Side::Right), "dash_left");
    assert_eq!(zone("tail_lamp_left", Side::Right), "tail_left");
    assert_eq!(zone("body_module", Side::Right), "dash_left");
}

#[test]
fn a_switch_that_the_driver_works_changes_sides_with_the_driver_and_a_relay_does_not() {
    let vehicle = |drive_side| Vehicle { drive_side, ..Vehicle::default() };
    let places = |id: &str| {
        let item = item(&id.into()).unwrap();
        [Side::Left, Side::Right].map(|side| item.switch_zone_of(&vehicle(side)).unwrap().to_string())
    };
    // The brake pedal, the lamp switch and the glove box's lid.
    assert_eq!(places("brake_lamp_left"), ["dash_left", "dash_right"]);
    assert_eq!(places("brake_lamp_high"), ["dash_left", "dash_right"]);
    assert_eq!(places("rear_fog_lamp_right"), ["dash_left", "dash_right"]);
    assert_eq!(places("glove_box_lamp"), ["dash_right", "dash_left"]);
    assert_eq!(places("dome_lamp_front"), ["door_front_left", "door_front_right"]);
    // Relays in the fuse box, and switches of the thing itself.
    assert_eq!(places("fuel_pump"), ["dash_left", "dash_left"]);
    assert_eq!(places("window_motor_front_right"), ["door_front_right", "door_front_right"]);
    // What sits with the driver has no switch that stays behind at the old driver's side by mistake.
    for item in items().iter().filter(|item| item.follows_driver) {
        let Some(switch) = &item.switch_zone else { continue };
        let sided = switch.as_str().contains("left") || switch.as_str().contains("right");
        assert!(!sided || item.switch_follows_driver, "{}", item.id);
    }
}

#[test]
fn with_the_engine_behind_what_belongs_to_the_body_stays_in_front() {
    let vehicle = |body, engine| Vehicle { body, engine, ..Vehicle::default() };
    let rear = vehicle(Body::Hatchback, EnginePlace::Rear);
    let zone = |id: &str, vehicle: &Vehicle| item(&id.into()).unwrap().zone_of(vehicle).to_string();
    assert_eq!(zone("abs_module", &rear), "luggage_front_left");
    assert_eq!(zone("abs_module", &vehicle(Body::Hatchback, EnginePlace::Front)), "engine_left");
    assert_eq!(zone("ignition_coil", &rear), "engine_right");
    assert_eq!(zone("radiator_fan", &rear), "engine_front");
    // There is no map of such a pickup, so nothing of it moves.
    assert_eq!(zone("abs_module", &vehicle(Body::Pickup, EnginePlace::Rear)), "engine_left");
}

#[test]
fn every_size_is_positive_and_says_where_it_comes_from() {
    for item in items() {
        assert!(!item.source.trim().is_empty(), "{}", item.id);
        let ohms = item.size.ohms().0;
        assert!(ohms.is_finite() && ohms > 0.1, "{}: {ohms}", item.id);
        assert!(!item.system.is_empty() && !item.label.is_empty());
        if item.switched == SwitchedSide::Feed && item.switch_zone.is_some() {
            assert!(!item.live_when.is_empty(), "{} is switched but nothing says when", item.id);
        }
    }
}

/// UN R37 lamp categories (from memory; P21/5W as read in Directive 97/24/EC annex 15): rated W, test V, most W at
/// the test voltage. A lamp cannot have less resistance than test V² / most W.
#[test]
fn filament_lamps_agree_with_un_r37() {
    let table: BTreeMap<&str, (f64, f64, f64)> = BTreeMap::from([
        ("P21W", (21.0, 13.5, 26.5)),
        ("PY21W", (21.0, 13.5, 26.5)),
        ("P21/5W", (5.0, 13.5, 6.6)),
        ("R10W", (10.0, 13.5, 11.0)),
        ("R5W", (5.0, 13.5, 5.5)),
        ("W5W", (5.0, 13.5, 5.5)),
        ("C5W", (5.0, 13.5, 5.5)),
        ("T4W", (4.0, 13.5, 4.4)),
        ("H1", (55.0, 13.2, 68.0)),
        ("H4", (55.0, 13.2, 68.0)),
        ("H7", (55.0, 13.2, 58.0)),
        ("H11", (55.0, 13.2, 62.0)),
    ]);
    let lamps: Vec<&Item> = items().iter().filter(|item| item.kind == LoadKind::FilamentLamp).collect();
    assert!(lamps.len() > 20);
    for lamp in lamps {
        let category = lamp.lamp.as_deref().unwrap();
        let (rated, test_volts, most) = table[category];
        let Size::Watts { watts, .. } = lamp.size else { panic!("{} has no watts", lamp.id) };
        assert!((watts - rated).abs() < 1e-9, "{}: {watts} W", lamp.id);
        let least_ohms = test_volts * test_volts / most;
        let ratio = lamp.size.ohms().0 / least_ohms;
        assert!((0.99..1.15).contains(&ratio), "{}: {ratio}", lamp.id);
        assert!(lamp.source.contains("R37") && lamp.source.contains(category), "{}", lamp.id);
    }
    assert!(items().iter().all(|item| item.lamp.is_none() || item.kind == LoadKind::FilamentLamp));
}

/// Relay data sheets: 68 to 100 Ω by type, 85 Ω ± 10 % among the usual ones.
#[test]
fn relay_coils_lie_within_the_data_sheets() {
    let coils: Vec<f64> =
        items().iter().filter(|item| item.kind == LoadKind::RelayCoil).map(|item| item.size.ohms().0).collect();
    assert!(coils.len() >= 5 && coils.iter().all(|ohms| (68.0..=100.0).contains(ohms)), "{coils:?}");
}

#[test]
fn rear_light_and_tail_lamp_find_the_same_thing() {
    let expected = ["tail_lamp_left", "tail_lamp_right"];
    for typed in ["rear light", "tail lamp", "tail light", "TAILLIGHT", "tail-lamp", "Rear Lamp", "rear position"] {
        assert_eq!(ids(&find(typed, 2)), expected, "{typed}");
    }
}

#[test]
fn words_of_either_side_of_the_ocean_find_it() {
    for (us, uk, id) in [
        ("license plate", "number plate", "plate_lamp_left"),
        ("turn signal", "indicator", "turn_front_left"),
        ("windshield wiper", "windscreen wiper", "wiper_front"),
        ("trunk", "boot", "load_area_lamp_left"),
        ("hood light", "bonnet lamp", "bonnet_lamp"),
        ("backup light", "reversing lamp", "reversing_lamp_left"),
        ("rear defroster", "heated rear", "rear_window_heater"),
        ("dome light", "interior lamp", "dome_lamp_front"),
        ("antenna", "aerial", "aerial_amplifier"),
        ("gas pump", "fuel pump", "fuel_pump"),
        ("third brake", "high-level", "brake_lamp_high"),
        ("power outlet", "12 v socket", "accessory_socket"),
        ("trailer plug", "tow socket", "tow_socket"),
        ("liftgate", "tailgate", "lock_rear_closure"),
    ] {
        for typed in [us, uk] {
            assert!(ids(&find(typed, 8)).contains(&id), "{typed}: {:?}", ids(&find(typed, 8)));
        }
    }
}

#[test]
fn three_letters_are_enough_for_the_fifteen_ampere_circuit_of_a_load_area() {
    for (typed, id) in [
        ("loa", "load_area_lamp_left"),
        ("rea", "lock_rear_closure"),
        ("rear wip", "wiper_rear"),
        ("hea", "rear_window_relay"),
        ("rev", "reversing_lamp_left"),
        ("num", "plate_lamp_left"),
        ("hig", "brake_lamp_high"),
        ("tow", "tow_socket"),
        ("car", "cargo_fan"),
        ("acc", "accessory_socket_rear"),
        ("rev", "reversing_camera"),
        ("par", "parking_module"),
        ("cen", "locking_module"),
        ("ste", "step_lamp_side_door"),
        ("sli", "lock_side_door"),
    ] {
        let found = ids(&find(typed, 24));
        assert!(found.contains(&id), "{typed}: {found:?}");
    }
}

#[test]
fn the_name_comes_before_other_words_and_these_before_the_system() {
    assert_eq!(find("hor", 1)[0].id.as_str(), "horn");
    let found = ids(&find("lock", 40));
    let place = |id: &str| found.iter().position(|found| *found == id).unwrap();
    assert!(place("lock_front_left") < place("tailgate_motor"), "{found:?}");
    assert_eq!(
        find("brakes chas", 40).len(),
        items().iter().filter(|item| item.system == "Brakes and chassis").count()
    );
}

#[test]
fn every_word_typed_must_fit() {
    assert!(find("rear unicorn", 9).is_empty());
    assert!(find("", 9).is_empty() && find("  -/ ", 9).is_empty());
    assert!(find("rear left", 40).iter().all(|item| item.id.as_str().ends_with("left")));
    assert_eq!(find("lamp", 3).len(), 3);
    assert!(find("lamp", 0).is_empty());
}

#[test]
fn accents_and_case_do_not_matter() {
    assert_eq!(ids(&find("Tàil LÂMP", 2)), ids(&find("tail lamp", 2)));
}

#[test]
fn airbag_wiring_is_marked_and_high_voltage_is_left_out() {
    for id in ["airbag_module", "belt_switch_left", "seat_occupancy", "seat_heater_left", "steering_wheel_heater"] {
        assert_eq!(item(&id.into()).unwrap().caution, Some(CautionClass::Airbag), "{id}");
    }
    for item in items() {
        if item.system == "Seats and occupant protection" && item.id.as_str() != "horn" {
            assert_eq!(item.caution, Some(CautionClass::Airbag), "{}", item.id);
        }
        let words = format!("{} {}", item.label, item.also.join(" ")).to_lowercase();
        assert!(!words.contains("high voltage") && !words.contains("traction"), "{}", item.id);
        if item.zone.as_str() == "tank" {
            assert_eq!(item.caution, Some(CautionClass::Fuel), "{}", item.id);
        }
    }
}

proptest! {
    #[test]
    fn whatever_is_typed_the_answer_is_the_same_twice_and_no_longer_than_asked(typed in "\\PC{0,24}", most in 0_usize..12) {
        let found = ids(&find(&typed, most));
        prop_assert!(found.len() <= most);
        prop_assert_eq!(&found, &ids(&find(&typed, most)));
    }

    #[test]
    fn every_beginning_of_a_name_of_three_letters_or_more_finds_it(number in 0..items().len(), letters in 3_usize..40) {
        let item = &items()[number];
        let typed: String = item.label.chars().take(letters).collect();
        prop_assert!(ids(&find(&typed, items().len())).contains(&item.id.as_str()), "{}", typed);
    }
}

#[test]
fn many_and_one_and_the_words_of_either_country_find_the_same() {
    for (typed, id) in [
        ("tail lights", "tail_lamp_left"),
        ("rear indicators", "turn_rear_left"),
        ("left indicator rear", "turn_rear_left"),
        ("windshield wipers", "wiper_front"),
        ("hood lamp", "bonnet_lamp"),
        ("trunk lights", "load_area_lamp_left"),
        ("fog lights", "front_fog_lamp_left"),
        ("seat heaters", "seat_heater_left"),
        ("power windows", "window_motor_front_left"),
        ("license plate bulbs", "plate_lamp_left"),
        ("lambda probe", "oxygen_front"),
        ("trailer control unit", "tow_module"),
    ] {
        assert_eq!(ids(&find(typed, 1)), [id], "{typed}");
    }
}

#[test]
fn a_slip_of_the_finger_is_forgiven_only_where_nothing_fits_as_typed() {
    for (typed, id) in [
        ("revesring", "reversing_lamp_left"),
        ("tial lamp", ""),
        ("tailgaet wiper", "wiper_rear"),
        ("headlmap dip", "headlamp_dip_left"),
        ("sunrof", "sunroof_motor"),
        ("washr", "washer_pump"),
        ("tachograf", "tachograph"),
    ] {
        let found = find(typed, 1);
        assert_eq!(found.first().map_or("", |item| item.id.as_str()), id, "{typed}");
    }
    // "light" is one letter from "right": that is no reason to show all that sits on the right.
    assert!(find("light", 200).iter().all(|item| !item.id.as_str().starts_with("lock_front")));
}

#[test]
fn whole_systems_are_found_by_their_name() {
    for system in ["wipers", "seats", "cooling", "heating", "brakes", "doors"] {
        assert!(find(system, 40).len() > 2, "{system}");
    }
}

#[test]
fn every_left_entry_has_its_right_one_and_they_differ_in_nothing_but_the_side() {
    for kind in kinds() {
        for item in kind.items() {
            assert_eq!(pair(item), *kind, "{}", item.id);
        }
        if let Kind::Pair { left, right } = kind {
            let of_left = serde_json::to_string(left).unwrap();
            assert_eq!(
                of_left.replace("left", "right"),
                serde_json::to_string(right).unwrap().replace("left", "right")
            );
            assert_eq!((left.side, right.side), (Some(Side::Left), Some(Side::Right)));
            assert!(left.label.ends_with(", left") && right.label.ends_with(", right"));
        }
    }
    assert_eq!(kinds().iter().flat_map(|kind| kind.items()).count(), items().len());
}

#[test]
fn a_usual_suspect_says_why_and_where_that_comes_from_and_only_where_it_holds() {
    let suspects: Vec<_> = items().iter().filter_map(|item| Some((item, item.trouble.as_ref()?))).collect();
    assert!(suspects.len() > 40 && suspects.len() < items().len());
    for (item, trouble) in &suspects {
        assert!(trouble.why.ends_with('.') && !trouble.source.is_empty(), "{}", item.id);
        let own = trouble.only_at.as_ref().is_none_or(|zone| *zone == item.zone);
        assert!(own, "{}: told only at a place where it never sits", item.id);
    }
    // A high-level brake lamp in a van's roof has no hinge to bend at.
    let high = item(&"brake_lamp_high".into()).unwrap();
    assert!(high.trouble_in(Body::Hatchback).is_some() && high.trouble_in(Body::PanelVan).is_none());
    let camera = item(&"reversing_camera".into()).unwrap();
    assert!(camera.trouble_in(Body::Saloon).is_some() && camera.trouble_in(Body::PanelVan).is_none());
}

/// Filament lamps: hot to cold 10 to 15; motors: stall 5 to 10 × running (three and one sources as quoted in the values).
/// Wideband sensor heaters about 3 Ω cold (from memory), narrowband ones 5 to 16 Ω (data sheets).
#[test]
fn at_rest_a_load_measures_as_its_class_or_its_data_sheet_has_it() {
    for item in items() {
        let ratio = item.size.ohms().0 / item.at_rest_ohms().0;
        let (least, most) = match item.kind {
            LoadKind::FilamentLamp => (10.0, 15.0),
            LoadKind::Motor => (5.0, 10.0),
            _ if item.at_rest.is_some() => (1.1, 4.0),
            _ => (1.0, 1.0),
        };
        assert!((least - 1e-9..=most + 1e-9).contains(&ratio), "{}: {ratio}", item.id);
        assert!(item.at_rest.iter().all(|at_rest| !at_rest.source.is_empty()));
    }
    assert_eq!(item(&"oxygen_front".into()).unwrap().at_rest_ohms().0, 3.0);
    assert!((5.0..=16.0).contains(&item(&"oxygen_rear".into()).unwrap().at_rest_ohms().0));
}

/// A gas or fuel vapour at the place is minded wherever a load sits in or on the fuel system.
#[test]
fn what_belongs_to_the_fuel_system_has_its_caution() {
    for item in items() {
        let words = format!("{} {}", item.label, item.also.join(" ")).to_lowercase();
        let relay = item.kind == LoadKind::RelayCoil;
        let fuel = ["fuel", "tank purge", "in-tank"].iter().any(|word| words.contains(word));
        if fuel && !relay && !words.contains("air-fuel") {
            assert_eq!(item.caution, Some(CautionClass::Fuel), "{}", item.id);
        }
    }
}

#[test]
fn every_caution_has_words_and_the_dangerous_ones_defer_to_the_maker() {
    let all = [CautionClass::Airbag, CautionClass::Fuel, CautionClass::Moves, CautionClass::Hot];
    assert!(all.iter().all(|class| class.words().ends_with('.')));
    assert!(all[..2].iter().all(|class| class.words().contains("the maker")));
}
