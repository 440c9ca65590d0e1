//! What do marks do? On runs, at passages and all over zones: to the chances, the reasons, and what is said of them.
use chrono::{DateTime, Utc};
use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::{CircuitFile, Mark, MarkKind, MarkPlace, OptionState};
use loomwalk::ids::{DeviceId, EventId, JobId, PointId};
use loomwalk::job::event::Event;
use loomwalk::job::log::Log;
use loomwalk::job::marking::{self, KINDS, Spot, Tap};
use loomwalk::job::session::Session;
use loomwalk::job::{Act, strike};
use loomwalk::search::likelihood::tables;
use loomwalk::search::point::{PointKind, points};
use loomwalk::vehicle::body;
use uuid::Uuid;

const VAN: &str = r#"{ "format": "loomwalk/circuit", "version": 1, "vehicle": { "body": "panel_van" },
    "fuse": { "label": "F23", "rating_a": 15 },
    "loads": [{ "id": "plate", "item": "plate_lamp_left", "zone": "rear_closure" },
              { "id": "lamp", "item": "load_area_lamp_left", "zone": "load_area_left" }] }"#;

fn circuit() -> CircuitFile {
    check::read(VAN.as_bytes()).unwrap()
}

/// A job in which those acts were done, one after another.
fn session(acts: Vec<Act>) -> Session {
    let opening = [Act::JobOpened { practice: false }, Act::Circuit { circuit: Box::new(circuit()), shelved: None }];
    let mut session = Session::open(JobId(Uuid::from_u128(1)), Log::default());
    for act in opening.into_iter().chain(acts) {
        act_in(&mut session, act);
    }
    session
}

fn act_in(session: &mut Session, act: Act) {
    loomwalk::job::may(&session.job, &act).unwrap();
    let id = EventId(Uuid::from_u128(100 + session.log.len() as u128));
    let at = DateTime::<Utc>::UNIX_EPOCH;
    session.take(vec![Event::new(id, at, DeviceId(Uuid::from_u128(7)), &act)]).unwrap();
}

fn tap(session: &mut Session, spot: &Spot, kind: MarkKind) -> (Tap, Option<String>) {
    let ready = session.ready().unwrap();
    let before = marking::chance(ready, spot);
    let fresh = format!("mark_{}", session.log.len()).as_str().into();
    let acts = marking::toggled(&session.job, ready, &marking::place(ready, spot).unwrap(), kind, fresh);
    let mark = match acts.last().unwrap() {
        Act::Mark(mark) => mark.id.clone(),
        Act::MarkRemoved { mark } => mark.clone(),
        other => panic!("{other:?}"),
    };
    acts.into_iter().for_each(|act| act_in(session, act));
    let tap = Tap { kind, mark, before };
    let told = marking::told(session, spot, &tap);
    (tap, told)
}

fn ids(session: &Session) -> Vec<PointId> {
    session.ready().unwrap().plan.points.iter().map(|point| point.id.clone()).collect()
}

fn chances(session: &Session) -> Vec<f64> {
    session.ready().unwrap().plan.points.iter().map(|point| point.probability).collect()
}

const BOOT: &str = "point:passage:boot_rear_left";

#[test]
fn a_mark_at_a_passage_weighs_that_place_and_is_said_and_taken_off_again() {
    let spot = Spot::Point(BOOT.into());
    let mut session = session(Vec::new());
    let (points, before) = (ids(&session), chances(&session));
    let (_, told) = tap(&mut session, &spot, MarkKind::NoGrommet);
    // A mark at a passage makes no point, and multiplies odds against the other points by its factor.
    assert_eq!(ids(&session), points);
    let at = points.iter().position(|id| id.as_str() == BOOT).unwrap();
    let listed: f64 = before.iter().sum();
    let (weight, rest) = (before[at] * tables().mark.no_grommet, listed - before[at]);
    let expected = listed * weight / (weight + rest);
    assert!((chances(&session)[at] - expected).abs() < 1e-9);
    let percent = |chance: f64| format!("{:.0} %", chance * 100.0);
    let words = format!("No grommet ×8: this place goes from {} to {}.", percent(before[at]), percent(expected));
    assert_eq!(told.as_deref(), Some(words.as_str()));
    let step = session.ready().unwrap().plan.steps.iter().find(|step| step.id == BOOT).unwrap().clone();
    assert_eq!(step.why[0], "marked: grommet missing ×8");
    let (_, told) = tap(&mut session, &spot, MarkKind::NoGrommet);
    let words = format!("No grommet taken off: this place goes from {} to {}.", percent(expected), percent(before[at]));
    assert_eq!(told.as_deref(), Some(words.as_str()));
    assert!(session.job.circuit.as_ref().unwrap().marks.is_empty());
    assert_eq!(chances(&session), before);
}

