//! A plan for a quarter of an hour, or for what can be reached from here: does it keep to it, and leave nothing better out?

use std::collections::BTreeSet;
use std::process::Command;

use crate::small_van::small;
use chrono::{DateTime, TimeDelta, Utc};
use loomwalk::ids::{AccessId, DeviceId, EventId, IdMaker, JobId, PointId, ZoneId};
use loomwalk::job::held::{Held, Time};
use loomwalk::job::session::Session;
use loomwalk::job::{Act, Event, Log};
use loomwalk::search::evidence::Seen;
use loomwalk::search::limits::{Limits, Reach};
use loomwalk::search::plan::{Plan, StepKind, Walk};
use uuid::Uuid;

fn minutes(plan: &Plan) -> f64 {
    plan.steps.iter().map(|step| step.minutes).sum()
}

fn found(plan: &Plan) -> f64 {
    plan.steps.iter().map(|step| step.chance).sum()
}

fn ids(plan: &Plan) -> BTreeSet<&str> {
    plan.steps.iter().map(|step| step.id.as_str()).collect()
}

fn in_time(minutes: f64) -> Limits {
    Limits { minutes: Some(minutes), reach: None }
}

#[test]
fn in_any_time_it_keeps_to_it_and_finds_no_less_than_the_whole_plan_cut_short() {
    let search = small();
    let whole = search.plan(&[], &Walk::default());
    let mut before = 0.0;
    for tenths in 0..=450_u32 {
        let time = f64::from(tenths) / 10.0;
        let plan = search.plan_within(&[], &Walk::default(), &in_time(time));
        assert!(minutes(&plan) <= time + 1e-9, "{} in {time}", minutes(&plan));
        let mut elapsed = 0.0;
        let cut_short = whole.steps.iter().take_while(|step| {
            elapsed += step.minutes;
            elapsed <= time
        });
        assert!(found(&plan) >= cut_short.map(|step| step.chance).sum::<f64>() - 1e-12);
        assert!(found(&plan) >= before - 1e-12, "more time never finds less");
        before = found(&plan);
        let steps = ids(&plan);
        assert!(plan.steps.iter().all(|step| step.after.as_ref().is_none_or(|after| steps.contains(after.as_str()))));
        let limited = plan.limited.as_ref().unwrap();
        assert_eq!(limited.within_minutes, Some(time));
        assert!((limited.set_aside_chance + found(&plan) - found(&whole)).abs() < 1e-12);
        assert_eq!(plan.points, whole.points, "the chances are what they are");
    }
    assert_eq!(before, found(&whole), "45 minutes are enough for all of it");
}

#[test]
fn what_was_asked_for_first_leads_if_it_fits_and_else_waits() {
    let search = small();
    let walk = Walk { first: Some("point:zone:gearbox_top".into()), ..Walk::default() };
    let whole = search.plan(&[], &walk);
    let needed: f64 = whole.steps[..3].iter().map(|step| step.minutes).sum();
    let plan = search.plan_within(&[], &walk, &in_time(needed + 2.0));
    assert_eq!(plan.steps[2].id, "point:zone:gearbox_top");
    assert!(minutes(&plan) <= needed + 2.0);
    let plan = search.plan_within(&[], &walk, &in_time(needed - 0.1));
    assert!(!ids(&plan).contains("point:zone:gearbox_top") && !plan.steps.is_empty());
}

#[test]
fn within_reach_nothing_is_opened_but_for_the_zone_where_one_is() {
    let search = small();
    let reach = |zone: Option<&str>| Limits { minutes: None, reach: Some(Reach { zone: zone.map(ZoneId::from) }) };
    let whole = search.plan(&[], &Walk::default());
    let plan = search.plan_within(&[], &Walk::default(), &reach(None));
    assert!(plan.steps.iter().all(|step| step.kind == StepKind::Look && step.after.is_none()));
    let in_sight: BTreeSet<&str> = search
        .points()
        .iter()
        .filter(|point| point.access.is_none() && ids(&whole).contains(point.id.as_str()))
        .map(|point| point.id.as_str())
        .collect();
    assert_eq!(ids(&plan), in_sight);

    let raised = Walk { open: BTreeSet::from([AccessId::from("access:raise")]), ..Walk::default() };
    let under = search.plan_within(&[], &raised, &reach(None));
    assert!(ids(&under).is_superset(&in_sight) && ids(&under).contains("point:r2@0.6"));
    assert!(!ids(&under).contains("point:zone:gearbox_top"), "the undertray is still on");

    let at_the_gearbox = search.plan_within(&[], &raised, &reach(Some("gearbox_top")));
    assert!(ids(&at_the_gearbox).contains("access:undertray"));
    assert!(ids(&at_the_gearbox).contains("point:zone:gearbox_top"));
    assert!(!ids(&at_the_gearbox).contains("access:tail_trim"));
    let both = Limits { minutes: Some(3.0), ..reach(Some("gearbox_top")) };
    let both = search.plan_within(&[], &raised, &both);
    assert!(minutes(&both) <= 3.0 && ids(&both).is_subset(&ids(&at_the_gearbox)));
}

