//! Does the shelf keep the newest of each circuit, find it again, and say what a job has learned?
//!
//! The laws of merging are checked against a plain reading of the promise (the newest of each id but what was taken off),
//! what was learned against the job's own acts.

use chrono::DateTime;
use expect_test::expect;
use loomwalk::circuit::check;
use loomwalk::circuit::file::{CircuitFile, Load, OptionState, Vehicle};
use loomwalk::ids::{JobId, ShelvedId};
use loomwalk::job::event::{Act, Event};
use loomwalk::job::{Job, Log};
use loomwalk::shelf::find::Fit;
use loomwalk::shelf::learned::{learned, origin, take_over};
use loomwalk::shelf::take::{for_job, for_sister};
use loomwalk::shelf::{Brought, Shelf, Shelved, read};
use proptest::prelude::*;
use serde_json::{Value, json};
use uuid::Uuid;

const VAN: &str = include_str!("cases/circuits/small_van.json");
const TWO: &str = include_str!("cases/shelves/two.shelf.json");

fn van() -> CircuitFile {
    serde_json::from_str(VAN).unwrap()
}

fn uuid(number: u128) -> Uuid {
    Uuid::from_u128(0x0199_c0de_0000_7000_8000_0000_0000_0000 + number)
}

fn shelved(number: u128, second: i64, label: &str, circuit: CircuitFile) -> Shelved {
    let kept_at = DateTime::from_timestamp(1_772_000_000 + second, 0).unwrap();
    Shelved { id: ShelvedId(uuid(number)), kept_at, label: label.into(), vin_begins: None, from_job: None, circuit }
}

fn job_of(acts: &[Act]) -> Job {
    let at = DateTime::from_timestamp(1_772_000_000, 0).unwrap();
    let event = |(number, act): (usize, &Act)| {
        Event::new(loomwalk::ids::EventId(uuid(number as u128)), at, loomwalk::ids::DeviceId(uuid(7)), act)
    };
    Job::fold(JobId(uuid(99)), &Log::of(acts.iter().enumerate().map(event)).unwrap())
}

fn taken(circuit: CircuitFile, shelved: &Shelved) -> Act {
    Act::Circuit { circuit: Box::new(circuit), shelved: Some(shelved.id) }
}

fn load(circuit: &CircuitFile, id: &str) -> Load {
    circuit.loads.iter().find(|load| load.id.as_str() == id).unwrap().clone()
}

// Merging.

fn any_shelf() -> impl Strategy<Value = (Vec<Shelved>, Vec<ShelvedId>)> {
    let entry = (0..4_u128, 0..3_i64, 0..3_u8);
    let entry = entry.prop_map(|(id, second, label)| shelved(id, second, &format!("van {label}"), van()));
    let off = (0..4_u128).prop_map(|id| ShelvedId(uuid(id)));
    (prop::collection::vec(entry, 0..6), prop::collection::vec(off, 0..2))
}

