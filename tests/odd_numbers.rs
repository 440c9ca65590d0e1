//! What becomes of each number of a circuit file when it is odd: refused where it stands, or computed with?
use std::collections::BTreeSet;
use std::fmt::Debug;

use expect_test::expect;
use loomwalk::circuit::file::{CircuitFile, MarkPlace};
use loomwalk::circuit::{check, expand, fault, meter};
use loomwalk::ids::Condition;
use loomwalk::search::plan::{Search, Walk};
use loomwalk::vehicle::body::map_for;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// A circuit in which every number of the format is stated.
fn full() -> CircuitFile {
    let text = json!({
        "format": "loomwalk/circuit", "version": 1, "vehicle": { "body": "panel_van", "drive_side": "right" },
        "supply": { "volts": 12.6, "ohms": 0.02 },
        "fuse": { "rating_a": 15, "ohms": 0.005, "zone": "dash_left" },
        "joints": [{ "id": "s1", "kind": "splice", "zone": "sill_left" }],
        "switches": [
            { "id": "sw1", "from": "s1", "to": "l3.feed", "closed_when": ["reverse"], "ohms": 0.005 }
        ],
        "runs": [
            { "id": "r1", "from": "fuse", "to": "s1", "area_mm2": 0.75, "length_m": 1.8, "temp_c": 40 },
            { "id": "r2", "from": "s1", "to": "l1.feed", "awg": 20,
              "path": [{ "zone": "sill_left", "m": 0.6 }, { "zone": "tail_left", "m": 1.2 }] }
        ],
        "loads": [
            { "id": "l1", "kind": "filament_lamp", "watts": 21, "rated_volts": 12, "zone": "tail_left" },
            { "id": "l2", "kind": "motor", "amps": 4, "zone": "rear_closure", "feed": "s1" },
            { "id": "l3", "kind": "resistor", "ohms": 47, "zone": "tail_right" }
        ],
        "marks": [{ "id": "m1", "run": "r2", "at_m": 0.4, "kind": "edge" }],
        "touch": { "shortest_s": 0.01, "longest_s": 0.5 }
    });
    check::read(text.to_string().as_bytes()).unwrap()
}

/// Puts a number into a circuit.
type Put = fn(&mut CircuitFile, f64);

/// Every number of [`full`] but the version: its place, and how it is changed in memory.
const NUMBERS: [(&str, Put); 17] = [
    ("/supply/volts", |file, number| file.supply.volts = number),
    ("/supply/ohms", |file, number| file.supply.ohms = number),
    ("/fuse/rating_a", |file, number| file.fuse.rating_a = number),
    ("/fuse/ohms", |file, number| file.fuse.ohms = Some(number)),
    ("/switches/0/ohms", |file, number| file.switches[0].ohms = Some(number)),
    ("/runs/0/area_mm2", |file, number| file.runs[0].area_mm2 = Some(number)),
    ("/runs/0/length_m", |file, number| file.runs[0].length_m = Some(number)),
    ("/runs/0/temp_c", |file, number| file.runs[0].temp_c = Some(number)),
    ("/runs/1/awg", |file, number| file.runs[1].awg = Some(number)),
    ("/runs/1/path/0/m", |file, number| file.runs[1].path[0].m = number),
    ("/loads/0/watts", |file, number| file.loads[0].watts = Some(number)),
    ("/loads/0/rated_volts", |file, number| file.loads[0].rated_volts = Some(number)),
    ("/loads/1/amps", |file, number| file.loads[1].amps = Some(number)),
    ("/loads/2/ohms", |file, number| file.loads[2].ohms = Some(number)),
    ("/marks/0/at_m", |file, number| file.marks[0].place = MarkPlace::Run { run: "r2".into(), at_m: number }),
    ("/touch/shortest_s", |file, number| file.touch.as_mut().unwrap().shortest_s = number),
    ("/touch/longest_s", |file, number| file.touch.as_mut().unwrap().longest_s = number),
];

const ODD: [f64; 12] =
    [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1e300, -1.0, -0.0, 0.0, 5e-324, 1e-12, 1e-9, 1e9, 1e300];

/// Where problems are, or nothing.
fn places(told: Result<(), check::CircuitError>) -> Vec<String> {
    told.map_or_else(|error| error.problems.into_iter().map(|problem| problem.pointer).collect(), |()| Vec::new())
}