#[test]
fn the_time_of_a_walk_runs_out_by_whole_minutes_and_never_backwards() {
    let since = DateTime::from_timestamp(1_770_000_000, 0).unwrap();
    let time = Time { minutes: 15, since };
    let left = |seconds: i64| time.left(since + TimeDelta::seconds(seconds));
    assert_eq!([0, 59, 60, 840, 899, 900, 90_000, -600].map(left), [15, 15, 14, 1, 1, 0, 0, 15]);
}

#[test]
fn a_walk_is_held_where_one_is_and_only_in_its_own_job() {
    let job = JobId(Uuid::nil());
    let mut session = Session::open(job, Log::default());
    let mut ids_made = IdMaker::default();
    let mut act = |session: &mut Session, act: &Act| {
        let at: DateTime<Utc> = DateTime::from_timestamp(1_770_000_000, 0).unwrap();
        let event = Event::new(EventId(ids_made.make(at, [7; 10])), at, DeviceId(Uuid::nil()), act);
        session.take(vec![event]).unwrap();
    };
    assert_eq!(session.here(), None);
    let circuit = serde_json::from_str(include_str!("../assets/demo/van.circuit.json")).unwrap();
    act(&mut session, &Act::Circuit { circuit, shelved: None });
    let next = session.next().unwrap().clone();
    assert_eq!(session.here(), next.zone.filter(|_| next.kind == StepKind::Look));
    act(&mut session, &Act::Look { point: PointId::from("point:r6@0.8"), seen: Seen::Sound });
    assert_eq!(session.here(), Some("load_area_left".into()));

    let now = DateTime::from_timestamp(1_770_000_060, 0).unwrap();
    let time = Time { minutes: 31, since: DateTime::from_timestamp(1_770_000_000, 0).unwrap() };
    let held = Held { job, time: Some(time), reach: Some(Reach { zone: session.here() }) };
    let plan = session.plan_held(Some(&held), now).unwrap();
    let limited = plan.limited.as_ref().unwrap();
    assert_eq!((limited.within_minutes, &limited.reach), (Some(30.0), &held.reach));
    assert!(!plan.steps.is_empty() && minutes(&plan) <= 30.0);
    let other = Held { job: JobId(Uuid::max()), ..held };
    for held in [None, Some(&other), Some(&Held::to_nothing(job))] {
        assert_eq!(*session.plan_held(held, now).unwrap(), session.ready().unwrap().plan);
    }
}

#[test]
fn the_command_line_says_what_it_was_held_to_and_what_waits() {
    let plan = |args: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
        command.current_dir(env!("CARGO_MANIFEST_DIR")).args(["plan", "assets/demo/van.circuit.json"]);
        let out = command.args(args).output().unwrap();
        (out.status.code(), String::from_utf8(out.stdout).unwrap() + &String::from_utf8(out.stderr).unwrap())
    };
    let (code, text) = plan(&["--minutes", "30", "--reach", "--here", "load_area_left", "--json"]);
    assert_eq!(code, Some(0), "{text}");
    let read: Plan = serde_json::from_str(&text).unwrap();
    assert!(minutes(&read) <= 30.0 && !read.steps.is_empty());
    let limited = read.limited.unwrap();
    assert_eq!(limited.within_minutes, Some(30.0));
    assert_eq!(limited.reach, Some(Reach { zone: Some("load_area_left".into()) }));
    let (_, text) = plan(&["--minutes", "15"]);
    assert!(text.contains("Only what fits into 15 minutes. Left for another time: "), "{text}");
    assert!(!text.contains("Looked at already"), "what waits was not looked at: {text}");
    let (_, text) = plan(&["--reach"]);
    assert!(text.contains("Only what can be reached without opening anything."), "{text}");
    for odd in ["0", "-3", "NaN", "inf"] {
        let (code, text) = plan(&[&format!("--minutes={odd}")]);
        assert!(code == Some(1) && text.contains("a number above 0"), "{text}");
    }
    let (code, text) = plan(&["--reach", "--here", "attic"]);
    assert!(code == Some(1) && text.starts_with("--here attic: this vehicle has no such zone. It has "), "{text}");
    assert_eq!(plan(&["--here", "tail_left"]).0, Some(2), "being somewhere only counts for reach");
}
