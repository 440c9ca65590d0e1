//! Under the vehicle, by tapping: what is drawn on a photograph, spoken, tapped on a test drive; a knock takes the
//! photograph; and an app that was ended goes on where it was.

use std::path::Path;

use crate::browser_support::sound::wav;
use crate::browser_support::{Desk, Phone, until};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

async fn of_kind(phone: &Phone, job: &str, kind: &str) -> Vec<Value> {
    phone.kept_events(job).await.into_iter().filter(|event| event["kind"] == kind).collect()
}

/// Taps a place of the photograph, in shares of its width and height.
async fn tap_board(phone: &Phone, x: f64, y: f64) {
    let script = "
        const [x, y] = arguments;
        const board = document.querySelector('#board');
        board.scrollIntoView({ block: 'center' });
        const frame = board.getBoundingClientRect();
        return [frame.left + x * frame.width, frame.top + y * frame.height];";
    let at = phone.script(script, vec![json!(x), json!(y)]).await;
    for kind in ["mousePressed", "mouseReleased"] {
        let mouse = json!({ "type": kind, "x": at[0], "y": at[1], "button": "left", "clickCount": 1 });
        phone.devtools("Input.dispatchMouseEvent", mouse).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn rings_arrows_and_lengths_are_kept_beside_the_photograph_and_reach_the_report() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo/pictures/close.jpg");
    phone.choose_file("#photo-lie-file", &file).await;
    phone.tap("a[aria-label^='Draw, measure']").await;
    until("the photograph is shown", async || {
        phone.script("return document.querySelector('#board img')?.naturalWidth > 0", vec![]).await == json!(true)
    })
    .await;
    let drawn = async |count: usize| {
        until("it is kept", async || of_kind(&phone, &job, "drawn").await.len() == count).await;
        of_kind(&phone, &job, "drawn").await.pop().unwrap()["body"]["strokes"].clone()
    };
    tap_board(&phone, 0.5, 0.5).await;
    let ring = drawn(1).await;
    assert!((ring[0]["ring"]["at"]["x"].as_f64().unwrap() - 0.5).abs() < 0.01, "{ring}");
    // Two taps within one frame are two steps.
    let twice =
        "const larger = [...document.querySelectorAll('.spot-keys .key')].find((key) => key.textContent === 'Larger');
                 larger.click(); larger.click();";
    phone.script(twice, vec![]).await;
    let larger = drawn(3).await;
    let radius = |strokes: &Value| strokes[0]["ring"]["radius"].as_f64().unwrap();
    assert!((radius(&larger) / radius(&ring) - 1.25 * 1.25).abs() < 1e-3, "{ring} {larger}");
    phone.tap_words("Arrow").await;
    tap_board(&phone, 0.3, 0.6).await;
    drawn(4).await;
    phone.tap_words("Known length").await;
    tap_board(&phone, 0.1, 0.1).await;
    phone.reads("Now tap the other end.").await;
    tap_board(&phone, 0.482, 0.1).await;
    drawn(6).await;
    phone.tap_words("Length").await;
    tap_board(&phone, 0.2, 0.8).await;
    tap_board(&phone, 0.44, 0.8).await;
    let all = drawn(8).await;
    assert_eq!(all.as_array().unwrap().len(), 4);
    phone.reads("Length: 12.").await;
    phone.reads("Known length: Blade fuse, width, 19.1 mm").await;
    phone.size(390, 3_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.picture("draw").await;
    phone.size(320, 3_000).await;
    let fits = "return document.documentElement.scrollWidth <= document.documentElement.clientWidth";
    assert_eq!(phone.script(fits, vec![]).await, json!(true));
    phone.picture("draw-320").await;
    phone.size(390, 844).await;

    // By the keyboard: what was drawn last moves, Enter draws in the middle.
    let board = phone.see("#board").await;
    board.send_keys("\u{e014}").await.unwrap();
    let moved = drawn(9).await;
    assert_ne!(moved, all);
    let before = of_kind(&phone, &job, "taken_back").await.len();
    phone.tap("#take-back").await;
    until("the step is taken back", async || of_kind(&phone, &job, "taken_back").await.len() == before + 1).await;

    // With the network off, the report shows it.
    phone.open(&format!("{}/job/{job}/report", desk.url())).await;
    until("the report draws it", async || {
        let lines =
            "return document.querySelector('#report')?.contentDocument?.querySelectorAll('.drawn-on .over').length";
        phone.script(lines, vec![]).await == json!(4)
    })
    .await;
    let told = "return document.querySelector('#report').contentDocument.querySelector('.drawn').innerText";
    let told = phone.script(told, vec![]).await;
    assert!(told.as_str().unwrap().contains("Length: 12."), "{told}");
    until("the desk has it", async || desk.events(&job).await.iter().any(|event| event["kind"] == "drawn")).await;
    let page = desk.get(&format!("/desk/jobs/{job}")).await.text().await.unwrap();
    assert_eq!(page.matches(r#"class="over""#).count(), 4, "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_spoken_note_is_kept_heard_again_sent_and_played_at_the_desk() {
    let desk = Desk::start().await;
    let phone = Phone::with(&["--use-fake-ui-for-media-stream".to_owned()]).await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    phone.tap("#speak").await;
    phone.reads("0:02").await;
    phone.size(390, 12_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;
    phone.tap("#spoken").await;
    let recording = async || {
        let photos = of_kind(&phone, &job, "photo").await;
        photos
            .into_iter()
            .find(|event| event["body"]["media_type"].as_str().is_some_and(|kind| kind.starts_with("audio/")))
    };
    until("it is kept", async || recording().await.is_some()).await;
    let body = recording().await.unwrap()["body"].clone();
    assert!(body["seconds"].as_f64().unwrap() >= 2.0, "{body}");
    let name = body["sha256"].as_str().unwrap();
    let bytes = phone.kept_photo(name).await;
    let hash: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(hash, name);
    phone.tap_words("Hear it").await;
    until("it plays", async || {
        phone.script("return document.querySelector('audio')?.currentTime > 0.1", vec![]).await == json!(true)
    })
    .await;
    phone.picture("voice").await;

    // Whoever leaves the screen while speaking loses nothing.
    phone.tap("#speak").await;
    phone.reads("0:01").await;
    phone.tap(".back").await;
    until("that one is kept too", async || {
        let photos = of_kind(&phone, &job, "photo").await;
        photos.iter().filter(|event| event["body"]["seconds"].is_number()).count() == 2
    })
    .await;

    until("the desk has the sound", async || {
        desk.get(&format!("/desk/jobs/{job}/photos/{name}")).await.status() == 200
    })
    .await;
    let sent = desk.get(&format!("/desk/jobs/{job}/photos/{name}")).await;
    assert_eq!(sent.headers()["content-type"].to_str().unwrap(), body["media_type"].as_str().unwrap());
    assert_eq!(sent.bytes().await.unwrap(), bytes);
    phone.sign_in(&desk).await;
    phone.open(&format!("{}/desk/jobs/{job}", desk.url())).await;
    // A browser plays nothing before its user has touched the page.
    phone.tap("h1").await;
    phone.script("const sound = document.querySelector('audio'); sound.muted = true; sound.play();", vec![]).await;
    until("the desk plays it", async || {
        phone.script("return document.querySelector('audio').currentTime > 0.1", vec![]).await == json!(true)
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_note_whose_microphone_is_taken_away_or_whose_job_is_left_is_kept_where_it_was_begun() {
    let desk = Desk::start().await;
    let phone = Phone::with(&["--use-fake-ui-for-media-stream".to_owned()]).await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let spoken = async || {
        let photos = of_kind(&phone, &job, "photo").await;
        photos.iter().filter(|event| event["body"]["seconds"].is_number()).count()
    };
    let catch = "const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
                 navigator.mediaDevices.getUserMedia = async (wish) => (window.caught = await ask(wish));";
    phone.script(catch, vec![]).await;
    phone.tap("#speak").await;
    phone.reads("0:01").await;
    // As the browser does it when a call takes the microphone: the recorder has ended by itself when the note is kept.
    let take_away = "const [track] = window.caught.getTracks(); track.stop();
                     setTimeout(() => track.dispatchEvent(new Event('ended')), 500);";
    phone.script(take_away, vec![]).await;
    until("it is kept", async || spoken().await == 1).await;
    phone.see("#speak").await;

    // Another job is opened at once, faster than a note can be made ready.
    phone.tap("#speak").await;
    phone.reads("0:01").await;
    phone.tap("button.way-key").await;
    phone.tap_words("All jobs").await;
    phone.tap("#new-job").await;
    phone.reads("Its name in the fuse box").await;
    until("it is kept in the job where it was begun", async || spoken().await == 2).await;
    let live = "return window.caught.getTracks().some((track) => track.readyState === 'live')";
    assert_eq!(phone.script(live, vec![]).await, json!(false), "the microphone is let go");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_camera_that_is_granted_after_its_finder_was_closed_goes_dark_at_once() {
    let desk = Desk::start().await;
    let phone = Phone::with(&["--use-fake-ui-for-media-stream".to_owned()]).await;
    phone.practise(&desk).await;
    phone.to_a_place().await;
    let slow = "const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
                navigator.mediaDevices.getUserMedia = async (wish) => {
                  const stream = await ask(wish);
                  await new Promise((go) => setTimeout(go, 1500));
                  return (window.caught = stream);
                };";
    phone.script(slow, vec![]).await;
    phone.tap("#shoot-lie").await;
    phone.tap("#finder-close").await;
    until("the camera was granted, and is off", async || {
        phone.script("return window.caught?.getTracks()[0].readyState", vec![]).await == json!("ended")
    })
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn without_leave_for_the_microphone_a_note_is_tapped_or_typed() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.open(&desk.url()).await;
    phone.permit("microphone", false).await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    phone.tap("#speak").await;
    phone.reads("allow it in the browser's settings").await;
    phone.reads("Tap a phrase or type the note instead").await;
    phone.tap("#read-it").await;
    phone.tap_words("Grommet torn").await;
    until("the phrase is kept", async || !of_kind(&phone, &job, "note").await.is_empty()).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_test_drive_survives_a_dead_battery_and_becomes_evidence() {
    let desk = Desk::start().await;
    let mut phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.ready_for_offline().await;
    let url = format!("{}/job/{job}/road", desk.url());
    phone.open(&url).await;
    phone.see("#road-begin").await;
    phone.size(390, 3_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;
    let before = of_kind(&phone, &job, "blow").await.len();
    phone.tap("#road-begin").await;
    phone.tap("#road-Bump").await;
    phone.reads("Bump · 1").await;
    phone.picture("road").await;
    phone.restart().await;
    phone.open(&url).await;
    phone.reads("Bump · 1").await;
    phone.tap("#road-Bump").await;
    phone.reads("Bump · 2").await;
    phone.size(390, 3_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.size(390, 844).await;
    phone.tap("#road-opened").await;
    until("it is evidence", async || of_kind(&phone, &job, "blow").await.len() == before + 1).await;
    let blow = of_kind(&phone, &job, "blow").await.pop().unwrap();
    assert_eq!(blow["body"]["motion"], "rough", "a bump just before: {blow}");
    phone.tap("#road-end").await;
    phone.see("#road-begin").await;
    phone.open(&format!("{}/job/{job}/opening", desk.url())).await;
    phone.see("#to-road").await;
    phone.reads("It opened: rough road").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn opened_by_its_icon_the_app_goes_on_where_it_was() {
    let desk = Desk::start().await;
    let mut phone = Phone::new().await;
    let icon = format!("{}/?from=icon", desk.url());
    phone.open(&icon).await;
    assert_eq!(phone.title().await, "Jobs", "nothing to go on with");
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let place = phone.driver().current_url().await.unwrap().path().to_owned();
    phone.ready_for_offline().await;
    phone.restart_later().await;
    phone.open(&icon).await;
    phone.see("#seen-Sound").await;
    assert_eq!(phone.driver().current_url().await.unwrap().path(), place);
    assert!(place.contains(&job));
    // Whoever goes to the jobs is not sent back.
    phone.tap("button.way-key").await;
    phone.tap_words("All jobs").await;
    phone.see("#new-job").await;
    phone.restart_later().await;
    phone.open(&icon).await;
    phone.see("#new-job").await;
    assert_eq!(phone.title().await, "Jobs");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_clap_near_the_phone_takes_the_photograph() {
    let folder = tempfile::tempdir().unwrap();
    let sound = folder.path().join("clap.wav");
    // A quiet room, and a clap after 4 s that rings off.
    wav(&sound, 34, |at, noise| {
        let clap = if at < 4.0 { 0.0 } else { 0.9 * (-(at - 4.0) / 0.02).exp() };
        noise * (0.002 + clap)
    });
    let desk = Desk::start().await;
    let phone = Phone::with(&[
        "--use-fake-ui-for-media-stream".to_owned(),
        format!("--use-file-for-fake-audio-capture={}%noloop", sound.display()),
    ])
    .await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let before = of_kind(&phone, &job, "photo").await.len();
    phone.tap("#shoot-lie").await;
    phone.see("#shutter:not(:disabled)").await;
    phone.tap("#by-knock").await;
    phone.reads("Knock: light").await;
    phone.see("#shot-keep").await;
    assert_eq!(of_kind(&phone, &job, "photo").await.len(), before + 1);
}

/// From now on the browser's database answers as on a full device. (That it says so by itself at its limit, and leaves no
/// trace, is tested with a real limit in `browser_store.rs`; what is left below a limit is cached, and no limit for a test.)
async fn fill_up(phone: &Phone) {
    let full = "IDBObjectStore.prototype.put = IDBObjectStore.prototype.add =
                () => { throw new DOMException('The device is full.', 'QuotaExceededError'); };";
    phone.script(full, vec![]).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn with_full_storage_what_was_shot_and_spoken_is_given_out_as_files_and_said_not_to_be_kept() {
    let desk = Desk::start().await;
    let phone = Phone::with(&["--use-fake-ui-for-media-stream".to_owned()]).await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let before = phone.kept_events(&job).await.len();
    fill_up(&phone).await;
    phone.tap("#shoot-lie").await;
    phone.finder_sees().await;
    phone.tap("#shutter").await;
    phone.reads("It could not be kept in the job. It was given out as a file: it lies where this browser puts").await;
    // Of the kind that the browser's made-up camera takes.
    let shot = std::fs::read(phone.downloaded(".png").await).unwrap();
    assert!(shot.starts_with(b"\x89PNG") && shot.windows(4).any(|word| word == b"IEND"), "a whole picture");
    phone.picture("camera-full").await;
    phone.tap("#finder-close").await;
    phone.tap("#read-it").await;
    phone.tap("#speak").await;
    phone.reads("0:01").await;
    phone.tap("#spoken").await;
    phone.reads("The spoken note was not kept").await;
    phone.reads("It was given out as a file").await;
    assert!(std::fs::read(phone.downloaded(".webm").await).unwrap().len() > 100);
    assert_eq!(phone.kept_events(&job).await.len(), before, "and nothing half of it was kept");
}

#[tokio::test(flavor = "multi_thread")]
async fn with_full_storage_whoever_closes_the_phones_menu_has_the_picture_and_the_note_among_the_downloads() {
    let desk = Desk::start().await;
    let phone = Phone::with(&["--use-fake-ui-for-media-stream".to_owned()]).await;
    phone.practise(&desk).await;
    phone.to_a_place().await;
    fill_up(&phone).await;
    let closed = "navigator.canShare = () => true;
        navigator.share = async () => { globalThis.asked = true; throw new DOMException('closed', 'AbortError'); };";
    phone.script(closed, vec![]).await;
    phone.tap("#shoot-lie").await;
    phone.finder_sees().await;
    phone.tap("#shutter").await;
    phone.reads("It was given out as a file: it lies where this browser puts its downloads.").await;
    assert_eq!(phone.script("return globalThis.asked", vec![]).await, json!(true), "the menu was offered first");
    assert!(std::fs::read(phone.downloaded(".png").await).unwrap().starts_with(b"\x89PNG"));
    phone.tap("#finder-close").await;
    phone.tap("#read-it").await;
    phone.tap("#speak").await;
    phone.reads("0:01").await;
    phone.tap("#spoken").await;
    phone.reads("It was given out as a file: it lies where this browser puts its downloads.").await;
    assert!(std::fs::read(phone.downloaded(".webm").await).unwrap().len() > 100);

    // Given to another program: it is not said to be among the downloads.
    phone.tap("#read-it").await;
    phone.script("navigator.share = async () => {};", vec![]).await;
    phone.tap("#speak").await;
    phone.reads("0:01").await;
    phone.tap("#spoken").await;
    phone.reads("It was given out as a file: it lies where you have sent it.").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_camera_that_is_taken_away_says_so_and_what_was_shot_stays() {
    let desk = Desk::start().await;
    let phone = Phone::with(&["--use-fake-ui-for-media-stream".to_owned()]).await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let before = of_kind(&phone, &job, "photo").await.len();
    phone.tap("#shoot-lie").await;
    phone.see("#shutter:not(:disabled)").await;
    // As the browser does it when another app, or a call, takes the camera.
    let take_away = "const [track] = document.querySelector('.finder-view').srcObject.getTracks();
                     track.stop(); track.dispatchEvent(new Event('ended'));";
    phone.script(take_away, vec![]).await;
    phone.reads("The camera was taken away").await;
    assert!(!phone.see("#shutter").await.is_enabled().await.unwrap());
    phone.tap("#finder-close").await;
    phone.tap("#shoot-lie").await;
    phone.finder_sees().await;
    phone.tap("#shutter").await;
    phone.script(take_away, vec![]).await;
    // In mid-shot it is either there or not, and the finder says which.
    let said = async || phone.see(".finder-says").await.text().await.unwrap();
    until("it says how that went", async || said().await == "Kept." || said().await.contains("phone's own camera"))
        .await;
    let kept = of_kind(&phone, &job, "photo").await.len() - before;
    assert_eq!(kept, usize::from(said().await == "Kept."));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_file_that_is_no_picture_is_refused_with_words_and_nothing_is_lost() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let before = phone.kept_events(&job).await.len();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("invoice.jpg");
    std::fs::write(&file, "no picture at all").unwrap();
    phone.choose_file("#photo-lie-file", &file).await;
    phone.reads("The photograph was not kept").await;
    phone.see("#read-it").await;
    assert_eq!(phone.kept_events(&job).await.len(), before);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photograph_that_was_taken_back_by_mistake_is_brought_back_with_what_is_drawn_on_it() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let place = phone.script("return location.href", vec![]).await.as_str().unwrap().to_owned();
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/demo/pictures/close.jpg");
    let before = of_kind(&phone, &job, "photo").await.len();
    phone.choose_file("#photo-lie-file", &file).await;
    phone.tap("a[aria-label^='Draw, measure']").await;
    until("the photograph is shown", async || {
        phone.script("return document.querySelector('#board img')?.naturalWidth > 0", vec![]).await == json!(true)
    })
    .await;
    let drawings = of_kind(&phone, &job, "drawn").await.len();
    tap_board(&phone, 0.5, 0.5).await;
    until("the ring is kept", async || of_kind(&phone, &job, "drawn").await.len() == drawings + 1).await;
    phone.open(&place).await;
    phone.tap("[aria-label^='Take back this photograph']").await;
    until("the photograph is gone", async || {
        phone.script("return document.querySelector(\"[aria-label^='Take back this']\") === null", vec![]).await
            == json!(true)
    })
    .await;
    // A page that is loaded again still offers it.
    phone.open(&place).await;
    phone.tap("#taken-back summary").await;
    phone.size(390, 6_000).await;
    assert_eq!(phone.axe().await, Vec::<String>::new());
    phone.picture("taken-back").await;
    phone.size(320, 6_000).await;
    let fits = "return document.documentElement.scrollWidth <= document.documentElement.clientWidth";
    assert_eq!(phone.script(fits, vec![]).await, json!(true));
    phone.picture("taken-back-320").await;
    phone.tap("[aria-label^='Bring back this photograph']").await;
    phone.see("[aria-label^='Take back this photograph']").await;
    let photos = of_kind(&phone, &job, "photo").await;
    assert_eq!(photos.len(), before + 2);
    assert_eq!(photos[before]["body"], photos[before + 1]["body"]);
    let drawn = of_kind(&phone, &job, "drawn").await;
    assert_eq!(drawn.len(), drawings + 2);
    assert_eq!(drawn[drawings + 1]["body"]["photo"], photos[before + 1]["id"]);
    assert_eq!(drawn[drawings + 1]["body"]["strokes"], drawn[drawings]["body"]["strokes"]);
    assert_eq!(phone.script("return document.querySelector('#lift').disabled", vec![]).await, json!(false));
    assert_eq!(phone.script("return document.querySelector('#taken-back') === null", vec![]).await, json!(true));
    // One tap brought it back, and one takes it back again with the ring.
    let before = of_kind(&phone, &job, "taken_back").await.len();
    phone.tap("#take-back").await;
    until("both are taken back", async || of_kind(&phone, &job, "taken_back").await.len() == before + 2).await;
    phone.tap("#taken-back summary").await;
    phone.tap("[aria-label^='Bring back this photograph']").await;
    until("the ring is there for the third time", async || of_kind(&phone, &job, "drawn").await.len() == drawings + 3)
        .await;
    let third = of_kind(&phone, &job, "drawn").await;
    assert_eq!(third[drawings + 2]["body"]["strokes"], third[drawings]["body"]["strokes"]);
}
