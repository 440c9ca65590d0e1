//! How do all jobs look on one page? One line of facts each, the newest first.

use chrono::{DateTime, Utc};
use maud::{Markup, html};

use super::intake::Desk;
use super::shelf::Shelf;
use crate::circuit::file::Fuse;
use crate::ids::{JobId, PhotoHash};
use crate::job::Job;
use crate::report::{FromIds, Names};

/// How much of the customer's words stands in the list.
const WORDS: usize = 160;

/// What the list says of one job.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    job: JobId,
    practice: bool,
    concern: String,
    vehicle: String,
    fuse: String,
    stands: &'static str,
    place: String,
    photos_held: usize,
    photos_missing: usize,
    /// When the newest event was made, by its device's clock.
    pub changed_at: Option<DateTime<Utc>>,
}

impl Entry {
    /// Of a job as it is now.
    pub fn of(id: JobId, shelf: &Shelf, desk: &Desk) -> Self {
        let job = Job::fold(id, shelf.log());
        let mut photos: Vec<&PhotoHash> = job.photos.iter().map(|(_, photo)| &photo.sha256).collect();
        photos.sort();
        photos.dedup();
        let photos_missing = desk.missing(photos.iter().copied()).len();
        let circuit = job.circuit.as_ref();
        Self {
            job: id,
            practice: job.practice,
            concern: shortened(&job.concern.words),
            vehicle: circuit.map(|circuit| shortened(&circuit.vehicle.label)).unwrap_or_default(),
            fuse: circuit.map(|circuit| fuse(&circuit.fuse)).unwrap_or_default(),
            stands: stands(&job),
            place: place(&job),
            photos_held: photos.len() - photos_missing,
            photos_missing,
            changed_at: job.changed_at,
        }
    }
}

/// The fuse as people name it; nothing where nothing was entered yet.
fn fuse(fuse: &Fuse) -> String {
    let label = Some(format!("fuse {}", fuse.label.trim())).filter(|_| !fuse.label.trim().is_empty());
    let rating = Some(format!("{} A", fuse.rating_a)).filter(|_| fuse.rating_a > 0.0);
    [label, rating].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// How far the job is, by the newest thing that was done.
fn stands(job: &Job) -> &'static str {
    if !job.handed_over.is_empty() {
        "Handed over"
    } else if job.repairs.iter().any(|repair| repair.done) {
        "Repaired, not handed over"
    } else if !job.findings.is_empty() {
        "Found, not repaired"
    } else if job.observations.is_empty() {
        "Opened"
    } else {
        "Searching"
    }
}

/// Where the fault is, or where the next look goes.
fn place(job: &Job) -> String {
    if let Some(finding) = job.findings.values().next_back() {
        let place = FromIds.point(&finding.point).title;
        return match finding.rubbed_on.trim() {
            "" => place,
            on => format!("{place}, on {}", shortened(on)),
        };
    }
    job.first.as_ref().map(|point| format!("next: {}", FromIds.point(point).title)).unwrap_or_default()
}

fn shortened(words: &str) -> String {
    let words = words.trim();
    match words.char_indices().nth(WORDS) {
        Some((end, _)) => format!("{}…", words[..end].trim_end()),
        None => words.to_owned(),
    }
}

/// The page of all jobs.
pub fn page(entries: &[Entry], damaged: &[String]) -> Markup {
    html! {
        h1 { "Jobs" }
        @if !damaged.is_empty() {
            section.note {
                h2 { "Part of the store cannot be read" }
                p { "It was left as it is. Put these files back from a copy and start the desk again:" }
                ul { @for why in damaged { li { (why) } } }
            }
        }
        @if entries.is_empty() {
            section.empty {
                p { "Nothing has arrived yet." }
                p { "On the phone, open the job, go to Hand-over and choose “Send to the desk”. Then load this page again." }
            }
        } @else {
            ol.jobs role="list" { @for each in entries { li { (entry(each)) } } }
        }
    }
}

/// One job.
pub fn entry(entry: &Entry) -> Markup {
    let Entry { job, practice, concern, vehicle, fuse, stands, place, photos_held, photos_missing, changed_at } = entry;
    html! {
        article.job {
            div.what {
                h2 {
                    a href={ "/desk/jobs/" (job) } { @if concern.is_empty() { "No concern noted yet" } @else { (concern) } }
                }
                p {
                    @if *practice { strong.practice { "Practice" } " " }
                    @if vehicle.is_empty() { "Vehicle not noted" } @else { (vehicle) }
                    @if !fuse.is_empty() { ", " (fuse) }
                }
            }
            dl {
                div { dt { "State" } dd { (stands) } }
                div { dt { "Place" } dd { @if place.is_empty() { "not known yet" } @else { (place) } } }
                div { dt { "Photos" } dd { (photos(*photos_held, *photos_missing)) } }
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

fn moment(at: Option<DateTime<Utc>>) -> Markup {
    match at {
        Some(at) => html! { time datetime=(at.to_rfc3339()) { (at.format("%-d %b %Y, %H:%M UTC")) } },
        None => html! { "not known" },
    }
}
