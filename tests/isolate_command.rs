//! Does `loomwalk isolate` answer, and end, as it says?

#![allow(clippy::unwrap_used, clippy::expect_used)]

use std::process::{Command, Output};

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

        Unplug next: rear-door connector (Left tail corner and rear pillar). It takes 7 min, and the short is gone then with a chance of 7.7 %.
        If it is gone, plug it in again and add --gone c2. If it is still there, leave it unplugged and add --still c2.

        next best              where                              id             min  gone
        Reversing lamp, left   Left tail corner and rear pillar   reverse_left   7    0.9 %
        Reversing lamp, right  Right tail corner and rear pillar  reverse_right  7    0.9 %
        Reversing bleeper      Under the floor, rear              bleeper        10   0.9 %
        Rear wiper             Rear doors                         wiper          12   0.9 %

        chance  where the short can still be
        10 %    the wire from wall loom splice to feed of Load-area lamp, left
        10 %    the wire from wall loom splice to feed of Load-area lamp, right
        9.2 %   the wire from assumed splice at "Dash, left: passenger's side" to plug of Step lamp, side door
        7.7 %   the wire from assumed splice at "Load area, left wall" to plug of Reversing bleeper
        7.1 %   the wire from assumed splice at "Dash, left: passenger's side" to assumed splice at "Load-area partition, foot and edges"
        6.8 %   the wire from wall loom splice to feed of Cargo fan (BN/YE)
        6.8 %   the wire from assumed splice at "Load area, right wall" to plug of Reversing lamp, right
        5.5 %   the wire from fuse F23 to sill loom splice (RD/YE)
        5.2 %   the wire from wall loom splice to rear-door connector (RD/YE)
        5.1 %   the wire from assumed splice at "Load area, left wall" to plug of Reversing lamp, left
        4.9 %   the wire from sill loom splice to wall loom splice (RD/YE)
        4.9 %   the wire from assumed splice at "Load-area partition, foot and edges" to assumed splice at "Load area, left wall"
        3.2 %   the wire from assumed splice at "Load-area partition, foot and edges" to assumed splice at "Load area, right wall"
        2.8 %   the wire from rear-door splice to feed of Rear door lock (WH/RD)
        2.2 %   the wire from rear-door connector to rear-door splice (RD/YE)
        1.8 %   the wire from rear-door splice to feed of Rear wiper (GN/RD)
        1.7 %   the wire from assumed splice at "Load area, right wall" to plug of Accessory socket, load area
        0.9 %   inside Rear wiper
        0.9 %   inside Reversing lamp, left
        0.9 %   inside Reversing lamp, right
        0.9 %   inside Reversing bleeper
        0.6 %   the wire from fuse F23 to assumed splice at "Dash, left: passenger's side"

        A lamp of 21 W, 12 V in place of the fuse: bright with the short, bright without it; so this lamp does not tell for sure whether it is there: one of more watts may.
    "#]].assert_eq(&text(&done.stdout));
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
