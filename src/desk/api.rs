//! What does each call of the API answer? Version 1 (03-formats §6).

use std::sync::Arc;

use axum::body::Body;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use axum::routing::{any, get, head, put};
use axum::{Json, Router, middleware};
use serde::Deserialize;
use tower_http::set_header::SetResponseHeaderLayer;

use super::incoming::Incoming;
use super::intake::{Desk, Taken};
use super::problem::{Refusal, all_errors_as_problems};
use crate::ids::{BundleId, JobId, PhotoHash};
use crate::sync::protocol::{BUNDLE_LIMIT, EventPage, Health, PHOTO_LIMIT, VERSION};

/// Everything under `/api`.
pub fn routes(desk: Arc<Desk>) -> Router {
    Router::new()
        .route("/api/v1/health", get(health))
        .route("/api/v1/photos/{sha256}", head(photo_known).put(put_photo))
        .route("/api/v1/jobs/{job}/bundles/{bundle}", put(put_bundle))
        .route("/api/v1/jobs/{job}/events", get(events))
        .route("/api", any(no_such_address))
        .route("/api/", any(no_such_address))
        .route("/api/{*elsewhere}", any(no_such_address))
        .layer(middleware::from_fn(all_errors_as_problems))
        .layer(SetResponseHeaderLayer::overriding(header::CACHE_CONTROL, HeaderValue::from_static("no-store")))
        .with_state(desk)
}

async fn health() -> Json<Health> {
    Json(Health {
        program: env!("CARGO_PKG_NAME").to_owned(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        protocol: VERSION,
    })
}

async fn photo_known(State(desk): State<Arc<Desk>>, Path(name): Path<String>) -> Result<StatusCode, Refusal> {
    let name: PhotoHash = name.parse()?;
    if desk.has_photo(&name) { Ok(StatusCode::OK) } else { Err(Refusal::NoSuchPhoto(name)) }
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

async fn put_bundle(
    State(desk): State<Arc<Desk>>,
    Path((job, bundle)): Path<(String, String)>,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    let job: JobId = job.parse().map_err(|_| Refusal::NotAnId(job))?;
    let bundle: BundleId = bundle.parse().map_err(|_| Refusal::NotAnId(bundle))?;
    let body = Incoming::new(&headers, body, BUNDLE_LIMIT, desk.idle).await?.all().await?;
    let taken = tokio::spawn(async move { desk.take_bundle(job, bundle, body).await }).await??;
    Ok(match taken {
        Taken::New(receipt) => (StatusCode::CREATED, Json(receipt)).into_response(),
        Taken::Known(receipt) => Json(receipt).into_response(),
    })
}

#[derive(Debug, Deserialize)]
struct After {
    after: Option<String>,
}

async fn events(
    State(desk): State<Arc<Desk>>,
    Path(job): Path<String>,
    Query(After { after }): Query<After>,
) -> Result<Json<EventPage>, Refusal> {
    let job: JobId = job.parse().map_err(|_| Refusal::NotAnId(job))?;
    Ok(Json(desk.look(job, |shelf| shelf.page(after.as_deref())).await??))
}

async fn no_such_address(uri: Uri) -> Refusal {
    Refusal::NoSuchAddress(uri.path().chars().take(200).collect())
}
