//! The watch in a real browser: a film before its camera, a sound in its ear, whose lamp or buzzer goes out.
//!
//! Chromium plays a file as its camera (Y4M: YUV4MPEG2, as mjpegtools writes it) or as its microphone (WAV).

use std::io::Write;
use std::path::Path;

use crate::browser_support::sound::wav;
use crate::browser_support::{Desk, Phone, until};
use serde_json::{Value, json};

const WIDTH: usize = 320;
const HEIGHT: usize = 240;
const RATE: usize = 25;

/// A dashboard in daylight that drifts, with a lamp that glows into what is around it; lit for so many seconds, then dark.
/// The browser plays it round and round.
fn film(path: &Path, lit_s: usize, dark_s: usize) {
    let mut file = std::io::BufWriter::new(std::fs::File::create(path).unwrap());
    writeln!(file, "YUV4MPEG2 W{WIDTH} H{HEIGHT} F{RATE}:1 Ip A1:1 C420jpeg").unwrap();
    for frame in 0..(lit_s + dark_s) * RATE {
        let daylight = 1.0 + 0.1 * (frame as f64 / 40.0).sin();
        let lamp = if frame < lit_s * RATE { 1.0 } else { 0.0 };
        writeln!(file, "FRAME").unwrap();
        let mut luma = Vec::with_capacity(WIDTH * HEIGHT);
        for at in 0..WIDTH * HEIGHT {
            let (x, y) = ((at % WIDTH).abs_diff(WIDTH / 2), (at / WIDTH).abs_diff(HEIGHT / 2));
            let dash = (45 + at % WIDTH / 16 + at / WIDTH / 12) as f64 * daylight;
            let far = (x as f64).hypot(y as f64);
            let glow = 60.0 * (-far / 20.0).exp();
            let bright = if x < 9 && y < 9 { 40.0 + lamp * 170.0 } else { dash + lamp * glow };
            luma.push(bright.min(235.0) as u8);
        }
        file.write_all(&luma).unwrap();
        file.write_all(&[128; WIDTH * HEIGHT / 2]).unwrap();
    }
    file.flush().unwrap();
}

/// A phone whose camera sees the film.
async fn with_film(folder: &Path) -> Phone {
    let lamp = folder.join("lamp.y4m");
    film(&lamp, 12, 6);
    Phone::with(&[
        "--use-fake-ui-for-media-stream".to_owned(),
        format!("--use-file-for-fake-video-capture={}", lamp.display()),
    ])
    .await
}

/// Starts the camera and taps the lamp, in the middle of what it shows.
async fn choose_the_lamp(phone: &Phone) {
    phone.tap("#start-watch").await;
    until("the camera shows something", async || {
        phone.script("return document.querySelector('#watch-video')?.videoWidth > 0", vec![]).await == json!(true)
    })
    .await;
    phone.tap("#watch-video").await;
}

/// Opens the practice job on the watch's screen.
async fn at_the_watch(phone: &Phone, desk: &Desk) -> String {
    let job = phone.practise(desk).await;
    phone.open(&format!("{}/job/{job}/watch", desk.url())).await;
    phone.see("#start-watch").await;
    job
}

