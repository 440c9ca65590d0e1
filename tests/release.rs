//! Does the release check ask for what the circuit asks for, and judge what was read as by hand?
use chrono::{DateTime, Utc};
use expect_test::{Expect, expect};
use loomwalk::circuit::check;
use loomwalk::circuit::file::{CircuitFile, OptionState};
use loomwalk::circuit::unplug::Unplugged;
use loomwalk::ids::{DeviceId, EventId, JobId};
use loomwalk::job::act::{Concern, Finding, Material, Often, ReleaseItem};
use loomwalk::job::amperes::{Lies, predicted};
use loomwalk::job::release::{Item, release};
use loomwalk::job::session::Session;
use loomwalk::job::{Act, Event, Log, Refusal, may};
use loomwalk::search::evidence::{Heat, Motion, Seen};
use uuid::Uuid;

const JOB: JobId = JobId(Uuid::from_u128(7));
const BOOT: &str = "point:passage:boot_rear_left";

fn session_of(circuit: CircuitFile, acts: impl IntoIterator<Item = Act>) -> Session {
    let first = Act::Circuit { circuit: Box::new(circuit), shelved: None };
    let events = std::iter::once(first).chain(acts).zip(1..).map(|(act, n)| {
        let at = DateTime::<Utc>::from_timestamp_millis(1_700_000_000_000 + n * 1000).unwrap();
        Event::new(EventId(Uuid::from_u128(n as u128)), at, DeviceId(Uuid::from_u128(1)), &act)
    });
    Session::open(JOB, Log::of(events).unwrap())
}

fn van() -> CircuitFile {
    check::read(include_bytes!("../assets/demo/van.circuit.json")).unwrap()
}

/// 12 V over two 6 Ω resistors: 2 A each, one with the key, one when braking.
fn plain(label: &str) -> CircuitFile {
    let file = serde_json::json!({
        "format": "loomwalk/circuit", "version": 1,
        "supply": { "volts": 12.0, "ohms": 0.001 },
        "fuse": { "label": "F1", "rating_a": 10, "style": "mini", "ohms": 0.001 },
        "loads": [
            { "id": "one", "label": label, "kind": "resistor", "ohms": 6, "live_when": ["key_on"], "zone": "dash_left" },
            { "id": "two", "label": "Two", "kind": "resistor", "ohms": 6, "live_when": ["brake"], "zone": "dash_left" },
        ]
    });
    check::read(file.to_string().as_bytes()).unwrap()
}

fn items(session: &Session) -> Vec<Item> {
    release(&session.job, session.ready(), &mut session.log.events())
}

fn item(session: &Session, wanted: ReleaseItem) -> Item {
    items(session).into_iter().find(|item| item.item == wanted).unwrap()
}

fn told(session: &Session) -> String {
    let line = |item: Item| {
        let Item { label, read, done, value, told, doubt, .. } = item;
        let done = if done { "done" } else { "NOT DONE" };
        let doubt = if doubt { " (!)" } else { "" };
        format!("{label}: {done}\n  asked: {read}\n  read: {value}\n  told: {told}{doubt}\n")
    };
    items(session).into_iter().map(line).collect()
}

fn done(item: ReleaseItem, value: &str) -> Act {
    Act::Release { item, done: true, value: value.into(), minutes: None }
}

fn found() -> Act {
    Act::Finding(serde_json::from_value::<Finding>(serde_json::json!({ "point": BOOT })).unwrap())
}

fn press(opened: bool, presses: u32) -> Act {
    Act::Press { point: BOOT.into(), opened, presses, state: vec!["key_on".into()] }
}

