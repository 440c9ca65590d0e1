//! What must the drive before the hand-over be, and what was it worth? By the practice circuit.
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
fn hours_that_no_vehicle_has_run_are_no_rate() {
    let marked = Act::Look { point: BOOT.into(), seen: Seen::Marked };
    told(
        [blow(), often(2, 1.7e308), marked, found()],
        15.0,
        &expect![[r#"
            It opened 2 ×; in how much use is not recorded, so a common rate is taken. 50 h in the same way without an opening make it 95 % sure that it was this place; 27 % before the drive.
            It held for 15 min: 32 % sure that it was this place, 27 % before. A second place that opens the fuse more rarely would not have shown.
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
            It opened 2 × in 60 min of use. 8.9 h in the same way without an opening make it 95 % sure that it was this place; 11 % before the drive.
            It held for 30 min: 19 % sure that it was this place, 11 % before. A second place that opens the fuse more rarely would not have shown.
        "#]],
    );
}

/// What is said of how often it opened, and how sure an hour without an opening makes it.
fn rate(acts: impl IntoIterator<Item = Act>) -> (String, String) {
    let session = session(acts);
    let drive = Drive::of(&session.job, &session.ready().unwrap().plan).unwrap();
    let words = |text: &str, from: &str, to: &str| {
        text.split_once(from).and_then(|(_, rest)| rest.split_once(to)).unwrap().0.to_owned()
    };
    (words(&format!(".{}", drive.asked()), ".", ". "), words(&drive.worth(60.0), ": ", ","))
}

#[test]
fn the_times_of_one_source_and_the_hours_of_another_are_no_rate() {
    let common = rate([found()]);
    assert_eq!(common.0, "How often it opened is not recorded, so a common rate is taken");
    // Said without hours, and a drive that held: it did not open three times in that drive.
    let said = rate([often(3, 0.0), held(30.0), found()]);
    assert_eq!(said.0, "It opened 3 ×; in how much use is not recorded, so a common rate is taken");
    assert_eq!(rate([often(3, 0.0), found()]), (said.0, common.1.clone()));
    // Hours without times are not hours without an opening.
    assert_eq!(rate([often(0, 500.0), found()]), common);
    // Nor those of openings that are counted since.
    let counted = rate([blow(), blow(), found()]);
    assert_eq!(counted.0, "It opened 2 ×; in how much use is not recorded, so a common rate is taken");
    let apart = "How often it opened, and in how much use, are not both known, so a common rate is taken";
    assert_eq!(rate([often(0, 10.0), blow(), blow(), found()]), (apart.to_owned(), counted.1));
    // What was recorded of both counts before half of what was said.
    assert_eq!(rate([often(3, 0.0), blow(), held(30.0), found()]).0, "It opened 1 × in 30 min of use");
    assert_eq!(rate([often(3, 9.0), blow(), held(30.0), found()]).0, "It opened 3 × in 9 h of use");
}

#[test]
fn a_drive_of_less_than_no_minutes_is_refused_and_one_of_none_states_no_time() {
    let driven = |minutes| Act::Release {
        item: ReleaseItem::RoadTest,
        done: true,
        value: String::new(),
        minutes: Some(minutes),
    };
    let session = session([driven(0.0)]);
    assert!(may(&session.job, &driven(-5.0)).is_err());
    assert_eq!(may(&session.job, &driven(0.0)), Ok(()));
    let kept = session.job.checked(ReleaseItem::RoadTest);
    assert_eq!((kept.done, kept.minutes), (true, None));
}

fn pressed(opened: bool, presses: u32) -> Act {
    Act::Press { point: BOOT.into(), opened, presses, state: vec!["key_on".into()] }
}

fn held(minutes: f64) -> Act {
    Act::Held { state: vec!["key_on".into()], motion: Motion::Rough, heat: Heat::Warm, minutes }
}

fn look(seen: Seen) -> Act {
    Act::Look { point: BOOT.into(), seen }
}

fn repaired() -> Act {
    repaired_in(None)
}

fn repaired_in(minutes: Option<f64>) -> Act {
    let at = Some(BOOT.into());
    Act::Repair { of: None, point: at, what: "Taped".into(), done: true, minutes, method: None, materials: vec![] }
}

/// Takes back the act at that place of a list.
fn taken_back(place: usize) -> Act {
    Act::TakenBack { event: EventId(Uuid::from_u128(place as u128 + 2)) }
}

/// What is taken for granted of the place, and what is asked of the drive.
fn stands(acts: &[Act]) -> (f64, String) {
    let session = session(acts.iter().cloned());
    let ready = session.ready().unwrap();
    (ready.chance(&BOOT.into()), Drive::of(&session.job, &ready.plan).unwrap().asked())
}

#[test]
fn what_proves_the_repair_never_speaks_against_the_place() {
    for mended in [vec![found()], vec![found(), repaired()], vec![repaired(), found()]] {
        let found = [vec![blow(), blow(), held(60.0), look(Seen::Bare)], mended].concat();
        let before = stands(&found);
        assert!(before.0 > 0.95, "{before:?}");
        for proof in [
            vec![pressed(false, 10)],
            vec![held(600.0)],
            vec![look(Seen::Sound)],
            vec![pressed(false, 10), look(Seen::Sound), held(120.0), pressed(false, 10)],
        ] {
            assert_eq!(stands(&[found.clone(), proof.clone()].concat()), before, "{proof:?}");
        }
    }
    // Pressed open and repaired without a look: the first look there is proof as well.
    let unseen = [blow(), pressed(true, 2), found(), repaired()];
    assert_eq!(stands(&[unseen.as_slice(), &[look(Seen::Sound)]].concat()), stands(&unseen));
}

#[test]
fn a_repair_that_is_put_into_other_words_stands_since_it_was_made() {
    // The finding was not it: since it opened again, the repair alone makes what follows a proof.
    let made = [blow(), look(Seen::Marked), found(), blow(), repaired(), pressed(false, 10), held(60.0)];
    let before = stands(&made);
    let once = [made.as_slice(), &[taken_back(4), repaired_in(Some(20.0))]].concat();
    assert_eq!(stands(&once), before);
    assert_eq!(stands(&[once.as_slice(), &[held(30.0), taken_back(8), repaired_in(Some(25.0))]].concat()), before);
    // It is none anew: once it has opened again, other words make no proof of what holds then.
    let again = [once.as_slice(), &[blow()]].concat();
    let other_words = [again.as_slice(), &[taken_back(8), repaired_in(None), held(600.0)]].concat();
    assert_eq!(stands(&other_words), stands(&[again.as_slice(), &[held(600.0)]].concat()));
}

#[test]
fn a_repair_that_is_taken_back_for_good_leaves_nothing() {
    let holds = [pressed(false, 10), held(60.0)];
    let first = [blow(), look(Seen::Marked), found(), blow()];
    let never = stands(&[first.as_slice(), &holds].concat());
    let gone = [first.as_slice(), &[repaired()], &holds, &[taken_back(4)]].concat();
    assert_eq!(stands(&gone), never);
    // One that is made later, after something else was done, begins then.
    let later = [gone.as_slice(), &[look(Seen::Marked), repaired(), held(600.0)]].concat();
    assert_eq!(stands(&later), never);
}

#[test]
fn an_ohmmeter_that_shows_a_short_after_a_repair_proves_none() {
    // With the key alone nothing of the practice circuit leads to ground.
    let expected = None;
    let read = |ohms| Act::Meter { ohms, unplugged: vec![], state: vec!["key_on".into()] };
    let chances = |acts: &[Act]| session(acts.iter().cloned()).ready().unwrap().plan.points.clone();
    let opened = [blow(), look(Seen::Marked)];
    let mended = [opened.as_slice(), &[found(), repaired()]].concat();
    let with = |acts: &[Act], ohms| chances(&[acts, &[read(ohms)]].concat());
    assert_ne!(with(&opened, expected), chances(&opened), "both readings tell something");
    assert_ne!(with(&opened, Some(0.05)), chances(&opened));
    assert_eq!(with(&mended, expected), chances(&mended), "as it should be: the repair holds");
    assert_eq!(with(&mended, Some(0.05)), with(&opened, Some(0.05)), "a short is there now");
}

#[test]
fn fingers_on_the_probes_are_no_short() {
    let read = |ohms| Act::Meter { ohms: Some(ohms), unplugged: vec![], state: vec!["key_on".into()] };
    let chances = |acts: &[Act]| session(acts.iter().cloned()).ready().unwrap().plan.points.clone();
    let opened = [blow(), look(Seen::Marked)];
    let with = |ohms| chances(&[opened.as_slice(), &[read(ohms)]].concat());
    assert_eq!(with(2e7), chances(&opened));
    assert_eq!(with(50_000.0), chances(&opened));
    assert_ne!(with(200.0), chances(&opened), "a wire that only just touches");
}

#[test]
fn what_moves_the_chances_by_itself_is_news_and_what_lets_all_proof_speak_again_is_not() {
    let news = |acts: &[Act]| session(acts.iter().cloned()).is_news();
    let mended = [blow(), look(Seen::Bare), found(), repaired()];
    assert!(news(&mended[..2]));
    assert!(!news(&mended), "a repair is no observation");
    assert!(news(&[mended.as_slice(), &[blow()]].concat()), "nothing had held since");
    let proven = [mended.as_slice(), &[held(60.0), pressed(false, 10)]].concat();
    assert!(!news(&proven), "that it holds moves nothing");
    let again = [proven.as_slice(), &[blow()]].concat();
    assert!(!news(&again), "what held before moves the chances too");
    assert!(news(&[again.as_slice(), &[held(5.0)]].concat()));
}

#[test]
fn once_it_opens_again_all_speaks_again_until_the_next_repair() {
    let first = [blow(), blow(), look(Seen::Bare), found(), repaired(), pressed(false, 10), held(60.0)];
    let again = [first.as_slice(), &[blow()]].concat();
    let nothing_found =
        session(again.iter().filter(|act| !matches!(act, Act::Finding(_) | Act::Repair { .. })).cloned());
    let (chance, asked) = stands(&again);
    assert_eq!(chance, nothing_found.ready().unwrap().chance(&BOOT.into()));
    assert!(chance < 0.5, "{chance}");
    assert!(asked.starts_with("It opened 3 × in 60 min of use"), "{asked}");
    // A finding that is put into other words is not a second one; another repair is.
    assert_eq!(
        stands(&[again.clone(), vec![found(), held(600.0)]].concat()).1,
        stands(&[again.clone(), vec![held(600.0)]].concat()).1
    );
    assert_eq!(stands(&[again.clone(), vec![repaired(), held(600.0)]].concat()), (chance, asked));
}

#[test]
fn what_is_seen_and_pressed_elsewhere_after_a_finding_still_moves_the_walk() {
    let first = session([]);
    let other = &first.ready().unwrap().search.points().iter().find(|point| point.id.as_str() != BOOT).unwrap().id;
    let elsewhere = Act::Look { point: other.clone(), seen: Seen::Bare };
    let found = [blow(), look(Seen::Marked), found(), repaired()];
    let chance = |acts: &[Act]| session(acts.iter().cloned()).ready().unwrap().chance(other);
    assert!(chance(&[found.as_slice(), &[elsewhere]].concat()) > chance(&found), "a second place shows");
    // The place itself was not looked at before: then a look, sound as it is by now, takes it off the walk.
    let blind = [blow(), Act::Finding(serde_json::from_value(serde_json::json!({ "point": BOOT })).unwrap())];
    let steps = |acts: &[Act]| {
        let session = session(acts.iter().cloned());
        session.ready().unwrap().plan.steps.iter().filter(|step| step.id == BOOT).count()
    };
    assert_eq!((steps(&blind), steps(&[blind.as_slice(), &[look(Seen::Sound)]].concat())), (1, 0));
}
