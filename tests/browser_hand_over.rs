//! Hand-over files chosen in the app: a wrong one says why and leaves nothing behind, a right one is taken in after it.

use std::path::{Path, PathBuf};

use crate::browser_support::{Desk, Phone, enter, place, until};
use serde_json::{Value, json};

/// The practice job's own file, changed.
fn changed(folder: &Path, name: &str, change: impl FnOnce(&mut Value)) -> PathBuf {
    let text = std::fs::read_to_string(place("LOOMWALK_WEB").join("demo/van.loomwalk.json")).unwrap();
    let mut file: Value = serde_json::from_str(&text).unwrap();
    change(&mut file);
    write(folder, name, file.to_string().as_bytes())
}

fn write(folder: &Path, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, bytes).unwrap();
    path
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wrong_hand_over_file_says_why_and_leaves_nothing_behind() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let whole = changed(folder, "whole.loomwalk.json", |_| {});
    let text = std::fs::read(&whole).unwrap();
    let job = serde_json::from_slice::<Value>(&text).unwrap()["job"]["id"].as_str().unwrap().to_owned();
    let picture = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/photos/small.jpg");
    let cases = [
        (write(folder, "list.txt", b"brake pads, bulbs"), "it should be JSON"),
        (picture, "it should be JSON"),
        (write(folder, "empty.json", b""), "it is empty"),
        (write(folder, "other.json", br#"{"some": "thing"}"#), "its format should be"),
        (write(folder, "cut.loomwalk.json", &text[..text.len() / 2]), "it was cut off"),
        (
            changed(folder, "digest.loomwalk.json", |file| file["log"][0]["at"] = json!("2020-01-01T00:00:00Z")),
            "does not match its digest",
        ),
        (changed(folder, "newer.loomwalk.json", |file| file["version"] = json!(99)), "update the program"),
        (
            changed(folder, "photo.loomwalk.json", |file| {
                let data = file["photos"][0]["data"].as_str().unwrap();
                let letter = if data.starts_with('A') { "B" } else { "A" };
                file["photos"][0]["data"] = json!(format!("{letter}{}", &data[1..]));
            }),
            "damaged on the way",
        ),
    ];
    phone.open(&desk.url()).await;
    for (file, why) in cases {
        phone.choose_file("#open-file", &file).await;
        phone.reads("Nothing was taken in").await;
        let said = phone.see("[role=alert] .trouble").await.text().await.unwrap();
        assert!(said.contains(why), "{}: {said}", file.display());
        assert_eq!(phone.kept_events(&job).await, Vec::<Value>::new());
        assert_eq!(phone.rows().await, json!({ "events": 0, "jobs": 0, "originals": 0, "previews": 0, "thumbs": 0 }));
        phone.tap("#read-it").await;
    }
    // A file of the same name, corrected by now, can be chosen again at once.
    let again = write(folder, "cut.loomwalk.json", &text);
    phone.choose_file("#open-file", &again).await;
    phone.see("#next-step").await;
    assert_eq!(phone.job().await, job);
    assert!(!phone.kept_events(&job).await.is_empty());
}

#[tokio::test(flavor = "multi_thread")]
async fn an_address_of_a_job_that_is_not_here_leads_on_to_those_that_are() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let folder = tempfile::tempdir().unwrap();
    let whole = changed(folder.path(), "whole.loomwalk.json", |_| {});
    phone.open(&format!("{}/job/0196a000-0000-7000-8000-000000000000/walk", desk.url())).await;
    phone.reads("This job is not on this phone").await;
    phone.tap_words("To the jobs").await;
    phone.choose_file("#open-file", &whole).await;
    phone.see("#next-step").await;
    phone.tap_words("Go to").await;
    phone.tap_words("All jobs").await;
    phone.see("#new-job").await;
    assert!(!phone.text().await.contains("This job is not on this phone"));
    phone.tap(".lines .line").await;
    phone.see("#next-step").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_practice_job_can_be_taken_off_the_phone_and_comes_back_fresh() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    // A number that stays on this phone goes with the job.
    let vin = "1J9RP1A36A1644345";
    phone.open(&format!("{}/job/{job}/concern", desk.url())).await;
    phone.tap("label:has(#vin-here)").await;
    phone.write("#vin", vin).await;
    phone.keeps_small(vin).await;
    phone.open(&format!("{}/job/{job}/handover", desk.url())).await;
    phone.tap_words("Take this job off the phone").await;
    phone.tap("#forget").await;
    phone.reads("A fuse opens now and then").await;
    assert!(phone.kept_events(&job).await.is_empty());
    let small = "return JSON.stringify(localStorage)";
    assert!(!phone.script(small, vec![]).await.as_str().unwrap().contains(&job));
    until("it is nowhere any more", async || !phone.small().await.contains(vin)).await;
    phone.tap("#practice").await;
    phone.see("#next-step").await;
    let fresh = phone.job().await;
    assert_ne!(fresh, job, "another job: what two phones practise, and what was practised before, does not meet");
    assert!(!phone.kept_events(&fresh).await.is_empty());
    assert!(phone.kept_events(&job).await.is_empty());
}