#[test]
fn nothing_done_is_said_as_not_done_with_what_to_read() {
    let expected: Expect = expect![[r#"
        The fuse or breaker of the right rating is fitted: NOT DONE
          asked: 15 A blade fuse
          read: 
          told: 
        Pressed again at the repaired place, and the fuse held: NOT DONE
          asked: At Rear-door boot, left: more than the 3 presses after which it opened before, with the same things switched on.
          read: 
          told: The log has no press at Rear-door boot, left after the finding.
        The current through the fuse was measured: NOT DONE
          asked: Computed 19.6 A, 16.9 to 23.3 A, with everything on. That is more than the 15 A it is made for: switch on a part, and write down which, as in 2.3 A with key on. It shows whether the loads are right, not that a short that comes and goes is gone.
          read: 
          told: 
        Everything on this fuse was worked once: NOT DONE
          asked: Each of the 11 loads on the fuse, one after another.
          read: 
          told: 
        Edge protection, clips, grommets and covers are back: NOT DONE
          asked: Rear-door boot, left: A boot seated at both ends, and a bundle that twists rather than bends as the hinge works, clipped on either side. And wherever something was opened.
          read: 
          told: 
        Battery, airbag and other precautions are undone as the maker says: NOT DONE
          asked: What was disconnected is connected again as the maker says.
          read: 
          told: 
        Driven on the road: NOT DONE
          asked: It opened 4 × in 30 h of use. What was seen leaves it over 99 % sure; drive as the maker and the shop ask.
          read: 
          told: 
    "#]];
    let blow = Act::Blow { state: vec!["key_on".into()], motion: Motion::Rough, heat: Heat::Warm };
    let often = Act::Concern(Concern { often: Some(Often { times: 4, hours: 30.0 }), ..Concern::default() });
    let look = Act::Look { point: BOOT.into(), seen: Seen::Bare };
    expected.assert_eq(&told(&session_of(van(), [blow, often, look, press(true, 3), found()])));
}

#[test]
fn without_a_circuit_the_check_is_the_same_list_in_general_words() {
    let session = Session::open(JOB, Log::default());
    assert_eq!(items(&session).len(), 7);
    assert!(items(&session).iter().all(|item| !item.done && !item.doubt));
}

#[test]
fn the_draw_is_held_against_what_was_switched_on() {
    let drawn = |value: &str| {
        item(&session_of(plain("One"), [done(ReleaseItem::DrawMeasured, value)]), ReleaseItem::DrawMeasured)
    };
    let judged = |value: &str, expected: &Expect| {
        let Item { told, doubt, .. } = drawn(value);
        expected.assert_eq(&format!("{told}{}", if doubt { " (!)" } else { "" }));
    };
    // Two of 6 Ω side by side at 12 V: 4 A, short of what the wires take.
    judged("4.0 A", &expect!["4 A is within the 3.8 to 4.2 A computed with everything on."]);
    judged(
        "2,0 A",
        &expect![
            "2 A is below the 3.8 to 4.2 A computed with everything on: something was not switched on, does not work, or is not there as listed. (!)"
        ],
    );
    judged("2.0 A with key on", &expect!["2 A is within the 1.9 to 2.1 A computed with key on."]);
    judged(
        "7 A",
        &expect![
            "7 A is above the 3.8 to 4.2 A computed with everything on: something takes more than it should, or is not on the list. Find out what before it goes back. (!)"
        ],
    );
    judged("as it should", &expect!["No current can be read out of this: write it as 2.3 A."]);
    judged("", &expect![[r#""#]]);
    let session = session_of(plain("One"), []);
    let band = predicted(&session.ready().unwrap().harness, "").unwrap();
    assert!(band.everything && band.lies(4.0) == Lies::Within && band.lies(0.0) == Lies::Below);
    assert!((3.8..=4.0).contains(&band.amps.value), "{}", band.amps.value);
}

#[test]
fn what_the_fuse_needs_to_be_live_was_on_though_nobody_wrote_it_down() {
    let mut circuit = plain("One");
    circuit.fuse.live_when = vec!["ignition".into()];
    let told = |value: &str| {
        item(&session_of(circuit.clone(), [done(ReleaseItem::DrawMeasured, value)]), ReleaseItem::DrawMeasured).told
    };
    let by_hand = "2 A is within the 1.9 to 2.1 A computed with brake and ignition.";
    assert_eq!(told("2.0 A with brake"), by_hand);
    assert_eq!(told("2.0 A with ignition and brake"), by_hand);
    assert!(told("0.1 A with ignition").contains("computed with ignition"), "{}", told("0.1 A with ignition"));
    assert!(told("4.0 A with brake, key on").contains("with everything on"));
}

#[test]
fn another_rating_than_the_circuits_is_a_doubt() {
    let fitted =
        |value: &str| item(&session_of(plain("One"), [done(ReleaseItem::RightFuse, value)]), ReleaseItem::RightFuse);
    assert_eq!(fitted("10 A mini").told, "");
    assert_eq!((fitted("").doubt, fitted("10").doubt, fitted("F1").doubt), (false, false, false));
    assert_eq!(fitted("").read, "10 A mini fuse");
    let Item { told, doubt, .. } = fitted("15 A");
    assert!(doubt && told.starts_with("15 A was read, and the circuit has 10 A"), "{told}");
}

#[test]
fn presses_count_from_the_finding_on_and_anew_once_it_opened_again() {
    let pressed = |acts: Vec<Act>| item(&session_of(van(), acts), ReleaseItem::PressedAgain);
    let told = |acts| pressed(acts).told;
    assert_eq!(told(vec![press(true, 2), found()]), "The log has no press at Rear-door boot, left after the finding.");
    // A finding that is corrected later is the same finding.
    assert_eq!(
        told(vec![press(false, 9), found(), press(false, 5), found(), press(false, 6)]),
        "At Rear-door boot, left it held for 11 presses after the finding."
    );
    let again = pressed(vec![press(true, 2), found(), press(false, 5), press(true, 1), press(false, 1)]);
    assert_eq!(
        again.told,
        "At Rear-door boot, left the fuse opened again after the finding; it held for 1 press since."
    );
    assert!(again.doubt, "no more presses than it took to open");
    assert!(again.read.starts_with("At Rear-door boot, left: more than the 2 presses after which it opened before"));
    assert!(!pressed(vec![press(true, 2), found(), press(true, 1), press(false, 3)]).doubt);
}

#[test]
fn what_was_done_before_the_fuse_opened_again_is_to_be_done_anew() {
    let driven = Act::Release { item: ReleaseItem::RoadTest, done: true, value: String::new(), minutes: Some(120.0) };
    let one = Act::Worked { load: "one".into(), works: true };
    let two = Act::Worked { load: "two".into(), works: true };
    let checked = [done(ReleaseItem::RightFuse, "10 A"), driven.clone(), one, two];
    let before = session_of(plain("One"), checked.clone());
    let stands = |session: &Session| {
        [ReleaseItem::RightFuse, ReleaseItem::AllWorked, ReleaseItem::RoadTest].map(|wanted| item(session, wanted))
    };
    assert!(stands(&before).iter().all(|item| item.done && !item.doubt));

    let blow = Act::Blow { state: vec!["key_on".into()], motion: Motion::Rough, heat: Heat::Warm };
    let after = session_of(plain("One"), checked.into_iter().chain([blow]));
    let [fuse, worked, road] = stands(&after);
    assert!([&fuse, &worked, &road].iter().all(|item| !item.done));
    for item in [&fuse, &road] {
        assert!(item.doubt);
        assert_eq!(item.told, "It was done before the fuse opened again: do it anew.");
    }
    assert_eq!((fuse.value.as_str(), worked.told.as_str()), ("10 A", ""));
    assert_eq!(after.job.checked(ReleaseItem::RoadTest).minutes, None);

    let at = DateTime::<Utc>::from_timestamp_millis(1_700_000_100_000).unwrap();
    let later = Event::new(EventId(Uuid::from_u128(99)), at, DeviceId(Uuid::from_u128(1)), &driven);
    let events: Vec<Event> = after.log.events().cloned().chain([later]).collect();
    let again = Session::open(JOB, Log::of(events).unwrap());
    assert!(item(&again, ReleaseItem::RoadTest).done && !item(&again, ReleaseItem::RoadTest).doubt);
}

#[test]
fn where_wires_of_other_restraints_share_the_place_the_press_says_so() {
    let asked = |point: &str| {
        let finding = serde_json::from_value::<Finding>(serde_json::json!({ "point": point })).unwrap();
        item(&session_of(van(), [Act::Finding(finding)]), ReleaseItem::PressedAgain).read
    };
    let told = "Airbag or belt-tensioner wires are there, too";
    assert!(asked("point:zone:sill_left").contains(told) && !asked(BOOT).contains(told));
}

#[test]
fn each_load_is_worked_once_and_those_that_were_not_are_named() {
    let worked = |load: &str, works| Act::Worked { load: load.into(), works };
    let of = |acts: Vec<Act>| {
        let Item { done, told, doubt, .. } = item(&session_of(plain("One"), acts), ReleaseItem::AllWorked);
        format!("{} {} {told}", if done { "done" } else { "not done" }, if doubt { "(!)" } else { "-" })
    };
    assert_eq!(of(vec![]), "not done - ");
    assert_eq!(of(vec![done(ReleaseItem::AllWorked, "")]), "done - Noted as a whole, not load by load.");
    assert_eq!(of(vec![worked("one", true)]), "not done - 1 of 2 worked; not noted: Two.");
    assert_eq!(of(vec![worked("one", true), worked("two", true)]), "done - 2 of 2 worked.");
    assert_eq!(
        of(vec![worked("one", false), worked("two", true)]),
        "not done (!) 2 of 2 worked. Does not do what it should: One."
    );
    // The newest holds.
    assert_eq!(of(vec![worked("one", false), worked("two", true), worked("one", true)]), "done - 2 of 2 worked.");
}

#[test]
fn a_load_whose_catalogue_option_is_absent_is_not_asked_for() {
    let mut circuit = plain("One");
    circuit.vehicle.options.insert("rear_wiper".into(), OptionState::Absent);
    circuit.loads[1].item = Some("wiper_rear".into());
    let item = item(&session_of(circuit, [Act::Worked { load: "one".into(), works: true }]), ReleaseItem::AllWorked);
    assert_eq!((item.done, item.told.as_str()), (true, "1 of 1 worked."));
    assert_eq!(item.read, "The 1 load on the fuse.");
}

#[test]
fn the_airbag_lamp_is_asked_for_only_where_such_wires_are() {
    let asked = |label| item(&session_of(plain(label), []), ReleaseItem::CautionsUndone).read;
    assert!(!asked("One").contains("Airbag") && asked("Airbag control unit").contains("warning lamp"));
}

#[test]
fn the_airbag_lamp_is_asked_for_wherever_work_came_near_such_wires() {
    let asked = |acts: &[Act]| {
        let session = session_of(plain("One"), acts.iter().cloned());
        item(&session, ReleaseItem::CautionsUndone).read.contains("warning lamp")
    };
    let session = session_of(plain("One"), []);
    let ready = session.ready().unwrap();
    let near = ready.search.points().iter().find(|point| point.restraint).unwrap().id.clone();
    let step = ready.map.map.access.iter().find(|step| step.restraint).unwrap().id.clone();
    assert!(!asked(&[]));
    // Found, or repaired, without a look.
    assert!(asked(&[Act::Finding(serde_json::from_value(serde_json::json!({ "point": near })).unwrap())]));
    let repair = |point| Act::Repair {
        of: None,
        point,
        what: "Taped".into(),
        done: true,
        minutes: None,
        method: None,
        materials: vec![],
    };
    assert!(asked(&[repair(Some(near))]) && !asked(&[repair(None)]));
    // Only unplugged: a plug behind the dash is pulled with the battery off.
    let one = Some("one".into());
    assert!(asked(&[Act::Unplugged { node: None, load: one, blew: true, state: vec![], minutes: 1.0 }]));
    let metered = vec![Unplugged::Load("two".into())];
    assert!(asked(&[Act::Meter { ohms: Some(0.2), unplugged: metered, state: vec![] }]));
    // Only opened, and closed again since.
    let open = |open| Act::Access { access: step.clone(), open };
    assert!(asked(&[open(true), open(false)]));
}

#[test]
fn what_was_opened_and_not_closed_is_named() {
    let open = |open| Act::Access { access: "access:boot_rear_left".into(), open };
    let back = |acts: Vec<Act>| item(&session_of(van(), acts), ReleaseItem::ProtectionBack).told;
    assert!(back(vec![open(true)]).starts_with("By the log not closed again: "));
    assert_eq!(back(vec![open(true), open(false)]), "");
}

#[test]
fn quantities_that_say_nothing_and_loads_that_are_not_there_are_refused() {
    let job = session_of(plain("One"), []).job;
    let of = |name: &str, quantity| {
        let materials = vec![Material { name: name.into(), quantity, unit: "m".into() }];
        may(
            &job,
            &Act::Repair {
                of: None,
                point: None,
                what: "x".into(),
                done: true,
                minutes: None,
                method: None,
                materials,
            },
        )
    };
    assert_eq!(of("Tape", 0.5), Ok(()));
    for nonsense in [0.0, -1.0, f64::NAN, f64::INFINITY, 10_001.0] {
        assert_eq!(of("Tape", nonsense), Err(Refusal::Quantity("Tape".into())), "{nonsense}");
    }
    assert_eq!(of(" ", 1.0), Err(Refusal::NoWords("material")));
    assert_eq!(
        Refusal::Quantity("Tape".into()).to_string(),
        "Say how much of \"Tape\": a number above 0, at most 10000."
    );
    let worked = |load: &str| may(&job, &Act::Worked { load: load.into(), works: true });
    assert_eq!(worked("one"), Ok(()));
    assert_eq!(worked("three"), Err(Refusal::NoSuchLoad("three".into())));
}

#[test]
fn what_an_older_version_wrote_stays_as_it_was_written() {
    let act = Act::Repair {
        of: None,
        point: None,
        what: "x".into(),
        done: true,
        minutes: Some(5.0),
        method: None,
        materials: vec![],
    };
    let at = DateTime::<Utc>::UNIX_EPOCH;
    let body = Event::new(EventId(Uuid::nil()), at, DeviceId(Uuid::nil()), &act).body;
    assert_eq!(body, serde_json::json!({ "what": "x", "done": true, "minutes": 5 }));
    let body = Event::new(EventId(Uuid::nil()), at, DeviceId(Uuid::nil()), &found()).body;
    assert!(body.get("aside").is_none());
}
