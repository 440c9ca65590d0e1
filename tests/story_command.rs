//! Does `loomwalk story` answer, and end, as it says?

use std::process::{Command, Output};

use loomwalk::bundle::schema;
use loomwalk::circuit::story::{MisfitKind, Story};
use loomwalk::ids::Condition;

const VAN: &str = "assets/demo/van.circuit.json";

fn story(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).arg("story").args(arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn what_is_said_is_told_thing_by_thing() {
    let said = ["--dead", "lamp_left", "--dead", "Radio", "--dead", "wiper", "--alive", "reversing bleeper"];
    let done = story(&[&[VAN, "--state", "key_on,reverse,door_open"][..], &said].concat());
    assert!(done.status.success(), "{}", text(&done.stderr));
    expect_test::expect![[r#"
        F23 load-area services: 15 A blade fuse; key_on, reverse, door_open
        Some is dead that this fuse does not feed, and some works that it does: it may be another fuse. Check the list.

        Dead with this fuse open:
        - Load-area lamp, left (lamp_left)
        - Load-area lamp, right (lamp_right)
        - Step lamp, side door (step_lamp)
        - Reversing lamp, left (reverse_left)
        - Reversing lamp, right (reverse_right)
        - Reversing bleeper (bleeper)

        Fits:
        - Load-area lamp, left is dead

        Does not fit:
        - Radio is dead and not on this circuit: it is fed by this fuse too and missing from the list (then its wires are missing from the search), or it has a fault of its own or another open fuse.
        - Rear wiper is off in this state also with a whole fuse: that it is dead says nothing. Switch it on and try again.
        - Reversing bleeper works though this fuse should feed it: it has another feed, and then its wires do not belong to this search; or this fuse is not the one that is open.

        Not said yet; trying these would tell more:
        - Load-area lamp, right (lamp_right)
        - Step lamp, side door (step_lamp)
        - Reversing lamp, left (reverse_left)
        - Reversing lamp, right (reverse_right)
    "#]].assert_eq(&text(&done.stdout));
    assert_eq!(
        text(&done.stderr),
        "note: Radio is no load of this circuit, by id or by name: it is taken for something else\n"
    );
}

#[test]
fn without_the_key_nothing_that_is_dead_can_tell() {
    let done = story(&[VAN, "--dead", "lamp_left"]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    expect_test::expect![[r#"
        F23 load-area services: 15 A blade fuse; nothing switched on
        The fuse itself has no voltage in this state: it needs key_on.
        In this state the fuse feeds nothing, so nothing that is dead can tell whether it is open.

        Does not fit:
        - Load-area lamp, left is off in this state also with a whole fuse: that it is dead says nothing. Switch it on and try again.
    "#]].assert_eq(&text(&done.stdout));
}

#[test]
fn the_answer_as_json_is_the_whole_story() {
    let done = story(&[
        VAN,
        "--state",
        "key_on,door_open",
        "--dead",
        "Load-area lamp, left",
        "--alive",
        "lamp_right",
        "--json",
    ]);
    let found: Story = serde_json::from_slice(&done.stdout).unwrap();
    assert_eq!((found.format.as_str(), found.version), ("loomwalk/story", 1));
    assert_eq!(found.state, ["key_on", "door_open"].map(Condition::from));
    assert_eq!(found.fits, ["lamp_left"]);
    assert_eq!(found.extra_alive[0].why, MisfitKind::FedByThisFuse);
    let (_, schema) = schema::all().into_iter().find(|(name, _)| *name == "story").unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    assert!(validator.is_valid(&serde_json::from_slice(&done.stdout).unwrap()));
    let checked = loomwalk::cli::check::check_bytes(&done.stdout);
    assert_eq!(checked, Ok("a sound loomwalk/story, version 1".to_owned()));
}

#[test]
fn what_is_wrong_is_named() {
    let empty = "tests/cases/wrong_circuits/empty.json";
    let done = story(&[empty]);
    assert_eq!(done.status.code(), Some(1));
    assert!(done.stdout.is_empty() && text(&done.stderr).starts_with(&format!("{empty}: ")));
    assert_eq!(story(&[VAN, "--dead", " "]).status.code(), Some(2), "no name");
}
