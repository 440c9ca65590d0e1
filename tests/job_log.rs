//! Does the log of a job behave as a set, and does the job follow from it alone?
use chrono::{DateTime, Utc};
use expect_test::expect;
use loomwalk::circuit::check;
use loomwalk::circuit::file::{Load, LoadKind, Mark, MarkKind, MarkPlace, OptionState, Supply, TouchLengths, Vehicle};
use loomwalk::ids::{DeviceId, EventId, JobId, PhotoHash};
use loomwalk::job::act::{Concern, Finding, FreshFuse, HandOverWay, Material, Photo, ReleaseItem, Stage};
use loomwalk::job::bring_back::{TakenBack, taken_back_at};
use loomwalk::job::drawing::{Spot, Stroke};
use loomwalk::job::event::ActError;
use loomwalk::job::log::LogError;
use loomwalk::job::road::RoadMark;
use loomwalk::job::session::Session;
use loomwalk::job::together::at_one_tap;
use loomwalk::job::{Act, Event, Job, Log, Refusal, may};
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use proptest::prelude::*;
use serde_json::json;
use uuid::Uuid;

const JOB: JobId = JobId(Uuid::from_u128(7));

fn id(n: u16) -> EventId {
    EventId(Uuid::from_u128(u128::from(n)))
}

fn at(n: u16) -> DateTime<Utc> {
    DateTime::from_timestamp_millis(1_700_000_000_000 + i64::from(n) * 1000).unwrap()
}

fn event(n: u16, act: &Act) -> Event {
    Event::new(id(n), at(n), DeviceId(Uuid::from_u128(1)), act)
}

fn job_of(acts: &[Act]) -> Job {
    Job::fold(JOB, &Log::of(acts.iter().zip(1..).map(|(act, n)| event(n, act))).unwrap())
}

fn look(point: &str, seen: Seen) -> Act {
    Act::Look { point: point.into(), seen }
}

fn load(id: &str) -> Load {
    serde_json::from_value(json!({ "id": id, "kind": "motor", "amps": 4.0 })).unwrap()
}

fn lie_photo(point: &str) -> Photo {
    Photo {
        sha256: "ab".repeat(32).parse::<PhotoHash>().unwrap(),
        bytes: 1234,
        media_type: "image/jpeg".into(),
        width: 4,
        height: 3,
        taken_at: None,
        point: Some(point.into()),
        stage: Stage::Lie,
        annotation: String::new(),
        seconds: None,
    }
}

fn fuse() -> Act {
    let fuse = serde_json::from_value(json!({ "label": "F23", "rating_a": 15 })).unwrap();
    Act::Fuse { fuse, supply: Supply::default() }
}

