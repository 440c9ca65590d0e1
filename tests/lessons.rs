//! What closed jobs teach: conjugate counts, the same whatever order they come in, and told in words.

use std::path::Path;
use std::process::{Command, Output};

use crate::small_van::small;
use loomwalk::ids::{JobId, PointId};
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use loomwalk::search::lessons::{Count, LearnedFile, Lesson, Shop};
use loomwalk::search::likelihood::tables;
use loomwalk::search::plan::{Search, Walk};
use proptest::prelude::*;

fn job(number: u32) -> JobId {
    format!("01900000-0000-7000-8000-{number:012x}").parse().unwrap()
}

fn blow() -> Observation {
    Observation::Blow { state: vec!["key_on".into(), "reverse".into()], motion: Motion::Rough, heat: Heat::Warm }
}

fn lesson(search: &Search, number: u32, found: &str) -> Lesson {
    search.lesson(job(number), &[blow()], &[PointId::from(found)]).unwrap()
}

fn count<'c>(counts: &'c [Count], feature: &str) -> &'c Count {
    counts.iter().find(|count| count.feature == feature).unwrap()
}

#[test]
fn a_job_counts_what_it_found_and_what_was_to_be_expected_before_anyone_looked() {
    let search = small();
    let lesson = lesson(&search, 1, "point:passage:rear_boot");
    assert_eq!(lesson.found["kind:hinge_boot"], 1);
    let kinds: f64 = lesson.expected.iter().filter(|(name, _)| name.starts_with("kind:")).map(|(_, sum)| sum).sum();
    assert!((kinds - 1.0).abs() < 1e-12, "each fault is in one kind of place: {kinds}");
    // Of the plan after the opening: the share of the boots, of what is listed.
    let plan = search.plan(&[blow()], &Walk::default());
    let share = plan.points.iter().find(|point| point.id.as_str() == "point:passage:rear_boot").unwrap().probability;
    let listed = 1.0 - plan.not_listed;
    assert!((lesson.expected["kind:hinge_boot"] - share / listed).abs() < 1e-12);
    // A look is what is to be explained, and changes nothing of what was to be expected.
    let seen = Observation::Look { point: PointId::from("point:passage:rear_boot"), seen: Seen::Bare };
    let looked = search.lesson(job(1), &[blow(), seen], &[PointId::from("point:passage:rear_boot")]).unwrap();
    assert_eq!(looked, lesson);
    assert_eq!(search.lesson(job(1), &[blow()], &[PointId::from("point:elsewhere")]), None);
}

/// A gamma distribution with shape and rate 12 beforehand, Poisson counts: mean (12 + found) / (12 + expected), by hand.
#[test]
fn the_counts_are_conjugate() {
    assert_eq!(tables().learned.weight, 12.0);
    let count = |found, expected| Count { feature: "kind:hinge_boot".to_owned(), found, expected };
    assert!((count(7, 3.2).factor() - 19.0 / 15.2).abs() < 1e-12);
    assert!((count(0, 4.0).factor() - 0.75).abs() < 1e-12);
    assert!((count(0, 0.0).factor() - 1.0).abs() < 1e-12);
    assert!(count(0, f64::NAN).factor().is_finite());
    assert_eq!(count(7, 3.2).in_words(11), "at hinges: 7 found, 3.2 were to be expected (jobs: 11)");
}

#[test]
fn counts_past_the_largest_number_can_still_be_written_and_read() {
    let many = |number| Lesson {
        job: job(number),
        found: [("edges:3".to_owned(), u32::MAX)].into(),
        expected: [("edges:3".to_owned(), f64::MAX)].into(),
    };
    let mut file = LearnedFile::default();
    (1..4).for_each(|number| file.put(many(number)));
    let shop = file.shop();
    assert_eq!((shop.counts[0].found, shop.counts[0].expected), (u32::MAX, f64::MAX));
    let written = serde_json::to_string(&shop).unwrap();
    assert_eq!(serde_json::from_str::<Shop>(&written).unwrap(), shop);
}

