//! What must the drive before the hand-over be, and what was it worth? By the practice circuit.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use chrono::{DateTime, Utc};
use expect_test::{Expect, expect};
use loomwalk::circuit::check;
use loomwalk::ids::{DeviceId, EventId, JobId};
use loomwalk::job::act::{Concern, Finding, Often, ReleaseItem};
use loomwalk::job::drive::Drive;
use loomwalk::job::session::Session;
use loomwalk::job::{Act, Event, Log, may};
use loomwalk::search::evidence::{Heat, Motion, Seen};
use uuid::Uuid;

const JOB: JobId = JobId(Uuid::from_u128(7));
const BOOT: &str = "point:passage:boot_rear_left";

fn session(acts: impl IntoIterator<Item = Act>) -> Session {
    let circuit = check::read(include_bytes!("../assets/demo/van.circuit.json")).unwrap();
    let first = Act::Circuit { circuit: Box::new(circuit), shelved: None };
    let events = std::iter::once(first).chain(acts).zip(1..).map(|(act, n)| {
        let at = DateTime::<Utc>::from_timestamp_millis(1_700_000_000_000 + n * 1000).unwrap();
        Event::new(EventId(Uuid::from_u128(n as u128)), at, DeviceId(Uuid::from_u128(1)), &act)
    });
    Session::open(JOB, Log::of(events).unwrap())
}

fn found() -> Act {
    Act::Finding(serde_json::from_value::<Finding>(serde_json::json!({ "point": BOOT })).unwrap())
}

fn blow() -> Act {
    Act::Blow { state: vec!["key_on".into()], motion: Motion::Rough, heat: Heat::Warm }
}

fn often(times: u32, hours: f64) -> Act {
    Act::Concern(Concern { often: Some(Often { times, hours }), ..Concern::default() })
}

fn told(acts: impl IntoIterator<Item = Act>, minutes: f64, expected: &Expect) {
    let session = session(acts);
    let drive = Drive::of(&session.job, &session.ready().unwrap().plan).unwrap();
    expected.assert_eq(&format!("{}\n{}\n", drive.asked(), drive.worth(minutes)));
}

#[test]
fn nothing_found_asks_for_no_drive() {
    let session = session([blow(), often(3, 10.0)]);
    assert_eq!(Drive::of(&session.job, &session.ready().unwrap().plan), None);
}

#[test]
fn a_place_that_was_only_likely_asks_for_a_long_drive() {
    let pressed = Act::Press { point: BOOT.into(), opened: true, presses: 3, state: vec!["key_on".into()] };
    let marked = Act::Look { point: BOOT.into(), seen: Seen::Marked };
    told(
        [blow(), blow(), often(4, 30.0), marked, pressed, found()],
        120.0,
        &expect![[r#"
        It opened 4 × in 30 h of use. 3.3 h in the same way without an opening make it 95 % sure that it was this place; 92 % before the drive.
        It held for 2 h: 94 % sure that it was this place, 92 % before. A second place that opens the fuse more rarely would not have shown.
    "#]],
    );
}

#[test]
fn a_bare_place_asks_for_little() {
    let bare = Act::Look { point: BOOT.into(), seen: Seen::Bare };
    told(
        [blow(), blow(), often(4, 30.0), bare, found()],
        45.0,
        &expect![[r#"
        It opened 4 × in 30 h of use. What was seen leaves it over 99 % sure; drive as the maker and the shop ask.
        It held for 45 min: over 99 % sure that it was this place, over 99 % before. A second place that opens the fuse more rarely would not have shown.
    "#]],
    );
}

#[test]
fn what_was_recorded_counts_where_the_concern_says_nothing() {
    let held = Act::Held { state: vec!["key_on".into()], motion: Motion::Rough, heat: Heat::Warm, minutes: 60.0 };
    told(
        [blow(), blow(), held, found()],
        30.0,
        &expect![[r#"
        It opened 2 × in 60 min of use. 8.8 h in the same way without an opening make it 95 % sure that it was this place; 11 % before the drive.
        It held for 30 min: 19 % sure that it was this place, 11 % before. A second place that opens the fuse more rarely would not have shown.
    "#]],
    );
}

#[test]
fn a_drive_of_less_than_no_minutes_is_refused() {
    let session = session([]);
    let act = Act::Release { item: ReleaseItem::RoadTest, done: true, value: String::new(), minutes: Some(-5.0) };
    assert!(may(&session.job, &act).is_err());
}
