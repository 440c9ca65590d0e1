//! A hard short cornered by unplugging, told through a job's log: each answer moves the next plug, and can be taken back.

use chrono::DateTime;
use loomwalk::circuit::unplug::Unplugged;
use loomwalk::ids::{DeviceId, EventId, IdMaker, JobId};
use loomwalk::job::act::{Concern, FreshFuse};
use loomwalk::job::corner::{Corner, corner};
use loomwalk::job::session::Session;
use loomwalk::job::{Act, Event, Log};
use uuid::Uuid;

const CIRCUIT: &str = include_str!("../assets/demo/van.circuit.json");

/// A job on the practice van, and a way to act in it.
struct Told {
    session: Session,
    ids: IdMaker,
}

impl Told {
    fn new() -> Self {
        let mut told = Self { session: Session::open(JobId(Uuid::nil()), Log::default()), ids: IdMaker::default() };
        told.act(&Act::JobOpened { practice: true });
        told.act(&Act::Circuit { circuit: serde_json::from_str(CIRCUIT).unwrap(), shelved: None });
        told
    }

    fn act(&mut self, act: &Act) -> EventId {
        let at = DateTime::from_timestamp(1_770_000_000, 0).unwrap();
        let id = EventId(self.ids.make(at, [7; 10]));
        self.session.take(vec![Event::new(id, at, DeviceId(Uuid::nil()), act)]).unwrap();
        id
    }

    fn answer(&mut self, what: &Unplugged, blew: bool) -> EventId {
        let (node, load) = match what {
            Unplugged::Node(node) => (Some(node.clone()), None),
            Unplugged::Load(load) => (None, Some(load.clone())),
        };
        self.act(&Act::Unplugged { node, load, blew, state: Vec::new(), minutes: 1.0 })
    }

    fn stands(&self) -> Corner {
        corner(&self.session).unwrap()
    }
}

fn sum(corner: &Corner) -> f64 {
    corner.left.iter().map(|left| left.chance).sum()
}

#[test]
fn chances_sum_to_one_and_the_next_plug_tells_something() {
    let stands = Told::new().stands();
    let next = stands.next.as_ref().unwrap();
    assert!((sum(&stands) - 1.0).abs() < 1e-9);
    assert!(next.gone > 0.0 && next.gone < 1.0, "{next:?}");
    assert!(next.minutes >= 2.0 && !next.label.is_empty());
    assert!(stands.left.is_sorted_by(|one, other| one.chance >= other.chance));
}

#[test]
fn where_a_fresh_fuse_opens_at_once_that_it_is_gone_leads_the_walk_to_what_was_unplugged() {
    // Behind the rear-door connector: the wires in the rear doors and the boot.
    let chances = |fresh_fuse: FreshFuse| {
        let mut told = Told::new();
        told.act(&Act::Concern(Concern { fresh_fuse, ..Concern::default() }));
        told.answer(&Unplugged::Node("c2".into()), false);
        let plan = &told.session.ready().unwrap().plan;
        let chance = |id: &str| plan.points.iter().find(|point| point.id.as_str() == id).unwrap().probability;
        (chance("point:zone:rear_closure"), chance("point:zone:load_area_left"))
    };
    let (behind, before) = chances(FreshFuse::OpensAtOnce);
    assert!(behind > 0.2 && before < 0.02, "{behind} behind it, {before} before it");
    // Of a fuse that opens now and then, a minute without an opening says next to nothing.
    let (behind, before) = chances(FreshFuse::Holds);
    assert!(behind < before, "{behind} behind it, {before} before it");
}

#[test]
fn each_answer_leaves_fewer_places_until_no_plug_tells_any_more() {
    for blew in [true, false] {
        let mut told = Told::new();
        let mut left = told.stands().left.len();
        for _ in 0..100 {
            let stands = told.stands();
            let Some(next) = stands.next else { break };
            told.answer(&next.what, blew);
            let now = told.stands();
            assert!(
                now.left.len() < left && now.contradiction.is_none(),
                "{} of {left} after {next:?}",
                now.left.len()
            );
            assert!((sum(&now) - 1.0).abs() < 1e-9);
            left = now.left.len();
        }
        assert!(told.stands().next.is_none(), "an end is reached");
    }
}

#[test]
fn an_answer_that_is_taken_back_counts_no_more() {
    let mut told = Told::new();
    let before = told.stands();
    let event = told.answer(&before.next.as_ref().unwrap().what, false);
    assert_ne!(told.stands(), before);
    told.act(&Act::TakenBack { event });
    assert_eq!(told.stands(), before);
}

#[test]
fn answers_that_cannot_all_be_true_are_said_and_leave_places_to_look() {
    let mut told = Told::new();
    let first = told.stands().next.unwrap();
    told.answer(&first.what, false);
    told.answer(&first.what, true);
    let stands = told.stands();
    assert!(stands.contradiction.is_some());
    assert!(!stands.left.is_empty());
}

#[test]
fn that_it_held_while_the_short_still_came_and_went_proves_nothing_once_it_is_there_for_good() {
    let says = |fresh_fuse| Act::Concern(Concern { fresh_fuse, ..Concern::default() });
    let mut told = Told::new();
    told.act(&says(FreshFuse::Holds));
    let what = told.stands().next.unwrap().what;
    told.answer(&what, false);
    told.act(&says(FreshFuse::OpensAtOnce));
    let mut fresh = Told::new();
    assert_eq!(told.stands(), fresh.stands());
    // An answer that came since counts, whatever else of the concern is put right afterwards.
    told.answer(&what, false);
    told.act(&says(FreshFuse::OpensAtOnce));
    fresh.answer(&what, false);
    assert_eq!(told.stands(), fresh.stands());
    // Nor is an answer lost by a wrong tap on the concern that is put right.
    told.act(&says(FreshFuse::Holds));
    told.act(&says(FreshFuse::OpensAtOnce));
    assert_eq!(told.stands(), fresh.stands());
    // What held while the concern said so does not count, whatever counted before.
    told.act(&says(FreshFuse::Holds));
    told.answer(&Unplugged::Load("wiper".into()), false);
    told.act(&says(FreshFuse::OpensAtOnce));
    assert_eq!(told.stands(), fresh.stands());
    // That it opened all the same is as sure in either case.
    let mut told = Told::new();
    told.act(&says(FreshFuse::Holds));
    told.answer(&what, true);
    told.act(&says(FreshFuse::OpensAtOnce));
    let mut fresh = Told::new();
    fresh.answer(&what, true);
    assert_eq!(told.stands(), fresh.stands());
}

