//! A desk on a free port with a store of its own, and what a phone would send to it.
#![allow(dead_code, clippy::unwrap_used, clippy::expect_used)]

use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, Utc};
use loomwalk::bundle::file::{self, Bundle};
use loomwalk::desk::access::Access;
use loomwalk::desk::guard::Front;
use loomwalk::desk::intake::Desk;
use loomwalk::desk::serve;
use loomwalk::desk::store::{Place, Store};
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
    /// Where the objects lie on the disk.
    pub store: Kept,
    /// With a phone's token and the service writer's cookie.
    pub client: Client,
    /// With neither.
    pub stranger: Client,
    pub token: String,
    pub cookie: String,
    pub desk: Arc<Desk>,
    server: JoinHandle<()>,
}

impl Running {
    pub async fn start() -> Self {
        Self::with(None, |_| {}).await
    }

    pub async fn with(app: Option<&Path>, change: impl FnOnce(&mut Desk)) -> Self {
        let store = Kept::new().await;
        let mut desk = Desk::open(store.open().await).await.unwrap();
        change(&mut desk);
        let desk = Arc::new(desk);
        let (token, _) = desk.access().pair("tests").await.unwrap();
        let cookie = format!("loomwalk={}", desk.access().sign_in().await.unwrap());
        let (base, server) = serve(&desk, app).await;
        let client = known(&token, &cookie);
        Self { base, store, client, stranger: client_of([]), token, cookie, desk, server }
    }

    /// What a request that is written by hand says to come in.
    pub fn known(&self) -> String {
        format!("Authorization: Bearer {}\r\nCookie: {}\r\n", self.token, self.cookie)
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

/// A store that goes with the test. In the tests of `desk_on_s3.rs` a bucket: the crate s3s-fs serves a folder as S3.
pub struct Kept {
    folder: TempDir,
    s3: Option<(String, JoinHandle<()>)>,
}

const BUCKET: &str = "shop";

impl Kept {
    pub async fn new() -> Self {
        let folder = TempDir::new().unwrap();
        let on_s3 = env!("CARGO_CRATE_NAME") == "desk_on_s3";
        let s3 = if on_s3 { Some(serve_s3(folder.path()).await) } else { None };
        Self { folder, s3 }
    }

    pub fn path(&self) -> PathBuf {
        if self.s3.is_some() { self.folder.path().join(BUCKET) } else { self.folder.path().to_owned() }
    }

    pub async fn open(&self) -> Store {
        let Some((endpoint, _)) = &self.s3 else { return store_in(self.folder.path()).await };
        let place = format!("s3://{BUCKET}").parse().unwrap();
        Store::open_with(&place, s3_environment(endpoint)).await.unwrap()
    }
}

impl Drop for Kept {
    fn drop(&mut self) {
        if let Some((_, server)) = &self.s3 {
            server.abort();
        }
    }
}

const KEY: (&str, &str) = ("loomwalk-tests", "a-secret-of-tests");

/// How to get in.
pub fn s3_environment(endpoint: &str) -> Vec<(String, String)> {
    let told = [
        ("AWS_ENDPOINT", endpoint),
        ("AWS_ALLOW_HTTP", "true"),
        ("AWS_REGION", "eu-central-1"),
        ("AWS_ACCESS_KEY_ID", KEY.0),
        ("AWS_SECRET_ACCESS_KEY", KEY.1),
    ];
    told.map(|(name, value)| (name.to_owned(), value.to_owned())).to_vec()
}

/// Serves a folder as S3, with one bucket.
pub async fn serve_s3(folder: &Path) -> (String, JoinHandle<()>) {
    std::fs::create_dir(folder.join(BUCKET)).unwrap();
    let mut builder = s3s::service::S3ServiceBuilder::new(s3s_fs::FileSystem::new(folder).unwrap());
    builder.set_auth(s3s::auth::SimpleAuth::from_single(KEY.0, KEY.1));
    let failed = |error: s3s::HttpError| async move { (StatusCode::INTERNAL_SERVER_ERROR, format!("{error:?}")) };
    let service = axum::error_handling::HandleError::new(builder.build(), failed);
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let endpoint = format!("http://{}", listener.local_addr().unwrap());
    let router = axum::Router::new().fallback_service(service);
    (endpoint, tokio::spawn(async move { axum::serve(listener, router).await.unwrap() }))
}

impl Drop for Running {
    fn drop(&mut self) {
        self.server.abort();
    }
}

/// The store in a folder.
pub async fn store_in(folder: &Path) -> Store {
    Store::open(&Place::Folder(folder.to_owned())).await.unwrap()
}

/// A desk on the store in a folder.
pub async fn open(folder: &Path) -> Desk {
    Desk::open(store_in(folder).await).await.unwrap()
}

/// Serves a desk on a free port.
pub async fn serve(desk: &Arc<Desk>, app: Option<&Path>) -> (String, JoinHandle<()>) {
    let routes = serve::routes(desk, app, Front::default(), None).unwrap();
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let base = format!("http://{}", listener.local_addr().unwrap());
    let routes = routes.into_make_service_with_connect_info::<SocketAddr>();
    (base, tokio::spawn(async move { axum::serve(listener, routes).await.unwrap() }))
}

/// A client that sends these headers with everything, follows no redirection and keeps no cookies.
pub fn client_of<const N: usize>(headers: [(&'static str, &str); N]) -> Client {
    let headers = headers.into_iter().map(|(name, value)| (name.parse().unwrap(), value.parse().unwrap()));
    let builder = Client::builder().no_proxy().redirect(reqwest::redirect::Policy::none());
    builder.default_headers(headers.collect()).build().unwrap()
}

/// With a token and a cookie.
pub fn known(token: &str, cookie: &str) -> Client {
    client_of([("authorization", &format!("Bearer {token}")), ("cookie", cookie)])
}

/// A client with a token that is good for the desks of the store in a folder.
pub async fn paired(folder: &Path) -> Client {
    let (token, _) = Access::of(store_in(folder).await).pair("tests").await.unwrap();
    client_of([("authorization", &format!("Bearer {token}"))])
}

/// The program itself, as a user starts it.
pub struct Program {
    pub base: String,
    pub child: Child,
    pub line: String,
}

impl Program {
    pub fn start(store: &Path) -> Self {
        Self::with(store, &[])
    }

    pub fn with(store: &Path, options: &[&str]) -> Self {
        let child = Command::new(env!("CARGO_BIN_EXE_loomwalk"))
            .args(["desk", "--listen", "127.0.0.1:0"])
            .args(options)
            .arg("--store")
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
