//! What does the service writer read? The jobs as they arrive, a job, its photographs, its hand-over file; who may come
//! in; what was done.

use std::convert::Infallible;
use std::ops::RangeInclusive;
use std::sync::Arc;
use std::time::Duration;

use axum::body::Body;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::sse::{Event as Sent, KeepAlive, Sse};
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Router, middleware};
use futures::{Stream, StreamExt, stream};
use maud::{DOCTYPE, Markup, html};
use serde::Deserialize;
use tokio::sync::broadcast::error::RecvError;
use tower_http::set_header::SetResponseHeaderLayer;

use super::access::audit;
use super::guard::{self, Gate};
use super::list::{self, List, moment};
use super::photos::EDGES;
use super::problem::Refusal;
use super::{door, framed, hand_over, learned, phones, prices};
use crate::ids::{JobId, PhotoHash};
use crate::report::{Kind, Lang, Wish};

/// What the desk's own pages may do: look like themselves, show the photographs, hear of arrivals, send their own forms.
pub(super) const CSP_PAGES: HeaderValue = HeaderValue::from_static(
    "default-src 'none'; img-src 'self'; style-src 'self'; script-src 'self'; connect-src 'self'; base-uri 'none'; \
     form-action 'self'; frame-ancestors 'none'",
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
pub fn routes(gate: Gate) -> Router {
    let signed_in = Router::new()
        .route("/desk", get(jobs))
        .route("/desk/", get(async || Redirect::permanent("/desk")))
        .route("/desk/arrivals", get(arrivals))
        .route("/desk/jobs/{job}", get(job))
        .route("/desk/jobs/{job}/bundle", get(bundle))
        .route("/desk/jobs/{job}/photos/{sha256}", get(photo))
        .route("/desk/jobs/{job}/photos/{sha256}/{edge}", get(small_photo))
        .route("/desk/learned", get(lessons))
        .route("/desk/done", get(done))
        .merge(phones::routes())
        .merge(prices::routes())
        .route("/desk/{*elsewhere}", get(no_such_page))
        .route_layer(middleware::from_fn_with_state(gate.clone(), guard::only_signed_in))
        .with_state(gate.clone());
    Router::new()
        .route("/desk/desk.css", get(style))
        .route("/desk/desk.js", get(script))
        .merge(door::routes(&gate))
        .merge(signed_in)
        .layer(SetResponseHeaderLayer::if_not_present(header::CONTENT_SECURITY_POLICY, CSP_PAGES))
        .layer(SetResponseHeaderLayer::if_not_present(header::CACHE_CONTROL, HeaderValue::from_static("no-cache")))
        .layer(Extension(Arc::<List>::default()))
}

/// An error as a page.
pub(super) struct Page(Refusal);

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
        let retry_after = refusal.into_response().headers_mut().remove(header::RETRY_AFTER);
        let page = sheet(
            "Not to be had",
            None,
            &html! { h1 { "Not to be had" } p { (words) "." } p { a href="/desk" { "To the jobs" } } },
        );
        let mut response = (status, page).into_response();
        response.headers_mut().extend(retry_after.map(|seconds| (header::RETRY_AFTER, seconds)));
        response
    }
}

async fn jobs(
    State(gate): State<Gate>,
    Extension(list): Extension<Arc<List>>,
    Query(asked): Query<list::Asked>,
) -> Result<Html<String>, Page> {
    Ok(sheet("Jobs", Some(Here::Jobs), &list.page(&gate.desk, &asked).await?))
}

