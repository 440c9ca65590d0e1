//! A desk on a free port with a store of its own, and what a phone would send to it.
#![allow(dead_code, clippy::unwrap_used, clippy::expect_used)]

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, Utc};
use loomwalk::bundle::file::{self, Bundle};
use loomwalk::desk::intake::Desk;
use loomwalk::desk::serve;
use loomwalk::desk::store::Store;
use loomwalk::ids::{BundleId, DeviceId, EventId, IdMaker, JobId, PhotoHash};
use loomwalk::job::log::Log;
use loomwalk::job::{Event, Job};
use reqwest::{Client, Response, StatusCode};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use tempfile::TempDir;
use tokio::task::JoinHandle;
use uuid::Uuid;

/// A desk in this process.
pub struct Running {
    pub base: String,
    pub store: TempDir,
    pub client: Client,
    server: JoinHandle<()>,
}

impl Running {
    pub async fn start() -> Self {
        Self::with(None, |_| {}).await
    }

    pub async fn with(app: Option<&Path>, change: impl FnOnce(&mut Desk)) -> Self {
        let store = TempDir::new().unwrap();
        let mut desk = Desk::open(Store::open(store.path()).await.unwrap()).await.unwrap();
        change(&mut desk);
        let routes = serve::routes(&Arc::new(desk), app).unwrap();
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        let server = tokio::spawn(async move { axum::serve(listener, routes).await.unwrap() });
        Self { base, store, client: client(), server }
    }

    pub async fn get(&self, path: &str) -> Response {
        self.client.get(format!("{}{path}", self.base)).send().await.unwrap()
    }

    pub async fn put(&self, path: &str, body: impl Into<reqwest::Body>) -> Response {
        self.client.put(format!("{}{path}", self.base)).body(body).send().await.unwrap()
    }

    pub async fn head(&self, path: &str) -> Response {
        self.client.head(format!("{}{path}", self.base)).send().await.unwrap()
    }

    pub async fn send(&self, bundle: &Bundle) -> Response {
        self.put(&address(bundle), serde_json::to_vec(bundle).unwrap()).await
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.server.abort();
    }
}

pub fn client() -> Client {
    Client::builder().no_proxy().redirect(reqwest::redirect::Policy::none()).build().unwrap()
}

/// The program itself, as a user starts it.
pub struct Program {
    pub base: String,
    pub child: Child,
    pub line: String,
}

impl Program {
    pub fn start(store: &Path) -> Self {
        let child = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
            .args(["desk", "--listen", "127.0.0.1:0", "--store"])
            .arg(format!("file://{}", store.display()))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        Self::greeted(child)
    }

    pub fn greeted(mut child: Child) -> Self {
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let base = line.split("/desk").next().unwrap().trim_start_matches("Desk at ").to_owned();
        Self { base, child, line }
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

/// A phone with one job on it.
pub struct Phone {
    ids: IdMaker,
    salt: u8,
    pub job: JobId,
    pub device: DeviceId,
    pub events: Vec<Event>,
}

impl Phone {
    pub fn new(job: u128, salt: u8) -> Self {
        let device = DeviceId(Uuid::from_u128(u128::from(salt)));
        let mut phone = Self { ids: IdMaker::default(), salt, job: job_id(job), device, events: Vec::new() };
        phone.act("job_opened", json!({ "practice": false }));
        phone
    }

    pub fn act(&mut self, kind: &str, body: Value) -> EventId {
        let id = EventId(self.id());
        self.events.push(Event { id, at: at(), device_id: self.device, kind: kind.to_owned(), body });
        id
    }

    pub fn concern(&mut self, words: &str) {
        self.act("concern", json!({ "words": words }));
    }

    pub fn photo(&mut self, bytes: &[u8]) -> PhotoHash {
        self.photo_of_type(bytes, "image/jpeg")
    }

    pub fn photo_of_type(&mut self, bytes: &[u8], media_type: &str) -> PhotoHash {
        let name = hash(bytes);
        let body = json!({ "sha256": name, "bytes": bytes.len(), "media_type": media_type, "width": 4, "height": 3,
                           "stage": "close" });
        self.act("photo", body);
        name
    }

    /// Everything so far.
    pub fn bundle(&mut self) -> Bundle {
        self.bundle_of(0)
    }

    /// What came after the first so many events.
    pub fn bundle_of(&mut self, after: usize) -> Bundle {
        let mut log = Log::default();
        log.union(self.events.iter().cloned()).unwrap();
        let job = Job::fold(self.job, &log);
        let id = BundleId(self.id());
        file::make(&job, &self.events[after..], id, self.device, at())
    }

    pub fn id(&mut self) -> Uuid {
        self.ids.make(at(), [self.salt; 10])
    }
}

pub fn at() -> DateTime<Utc> {
    DateTime::from_timestamp_millis(1_700_000_000_000).unwrap()
}

pub fn job_id(number: u128) -> JobId {
    let first = uuid::Builder::from_unix_timestamp_millis(1_700_000_000_000, &[0; 10]).into_uuid();
    JobId(Uuid::from_u128(first.as_u128() + number))
}

pub fn hash(bytes: &[u8]) -> PhotoHash {
    let hex: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    hex.parse().unwrap()
}

pub fn address(bundle: &Bundle) -> String {
    format!("/api/v1/jobs/{}/bundles/{}", bundle.job.id, bundle.bundle_id)
}

/// Checks that an answer is a problem of that status, and gives its detail.
pub async fn problem(response: Response, status: u16) -> String {
    assert_eq!(response.status(), StatusCode::from_u16(status).unwrap());
    assert_eq!(response.headers()["content-type"], "application/problem+json");
    let problem: Value = response.json().await.unwrap();
    assert_eq!(problem["status"], status);
    assert_eq!(problem["type"], "about:blank");
    assert!(!problem["title"].as_str().unwrap().is_empty());
    problem["detail"].as_str().unwrap().to_owned()
}

/// Waits until something holds; fails if it never does.
pub async fn until(holds: impl Fn() -> bool) {
    for _ in 0..1000 {
        if holds() {
            return;
        }
        tokio::time::sleep(Duration::from_millis(10)).await;
    }
    panic!("it never came true");
}