#[test]
fn a_shop_that_finds_them_at_hinges_looks_there_sooner_and_says_why() {
    let search = small();
    let mut learned = LearnedFile::default();
    for number in 0..12 {
        learned.put(lesson(&search, number, "point:passage:rear_boot"));
    }
    let shop = learned.shop();
    assert_eq!((shop.jobs, count(&shop.counts, "kind:hinge_boot").found), (12, 12));
    let taught = small().taught_by(shop);
    let chance = |search: &Search| {
        let plan = search.plan(&[blow()], &Walk::default());
        assert!((plan.points.iter().map(|point| point.probability).sum::<f64>() + plan.not_listed - 1.0).abs() < 1e-9);
        let step = plan.steps.iter().find(|step| step.id == "point:passage:rear_boot").unwrap().clone();
        (step.probability, step.why.join("; "), plan.not_listed)
    };
    let ((before, why_before, _), (after, why_after, _)) = (chance(&search), chance(&taught));
    assert!(after > 1.3 * before, "{before} to {after}");
    assert!(!why_before.contains("your shop"));
    assert!(
        why_after.contains("your shop, ") && why_after.contains("12 found, 1.2 were to be expected (jobs: 12)"),
        "{why_after}"
    );
    // Nothing learned is nothing changed.
    let plain = small().taught_by(LearnedFile::default().shop());
    assert_eq!(plain.plan(&[blow()], &Walk::default()), search.plan(&[blow()], &Walk::default()));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn jobs_teach_the_same_in_any_order_and_each_once(
        (jobs, shuffled) in prop::collection::vec((0_u32..9, 0_usize..14), 1..12)
            .prop_map(|drawn| {
                let mut first: Vec<(u32, usize)> = Vec::new();
                drawn.into_iter().for_each(|(number, place)| if !first.iter().any(|(known, _)| *known == number) { first.push((number, place)) });
                first
            })
            .prop_flat_map(|jobs| (Just(jobs.clone()), Just(jobs).prop_shuffle()))
    ) {
        let search = small();
        let teach = |jobs: &[(u32, usize)]| {
            let mut learned = LearnedFile::default();
            for (number, place) in jobs {
                let found = search.points()[*place].id.clone();
                learned.put(search.lesson(job(*number), &[blow()], &[found]).unwrap());
            }
            learned
        };
        let once = teach(&jobs);
        prop_assert_eq!(&once, &teach(&shuffled));
        let twice = teach(&[jobs.clone(), jobs.clone()].concat());
        prop_assert_eq!(&once, &twice);
        prop_assert_eq!(once.shop().jobs as usize, jobs.len());
        // The phone counts a file without its lessons.
        let text = serde_json::to_string(&once).unwrap();
        prop_assert_eq!(Shop::of_file(&text), Some(once.shop()));
    }
}

#[test]
fn a_file_of_lessons_that_this_version_does_not_read_has_no_counts() {
    let file = |version: u32, found: &str| {
        let lesson = format!(
            r#"{{"job":"00000000-0000-0000-0000-000000000001","found":{{"edges:3":{found}}},"expected":{{}}}}"#
        );
        format!(r#"{{"format":"loomwalk/learned","version":{version},"lessons":[{lesson}]}}"#)
    };
    assert_eq!(Shop::of_file(&file(1, "2")).map(|shop| (shop.jobs, shop.counts[0].found)), Some((1, 2)));
    // What no field of ours holds must be JSON that can be read, too.
    let beside = |value: &str| file(1, "2").replace(r#""version""#, &format!(r#""beside":{value},"version""#));
    assert_eq!(Shop::of_file(&beside("[3e9]")).map(|shop| shop.jobs), Some(1));
    for unread in [
        file(2, "2"),
        file(1, "-2"),
        file(1, "\"many\""),
        file(1, "2").replace("learned", "shelf"),
        "{".into(),
        beside("1e999"),
        beside(r#""\ud800""#),
        beside(&format!("{}{}", "[".repeat(200), "]".repeat(200))),
    ] {
        assert_eq!(Shop::of_file(&unread), None, "{unread}");
        assert_eq!(LearnedFile::read(&unread), None, "{unread}");
    }
}

fn loomwalk(args: &[&str]) -> Output {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    Command::new(env!("CARGO_BIN_EXE_loomwalk")).current_dir(root).args(args).output().unwrap()
}

#[test]
fn the_command_line_learns_from_closed_jobs_and_plans_with_it() {
    // The practice job teaches nothing, by itself.
    let out = loomwalk(&["learn", "assets/demo/van.loomwalk.json"]);
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(out.status.success() && text.contains("it is a practice job"), "{text}");
    assert!(text.contains("No closed job has taught anything yet."));
    // Lessons of a shop, and what is wrong with others.
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("shop.learned.json");
    let mut learned = LearnedFile::default();
    for number in 0..9 {
        learned.put(lesson(&small(), number, "point:passage:rear_boot"));
    }
    std::fs::write(&file, serde_json::to_string(&learned).unwrap()).unwrap();
    let file = file.to_str().unwrap();
    let out = loomwalk(&["check", file]);
    assert!(String::from_utf8(out.stdout).unwrap().ends_with("a sound loomwalk/learned, version 1: 9 jobs\n"));
    let copy = folder.path().join("copy.json");
    let neighbour = folder.path().join("copy.part");
    std::fs::write(&neighbour, "somebody else's").unwrap();
    let out = loomwalk(&["learn", "assets/demo/van.loomwalk.json", "--table", file, "-o", copy.to_str().unwrap()]);
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(text.contains("at hinges: 9 found, 0.9 were to be expected (jobs: 9)"), "{text}");
    let kept: LearnedFile = serde_json::from_slice(&std::fs::read(&copy).unwrap()).unwrap();
    assert_eq!(kept, learned);
    assert_eq!(std::fs::read_to_string(&neighbour).unwrap(), "somebody else's");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3, "nothing is left beside it");
    let planned = |more: &[&str]| {
        let args = [&["plan", "assets/demo/van.circuit.json"], more].concat();
        String::from_utf8(loomwalk(&args).stdout).unwrap()
    };
    let taught = planned(&["--learned", file]);
    assert!(taught.contains("your shop, ") && taught.contains(": 9 found, "));
    assert!(!planned(&[]).contains("your shop"));
    std::fs::write(&copy, r#"{"format": "loomwalk/learned", "version": 1, "lessons": [7]}"#).unwrap();
    let out = loomwalk(&["plan", "assets/demo/van.circuit.json", "--learned", copy.to_str().unwrap()]);
    let told = String::from_utf8(out.stderr).unwrap();
    assert!(!out.status.success() && told.contains("/lessons/0"), "{told}");
}
