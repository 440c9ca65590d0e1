//! What was tried with the fuse open, told through a job's log: the last word on a thing in a state holds, can be taken
//! back, and casts doubt on the circuit where it does not fit.

use chrono::DateTime;
use loomwalk::circuit::story::MisfitKind;
use loomwalk::ids::{Condition, DeviceId, EventId, IdMaker, JobId};
use loomwalk::job::held::{Held, Time};
use loomwalk::job::session::Session;
use loomwalk::job::tale::{Tale, doubt, tale, tales};
use loomwalk::job::{Act, Event, Log};
use loomwalk::search::doubt::DoubtKind;
use loomwalk::search::evidence::{Heat, Motion};
use serde_json::json;
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

    fn tried(&mut self, what: &str, dead: bool, state: &[&str]) -> EventId {
        self.act(&Act::Tried { what: what.into(), dead, state: conditions(state) })
    }

    fn tales(&self) -> Vec<Tale> {
        tales(&self.session.job, self.session.ready().map(|ready| &ready.harness))
    }

    fn doubt(&self) -> Option<String> {
        doubt(&self.tales())
    }
}

fn conditions(state: &[&str]) -> Vec<Condition> {
    state.iter().map(|name| Condition::from(*name)).collect()
}

/// What was said in the only state: each thing, and whether it is dead.
fn said(told: &Told) -> Vec<(String, bool)> {
    let [tale] = told.tales().try_into().unwrap();
    tale.answers.into_iter().map(|answer| (answer.what, answer.dead)).collect()
}

#[test]
fn the_last_word_on_a_thing_in_a_state_holds_whatever_the_order_of_its_conditions() {
    let mut told = Told::new();
    told.tried("lamp_left", true, &["key_on", "door_open"]);
    told.tried("step_lamp", true, &["door_open", "key_on"]);
    told.tried("lamp_left", false, &["door_open", "key_on", "key_on"]);
    assert_eq!(said(&told), [("lamp_left".to_owned(), false), ("step_lamp".to_owned(), true)]);
    told.tried("lamp_left", true, &["key_on", "reverse", "door_open"]);
    let states: Vec<usize> = told.tales().iter().map(|tale| tale.answers.len()).collect();
    assert_eq!(states, [2, 1], "another state is another tale");
}

#[test]
fn what_is_taken_back_gives_way_to_what_was_said_before() {
    let mut told = Told::new();
    let dead = told.tried("lamp_left", true, &["key_on", "door_open"]);
    let works = told.tried("lamp_left", false, &["key_on", "door_open"]);
    assert_eq!(told.tales()[0].answers[0].events, [dead, works]);
    assert_eq!(told.session.job.last_act, Some(works));
    assert!(told.doubt().is_some());
    told.act(&Act::TakenBack { event: works });
    assert_eq!(said(&told), [("lamp_left".to_owned(), true)]);
    assert_eq!(told.doubt(), None);
    told.act(&Act::TakenBack { event: dead });
    assert_eq!(told.tales(), []);
}

#[test]
fn a_story_that_fits_casts_no_doubt_and_asks_for_the_rest() {
    let mut told = Told::new();
    let state = ["key_on", "reverse", "door_open"];
    for lamp in ["lamp_left", "lamp_right", "reverse_left"] {
        told.tried(lamp, true, &state);
    }
    told.tried("Radio", false, &state);
    // Off without the wipers: that it is dead says nothing.
    told.tried("wiper", true, &state);
    let story = told.tales()[0].story.clone().unwrap();
    assert_eq!(story.meaning, "What is dead fits this fuse.");
    assert_eq!(story.extra_dead[0].why, MisfitKind::OffInThisState);
    assert_eq!(story.unsaid, ["step_lamp", "reverse_right", "bleeper"].map(Into::into));
    assert_eq!(told.doubt(), None);
    // What should be dead is known also before anything was tried.
    let ready = told.session.ready().unwrap();
    let before = tale(&told.session.job, Some(&ready.harness), &conditions(&["wipers", "key_on"]));
    assert!(before.answers.is_empty() && before.story.unwrap().should_be_dead.contains(&"wiper".into()));
}

