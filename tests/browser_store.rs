//! Does what the phone keeps and sends hold in a real browser: the store's contract on IndexedDB, a full disk, two tabs,
//! photographs through the worker, a desk that fails?
//!
//! The page is `examples/store_contract.rs`; `cargo xtask test` builds it and says where it is: `LOOMWALK_STORE_PAGE`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::{HeaderName, HeaderValue, Method, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use futures::{StreamExt, stream};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use tokio::net::TcpListener;
use tower_http::services::ServeDir;
use tower_http::set_header::SetResponseHeaderLayer;

use crate::browser_support::{Phone, free_port, place, until};

/// As the desk sends it: no script but our own, no address but ours.
const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; img-src 'self' blob:; \
    style-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// A desk that does as a test says.
#[derive(Default)]
struct Desk {
    /// What was asked, in order: method and path without ids.
    asked: Vec<String>,
    /// Answers to be given before the true ones: status, for the next call of this kind (`PUT photo` …). 0: an answer that
    /// stops in the middle.
    faults: Vec<(&'static str, u16)>,
    photos: BTreeMap<String, usize>,
    events: Vec<Value>,
}

type Shared = Arc<Mutex<Desk>>;

/// What is put in front of the worker's script, one a start.
type WorkerWords = Arc<Mutex<Vec<&'static str>>>;

struct Server {
    port: u16,
    desk: Shared,
    worker_words: WorkerWords,
}

impl Server {
    async fn start(has_desk: bool) -> Self {
        let (port, desk, worker_words) = (free_port(), Shared::default(), WorkerWords::default());
        let worker = axum::routing::get(worker).with_state(worker_words.clone());
        let files = ServeDir::new(place("LOOMWALK_STORE_PAGE"));
        let mut app = Router::new().route("/worker.js", worker).fallback_service(files);
        if has_desk {
            app = app.merge(Router::new().route("/api/v1/{*call}", axum::routing::any(api)).with_state(desk.clone()));
        }
        let policy = (HeaderName::from_static("content-security-policy"), HeaderValue::from_static(POLICY));
        let app = app.layer(SetResponseHeaderLayer::overriding(policy.0, policy.1));
        let app = app.layer(axum::extract::DefaultBodyLimit::disable());
        let listener = TcpListener::bind(("127.0.0.1", port)).await.unwrap();
        tokio::spawn(async move { axum::serve(listener, app).await });
        Self { port, desk, worker_words }
    }

    /// Opens the page with a task, as if for the first time.
    async fn open(&self, phone: &Phone, task: &str) {
        phone.driver().goto("about:blank").await.unwrap();
        phone.open(&format!("http://127.0.0.1:{}/#{task}", self.port)).await;
    }

    fn asked(&self) -> Vec<String> {
        self.desk.lock().unwrap().asked.clone()
    }

