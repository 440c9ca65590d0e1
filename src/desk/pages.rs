//! What does the service writer read? Pages without script: the jobs, a job, its photographs, its hand-over file.

use std::ops::RangeInclusive;
use std::sync::Arc;

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{DOCTYPE, Markup, html};
use tower_http::set_header::SetResponseHeaderLayer;

use super::intake::Desk;
use super::list::{self, List};
use super::problem::Refusal;
use super::shelf::Shelf;
use super::{framed, hand_over};
use crate::bundle::file::EXTENSION;
use crate::ids::{JobId, PhotoHash};

/// What the desk's own pages may do: look like themselves and show the photographs.
const CSP_PAGES: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; img-src 'self'; style-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
);
/// A photograph opened by itself may do nothing, whatever its bytes are.
const CSP_PHOTO: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; sandbox; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
);
/// Raster pictures and sound: nothing in them can act.
const SHOWN: [&str; 10] = [
    "image/jpeg",
    "image/png",
    "image/webp",
    "image/avif",
    "image/gif",
    "image/heic",
    "image/heif",
    "audio/webm",
    "audio/mp4",
    "audio/ogg",
];

/// Everything under `/desk`.
pub fn routes(desk: Arc<Desk>) -> Router {
    Router::new()
        .route("/desk", get(jobs))
        .route("/desk/", get(async || Redirect::permanent("/desk")))
        .route("/desk/desk.css", get(style))
        .route("/desk/jobs/{job}", get(job))
        .route("/desk/jobs/{job}/bundle", get(bundle))
        .route("/desk/photos/{sha256}", get(photo))
        .route("/desk/{*elsewhere}", get(no_such_page))
        .layer(SetResponseHeaderLayer::if_not_present(header::CONTENT_SECURITY_POLICY, CSP_PAGES))
        .layer(SetResponseHeaderLayer::if_not_present(header::CACHE_CONTROL, HeaderValue::from_static("no-cache")))
        .layer(Extension(Arc::<List>::default()))
        .with_state(desk)
}

/// An error as a page.
struct Page(Refusal);

impl From<Refusal> for Page {
    fn from(refusal: Refusal) -> Self {
        Self(refusal)
    }
}

impl IntoResponse for Page {
    fn into_response(self) -> Response {
        let Self(refusal) = self;
        let (status, words) = (refusal.status(), refusal.to_string());
        // The problem notes on the terminal what the page does not say.
        drop(refusal.into_response());
        (status, sheet("Not to be had", &html! { h1 { "Not to be had" } p { (words) "." } })).into_response()
    }
}

async fn jobs(State(desk): State<Arc<Desk>>, Extension(list): Extension<Arc<List>>) -> Html<String> {
    sheet("Jobs", &list::page(&list.entries(&desk).await, desk.damaged()))
}

async fn job(State(desk): State<Arc<Desk>>, Path(job): Path<String>) -> Result<Response, Page> {
    let job = job_id(job)?;
    let shelf = desk.look(job, Shelf::clone).await?;
    // Off the async threads: the plan for what remains is computed anew.
    let made = tokio::task::spawn_blocking(move || framed::report(&desk, job, &shelf)).await.map_err(Refusal::from)?;
    let page = made.ok_or(Refusal::NoSuchJob(job))?;
    let policy = [(header::CONTENT_SECURITY_POLICY, framed::policy(&page).unwrap_or(CSP_PAGES))];
    Ok((policy, Html(page)).into_response())
}

async fn bundle(State(desk): State<Arc<Desk>>, Path(job): Path<String>) -> Result<Response, Page> {
    let job = job_id(job)?;
    let body = hand_over::body(desk, job).await?;
    let name = format!("attachment; filename=\"{job}{EXTENSION}\"");
    let headers = [(header::CONTENT_TYPE, "application/json".to_owned()), (header::CONTENT_DISPOSITION, name)];
    Ok((headers, body).into_response())
}