/// What the watch has kept, in order.
async fn told(phone: &Phone, job: &str) -> Vec<Value> {
    phone.kept_events(job).await.into_iter().filter(|event| event["kind"] == "telltale").collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_telltale_that_goes_out_before_the_camera_sounds_the_alarm_and_is_kept_with_its_time_and_a_picture() {
    let folder = tempfile::tempdir().unwrap();
    let desk = Desk::start().await;
    let phone = with_film(folder.path()).await;
    let job = at_the_watch(&phone, &desk).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    let photos = async || phone.kept_events(&job).await.into_iter().filter(|event| event["kind"] == "photo").count();
    let before = photos().await;
    choose_the_lamp(&phone).await;
    phone.reads("Lit. Watching.").await;
    phone.size(390, 2_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.picture("watch-lit").await;
    phone.see(".went-out").await;
    phone.size(390, 844).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.picture("watch-out").await;
    until("it is in the log", async || !told(&phone, &job).await.is_empty()).await;
    let event = told(&phone, &job).await.remove(0);
    assert_eq!(event["body"]["lit"], json!(false));
    let time = |value: &Value| chrono::DateTime::parse_from_rfc3339(value.as_str().unwrap()).unwrap();
    let late = time(&event["at"]) - time(&event["body"]["seen_at"]);
    assert!(late.num_milliseconds() >= 50, "seen before it was kept: {event}");
    until("the moments before are kept", async || photos().await == before + 1).await;
    let events = phone.kept_events(&job).await;
    let photo = events.iter().rev().find(|event| event["kind"] == "photo").unwrap();
    assert_eq!(photo["body"]["width"], json!(1_280));
    assert_eq!(photo["body"]["height"], json!(720));
    let bytes = phone.kept_photo(photo["body"]["sha256"].as_str().unwrap()).await;
    let screens = Path::new(env!("CARGO_TARGET_TMPDIR")).join("screens");
    std::fs::write(screens.join("watch-moments.jpg"), bytes).unwrap();

    phone.tap("#heard").await;
    until("the bright sheet is gone", async || {
        phone.script("return !document.querySelector('.went-out')", vec![]).await == json!(true)
    })
    .await;
    // The film begins again: the lamp comes back.
    until("that is kept too", async || {
        told(&phone, &job).await.iter().any(|event| event["body"]["lit"] == json!(true))
    })
    .await;
    phone.see(".viewer").await.send_keys("\u{e014}\u{e014}").await.unwrap();
    phone.reads("Learning how it looks").await;
    phone.size(320, 640).await;
    let fits = "return document.documentElement.scrollWidth <= document.documentElement.clientWidth";
    assert_eq!(phone.script(fits, vec![]).await, json!(true));
    phone.picture("watch-320").await;
    phone.tap("#stop-watch").await;
    phone.see("#start-watch").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_buzzer_that_stops_sounds_the_alarm_as_a_lamp_does() {
    let folder = tempfile::tempdir().unwrap();
    let sound = folder.path().join("buzzer.wav");
    // A buzzer for 12 s, then an almost silent room.
    wav(&sound, 18, |at, noise| {
        let tone = if at < 12.0 { 0.2 * (at * 440.0 * std::f64::consts::TAU).sin() } else { 0.0 };
        tone + 0.002 * noise
    });
    let desk = Desk::start().await;
    let phone = Phone::with(&[
        "--use-fake-ui-for-media-stream".to_owned(),
        format!("--use-file-for-fake-audio-capture={}", sound.display()),
    ])
    .await;
    let job = at_the_watch(&phone, &desk).await;
    phone.tap("#start-listening").await;
    phone.reads("Heard. Listening.").await;
    phone.picture("watch-ear").await;
    phone.see(".went-out").await;
    until("it is in the log", async || !told(&phone, &job).await.is_empty()).await;
    assert_eq!(told(&phone, &job).await[0]["body"]["lit"], json!(false));
    // It does not take its own alarm for the buzzer: once that was heard, it is begun anew.
    phone.tap("#heard").await;
    phone.see("#start-listening").await;
    assert_eq!(told(&phone, &job).await.len(), 1);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_second_phone_without_a_job_calls_out_says_when_and_keeps_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let desk = Desk::start().await;
    let phone = with_film(folder.path()).await;
    phone.open(&desk.url()).await;
    phone.tap("#to-watch-alone").await;
    choose_the_lamp(&phone).await;
    phone.see(".went-out").await;
    phone.tap("#heard").await;
    phone.reads("It went out at ").await;
    assert_eq!(phone.rows().await["events"], json!(0));
}

#[tokio::test(flavor = "multi_thread")]
async fn without_leave_for_camera_or_microphone_it_says_what_to_do_instead() {
    let desk = Desk::start().await;
    let phone = Phone::with(&["--deny-permission-prompts".to_owned()]).await;
    at_the_watch(&phone, &desk).await;
    phone.tap("#start-watch").await;
    phone.reads("may not use the camera: allow it in the browser's settings").await;
    phone.reads("ask someone to watch the telltale").await;
    phone.tap("#start-listening").await;
    phone.reads("may not use the microphone: allow it in the browser's settings").await;
    phone.see("#start-watch").await;
    phone.size(390, 2_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.picture("watch-denied").await;
}
