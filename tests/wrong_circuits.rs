//! What does a technician read when a circuit file is wrong? And no file, however broken, is a way to bring us down.
use std::fmt::Write as _;
use std::path::Path;

use expect_test::expect;
use loomwalk::circuit::check::{self, MOST_BYTES, MOST_ENTRIES};
use loomwalk::circuit::file::CircuitFile;
use proptest::prelude::*;

const SMALL_VAN: &str = include_str!("cases/circuits/small_van.json");

/// Every wrong file with what is said about it.
fn told() -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/wrong_circuits");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    let mut told = String::new();
    for file in files {
        let error = check::read(&std::fs::read(&file).unwrap()).unwrap_err();
        writeln!(told, "{}\n  {}", file.file_stem().unwrap().display(), error.to_string().replace('\n', "\n  "))
            .unwrap();
    }
    told
}

#[test]
fn each_wrong_file_is_told_what_is_wrong_where_and_what_would_be_right() {
    expect![[r#"
        absurd_numbers
          /supply/volts: it is 1e300 V; a voltage is more than 0 and at most 1000 V
          /runs/0/awg: it is 300; a wire gauge is at least -3 and at most 50
          /runs/0/length_m: it is 123456 m; a run's length is more than 0 and at most 10000 m
          /runs/0/temp_c: it is -300 °C; a wire's temperature is at least -100 and at most 1000 °C
          /loads/0/ohms: it is a number that no computer can hold; write a smaller one
          /loads/1/ohms: it is 0 Ω; a load's resistance is more than 0 and at most 1000000000 Ω
        body_unknown
          /vehicle/body: `lorry` is not known here; write one of `saloon`, `hatchback`, `estate`, `pickup`, `panel_van`, `convertible`
        colours
          /runs/0/colour: "bk-ye" is no colour code; write "BK/YE"
          /runs/1/colour: "BLK" is no colour code; write "BK"
          /runs/2/colour: "RD/WH/GN" is no colour code; write IEC 60757 codes, base/stripe as in "BK/YE": BK BN RD OG YE GN BU VT GY WH PK GD TQ SR, GNYE
        cut_short
          the file: it is not JSON: line 6, column 0: the text ends within an object; mend or export it again: a circuit file is one JSON object
        duplicate_ids
          /loads/1/id: the id "lamp" is taken by the load at /loads/0; give each its own id
          /joints/1/id: the id "s1" is taken by the joint at /joints/0; give each its own id
          /switches/1/id: the id "a" is taken by the switch at /switches/0; give each its own id
          /runs/1/id: the id "a" is taken by the run at /runs/0; give each its own id
          /marks/1/id: the id "m" is taken by the mark at /marks/0; give each its own id
        empty
          the file: it is not JSON: line 1, column 0: the text ends within a value; mend or export it again: a circuit file is one JSON object
        field_given_twice
          the file: the field `label` is given more than once; give it once
        format_missing
          /format: it is missing; write "loomwalk/circuit"
        format_of_something_else
          /format: the file's format is "loomwalk/evidence"; this reads the format "loomwalk/circuit"
        from_a_node_to_itself
          /switches/0/to: both its ends are at "fuse"; name two different nodes
          /runs/1/to: both its ends are at "s1"; name two different nodes
          /loads/0/return: both its ends are at "s1"; name two different nodes
        fuse_and_loads_missing
          /fuse: it is missing; give at least its `rating_a`
          /loads: it is missing; list what the fuse feeds, if only by name
        fuse_rating_zero
          /fuse/rating_a: it is 0 A; a fuse rating is more than 0 and at most 1000 A
        fuse_without_rating
          /fuse/rating_a: it is missing; add it
        ids_of_other_nodes
          /joints/3/id: it is empty; give it a name
          /joints/4/id: the id "assumed:s1" is reserved; choose one that does not start with "assumed:": those stand for what was not stated
          /joints/0/id: "fuse" already names a node of every circuit or a load's terminal; choose another id
          /joints/1/id: "ground" already names a node of every circuit or a load's terminal; choose another id
          /joints/2/id: "lamp.feed" already names a node of every circuit or a load's terminal; choose another id
        item_unknown
          /loads/0/item: "reversing_lamp" is not in the catalogue; leave `item` out, or name an entry of the catalogue, such as "reversing_lamp_left", "reversing_lamp_right"
          /loads/1/item: "disco_ball" is not in the catalogue; leave `item` out, or name an entry of the catalogue
        kind_of_load_unknown
          /loads/1/kind: `trumpet` is not known here; write one of `filament_lamp`, `led_lamp`, `motor`, `heater`, `relay_coil`, `solenoid`, `module`, `sensor`, `sounder`, `socket`, `resistor`
          /loads/2/id: it is the number `7`; write a text, in quotes
        marks_astray
          /marks/0/at_m: 2.5 m is beyond the end of run "r1"; the run is 1.8 m long, measured from "fuse"
          /marks/1/run: there is no run "r9"; name the id of a run in this file
        more_than_fifty
          /loads/0/id: it is missing; add it
          /loads/1/id: it is missing; add it
          /loads/2/id: it is missing; add it
          /loads/3/id: it is missing; add it
          /loads/4/id: it is missing; add it
          /loads/5/id: it is missing; add it
          /loads/6/id: it is missing; add it
          /loads/7/id: it is missing; add it
          /loads/8/id: it is missing; add it
          /loads/9/id: it is missing; add it
          /loads/10/id: it is missing; add it
          /loads/11/id: it is missing; add it
          /loads/12/id: it is missing; add it
          /loads/13/id: it is missing; add it
          /loads/14/id: it is missing; add it
          /loads/15/id: it is missing; add it
          /loads/16/id: it is missing; add it
          /loads/17/id: it is missing; add it
          /loads/18/id: it is missing; add it
          /loads/19/id: it is missing; add it
          /loads/20/id: it is missing; add it
          /loads/21/id: it is missing; add it
          /loads/22/id: it is missing; add it
          /loads/23/id: it is missing; add it
          /loads/24/id: it is missing; add it
          /loads/25/id: it is missing; add it
          /loads/26/id: it is missing; add it
          /loads/27/id: it is missing; add it
          /loads/28/id: it is missing; add it
          /loads/29/id: it is missing; add it
          /loads/30/id: it is missing; add it
          /loads/31/id: it is missing; add it
          /loads/32/id: it is missing; add it
          /loads/33/id: it is missing; add it
          /loads/34/id: it is missing; add it
          /loads/35/id: it is missing; add it
          /loads/36/id: it is missing; add it
          /loads/37/id: it is missing; add it
          /loads/38/id: it is missing; add it
          /loads/39/id: it is missing; add it
          /loads/40/id: it is missing; add it
          /loads/41/id: it is missing; add it
          /loads/42/id: it is missing; add it
          /loads/43/id: it is missing; add it
          /loads/44/id: it is missing; add it
          /loads/45/id: it is missing; add it
          /loads/46/id: it is missing; add it
          /loads/47/id: it is missing; add it
          /loads/48/id: it is missing; add it
          /loads/49/id: it is missing; add it
          and 10 more
        negative_numbers
          /supply/volts: it is -12 V; a voltage is more than 0 and at most 1000 V
          /supply/ohms: it is -0.01 Ω; a resistance is at least 0 and at most 1000000 Ω
          /fuse/rating_a: it is -10 A; a fuse rating is more than 0 and at most 1000 A
          /fuse/ohms: it is -0.005 Ω; a resistance is at least 0 and at most 1000000 Ω
          /switches/0/ohms: it is -1 Ω; a resistance is at least 0 and at most 1000000 Ω
          /runs/0/area_mm2: it is -0.5 mm²; a cross-section is more than 0 and at most 1000 mm²
          /runs/0/length_m: it is -1 m; a run's length is more than 0 and at most 10000 m
          /runs/1/path/1/m: it is -0.2 m; a length in a zone is at least 0 and at most 10000 m
          /loads/0/watts: it is -5 W; a power is more than 0 and at most 1000000 W
          /loads/0/rated_volts: it is -12 V; a voltage is more than 0 and at most 1000 V
          /marks/0/at_m: it is -0.1 m; a place on a run is at least 0 and at most 10000 m
        nested_too_deep
          /vehicle/label: it is a list; write a text, in quotes
        not_an_object
          the file: it holds a list; a circuit file is one JSON object
        not_utf8
          the file: it is not UTF-8 text from line 3, column 13 on; a circuit file is JSON in UTF-8
        nothing_leads_there
          /joints/0: no way leads from the fuse to "alone", even with every switch closed; connect it to something that the fuse feeds, or leave it out
          /joints/1: no way leads from the fuse to "island", even with every switch closed; connect it to something that the fuse feeds, or leave it out
          /joints/2: no way leads from the fuse to "on_ground_only", even with every switch closed; connect it to something that the fuse feeds, or leave it out
          /loads/1: no way leads from the fuse to "horn.feed", even with every switch closed; connect it to something that the fuse feeds, or leave it out
          /loads/2/feed: no way leads from the fuse to "fan.feed", even with every switch closed; connect it to something that the fuse feeds, or leave it out
        option_state_unknown
          /vehicle/options/rear~1wiper: `gone` is not known here; write one of `fitted`, `absent`, `removed_wiring_left`
        several_at_once
          /fuse/style: `glass` is not known here; write one of `blade`, `mini`, `maxi`, `cartridge`, `breaker`
          /runs/0/colour: "BLACK" is no colour code; write "BK"
          /runs/0/length_m: it is -1 m; a run's length is more than 0 and at most 10000 m
          /runs/0/to: there is no node "s2"; name `fuse`, `ground`, a joint's id, or `<load id>.feed` or `<load id>.return`
        sizes_given_twice
          /runs/0/awg: both `area_mm2` and `awg` are given; give one of them
          /loads/0/amps: its size is given 2 times: `watts`, `amps`; give one of `ohms`, `watts`, `amps`
        texts_too_long
          /label: it is 1001 bytes long; use at most 1000
          /loads/0/id: it is 201 bytes long; use at most 200
          /loads/0/live_when: it has 33 entries; at most 32 are read
        touch_backwards
          /touch/longest_s: it is 0.002 s, and the shortest is 2 s; the longest touch is longer than the shortest
        touch_beyond_bounds
          /touch/shortest_s: it is 0 s; a touch is more than 0 and at most 600 s
          /touch/longest_s: it is 1e9 s; a touch is more than 0 and at most 600 s
        touch_incomplete
          /touch/longest_s: it is missing; add it
        touch_list
          /touch: it is a list; write an object, { … }
        touch_text
          /touch/shortest_s: it is the text "short"; write a number
        trailing_comma
          the file: it is not JSON: line 4, column 1: key must be a string; mend or export it again: a circuit file is one JSON object
        unknown_nodes
          /switches/0/to: there is no node "horn.feed"; name `fuse`, `ground`, a joint's id, or `<load id>.feed` or `<load id>.return`
          /runs/0/to: there is no node "s1"; did you mean "S1"?
          /loads/0/feed: there is no node "c9"; name `fuse`, `ground`, a joint's id, or `<load id>.feed` or `<load id>.return`
          /loads/0/return: there is no node "body"; name `fuse`, `ground`, a joint's id, or `<load id>.feed` or `<load id>.return`
        version_as_text
          /version: it is the text "1"; write a whole number
        version_missing
          /version: it is missing; write 1
        version_newer
          /version: the file has version 2 of loomwalk/circuit, which is newer than this program; this reads version 1: get a newer Loomwalk
        wrong_types
          /supply: it is 12; write an object, { … }
          /joints: it is an object; write a list, [ … ]
          /runs/3/path/0: it is a list; write an object, { … }
          /runs/0: it is a list; write an object, { … }
          /runs/1: it is the text "r2"; write an object, { … }
          /runs/2/length_m: it is the text "2 m"; write a number
        zeros
          /runs/0/area_mm2: it is 0 mm²; a cross-section is more than 0 and at most 1000 mm²
          /runs/0/length_m: it is 0 m; a run's length is more than 0 and at most 10000 m
          /runs/1/path: its parts make a run of 0 m; say how far the run goes in each zone, or give `length_m`
          /loads/0/ohms: it is 0 Ω; a load's resistance is more than 0 and at most 1000000000 Ω
          /loads/1/amps: it is 0 A; a current is more than 0 and at most 10000 A
    "#]].assert_eq(&told());
}

#[test]
fn a_newer_version_is_refused_by_name_whatever_its_size() {
    let file = SMALL_VAN.replace("\"version\": 1,", "\"version\": 99999999999,");
    let told = check::read(file.as_bytes()).unwrap_err().to_string();
    assert!(told.contains("99999999999") && told.contains("version 1"), "{told}");
}

#[test]
fn what_this_version_does_not_know_is_passed_over() {
    let plain = check::read(SMALL_VAN.as_bytes()).unwrap();
    let deep = "[".repeat(100_000) + &"]".repeat(100_000);
    let grown = SMALL_VAN
        .replace("\"label\": \"F23 load", &format!("\"added_later\": {deep}, \"label\": \"F23 load"))
        .replace("\"id\": \"r1\",", "\"id\": \"r1\", \"sleeve\": {\"kind\": \"woven\"},");
    assert_ne!(grown.len(), SMALL_VAN.len());
    assert_eq!(check::read(grown.as_bytes()).unwrap(), plain);
}

#[test]
fn a_byte_order_mark_in_front_does_no_harm() {
    let marked = format!("\u{feff}{SMALL_VAN}");
    assert_eq!(check::read(marked.as_bytes()), check::read(SMALL_VAN.as_bytes()));
}

#[test]
fn a_circuit_that_was_written_is_read_back_as_it_was() {
    let file = check::read(SMALL_VAN.as_bytes()).unwrap();
    let written = serde_json::to_vec(&file).unwrap();
    assert_eq!(check::read(&written).unwrap(), file);
}

#[test]
fn what_was_edited_on_the_phone_is_held_to_the_same_rules_as_a_file() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/wrong_circuits");
    let mut compared = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let bytes = std::fs::read(entry.unwrap().path()).unwrap();
        // Those that are wrong in shape cannot be held in memory at all.
        if let Ok(file) = serde_json::from_slice::<CircuitFile>(&bytes) {
            assert_eq!(check::validate(&file).err(), check::read(&bytes).err());
            compared += 1;
        }
    }
    assert!(compared > 10, "{compared}");
    let mut file = check::read(SMALL_VAN.as_bytes()).unwrap();
    assert_eq!(check::validate(&file), Ok(()));
    file.supply.volts = f64::NAN;
    file.runs[0].length_m = Some(f64::INFINITY);
    expect![[r#"
        /supply/volts: it is NaN V; a voltage is more than 0 and at most 1000 V
        /runs/0/length_m: it is inf m; a run's length is more than 0 and at most 10000 m"#]]
    .assert_eq(&check::validate(&file).unwrap_err().to_string());
}

#[test]
fn lists_and_files_beyond_the_bounds_are_refused_without_reading_them() {
    let loads = vec!["{}"; MOST_ENTRIES + 1].join(",");
    let many =
        format!(r#"{{"format": "loomwalk/circuit", "version": 1, "fuse": {{"rating_a": 10}}, "loads": [{loads}]}}"#);
    let long = " ".repeat(MOST_BYTES + 1);
    let wide = SMALL_VAN.replace("no grommet", &"x".repeat(300_000));
    let told = [many, long, wide].map(|file| check::read(file.as_bytes()).unwrap_err().to_string()).join("\n");
    expect![[r#"
        /loads: it has 20001 entries; at most 20000 are read
        the file: it is 8388609 bytes long; a circuit file has at most 8388608 bytes
        /marks/0: it is 300068 bytes long; one entry has at most 262144 bytes"#]]
    .assert_eq(&told);
}

#[test]
fn as_many_wires_as_are_allowed_are_checked() {
    let mut file = check::read(SMALL_VAN.as_bytes()).unwrap();
    let run = file.runs[0].clone();
    let ids = (file.runs.len()..MOST_ENTRIES).map(|n| loomwalk::ids::RunId(format!("n{n}")));
    file.runs.extend(ids.map(|id| loomwalk::circuit::file::Run { id, ..run.clone() }));
    let written = serde_json::to_vec(&file).unwrap();
    assert_eq!(check::read(&written).unwrap(), file);
}

/// A good file with some bytes exchanged, left out or doubled, or cut short.
fn broken() -> impl Strategy<Value = Vec<u8>> {
    let bytes = SMALL_VAN.as_bytes();
    let spot = (0..bytes.len(), any::<u8>(), 0..4_u8);
    (proptest::collection::vec(spot, 1..6), 0..=bytes.len()).prop_map(|(spots, end)| {
        let mut broken = SMALL_VAN.as_bytes().to_vec();
        for (at, byte, how) in spots {
            let at = at.min(broken.len() - 1);
            match how {
                0 => broken[at] = byte,
                1 => drop(broken.remove(at)),
                2 => broken.insert(at, b"{}[]\",:-0"[usize::from(byte) % 9]),
                _ => broken[at] = b"0123456789-"[usize::from(byte) % 11],
            }
        }
        // Half of them whole: cut files mostly fail at their end.
        if end % 2 == 0 {
            broken.truncate(end);
        }
        broken
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn no_broken_file_panics_and_each_is_either_sound_or_told_why(bytes in broken()) {
        match check::read(&bytes) {
            Ok(file) => prop_assert_eq!(check::validate(&file), Ok(())),
            Err(error) => {
                prop_assert!(!error.problems.is_empty() && error.problems.len() <= 50);
                prop_assert!(error.to_string().len() < 50_000);
            }
        }
    }
}