/// Calls out each job that grows, by its id.
async fn arrivals(State(gate): State<Gate>) -> Sse<impl Stream<Item = Result<Sent, Infallible>>> {
    let heard = stream::unfold(gate.desk.listen(), |mut arrivals| async move {
        let job = match arrivals.recv().await {
            Ok(job) => job.to_string(),
            Err(RecvError::Lagged(_)) => String::new(),
            Err(RecvError::Closed) => return None,
        };
        Some((Ok(Sent::default().event("job").data(job)), arrivals))
    });
    let heard = heard.take_until(gate.desk.ended());
    Sse::new(heard).keep_alive(KeepAlive::new().interval(Duration::from_secs(20)))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Shown {
    large: bool,
    /// The customer's sheet, not the whole file.
    customer: bool,
    /// In which language it is, by its tag.
    lang: String,
}

async fn job(State(gate): State<Gate>, Path(job): Path<String>, Query(shown): Query<Shown>) -> Result<Response, Page> {
    let job = job_id(job)?;
    let desk = gate.desk;
    let shelf = desk.shelf(job).await?;
    let held = desk.held_photos(&shelf).await.map_err(Refusal::from)?;
    let prices = prices::usable(desk.store()).await.map_err(Refusal::from)?;
    let kind = if shown.customer { Kind::Customer } else { Kind::File };
    // Off the async threads: the plan for what remains is computed anew.
    let made = tokio::task::spawn_blocking(move || {
        let wish = Wish { kind, prices: prices.as_ref(), lang: Lang::of(&shown.lang) };
        framed::report(&desk, job, &shelf, &held, &wish, shown.large)
    });
    let page = made.await.map_err(Refusal::from)?.ok_or(Refusal::NoSuchJob(job))?;
    let policy = [(header::CONTENT_SECURITY_POLICY, framed::policy(&page).unwrap_or(CSP_PAGES))];
    Ok((policy, Html(page)).into_response())
}

/// Which of several files.
#[derive(Debug, Deserialize)]
struct Which {
    #[serde(default = "first")]
    number: usize,
}

fn first() -> usize {
    1
}

async fn bundle(
    State(gate): State<Gate>,
    Path(job): Path<String>,
    Query(Which { number }): Query<Which>,
) -> Result<Response, Page> {
    let (name, body) = hand_over::body(gate.desk, job_id(job)?, number).await?;
    let name = format!("attachment; filename=\"{name}\"");
    let headers = [(header::CONTENT_TYPE, "application/json".to_owned()), (header::CONTENT_DISPOSITION, name)];
    Ok((headers, body).into_response())
}

async fn lessons(State(gate): State<Gate>) -> Html<String> {
    sheet("Learned", Some(Here::Learned), &learned::page(&gate.desk.index().shop()))
}

async fn done(State(gate): State<Gate>) -> Result<Html<String>, Page> {
    let store = gate.desk.store();
    let (done, _) = audit::newest(store, audit::Book::Done).await.map_err(Refusal::from)?;
    let (refused, all) = audit::newest(store, audit::Book::Refused).await.map_err(Refusal::from)?;
    let table = |entries: &[audit::Entry]| {
        html! {
            table {
                thead { tr { th scope="col" { "When" } th scope="col" { "What" } th scope="col" { "From" } } }
                tbody { @for entry in entries { tr { td { (moment(Some(entry.at))) } td { (entry.deed.words()) } td { (entry.from) } } } }
            }
        }
    };
    let words = html! {
        h1 { "What was done here" }
        p { "The newest first. Entries are kept for good, beside the jobs; shown are the newest of the last 30 days." }
        @if done.is_empty() { p.hint { "Nothing yet." } } @else { (table(&done)) }
        @if !refused.is_empty() {
            h2 { "Who was not let in" }
            p { (all) " times in the last 30 days; shown are the newest. About " (audit::REFUSED_OF_ONE) " an hour of one address are counted, and " (audit::REFUSED_PER_HOUR) " of all." }
            (table(&refused))
        }
    };
    Ok(sheet("What was done", Some(Here::Done), &words))
}

/// Made small for the screen; as it is where it cannot be made smaller.
async fn small_photo(
    State(gate): State<Gate>,
    Path((job, name, edge)): Path<(String, String, String)>,
) -> Result<Response, Page> {
    let (job_id, hash) = (job_id(job.clone())?, name.parse::<PhotoHash>().map_err(Refusal::from)?);
    let edge = edge.parse().ok().filter(|edge| EDGES.contains(edge)).unwrap_or(EDGES[0]);
    let shelf = gate.desk.shelf(job_id).await?;
    if shown_as(&shelf, &hash).is_none() || !gate.desk.has_photo(&hash).await.map_err(Refusal::from)? {
        return Err(Refusal::NoSuchPhoto(hash).into());
    }
    match gate.desk.small_photo(&hash, edge).await? {
        Some(small) => Ok((photo_headers("image/jpeg"), small).into_response()),
        None => Ok(Redirect::to(&format!("/desk/jobs/{job_id}/photos/{hash}")).into_response()),
    }
}

fn photo_headers(media_type: &'static str) -> [(header::HeaderName, HeaderValue); 4] {
    [
        (header::CONTENT_TYPE, HeaderValue::from_static(media_type)),
        (header::CONTENT_DISPOSITION, HeaderValue::from_static("inline")),
        (header::CONTENT_SECURITY_POLICY, CSP_PHOTO),
        (header::CACHE_CONTROL, HeaderValue::from_static("private, max-age=31536000, immutable")),
    ]
}

async fn photo(
    State(gate): State<Gate>,
    Path((job, name)): Path<(String, String)>,
    asked: HeaderMap,
) -> Result<Response, Page> {
    let (job, name) = (job_id(job)?, name.parse::<PhotoHash>().map_err(Refusal::from)?);
    let desk = gate.desk;
    let shelf = desk.shelf(job).await?;
    let there = desk.has_photo(&name).await.map_err(Refusal::from)?;
    let Some(media_type) = shown_as(&shelf, &name).filter(|_| there) else {
        return Err(Refusal::NoSuchPhoto(name).into());
    };
    let (length, bytes) = desk.store().photo(&name).await.map_err(Refusal::from)?;
    let headers = (photo_headers(media_type), [(header::ACCEPT_RANGES, HeaderValue::from_static("bytes"))]);
    let Some(part) = part(&asked, length) else {
        return Ok((
            headers.0,
            headers.1,
            [(header::CONTENT_LENGTH, HeaderValue::from(length))],
            Body::from_stream(bytes),
        )
            .into_response());
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
    Ok((StatusCode::PARTIAL_CONTENT, headers.0, headers.1, of_all, Body::from_stream(bytes)).into_response())
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

async fn script() -> Response {
    let script = include_str!("../../assets/desk/desk.js");
    ([(header::CONTENT_TYPE, "text/javascript; charset=utf-8")], script).into_response()
}

async fn style() -> Response {
    let style = include_str!("../../assets/desk/desk.css");
    ([(header::CONTENT_TYPE, "text/css; charset=utf-8")], style).into_response()
}

/// What stands at `/` where no app is served.
pub async fn no_app() -> Response {
    let words = html! {
        h1 { "The app is not served here" }
        p { "This desk was started without it. Build the app, then start the desk with the folder that was built:" }
        pre translate="no" { code { "cargo xtask dist\nloomwalk desk --app target/dist/web" } }
        p { "The jobs that have arrived are on " a href="/desk" { "the desk" } "." }
    };
    let csp = [(header::CONTENT_SECURITY_POLICY, CSP_PAGES)];
    (csp, sheet("The app is not served here", None, &words)).into_response()
}

/// What stands where nothing is.
pub async fn no_such_page() -> Response {
    let words = html! {
        h1 { "There is nothing here" }
        p { "Perhaps the address was cut short. All jobs are on " a href="/desk" { "the desk" } "." }
    };
    let csp = [(header::CONTENT_SECURITY_POLICY, CSP_PAGES)];
    (StatusCode::NOT_FOUND, csp, sheet("There is nothing here", None, &words)).into_response()
}

/// The media type as we write it, if it is one that a page shows or plays.
pub fn shown_type(listed: &str) -> Option<&'static str> {
    SHOWN.into_iter().find(|known| *known == listed)
}

/// As what a photograph of a job is shown; `None`: the job has none of that name, or of no kind that is shown.
pub fn shown_as(shelf: &super::shelf::Shelf, name: &PhotoHash) -> Option<&'static str> {
    shelf.photos().get(name)?.iter().find_map(|listed| shown_type(listed))
}

pub(super) fn job_id(text: String) -> Result<JobId, Refusal> {
    text.parse().map_err(|_| Refusal::NotAnId(text))
}

/// Which of the desk's rooms a page belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Here {
    /// The jobs.
    Jobs,
    /// Who may send.
    Phones,
    /// What the shop charges.
    Prices,
    /// What was learned.
    Learned,
    /// What was done.
    Done,
}

