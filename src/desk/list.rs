//! How do all jobs look on one page? A line each, the newest change first, searched and in parts.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use chrono::{DateTime, SecondsFormat, Utc};
use maud::{Markup, html};
use serde::Deserialize;

use super::index::{Line, Question, shortened};
use super::intake::Desk;
use super::problem::Refusal;
use super::shelf::Shelf;
use crate::ids::JobId;
use crate::job::session::Session;
use crate::report::names::{FromIds, FromVehicle, Names};

/// Jobs on one page.
pub const ON_PAGE: usize = 50;
/// Places that are remembered.
const REMEMBERED: usize = 2_000;

/// What the address asks for.
#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub struct Asked {
    /// Words to look for.
    pub words: String,
    /// Which jobs.
    pub which: Which,
    /// Which part, from 1.
    pub page: usize,
}

/// Which jobs are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Which {
    /// All.
    #[default]
    All,
    /// That are not handed over.
    Open,
    /// That are.
    Closed,
}

impl Asked {
    fn question(&self) -> Question {
        let closed = match self.which {
            Which::All => None,
            Which::Open => Some(false),
            Which::Closed => Some(true),
        };
        Question { words: self.words.clone(), closed }
    }

    fn address(&self, which: Which, page: usize) -> String {
        let mut query = url::form_urlencoded::Serializer::new(String::new());
        if !self.words.trim().is_empty() {
            query.append_pair("words", self.words.trim());
        }
        query.append_pair("which", which_word(which));
        if page > 1 {
            query.append_pair("page", &page.to_string());
        }
        format!("/desk?{}", query.finish())
    }
}

/// What takes long to say of a job: where its place is, or where the next look goes; and pictures that are missing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Told {
    place: String,
    photos_missing: usize,
}

/// Remembers places: as long as a job has not grown they hold.
#[derive(Debug, Default)]
pub struct List {
    places: Mutex<HashMap<JobId, (usize, String)>>,
}

impl List {
    /// The page of jobs that is asked for.
    pub async fn page(&self, desk: &Desk, asked: &Asked) -> Result<Markup, Refusal> {
        let page = asked.page.max(1);
        let part = desk.index().part(&asked.question(), (page - 1).saturating_mul(ON_PAGE), ON_PAGE);
        let mut entries = Vec::new();
        for line in part.lines {
            let told = self.told(desk, &line).await?;
            entries.push(entry(&line, &told));
        }
        let pages = part.of.div_ceil(ON_PAGE).max(1);
        let any = desk.index().part(&Question::default(), 0, 1).of > 0;
        let damaged = desk.index().damaged();
        Ok(html! {
            h1 { "Jobs" }
            @if !damaged.is_empty() {
                section.note {
                    h2 { "Part of the store cannot be read" }
                    p { "It was left as it is. Put these files back from a copy and start the desk again:" }
                    ul { @for why in &damaged { li { (why) } } }
                }
            }
            @if any {
                form.search action="/desk" role="search" {
                    label for="words" { "Search" }
                    input #words type="search" name="words" value=(asked.words);
                    input type="hidden" name="which" value=(which_word(asked.which));
                    button { "Search" }
                }
                nav.which aria-label="Which jobs" {
                    @for (which, words) in [(Which::All, "All"), (Which::Open, "In work"), (Which::Closed, "Handed over")] {
                        a href=(asked.address(which, 1)) aria-current=[(which == asked.which).then_some("true")] { (words) }
                    }
                }
            }
            div #jobs data-live="/desk/arrivals" {
                p.live role="status" {}
                @if !any {
                    section.empty {
                        p { "Nothing has arrived yet." }
                        p {
                            "Pair a phone under " a href="/desk/phones" { "Phones" }
                            ". Its jobs then come here by themselves, as soon as it has a network."
                        }
                    }
                } @else if entries.is_empty() {
                    section.empty { p { "No job fits that." } }
                } @else {
                    ol.jobs role="list" { @for each in entries { li { (each) } } }
                }
            }
            @if pages > 1 {
                nav.pages aria-label="Pages" {
                    @if page > 1 { a href=(asked.address(asked.which, page - 1)) rel="prev" { "Newer" } }
                    span { "Page " (page) " of " (pages) ", " (part.of) " jobs" }
                    @if page < pages { a href=(asked.address(asked.which, page + 1)) rel="next" { "Older" } }
                }
            }
        })
    }

    async fn told(&self, desk: &Desk, line: &Line) -> Result<Told, Refusal> {
        let known = self.places.lock().unwrap_or_else(PoisonError::into_inner).get(&line.job).cloned();
        let known = known.filter(|(bundles, _)| *bundles == line.bundles).map(|(_, place)| place);
        let shelf = match desk.shelf(line.job).await {
            Ok(shelf) => shelf,
            // It went, or cannot be read: the line says what is known.
            Err(Refusal::NoSuchJob(_)) => return Ok(Told::default()),
            Err(other) => return Err(other),
        };
        let photos_missing = desk.missing(shelf.missed().clone()).await?.len();
        let place = match known {
            Some(place) => place,
            None => {
                let place = place_of(line.job, shelf).await;
                let mut places = self.places.lock().unwrap_or_else(PoisonError::into_inner);
                if places.len() >= REMEMBERED {
                    places.clear();
                }
                places.insert(line.job, (line.bundles, place.clone()));
                place
            }
        };
        Ok(Told { place, photos_missing })
    }
}

