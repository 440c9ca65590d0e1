//! Does `loomwalk meter` answer, and end, as it says?

use std::process::{Command, Output};

use loomwalk::bundle::schema;
use loomwalk::circuit::meter::Meter;

const VAN: &str = "tests/cases/circuits/small_van.json";

fn meter(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).arg("meter").args(arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn the_table_goes_from_the_ohmmeter_to_the_ammeter() {
    let done = meter(&[VAN, "--state", "key_on,reverse", "--unplug", "lamp_left", "--unplug", "c4"]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    expect_test::expect![[r#"
        F23 load-area services: 15 A blade fuse; key_on, reverse

        Ohmmeter from the open fuse's load terminal to ground, loads at rest:

        connected                          reads   within
        everything                         0.49 Ω  0.37 Ω … 0.63 Ω
        all but Load-area lamp, left       0.76 Ω  0.58 Ω … 0.98 Ω
        all but Reversing lamp             0.99 Ω  0.74 Ω … 1.31 Ω
        all but Rear door lock             0.53 Ω  0.39 Ω … 0.69 Ω
        all but Tracker, place unknown     0.50 Ω  0.38 Ω … 0.63 Ω
        all but plug behind the gearbox    0.99 Ω  0.74 Ω … 1.31 Ω
        all but plug of Load-area fan      0.49 Ω  0.37 Ω … 0.63 Ω
        unplugged: Load-area lamp, left    0.76 Ω  0.58 Ω … 0.98 Ω
        then also plug behind the gearbox  4.91 Ω  4.18 Ω … 6.79 Ω

        load                    running  at rest
        Load-area lamp, left    14.4 Ω   1.20 Ω   filament cold
        Reversing lamp          8.68 Ω   0.72 Ω   filament cold
        Rear wiper              2.40 Ω   0.40 Ω   standing still
        Rear door lock          6.00 Ω   6.00 Ω   as it runs
        Tracker, place unknown  24.0 Ω   24.0 Ω   a meter may not switch it on: then far more

        With all of this state on, but what was unplugged, loads running, the fuse carries 2.55 A (2.25 … 3.00).

        load                    A     within       V at it  within         V lost before it  V lost behind it
        Rear door lock          2.03  1.83 … 2.27  12.19    12.10 … 12.26  0.38              0.03
        Tracker, place unknown  0.52  0.40 … 0.75  12.52    12.49 … 12.53  0.08              0.01
    "#]]
    .assert_eq(&text(&done.stdout));
}

#[test]
fn the_answer_keeps_to_its_schema_and_is_one_of_our_files() {
    let done = meter(&[VAN, "--state", "key_on,wipers", "--unplug", "wiper", "--json"]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    let found: Meter = serde_json::from_slice(&done.stdout).unwrap();
    assert_eq!((found.format.as_str(), found.version), ("loomwalk/meter", 1));
    assert_eq!(found.unplugged.len(), 1);
    assert!(found.draw.loads.iter().all(|load| load.id.as_str() != "wiper"), "it is unplugged");
    let (_, schema) = schema::all().into_iter().find(|(name, _)| *name == "meter").unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    assert!(validator.is_valid(&serde_json::from_slice(&done.stdout).unwrap()));
    let checked = loomwalk::cli::check::check_bytes(&done.stdout);
    assert_eq!(checked, Ok("a sound loomwalk/meter, version 1".to_owned()));
}

#[test]
fn without_the_key_the_meter_reads_all_the_same_and_the_table_says_that_nothing_is_fed() {
    let done = meter(&[VAN]);
    let table = text(&done.stdout);
    assert!(table.contains("The fuse itself has no voltage in this state: it needs key_on."), "{table}");
    assert!(table.contains("the fuse carries 0.00 A"), "{table}");
    assert!(table.contains("all but Load-area lamp, left"), "{table}");
}

#[test]
fn what_is_wrong_is_named_with_the_file() {
    for (arguments, told) in [
        (
            &[VAN, "--unplug", "lmap_left"][..],
            format!("{VAN}: lmap_left is neither a load nor a joint of this circuit"),
        ),
        (&["tests/cases/wrong_circuits/empty.json"], "tests/cases/wrong_circuits/empty.json: ".to_owned()),
    ] {
        let done = meter(arguments);
        assert_eq!(done.status.code(), Some(1), "{arguments:?}");
        assert!(done.stdout.is_empty() && text(&done.stderr).starts_with(&told), "{}", text(&done.stderr));
    }
    assert_eq!(meter(&[VAN, "--what"]).status.code(), Some(2));
}

#[test]
fn a_measured_voltage_tells_the_metres_and_the_zone() {
    let drop = ["--state", "key_on", "--run", "r1", "--drop", "0.05", "--at", "2.0"];
    let last_line = |arguments: &[&str]| text(&meter(arguments).stdout).lines().last().unwrap().to_owned();
    let told = last_line(&[&[VAN][..], &drop].concat());
    assert_eq!(told, "By the lost voltage the short on r1 is 1.09 ± 0.15 m from its from end: in sill_left.");
    let coarse = last_line(&[&[VAN][..], &drop, &["--resolution", "0.01"]].concat());
    assert_eq!(coarse, "By the lost voltage the short on r1 is 1.09 ± 0.36 m from its from end: in sill_left.");
    let far = last_line(&[VAN, "--run", "r1", "--drop", "2", "--at", "2"]);
    assert!(far.contains("the run has only 1.80 m"), "{far}");
    let unknown = meter(&[VAN, "--run", "r99", "--drop", "2", "--at", "2"]);
    assert_eq!(unknown.status.code(), Some(1));
    assert!(text(&unknown.stderr).starts_with(&format!("{VAN}: this circuit has no run r99")));
    assert_eq!(meter(&[VAN, "--run", "r1", "--drop", "2"]).status.code(), Some(2), "no current");
}

#[test]
fn a_jammed_motor_is_told_with_what_the_fuse_does_then() {
    let done = meter(&[VAN, "--state", "key_on,wipers"]);
    let table = text(&done.stdout);
    let (_, jams) = table.split_once("Stalled motors").unwrap();
    expect_test::expect![[r#"
        : one jammed, at its resistance standing still, everything else of this state running. That can open the fuse without a chafed wire: try that it turns freely.

        motor       standing still  fuse A  within         the fuse
        Rear wiper  0.40 Ω          23.83   18.41 … 37.05  may open: at this current it opens within 0.26 to 58 s
    "#]].assert_eq(jams);
    let done = meter(&[VAN, "--state", "key_on,wipers", "--unplug", "wiper"]);
    assert!(!text(&done.stdout).contains("Stalled motors"), "it is unplugged");
}

#[test]
fn an_ohmmeter_is_warned_off_a_circuit_with_a_restraint_on_it() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("restraint.json");
    let circuit = |item: &str| {
        format!(
            r#"{{"format": "loomwalk/circuit", "version": 1, "fuse": {{"rating_a": 10}},
                "loads": [{{"id": "l1", "item": "{item}"}}, {{"id": "l2", "kind": "resistor", "ohms": 12, "zone": "console"}}]}}"#
        )
    };
    for (item, warned) in [("airbag_module", true), ("horn", false)] {
        std::fs::write(&file, circuit(item)).unwrap();
        let done = meter(&[file.to_str().unwrap()]);
        assert!(done.status.success(), "{}", text(&done.stderr));
        let table = text(&done.stdout);
        assert_eq!(table.contains("No ohmmeter goes on its wires"), warned, "{table}");
        // Said in place of what an ohmmeter should show, not above it.
        assert_eq!(["Ohmmeter from", "reads", "at rest"].map(|word| table.contains(word)), [!warned; 3], "{table}");
        assert!(table.contains("the fuse carries"), "{table}");
        let done = meter(&[file.to_str().unwrap(), "--json"]);
        let found: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap();
        let named = warned.then(|| serde_json::json!(["l1"]));
        assert_eq!(found.get("never_live"), named.as_ref());
    }
}