const ROOMS: [(Here, &str, &str); 5] = [
    (Here::Jobs, "/desk", "Jobs"),
    (Here::Phones, "/desk/phones", "Phones"),
    (Here::Prices, "/desk/prices", "Prices"),
    (Here::Learned, "/desk/learned", "Learned"),
    (Here::Done, "/desk/done", "What was done"),
];

/// A page of the desk. Without a room: one that is shown to those who are not signed in, too.
pub(super) fn sheet(title: &str, here: Option<Here>, content: &Markup) -> Html<String> {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Loomwalk desk" }
                link rel="icon" type="image/svg+xml" href="/icons/icon.svg";
                link rel="stylesheet" href="/desk/desk.css";
                // The app's: with it come the words of other languages. Where no app is served the pages are English.
                script type="module" src="/speak.js" {}
                script type="module" src="/desk/desk.js" {}
            }
            body {
                header {
                    a.name href="/desk" { "Loomwalk " span { "desk" } }
                    @if let Some(here) = here {
                        nav aria-label="Desk" {
                            @for (room, address, words) in ROOMS {
                                a href=(address) aria-current=[(room == here).then_some("page")] { (words) }
                            }
                        }
                        form method="post" action="/desk/sign-out" { button.quiet { "Sign out" } }
                    }
                }
                main { (content) }
            }
        }
    };
    Html(page.into_string())
}