/// Off the async threads, and apart: one job that cannot be planned must not take the list with it.
async fn place_of(job: JobId, shelf: Arc<Shelf>) -> String {
    let planned = tokio::task::spawn_blocking(move || place(&Session::open(job, shelf.log().clone())));
    planned.await.unwrap_or_else(|error| {
        eprintln!("desk: job {job} cannot be shown: {error}");
        "cannot be told by this version; the hand-over file can be saved".to_owned()
    })
}

/// Where the fault is, or where the next look goes.
fn place(session: &Session) -> String {
    let ready = session.ready().map(FromVehicle);
    let names: &dyn Names = ready.as_ref().map_or(&FromIds, |ready| ready);
    if let Some(finding) = session.job.findings.values().next_back() {
        return shortened(&names.point(&finding.point).title);
    }
    session.next().map(|step| format!("next: {}", shortened(&step.title))).unwrap_or_default()
}

fn which_word(which: Which) -> &'static str {
    match which {
        Which::All => "all",
        Which::Open => "open",
        Which::Closed => "closed",
    }
}

fn entry(line: &Line, told: &Told) -> Markup {
    let Line { job, practice, concern, vehicle, fuse, stands, photos: all, changed_at, .. } = line;
    html! {
        article.job {
            div.what {
                h2 {
                    a href={ "/desk/jobs/" (job) } { @if concern.is_empty() { "No concern noted yet" } @else { span translate="no" { (concern) } } }
                }
                p {
                    @if *practice { strong.practice { "Practice" } " " }
                    @if vehicle.is_empty() { "Vehicle not noted" } @else { span translate="no" { (vehicle) } }
                    @if !fuse.is_empty() { ", " span translate="no" { (fuse) } }
                }
            }
            dl {
                div { dt { "State" } dd { (stands.words()) } }
                div { dt { "Place" } dd { @if told.place.is_empty() { "not known yet" } @else { (told.place) } } }
                div { dt { "Photos, recordings" } dd { (photos(all.saturating_sub(told.photos_missing), told.photos_missing)) } }
                div { dt { "Last change" } dd { (moment(*changed_at)) } }
            }
        }
    }
}

fn photos(held: usize, missing: usize) -> String {
    match (held, missing) {
        (0, 0) => "none".to_owned(),
        (held, 0) => format!("{held} here"),
        (held, missing) => format!("{held} here, {missing} still on the phone"),
    }
}

/// A time, or that it is not known.
pub(super) fn moment(at: Option<DateTime<Utc>>) -> Markup {
    match at {
        Some(at) => {
            html! { time datetime=(at.to_rfc3339_opts(SecondsFormat::Secs, true)) { (at.format("%-d %b %Y, %H:%M UTC")) } }
        }
        None => html! { "not known" },
    }
}
