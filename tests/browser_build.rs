//! Does a phone keep a build whole, start from it without a server, and change to the next one only when told to?

use std::fs;
use std::path::Path;

use axum::Router;
use axum::http::{HeaderName, HeaderValue};
use serde_json::{Value, json};
use tokio::net::TcpListener;
use tokio::runtime::Runtime;
use tower_http::services::{ServeDir, ServeFile};
use tower_http::set_header::SetResponseHeaderLayer;

use crate::browser_support::{Phone, free_port, place};

/// What platform documentation calls a strict policy: no script but our own, no address but ours.
const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; img-src 'self' blob: data:; \
    media-src 'self' blob:; style-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; \
    frame-ancestors 'none'";

/// A server of files and nothing else, over a copy of the built app that a test may change.
struct Server {
    folder: tempfile::TempDir,
    port: u16,
    running: Option<Runtime>,
}

impl Server {
    fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        copy(&place("LOOMWALK_WEB"), folder.path());
        let mut server = Self { folder, port: free_port(), running: None };
        server.run();
        server
    }

    fn run(&mut self) {
        let page = ServeFile::new(self.folder.path().join("index.html"));
        let files = ServeDir::new(self.folder.path()).precompressed_br().fallback(page);
        let policy = (HeaderName::from_static("content-security-policy"), HeaderValue::from_static(POLICY));
        let app = Router::new().fallback_service(files).layer(SetResponseHeaderLayer::overriding(policy.0, policy.1));
        let runtime = Runtime::new().unwrap();
        let address = ("127.0.0.1", self.port);
        runtime.spawn(async move { axum::serve(TcpListener::bind(address).await.unwrap(), app).await });
        self.running = Some(runtime);
    }

    /// Ends it with every connection that it holds.
    fn stop(&mut self) {
        if let Some(runtime) = self.running.take() {
            runtime.shutdown_background();
        }
    }

    fn url(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}{path}", self.port)
    }

    /// Changes a file as it is handed out, compressed or not.
    fn change(&self, name: &str, change: impl Fn(&str) -> String) {
        let file = self.folder.path().join(name);
        let text = change(&fs::read_to_string(&file).unwrap());
        fs::write(&file, text).unwrap();
        let _ = fs::remove_file(self.folder.path().join(format!("{name}.br")));
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.stop();
    }
}