#[test]
fn each_misfit_casts_doubt_in_words() {
    let mut told = Told::new();
    told.tried("lamp_left", false, &["key_on", "door_open"]);
    let alive = "Load-area lamp, left works though this fuse should feed it: the search may be in the wrong circuit.";
    assert_eq!(told.doubt().as_deref(), Some(alive));
    // The same thing in another state is no further one.
    told.tried("lamp_left", false, &["key_on", "reverse", "door_open"]);
    assert_eq!(told.doubt().as_deref(), Some(alive));
    told.tried("Radio", true, &["key_on"]);
    let both = "Load-area lamp, left and 1 more do not fit this fuse: the search may be in the wrong circuit.";
    assert_eq!(told.doubt().as_deref(), Some(both));
    let mut told = Told::new();
    told.tried("Radio", true, &["key_on"]);
    let dead = "Radio is dead and not on this circuit: the search may be in the wrong circuit.";
    assert_eq!(told.doubt().as_deref(), Some(dead));
}

#[test]
fn putting_it_on_the_list_or_striking_it_off_settles_a_misfit_and_taking_that_back_brings_it_again() {
    let mut told = Told::new();
    told.tried("Radio", true, &["key_on"]);
    let radio = json!({ "id": "load_1", "label": "Radio", "kind": "module", "amps": 2.0, "zone": "dash_centre" });
    let added = told.act(&Act::Load(serde_json::from_value(radio).unwrap()));
    assert_eq!(said(&told), [("load_1".to_owned(), true)], "found by its name");
    assert_eq!(told.doubt(), None);
    told.act(&Act::TakenBack { event: added });
    assert!(told.doubt().is_some());

    let mut told = Told::new();
    told.tried("lamp_left", false, &["key_on", "door_open"]);
    let struck = told.act(&Act::LoadRemoved { load: "lamp_left".into() });
    assert_eq!(told.doubt(), None);
    let [tale] = told.tales().try_into().unwrap();
    assert_eq!((tale.answers[0].name.as_str(), tale.story.unwrap().fits.len()), ("Load-area lamp, left", 1));
    told.act(&Act::TakenBack { event: struck });
    assert!(told.doubt().is_some());
}

#[test]
fn without_a_sound_circuit_what_was_tried_is_kept_and_no_story_is_made_up() {
    let mut told = Told { session: Session::open(JobId(Uuid::nil()), Log::default()), ids: IdMaker::default() };
    told.tried("Radio", true, &["key_on"]);
    let [tale] = told.tales().try_into().unwrap();
    assert_eq!((tale.answers[0].name.as_str(), tale.story), ("Radio", None));
    assert_eq!(told.doubt(), None);
}

#[test]
fn what_does_not_fit_leads_the_doubts_of_the_plan_until_it_is_taken_back() {
    let mut told = Told::new();
    let blow = Act::Blow { state: conditions(&["lamps_on"]), motion: Motion::Still, heat: Heat::Cold };
    told.act(&blow);
    let first = |told: &Told| told.session.ready().unwrap().plan.doubts.first().cloned().unwrap();
    assert_eq!(first(&told).what, DoubtKind::LoadMissing, "nothing on the list is live with the key off");
    let works = told.tried("plate_left", false, &["key_on", "lamps_on"]);
    assert_eq!(first(&told).what, DoubtKind::WrongFuse);
    let says = "Works with the fuse open, though this fuse should feed it: Number-plate lamp, left.";
    assert_eq!(first(&told).speaks[0], says);
    // The same on a walk that is held to a quarter of an hour.
    let now = DateTime::from_timestamp(1_770_000_000, 0).unwrap();
    let id = told.session.job.id;
    let held = Held { time: Some(Time { minutes: 15, since: now }), ..Held::to_nothing(id) };
    let plan = told.session.plan_held(Some(&held), now).unwrap().into_owned();
    assert_eq!(plan.doubts, told.session.ready().unwrap().plan.doubts);
    told.act(&Act::TakenBack { event: works });
    assert_eq!(first(&told).what, DoubtKind::LoadMissing);
}
