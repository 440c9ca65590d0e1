//! What does the desk know of every job without reading it? A line each, in memory, searched and paged; written down now
//! and then so that a start need not read all jobs, and made again from them where it is not there.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::{Arc, PoisonError, RwLock};

use chrono::{DateTime, Utc};
use object_store::path::Path;
use serde::{Deserialize, Serialize};

use super::shelf::Shelf;
use super::store::{Store, StoreError};
use crate::circuit::file::Fuse;
use crate::ids::{BundleId, JobId};
use crate::job::Job;
use crate::job::lesson::lesson;
use crate::search::lessons::{LearnedFile, Lesson, Shop};

/// How much of the customer's words stands in the list.
const WORDS: usize = 160;
/// Shorter words are not looked for in ids: "57" stands in every tenth by chance.
const LEAST_OF_AN_ID: usize = 8;
/// How many letters of a job are searched.
const SEARCHED: usize = 2_000;
/// The first line of what is written down: another one is not read.
const HEAD: &str = r#"{"format":"loomwalk/desk-index","version":2}"#;

/// How far a job is, by the newest thing that was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stands {
    /// Nothing was observed yet.
    Opened,
    /// Looks were made.
    Searching,
    /// The place is known.
    Found,
    /// It was repaired.
    Repaired,
    /// It was handed over.
    HandedOver,
}

impl Stands {
    fn of(job: &Job) -> Self {
        if job.is_handed_over() {
            Self::HandedOver
        } else if job.repairs.iter().any(|repair| repair.done) {
            Self::Repaired
        } else if !job.findings.is_empty() {
            Self::Found
        } else if job.observations.is_empty() {
            Self::Opened
        } else {
            Self::Searching
        }
    }

    /// For people.
    pub fn words(self) -> &'static str {
        match self {
            Self::Opened => "Opened",
            Self::Searching => "Searching",
            Self::Found => "Found, not repaired",
            Self::Repaired => "Repaired, not handed over",
            Self::HandedOver => "Handed over",
        }
    }
}

/// A job in short.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Which.
    pub job: JobId,
    /// How many bundles this was made of, those that cannot be read included.
    pub bundles: usize,
    /// A practice job.
    pub practice: bool,
    /// What the customer says.
    pub concern: String,
    /// The vehicle.
    pub vehicle: String,
    /// The fuse as people name it; nothing where nothing was entered yet.
    pub fuse: String,
    /// How far it is.
    pub stands: Stands,
    /// When it was changed last, by the devices' clocks.
    pub changed_at: Option<DateTime<Utc>>,
    /// Photographs and recordings.
    pub photos: usize,
    /// Bundles that cannot be read, and why.
    #[serde(default)]
    pub damaged: Vec<String>,
    /// What it teaches, once it is closed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lesson: Option<Lesson>,
    /// What is searched, in small letters.
    pub searched: String,
}

impl Line {
    /// Of what is held of a job.
    pub fn of(id: JobId, shelf: &Shelf, damaged: &BTreeMap<BundleId, String>) -> Self {
        let job = Job::fold(id, shelf.log());
        let circuit = job.circuit.as_ref();
        let vehicle = circuit.map(|circuit| shortened(&circuit.vehicle.label)).unwrap_or_default();
        let vin = circuit.and_then(|circuit| circuit.vehicle.vin.as_ref()).map(ToString::to_string);
        let fuse = circuit.map(|circuit| fuse(&circuit.fuse)).unwrap_or_default();
        let phones = shelf.phones().iter().map(|phone| of_phone(phone));
        let first = [id.to_string()].into_iter().chain(phones);
        let words = [job.concern.words.clone(), vehicle.clone(), fuse.clone()];
        let mut searched = first.chain(words).collect::<Vec<_>>().join(" ");
        let more = [circuit.map(|circuit| circuit.label.clone()), vin];
        let found = job.findings.values().flat_map(|finding| [finding.cause.clone(), finding.rubbed_on.clone()]);
        let repaired = job.repairs.iter().map(|repair| repair.what.clone());
        for part in more.into_iter().flatten().chain(found).chain(repaired) {
            searched.push(' ');
            searched.push_str(&part);
        }
        Self {
            job: id,
            bundles: shelf.bundles() + damaged.len(),
            practice: job.practice,
            concern: shortened(&job.concern.words),
            vehicle,
            fuse,
            stands: Stands::of(&job),
            changed_at: job.changed_at,
            photos: job.photos.len(),
            damaged: damaged.values().cloned().collect(),
            lesson: Some(&job).filter(|job| job.is_handed_over()).and_then(|job| lesson(job).ok()),
            searched: searched.to_lowercase().chars().take(SEARCHED).collect(),
        }
    }

