//! A circuit is entered once: kept, used again, corrected, taken over, and carried to another phone. By tapping.

use std::path::{Path, PathBuf};

use crate::browser_support::{Desk, Phone, until};
use serde_json::{Value, json};

/// A job with a panel van, a fuse of 15 A and two loads; ends on its circuit screen.
async fn entered(phone: &Phone, desk: &Desk) -> String {
    phone.open(&desk.url()).await;
    phone.tap("#new-job").await;
    phone.write("#vehicle", "White van").await;
    phone.tap_words("Panel van").await;
    phone.write("#fuse", "F23").await;
    phone.choose("#rating", "15").await;
    let job = phone.job().await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    for (on_it, letters, key) in
        [(1, "number plate", "[aria-label$='Number-plate lamp, left']"), (2, "rear wip", ".offers .key")]
    {
        phone.write("#find", letters).await;
        phone.tap(key).await;
        phone.reads(&format!("On this fuse: {on_it}")).await;
    }
    job
}

async fn newest(phone: &Phone, job: &str, kind: &str) -> Value {
    let events = phone.kept_events(job).await;
    events.iter().rev().find(|event| event["kind"] == kind).map(|event| event["body"].clone()).unwrap_or_default()
}

async fn downloaded(folder: &Path, ending: &str) -> PathBuf {
    let find = || {
        let entries = std::fs::read_dir(folder).unwrap().flatten().map(|entry| entry.path());
        entries.into_iter().find(|path| path.to_string_lossy().ends_with(ending))
    };
    until("the file is there", async || find().is_some()).await;
    find().unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_circuit_is_kept_used_corrected_and_carried_to_another_phone() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    entered(&phone, &desk).await;
    phone.tap("#keep-on-shelf").await;
    phone.see("#on-shelf").await;

    // The same vehicle again: nothing but its label, and one tap.
    phone.open(&desk.url()).await;
    phone.tap("#new-job").await;
    phone.see("#from-shelf").await;
    let again = phone.job().await;
    assert!(!phone.text().await.contains("On the shelf:"), "nothing is offered to a job of which nothing is known");
    phone.write("#vehicle", "white van").await;
    phone.reads("On the shelf: White van, F23, 15 A · Panel van · 2 loads").await;
    phone.tap("[data-use]").await;
    until("the circuit is the job's", async || newest(&phone, &again, "circuit").await != Value::Null).await;
    let used = newest(&phone, &again, "circuit").await;
    assert_eq!(
        (&used["circuit"]["vehicle"]["label"], &used["circuit"]["fuse"]["rating_a"]),
        (&json!("white van"), &json!(15))
    );
    assert_eq!(used["circuit"]["loads"].as_array().unwrap().len(), 2);

    // What is found to be otherwise is told, and taken over.
    let circuit = format!("{}/job/{again}/circuit", desk.url());
    phone.open(&circuit).await;
    phone.see("#on-shelf").await;
    let load = used["circuit"]["loads"][0]["id"].as_str().unwrap();
    phone.open(&format!("{}/job/{again}/load/{load}", desk.url())).await;
    phone.choose("#zone", "roof_rear").await;
    until("the place is kept", async || newest(&phone, &again, "load").await["zone"] == "roof_rear").await;
    phone.open(&circuit).await;
    phone.see("#learned").await;
    phone.reads("in “Load-area roof” (was: in its usual place)").await;
    phone.size(390, 3_000).await;
    phone.picture("shelf-learned").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;
    phone.tap("#take-learned").await;
    phone.see("#on-shelf").await;

    // Over to another phone, whose user chooses a wrong file first.
    phone.open(&format!("{}/shelf", desk.url())).await;
    phone.tap("#save-shelf").await;
    let file = downloaded(phone.downloads.path(), ".shelf.json").await;
    let other = Phone::new().await;
    other.open(&format!("{}/shelf", desk.url())).await;
    other.see("#shelf-empty").await;
    other.choose_file("#open-shelf", &Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo/van.circuit.json")).await;
    other.reads("Nothing was taken in: /format: this is not a shelf file").await;
    other.tap("#read-it").await;
    other.see("#shelf-empty").await;
    other.choose_file("#open-shelf", &file).await;
    other.reads("Taken in: 1 circuit new.").await;
    other.reads("White van").await;
    let text = std::fs::read_to_string(&file).unwrap();
    let shelf: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(shelf["entries"][0]["circuit"]["loads"][0]["zone"], "roof_rear");
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_entered_is_replaced_only_after_a_question_and_can_be_taken_back() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    entered(&phone, &desk).await;
    phone.tap("#keep-on-shelf").await;
    phone.see("#on-shelf").await;
    let job = entered(&phone, &desk).await;
    phone.tap("[data-use]").await;
    phone.reads("would be replaced: 2 loads").await;
    assert_eq!(newest(&phone, &job, "circuit").await, Value::Null);
    phone.tap_words("Leave it as it is").await;
    phone.tap("[data-use]").await;
    phone.tap_words("Replace it").await;
    until("it is replaced", async || newest(&phone, &job, "circuit").await != Value::Null).await;
    phone.see("#on-shelf").await;
    phone.tap("#take-back").await;
    phone.see("[data-use]").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_circuit_on_the_shelf_is_renamed_copied_for_a_sister_taken_off_and_put_back() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/shelves/two.shelf.json");
    phone.open(&format!("{}/shelf", desk.url())).await;
    phone.choose_file("#open-shelf", &case).await;
    phone.reads("Taken in: 2 circuits new.").await;
    phone.write("#find-shelf", "tow").await;
    until("one is found", async || !phone.text().await.contains("Grey hatchback")).await;
    phone.tap(".shelf-line").await;
    phone.write("#shelf-name", "White van, yard 4").await;
    phone.reads("It is called White van, yard 4 now.").await;
    phone.write("#sister", "Sister van").await;
    phone.reads("Left out: 1 option struck out there").await;
    phone.tap("#take-off").await;
    phone.reads("“White van, yard 4” is off the shelf").await;
    phone.tap("#put-back").await;
    phone.see("#shelf-name").await;
    phone.open(&format!("{}/shelf", desk.url())).await;
    phone.reads("Sister van").await;
    let text = phone.text().await;
    assert!(text.contains("White van, yard 4") && text.contains("Grey hatchback"), "{text}");
    // Taken in again, the file brings back nothing that was taken off.
    phone.choose_file("#open-shelf", &case).await;
    phone.reads("Everything in it was here already.").await;
    assert!(!phone.text().await.contains("yard 3"));

    // A job with it; another vehicle's label makes it a sister's.
    phone.tap_words("Sister van").await;
    phone.tap("#new-job-with").await;
    phone.see("#vehicle").await;
    until("it is named", async || {
        phone.see("#vehicle").await.prop("value").await.unwrap().as_deref() == Some("Sister van")
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_practice_job_puts_nothing_on_the_shelf_unasked() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/circuit", desk.url())).await;
    phone.tap_words("Keep this circuit on the shelf").await;
    phone.reads("its circuit is invented").await;
    phone.open(&format!("{}/shelf", desk.url())).await;
    phone.see("#shelf-empty").await;
}