    fn faults(&self, faults: &[(&'static str, u16)]) {
        self.desk.lock().unwrap().faults = faults.to_vec();
    }
}

async fn worker(State(words): State<WorkerWords>) -> Response {
    let first = words.lock().unwrap().pop().unwrap_or_default();
    let script = std::fs::read_to_string(place("LOOMWALK_STORE_PAGE").join("worker.js")).unwrap();
    let headers = [(header::CONTENT_TYPE, "text/javascript"), (header::CACHE_CONTROL, "no-store")];
    (headers, format!("{first}\n{script}")).into_response()
}

async fn api(State(desk): State<Shared>, method: Method, uri: Uri, body: Bytes) -> Response {
    let path: Vec<&str> = uri.path().trim_start_matches("/api/v1/").split('/').collect();
    let kind = match path[0] {
        "photos" => "photo",
        "jobs" => "bundle",
        other => other,
    };
    let call = format!("{method} {kind}");
    let mut desk = desk.lock().unwrap();
    desk.asked.push(call.clone());
    if let Some(at) = desk.faults.iter().position(|(of, _)| *of == call) {
        let (_, status) = desk.faults.remove(at);
        if status == 0 {
            let begun = stream::once(async { Ok::<_, std::convert::Infallible>(Bytes::from("{\"")) });
            return Body::from_stream(begun.chain(stream::pending())).into_response();
        }
        let problem =
            json!({ "type": "about:blank", "title": "", "status": status, "detail": format!("fault {status}") });
        let retry = (HeaderName::from_static("retry-after"), "1");
        return (StatusCode::from_u16(status).unwrap(), [retry], problem.to_string()).into_response();
    }
    let is_json = [(header::CONTENT_TYPE, "application/json")];
    match call.as_str() {
        "GET health" => {
            let health = json!({ "program": "loomwalk", "version": "0", "protocol": 1 });
            (is_json, health.to_string()).into_response()
        }
        "HEAD photo" if desk.photos.contains_key(path[1]) => StatusCode::OK.into_response(),
        "HEAD photo" => StatusCode::NOT_FOUND.into_response(),
        "PUT photo" => {
            let hash: String = Sha256::digest(&body).iter().map(|byte| format!("{byte:02x}")).collect();
            assert_eq!(hash, path[1], "the bytes bear their name");
            desk.photos.insert(hash, body.len());
            StatusCode::CREATED.into_response()
        }
        "PUT bundle" => {
            let bundle: Value = serde_json::from_slice(&body).unwrap();
            let log = bundle["log"].as_array().unwrap().clone();
            let ids: Vec<Value> = log.iter().map(|event| event["id"].clone()).collect();
            desk.events.extend(log);
            let receipt = json!({
                "job": path[1], "bundle_id": path[3], "events": ids, "log_digest": bundle["log_digest"],
                "missing_photos": [],
            });
            (StatusCode::CREATED, is_json, receipt.to_string()).into_response()
        }
        _ => StatusCode::NOT_FOUND.into_response(),
    }
}

fn case(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/photos").join(name)
}

#[tokio::test(flavor = "multi_thread")]
async fn the_store_on_indexed_db_keeps_its_promises_and_writes_strictly() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    server.open(&phone, "contract").await;
    phone.reads("Ok(12)").await;
    server.open(&phone, "durability").await;
    phone.reads(r#"Some("strict")"#).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_full_device_is_an_error_that_leaves_no_trace() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    let quota = json!({ "origin": format!("http://127.0.0.1:{}", server.port), "quotaSize": 12_000_000 });
    phone.devtools("Storage.overrideQuotaForOrigin", quota).await;
    server.open(&phone, "fill").await;
    phone.reads("there is no room left on this device").await;
    phone.reads("the shelf is full: true, and as it was: true").await;
    phone.reads("some were kept: true, the refused one left no trace: true").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn another_tab_hears_of_what_was_kept_and_a_newer_version_is_told() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    server.open(&phone, "listen").await;
    phone.reads("listening").await;
    let first = phone.driver().window().await.unwrap();
    let second = phone.driver().new_tab().await.unwrap();
    phone.driver().switch_to_window(second).await.unwrap();
    server.open(&phone, "keep").await;
    phone.reads("kept").await;
    phone.driver().switch_to_window(first.clone()).await.unwrap();
    phone.reads("changed: Ok(1)").await;
    let second = phone.driver().new_tab().await.unwrap();
    phone.driver().switch_to_window(second).await.unwrap();
    server.open(&phone, "shelve").await;
    phone.reads("shelved 1").await;
    phone.driver().switch_to_window(first).await.unwrap();
    phone.reads("shelf changed: Ok(1)").await;

    // A newer version opens the same database with a higher number: the tabs let go of it, and say so when used.
    let opened = phone
        .script_async(
            "const done = arguments[arguments.length - 1]; const open = indexedDB.open('loomwalk', 1000);
             open.onsuccess = () => { open.result.close(); done('open'); }; open.onerror = () => done('error');",
            vec![],
        )
        .await;
    assert_eq!(opened, "open");
    phone.script("dispatchEvent(new Event('online'))", vec![]).await;
    phone.reads("a newer version of Loomwalk has been at work here").await;
    server.open(&phone, "keep").await;
    phone.reads("a newer version of Loomwalk has been at work here").await;
}

/// A database as version 1 of it was left: made without the program, by what that version wrote where.
const VERSION_1: &str = r#"
    const done = arguments[arguments.length - 1];
    const [job, hash] = ['0199c0de-0000-7000-8000-000000000001', 'ab'.repeat(32)];
    const [event, bundle] = ['0199c0de-0000-7000-8000-000000000002', '0199c0de-0000-7000-8000-000000000003'];
    const device = '0199c0de-0000-7000-8000-000000000004';
    const open = indexedDB.open('loomwalk', 1);
    open.onupgradeneeded = () => {
      for (const store of ['events', 'jobs', 'originals', 'previews', 'thumbs', 'receipts', 'confirmed', 'settings'])
        open.result.createObjectStore(store);
    };
    open.onsuccess = () => {
      const write = open.result.transaction([...open.result.objectStoreNames], 'readwrite');
      const put = (store, value, key) => write.objectStore(store).put(value, key);
      const bytes = (...all) => new Uint8Array(all).buffer;
      put('events', { job, event: JSON.stringify({ id: event, at: '2026-03-03T09:30:00Z', device_id: device,
        kind: 'note', body: { text: 'kept by version 1' } }) }, [job, event]);
      put('jobs', true, job);
      put('originals', { type: 'image/jpeg', bytes: bytes(1, 2, 3) }, hash);
      put('previews', bytes(4, 5), hash);
      put('thumbs', bytes(6), hash);
      put('receipts', JSON.stringify({ job, bundle_id: bundle, events: [event], log_digest: '0'.repeat(64),
        missing_photos: [] }), [job, bundle]);
      put('confirmed', true, hash);
      put('settings', device, 'device');
      write.oncomplete = () => { open.result.close(); done('made'); };
      write.onabort = () => done('aborted');
    };
    open.onerror = () => done('error');"#;

#[tokio::test(flavor = "multi_thread")]
async fn what_version_1_of_the_database_kept_is_all_there_in_the_next() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    server.open(&phone, "nothing").await;
    phone.reads("unknown task").await;
    assert_eq!(phone.script_async(VERSION_1, vec![]).await, "made");
    server.open(&phone, "of-version-1").await;
    phone
        .reads(
            "device 0199c0de-0000-7000-8000-000000000004, 1 jobs, 1 events of 0199c0de-0000-7000-8000-000000000001 (note), \
             1 receipts, 1 photos at the desk, original Some([1, 2, 3]), preview Some([4, 5]), thumb Some([6]), shelf 0, \
             then 1",
        )
        .await;
}

/// Time goes by sixty times as fast for the page.
const HURRY: &str =
    "const later = setTimeout; window.setTimeout = (call, time, ...more) => later(call, time / 60, ...more);";

#[tokio::test(flavor = "multi_thread")]
async fn a_tab_that_does_not_let_go_of_an_older_database_is_named_and_once_it_is_closed_all_goes_on() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    server.open(&phone, "nothing").await;
    phone.reads("unknown task").await;
    // Nobody here hears that a newer version wants it, as in a tab that sleeps.
    let held = "const done = arguments[arguments.length - 1]; const open = indexedDB.open('loomwalk', 1);
        open.onsuccess = () => { window.held = open.result; done('held'); };";
    assert_eq!(phone.script_async(held, vec![]).await, "held");
    let first = phone.driver().window().await.unwrap();
    let second = phone.driver().new_tab().await.unwrap();
    phone.driver().switch_to_window(second).await.unwrap();
    phone.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": HURRY })).await;
    server.open(&phone, "keep").await;
    phone.reads("another tab or window of Loomwalk holds an older version of it").await;
    phone.driver().switch_to_window(first).await.unwrap();
    server.open(&phone, "keep").await;
    phone.reads("kept 1").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_connection_that_was_lost_is_made_anew() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    server.open(&phone, "listen").await;
    phone.reads("listening").await;
    // The browser closes the connection of whoever holds a database that is deleted.
    let deleted = phone
        .script_async(
            "const done = arguments[arguments.length - 1]; const request = indexedDB.deleteDatabase('loomwalk');
             request.onsuccess = () => done('deleted'); request.onerror = () => done('error');",
            vec![],
        )
        .await;
    assert_eq!(deleted, "deleted");
    phone.script("dispatchEvent(new Event('online'))", vec![]).await;
    phone.reads("kept 1").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photograph_goes_through_the_worker_upright_without_its_place_and_through_a_file_unchanged() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    server.open(&phone, "photo").await;
    phone.choose_file("input", &case("sideways-with-place.jpg")).await;
    // 2000 × 1500 pixels lying on their side (Exif orientation 6), taken 13:14:15 at +02:00.
    phone
        .reads("1500x2000, taken 2031-05-04T11:14:15+00:00, place removed: true, preview 1200x1600, thumb 240x320")
        .await;
    phone.reads("packed and unpacked the same: true, preview 1200x1600").await;
    server.open(&phone, "photo").await;
    phone.choose_file("input", &case("upright.jpg")).await;
    phone.reads("640x480, taken ?, place removed: false, preview 640x480, thumb 320x240").await;
    server.open(&phone, "photo").await;
    phone.choose_file("input", &case("small.heic")).await;
    phone.reads("image/heic 583 bytes, 48x32, taken ?, place removed: false, preview none, thumb none").await;
    phone.reads("packed and unpacked the same: true").await;
    server.open(&phone, "photo").await;
    phone.choose_file("input", &Path::new(env!("CARGO_MANIFEST_DIR")).join(file!())).await;
    phone.reads("this file is not a picture that Loomwalk knows").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_worker_that_ended_is_started_again_and_a_second_end_is_said() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    let ends = "throw new Error('ended');";
    server.worker_words.lock().unwrap().push(ends);
    server.open(&phone, "photo").await;
    phone.choose_file("input", &case("upright.jpg")).await;
    phone.reads("640x480").await;
    assert!(server.worker_words.lock().unwrap().is_empty());