#[test]
fn the_same_answer_from_two_phones_contradicts_nothing() {
    let lamp = Unplugged::Load("lamp_left".into());
    for blew in [true, false] {
        let mut told = Told::new();
        told.answer(&lamp, blew);
        let once = told.stands();
        told.answer(&lamp, blew);
        assert_eq!(told.stands(), once, "{blew}");
        told.answer(&lamp, !blew);
        assert!(told.stands().contradiction.is_some(), "{blew}: the other answer does");
    }
}

#[test]
fn an_answer_about_a_load_that_was_struck_off_since_contradicts_nothing() {
    for blew in [true, false] {
        let mut told = Told::new();
        told.answer(&Unplugged::Load("lamp_left".into()), blew);
        told.act(&Act::LoadRemoved { load: "lamp_left".into() });
        assert_eq!(told.stands().contradiction, None, "{blew}");
    }
}

#[test]
fn what_is_open_already_costs_no_minutes_on_the_way() {
    let mut told = Told::new();
    let far = told.stands().next.unwrap();
    let steps: Vec<_> = told.session.ready().unwrap().map.map.access.iter().map(|step| step.id.clone()).collect();
    for access in steps {
        told.act(&Act::Access { access, open: true });
    }
    let open = told.stands().next.unwrap();
    assert_eq!(open.minutes, 2.0);
    assert!(open.minutes <= far.minutes);
}

#[test]
fn an_airbag_unit_is_never_proposed_nor_a_plug_on_its_wires() {
    let text = r#"{"format": "loomwalk/circuit", "version": 1, "label": "", "vehicle": {"body": "panel_van"},
        "fuse": {"label": "F1", "rating_a": 10}, "loads": [
            {"id": "srs", "label": "Airbag control unit", "zone": "console"},
            {"id": "lamp", "label": "Lamp", "kind": "filament_lamp", "zone": "roof_rear"},
            {"id": "radio", "label": "Radio", "kind": "module", "zone": "dash_centre"}]}"#;
    let mut told = Told::new();
    told.act(&Act::Circuit { circuit: serde_json::from_str(text).unwrap(), shelved: None });
    let mut proposed = Vec::new();
    while let Some(next) = told.stands().next {
        proposed.push(next.what.to_string());
        told.answer(&next.what, true);
    }
    assert!(!proposed.is_empty());
    assert!(!proposed.iter().any(|what| what.starts_with("srs")), "{proposed:?}");
    let stands = told.stands();
    assert_eq!(stands.never_live, ["Airbag control unit"]);
    // It can still be there: it is only not asked.
    assert!(stands.left.iter().any(|left| left.label.contains("Airbag")), "{:?}", stands.left);
}

/// What is proposed one after the other, with the answer that it was still there; each with whether the battery goes off.
fn proposed(loads: &str) -> Vec<(String, f64, bool)> {
    let text = format!(
        r#"{{"format": "loomwalk/circuit", "version": 1, "label": "", "vehicle": {{"body": "panel_van"}},
            "fuse": {{"label": "F1", "rating_a": 10}}, "loads": [{loads}]}}"#
    );
    let mut told = Told::new();
    told.act(&Act::Circuit { circuit: serde_json::from_str(&text).unwrap(), shelved: None });
    // With everything open the minutes are those at the plug itself.
    let steps: Vec<_> = told.session.ready().unwrap().map.map.access.iter().map(|step| step.id.clone()).collect();
    for access in steps {
        told.act(&Act::Access { access, open: true });
    }
    let mut proposed = Vec::new();
    while let Some(next) = told.stands().next {
        proposed.push((next.what.to_string(), next.minutes, next.battery_off));
        told.answer(&next.what, true);
    }
    proposed
}

#[test]
fn where_wires_of_restraints_run_the_battery_goes_off_first_and_that_takes_its_minutes() {
    let of = |what: &str, all: &[(String, f64, bool)]| all.iter().find(|(id, ..)| id == what).cloned().unwrap();
    let all = proposed(
        r#"{"id": "radio", "label": "Radio", "kind": "module", "zone": "dash_left"},
           {"id": "lamp", "label": "Lamp", "kind": "filament_lamp", "zone": "load_area_left"}"#,
    );
    let (radio, lamp) = (of("radio", &all), of("lamp", &all));
    assert_eq!((radio.1, radio.2), (12.0, true));
    assert_eq!((lamp.1, lamp.2), (2.0, false));
}

#[test]
fn where_fuel_vapour_may_be_about_no_plug_is_pulled_with_the_current_on() {
    let all = proposed(
        r#"{"id": "pump", "label": "Fuel pump", "kind": "motor", "zone": "tank"},
           {"id": "lamp", "label": "Lamp", "kind": "filament_lamp", "zone": "load_area_left"}"#,
    );
    assert!(all.iter().any(|(id, ..)| id == "lamp"), "{all:?}");
    assert!(!all.iter().any(|(id, ..)| id == "pump"), "{all:?}");
}
