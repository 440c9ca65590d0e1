//! The main job in three engines, against the real desk: in with the circuit, the walk, looks, photographs and a note; on
//! without the desk in a browser that was killed; then everything arrives, byte for byte.

use std::path::{Path, PathBuf};

use crate::browser_support::engines::Engine;
use crate::browser_support::{Desk, Phone, enter, until};
use serde_json::Value;
use sha2::{Digest, Sha256};

fn case(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/photos").join(name)
}

/// Goes to the next place that can be looked at; opens on the way what must be opened.
async fn to_next_place(phone: &Phone) -> String {
    loop {
        let step = phone.see("#next-step").await.attr("data-step").await.unwrap().unwrap();
        if step.starts_with("access:") {
            phone.tap("#access-done").await;
            until("the plan follows", async || {
                let now = phone.see("#next-step").await.attr("data-step").await;
                now.is_ok_and(|now| now.as_deref() != Some(&step))
            })
            .await;
        } else {
            phone.tap("#look-here").await;
            phone.see("#seen-Sound").await;
            return step;
        }
    }
}

async fn look(phone: &Phone, outcome: &str) {
    phone.tap(&format!("#seen-{outcome}")).await;
    phone.see(&format!("#seen-{outcome}[aria-pressed=true]")).await;
}

async fn photograph(phone: &Phone, stage: &str, file: &Path) {
    let before = phone.driver().find_all(thirtyfour::By::Css(".strip li")).await.unwrap().len();
    phone.choose_file(&format!("#photo-{stage}"), file).await;
    until("the photograph is shown", async || {
        phone.driver().find_all(thirtyfour::By::Css(".strip img")).await.is_ok_and(|shown| shown.len() > before)
    })
    .await;
}

/// What the desk holds is what the phone holds: event by event, photograph by photograph, byte for byte.
async fn desk_equals_phone(desk: &Desk, phone: &Phone, job: &str) {
    let here = phone.kept_events(job).await;
    let mut there = desk.events(job).await;
    there.sort_by_key(|event| event["id"].as_str().unwrap().to_owned());
    assert_eq!(here, there);
    let photos: Vec<&Value> = here.iter().filter(|event| event["kind"] == "photo").collect();
    for photo in &photos {
        let name = photo["body"]["sha256"].as_str().unwrap();
        let bytes = std::fs::read(desk.store.path().join("photos").join(name)).expect("the desk holds the photograph");
        let hash: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(hash, name);
        assert_eq!(bytes.len() as u64, photo["body"]["bytes"].as_u64().unwrap());
        assert_eq!(bytes, phone.kept_photo(name).await, "{name} differs between phone and desk");
    }
    assert_eq!(photos.len(), 2);
}

#[tokio::test(flavor = "multi_thread")]
async fn in_chromium_a_job_goes_from_the_loads_on_a_fuse_to_the_desk_with_the_desk_gone_in_between() {
    main_job(Engine::Chromium).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn in_firefox_it_does_too() {
    main_job(Engine::Firefox).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn in_webkit_it_does_too() {
    main_job(Engine::WebKit).await;
}

async fn main_job(engine: Engine) {
    let mut desk = Desk::start().await;
    let mut phone = Phone::of(engine).await;
    phone.pair(&desk).await;
    phone.open(&desk.url()).await;
    phone.reads("A fuse opens now and then").await;
    phone.ready_for_offline().await;
    enter(&phone).await;
    let job = phone.job().await;

    to_next_place(&phone).await;
    photograph(&phone, "lie", &case("sideways-with-place.jpg")).await;
    look(&phone, "Marked").await;
    phone.write("#note", "Polished on the bracket, 40 mm").await;
    phone.reads("Polished on the bracket, 40 mm").await;
    assert!(phone.see("#lift").await.is_enabled().await.unwrap(), "lift is open once there is a lie photo");

    desk.stop();
    phone.restart().await;
    phone.open(&format!("{}/job/{job}/walk", desk.url())).await;
    let second = to_next_place(&phone).await;
    assert!(!phone.see("#lift").await.is_enabled().await.unwrap(), "lift is closed without a lie photo");
    photograph(&phone, "lie-file", &case("upright.jpg")).await;
    look(&phone, "Bare").await;
    phone.reads("Not yet at the desk").await;

    // Right after an act was shown as kept, the browser is ended: the act is there.
    look(&phone, "Severed").await;
    phone.kill_browser();
    phone.start_browser().await;
    phone.open(&format!("{}/job/{job}/point/{second}", desk.url())).await;
    phone.see("#seen-Severed[aria-pressed=true]").await;
    phone.tap("#to-finding").await;
    phone.tap("#found-here").await;
    phone.write("#colour", "BK/YE").await;
    phone.write("#cause", "Grommet missing").await;

    desk.start_again().await;
    phone.tap("#to-repair").await;
    phone.reads("Before it goes back").await;
    phone.tap(".action .main").await;
    // Gone by now, if the phone was quicker.
    phone.script("document.querySelector('#send-now')?.click()", vec![]).await;
    phone.reads("The desk has all of this job.").await;
    desk_equals_phone(&desk, &phone, &job).await;
    let report = desk.get(&format!("/desk/jobs/{job}")).await.text().await.unwrap();
    assert!(report.contains("Lamps in the back die on bad roads"));
    assert!(report.contains("Grommet missing"));

    // The same job as a file, on another phone.
    phone.tap("#share").await;
    let file = phone.downloaded(".loomwalk.json").await;
    phone.reads("The file is made").await;
    let other = Phone::of(engine).await;
    other.open(&desk.url()).await;
    other.choose_file("#open-file", &file).await;
    other.reads("Walk").await;
    other.see("#next-step").await;
    let mut given: Vec<Value> =
        serde_json::from_slice::<Value>(&std::fs::read(&file).unwrap()).unwrap()["log"].as_array().unwrap().clone();
    given.sort_by_key(|event| event["id"].as_str().unwrap().to_owned());
    assert_eq!(other.kept_events(&job).await, given);
    let here = phone.kept_events(&job).await;
    assert_eq!(given, here[..given.len()], "the file holds all that was kept when it was made");
}
