//! What goes wrong around the app, over a whole job: a browser that is killed, a clock that jumps back, a second tab, a
//! device that is full, storage that the browser throws away. All that was said to be kept is there, or at the desk, and the
//! screen says what is.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use crate::browser_support::{Desk, Phone, until};
use crate::dice::Dice;
use serde_json::{Value, json};

/// How often the browser is killed: by hand more, `LOOMWALK_KILLS=200`.
const KILLS: usize = 30;

/// Screens of a job on which something can be done.
const SCREENS: [&str; 8] = ["walk", "opening", "circuit", "dead", "unplug", "meter", "repair", "road"];

/// Taps what can be tapped, anything, as fast as the page takes it; but nothing that leaves the job.
const TAP_ANYTHING: &str = "
    let seed = arguments[0];
    const dice = (below) => { seed = (seed * 48271) % 2147483647; return seed % below; };
    setInterval(() => {
      const keys = [...document.querySelectorAll('main button, main summary, main input[type=checkbox], .action button')]
        .filter((key) => !key.disabled && !/Forget|Unpair|Delete|Print/.test(key.textContent));
      keys.length && keys[dice(keys.length)].click();
    }, 30);";

fn ids(events: &[Value]) -> Vec<&str> {
    events.iter().map(|event| event["id"].as_str().unwrap()).collect()
}

/// How many entries the screen says are kept.
async fn said(phone: &Phone) -> Option<usize> {
    let line = phone.script("return document.querySelector('#kept')?.innerText ?? ''", vec![]).await;
    let line = line.as_str()?.strip_prefix("Kept on this phone: ")?.to_owned();
    line.split(' ').next()?.parse().ok()
}