async fn photo(State(desk): State<Arc<Desk>>, Path(name): Path<String>, asked: HeaderMap) -> Result<Response, Page> {
    let name: PhotoHash = name.parse().map_err(Refusal::from)?;
    let types = desk.look_at_all(|_, shelf| shelf.photos().get(&name).and_then(|photo| shown_type(&photo.media_type)));
    let Some(media_type) = types.await.into_iter().flatten().next().filter(|_| desk.has_photo(&name)) else {
        return Err(Refusal::NoSuchPhoto(name).into());
    };
    let (length, bytes) = desk.store().photo(&name).await.map_err(Refusal::from)?;
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(media_type)),
        (header::CONTENT_DISPOSITION, HeaderValue::from_static("inline")),
        (header::CONTENT_SECURITY_POLICY, CSP_PHOTO),
        (header::CACHE_CONTROL, HeaderValue::from_static("private, max-age=31536000, immutable")),
        (header::ACCEPT_RANGES, HeaderValue::from_static("bytes")),
    ];
    let Some(part) = part(&asked, length) else {
        return Ok(
            (headers, [(header::CONTENT_LENGTH, HeaderValue::from(length))], Body::from_stream(bytes)).into_response()
        );
    };
    let Ok(part) = part else {
        let all = [(header::CONTENT_RANGE, format!("bytes */{length}"))];
        return Ok((StatusCode::RANGE_NOT_SATISFIABLE, all).into_response());
    };
    let (first, last) = part.into_inner();
    let bytes = desk.store().photo_part(&name, first..last + 1).await.map_err(Refusal::from)?;
    let of_all = [
        (header::CONTENT_LENGTH, (last + 1 - first).to_string()),
        (header::CONTENT_RANGE, format!("bytes {first}-{last}/{length}")),
    ];
    Ok((StatusCode::PARTIAL_CONTENT, headers, of_all, Body::from_stream(bytes)).into_response())
}

/// The part that is asked for, as some players ask for sound (RFC 9110 §14.2). `None`: all of it, as where several parts
/// are asked for at once or the question is not understood; `Err`: there is no such part.
fn part(asked: &HeaderMap, length: u64) -> Option<Result<RangeInclusive<u64>, ()>> {
    let range = asked.get(header::RANGE)?.to_str().ok()?;
    let parts = http_range_header::parse_range_header(range).ok()?.validate(length);
    match parts.as_deref() {
        Ok([one]) => Some(Ok(one.clone())),
        Ok(_) => None,
        Err(_) => Some(Err(())),
    }
}

async fn style() -> Response {
    let style = include_str!("../../assets/style/desk/desk.css");
    ([(header::CONTENT_TYPE, "text/css; charset=utf-8")], style).into_response()
}

/// What stands at `/` where no app is served.
pub async fn no_app() -> Response {
    let words = html! {
        h1 { "The app is not served here" }
        p { "This desk was started without it. Build the app, then start the desk with the folder that was built:" }
        pre { code { "cargo xtask dist\nloomwalk desk --app target/dist/web" } }
        p { "The jobs that have arrived are on " a href="/desk" { "the desk" } "." }
    };
    let csp = [(header::CONTENT_SECURITY_POLICY, CSP_PAGES)];
    (csp, sheet("The app is not served here", &words)).into_response()
}

/// What stands where nothing is.
pub async fn no_such_page() -> Response {
    let words = html! {
        h1 { "There is nothing here" }
        p { "Perhaps the address was cut short. All jobs are on " a href="/desk" { "the desk" } "." }
    };
    let csp = [(header::CONTENT_SECURITY_POLICY, CSP_PAGES)];
    (StatusCode::NOT_FOUND, csp, sheet("There is nothing here", &words)).into_response()
}

/// The media type as we write it, if it is one that a page shows or plays.
pub fn shown_type(listed: &str) -> Option<&'static str> {
    SHOWN.into_iter().find(|known| *known == listed)
}

fn job_id(text: String) -> Result<JobId, Refusal> {
    text.parse().map_err(|_| Refusal::NotAnId(text))
}

/// A page of the desk.
fn sheet(title: &str, content: &Markup) -> Html<String> {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Loomwalk desk" }
                link rel="stylesheet" href="/desk/desk.css";
            }
            body {
                header { a href="/desk" { "Loomwalk " span { "desk" } } }
                main { (content) }
            }
        }
    };
    Html(page.into_string())
}
