//! Does any request bring down the desk, or get an answer that it should not?
//!
//! An input is a few requests that a desk with one job gets one after another, as they would stand on the wire, with a line
//! of [`BETWEEN`] between them. Each comes from a phone that is paired and a browser that is signed in, but where it says
//! otherwise itself. In an address `{body}` is the hash of the body, and `{kept}` that of the body before.

use std::sync::Arc;

use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::http::{HeaderName, HeaderValue, Method, Request, StatusCode, header};
use loomwalk::bundle::digest::photo_hash;
use loomwalk::bundle::read::open;
use loomwalk::desk::guard::Front;
use loomwalk::desk::intake::Desk;
use loomwalk::desk::serve::routes;
use loomwalk::desk::store::{Place, Store};
use loomwalk::sync::protocol::Problem;
use tokio::runtime::{Builder, Runtime};
use tower::ServiceExt;

/// Stands between two requests.
const BETWEEN: &[u8] = b"\n%%\n";
/// Of one input no more are sent.
const MOST: usize = 6;
/// No answer of a desk with one job is longer.
const LONGEST: usize = 16 << 20;
/// What the desk holds: a job with a photograph.
const HELD: &[u8] = include_bytes!("../../../tests/cases/bundles/outside.loomwalk.json");

thread_local! {
    static RUNTIME: Runtime = Builder::new_current_thread().enable_time().build().expect("a runtime can be made");
}

/// Whether anything could be sent.
pub fn read(bytes: &[u8]) -> bool {
    let asked: Vec<Asked> = pieces(bytes).into_iter().take(MOST).filter_map(Asked::of).collect();
    if asked.is_empty() {
        return false;
    }
    RUNTIME.with(|runtime| runtime.block_on(answers(asked)));
    true
}

fn pieces(mut bytes: &[u8]) -> Vec<&[u8]> {
    let mut pieces = Vec::new();
    while let Some(end) = bytes.windows(BETWEEN.len()).position(|window| window == BETWEEN) {
        pieces.push(&bytes[..end]);
        bytes = &bytes[end + BETWEEN.len()..];
    }
    pieces.push(bytes);
    pieces
}

/// A request as it is sent.
struct Asked {
    method: Method,
    path: String,
    headers: Vec<(HeaderName, HeaderValue)>,
    body: Bytes,
}

impl Asked {
    /// `None`: no server would hand this on.
    fn of(piece: &[u8]) -> Option<Self> {
        let (head, body) = match piece.windows(2).position(|window| window == b"\n\n") {
            Some(end) => (&piece[..end], &piece[end + 2..]),
            None => (piece, &[][..]),
        };
        let mut lines = head.split(|byte| *byte == b'\n');
        let (method, path) = std::str::from_utf8(lines.next()?).ok()?.split_once(' ')?;
        let header = |line: &[u8]| {
            let colon = line.iter().position(|byte| *byte == b':')?;
            let value = HeaderValue::from_bytes(line[colon + 1..].trim_ascii()).ok()?;
            Some((HeaderName::from_bytes(&line[..colon]).ok()?, value))
        };
        let headers = lines.filter_map(header).collect();
        let method = Method::from_bytes(method.as_bytes()).ok()?;
        Some(Self { method, path: path.to_owned(), headers, body: Bytes::copy_from_slice(body) })
    }

    fn request(&self, desk: &Known, before: &Bytes) -> Option<Request<Body>> {
        let path = self.path.replace("{body}", photo_hash(&self.body).as_str());
        let path = path.replace("{kept}", photo_hash(before).as_str());
        let mut request = Request::builder().method(&self.method).uri(path);
        let usual = [
            (header::HOST, "localhost".to_owned()),
            (header::AUTHORIZATION, format!("Bearer {}", desk.token)),
            (header::COOKIE, format!("loomwalk={}", desk.cookie)),
        ];
        for (name, value) in usual {
            if self.headers.iter().all(|(stated, _)| *stated != name) {
                request = request.header(name, value);
            }
        }
        for (name, value) in &self.headers {
            request = request.header(name, value);
        }
        request.body(Body::from(self.body.clone())).ok()
    }
}