fn merged(shelves: &[&Shelf]) -> Shelf {
    let mut all = Shelf::default();
    shelves.iter().for_each(|shelf| all.merge((*shelf).clone()));
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn merging_is_free_of_order_and_repetition(a in any_shelf(), b in any_shelf(), c in any_shelf()) {
        let [a, b, c] = [a, b, c].map(|(entries, off)| Shelf::of(entries, off));
        prop_assert_eq!(merged(&[&a, &b]), merged(&[&b, &a]));
        prop_assert_eq!(merged(&[&merged(&[&a, &b]), &c]), merged(&[&a, &merged(&[&b, &c])]));
        prop_assert_eq!(merged(&[&a, &b, &a, &b, &a]), merged(&[&a, &b]));
        prop_assert_eq!(merged(&[&a]), a);
    }

    #[test]
    fn the_newest_of_each_is_there_and_what_was_taken_off_is_not(a in any_shelf(), b in any_shelf()) {
        let all = merged(&[&Shelf::of(a.0.clone(), a.1.clone()), &Shelf::of(b.0.clone(), b.1.clone())]);
        for number in 0..4 {
            let id = ShelvedId(uuid(number));
            let newest = a.0.iter().chain(&b.0).filter(|entry| entry.id == id).map(|entry| entry.kept_at).max();
            let off = a.1.contains(&id) || b.1.contains(&id);
            prop_assert_eq!(all.get(id).map(|entry| entry.kept_at), newest.filter(|_| !off));
            prop_assert_eq!(all.taken_off().contains(&id), off);
        }
    }

    #[test]
    fn a_shelf_comes_back_from_its_file_as_it_was(a in any_shelf()) {
        let shelf = Shelf::of(a.0, a.1);
        let file = serde_json::to_vec(&shelf.file()).unwrap();
        for entry in shelf.entries() {
            prop_assert_eq!(&read::one(&entry.text()), &Ok(entry.clone()));
        }
        prop_assert_eq!(read::read(&file), Ok(shelf));
    }
}

#[test]
fn what_a_file_brings_is_counted_before_it_is_taken_in() {
    let ours = Shelf::of([shelved(1, 5, "one", van()), shelved(2, 5, "two", van())], [ShelvedId(uuid(4))]);
    let theirs = Shelf::of(
        [shelved(1, 9, "one", van()), shelved(3, 1, "three", van()), shelved(4, 9, "off", van())],
        [ShelvedId(uuid(2))],
    );
    assert_eq!(ours.brings(&theirs), Brought { new: 1, newer: 1, off: 1 });
    assert_eq!(merged(&[&ours, &theirs]).brings(&theirs), Brought::default());
}

// Files.

#[test]
fn a_sound_shelf_is_read_and_checked() {
    let shelf = read::read(TWO.as_bytes()).unwrap();
    let labels: Vec<&str> = shelf.entries().iter().map(|entry| &*entry.label).collect();
    assert_eq!(labels, ["Grey hatchback", "White van, yard 3"], "the newest first");
    let said = loomwalk::cli::check::check_bytes(TWO.as_bytes()).unwrap();
    assert_eq!(said, "a sound loomwalk/shelf, version 1: 2 circuits, 1 taken off");
}

