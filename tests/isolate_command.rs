//! Does `loomwalk isolate` answer, and end, as it says?

use std::process::{Command, Output};

use loomwalk::bundle::schema;
use loomwalk::circuit::isolate::{LampGlow, Suspect};
use loomwalk::job::cornered::Cornered;
use serde_json::Value;

const VAN: &str = "assets/demo/van.circuit.json";

fn isolate(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).arg("isolate").args(arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn it_begins_with_what_tells_most_a_minute() {
    let done = isolate(&[VAN, "--state", "key_on,reverse,wipers"]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    expect_test::expect![[r#"
        F23 load-area services: 15 A blade fuse; key_on, reverse, wipers

        Unplug next: rear-door connector (Left tail corner and rear pillar). It takes 7 min, and the short is gone then with a chance of 8.1 %.
        If it is gone, plug it in again and add --gone c2. If it is still there, leave it unplugged and add --still c2.

        next best              where                              id             min  gone
        Reversing lamp, left   Left tail corner and rear pillar   reverse_left   7    1.0 %
        Reversing lamp, right  Right tail corner and rear pillar  reverse_right  7    1.0 %
        Reversing bleeper      Under the floor, rear              bleeper        10   1.0 %
        Rear wiper             Rear doors                         wiper          12   1.0 %

        chance  where the short can still be
        11 %    the wire from wall loom splice to feed of Load-area lamp, left
        11 %    the wire from wall loom splice to feed of Load-area lamp, right
        8.1 %   the wire from fuse F23 to assumed splice at "Load-area partition, foot and edges"
        8.1 %   the wire from assumed splice at "Load area, left wall" to plug of Reversing bleeper
        7.2 %   the wire from wall loom splice to feed of Cargo fan (BN/YE)
        7.2 %   the wire from assumed splice at "Load area, right wall" to plug of Reversing lamp, right
        5.9 %   the wire from fuse F23 to sill loom splice (RD/YE)
        5.5 %   the wire from wall loom splice to rear-door connector (RD/YE)
        5.4 %   the wire from assumed splice at "Load area, left wall" to plug of Reversing lamp, left
        5.2 %   the wire from sill loom splice to wall loom splice (RD/YE)
        5.2 %   the wire from assumed splice at "Load-area partition, foot and edges" to assumed splice at "Load area, left wall"
        3.9 %   the wire from assumed splice at "Load-area partition, foot and edges" to plug of Step lamp, side door
        3.4 %   the wire from assumed splice at "Load-area partition, foot and edges" to assumed splice at "Load area, right wall"
        2.9 %   the wire from rear-door splice to feed of Rear door lock (WH/RD)
        2.3 %   the wire from rear-door connector to rear-door splice (RD/YE)
        2.0 %   the wire from rear-door splice to feed of Rear wiper (GN/RD)
        1.8 %   the wire from assumed splice at "Load area, right wall" to plug of Accessory socket, load area
        1.0 %   inside Rear wiper
        1.0 %   inside Reversing lamp, left
        1.0 %   inside Reversing lamp, right
        1.0 %   inside Reversing bleeper

        A lamp of 21 W, 12 V in place of the fuse: bright with the short, bright without it; so this lamp does not tell for sure whether it is there: one of more watts may.
    "#]].assert_eq(&text(&done.stdout));
}

#[test]
fn a_plug_that_is_only_pulled_with_the_battery_off_is_marked_among_the_next_best_too() {
    let folder = tempfile::TempDir::new().unwrap();
    let at = folder.path().join("seats.json");
    let file = serde_json::json!({
        "format": "loomwalk/circuit", "version": 1,
        "fuse": { "label": "F1", "rating_a": 15, "zone": "dash_left" },
        "vehicle": { "body": "panel_van" },
        "loads": [
            { "id": "pump", "kind": "motor", "amps": 3, "zone": "engine_left" },
            { "id": "heater", "kind": "heater", "amps": 4, "zone": "seat_left" },
            { "id": "blower", "kind": "motor", "amps": 4, "zone": "engine_right" },
        ]
    });
    std::fs::write(&at, file.to_string()).unwrap();
    let told = text(&isolate(&[at.to_str().unwrap(), "--state", "key_on"]).stdout);
    let line = told.lines().find(|line| line.contains(" heater ")).unwrap_or_else(|| panic!("{told}"));
    assert!(line.starts_with("heater *"), "{told}");
    assert!(told.contains("* Airbag or belt-tensioner wires run here") && !told.contains("pump *"), "{told}");
}

#[test]
fn answers_leave_fewer_places_whichever_way_round_they_are_given() {
    let done = isolate(&[VAN, "--state", "key_on,reverse", "--gone", "c2", "--still", "lock", "--lamp", "5"]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    expect_test::expect![[r#"
        F23 load-area services: 15 A blade fuse; key_on, reverse

        Nothing that can be unplugged tells any more: look at what is left.

        chance  where the short can still be
        41 %    the wire from rear-door splice to feed of Rear door lock (WH/RD)
        32 %    the wire from rear-door connector to rear-door splice (RD/YE)
        27 %    the wire from rear-door splice to feed of Rear wiper (GN/RD)

        A lamp of 5 W, 12 V in place of the fuse: bright with the short, bright without it; so this lamp does not tell for sure whether it is there: one of more watts may.
    "#]].assert_eq(&text(&done.stdout));
    let other = isolate(&[VAN, "--state", "key_on,reverse", "--still", "lock", "--lamp", "5", "--gone", "c2"]);
    assert_eq!(done.stdout, other.stdout);
}

#[test]
fn the_answer_as_json_says_what_the_table_says_and_keeps_to_its_schema() {
    let state = ["--state", "key_on,reverse,wipers"];
    let done = isolate(&[&[VAN, "--json"][..], &state].concat());
    assert!(done.status.success(), "{}", text(&done.stderr));
    let found: Cornered = serde_json::from_slice(&done.stdout).unwrap();
    assert_eq!((found.format.as_str(), found.version), ("loomwalk/isolation", 1));
    let next = found.next.as_ref().unwrap();
    assert_eq!((next.id.as_str(), next.zone.as_ref().unwrap().as_str()), ("c2", "tail_left"));
    assert_eq!((next.label.as_str(), next.minutes), ("rear-door connector", 7.0));
    assert_eq!(
        found.others[..4].iter().map(|plug| plug.id.as_str()).collect::<Vec<_>>(),
        ["reverse_left", "reverse_right", "bleeper", "wiper"]
    );
    let sum: f64 = found.left.iter().map(|left| left.chance).sum();
    assert!((sum - 1.0).abs() < 1e-9 && found.left.is_sorted_by(|one, other| one.chance >= other.chance));
    assert!(found.left.iter().any(|left| left.suspect == Suspect::Load("wiper".into())));
    assert_eq!((found.lamp.watts, found.lamp.with_short.least, found.lamp.tells), (21.0, LampGlow::Bright, false));
    let raw: Value = serde_json::from_slice(&done.stdout).unwrap();
    let (_, schema) = schema::all().into_iter().find(|(name, _)| *name == "isolation").unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    assert!(validator.is_valid(&raw));
    let checked = loomwalk::cli::check::check_bytes(&done.stdout);
    assert_eq!(checked, Ok("a sound loomwalk/isolation, version 1".to_owned()));

    // Cornered: nothing is next, and it is still a sound file. A lamp that tells says so.
    let all = ["--gone", "c2", "--still", "lock", "--still", "wiper", "--json"];
    let end: Value = serde_json::from_slice(&isolate(&[&[VAN][..], &state, &all].concat()).stdout).unwrap();
    assert!(validator.is_valid(&end) && end["next"].is_null() && end["others"] == serde_json::json!([]));
    let mut odd = end;
    odd["lamp"]["with_short"]["least"] = "red".into();
    assert!(!validator.is_valid(&odd));
}

#[test]
fn what_is_wrong_is_named_with_the_file() {
    for (arguments, told) in [
        (&["--gone", "c9"][..], "c9 is neither a load nor a joint of this circuit"),
        (&["--still", "fuse"], "fuse cannot be unplugged"),
        (&["--still", "c2", "--gone", "wiper"], "with wiper the answers contradict each other"),
    ] {
        let done = isolate(&[&[VAN, "--state", "key_on,wipers"], arguments].concat());
        assert_eq!(done.status.code(), Some(1), "{arguments:?}");
        let wrong = text(&done.stderr);
        assert!(done.stdout.is_empty() && wrong.starts_with(&format!("{VAN}: {told}")), "{wrong}");
    }
    assert_eq!(isolate(&[VAN, "--lamp", "0"]).status.code(), Some(2), "no lamp");
}