    server.worker_words.lock().unwrap().extend([ends, ends]);
    server.open(&phone, "photo").await;
    phone.choose_file("input", &case("upright.jpg")).await;
    phone.reads("the background work ended twice").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn where_the_worker_cannot_draw_the_page_does() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    server.worker_words.lock().unwrap().extend(["delete self.OffscreenCanvas;"; 3]);
    server.open(&phone, "photo").await;
    phone.script("delete window.OffscreenCanvas", vec![]).await;
    phone.choose_file("input", &case("sideways-with-place.jpg")).await;
    phone
        .reads("1500x2000, taken 2031-05-04T11:14:15+00:00, place removed: true, preview 1200x1600, thumb 240x320")
        .await;
    phone.reads("packed and unpacked the same: true, preview 1200x1600").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_failing_desk_cut_off_goes_on_where_it_stopped_and_no_photograph_is_sent_twice() {
    let (server, mut phone) = (Server::start(true).await, Phone::new().await);
    server.faults(&[("PUT photo", 503), ("HEAD photo", 429), ("PUT bundle", 500)]);
    server.open(&phone, "send").await;
    phone.reads("UpToDate").await;
    {
        let desk = server.desk.lock().unwrap();
        assert_eq!(desk.faults, []);
        assert_eq!(desk.photos.values().copied().collect::<std::collections::BTreeSet<_>>(), [200_000, 300_000].into());
        assert_eq!(desk.events.len(), 4, "three of the job, and one of practice");
    }
    let puts = server.asked().iter().filter(|call| *call == "PUT photo").count();
    assert_eq!(puts, 3, "one was refused, two were taken");

    // A new start of the browser sends nothing again.
    phone.restart().await;
    let before = server.asked().len();
    server.open(&phone, "send").await;
    phone.reads("UpToDate").await;
    // Whether it is known here is asked too: "bundle" is what this desk calls all that is under jobs.
    assert_eq!(server.asked()[before..], ["GET health", "GET bundle"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_the_desk_refuses_is_said_and_not_offered_again_until_something_changes() {
    let (server, phone) = (Server::start(true).await, Phone::new().await);
    server.faults(&[("PUT bundle", 422)]);
    server.open(&phone, "send").await;
    phone.reads("fault 422").await;
    let count = |call: &str| server.asked().iter().filter(|asked| *asked == call).count();
    let offered = count("PUT bundle");
    // One round follows another: when the third asks for the desk's health, the second is over.
    for rounds in [2, 3] {
        phone.script("dispatchEvent(new Event('online'))", vec![]).await;
        until("the desk was asked again", async || count("GET health") >= rounds).await;
    }
    assert_eq!(count("PUT bundle"), offered);
    assert!(phone.text().await.contains("Refused"));
}

#[tokio::test(flavor = "multi_thread")]
async fn an_answer_that_stops_in_the_middle_is_given_up_and_asked_for_again() {
    let (server, phone) = (Server::start(true).await, Phone::new().await);
    // Half a minute of silence goes by in half a second.
    phone.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": HURRY })).await;
    server.faults(&[("PUT bundle", 0)]);
    server.open(&phone, "send").await;
    phone.reads("the desk's answer was cut off").await;
    phone.reads("UpToDate").await;
    let desk = server.desk.lock().unwrap();
    assert_eq!((&desk.faults[..], desk.events.len()), (&[][..], 4));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photograph_that_the_desk_refuses_keeps_nothing_else_from_it() {
    let (server, phone) = (Server::start(true).await, Phone::new().await);
    server.faults(&[("PUT photo", 422)]);
    server.open(&phone, "send").await;
    phone.reads("fault 422").await;
    let desk = server.desk.lock().unwrap();
    assert_eq!((desk.photos.len(), desk.events.len()), (1, 4), "the other photograph, and all that was noted");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photograph_that_is_neither_here_nor_at_the_desk_is_told_until_another_phone_has_sent_it() {
    let (server, phone) = (Server::start(true).await, Phone::new().await);
    server.open(&phone, "send-without-bytes").await;
    phone.reads("NotHere(1)").await;
    assert!(!phone.text().await.contains("UpToDate"));
    {
        let mut desk = server.desk.lock().unwrap();
        assert_eq!((desk.photos.len(), desk.events.len()), (1, 4));
        let photos = desk.events.iter().filter_map(|event| Some(event["body"]["sha256"].as_str()?.to_owned()));
        let photos: Vec<String> = photos.collect();
        desk.photos.extend(photos.into_iter().map(|photo| (photo, 0)));
    }
    phone.script("dispatchEvent(new Event('online'))", vec![]).await;
    phone.reads("UpToDate").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_host_without_a_desk_is_no_trouble() {
    let (server, phone) = (Server::start(false).await, Phone::new().await);
    server.open(&phone, "send").await;
    phone.reads("NoDesk").await;
    assert!(!phone.text().await.contains("Waiting"));
}