/// A desk, and how to come in.
struct Known {
    routes: Router,
    token: String,
    cookie: String,
}

impl Known {
    async fn new() -> Self {
        let store = Store::open(&Place::Memory).await.expect("memory can be opened");
        let desk = Arc::new(Desk::open(store).await.expect("there is nothing to be read"));
        // Whoever waits for something new is told at once that there is nothing.
        desk.end();
        let (token, _) = desk.access().pair("tests").await.expect("memory takes it");
        let cookie = desk.access().sign_in().await.expect("memory takes it");
        let routes = routes(&desk, None, Front::default(), None).expect("no app is asked for");
        Self { routes, token, cookie }
    }

    async fn answer(&self, asked: &Asked, before: &Bytes) -> Option<StatusCode> {
        let request = asked.request(self, before)?;
        let path = request.uri().path().to_owned();
        let answer = self.routes.clone().oneshot(request).await.expect("it always answers");
        let (head, body) = answer.into_parts();
        let body = to_bytes(body, LONGEST).await.expect("the answer is whole");
        assert!(!head.status.is_server_error(), "{}: {}", head.status, String::from_utf8_lossy(&body));
        for guarded in ["content-security-policy", "x-content-type-options", "referrer-policy"] {
            assert!(head.headers.contains_key(guarded), "{path} without {guarded}");
        }
        for secret in [&self.token, &self.cookie] {
            assert!(body.windows(secret.len()).all(|window| window != secret.as_bytes()), "{path} tells a secret");
        }
        let is_of_api = path == "/api" || path.starts_with("/api/");
        let refused = head.status.is_client_error();
        if is_of_api && refused && asked.method != Method::HEAD {
            let told: Problem = serde_json::from_slice(&body).expect("a problem says what it is");
            assert_eq!(told.status, head.status.as_u16());
            assert!(!told.title.is_empty() && !told.detail.is_empty(), "{told:?}");
            assert_eq!(head.headers[header::CONTENT_TYPE], "application/problem+json");
        }
        let is_json = head.headers.get(header::CONTENT_TYPE).is_some_and(|kind| kind == "application/json");
        if is_json && asked.method != Method::HEAD {
            assert!(serde_json::from_slice::<serde_json::Value>(&body).is_ok(), "{path}: no JSON");
        }
        Some(head.status)
    }
}

async fn answers(asked: Vec<Asked>) {
    let desk = Known::new().await;
    let opened = open(HELD, HELD.len() as u64).expect("it is whole");
    let hash = opened.photos().next().expect("it has a photograph");
    let put = |path: String, body: Vec<u8>| Asked { method: Method::PUT, path, headers: Vec::new(), body: body.into() };
    let (job, id) = (opened.bundle.job.id, opened.bundle.bundle_id);
    let held = [
        put(format!("/api/v1/photos/{hash}"), opened.bytes(hash).expect("it has its bytes")),
        put(format!("/api/v1/jobs/{job}/bundles/{id}"), HELD.to_vec()),
    ];
    let mut before = Bytes::new();
    for asked in &held {
        assert_eq!(desk.answer(asked, &before).await, Some(StatusCode::CREATED));
    }
    for asked in &asked {
        let status = desk.answer(asked, &before).await;
        if status == Some(StatusCode::CREATED) && asked.method == Method::PUT {
            assert_eq!(desk.answer(asked, &before).await, Some(StatusCode::OK), "the same again is known");
        }
        before = asked.body.clone();
    }
    // Whatever was asked, what was held is held.
    for asked in &held {
        let status = desk.answer(asked, &before).await;
        assert!(matches!(status, Some(StatusCode::OK | StatusCode::UNAUTHORIZED)), "{status:?}");
    }
}
