//! What does each call of the API answer? Version 1 (03-formats §6; `public/schema/openapi.json`).

use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::body::Body;
use axum::extract::{Path, Query, Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{any, get, head, post, put};
use axum::{Extension, Json, Router, middleware};
use serde::Deserialize;
use tower_http::set_header::SetResponseHeaderLayer;

use super::access::Purpose;
use super::access::audit::{self, Deed};
use super::access::code::Code;
use super::guard::{self, FromPhone, Gate};
use super::incoming::Incoming;
use super::index::{Question, Stands};
use super::intake::{Desk, Taken};
use super::photos::{EDGES, Progress};
use super::problem::{Refusal, UPLOAD_OFFSET, all_errors_as_problems};
use crate::ids::{BundleId, JobId, PhotoHash};
use crate::search::lessons::Shop;
use crate::sync::protocol::{
    BUNDLE_LIMIT, EventPage, Health, JobAtDesk, JobsAtDesk, LONGEST_WAIT, OLDEST, PHOTO_LIMIT, PIECE_LIMIT, Paired,
    PairingAsked, VERSION,
};

/// The most bytes of a small body.
const SMALL: u64 = 4 * 1024;
/// How many jobs a phone is told of. More that are not handed over hardly any shop has at a time (common practice, no source).
const JOBS: usize = 200;
/// Of a piece of a photograph (tus protocol 1.0).
const PIECE_TYPE: &str = "application/offset+octet-stream";

/// Everything under `/api`.
pub fn routes(gate: Gate) -> Router {
    let for_phones = Router::new()
        .route("/api/v1/photos/{sha256}", head(photo_known).get(small_photo).put(put_photo))
        .route("/api/v1/photos/{sha256}/pieces", head(pieces_kept).patch(put_piece))
        .route("/api/v1/jobs", get(jobs))
        .route("/api/v1/jobs/{job}/bundles/{bundle}", put(put_bundle))
        .route("/api/v1/jobs/{job}/events", get(events))
        .route("/api/v1/lessons", get(lessons))
        .route_layer(middleware::from_fn_with_state(gate.clone(), guard::only_paired))
        .with_state(gate.desk.clone());
    Router::new()
        .route("/api/v1/health", get(health))
        .route("/api/v1/pairings", post(pair))
        .route("/api", any(no_such_address))
        .route("/api/", any(no_such_address))
        .route("/api/{*elsewhere}", any(no_such_address))
        .with_state(gate)
        .merge(for_phones)
        .layer(middleware::from_fn(all_errors_as_problems))
        .layer(SetResponseHeaderLayer::overriding(header::CACHE_CONTROL, HeaderValue::from_static("no-store")))
}

async fn health(State(gate): State<Gate>) -> Json<Health> {
    Json(Health {
        program: env!("CARGO_PKG_NAME").to_owned(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        protocol: VERSION,
        oldest: OLDEST,
        store: Some(gate.desk.store().device_id()),
    })
}

async fn pair(State(gate): State<Gate>, request: Request) -> Result<Response, Refusal> {
    let from = guard::from_where(request.extensions());
    gate.limits.a_try(from)?;
    let (parts, body) = request.into_parts();
    let body = Incoming::new(&parts.headers, body, SMALL, gate.desk.idle).await?.all().await?;
    let asked: PairingAsked = serde_json::from_slice(&body).map_err(|error| Refusal::Unreadable(error.to_string()))?;
    let access = gate.desk.access();
    let good = match asked.code.parse::<Code>() {
        Ok(code) => access.use_code(&code, Purpose::Pair).await?,
        Err(_) => false,
    };
    let store = gate.desk.store();
    if !good {
        gate.limits.refused(store, from, Deed::WrongCode).await;
        return Err(Refusal::WrongCode);
    }
    let (token, phone) = access.pair(&asked.name).await?;
    audit::note(store, &from.to_string(), Deed::Paired { phone: phone.name.clone() }).await;
    Ok((StatusCode::CREATED, Json(Paired { token, name: phone.name })).into_response())
}

async fn photo_known(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Result<StatusCode, Refusal> {
    let name: PhotoHash = name.parse()?;
    if desk.has_photo(&name).await? { Ok(StatusCode::OK) } else { Err(Refusal::NoSuchPhoto(name)) }
}

#[derive(Debug, Deserialize)]
struct Smaller {
    edge: Option<u32>,
}

/// What another phone took, small: for the screen or for a list.
async fn small_photo(
    State(desk): State<Arc<Desk>>,
    Path(name): Path<String>,
    Query(Smaller { edge }): Query<Smaller>,
) -> Result<Response, Refusal> {
    let name: PhotoHash = name.parse()?;
    if !desk.has_photo(&name).await? {
        return Err(Refusal::NoSuchPhoto(name));
    }
    let edge = edge.filter(|edge| EDGES.contains(edge)).unwrap_or(EDGES[0]);
    let small = desk.small_photo(&name, edge).await?.ok_or(Refusal::NotSmall(name))?;
    Ok(([(header::CONTENT_TYPE, "image/jpeg")], small).into_response())
}

async fn put_photo(
    State(desk): State<Arc<Desk>>,
    Path(name): Path<String>,
    headers: HeaderMap,
    body: Body,
) -> Result<StatusCode, Refusal> {
    let name: PhotoHash = name.parse()?;
    let body = Incoming::new(&headers, body, PHOTO_LIMIT, desk.idle).await?;
    Ok(match desk.take_photo(name, body).await? {
        Taken::New(()) => StatusCode::CREATED,
        Taken::Known(()) => StatusCode::OK,
    })
}

/// How far it has come; the answer's headers say it.
async fn pieces_kept(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Result<Response, Refusal> {
    let name: PhotoHash = name.parse()?;
    Ok(progress(desk.photo_progress(&name).await?, StatusCode::OK))
}

async fn put_piece(
    State(desk): State<Arc<Desk>>,
    Path(name): Path<String>,
    Extension(phone): Extension<FromPhone>,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    let name: PhotoHash = name.parse()?;
    let number = |header: &'static str| {
        let value = headers.get(header).and_then(|value| value.to_str().ok()?.parse::<u64>().ok());
        value.ok_or(Refusal::NoSuchNumber(header))
    };
    let (offset, whole) = (number("upload-offset")?, number("upload-length")?);
    if headers.get(header::CONTENT_TYPE).is_none_or(|kind| kind.as_bytes() != PIECE_TYPE.as_bytes()) {
        return Err(Refusal::OtherType(PIECE_TYPE));
    }
    let body = Incoming::new(&headers, body, PIECE_LIMIT, desk.idle).await?;
    Ok(progress(desk.take_piece(name, offset, whole, body, phone).await?, StatusCode::NO_CONTENT))
}

fn progress(progress: Progress, partly: StatusCode) -> Response {
    match progress {
        Progress::Until(bytes) => (partly, [(UPLOAD_OFFSET, HeaderValue::from(bytes))]).into_response(),
        Progress::Whole => StatusCode::CREATED.into_response(),
    }
}

#[derive(Debug, Deserialize)]
struct Asked {
    #[serde(default)]
    words: String,
}

async fn jobs(State(desk): State<Arc<Desk>>, Query(Asked { words }): Query<Asked>) -> Json<JobsAtDesk> {
    // A vehicle comes back: who looks for a job by its words finds those that are closed, too.
    let closed = Some(false).filter(|_| words.trim().is_empty());
    let part = desk.index().part(&Question { words, closed }, 0, JOBS);
    let jobs = part.lines.iter().map(|line| JobAtDesk {
        job: line.job,
        concern: line.concern.clone(),
        vehicle: line.vehicle.clone(),
        fuse: line.fuse.clone(),
        practice: line.practice,
        closed: line.stands == Stands::HandedOver,
        changed_at: line.changed_at,
    });
    Json(JobsAtDesk { jobs: jobs.collect(), of: part.of })
}

async fn put_bundle(
    State(desk): State<Arc<Desk>>,
    Path((job, bundle)): Path<(String, String)>,
    Extension(phone): Extension<FromPhone>,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    let job: JobId = job.parse().map_err(|_| Refusal::NotAnId(job))?;
    let bundle: BundleId = bundle.parse().map_err(|_| Refusal::NotAnId(bundle))?;
    let body = Incoming::new(&headers, body, BUNDLE_LIMIT, desk.idle).await?.all().await?;
    let taken = tokio::spawn(async move {
        let taken = desk.take_bundle(job, bundle, body, Some(phone.id.clone())).await;
        drop(phone);
        taken
    });
    let taken = taken.await??;
    Ok(match taken {
        Taken::New(receipt) => (StatusCode::CREATED, Json(receipt)).into_response(),
        Taken::Known(receipt) => Json(receipt).into_response(),
    })
}

#[derive(Debug, Deserialize)]
struct After {
    after: Option<String>,
    /// How long to wait for something new where there is nothing, s.
    #[serde(default)]
    wait: u64,
}

async fn events(
    State(desk): State<Arc<Desk>>,
    Path(job): Path<String>,
    Query(After { after, wait }): Query<After>,
) -> Result<Json<EventPage>, Refusal> {
    let job: JobId = job.parse().map_err(|_| Refusal::NotAnId(job))?;
    // Listened to before it is looked at: what comes between the two is heard.
    let mut arrivals = desk.listen();
    let page = desk.shelf(job).await?.page(after.as_deref())?;
    if !page.events.is_empty() || wait == 0 {
        return Ok(Json(page));
    }
    let long_enough = tokio::time::sleep(Duration::from_secs(wait.min(LONGEST_WAIT)));
    let (mut long_enough, mut ended) = (pin!(long_enough), pin!(desk.ended()));
    loop {
        tokio::select! {
            () = &mut long_enough => return Ok(Json(page)),
            () = &mut ended => return Ok(Json(page)),
            arrived = arrivals.recv() => match arrived {
                Ok(arrived) if arrived != job => continue,
                // Too many came at once to be told of each: this job may be among them.
                _ => {}
            }
        }
        let page = desk.shelf(job).await?.page(after.as_deref())?;
        if !page.events.is_empty() {
            return Ok(Json(page));
        }
    }
}

/// What the shop's closed jobs have taught.
async fn lessons(State(desk): State<Arc<Desk>>) -> Json<Shop> {
    Json(desk.index().shop())
}

async fn no_such_address(uri: Uri) -> Refusal {
    Refusal::NoSuchAddress(uri.path().chars().take(200).collect())
}