#[test]
fn a_wrong_file_is_refused_with_the_place_and_the_way_out() {
    let with = |pointer: &str, value: Value| {
        let mut file: Value = serde_json::from_str(TWO).unwrap();
        let (parent, field) = pointer.rsplit_once('/').unwrap();
        file.pointer_mut(parent).unwrap()[field] = value;
        file.to_string()
    };
    let wrong = [
        "[1, 2]".to_owned(),
        TWO[..400].to_owned(),
        VAN.to_owned(),
        with("/format", json!("loomwalk/bundle")),
        with("/version", json!(2)),
        with("/version", json!("1")),
        with("/entries", json!({})),
        with("/entries/0/id", json!("no id")),
        with("/entries/0/kept_at", json!("yesterday")),
        with("/entries/0/label", json!(" ")),
        with("/entries/0/vin_begins", json!("XYZ")),
        with("/entries/1/circuit/fuse/rating_a", json!(-1)),
        with("/entries/1/circuit/version", json!(3)),
        with("/entries/1/circuit/vehicle", json!({ "vin": "XYZ12ABC4D5000017" })),
        with("/taken_off", json!([7])),
    ];
    let told: Vec<String> = wrong.iter().map(|file| read::read(file.as_bytes()).unwrap_err().to_string()).collect();
    expect![[r#"
        this is not a shelf file: it should hold one JSON object, but it holds something else; choose a file that ends in .shelf.json
        this is not a shelf file: it should hold one JSON object, but EOF while parsing a string at line 14 column 33; choose a file that ends in .shelf.json
        /format: this is not a shelf file: its format should be "loomwalk/shelf", but it is "loomwalk/circuit"; open it on the circuit screen of a job
        /format: this is not a shelf file: its format should be "loomwalk/shelf", but it is "loomwalk/bundle"; open it in the list of jobs
        /version: this file is version 2 of loomwalk/shelf and this program reads up to version 1: update the program, then open it again
        /version: write the whole number 1
        /entries: invalid type: map, expected a list of at most 5000
        /entries/0/id: UUID parsing failed: invalid character: found `n` at 0
        /entries/0/kept_at: a time should stand as 2026-05-04T09:30:00Z
        /entries/0/label: it should be a text of 1 to 1000 bytes
        /entries/0/vin_begins: "XYZ" is not how a vehicle identification number begins: eight letters and digits, without I, O and Q
        /entries/1/circuit/fuse/rating_a: it is -1 A; a fuse rating is more than 0 and at most 1000 A
        /entries/1/circuit/version: the file has version 3 of loomwalk/circuit, which is newer than this program; this reads version 1: get a newer Loomwalk
        /entries/1/circuit/vehicle/vin: a shelf is not about one vehicle: leave its identification number out
        /taken_off/0: invalid type: integer `7`, expected a formatted UUID string"#]].assert_eq(&told.join("\n"));
}

#[test]
fn a_list_that_no_shelf_has_is_refused_before_it_is_built() {
    let many = vec!["0"; read::MOST_ENTRIES + 1].join(",");
    let file = format!(r#"{{"format":"loomwalk/shelf","version":1,"entries":[{many}]}}"#);
    let told = read::read(file.as_bytes()).unwrap_err().to_string();
    assert_eq!(told, "/entries: more than 5000, which no shelf has");
}

// Finding.

#[test]
fn a_circuit_is_found_by_its_label_fuse_body_or_loads() {
    let shelf = read::read(TWO.as_bytes()).unwrap();
    let found = |typed: &str| shelf.find(typed).iter().map(|entry| &*entry.label).collect::<Vec<_>>().join(" + ");
    assert_eq!(found("white"), "White van, yard 3");
    assert_eq!(found("f23"), "White van, yard 3");
    assert_eq!(found("panel tow"), "White van, yard 3");
    assert_eq!(found("PUMP"), "Grey hatchback");
    assert_eq!(found("hatch"), "Grey hatchback");
    assert_eq!(found(""), "Grey hatchback + White van, yard 3");
    assert_eq!(found("white pump"), "");
}

#[test]
fn the_same_vehicle_is_offered_before_the_same_line_and_that_before_the_same_body_and_fuse() {
    let start = |vin: &str| loomwalk::shelf::file::VinStart::of(vin);
    let line = Shelved { vin_begins: start("XYZ12ABC4D5000099"), ..shelved(2, 9, "Blue van", van()) };
    let mut other_fuse = van();
    other_fuse.fuse.label = "F7".into();
    let own = Shelved { from_job: Some(JobId(uuid(99))), ..shelved(6, 99, "White van", van()) };
    let shelf = Shelf::of(
        [
            shelved(1, 1, "white  VAN", van()),
            line,
            shelved(3, 20, "Green van", van()),
            shelved(4, 10, "Red van", van()),
            shelved(5, 30, "White van", other_fuse),
            own,
        ],
        [],
    );
    let vehicle = Vehicle { label: "White van".into(), vin: Some("XYZ12ABC4D5000017".into()), ..van().vehicle };
    let offered = |vehicle: &Vehicle, fuse: &str| -> Vec<(String, Fit)> {
        let offers = shelf.offers(JobId(uuid(99)), vehicle, fuse);
        offers.iter().map(|offer| (offer.shelved.label.clone(), offer.fit)).collect()
    };
    let labelled = |label: &str, fit| (label.to_owned(), fit);
    assert_eq!(
        offered(&vehicle, "f 23"),
        [
            labelled("white  VAN", Fit::SameVehicle),
            labelled("Blue van", Fit::SameLine),
            labelled("Green van", Fit::SameBodyAndFuse),
            labelled("Red van", Fit::SameBodyAndFuse),
        ]
    );
    let unnamed = Vehicle { label: String::new(), vin: None, ..van().vehicle };
    assert_eq!(offered(&unnamed, ""), [], "nothing is offered to a job of which nothing is known");
    let pickup = Vehicle { body: loomwalk::circuit::file::Body::Pickup, ..unnamed };
    assert_eq!(offered(&pickup, "F23"), []);
}

// Taking.

#[test]
fn a_sister_gets_what_is_built_in_and_not_what_happened_to_the_first() {
    let mut first = van();
    first.vehicle.vin = Some("XYZ12ABC4D5000017".into());
    for (id, kind) in [("m2", "repaired_before"), ("m3", "heat")] {
        let mark = json!({ "id": id, "run": "r4", "at_m": 1, "kind": kind });
        first.marks.push(serde_json::from_value(mark).unwrap());
    }
    let sister = for_sister(&first, "Sister van");
    assert_eq!(sister.circuit.vehicle.label, "Sister van");
    assert_eq!((sister.circuit.vehicle.vin, sister.circuit.vehicle.options.len()), (None, 0));
    assert_eq!(sister.circuit.marks.iter().map(|mark| mark.id.as_str()).collect::<Vec<_>>(), ["m1", "m3"]);
    assert_eq!(sister.circuit.loads, first.loads);
    expect![[r#"
        1 mark that was of that vehicle alone
        2 options struck out there: strike them out again if this one lacks them too"#]]
    .assert_eq(&sister.left_out.join("\n"));
}

#[test]
fn a_job_keeps_its_own_name_and_number_and_hears_what_would_be_replaced() {
    let kept = shelved(1, 1, "2013 panel van", van());
    let fresh = for_job(&kept, None);
    assert_eq!((fresh.circuit, fresh.left_out, fresh.replaces), (van(), vec![], vec![]));

    let entered = json!({
        "format": "loomwalk/circuit", "version": 1, "fuse": { "label": "F23", "rating_a": 0 }, "loads": [],
        "vehicle": { "label": "2013 Panel Van", "vin": "XYZ12ABC4D5000017" },
    });
    let named: CircuitFile = serde_json::from_value(entered).unwrap();
    let same = for_job(&kept, Some(&named));
    assert_eq!(same.circuit.vehicle.vin, named.vehicle.vin);
    assert_eq!(same.circuit.vehicle.options, van().vehicle.options, "the same vehicle keeps what was struck out");
    assert_eq!((same.left_out, same.replaces), (vec![], vec![]), "only a name was entered");

    let mut worked = named.clone();
    worked.vehicle.label = "Another van".into();
    worked.vehicle.body = loomwalk::circuit::file::Body::Pickup;
    worked.fuse.rating_a = 10.0;
    worked.loads.push(Load { id: "new".into(), ..load(&van(), "tracker") });
    let other = for_job(&kept, Some(&worked));
    assert_eq!(other.circuit.vehicle.label, "Another van");
    assert!(other.circuit.vehicle.options.is_empty());
    assert_eq!(other.replaces, ["the body: Pickup, not Panel van", "the fuse: F23, 10 A", "1 load"]);
    assert_eq!(for_job(&kept, Some(&van())).replaces, Vec::<String>::new(), "what is there already is not replaced");
}

#[test]
fn only_a_sound_circuit_is_put_on_the_shelf_and_the_number_is_left_out() {
    let at = DateTime::from_timestamp(1_772_000_000, 0).unwrap();
    let id = ShelvedId(uuid(1));
    assert_eq!(Shelved::of(&job_of(&[]), id, at), None);
    let half = job_of(&[Act::Vehicle(Vehicle::default())]);
    assert!(Shelved::of(&half, id, at).unwrap().is_err(), "it has no fuse yet");
    let mut numbered = van();
    numbered.vehicle.vin = Some("XYZ12ABC4D5000017".into());
    let job = job_of(&[Act::Circuit { circuit: Box::new(numbered), shelved: None }]);
    let kept = Shelved::of(&job, id, at).unwrap().unwrap();
    assert_eq!((&*kept.label, kept.from_job), ("2013 panel van", Some(job.id)));
    assert!(!serde_json::to_string(&kept).unwrap().contains("5000017"));
    assert_eq!(kept.vin_begins.map(String::from).as_deref(), Some("XYZ12ABC"));
}

// Learning.

#[test]
fn what_a_job_learned_is_told_in_words() {
    let kept = shelved(1, 1, "2013 panel van", van());
    let circuit = van();
    let lamp = Load { zone: Some("load_area_left".into()), watts: Some(5.0), ..load(&circuit, "lamp_left") };
    let fan = Load {
        via: serde_json::from_value(json!([{ "zone": "roof_front" }])).unwrap_or_default(),
        ..load(&circuit, "fan")
    };
    let beacon = Load { id: "beacon".into(), label: "Beacon".into(), ..load(&circuit, "tracker") };
    let mark = json!({ "id": "m9", "run": "r4", "at_m": 1.5, "kind": "clip_missing", "note": "behind the gearbox" });
    let job = job_of(&[
        taken(circuit, &kept),
        Act::Load(lamp),
        Act::Load(fan),
        Act::Load(beacon),
        Act::LoadRemoved { load: "door_lock".into() },
        Act::Option { option: "rear_wiper".into(), state: OptionState::RemovedWiringLeft, why: String::new() },
        Act::Mark(serde_json::from_value(mark).unwrap()),
        Act::MarkRemoved { mark: "m1".into() },
    ]);
    let shelf = Shelf::from(kept);
    let origin = origin(&shelf, &job).unwrap();
    let now = job.circuit.as_ref().unwrap();
    let learned = origin.learned(now);
    let told: Vec<&str> = learned.iter().map(|correction| &*correction.words).collect();
    expect![[r#"
        Rear wiper: removed, wiring left
        Rear door lock: not on this fuse
        Load-area lamp, left: in “Load area, left wall” (was: in “Load-area roof”)
        Load-area lamp, left: 5 W (was: 10 W)
        Load-area fan: its wire goes by way of “Cab roof and shelf”
        Beacon: on this fuse as well, place unknown
        Wire r4 of Reversing lamp, 1.5 m along: clip missing (behind the gearbox)
        Wire r4 of Reversing lamp, 0.6 m along: no longer marked"#]]
    .assert_eq(&told.join("\n"));
    // One of them alone changes nothing else.
    let one = take_over(&origin.shelved.circuit, [&learned[0]]).unwrap();
    assert_eq!(loomwalk::shelf::learned::learned(&van(), &one).len(), 1);
}

#[test]
fn what_another_job_put_on_the_shelf_meanwhile_is_neither_told_nor_undone() {
    let kept = shelved(1, 1, "2013 panel van", van());
    let moved = |id: &str, zone: &str| Load { zone: Some(zone.into()), ..load(&van(), id) };
    let job =
        job_of(&[taken(van(), &kept), Act::Load(moved("fan", "roof_front")), Act::Load(moved("tracker", "console"))]);
    let mut since = kept.clone();
    since.kept_at += chrono::TimeDelta::days(1);
    since.circuit.loads[0] = moved("lamp_left", "load_area_left");
    since.circuit.loads.iter_mut().find(|load| load.id.as_str() == "tracker").unwrap().zone = Some("console".into());
    let shelf = Shelf::from(since.clone());
    let origin = origin(&shelf, &job).unwrap();
    let learned = origin.learned(job.circuit.as_ref().unwrap());
    assert_eq!(learned.len(), 1, "the tracker is there already: {learned:?}");
    let better = take_over(&origin.shelved.circuit, &learned).unwrap();
    assert_eq!(load(&better, "lamp_left"), since.circuit.loads[0]);
    assert_eq!(load(&better, "fan").zone, Some("roof_front".into()));
}

#[test]
fn corrections_that_do_not_hold_together_are_refused() {
    let mut now = van();
    now.runs.push(serde_json::from_value(json!({ "id": "r9", "from": "s1", "to": "fan.feed" })).unwrap());
    now.marks.push(serde_json::from_value(json!({ "id": "m9", "run": "r9", "at_m": 0.1, "kind": "edge" })).unwrap());
    let learned = learned(&van(), &now);
    let mark = learned.iter().find(|correction| correction.words.contains("crosses an edge")).unwrap();
    assert!(take_over(&van(), [mark]).unwrap_err().to_string().contains("/marks/1/run"));
    assert!(take_over(&van(), &learned).is_ok());
}

/// An edit of the small van, as a technician may make it.
fn any_act() -> impl Strategy<Value = Act> {
    let id = prop::sample::select(vec!["lamp_left", "reverse_lamp", "fan", "wiper", "door_lock", "tracker", "new"]);
    let zone = prop::option::of(prop::sample::select(vec!["roof_front", "tail_left", "console"]));
    let edited = (id.clone(), zone, prop::option::of(1..5_u8)).prop_map(|(id, zone, watts)| {
        let van = van();
        let known = van.loads.iter().find(|load| load.id.as_str() == id).cloned();
        let known = known.unwrap_or_else(|| Load { id: id.into(), ..load(&van, "tracker") });
        let mut changed = Load { zone: zone.map(Into::into), ..known };
        if let Some(watts) = watts {
            (changed.ohms, changed.amps, changed.watts) = (None, None, Some(f64::from(watts)));
        }
        Act::Load(changed)
    });
    let removed = id.prop_map(|id| Act::LoadRemoved { load: id.into() });
    let option = prop::sample::select(vec!["rear_wiper", "tow_socket", "cargo_fan"]);
    let states = prop::sample::select(vec![OptionState::Fitted, OptionState::Absent, OptionState::RemovedWiringLeft]);
    let option =
        (option, states).prop_map(|(option, state)| Act::Option { option: option.into(), state, why: String::new() });
    let mark = (0..3_u8, prop::sample::select(vec!["r1", "r4", "r5"]), 1..3_u8).prop_map(|(id, run, tenths)| {
        let mark = json!({ "id": format!("m{id}"), "run": run, "at_m": f64::from(tenths) / 20.0, "kind": "wet" });
        Act::Mark(serde_json::from_value(mark).unwrap())
    });
    let unmarked = (0..3_u8).prop_map(|id| Act::MarkRemoved { mark: format!("m{id}").as_str().into() });
    prop_oneof![3 => edited, 1 => removed, 1 => option, 2 => mark, 1 => unmarked]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn all_that_was_learned_makes_the_shelf_what_the_job_is(acts in prop::collection::vec(any_act(), 0..12)) {
        let kept = shelved(1, 1, "2013 panel van", van());
        let job = job_of(&[vec![taken(van(), &kept)], acts].concat());
        let now = job.circuit.unwrap();
        prop_assert_eq!(check::validate(&now).map_err(|error| error.to_string()), Ok(()));
        let told = learned(&van(), &now);
        let mut after = take_over(&van(), &told).unwrap();
        prop_assert_eq!(learned(&after, &now), vec![]);
        let mut now = now;
        for circuit in [&mut after, &mut now] {
            circuit.loads.sort_by(|one, other| one.id.cmp(&other.id));
            circuit.marks.sort_by(|one, other| one.id.cmp(&other.id));
            // Wires that went with a load and came back with it stand last.
            circuit.runs.sort_by(|one, other| one.id.cmp(&other.id));
            circuit.switches.sort_by(|one, other| one.id.cmp(&other.id));
        }
        prop_assert_eq!(after, now);
        prop_assert_eq!(learned(&van(), &van()), vec![]);
    }
}