/// Every kind of act, over few names, so that acts meet each other.
fn any_act() -> impl Strategy<Value = Act> {
    let point = prop_oneof![Just("point:a"), Just("point:b")];
    let seen = prop_oneof![Just(Seen::Sound), Just(Seen::Bare), Just(Seen::NotSeen)];
    let loads = prop_oneof![Just("l1"), Just("l2")];
    let minutes = prop_oneof![Just(15.0), 0.0..1e4];
    prop_oneof![
        any::<bool>().prop_map(|practice| Act::JobOpened { practice }),
        (".{0,8}", any::<bool>()).prop_map(|(words, at_once)| {
            let fresh_fuse = if at_once { FreshFuse::OpensAtOnce } else { FreshFuse::Holds };
            Act::Concern(Concern { words, fresh_fuse, ..Concern::default() })
        }),
        ".{0,8}".prop_map(|label| Act::Vehicle(Vehicle { label, ..Vehicle::default() })),
        Just(fuse()),
        loads.clone().prop_map(|id| Act::Load(load(id))),
        loads.prop_map(|load| Act::LoadRemoved { load: load.into() }),
        Just(Act::Option { option: "rear_wiper".into(), state: OptionState::Absent, why: String::new() }),
        (0.0..2.0).prop_map(|at_m| Act::Mark(Mark {
            id: "m1".into(),
            place: MarkPlace::Run { run: "r1".into(), at_m },
            kind: MarkKind::Edge,
            note: String::new()
        })),
        Just(Act::MarkRemoved { mark: "m1".into() }),
        proptest::option::of((1e-3..0.1, 0.2..10.0)).prop_map(|lengths| Act::Touch {
            touch: lengths.map(|(shortest_s, longest_s)| TouchLengths { shortest_s, longest_s })
        }),
        Just(Act::Blow { state: vec!["key_on".into()], motion: Motion::Rough, heat: Heat::Warm }),
        minutes.clone().prop_map(|minutes| Act::Held {
            state: vec![],
            motion: Motion::Still,
            heat: Heat::Cold,
            minutes
        }),
        minutes.prop_map(|minutes| Act::Unplugged {
            node: None,
            load: Some("l1".into()),
            blew: false,
            state: vec![],
            minutes
        }),
        (prop_oneof![Just("l1"), Just("Radio")], any::<bool>()).prop_map(|(what, dead)| Act::Tried {
            what: what.into(),
            dead,
            state: vec!["key_on".into()]
        }),
        (point.clone(), seen).prop_map(|(point, seen)| look(point, seen)),
        (point.clone(), any::<bool>(), any::<u32>()).prop_map(|(point, opened, presses)| Act::Press {
            point: point.into(),
            opened,
            presses,
            state: vec![]
        }),
        any::<bool>().prop_map(|lit| Act::Telltale { lit, seen_at: chrono::DateTime::UNIX_EPOCH }),
        point.clone().prop_map(|point| Act::Lift { point: point.into() }),
        point.clone().prop_map(|point| Act::LieWaived { point: point.into(), why: "no light".into() }),
        point.clone().prop_map(|point| Act::Photo(lie_photo(point))),
        (0_u16..40, 0.0..1.0).prop_map(|(photo, x)| Act::Drawn {
            photo: id(photo),
            strokes: vec![Stroke::ring(Spot { x, y: 0.2 }, 0.75)]
        }),
        Just(Act::RoadBegan { state: vec!["key_on".into()], heat: Heat::Warm }),
        Just(Act::RoadMark { what: RoadMark::Bump }),
        Just(Act::RoadEnded {}),
        (proptest::option::of(point.clone()), ".{0,8}")
            .prop_map(|(point, text)| Act::Note { point: point.map(Into::into), text }),
        any::<bool>().prop_map(|open| Act::Access { access: "access:raise".into(), open }),
        point.clone().prop_map(|point| Act::CannotReach { point: point.into(), why: String::new() }),
        point.clone().prop_map(|point| Act::DoFirst { point: point.into() }),
        (0_u16..40).prop_map(|n| Act::TakenBack { event: id(n) }),
        point.clone().prop_map(|point| Act::Finding(Finding {
            point: point.into(),
            rubbed_on: "hinge".into(),
            colour_seen: "BK/YE".into(),
            also_hurt: String::new(),
            cause: String::new(),
            aside: String::new(),
        })),
        (proptest::option::of(point), proptest::option::of(0.0..600.0)).prop_map(|(point, minutes)| Act::Repair {
            of: None,
            point: point.map(Into::into),
            what: "sleeve".into(),
            done: true,
            minutes,
            method: minutes.map(|_| "conduit".into()),
            materials: minutes
                .map(|quantity| Material { name: "Sleeve".into(), quantity, unit: "m".into() })
                .into_iter()
                .collect()
        }),
        any::<bool>().prop_map(|works| Act::Worked { load: "l1".into(), works }),
        any::<bool>().prop_map(|done| Act::Release {
            item: ReleaseItem::RoadTest,
            done,
            value: String::new(),
            minutes: None
        }),
        Just(Act::HandedOver { bundle_id: loomwalk::ids::BundleId(Uuid::from_u128(3)), way: HandOverWay::File }),
    ]
}

/// Acts with distinct ids from 0 up, and an order in which someone may learn of them.
fn any_events() -> impl Strategy<Value = Vec<Event>> {
    proptest::collection::vec(any_act(), 0..40)
        .prop_map(|acts| acts.iter().zip(0..).map(|(act, n)| event(n, act)).collect())
}

proptest! {
    #[test]
    fn an_act_comes_back_out_of_its_event_and_out_of_the_events_json(act in any_act()) {
        let made = event(1, &act);
        prop_assert_eq!(&made.act().unwrap(), &act);
        let text = serde_json::to_string(&made).unwrap();
        let back: Event = serde_json::from_str(&text).unwrap();
        prop_assert_eq!(&back, &made);
        // What a canonicaliser writes is the same event too.
        let canonical = serde_json_canonicalizer::to_string(&made).unwrap();
        prop_assert_eq!(&serde_json::from_str::<Event>(&canonical).unwrap(), &made);
    }

    #[test]
    fn the_union_of_two_logs_is_free_of_order_and_of_repeats(
        events in any_events(),
        cut in 0_usize..40,
    ) {
        let (one, two) = events.split_at(cut.min(events.len()));
        let mut there = Log::of(one.iter().cloned()).unwrap();
        there.union(two.iter().rev().cloned()).unwrap();
        let mut back = Log::of(two.iter().cloned()).unwrap();
        back.union(events.iter().rev().chain(one).cloned()).unwrap();
        prop_assert_eq!(&there, &back);
        prop_assert_eq!(there.union(events.iter().cloned()).unwrap(), vec![]);
        prop_assert_eq!(Job::fold(JOB, &there), Job::fold(JOB, &back));
    }

    #[test]
    fn going_on_by_one_or_by_many_events_is_the_same_as_folding_the_whole_log(
        events in any_events().prop_flat_map(|events| (Just(events.clone()), Just(events).prop_shuffle())),
        many in 2_usize..40,
    ) {
        for (order, at_once) in [(&events.0, 1), (&events.1, 1), (&events.0, many), (&events.1, many)] {
            let mut log = Log::default();
            let mut job = Job::empty(JOB);
            for some in order.chunks(at_once) {
                let fresh = log.union(some.iter().cloned()).unwrap();
                job.advance(&log, &fresh);
                prop_assert_eq!(&job, &Job::fold(JOB, &log));
            }
        }
    }

    #[test]
    fn an_id_with_two_bodies_is_refused_and_nothing_is_taken_in(
        mut events in any_events().prop_filter("some", |events| !events.is_empty()),
        which in any::<prop::sample::Index>(),
    ) {
        let mut log = Log::of(events.iter().cloned()).unwrap();
        let before = log.clone();
        let at = which.index(events.len());
        events[at].body = json!({ "changed": "by hand" });
        events.push(event(900, &Act::JobOpened { practice: false }));
        prop_assert_eq!(log.union(events.clone()), Err(LogError::TwoBodies(events[at].id)));
        prop_assert_eq!(log, before);
    }
}

