//! What does `loomwalk plan` print, and how does it refuse? On the practice job, as a technician reads it.
//!
//! `UPDATE_EXPECT=1 cargo test --test program plan_command` writes tests/cases/plans again: read the difference.
use std::process::{Command, Output};

use chrono::DateTime;
use expect_test::{ExpectFile, expect_file};
use loomwalk::bundle::file::make;
use loomwalk::circuit::check;
use loomwalk::ids::{BundleId, DeviceId, EventId, JobId};
use loomwalk::job::{Act, Event, Job, Log};
use loomwalk::search::evidence::{self, Seen};
use loomwalk::search::plan::{Plan, StepKind};
use uuid::Uuid;

const CIRCUIT: &str = "assets/demo/van.circuit.json";
const EVIDENCE: &str = "assets/demo/van.evidence.json";

fn plan(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).arg("plan").args(args).output().unwrap()
}

fn prints(args: &[&str], golden: &ExpectFile) {
    let Output { status, stdout, stderr } = plan(args);
    assert!(status.success(), "{}", String::from_utf8_lossy(&stderr));
    golden.assert_eq(&String::from_utf8(stdout).unwrap());
}

fn as_json(args: &[&str]) -> Plan {
    let Output { status, stdout, stderr } = plan(args);
    assert!(status.success(), "{}", String::from_utf8_lossy(&stderr));
    serde_json::from_slice(&stdout).unwrap()
}

#[test]
fn the_practice_van_is_planned_before_and_after_an_hour_of_work() {
    prints(&[CIRCUIT], &expect_file!["cases/plans/van.txt"]);
    prints(&[CIRCUIT, "--evidence", EVIDENCE], &expect_file!["cases/plans/van_after_evidence.txt"]);
}

#[test]
fn json_is_the_same_plan_whole_and_sums_to_one() {
    let plan = as_json(&[CIRCUIT, "--evidence", EVIDENCE, "--json"]);
    assert_eq!((plan.format.as_str(), plan.version), ("loomwalk/plan", 1));
    let all: f64 = plan.points.iter().map(|point| point.probability).sum::<f64>() + plan.not_listed;
    assert!((all - 1.0).abs() < 1e-9);
    assert!(plan.points.len() > plan.steps.iter().filter(|step| step.kind == StepKind::Look).count());
}

#[test]
fn a_raised_vehicle_is_not_raised_again() {
    let raises = |plan: &Plan| plan.steps.iter().any(|step| step.id == "access:raise");
    let needs =
        |plan: &Plan| plan.steps.iter().any(|step| step.after.as_ref().is_some_and(|id| id.as_str() == "access:raise"));
    let (before, raised) = (as_json(&[CIRCUIT, "--json"]), as_json(&[CIRCUIT, "--raised", "--json"]));
    assert!(raises(&before) && needs(&before));
    assert!(!raises(&raised) && !needs(&raised));
    assert_eq!(before.points, raised.points);
}

#[test]
fn a_place_where_damage_was_seen_is_named_though_it_is_no_step_any_more() {
    let scratch = tempfile::tempdir().unwrap();
    let path = scratch.path().join("seen.json");
    // As an editor that puts a byte-order mark in front would save it.
    let seen = "\u{feff}{\"format\": \"loomwalk/evidence\", \"version\": 1, \"items\": [{\"kind\": \"blow\", \"state\": \
        [\"key_on\"]}, {\"kind\": \"look\", \"point\": \"point:r6@0.8\", \"seen\": \"bare\"}]}";
    std::fs::write(&path, seen).unwrap();
    let Output { status, stdout, stderr } = plan(&[CIRCUIT, "--evidence", path.to_str().unwrap()]);
    assert!(status.success(), "{}", String::from_utf8_lossy(&stderr));
    let text = String::from_utf8(stdout).unwrap();
    let line = text.lines().find(|line| line.starts_with("Looked at already: ")).unwrap();
    assert_eq!(
        line,
        "Looked at already: Load area, left wall: over the edge of the old fan bracket, no edging: 99 % that it is here."
    );
}