#[tokio::test(flavor = "multi_thread")]
async fn killed_anywhere_in_a_job_the_phone_has_all_that_it_said_it_kept() {
    let kills = std::env::var("LOOMWALK_KILLS").ok().map_or(KILLS, |kills| kills.parse().unwrap());
    let mut desk = Desk::start().await;
    let mut phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.ready_for_offline().await;
    desk.stop();
    let began_with = phone.kept_events(&job).await.len();
    let mut dice = Dice(20_261_130);
    let mut kept: Vec<Value> = Vec::new();
    for kill in 0..kills {
        let screen = SCREENS[dice.below(SCREENS.len())];
        phone.open(&format!("{}/job/{job}/{screen}", desk.url())).await;
        until("the job is there", async || said(&phone).await.is_some()).await;
        phone.script(TAP_ANYTHING, vec![json!(dice.below(1_000_000) + 1)]).await;
        let moment = Duration::from_millis(dice.below(900) as u64);
        let (begun, mut most) = (Instant::now(), 0);
        while begun.elapsed() < moment {
            most = said(&phone).await.map_or(most, |said| said.max(most));
        }
        phone.restart().await;

        phone.open(&format!("{}/job/{job}/walk", desk.url())).await;
        until("the job is there again", async || said(&phone).await.is_some()).await;
        let events = phone.kept_events(&job).await;
        assert!(events.len() >= most, "kill {kill} on {screen}: {} entries, {most} were said to be kept", events.len());
        assert_eq!(said(&phone).await, Some(events.len()), "kill {kill} on {screen}: what is said is what is there");
        let here = ids(&events);
        for before in ids(&kept) {
            assert!(here.contains(&before), "kill {kill} on {screen}: {before} is gone");
        }
        kept = events;
    }
    assert!(kept.len() > began_with + kills, "entries were made: {} after {began_with}", kept.len());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_clock_that_jumps_back_a_day_disturbs_neither_the_log_nor_the_desk() {
    let desk = Desk::start().await;
    let mut phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let place = phone.driver().current_url().await.unwrap().to_string();
    phone.tap("#seen-Marked").await;
    phone.see("#seen-Marked[aria-pressed=true]").await;
    let before = phone.kept_events(&job).await;

    let yesterday = "const now = Date.now.bind(Date);
        globalThis.Date = class extends Date {
          constructor(...given) { given.length ? super(...given) : super(now() - 86_400_000); }
          static now() { return now() - 86_400_000; }
        };";
    phone.restart().await;
    phone.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": yesterday })).await;
    phone.open(&place).await;
    phone.tap("#seen-Thinned").await;
    phone.see("#seen-Thinned[aria-pressed=true]").await;
    let after = phone.kept_events(&job).await;
    let (last, new) = (before.last().unwrap(), after.last().unwrap());
    assert!(new["at"].as_str() < last["at"].as_str(), "the clock did jump back: {new}");
    assert_eq!((new["kind"].as_str(), new["body"]["seen"].as_str()), (Some("look"), Some("thinned")), "{new}");
    assert!(ids(&after).is_sorted() && after.len() == before.len() + 1, "what was done last comes last");
    until("the desk has it too", async || ids(&desk.events(&job).await).contains(&new["id"].as_str().unwrap())).await;
    phone.restart().await;
    phone.open(&place).await;
    phone.see("#seen-Thinned[aria-pressed=true]").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn two_tabs_on_one_job_show_and_keep_the_same() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    let place = phone.driver().current_url().await.unwrap().to_string();
    phone.ready_for_offline().await;
    desk.stop();
    let tabs = [phone.driver().window().await.unwrap(), phone.driver().new_tab().await.unwrap()];
    phone.driver().switch_to_window(tabs[1].clone()).await.unwrap();
    phone.open(&place).await;
    phone.see("#seen-Sound").await;
    let before = phone.kept_events(&job).await.len();
    let answers = ["Marked", "Thinned", "Sound", "Bare", "Marked", "Severed"];
    for (turn, answer) in answers.iter().enumerate() {
        phone.driver().switch_to_window(tabs[turn % 2].clone()).await.unwrap();
        phone.tap(&format!("#seen-{answer}")).await;
        for tab in &tabs {
            phone.driver().switch_to_window(tab.clone()).await.unwrap();
            phone.see(&format!("#seen-{answer}[aria-pressed=true]")).await;
        }
    }
    let after = phone.kept_events(&job).await;
    assert_eq!(after.len(), before + answers.len());
    let seen: Vec<String> =
        after[before..].iter().map(|event| event["body"]["seen"].as_str().unwrap().to_owned()).collect();
    assert_eq!(seen, answers.map(str::to_lowercase));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_full_device_says_so_keeps_what_it_had_and_goes_on_with_what_fits() {
    use base64::Engine as _;
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    // The app itself takes some 8 MB of it.
    let room = json!({ "origin": desk.url(), "quotaSize": 40_000_000 });
    phone.devtools("Storage.overrideQuotaForOrigin", room).await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    phone.reads("The desk has all of it").await;
    desk.stop();
    let before = (phone.kept_events(&job).await, phone.rows().await);
    // What stands behind a picture's end belongs to nobody, and is kept all the same. By chance, or the store packs it.
    let photograph = "const picture = Uint8Array.from(atob(arguments[0]), (letter) => letter.charCodeAt(0));
        const more = new Uint8Array(arguments[1]);
        for (let at = 0; at < more.length; at += 65536) crypto.getRandomValues(more.subarray(at, at + 65536));
        const files = new DataTransfer();
        files.items.add(new File([picture, more], 'photo.jpg', { type: 'image/jpeg' }));
        const input = document.querySelector('#photo-lie-file');
        input.files = files.files;
        input.dispatchEvent(new Event('change', { bubbles: true }));";
    let picture = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/photos/upright.jpg");
    let picture = json!(base64::engine::general_purpose::STANDARD.encode(std::fs::read(picture).unwrap()));
    phone.see("#photo-lie-file").await;
    phone.script(photograph, vec![picture.clone(), json!(50_000_000)]).await;
    phone.reads("there is no room left on this device for that").await;
    assert_eq!((phone.kept_events(&job).await, phone.rows().await), before, "all of it or nothing");
    phone.tap("#read-it").await;
    phone.script(photograph, vec![picture, json!(1_000)]).await;
    until("a photograph that fits is kept", async || phone.kept_events(&job).await.len() > before.0.len()).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_the_browser_threw_away_is_got_back_from_the_desk() {
    let desk = Desk::start().await;
    let phone = Phone::new().await;
    let job = phone.practise(&desk).await;
    phone.to_a_place().await;
    phone.tap("#seen-Marked").await;
    phone.see("#seen-Marked[aria-pressed=true]").await;
    phone.reads("The desk has all of it").await;
    let before = phone.kept_events(&job).await;

    phone.driver().goto("about:blank").await.unwrap();
    let everything = json!({ "origin": desk.url(), "storageTypes": "all" });
    phone.devtools("Storage.clearDataForOrigin", everything).await;
    phone.open(&desk.url()).await;
    phone.reads("A fuse opens now and then").await;
    phone.pair(&desk).await;
    phone.open(&desk.url()).await;
    phone.tap("#desk-jobs").await;
    phone.tap(&format!("button.line[data-job='{job}']")).await;
    phone.see("#next-step").await;
    assert_eq!(phone.kept_events(&job).await, before);
    let photographs = before.iter().filter(|event| event["kind"] == "photo").count();
    assert!(photographs > 0);
    phone.open(&format!("{}/job/{job}/report", desk.url())).await;
    until("its pictures are in the report", async || {
        let shown = phone
            .script(
                "return [...document.getElementById('report')?.contentDocument?.images ?? []].filter((image) => image.naturalWidth > 0).length",
                vec![],
            )
            .await;
        shown.as_u64().is_some_and(|shown| shown > 0)
    })
    .await;
}

/// As README says that a store is backed up and brought back.
fn copy(from: &Path, to: &Path) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    let places = [from, to].map(|place| format!("file://{}", place.display()));
    let said = command.arg("copy").args(places).output().unwrap();
    assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_desk_that_was_brought_back_from_last_nights_copy_gets_the_days_work_again() {
    let mut desk = Desk::start().await;
    let phone = Phone::new().await;
    phone.pair(&desk).await;
    assert_eq!(desk.get("/api/v1/jobs").await.status(), 200, "the tests' own phone is known from before");
    let night = tempfile::TempDir::new().unwrap();
    copy(desk.store.path(), night.path());

    phone.open(&desk.url()).await;
    phone.tap("#practice").await;
    phone.see("#next-step").await;
    let job = phone.job().await;
    phone.to_a_place().await;
    phone.tap("#seen-Marked").await;
    phone.see("#seen-Marked[aria-pressed=true]").await;
    phone.reads("The desk has all of it").await;
    let kept = phone.kept_events(&job).await;
    let pictures: Vec<&str> = kept
        .iter()
        .filter(|event| event["kind"] == "photo")
        .map(|event| event["body"]["sha256"].as_str().unwrap())
        .collect();
    assert!(!pictures.is_empty());

    // Its disk is gone, and with it the day; another time only what it had received is.
    for lost in [&[""][..], &["jobs", "photos"]] {
        desk.stop();
        for lost in lost {
            std::fs::remove_dir_all(desk.store.path().join(lost)).unwrap();
        }
        // What is written down of the jobs goes with them.
        let _ = std::fs::remove_dir_all(desk.store.path().join("index"));
        copy(night.path(), desk.store.path());
        desk.start_again().await;
        assert!(desk.events(&job).await.is_empty());

        phone.script("dispatchEvent(new Event('online'))", vec![]).await;
        until("the desk has all of it again", async || ids(&desk.events(&job).await) == ids(&kept)).await;
        for picture in &pictures {
            assert_eq!(desk.get(&format!("/api/v1/photos/{picture}?edge=320")).await.status(), 200, "{picture}");
        }
        phone.reads("The desk has all of it").await;
    }
}