/// JSON has no word for infinity or what is no number: such an answer does not come back as it was.
fn only_numbers<T: Serialize + DeserializeOwned + PartialEq + Debug>(answer: &T) {
    let text = serde_json::to_string(answer).unwrap();
    assert_eq!(serde_json::from_str::<T>(&text).ok().as_ref(), Some(answer));
}

/// Computes all there is. What cannot be computed says so, without a panic.
fn compute(file: &CircuitFile) {
    let map = map_for(file.vehicle.body, file.vehicle.drive_side);
    let harness = expand::expand(file, &map);
    for state in [vec![], vec![Condition::from("reverse")]] {
        for ohms in [0.0, 0.01] {
            match fault::faults(&harness, file.fuse.rating_a, file.fuse.style, &state, ohms) {
                Ok(found) => only_numbers(&found),
                Err(error) => assert!(!error.to_string().is_empty()),
            }
        }
        match meter::meter(&harness, &state, &[]) {
            Ok(shown) => only_numbers(&shown),
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
    only_numbers(&Search::new(&harness, &map.map, &file.fuse).plan(&[], &Walk::default()));
}

#[test]
fn an_odd_number_is_refused_where_it_stands_or_computed_with() {
    let mut accepted = String::new();
    for (place, put) in NUMBERS {
        let mut taken = Vec::new();
        for number in ODD {
            let mut file = full();
            put(&mut file, number);
            let found = places(check::validate(&file));
            if found.is_empty() {
                taken.push(format!("{number:e}"));
                compute(&file);
            } else {
                assert!(found.iter().all(|at| at == place), "{place} {number}: {found:?}");
            }
            if number.is_finite() {
                let written = serde_json::to_vec(&file).unwrap();
                assert_eq!(
                    places(check::read(&written).map(drop)),
                    found,
                    "a file says the same as the phone: {number}"
                );
            }
        }
        accepted += &format!("{place}: {}\n", taken.join(" "));
    }
    expect![[r#"
        /supply/volts: 1e-9
        /supply/ohms: -0e0 0e0 5e-324 1e-12 1e-9
        /fuse/rating_a: 1e-9
        /fuse/ohms: -0e0 0e0 5e-324 1e-12 1e-9
        /switches/0/ohms: -0e0 0e0 5e-324 1e-12 1e-9
        /runs/0/area_mm2: 1e-9
        /runs/0/length_m: 1e-9
        /runs/0/temp_c: -1e0 -0e0 0e0 5e-324 1e-12 1e-9
        /runs/1/awg: -1e0 -0e0 0e0 5e-324 1e-12 1e-9
        /runs/1/path/0/m: -0e0 0e0 5e-324 1e-12 1e-9
        /loads/0/watts: 1e-9
        /loads/0/rated_volts: 1e-9
        /loads/1/amps: 1e-9
        /loads/2/ohms: 1e-9 1e9
        /marks/0/at_m: -0e0 0e0 5e-324 1e-12 1e-9
        /touch/shortest_s: 1e-9
        /touch/longest_s: 
    "#]]
    .assert_eq(&accepted);
}

#[test]
fn no_number_of_the_format_is_left_out_here() {
    let schema: Value = serde_json::from_str(include_str!("../public/schema/circuit.schema.json")).unwrap();
    let mut of_format = BTreeSet::new();
    numbers(&schema, &mut of_format);
    let here = NUMBERS.iter().filter_map(|(place, _)| place.rsplit('/').next()).map(str::to_owned);
    assert_eq!(here.chain(["version".to_owned()]).collect::<BTreeSet<_>>(), of_format);
    let file = serde_json::to_value(full()).unwrap();
    for (place, put) in NUMBERS {
        let mut changed = full();
        put(&mut changed, 0.125);
        let changed = serde_json::to_value(changed).unwrap();
        assert!(file.pointer(place).is_some_and(Value::is_number), "{place} is stated");
        assert_eq!(changed.pointer(place), Some(&json!(0.125)), "{place} is what is changed");
    }
}

/// The names of all properties that are numbers.
fn numbers(schema: &Value, names: &mut BTreeSet<String>) {
    let is_number = |property: &Value| {
        let kind = &property["type"];
        let kinds = kind.as_array().map_or_else(|| vec![kind], |kinds| kinds.iter().collect());
        kinds.iter().any(|kind| **kind == "number" || **kind == "integer")
    };
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        if is_number(property) {
            names.insert(name.clone());
        }
    }
    match schema {
        Value::Object(fields) => fields.values().for_each(|value| numbers(value, names)),
        Value::Array(values) => values.iter().for_each(|value| numbers(value, names)),
        _ => {}
    }
}
