//! Does the phone go where the command line would send it? After each thing that is entered, the next step is held against
//! `loomwalk plan` on the job as it is kept; in the end on the file that the phone hands over.

use std::path::Path;
use std::process::Command;
use std::time::Duration;

use crate::browser_measures::open_long_job;
use crate::browser_support::{Desk, Phone, enter, until};
use loomwalk::bundle::file::make;
use loomwalk::bundle::write::text;
use loomwalk::job::event::Event;
use loomwalk::job::log::Log;
use loomwalk::job::state::Job;
use loomwalk::search::plan::{Plan, Step, StepKind};
use serde_json::json;

fn planned(file: &Path) -> Plan {
    let out = Command::new(env!("CARGO_BIN_EXE_loomwalk")).args(["plan", "--json"]).arg(file).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

/// The plan of the command line for the job as the phone keeps it now.
async fn by_the_command_line(phone: &Phone, job: &str) -> Plan {
    let kept = phone.kept_events(job).await;
    let events: Vec<Event> = kept.into_iter().map(|event| serde_json::from_value(event).unwrap()).collect();
    let log = Log::of(events.iter().cloned()).unwrap();
    let folded = Job::fold(job.parse().unwrap(), &log);
    let first = &events[0];
    let device = first.device_id;
    let id = "01900000-0000-7000-8000-000000000001".parse().unwrap();
    let bundle = make(&folded, log.events(), id, device, first.at);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("now.loomwalk.json");
    std::fs::write(&file, text(&bundle, |_| None).unwrap()).unwrap();
    planned(&file)
}

async fn shown(phone: &Phone) -> String {
    phone.see("#next-step").await.attr("data-step").await.unwrap().unwrap()
}

/// On the walk, the step that is shown is the first of the command line's plan.
async fn agree(phone: &Phone, walk: &str, job: &str) -> Plan {
    phone.open(walk).await;
    let plan = by_the_command_line(phone, job).await;
    assert_eq!(shown(phone).await, plan.steps[0].id, "after {} events", phone.kept_events(job).await.len());
    plan
}

/// Pictures of the whole screen, and nothing wider than the phone.
async fn in_all_sizes(phone: &Phone, name: &str) {
    for (width, height) in [(320, 3600), (390, 3200), (1280, 2400)] {
        phone.size(width, height).await;
        for dark in [false, true] {
            phone.dark(dark).await;
            phone.picture(&format!("{name}-{width}-{}", if dark { "dark" } else { "light" })).await;
        }
        let wide = phone.script("return document.documentElement.scrollWidth", vec![]).await;
        assert!(wide.as_u64().unwrap() <= u64::from(width), "{name} is {wide} wide at {width}");
    }
    phone.dark(false).await;
    phone.size(390, 844).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wrong_circuit_file_is_told_and_changes_nothing() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.ready_for_offline().await;
    let job = phone.practise(&desk).await;
    desk.stop();
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    let before = phone.kept_events(&job).await;
    let cases = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/wrong_circuits");
    for (file, told) in [
        ("zeros.json", "The circuit was not changed: "),
        ("not_utf8.json", "this file is not text"),
        ("version_newer.json", "version"),
        ("unknown_nodes.json", "/"),
    ] {
        phone.choose_file("#open-circuit", &cases.join(file)).await;
        phone.reads(told).await;
        phone.reads("The circuit was not changed: ").await;
        phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    }
    assert_eq!(phone.kept_events(&job).await, before);
    let sound = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo/van.circuit.json");
    phone.choose_file("#open-circuit", &sound).await;
    phone.reads("Circuit taken over, ").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn after_each_observation_phone_and_command_line_go_to_the_same_place() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.ready_for_offline().await;
    enter(&phone).await;
    let job = phone.job().await;
    desk.stop();
    let here = format!("{}/job/{job}", desk.url());
    let walk = format!("{here}/walk");
    let kept = async |count: usize| {
        until("it is kept", async || phone.kept_events(&job).await.len() > count).await;
    };

    agree(&phone, &walk, &job).await;
    // It opened twice more, in ways that speak for different places.
    for motion in ["In a turn", "Rough road"] {
        let count = phone.kept_events(&job).await.len();
        phone.open(&format!("{here}/opening")).await;
        phone.tap_words(motion).await;
        phone.tap("#it-opened").await;
        kept(count).await;
        agree(&phone, &walk, &job).await;
    }
    // What is under the thumb stays there, whatever the plan turns to; it says where it goes now.
    let before = shown(&phone).await;
    let plan = by_the_command_line(&phone, &job).await;
    let leads_there = |step: &Step| {
        let mut first = step.clone();
        while let Some(need) = &first.after {
            first = plan.steps.iter().find(|step| step.id == need.as_str()).unwrap().clone();
        }
        first.id
    };
    let elsewhere = |step: &&Step| step.kind == StepKind::Look && leads_there(step) != before;
    let place = plan.steps.iter().find(elsewhere).unwrap();
    let count = phone.kept_events(&job).await.len();
    phone.open(&format!("{here}/list")).await;
    phone.unfold_zones().await;
    let key = "[...document.querySelectorAll('button')].find((key) => key.ariaLabel === arguments[0]).click()";
    phone.script(key, vec![serde_json::json!(format!("Do this first: {}", place.title))]).await;
    kept(count).await;
    until("the walk goes there first", async || shown(&phone).await != before).await;
    let asked = shown(&phone).await;
    assert_eq!(by_the_command_line(&phone, &job).await.steps[0].id, asked);
    phone.tap("#take-back").await;
    phone.reads("The plan now goes first to:").await;
    assert_eq!(shown(&phone).await, asked);
    phone.tap("#follow").await;
    until("the walk follows", async || shown(&phone).await == before).await;
    // An ohmmeter at the open fuse.
    let count = phone.kept_events(&job).await.len();
    phone.open(&format!("{here}/meter")).await;
    phone.write("#shown", "0.2").await;
    phone.tap("#keep-reading").await;
    kept(count).await;
    agree(&phone, &walk, &job).await;
    // Whatever comes next: opened, looked at in turn sound, marked and thinned, or out of reach.
    for (round, seen) in ["Sound", "Marked", "Sound", "", "Thinned", "Sound", "Sound"].into_iter().enumerate() {
        loop {
            let step = shown(&phone).await;
            let count = phone.kept_events(&job).await.len();
            let is_access = step.starts_with("access:");
            if is_access {
                phone.tap("#access-done").await;
            } else if seen.is_empty() {
                phone.tap("#cannot-reach").await;
            } else {
                phone.tap("#look-here").await;
                phone.tap(&format!("#seen-{seen}")).await;
            }
            kept(count).await;
            let plan = agree(&phone, &walk, &job).await;
            assert!(!plan.legs.is_empty(), "round {round}");
            if !is_access {
                break;
            }
        }
    }
    // A bare place at last: what is close to it is offered, and the walk goes on to the same place again.
    while shown(&phone).await.starts_with("access:") {
        let count = phone.kept_events(&job).await.len();
        phone.tap("#access-done").await;
        kept(count).await;
        agree(&phone, &walk, &job).await;
    }
    let count = phone.kept_events(&job).await.len();
    phone.tap("#look-here").await;
    phone.tap("#seen-Bare").await;
    kept(count).await;
    agree(&phone, &walk, &job).await;
    let moved = phone.see("#moved").await.text().await.unwrap();
    assert!(moved.contains("“bare” at") && moved.contains("before,") && moved.contains("now"), "{moved}");
    let near = phone.see("#neighbours").await.text().await.unwrap();
    assert!(near.contains("the same part of the vehicle") || near.contains("the same wires"), "{near}");
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    in_all_sizes(&phone, "walk-moved").await;

    // The drawing, and the file as it is handed over.
    phone.open(&format!("{here}/list")).await;
    phone.tap("#course summary").await;
    let words = phone.see("#course svg").await.attr("aria-label").await.unwrap().unwrap();
    let plan = by_the_command_line(&phone, &job).await;
    let minutes = format!("after {:.0} min on average in this order", plan.expected_minutes.unwrap());
    assert!(words.contains(&minutes), "{words} against {minutes}");
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    in_all_sizes(&phone, "list-course").await;
    phone.open(&format!("{here}/handover")).await;
    phone.tap("#share").await;
    let file = phone.downloaded(".loomwalk.json").await;
    assert_eq!(planned(&file).steps, plan.steps, "the hand-over is noted in it, and changes no step");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_way_back_leads_to_where_one_was() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/list", desk.url())).await;
    phone.tap("details.group:nth-of-type(11) summary").await;
    let place = "details.group:nth-of-type(11) li:last-child a[href*='/point/']";
    phone.see(place).await;
    phone.looks_first().await;
    let tapped = "const place = document.querySelector(arguments[0]); place.scrollIntoView({block: 'center'});
         const tapped = [scrollY, place.pathname]; place.click(); return tapped";
    let tapped = phone.script(tapped, vec![json!(place)]).await;
    assert!(tapped[0].as_f64().unwrap() > 100.0, "{tapped}");
    phone.see("#seen-Sound").await;
    assert_eq!(phone.script("return scrollY", vec![]).await, json!(0), "a new screen is read from its beginning");
    phone.script("history.back()", vec![]).await;
    let is_there =
        "return Math.abs(scrollY - arguments[0]) < 1 && document.querySelector(`a[href$='${arguments[1]}']`) !== null";
    until("the place that was tapped is where it was", async || {
        phone.script(is_there, vec![tapped[0].clone(), tapped[1].clone()]).await == json!(true)
    })
    .await;
    // Also once all has come that comes a moment later.
    tokio::time::sleep(Duration::from_secs(1)).await;
    assert_eq!(phone.script(is_there, vec![tapped[0].clone(), tapped[1].clone()]).await, json!(true));
}

#[tokio::test(flavor = "multi_thread")]
async fn further_places_of_a_zone_that_were_unfolded_are_so_on_the_way_back() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    open_long_job(&phone, &desk).await;
    phone.to_a_place().await;
    phone.script("history.back()", vec![]).await;
    phone.tap("#more-here summary").await;
    phone.tap("#more-here li:nth-child(3) a").await;
    phone.see("#seen-Sound").await;
    phone.script("history.back()", vec![]).await;
    phone.tap("#more-here li:nth-child(3) a").await;
    phone.see("#seen-Sound").await;
    phone.script("history.back()", vec![]).await;
    // Folded by its own key it stays folded.
    phone.tap("#more-here summary").await;
    phone.tap("ol.lines > li > a").await;
    phone.see("#seen-Sound").await;
    phone.script("history.back()", vec![]).await;
    assert_eq!(phone.see("#more-here").await.prop("open").await.unwrap().as_deref(), Some("false"));
}