#[test]
fn whole_numbers_stand_in_a_body_without_a_point_however_they_were_written() {
    let held = Act::Held { state: vec![], motion: Motion::Still, heat: Heat::Cold, minutes: 15.0 };
    let made = event(1, &held);
    assert_eq!(made.body["minutes"].to_string(), "15");
    let written = serde_json::to_string(&made).unwrap().replace("\"minutes\":15", "\"minutes\":15.0");
    assert!(written.contains("15.0"));
    assert_eq!(serde_json::from_str::<Event>(&written).unwrap(), made);
}

#[test]
fn every_kind_in_the_schema_is_known_by_name() {
    let schema = serde_json::to_value(schemars::schema_for!(Act)).unwrap();
    let kinds = schema["oneOf"].as_array().unwrap().iter().map(|one| one["properties"]["kind"]["const"].clone());
    assert_eq!(kinds.collect::<Vec<_>>(), Act::KINDS.map(serde_json::Value::from));
}

#[test]
fn an_event_of_a_newer_kind_is_kept_and_passed_over() {
    let mut newer = event(2, &look("point:a", Seen::Sound));
    newer.kind = "thermal_picture".into();
    assert!(matches!(newer.act(), Err(ActError::FromNewer { .. })));
    let log = Log::of([event(1, &Act::JobOpened { practice: true }), newer]).unwrap();
    let job = Job::fold(JOB, &log);
    assert_eq!((job.from_newer, job.practice, log.len()), (1, true, 2));
}

#[test]
fn an_event_that_cannot_be_read_leaves_the_job_readable_and_says_where_it_is_wrong() {
    let mut wrong = event(2, &look("point:a", Seen::Sound));
    wrong.body["seen"] = json!("fine");
    let message = wrong.act_or_where().unwrap_err().to_string();
    expect![[
        r#"event 00000000-0000-0000-0000-000000000002 of kind "look" cannot be read: at /body/seen: unknown variant `fine`, expected one of `sound`, `marked`, `thinned`, `bare`, `severed`, `not_seen`"#
    ]]
    .assert_eq(&message);
    let job = Job::fold(JOB, &Log::of([wrong, event(3, &look("point:b", Seen::Bare))]).unwrap());
    assert_eq!(job.unreadable, [id(2)]);
    assert_eq!(job.observations, [(id(3), Observation::Look { point: "point:b".into(), seen: Seen::Bare })]);

    let mut endless = event(4, &Act::Unplugged { node: None, load: None, blew: false, state: vec![], minutes: 1.0 });
    endless.body["minutes"] = json!(-3);
    let message = endless.act_or_where().unwrap_err().to_string();
    assert!(message.ends_with("at /body/minutes: -3 is not a number of minutes from 0 up"), "{message}");
}

#[test]
fn what_is_taken_back_no_longer_counts_and_stays_in_the_log() {
    let log = Log::of([
        event(1, &look("point:a", Seen::Sound)),
        event(2, &look("point:a", Seen::Bare)),
        event(3, &Act::TakenBack { event: id(2) }),
    ])
    .unwrap();
    let job = Job::fold(JOB, &log);
    assert_eq!(job.points[&"point:a".into()].seen(), Some(Seen::Sound));
    assert_eq!(job.last_act, Some(id(1)));
    assert_eq!((log.len(), job.taken_back.contains(&id(2))), (3, true));
}

#[test]
fn taking_back_counts_even_when_it_arrives_or_sorts_before_what_it_names() {
    let acts = [event(1, &Act::TakenBack { event: id(2) }), event(2, &look("point:a", Seen::Bare))];
    assert_eq!(Job::fold(JOB, &Log::of(acts).unwrap()).observations, []);
}

#[test]
fn a_taking_back_cannot_itself_be_taken_back() {
    let job = job_of(&[look("point:a", Seen::Bare), Act::TakenBack { event: id(1) }, Act::TakenBack { event: id(2) }]);
    assert_eq!(job.observations, []);
}