#[test]
fn a_mark_all_over_a_zone_weighs_each_place_in_it_once_however_often_it_is_set() {
    let zone = |id: &str, kind| {
        Act::Mark(Mark { id: id.into(), place: MarkPlace::Zone("load_area_left".into()), kind, note: String::new() })
    };
    let once = session(vec![zone("m1", MarkKind::Wet)]);
    let twice = session(vec![zone("m1", MarkKind::Wet), zone("m2", MarkKind::Wet)]);
    assert_eq!(chances(&once), chances(&twice));
    let plain = session(Vec::new());
    assert_eq!(ids(&once), ids(&plain));
    let marked = once.ready().unwrap().search.points().iter().map(|point| (point.zone.as_str(), &point.marks));
    for (at, (zone, marks)) in marked.enumerate() {
        assert_eq!(marks.as_slice() == [MarkKind::Wet], zone == "load_area_left");
        assert_eq!(chances(&once)[at] > chances(&plain)[at], zone == "load_area_left", "{zone}");
    }
}

#[test]
fn a_mark_on_the_wire_of_a_load_is_a_place_of_its_own_at_that_load() {
    let mut session = session(Vec::new());
    let spot = Spot::Wire("plate".into());
    let points = ids(&session);
    let (_, told) = tap(&mut session, &spot, MarkKind::Edge);
    assert!(told.unwrap().starts_with("Edge ×6: the places on this wire go from "));
    let new: Vec<PointId> = ids(&session).into_iter().filter(|id| !points.contains(id)).collect();
    let [id] = new.as_slice() else { panic!("{new:?}") };
    assert!(id.as_str().starts_with("point:assumed:plate.feed@"), "{id}");
    let ready = session.ready().unwrap();
    let point = ready.point(id).unwrap();
    assert_eq!((point.zone.as_str(), &point.kind), ("rear_closure", &PointKind::Mark(vec![MarkKind::Edge])));
    // A further mark there joins it; the file that is saved is sound; the load takes its marks along when it goes.
    tap(&mut session, &Spot::Point(id.clone()), MarkKind::Wet);
    let kinds = |session: &Session| session.job.circuit.as_ref().unwrap().marks.len();
    assert_eq!((kinds(&session), ids(&session).len()), (2, points.len() + 1));
    let text = serde_json::to_vec(session.job.circuit.as_ref().unwrap()).unwrap();
    assert_eq!(check::read(&text).unwrap(), *session.job.circuit.as_ref().unwrap());
    act_in(&mut session, Act::LoadRemoved { load: "plate".into() });
    assert_eq!(kinds(&session), 0);
}

#[test]
fn what_was_said_of_a_mark_goes_once_something_else_was_done() {
    let mut session = session(Vec::new());
    let spot = Spot::Zone("load_area_left".into());
    for kind in KINDS {
        let (tapped, told) = tap(&mut session, &spot, kind);
        assert!(told.unwrap().starts_with(marking::short(kind)));
        act_in(&mut session, Act::Note { point: None, text: "looked in".to_owned() });
        assert_eq!(marking::told(&session, &spot, &tapped), None);
    }
    assert_eq!(session.job.circuit.as_ref().unwrap().marks.len(), KINDS.len());
}