    fn has_all(&self, words: &[String]) -> bool {
        let said = self.said();
        words.iter().all(|word| if word.len() < LEAST_OF_AN_ID { said } else { &self.searched }.contains(word.as_str()))
    }

    /// What people wrote: what is searched, without the ids that it begins with.
    fn said(&self) -> &str {
        let mut said = self.searched.as_str();
        while let Some((_, rest)) = said.split_once(' ').filter(|(first, _)| is_id(first)) {
            said = rest;
        }
        said
    }
}

/// Whether a word is a job's id or [`of_phone`].
fn is_id(word: &str) -> bool {
    let of_phone = |id: &str| id.len() == 8 && id.bytes().all(|letter| letter.is_ascii_hexdigit());
    word.parse::<JobId>().is_ok() || word.strip_prefix("phone-").is_some_and(of_phone)
}

/// The word by which the jobs are found of which a phone has sent something.
pub fn of_phone(phone: &str) -> String {
    format!("phone-{}", phone.chars().take(8).collect::<String>())
}

/// The fuse as people name it; nothing where nothing was entered yet.
fn fuse(fuse: &Fuse) -> String {
    let label = Some(format!("fuse {}", fuse.label.trim())).filter(|_| !fuse.label.trim().is_empty());
    let rating = Some(format!("{} A", fuse.rating_a)).filter(|_| fuse.rating_a > 0.0);
    [label, rating].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// Words cut to what stands in a list.
pub(super) fn shortened(words: &str) -> String {
    let words = words.trim();
    match words.char_indices().nth(WORDS) {
        Some((end, _)) => format!("{}…", words[..end].trim_end()),
        None => words.to_owned(),
    }
}

/// Which jobs are asked for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Question {
    /// Words that a job must hold, all of them.
    pub words: String,
    /// Only those that are handed over (`true`) or are not (`false`).
    pub closed: Option<bool>,
}

/// A part of the list.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// The jobs, the newest change first.
    pub lines: Vec<Arc<Line>>,
    /// How many there are in all.
    pub of: usize,
}

type Newest = Reverse<(Option<DateTime<Utc>>, JobId)>;

#[derive(Debug, Default)]
struct Lines {
    by_job: HashMap<JobId, Arc<Line>>,
    by_change: BTreeSet<Newest>,
    changed: bool,
}

/// A line for each job.
#[derive(Debug, Default)]
pub struct Index {
    lines: RwLock<Lines>,
}

impl Index {
    /// As it was written down last, as far as that can be read.
    pub(super) async fn open(store: &Store) -> Result<Self, StoreError> {
        let index = Self::default();
        let Some(kept) = store.read(&place()).await? else { return Ok(index) };
        let mut lines = kept.split(|byte| *byte == b'\n');
        if lines.next() == Some(HEAD.as_bytes()) {
            for line in lines.filter_map(|line| serde_json::from_slice(line).ok()) {
                index.put(line);
            }
        }
        index.lines.write().unwrap_or_else(PoisonError::into_inner).changed = false;
        Ok(index)
    }