#[tokio::test(flavor = "multi_thread")]
async fn whoever_goes_on_to_another_job_while_one_is_taken_off_stays_there() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let off = phone.practise(&desk).await;
    phone.open(&desk.url()).await;
    phone.tap("#practice").await;
    phone.see("#next-step").await;
    let stays = phone.job().await;
    // It takes a while; the first time it does not work out.
    let slow = "globalThis.post = Worker.prototype.postMessage;
        Worker.prototype.postMessage = function (order, ...more) {
          if (order.order !== 'let_go') return globalThis.post.call(this, order, ...more);
          globalThis.go = () => globalThis.post.call(this, order, ...more);
          globalThis.refuse = () => this.onmessage(new MessageEvent('message', { data: { id: order.id, why: 'not now' } }));
        };";
    let to = async |job: &str, screen: &str| {
        // Within the page: it is not loaded anew.
        let link = "history.pushState([0, 0], '', arguments[0]); dispatchEvent(new PopStateEvent('popstate'));";
        phone.script(link, vec![json!(format!("/job/{job}/{screen}"))]).await;
    };
    phone.script(slow, vec![]).await;
    for (order, said) in [("refuse", "The job stays on this phone: not now"), ("go", "The job is off this phone.")] {
        to(&off, "handover").await;
        phone.tap_words("Take this job off the phone").await;
        phone.tap("#forget").await;
        to(&stays, "walk").await;
        phone.see("#next-step").await;
        phone.script(&format!("globalThis.{order}()"), vec![]).await;
        phone.reads(said).await;
        assert_eq!(phone.job().await, stays, "{said}");
        phone.see("#next-step").await;
    }
    assert!(phone.kept_events(&off).await.is_empty());
    assert!(!phone.text().await.contains("The job stays"), "what was said before holds no more");
    assert!(!phone.kept_events(&stays).await.is_empty());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_job_that_the_desk_was_given_leaves_room_on_the_phone() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.pair(&desk).await;
    phone.open(&desk.url()).await;
    enter(&phone).await;
    let job = phone.job().await;
    phone.open(&format!("{}/job/{job}/handover", desk.url())).await;
    phone.reads("The desk has all of this job.").await;
    phone.ready_for_offline().await;
    let cannot_go = async || !phone.text().await.contains("Take this job off the phone");
    assert!(cannot_go().await, "it is not handed over");
    let before = phone.kept_events(&job).await.len();

    // Handed over without a network: the desk does not know yet.
    desk.stop();
    phone.tap("#to-desk").await;
    phone.reads("Handed over: the desk closes the job once it has all of it.").await;
    phone.tap("#open-again").await;
    phone.reads("The job is open again.").await;
    phone.tap("#to-desk").await;
    phone.see("#open-again").await;
    let handed_over = phone.kept_events(&job).await;
    assert_eq!(handed_over.len(), before + 3);
    assert_eq!(handed_over.last().unwrap()["body"]["way"], "desk");
    assert!(cannot_go().await, "the desk has not heard of it");
    desk.start_again().await;
    phone.script("dispatchEvent(new Event('online'))", vec![]).await;
    phone.reads("The desk has all of this job.").await;
    phone.tap_words("Take this job off the phone").await;
    phone.picture("handover-off").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    // What the phone was told a while ago is not what the desk has now: a disk was brought back, files and all.
    desk.stop();
    for folder in ["bundles", "receipts"] {
        let folder = desk.store.path().join(format!("jobs/{job}/{folder}"));
        let newest = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).max().unwrap();
        std::fs::remove_file(newest).unwrap();
    }
    let _ = std::fs::remove_dir_all(desk.store.path().join("index"));
    desk.start_again().await;
    phone.tap("#forget").await;
    phone.reads("The job stays on this phone: the desk does not have all of it").await;
    assert_eq!(phone.kept_events(&job).await.len(), before + 3);
    until("it was sent again", async || desk.events(&job).await.len() == before + 3).await;
    phone.reads("The desk has all of this job.").await;
    phone.tap_words("Take this job off the phone").await;
    phone.tap("#forget").await;
    phone.reads("The job is off this phone.").await;
    assert!(!phone.text().await.contains("The job stays"), "what was said at the first try holds no more");
    assert!(phone.kept_events(&job).await.is_empty());

    phone.tap("#desk-jobs").await;
    phone.see("#nothing-at-desk").await;
    phone.write("#find-desk", "f23").await;
    phone.tap("#desk-jobs").await;
    phone.reads("Closed").await;
    for (width, dark) in [(320, true), (390, false), (1280, false)] {
        phone.size(width, 844).await;
        phone.dark(dark).await;
        phone.picture(&format!("at-desk-closed-{width}")).await;
    }
    phone.dark(false).await;
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;
    phone.sign_in(&desk).await;
    phone.open(&format!("{}/desk?which=closed", desk.url())).await;
    phone.reads("Handed over").await;
    phone.open(&desk.url()).await;
    phone.tap("#desk-jobs").await;
    phone.write("#find-desk", "f23").await;
    phone.tap("#desk-jobs").await;
    phone.tap(&format!("[data-job='{job}']")).await;
    phone.see("#next-step").await;
    assert_eq!(phone.kept_events(&job).await.len(), before + 3);
}

