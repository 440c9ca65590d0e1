//! A film of a telltale before a real browser's camera: is the alarm given and the time kept? And what without a camera?

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod browser;

use std::io::Write;
use std::path::Path;

use browser::{Desk, Phone, until};
use serde_json::json;

const WIDTH: usize = 320;
const HEIGHT: usize = 240;
const RATE: usize = 20;

/// Writes a film (YUV4MPEG2): a lamp in the middle of a dashboard in daylight that drifts, lit for so many seconds, then dark.
/// The browser plays it round and round.
fn film(path: &Path, lit_s: usize, dark_s: usize) {
    let mut file = std::io::BufWriter::new(std::fs::File::create(path).unwrap());
    writeln!(file, "YUV4MPEG2 W{WIDTH} H{HEIGHT} F{RATE}:1 Ip A1:1 C420jpeg").unwrap();
    for frame in 0..(lit_s + dark_s) * RATE {
        let daylight = 1.0 + 0.1 * (frame as f64 / 40.0).sin();
        let lamp = frame < lit_s * RATE;
        writeln!(file, "FRAME").unwrap();
        let mut luma = Vec::with_capacity(WIDTH * HEIGHT);
        for at in 0..WIDTH * HEIGHT {
            let (x, y) = ((at % WIDTH).abs_diff(WIDTH / 2), (at / WIDTH).abs_diff(HEIGHT / 2));
            let dash = (45 + at % WIDTH / 16 + at / WIDTH / 12) as f64 * daylight;
            luma.push(if x < 9 && y < 9 { if lamp { 210 } else { 40 } } else { dash as u8 });
        }
        file.write_all(&luma).unwrap();
        file.write_all(&[128; WIDTH * HEIGHT / 2]).unwrap();
    }
    file.flush().unwrap();
}

/// Opens the practice job on the watch's screen.
async fn at_the_watch(phone: &Phone, desk: &Desk) -> String {
    let job = phone.practise(desk).await;
    phone.open(&format!("{}/job/{job}/watch", desk.url())).await;
    phone.see("#start-watch").await;
    job
}

#[tokio::test(flavor = "multi_thread")]
async fn a_telltale_that_goes_out_before_the_camera_sounds_the_alarm_and_is_kept_with_its_time() {
    let folder = tempfile::tempdir().unwrap();
    let lamp = folder.path().join("lamp.y4m");
    film(&lamp, 10, 5);
    let desk = Desk::start().await;
    let phone = Phone::with(&[
        "--use-fake-ui-for-media-stream".to_owned(),
        "--use-fake-device-for-media-stream".to_owned(),
        format!("--use-file-for-fake-video-capture={}", lamp.display()),
    ])
    .await;
    let job = at_the_watch(&phone, &desk).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.tap("#start-watch").await;
    phone.reads("Lit. Watching.").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.picture("watch-lit").await;
    phone.see(".went-out").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.picture("watch-out").await;
    let told = async || phone.kept_events(&job).await.into_iter().find(|event| event["kind"] == "telltale");
    until("it is in the log", async || told().await.is_some()).await;
    let event = told().await.unwrap();
    assert_eq!(event["body"]["lit"], json!(false));
    let time = |value: &serde_json::Value| chrono::DateTime::parse_from_rfc3339(value.as_str().unwrap()).unwrap();
    assert!(time(&event["body"]["seen_at"]) < time(&event["at"]), "seen before it was kept: {event}");

    phone.tap("#heard").await;
    until("the bright sheet is gone", async || {
        phone.script("return !document.querySelector('.went-out')", vec![]).await == json!(true)
    })
    .await;
    phone.reads("Lit. Watching.").await;
    // The film begins again: the lamp came back.
    until("that is kept too", async || {
        phone.kept_events(&job).await.iter().any(|event| event["body"]["lit"] == json!(true))
    })
    .await;
    phone.see(".viewer").await.send_keys("\u{e014}\u{e014}").await.unwrap();
    phone.reads("Learning how it looks").await;
    phone.size(320, 640).await;
    let fits = "return document.documentElement.scrollWidth <= document.documentElement.clientWidth";
    assert_eq!(phone.script(fits, vec![]).await, json!(true));
    phone.picture("watch-320").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn without_leave_to_use_the_camera_it_says_what_to_do_instead() {
    let desk = Desk::start().await;
    let phone =
        Phone::with(&["--use-fake-device-for-media-stream".to_owned(), "--deny-permission-prompts".to_owned()]).await;
    at_the_watch(&phone, &desk).await;
    phone.tap("#start-watch").await;
    phone.reads("allow it in the browser's settings for this page").await;
    phone.reads("ask someone to watch the telltale").await;
    phone.see("#start-watch").await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.picture("watch-denied").await;
}