    /// Jobs of which the store holds another number of bundles than the index knows. `bundles`: the job of each.
    pub(super) fn stale(&self, bundles: impl Iterator<Item = JobId>) -> Vec<JobId> {
        let mut there: BTreeMap<JobId, usize> = BTreeMap::new();
        for job in bundles {
            *there.entry(job).or_default() += 1;
        }
        there.into_iter().filter(|(job, bundles)| self.bundles(*job) != *bundles).map(|(job, _)| job).collect()
    }

    /// Of how many bundles a job's line was made.
    pub fn bundles(&self, job: JobId) -> usize {
        let lines = self.lines.read().unwrap_or_else(PoisonError::into_inner);
        lines.by_job.get(&job).map_or(0, |line| line.bundles)
    }

    /// Puts a line in, in place of the one before.
    pub(super) fn put(&self, line: Line) {
        let mut lines = self.lines.write().unwrap_or_else(PoisonError::into_inner);
        if lines.by_job.get(&line.job).is_some_and(|known| **known == line) {
            return;
        }
        let (job, at) = (line.job, line.changed_at);
        if let Some(before) = lines.by_job.insert(job, Arc::new(line)) {
            lines.by_change.remove(&Reverse((before.changed_at, job)));
        }
        lines.by_change.insert(Reverse((at, job)));
        lines.changed = true;
    }

    /// One job's line.
    pub fn line(&self, job: JobId) -> Option<Arc<Line>> {
        self.lines.read().unwrap_or_else(PoisonError::into_inner).by_job.get(&job).cloned()
    }

    /// A part of the jobs that are asked for: so many, behind so many.
    pub fn part(&self, question: &Question, skip: usize, take: usize) -> Part {
        let words: Vec<String> = question.words.to_lowercase().split_whitespace().map(str::to_owned).collect();
        let lines = self.lines.read().unwrap_or_else(PoisonError::into_inner);
        let asked_for = |line: &&Arc<Line>| {
            // One of which nothing can be read is told of beside the list.
            line.bundles > line.damaged.len()
                && question.closed.is_none_or(|closed| closed == (line.stands == Stands::HandedOver))
                && line.has_all(&words)
        };
        let found = lines.by_change.iter().filter_map(|Reverse((_, job))| lines.by_job.get(job)).filter(asked_for);
        let mut part = Part { lines: Vec::new(), of: 0 };
        for line in found {
            if part.of >= skip && part.lines.len() < take {
                part.lines.push(line.clone());
            }
            part.of += 1;
        }
        part
    }

    /// What the closed jobs have taught, all in all.
    pub fn shop(&self) -> Shop {
        let lessons = self.all().iter().filter_map(|line| line.lesson.clone()).collect();
        LearnedFile { lessons, ..LearnedFile::default() }.shop()
    }

    /// What cannot be read of the store, as far as is known.
    pub fn damaged(&self) -> Vec<String> {
        let lines = self.lines.read().unwrap_or_else(PoisonError::into_inner);
        lines.by_job.values().flat_map(|line| line.damaged.iter().cloned()).collect()
    }

    /// Every job's line, by id.
    pub fn all(&self) -> Vec<Arc<Line>> {
        let lines = self.lines.read().unwrap_or_else(PoisonError::into_inner);
        let mut all: Vec<Arc<Line>> = lines.by_job.values().cloned().collect();
        all.sort_by_key(|line| line.job);
        all
    }

    /// Writes all lines down, if one has changed.
    pub(super) async fn write_down(&self, store: &Store) -> Result<(), StoreError> {
        let text = {
            let mut lines = self.lines.write().unwrap_or_else(PoisonError::into_inner);
            if !lines.changed {
                return Ok(());
            }
            lines.changed = false;
            let written = lines.by_job.values().filter_map(|line| serde_json::to_string(line.as_ref()).ok());
            std::iter::once(HEAD.to_owned()).chain(written).collect::<Vec<_>>().join("\n")
        };
        let written = store.replace(&place(), text.into()).await;
        if written.is_err() {
            self.lines.write().unwrap_or_else(PoisonError::into_inner).changed = true;
        }
        written
    }
}

fn place() -> Path {
    Path::from("index/jobs.jsonl")
}