fn copy(from: &Path, to: &Path) {
    for entry in fs::read_dir(from).unwrap() {
        let (path, target) = (entry.as_ref().unwrap().path(), to.join(entry.unwrap().file_name()));
        if path.is_dir() {
            fs::create_dir(&target).unwrap();
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}

/// Runs an async function in the page and gives what it returns.
async fn in_page(phone: &Phone, body: &str, arguments: Vec<Value>) -> Value {
    let script = format!(
        "const done = arguments[arguments.length - 1];
         (async (...arguments) => {{ {body} }})(...arguments).then(done, (error) => done(String(error)));"
    );
    phone.script_async(&script, arguments).await
}

/// Asks for the worker as the app does, without waiting for the app to do so.
const REGISTER: &str = "await navigator.serviceWorker.register('/sw.js', { updateViaCache: 'none' });";

const CACHES: &str = "return (await caches.keys()).filter((name) => name.startsWith('loomwalk-'));";

#[tokio::test]
async fn the_app_starts_at_any_of_its_addresses_when_the_server_is_gone() {
    let mut server = Server::start();
    let phone = Phone::new().await;
    phone.open(&server.url("/")).await;
    in_page(&phone, REGISTER, vec![]).await;
    phone.ready_for_offline().await;

    server.stop();
    assert!(reqwest::get(server.url("/")).await.is_err(), "the server still answers");
    phone.open(&server.url("/settings")).await;
    let started = in_page(
        &phone,
        "return [document.querySelectorAll('#main > *').length > 1, getComputedStyle(document.querySelector('.first')).display,
                 (await fetch('/worker.js?x')).status, (await fetch('/api/v1/health').catch(() => ({ status: 0 }))).status];",
        vec![],
    )
    .await;
    assert_eq!(started, json!([true, "none", 200, 0]));
}

#[tokio::test]
async fn a_build_with_a_file_changed_on_the_way_is_not_kept_at_all() {
    let server = Server::start();
    server.change("manifest.webmanifest", |text| text.replace("standalone", "fullscreen"));
    let phone = Phone::new().await;
    phone.open(&server.url("/")).await;
    let state = in_page(
        &phone,
        "const registration = await navigator.serviceWorker.register('/sw.js');
         const worker = registration.installing ?? registration.waiting ?? registration.active;
         while (worker?.state === 'installing') await new Promise((go) => setTimeout(go, 20));
         return worker?.state ?? 'redundant';",
        vec![],
    )
    .await;
    assert_eq!(state, "redundant");
    assert_eq!(in_page(&phone, CACHES, vec![]).await, json!([]));
}

#[tokio::test]
async fn a_new_build_waits_until_it_is_taken_and_only_then_is_the_old_one_forgotten() {
    let server = Server::start();
    let phone = Phone::new().await;
    phone.open(&server.url("/")).await;
    in_page(&phone, REGISTER, vec![]).await;
    phone.ready_for_offline().await;
    let first = in_page(&phone, CACHES, vec![]).await;
    assert_eq!(first.as_array().unwrap().len(), 1);

    server.change("sw.js", |text| text.replacen(r#""build":""#, r#""build":"next"#, 1));
    let waiting = in_page(
        &phone,
        "const registration = await navigator.serviceWorker.getRegistration();
         await registration.update();
         while (registration.installing) await new Promise((go) => setTimeout(go, 20));
         return [registration.waiting?.state, navigator.serviceWorker.controller === registration.active];",
        vec![],
    )
    .await;
    assert_eq!(waiting, json!(["installed", true]));
    assert_eq!(in_page(&phone, CACHES, vec![]).await.as_array().unwrap().len(), 2);

    let left = in_page(
        &phone,
        "const registration = await navigator.serviceWorker.getRegistration();
         const taken = new Promise((go) => navigator.serviceWorker.addEventListener('controllerchange', go));
         registration.waiting.postMessage({ take: 'now' });
         await taken;
         while ((await caches.keys()).length > 1) await new Promise((go) => setTimeout(go, 20));
         return caches.keys();",
        vec![],
    )
    .await;
    let expected = first[0].as_str().unwrap().replacen("loomwalk-", "loomwalk-next", 1);
    assert_eq!(left, json!([expected]));
}

#[tokio::test]
async fn the_worker_beside_the_page_answers_in_order_also_what_came_before_it_was_ready() {
    let server = Server::start();
    fs::write(
        server.folder.path().join("late.js"),
        "export default async function () {
           await new Promise((go) => setTimeout(go, 300));
           self.onmessage = (event) => self.postMessage([event.data, event.ports.length]);
         }",
    )
    .unwrap();
    let phone = Phone::new().await;
    phone.open(&server.url("/")).await;
    // From here on the worker's own script comes from the service worker, as it does for a user.
    in_page(&phone, REGISTER, vec![]).await;
    phone.ready_for_offline().await;
    let answers = in_page(
        &phone,
        "const worker = new Worker('/worker.js', { type: 'module', name: '/late.js' });
         const answers = [];
         const all = new Promise((go) => worker.onmessage = (event) => answers.push(event.data) === 3 && go());
         worker.postMessage('one', [new MessageChannel().port1]);
         worker.postMessage('two');
         setTimeout(() => worker.postMessage('three'), 600);
         await all;
         return answers;",
        vec![],
    )
    .await;
    assert_eq!(answers, json!([["one", 1], ["two", 0], ["three", 0]]));
}