#[tokio::test(flavor = "multi_thread")]
async fn packing_a_file_shows_how_far_it_is_and_can_be_stopped() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/handover", desk.url())).await;
    phone.see("#share").await;
    let before = phone.kept_events(&job).await.len();

    // A worker that is half done and goes on for ever.
    let half_done = "globalThis.post = Worker.prototype.postMessage;
        Worker.prototype.postMessage = function (order, ...more) {
          const half = new MessageEvent('message', { data: { id: order.id, part: 0.5 } });
          if (order.order === 'pack') setTimeout(() => this.onmessage(half));
          else globalThis.post.call(this, order, ...more);
        };";
    phone.script(half_done, vec![]).await;
    phone.tap("#share").await;
    let bar = phone.see("footer progress").await;
    until("it says how far it is", async || bar.prop("value").await.unwrap().as_deref() == Some("0.5")).await;
    assert_eq!(bar.attr("aria-label").await.unwrap().as_deref(), Some("Packing the file …"));
    phone.picture("handover-packing").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.tap("#stop-work").await;
    phone.reads("Stopped. Nothing was made or changed.").await;
    assert_eq!(phone.script("return document.querySelectorAll('footer progress').length", vec![]).await, json!(0));
    assert_eq!(phone.kept_events(&job).await.len(), before, "nothing was handed over");

    // The next one tells how far it is until it is done.
    let listen = "globalThis.parts = [];
        Worker.prototype.postMessage = function (order, ...more) {
          if (order.order === 'pack') this.addEventListener('message', ({ data }) => data.part && globalThis.parts.push(data.part));
          globalThis.post.call(this, order, ...more);
        };";
    phone.script(listen, vec![]).await;
    phone.tap("#share").await;
    phone.reads("The file is made.").await;
    phone.downloaded(".loomwalk.json").await;
    let parts = phone.script("return globalThis.parts", vec![]).await;
    let parts: Vec<f64> = parts.as_array().unwrap().iter().map(|part| part.as_f64().unwrap()).collect();
    assert!(parts.len() > 1 && parts.is_sorted() && parts.last() == Some(&1.0), "{parts:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_job_that_goes_into_two_files_is_given_out_as_both_and_each_says_which_it_is() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.open(&format!("{}/job/{job}/handover", desk.url())).await;
    phone.see("#share").await;
    // As the worker answers where the photographs are too large together.
    let two = "globalThis.post = Worker.prototype.postMessage;
        Worker.prototype.postMessage = function (order, ...more) {
          const done = ['one', 'two'].map((text) => new Blob([text], { type: 'application/json' }));
          const made = new MessageEvent('message', { data: { id: order.id, done } });
          if (order.order === 'pack') setTimeout(() => this.onmessage(made));
          else globalThis.post.call(this, order, ...more);
        };";
    phone.script(two, vec![]).await;
    let handed_over =
        async || phone.kept_events(&job).await.into_iter().filter(|event| event["kind"] == "handed_over").count();
    let before = handed_over().await;
    phone.tap("#share").await;
    phone.reads("2 files are made. Open all of them on the other device").await;
    assert_eq!(std::fs::read_to_string(phone.downloaded("-1-of-2.loomwalk.json").await).unwrap(), "one");
    // A browser lets a page download one file a tap.
    phone.tap("#save-2").await;
    assert_eq!(std::fs::read_to_string(phone.downloaded("-2-of-2.loomwalk.json").await).unwrap(), "two");
    phone.tap("#read-it").await;
    assert!(!phone.text().await.contains("2 files are made"));
    // Through the phone's menu both go at once.
    let menu = "navigator.canShare = () => true;
        navigator.share = async ({ files }) => { globalThis.given = files.map((file) => file.name); };";
    phone.script(menu, vec![]).await;
    phone.tap("#share").await;
    phone.reads("2 files are made.").await;
    let given = phone.script("return globalThis.given", vec![]).await;
    let given: Vec<&str> = given.as_array().unwrap().iter().map(|name| name.as_str().unwrap()).collect();
    let left = "return document.querySelectorAll('[id^=save-]').length";
    assert_eq!(phone.script(left, vec![]).await, 0);
    assert!(given.len() == 2 && given[0].ends_with("-1-of-2.loomwalk.json"), "{given:?}");
    until("two files are one hand-over", async || handed_over().await == before + 2).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_file_is_read_and_priced_without_keeping_anything_until_asked() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let whole = changed(folder, "whole.loomwalk.json", |_| {});
    let job = serde_json::from_slice::<Value>(&std::fs::read(&whole).unwrap()).unwrap()["job"]["id"].clone();
    phone.open(&desk.url()).await;
    phone.tap("#to-read").await;
    phone.choose_file("#read-file", &write(folder, "list.txt", b"brake pads")).await;
    phone.reads("it should be JSON").await;
    phone.choose_file("#read-file", &whole).await;
    let told = "const page = document.getElementById('report')?.contentDocument;
        return page && page.readyState === 'complete' && [...page.images].length > 0 && [...page.images].every((image) => image.naturalWidth > 0)
          ? page.body.innerText : ''";
    let report = async || phone.script(told, vec![]).await.as_str().unwrap_or_default().to_owned();
    until("the report with its pictures", async || report().await.contains("old fan bracket")).await;
    assert!(!report().await.contains("Estimate"));
    // A file of prices: a wrong one says why, a right one adds the estimate and is known the next time.
    phone.choose_file("#prices", &write(folder, "odd.json", br#"{"format": "other"}"#)).await;
    phone.reads("the price list cannot be used").await;
    let prices = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo/prices.json");
    phone.choose_file("#prices", &prices).await;
    until("the estimate", async || report().await.contains("Estimate")).await;
    for (width, dark) in [(320, false), (390, true), (1280, false)] {
        phone.size(width, 844).await;
        phone.dark(dark).await;
        phone.picture(&format!("read-priced-{width}")).await;
    }
    phone.dark(false).await;
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;
    phone.tap_words("the customer, one sheet").await;
    until("the customer's sheet", async || !report().await.contains("Log SHA-256") && !report().await.is_empty()).await;
    let nothing = json!({ "events": 0, "jobs": 0, "originals": 0, "previews": 0, "thumbs": 0 });
    assert_eq!(phone.rows().await, nothing);
    // Without a network, and started again: dropped, as a mouse does it, anywhere on the screen.
    phone.ready_for_offline().await;
    desk.stop();
    phone.open(&format!("{}/read", desk.url())).await;
    let text = std::fs::read_to_string(&whole).unwrap();
    let drop = "const held = new DataTransfer();
        held.items.add(new File([arguments[0]], 'whole.loomwalk.json', { type: 'application/json' }));
        for (const kind of ['dragover', 'drop'])
          document.querySelector('h1').dispatchEvent(new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer: held }));";
    phone.see("#read-file").await;
    phone.script(drop, vec![json!(text)]).await;
    until("the estimate, by the prices of last time", async || report().await.contains("Estimate")).await;
    assert_eq!(phone.rows().await, nothing);
    phone.tap("#keep-it").await;
    phone.see("#next-step").await;
    assert_eq!(json!(phone.job().await), job);
    assert!(!phone.kept_events(job.as_str().unwrap()).await.is_empty());
}