#[test]
fn a_lift_waits_for_a_photo_as_it_lies_or_a_reason_why_there_is_none() {
    let lift = Act::Lift { point: "point:a".into() };
    let opened = Act::JobOpened { practice: false };
    let message = may(&job_of(std::slice::from_ref(&opened)), &lift).unwrap_err().to_string();
    expect!["Take a photo of the harness as it lies, before you lift it. Once moved, the chance to show it is gone. If no photo is possible, say why."].assert_eq(&message);
    let elsewhere = Act::Photo(lie_photo("point:b"));
    assert!(may(&job_of(&[opened.clone(), elsewhere]), &lift).is_err());
    assert!(may(&job_of(&[opened.clone(), Act::Photo(lie_photo("point:a"))]), &lift).is_ok());
    let waived = Act::LieWaived { point: "point:a".into(), why: "soaked in oil".into() };
    assert!(may(&job_of(&[opened.clone(), waived.clone()]), &lift).is_ok());
    // A photo that was taken back opens nothing.
    assert!(may(&job_of(&[waived, Act::TakenBack { event: id(1) }]), &lift).is_err());
    let silent = Act::LieWaived { point: "point:a".into(), why: " ".into() };
    assert!(may(&job_of(&[opened]), &silent).is_err());
}

#[test]
fn acts_that_make_no_sense_are_refused_in_words() {
    let job = job_of(&[fuse(), Act::Load(load("l1"))]);
    let refused = [
        look("somewhere", Seen::Bare),
        Act::LoadRemoved { load: "l9".into() },
        Act::MarkRemoved { mark: "m9".into() },
        Act::Held { state: vec![], motion: Motion::Still, heat: Heat::Cold, minutes: f64::NAN },
        Act::Press { point: "point:a".into(), opened: false, presses: 0, state: vec![] },
        Act::Unplugged { node: None, load: None, blew: true, state: vec![], minutes: 1.0 },
        Act::TakenBack { event: id(77) },
        Act::Note { point: None, text: "  ".into() },
        Act::Tried { what: " ".into(), dead: true, state: vec![] },
        Act::Touch { touch: Some(TouchLengths { shortest_s: 2.0, longest_s: 2.0 }) },
    ];
    let said: Vec<String> = refused.iter().map(|act| may(&job, act).unwrap_err().to_string()).collect();
    expect![[r#"
        somewhere is not the name of a point. Choose a place on the walk.
        There is no load l9 on the list. It may have been taken off on another phone.
        There is no mark m9. It may have been taken off on another phone.
        Say for how many minutes: a number above 0.
        Count at least one press.
        Say what was unplugged: one load, or one connector.
        There is nothing to take back: event 00000000-0000-0000-0000-00000000004d is not in this job.
        Write something first: an empty note would say nothing in the report.
        Write something first: an empty name would say nothing in the report.
        Say how long a touch lasts, the shortest and the longest: numbers above 0, the longest at most 600 s."#]]
    .assert_eq(&said.join("\n"));
    assert_eq!(may(&job, &Act::LoadRemoved { load: "l1".into() }), Ok(()));
    // An id between those of the log is none of them.
    let job = Job::fold(JOB, &Log::of([event(1, &fuse()), event(9, &Act::Load(load("l1")))]).unwrap());
    let back = |n| may(&job, &Act::TakenBack { event: id(n) });
    assert_eq!((back(9), back(5)), (Ok(()), Err(Refusal::NoSuchEvent(id(5)))));
    // No minutes are none, whatever they are of. But it may open at once.
    let unplugged =
        |blew, minutes| Act::Unplugged { node: None, load: Some("l1".into()), blew, state: vec![], minutes };
    let repair = |minutes| {
        let what = "sleeve".to_owned();
        Act::Repair { of: None, point: None, what, done: true, minutes, method: None, materials: vec![] }
    };
    let driven = |minutes| Act::Release { item: ReleaseItem::RoadTest, done: true, value: String::new(), minutes };
    for none in [unplugged(false, 0.0), unplugged(true, -1.0), repair(Some(-1.0)), driven(Some(f64::NAN))] {
        assert_eq!(may(&job, &none), Err(Refusal::NoMinutes), "{none:?}");
    }
    // A repair may be at no charge.
    for some in [unplugged(true, 0.0), unplugged(false, 1.0), repair(None), repair(Some(0.0)), driven(Some(1.0))] {
        assert_eq!(may(&job, &some), Ok(()), "{some:?}");
    }
}

#[test]
fn a_circuit_grows_piece_by_piece_in_whatever_order_it_is_entered() {
    let struck = Act::Option { option: "rear_wiper".into(), state: OptionState::Absent, why: String::new() };
    let vehicle = Act::Vehicle(Vehicle { label: "2013 panel van".into(), ..Vehicle::default() });
    let job = job_of(&[Act::Load(load("l1")), struck, Act::Load(load("l2")), vehicle]);
    assert!(!job.has_fuse());
    let circuit = job.circuit.unwrap();
    assert_eq!(circuit.vehicle.label, "2013 panel van");
    assert_eq!(circuit.vehicle.options[&"rear_wiper".into()], OptionState::Absent);
    assert_eq!(circuit.loads.len(), 2);
    assert!(job_of(&[fuse()]).has_fuse());
}

#[test]
fn lengths_of_touches_replace_those_before_and_none_brings_back_what_ships() {
    let touch = |shortest_s| TouchLengths { shortest_s, longest_s: 5.0 };
    let set = |shortest_s| Act::Touch { touch: Some(touch(shortest_s)) };
    let none = Act::Touch { touch: None };
    let stated = |acts: &[Act]| job_of(acts).circuit.unwrap().touch;
    assert_eq!(stated(&[fuse(), set(0.01), set(0.02)]), Some(touch(0.02)));
    assert_eq!(stated(&[fuse(), set(0.01), fuse()]), Some(touch(0.01)), "the fuse is another matter");
    assert_eq!(stated(&[fuse(), set(0.01), none.clone()]), None);
    assert_eq!(stated(&[fuse(), set(0.01), Act::TakenBack { event: id(2) }]), None);
    assert_eq!(job_of(std::slice::from_ref(&none)).circuit, None, "nothing is entered by that");
    let job = job_of(&[fuse()]);
    assert_eq!((may(&job, &set(0.01)), may(&job, &none)), (Ok(()), Ok(())));
    for wrong in [f64::NAN, 0.0, -1.0, 5.0, f64::INFINITY] {
        assert!(may(&job, &set(wrong)).is_err(), "{wrong}");
    }
}

#[test]
fn a_stated_touch_changes_the_plan_at_once_and_taking_it_back_restores_it() {
    let circuit = serde_json::from_str(include_str!("../assets/demo/van.circuit.json")).unwrap();
    let blow = Act::Blow { state: vec!["key_on".into()], motion: Motion::Rough, heat: Heat::Warm };
    let log =
        Log::of([event(1, &Act::Circuit { circuit: Box::new(circuit), shelved: None }), event(2, &blow)]).unwrap();
    let mut session = Session::open(JOB, log);
    let chances = |session: &Session| session.ready().unwrap().plan.points.clone();
    let shipped = chances(&session);
    let touch = Act::Touch { touch: Some(TouchLengths { shortest_s: 0.0005, longest_s: 0.02 }) };
    session.take(vec![event(3, &touch)]).unwrap();
    let brief = chances(&session);
    assert_eq!(brief.len(), shipped.len(), "the points hang on the circuit's wires alone");
    assert!(brief.iter().zip(&shipped).all(|(brief, shipped)| brief.id == shipped.id));
    assert!(brief.iter().zip(&shipped).any(|(brief, shipped)| (brief.probability - shipped.probability).abs() > 1e-4));
    session.take(vec![event(4, &Act::TakenBack { event: id(3) })]).unwrap();
    assert_eq!(chances(&session), shipped);
}

#[test]
fn a_load_that_is_entered_again_keeps_its_place_in_the_list() {
    let mut bigger = load("l1");
    bigger.kind = Some(LoadKind::Heater);
    let job = job_of(&[Act::Load(load("l1")), Act::Load(load("l2")), Act::Load(bigger.clone())]);
    assert_eq!(job.circuit.unwrap().loads, [bigger, load("l2")]);
}

#[test]
fn a_load_that_is_taken_off_takes_its_wires_along_and_is_remembered() {
    let circuit = serde_json::from_value(json!({
        "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 15 },
        "joints": [{ "id": "s1" }],
        "runs": [
            { "id": "r1", "from": "fuse", "to": "s1" },
            { "id": "r2", "from": "s1", "to": "l1.feed" },
            { "id": "r3", "from": "l1.return", "to": "ground" }
        ],
        "loads": [{ "id": "l1", "label": "Rear wiper" }, { "id": "l2", "feed": "s1", "return": "ground" }],
        "marks": [{ "id": "m1", "run": "r2", "at_m": 0.1, "kind": "edge" }, { "id": "m2", "run": "r1", "at_m": 0.1, "kind": "wet" }]
    }))
    .unwrap();
    let taken = [Act::Circuit { circuit: Box::new(circuit), shelved: None }, Act::LoadRemoved { load: "l1".into() }];
    let job = job_of(&taken);
    let circuit = job.circuit.unwrap();
    let left: Vec<&str> = circuit.runs.iter().map(|run| run.id.as_str()).collect();
    assert_eq!((left, circuit.marks.len(), circuit.loads.len()), (vec!["r1"], 1, 1));
    assert_eq!(job.struck_out[&"l1".into()].label, "Rear wiper");
}

/// Two loads that are wired, one that is not, and one that an event of its own put on the list.
fn wired() -> [Event; 2] {
    let circuit = serde_json::from_value(json!({
        "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 15 },
        "joints": [{ "id": "s1" }],
        "runs": [
            { "id": "r1", "from": "fuse", "to": "s1" },
            { "id": "r2", "from": "s1", "to": "l1.feed" },
            { "id": "r3", "from": "l1.return", "to": "l2.return" },
            { "id": "r4", "from": "s1", "to": "l2.feed" },
            { "id": "r5", "from": "l2.return", "to": "ground" }
        ],
        "switches": [{ "id": "w1", "from": "s1", "to": "l1.feed", "closed_when": ["key_on"] }],
        "loads": [{ "id": "l1" }, { "id": "l2" }, { "id": "l3" }]
    }))
    .unwrap();
    let load = serde_json::from_value(json!({ "id": "l4" })).unwrap();
    [event(1, &Act::Circuit { circuit: Box::new(circuit), shelved: None }), event(2, &Act::Load(load))]
}

/// What changes that circuit on a phone that knows of nothing else.
fn any_edit() -> impl Strategy<Value = Act> {
    let load = || prop_oneof![Just("l1"), Just("l2"), Just("l4")];
    let run = ["r1", "r2", "r3", "r4", "r5", "assumed:l1.feed", "assumed:l3.return", "assumed:l4.feed"];
    let mark = || prop_oneof![Just("m1"), Just("m2")];
    prop_oneof![
        load().prop_map(|id| Act::Load(serde_json::from_value(json!({ "id": id, "amps": 3 })).unwrap())),
        load().prop_map(|load| Act::LoadRemoved { load: load.into() }),
        (mark(), prop::sample::select(run.to_vec())).prop_map(|(id, run)| Act::Mark(Mark {
            id: id.into(),
            place: MarkPlace::Run { run: run.into(), at_m: 0.0 },
            kind: MarkKind::Edge,
            note: String::new()
        })),
        mark().prop_map(|mark| Act::MarkRemoved { mark: mark.into() }),
        Just(Act::TakenBack { event: id(2) }),
        Just(Act::Option { option: "tow".into(), state: OptionState::Absent, why: String::new() }),
    ]
}

/// The edits that each phone made of those that it was about to make: what makes no sense there is refused.
fn on_a_phone(edits: &[(bool, Act)], phone: bool) -> Vec<Event> {
    let mut log = Log::of(wired()).unwrap();
    let mut made = Vec::new();
    for ((_, act), n) in edits.iter().zip(3..).filter(|((of, _), _)| *of == phone) {
        if may(&Job::fold(JOB, &log), act).is_ok() {
            log.union([event(n, act)]).unwrap();
            made.push(event(n, act));
        }
    }
    made
}

fn sound(events: impl IntoIterator<Item = Event>) -> Result<(), String> {
    let job = Job::fold(JOB, &Log::of(events).unwrap());
    check::validate(&job.circuit.unwrap()).map_err(|error| error.to_string())
}

proptest! {
    #[test]
    fn what_two_phones_did_to_a_sound_circuit_each_by_itself_is_sound_together(
        edits in proptest::collection::vec((any::<bool>(), any_edit()), 0..16)
    ) {
        let [one, other] = [true, false].map(|phone| on_a_phone(&edits, phone));
        for alone in [&one, &other] {
            prop_assert_eq!(sound(wired().into_iter().chain(alone.clone())), Ok(()));
        }
        prop_assert_eq!(sound(wired().into_iter().chain(one).chain(other)), Ok(()));
    }
}

#[test]
fn a_load_that_comes_back_brings_back_its_wiring_and_the_marks_on_it() {
    let mark = |id: &str, run: &str| {
        let place = MarkPlace::Run { run: run.into(), at_m: 0.0 };
        Act::Mark(Mark { id: id.into(), place, kind: MarkKind::Edge, note: String::new() })
    };
    let job = |acts: &[Act]| {
        let later = acts.iter().zip(3..).map(|(act, n)| event(n, act));
        Job::fold(JOB, &Log::of(wired().into_iter().chain(later)).unwrap())
    };
    let back = |id: &str| Act::Load(serde_json::from_value(json!({ "id": id })).unwrap());
    let off = |id: &str| Act::LoadRemoved { load: id.into() };
    let all = |job: &Job| {
        let circuit = job.circuit.as_ref().unwrap();
        let mut ids: Vec<String> = circuit.runs.iter().map(|run| run.id.to_string()).collect();
        ids.extend(circuit.switches.iter().map(|switch| switch.id.to_string()));
        ids.extend(circuit.marks.iter().map(|mark| mark.id.to_string()));
        ids.sort();
        ids.join(" ")
    };
    let begun = [mark("m1", "r2"), mark("m2", "assumed:l4.feed")];
    let whole = "m1 m2 r1 r2 r3 r4 r5 w1";
    assert_eq!(all(&job(&begun)), whole);
    let off_both = [begun.as_slice(), &[off("l1"), off("l2")]].concat();
    assert_eq!(all(&job(&off_both)), "m2 r1");
    // A wire between the two comes back with the second.
    assert_eq!(all(&job(&[off_both.as_slice(), &[back("l1")]].concat())), "m1 m2 r1 r2 w1");
    assert_eq!(all(&job(&[off_both.as_slice(), &[back("l1"), back("l2")]].concat())), whole);
    // Marked on another phone while it was off; taken off there meanwhile.
    let marked = [off_both.as_slice(), &[mark("m3", "r4"), Act::MarkRemoved { mark: "m1".into() }]].concat();
    assert_eq!(all(&job(&marked)), "m2 r1");
    assert_eq!(job(&marked).set_aside.marks.len(), 1, "kept, and not lost");
    let take_off = |mark: &str| Act::MarkRemoved { mark: mark.into() };
    assert_eq!(may(&job(&marked), &take_off("m3")), Ok(()), "it can be taken off as it lies there");
    assert!(may(&job(&marked), &take_off("m1")).is_err());
    assert_eq!(job(&[marked.as_slice(), &[take_off("m3")]].concat()).set_aside.marks, []);
    assert_eq!(all(&job(&[marked.as_slice(), &[back("l2"), back("l1")]].concat())), "m2 m3 r1 r2 r3 r4 r5 w1");
}

/// A load that hangs behind another one: by a wire to its terminal, or by naming the joint.
fn behind_another(load: serde_json::Value, run: Option<serde_json::Value>) -> Act {
    let runs = [
        json!({ "id": "r1", "from": "fuse", "to": "a.feed" }),
        json!({ "id": "r2", "from": "a.feed", "to": "j1", "colour": "BK/YE" }),
    ];
    let circuit = serde_json::from_value(json!({
        "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 15 },
        "joints": [{ "id": "j1" }], "runs": runs.into_iter().chain(run).collect::<Vec<_>>(),
        "loads": [{ "id": "a" }, load, { "id": "c" }]
    }));
    Act::Circuit { circuit: Box::new(circuit.unwrap()), shelved: None }
}

#[test]
fn a_load_that_hangs_behind_one_that_is_struck_keeps_its_wiring_and_the_break_is_told() {
    let wire = json!({ "id": "r3", "from": "j1", "to": "b.feed", "colour": "GN" });
    for whole in
        [behind_another(json!({ "id": "b" }), Some(wire)), behind_another(json!({ "id": "b", "feed": "j1" }), None)]
    {
        let error = |acts: &[Act]| {
            let acts = [std::slice::from_ref(&whole), acts].concat();
            check::validate(&job_of(&acts).circuit.unwrap()).map_err(|error| error.to_string())
        };
        let off = |load: &str| Act::LoadRemoved { load: load.into() };
        assert_eq!(error(&[]), Ok(()));
        let told = error(&[off("a")]).unwrap_err();
        assert!(told.contains("no way leads from the fuse to") && told.contains("j1"), "{told}");
        assert_eq!(error(&[off("a"), off("b")]), Ok(()), "nothing needs the joint then");
        // With it all comes back that hung on it.
        let back = job_of(&[whole.clone(), off("a"), off("b"), Act::Load(load("b")), Act::Load(load("a"))]);
        assert_eq!(back.circuit.as_ref().map(|circuit| circuit.joints.len()), Some(1));
        assert!(back.set_aside.is_empty(), "{:?}", back.set_aside);
    }
}

#[test]
fn the_walk_knows_what_is_open_what_is_out_of_reach_and_what_comes_first() {
    let reach = |point: &str| Act::CannotReach { point: point.into(), why: "seized bolt".into() };
    let first = |point: &str| Act::DoFirst { point: point.into() };
    let open = |open| Act::Access { access: "access:raise".into(), open };
    let walk = job_of(&[open(true), reach("point:a"), first("point:b")]).walk();
    assert_eq!(walk.open, ["access:raise".into()].into());
    assert_eq!(walk.out_of_reach, ["point:a".into()].into());
    assert_eq!(walk.first, Some("point:b".into()));

    // Looked at: no longer asked for. Asked for: reachable again. Closed again: not open.
    let done = [open(true), reach("point:a"), first("point:a"), look("point:a", Seen::Sound), open(false)];
    assert_eq!(job_of(&done).walk(), loomwalk::search::plan::Walk::default());
    // A place that could not be seen is still out of reach, and was not looked at.
    let unseen = job_of(&[reach("point:a"), look("point:a", Seen::NotSeen)]);
    let looked = |acts: &[Act]| {
        let events = acts.iter().zip(1..).map(|(act, n)| event(n, act));
        Session::open(JOB, Log::of(events).unwrap()).progress().looked
    };
    assert_eq!(looked(&[look("point:a", Seen::NotSeen), look("point:b", Seen::Sound)]), 1);
    assert_eq!(looked(&[look("point:a", Seen::Sound), look("point:a", Seen::NotSeen)]), 1, "what was seen was seen");
    assert_eq!(unseen.walk().out_of_reach, ["point:a".into()].into());
}

#[test]
fn a_further_act_goes_on_from_what_is_still_being_kept() {
    let session = Session::open(JOB, Log::of([event(1, &fuse())]).unwrap());
    let keeping = [
        event(2, &Act::Concern(Concern { words: "Lamps die".into(), ..Concern::default() })),
        event(3, &look("point:a", Seen::Bare)),
    ];
    let ahead = session.ahead(&keeping);
    assert_eq!(ahead.concern.words, "Lamps die");
    assert_eq!(ahead.points[&"point:a".into()].seen(), Some(Seen::Bare));
    assert_eq!(session.job.concern.words, "", "what is shown is only what was kept");
    // One of them was kept meanwhile; one takes back what is still on its way.
    let session = Session::open(JOB, Log::of([event(1, &fuse()), keeping[0].clone()]).unwrap());
    let taken_back = event(4, &Act::TakenBack { event: id(3) });
    let ahead = session.ahead(keeping.iter().chain([&taken_back]));
    assert!(ahead.points.is_empty());
    assert_eq!(ahead.concern.words, "Lamps die");
}

#[test]
fn of_what_another_program_has_drawn_only_what_can_be_drawn_counts() {
    let ring = |radius: f64| Stroke::Ring { at: Spot { x: 0.5, y: 0.5 }, radius };
    let drawn = Act::Drawn { photo: id(1), strokes: vec![ring(0.1), ring(1e300)] };
    let job = job_of(&[Act::Photo(lie_photo("point:a")), drawn.clone()]);
    assert_eq!(job.drawings[&id(1)], [ring(0.1)]);
    // And here nobody draws such a thing, nor on what is no photograph.
    assert_eq!(may(&job, &drawn), Err(loomwalk::job::Refusal::Drawing));
    let elsewhere = Act::Drawn { photo: id(2), strokes: vec![ring(0.1)] };
    assert_eq!(may(&job, &elsewhere), Err(loomwalk::job::Refusal::NoSuchPhoto));
}

#[test]
fn what_was_taken_back_at_a_place_can_be_brought_back_once() {
    let note = |text: &str| Act::Note { point: Some("point:a".into()), text: text.into() };
    let elsewhere = Act::Note { point: Some("point:b".into()), text: "b".into() };
    let photo = Act::Photo(lie_photo("point:a"));
    let kept = || TakenBack::Photo(lie_photo("point:a"));
    let one = || TakenBack::Note("point:a".into(), "one".into());
    let back = |n: u16| Act::TakenBack { event: id(n) };
    let taken_back = |acts: &[Act]| {
        let log = Log::of(acts.iter().zip(1..).map(|(act, n)| event(n, act))).unwrap();
        taken_back_at(&Job::fold(JOB, &log), &log, &"point:a".into())
    };
    let mut acts = vec![photo.clone(), note("one"), look("point:a", Seen::Sound), elsewhere];
    acts.extend([back(1), back(2), back(3), back(4)]);
    assert_eq!(taken_back(&acts), [(id(1), kept()), (id(2), one())]);
    // Brought back, and taken back anew: once only.
    acts.push(photo);
    assert_eq!(taken_back(&acts), [(id(2), one())]);
    acts.push(back(9));
    assert_eq!(taken_back(&acts), [(id(1), kept()), (id(2), one())]);
    // The one on which something was drawn is brought back, the drawing with it.
    let with = |of: &[u16]| {
        let drawn = of.iter().map(|n| Act::Drawn { photo: id(*n), strokes: vec![] });
        taken_back(&acts.iter().cloned().chain(drawn).collect::<Vec<_>>())[0].0
    };
    assert_eq!((with(&[1]), with(&[9]), with(&[1, 9])), (id(1), id(9), id(9)));
    // Another phone said the same.
    acts.push(note("one"));
    assert_eq!(taken_back(&acts).len(), 1);
}

#[test]
fn what_was_drawn_goes_again_with_the_photograph_that_was_brought_back_with_it() {
    let photo = Act::Photo(lie_photo("point:a"));
    let drawn = Act::Drawn { photo: id(1), strokes: vec![] };
    let together = |seconds: u16| {
        let drawn_at = Event::new(id(2), at(1 + seconds), DeviceId(Uuid::from_u128(1)), &drawn);
        let session = Session::open(JOB, Log::of([event(1, &photo), drawn_at]).unwrap());
        at_one_tap(&session, id(2), &drawn)
    };
    assert_eq!(together(0), [id(2), id(1)]);
    assert_eq!(together(60), [id(2)], "drawn later, it goes alone");
    // The photograph was taken back by its own key: to take it back again would be refused, and the drawing with it.
    let drawn_then = Event::new(id(2), at(1), DeviceId(Uuid::from_u128(1)), &drawn);
    let back = event(3, &Act::TakenBack { event: id(1) });
    let session = Session::open(JOB, Log::of([event(1, &photo), drawn_then, back]).unwrap());
    assert_eq!(at_one_tap(&session, id(2), &drawn), [id(2)]);
}

#[test]
fn a_photograph_as_it_lay_that_was_brought_back_opens_the_lift_again() {
    let photo = Act::Photo(lie_photo("point:a"));
    let back = Act::TakenBack { event: id(1) };
    let may_lift = |acts: &[Act]| job_of(acts).points.get(&"point:a".into()).is_some_and(|state| state.may_lift());
    assert!(!may_lift(&[photo.clone(), back.clone()]));
    assert!(may_lift(&[photo.clone(), back, photo]));
}
