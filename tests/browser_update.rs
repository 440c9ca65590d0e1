//! A newer version of the app: offered, never pushed; the open job stays as it is until the user takes it.

use std::path::Path;

use crate::browser_support::{Desk, Phone, place, until};
use serde_json::{Value, json};

/// Makes the folder a newer build: the same files under another build's name.
fn newer(folder: &Path) {
    let path = folder.join("sw.js");
    let script = std::fs::read_to_string(&path).unwrap();
    let (before, after) = script.split_once("\"build\":\"").expect("the worker names its build");
    let (id, rest) = after.split_once('"').unwrap();
    std::fs::write(&path, format!("{before}\"build\":\"{id}-newer\"{rest}")).unwrap();
    let _ = std::fs::remove_file(folder.join("sw.js.br"));
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap().flatten() {
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_newer_version_is_offered_in_mid_job_and_taken_in_one_step() {
    let app = tempfile::tempdir().unwrap();
    copy(&place("LOOMWALK_WEB"), app.path());
    let desk = Desk::serving(app.path()).await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.ready_for_offline().await;
    phone.tap("#new-job").await;
    phone.reads("Its name in the fuse box").await;
    phone.write("#fuse", "F7").await;
    let job = phone.job().await;

    newer(app.path());
    phone
        .script(
            "window.sameFromBefore = true; navigator.serviceWorker.getRegistration().then((it) => it.update())",
            vec![],
        )
        .await;
    phone.reads("A newer version lies ready").await;
    assert_eq!(
        phone.script("return window.sameFromBefore", vec![]).await,
        json!(true),
        "nothing was loaded anew by itself"
    );
    phone.write("#vehicle", "Typed while the newer version waits").await;

    phone.tap_words("Take it now").await;
    until("the page starts again, once", async || {
        phone.script("return window.sameFromBefore ?? null", vec![]).await.is_null()
    })
    .await;
    phone.see("#vehicle").await;
    assert_eq!(phone.job().await, job, "it starts again where one was");
    let typed = phone.script("return document.querySelector('#vehicle').value", vec![]).await;
    assert_eq!(typed, json!("Typed while the newer version waits"));
    assert!(!phone.text().await.contains("A newer version lies ready"));
    let caches = phone.script_async("caches.keys().then(arguments[arguments.length - 1])", vec![]).await;
    assert!(caches.as_array().unwrap().iter().all(|name| name.as_str().unwrap().ends_with("-newer")), "{caches}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_note_that_is_being_spoken_is_kept_before_the_newer_version_is_taken() {
    let app = tempfile::tempdir().unwrap();
    copy(&place("LOOMWALK_WEB"), app.path());
    let desk = Desk::serving(app.path()).await;
    let phone = Phone::with(&["--use-fake-ui-for-media-stream".to_owned()]).await;
    let job = phone.practise(&desk).await;
    phone.ready_for_offline().await;
    phone.to_a_place().await;
    let spoken = async || {
        let is_spoken = |event: &&Value| event["kind"] == "photo" && event["body"]["seconds"].is_number();
        phone.kept_events(&job).await.iter().filter(is_spoken).count()
    };
    let wait_for_a_newer_one = async || {
        newer(app.path());
        let look = "window.sameFromBefore = true; navigator.serviceWorker.getRegistration().then((it) => it.update())";
        phone.script(look, vec![]).await;
        phone.reads("A newer version lies ready").await;
        phone.tap("#speak").await;
        phone.reads("0:01").await;
    };
    let starts_again = async || {
        until("the page starts again, once", async || {
            phone.script("return window.sameFromBefore ?? null", vec![]).await.is_null()
        })
        .await;
        phone.see("#speak").await;
    };
    wait_for_a_newer_one().await;
    phone.tap_words("Take it now").await;
    starts_again().await;
    assert_eq!(spoken().await, 1, "it was still being spoken");

    wait_for_a_newer_one().await;
    // In one go: no recorder has stopped by then, and no worker has made anything ready.
    let both = "document.querySelector('#spoken').click(); document.querySelector('.newer button').click();";
    phone.script(both, vec![]).await;
    starts_again().await;
    assert_eq!(spoken().await, 2, "it was stopped a moment before");
}