#[test]
fn what_was_put_out_of_reach_is_said_so_and_not_called_looked_at() {
    let circuit = check::read(&std::fs::read(CIRCUIT).unwrap()).unwrap();
    let likeliest = |plan: &Plan| {
        plan.points.iter().max_by(|one, other| one.probability.total_cmp(&other.probability)).unwrap().id.clone()
    };
    let before = as_json(&[CIRCUIT, "--json"]);
    let point = likeliest(&before);
    let title = before.steps.iter().find(|step| step.id == point.as_str()).unwrap().title.clone();
    let acts = [
        Act::JobOpened { practice: false },
        Act::Circuit { circuit: Box::new(circuit), shelved: None },
        Act::Look { point: point.clone(), seen: Seen::NotSeen },
        Act::CannotReach { point, why: "seized bolt".into() },
    ];
    let (device, at) = (DeviceId(Uuid::from_u128(1)), DateTime::from_timestamp_millis(1_770_000_000_000).unwrap());
    let events = acts.iter().zip(1..).map(|(act, n)| Event::new(EventId(Uuid::from_u128(n)), at, device, act));
    let log = Log::of(events).unwrap();
    let job = Job::fold(JobId(Uuid::from_u128(7)), &log);
    let scratch = tempfile::tempdir().unwrap();
    let path = scratch.path().join("van.loomwalk.json");
    let bundle = make(&job, &log, BundleId(Uuid::from_u128(9)), device, at);
    std::fs::write(&path, serde_json::to_vec(&bundle).unwrap()).unwrap();
    let Output { status, stdout, stderr } = plan(&[path.to_str().unwrap()]);
    assert!(status.success(), "{}", String::from_utf8_lossy(&stderr));
    let text = String::from_utf8(stdout).unwrap();
    assert!(text.contains(&format!("\nPut out of reach: {title}: ")), "{text}");
    assert!(!text.contains("Looked at already"), "{text}");
}

#[test]
fn nobody_is_sent_to_plugs_of_which_only_the_names_are_known() {
    let scratch = tempfile::tempdir().unwrap();
    let path = scratch.path().join("names.json");
    let names = r#"{"format": "loomwalk/circuit", "version": 1, "fuse": {"rating_a": 15}, "loads": [{"id": "a"}, {"id": "b"}]}"#;
    std::fs::write(&path, names).unwrap();
    let plan = as_json(&[path.to_str().unwrap(), "--json"]);
    assert_eq!((plan.steps.len(), plan.points.len(), plan.not_listed), (0, 0, 1.0));
}

#[test]
fn what_is_wrong_is_said_with_file_and_place() {
    let scratch = tempfile::tempdir().unwrap();
    let refused = |name: &str, text: &str| {
        let path = scratch.path().join(name);
        std::fs::write(&path, text).unwrap();
        let Output { status, stdout, stderr } = plan(&[CIRCUIT, "--evidence", path.to_str().unwrap()]);
        assert_eq!((status.code(), stdout.len()), (Some(1), 0));
        String::from_utf8(stderr).unwrap().replace(&format!("{}/", scratch.path().display()), "")
    };
    let unknown = r#"{"format": "loomwalk/evidence", "version": 1, "items": [
        {"kind": "blow"}, {"kind": "look", "point": "point:r99@1", "seen": "sound"}]}"#;
    assert!(refused("unknown.json", unknown).starts_with("unknown.json: /items/1/point: this circuit has no point"));
    let newer = r#"{"format": "loomwalk/evidence", "version": 3, "items": []}"#;
    assert!(refused("newer.json", newer).starts_with("newer.json: /version: this file is version 3"));
    assert!(refused("cut.json", &unknown[..60]).starts_with("cut.json: line 2, column "));
    let endless = refused("endless.json", &" ".repeat(evidence::MOST_BYTES + 1));
    assert!(endless.contains("nothing was read"), "{endless}");

    let Output { status, stderr, .. } = plan(&["no_such_file.json"]);
    assert_eq!(status.code(), Some(1));
    assert!(String::from_utf8(stderr).unwrap().starts_with("no_such_file.json: this cannot be read"));
    let Output { status, stderr, .. } = plan(&[EVIDENCE]);
    assert_eq!(status.code(), Some(1));
    assert!(String::from_utf8(stderr).unwrap().starts_with(EVIDENCE));
    assert_eq!(plan(&["--sideways"]).status.code(), Some(2));
}
