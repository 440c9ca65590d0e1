//! How do all jobs look on one page? One line of facts each, the newest change first.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, PoisonError};

use chrono::{DateTime, Utc};
use maud::{Markup, html};

use super::intake::Desk;
use super::shelf::Shelf;
use crate::circuit::file::Fuse;
use crate::ids::{JobId, PhotoHash};
use crate::job::Job;
use crate::job::log::Log;
use crate::job::session::Session;
use crate::report::names::{FromIds, FromVehicle, Names};

/// How much of the customer's words stands in the list.
const WORDS: usize = 160;

/// What the log of one job says, in short.
#[derive(Debug, Clone, PartialEq, Default)]
struct Facts {
    practice: bool,
    concern: String,
    vehicle: String,
    fuse: String,
    stands: &'static str,
    place: String,
    photos: BTreeSet<PhotoHash>,
    changed_at: Option<DateTime<Utc>>,
}

impl Facts {
    fn of(id: JobId, log: Log) -> Self {
        let session = Session::open(id, log);
        let job = &session.job;
        let circuit = job.circuit.as_ref();
        Self {
            practice: job.practice,
            concern: shortened(&job.concern.words),
            vehicle: circuit.map(|circuit| shortened(&circuit.vehicle.label)).unwrap_or_default(),
            fuse: circuit.map(|circuit| fuse(&circuit.fuse)).unwrap_or_default(),
            stands: stands(job),
            place: place(&session),
            photos: job.photos.iter().map(|(_, photo)| photo.sha256.clone()).collect(),
            changed_at: job.changed_at,
        }
    }

    /// Of a job that this program fails to fold: it stays on the list.
    fn unknown() -> Self {
        Self { stands: "Cannot be shown by this version; the hand-over file can be saved", ..Self::default() }
    }
}

/// The jobs in short. A log only grows, so what was made of it holds until it is longer.
#[derive(Debug, Default)]
pub struct List {
    made: Mutex<BTreeMap<JobId, (usize, Arc<Facts>)>>,
}

/// A line of the list.
#[derive(Debug, Clone)]
pub struct Entry {
    job: JobId,
    facts: Arc<Facts>,
    photos_missing: usize,
}

impl List {
    /// Of all jobs that a desk holds, the newest change first, by the devices' clocks.
    pub async fn entries(&self, desk: &Desk) -> Vec<Entry> {
        let known = |job, shelf: &Shelf| (job, self.made(job, shelf.log().len()).ok_or_else(|| shelf.log().clone()));
        let mut entries = Vec::new();
        for (job, facts) in desk.look_at_all(known).await {
            let facts = match facts {
                Ok(facts) => facts,
                Err(log) => self.make(job, log).await,
            };
            entries.push(Entry { job, photos_missing: desk.missing(&facts.photos).len(), facts });
        }
        entries.sort_by_key(|entry| std::cmp::Reverse(entry.facts.changed_at));
        entries
    }

    fn made(&self, job: JobId, events: usize) -> Option<Arc<Facts>> {
        let made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        made.get(&job).filter(|(made_of, _)| *made_of == events).map(|(_, facts)| facts.clone())
    }

    /// Off the async threads, and apart: one job that cannot be folded must not take the list with it.
    async fn make(&self, job: JobId, log: Log) -> Arc<Facts> {
        let events = log.len();
        let facts = tokio::task::spawn_blocking(move || Facts::of(job, log)).await.unwrap_or_else(|error| {
            eprintln!("desk: job {job} cannot be shown: {error}");
            Facts::unknown()
        });
        let facts = Arc::new(facts);
        self.made.lock().unwrap_or_else(PoisonError::into_inner).insert(job, (events, facts.clone()));
        facts
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
fn place(session: &Session) -> String {
    let ready = session.ready().map(FromVehicle);
    let names: &dyn Names = ready.as_ref().map_or(&FromIds, |ready| ready);
    if let Some(finding) = session.job.findings.values().next_back() {
        return shortened(&names.point(&finding.point).title);
    }
    session.next().map(|step| format!("next: {}", shortened(&step.title))).unwrap_or_default()
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

fn entry(entry: &Entry) -> Markup {
    let Entry { job, facts, photos_missing } = entry;
    let Facts { practice, concern, vehicle, fuse, stands, place, photos: all, changed_at } = facts.as_ref();
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
                div { dt { "Photos, recordings" } dd { (photos(all.len() - photos_missing, *photos_missing)) } }
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