#[test]
fn a_mark_that_is_no_place_or_two_is_refused_with_its_field() {
    let wrong = |mark: &str| {
        let text = VAN.replacen(
            "\"loads\"",
            &format!("\"marks\": [{{ \"id\": \"m\", \"kind\": \"edge\"{mark} }}], \"loads\""),
            1,
        );
        check::read(text.as_bytes()).unwrap_err().to_string()
    };
    expect_test::expect![[r#"
        /marks/0/run: it is missing; name a run and `at_m`, or a `passage`, or a `zone`
        /marks/0/at_m: it is missing; say how far along the run it is
        /marks/0/run: it is missing; name the run that `at_m` is on
        /marks/0/zone: it is given beside another place; a mark is on a run with `at_m`, at a `passage` or all over a `zone`: leave the others out
        /marks/0/passage: it is given beside another place; a mark is on a run with `at_m`, at a `passage` or all over a `zone`: leave the others out
        /marks/0/zone: it is empty; give it a name
        /marks/0/run: there is no run "assumed:nobody.feed"; name the id of a run in this file"#]]
    .assert_eq(
        &[
            "",
            r#", "run": "r1""#,
            r#", "at_m": 1"#,
            r#", "zone": "tail_left", "at_m": 1"#,
            r#", "passage": "boot_rear_left", "run": "r1", "at_m": 1"#,
            r#", "zone": """#,
            r#", "run": "assumed:nobody.feed", "at_m": 0.1"#,
        ]
        .map(wrong)
        .join("\n"),
    );
    let event = serde_json::json!({ "id": "m", "kind": "edge", "zone": "tail_left", "passage": "boot_rear_left" });
    assert!(serde_json::from_value::<Mark>(event).is_err());
}

#[test]
fn a_mark_lies_where_its_metres_of_the_wire_lie_though_the_stretches_sum_up_to_another_length() {
    let places = |length: &str, marks: [f64; 2]| {
        let marks = marks.map(|at| format!(r#"{{ "id": "m{at}", "run": "r1", "at_m": {at}, "kind": "edge" }}"#));
        let text = format!(
            r#"{{ "format": "loomwalk/circuit", "version": 1, "vehicle": {{ "body": "panel_van" }}, "fuse": {{ "rating_a": 10 }},
                "runs": [{{ "id": "r1", "from": "fuse", "to": "l1.feed", {length} "area_mm2": 0.5,
                            "path": [{{ "zone": "dash_left", "m": 1.0 }}, {{ "zone": "sill_left", "m": 1.0 }}] }}],
                "loads": [{{ "id": "l1", "watts": 5, "return": "ground", "zone": "sill_left" }}], "marks": [{}] }}"#,
            marks.join(",")
        );
        let circuit = check::read(text.as_bytes()).unwrap();
        let map = body::fit(&circuit.vehicle);
        let harness = expand(&circuit, &map);
        let there = points(&harness, &map.map).into_iter().filter(|point| matches!(point.kind, PointKind::Mark(_)));
        let mut told: Vec<_> =
            there.map(|point| (point.id.to_string(), point.zone.to_string(), point.crossings[0].at)).collect();
        told.sort_by(|one, other| one.0.cmp(&other.0));
        told
    };
    let told = |id: &str, zone: &str, at: f64| (id.to_owned(), zone.to_owned(), at);
    assert_eq!(
        places(r#""length_m": 4.0,"#, [1.0, 3.0]),
        [told("point:r1@1", "dash_left", 0.25), told("point:r1@3", "sill_left", 0.75)]
    );
    assert_eq!(places("", [1.0, 1.5]), [told("point:r1@1", "dash_left", 0.5), told("point:r1@1.5", "sill_left", 0.75)]);
}

#[test]
fn a_group_is_struck_out_with_its_reason_and_put_back() {
    let text = r#"{ "format": "loomwalk/circuit", "version": 1, "fuse": { "label": "F3", "rating_a": 20 }, "loads": [
        { "id": "front", "item": "lock_front_left", "option": "central_locking" },
        { "id": "rear", "item": "lock_rear_left", "option": "central_locking" },
        { "id": "wiper", "item": "wiper_rear", "option": "rear_wiper" }, { "id": "other", "watts": 5 }] }"#;
    let circuit = check::read(text.as_bytes()).unwrap();
    let mut session = session(vec![Act::Circuit { circuit: Box::new(circuit), shelved: None }]);
    let labels = |session: &Session| {
        let offered = strike::offered(session.job.circuit.as_ref().unwrap());
        offered.iter().map(|offer| (offer.group.id.clone(), offer.struck)).collect::<Vec<_>>()
    };
    let named = |id: &str, struck| (id.to_owned(), struck);
    assert_eq!(
        labels(&session),
        [named("no_rear_wiper", false), named("locks_by_key", false), named("two_doors", false)]
    );
    let group = |id: &str| loomwalk::catalogue::groups::groups().iter().find(|group| group.id == id).unwrap();
    // A load that goes by its kind gets an option of its own: the front lock stays.
    let toggle = |session: &mut Session, id: &str| {
        strike::toggled(&session.job, group(id)).into_iter().for_each(|act| act_in(session, act));
    };
    let state = |session: &Session, load: &str| {
        let circuit = session.job.circuit.as_ref().unwrap();
        let load = circuit.loads.iter().find(|known| known.id.as_str() == load).unwrap();
        circuit.state_of(load)
    };
    toggle(&mut session, "two_doors");
    assert_eq!((state(&session, "rear"), state(&session, "front")), (OptionState::Absent, OptionState::Fitted));
    toggle(&mut session, "no_rear_wiper");
    assert_eq!(session.job.option_why[&"rear_wiper".into()], group("no_rear_wiper").why);
    assert_eq!(state(&session, "wiper"), OptionState::Absent);
    for id in ["two_doors", "no_rear_wiper"] {
        toggle(&mut session, id);
    }
    assert!(["front", "rear", "wiper"].iter().all(|load| state(&session, load) == OptionState::Fitted));
    assert!(session.job.option_why.is_empty() && labels(&session).iter().all(|(_, struck)| !struck));
    let options =
        session.job.circuit.as_ref().unwrap().loads.iter().map(|load| load.option.clone()).collect::<Vec<_>>();
    assert_eq!(options[1], Some("central_locking".into()));
}

#[test]
fn a_load_that_names_only_its_kind_is_there_or_not_by_the_option_of_that_kind() {
    let text = r#"{ "format": "loomwalk/circuit", "version": 1, "fuse": { "label": "F3", "rating_a": 20 },
        "vehicle": { "options": { "rear_wiper": "absent", "central_locking": "absent" } },
        "loads": [{ "id": "wiper", "item": "wiper_rear" }, { "id": "lock", "item": "lock_rear_left" }, { "id": "other", "watts": 5 }] }"#;
    let circuit = check::read(text.as_bytes()).unwrap();
    let states = |circuit: &CircuitFile| circuit.loads.iter().map(|load| circuit.state_of(load)).collect::<Vec<_>>();
    let (absent, fitted) = (OptionState::Absent, OptionState::Fitted);
    assert_eq!(states(&circuit), [absent, absent, fitted]);
    let harness = expand(&circuit, &body::fit(&circuit.vehicle));
    assert_eq!(harness.loads.iter().map(|load| load.id.as_str()).collect::<Vec<_>>(), ["other"]);
    let mut session = session(vec![Act::Circuit { circuit: Box::new(circuit), shelved: None }]);
    let circuit = |session: &Session| session.job.circuit.clone().unwrap();
    let struck = |session: &Session| {
        let offered = strike::offered(&circuit(session));
        offered.iter().map(|offer| (offer.group.id.clone(), offer.struck)).collect::<Vec<_>>()
    };
    let named = |id: &str, struck| (id.to_owned(), struck);
    assert_eq!(struck(&session), [named("no_rear_wiper", true), named("locks_by_key", true), named("two_doors", true)]);
    let toggle = |session: &mut Session, id: &str| {
        let group = loomwalk::catalogue::groups::groups().iter().find(|group| group.id == id).unwrap();
        strike::toggled(&session.job, group).into_iter().for_each(|act| act_in(session, act));
    };
    toggle(&mut session, "no_rear_wiper");
    assert_eq!(states(&circuit(&session)), [fitted, absent, fitted]);
    // By its kind: this lock is there, and the others of its option are not.
    toggle(&mut session, "two_doors");
    assert_eq!(states(&circuit(&session)), [fitted, fitted, fitted]);
    assert_eq!(circuit(&session).vehicle.options[&"central_locking".into()], absent);
}

#[test]
fn every_group_names_what_the_catalogue_knows_once() {
    use loomwalk::catalogue::groups::groups;
    use loomwalk::catalogue::{item, items};
    let known = |option| items().iter().any(|item| item.option.as_ref() == Some(option));
    for group in groups() {
        assert!(!group.options.is_empty() || !group.items.is_empty(), "{}", group.id);
        assert!(group.options.iter().chain(&group.brings).all(known), "{}", group.id);
        assert!(group.items.iter().all(|id| item(id).is_some()), "{}", group.id);
        assert_eq!(groups().iter().filter(|other| other.id == group.id || other.label == group.label).count(), 1);
    }
}
