//! What do all screens of one job show? Its log, the job that follows from it, and the plan that follows from that.
//!
//! The same on the phone, at the desk and in tests: an event goes in, a new picture comes out. Only
//! what an event changes is made again: the search when the circuit changed, the plan when what it is made from did.

use crate::circuit::check::{self, CircuitError};
use crate::circuit::expand::expand;
use crate::circuit::file::CircuitFile;
use crate::circuit::harness::Harness;
use crate::circuit::live_work::{FUEL, WHY, never_live};
use crate::ids::{Condition, EventId, JobId, PointId};
use crate::job::event::Event;
use crate::job::log::{Log, LogError};
use crate::job::state::Job;
use crate::job::tale::{tales, told};
use crate::search::evidence::Observation;
use crate::search::limits::Limits;
use crate::search::plan::{Plan, Search, Step, StepKind, Walk};
use crate::search::point::Point;
use crate::vehicle::body::{FittedMap, fit};

/// One job with all that follows from its log.
#[derive(Debug)]
pub struct Session {
    /// The job's events.
    pub log: Log,
    /// The job as the log tells it.
    pub job: Job,
    /// What follows from the circuit.
    pub circuit: CircuitView,
}

/// What can be said of the circuit as entered so far.
#[derive(Debug)]
pub enum CircuitView {
    /// No vehicle, fuse or load was entered yet.
    None,
    /// It cannot be searched yet, and why.
    Unsound(CircuitError),
    /// It can be searched.
    Ready(Box<Ready>),
}

/// A sound circuit, its harness, and the plan of the moment.
#[derive(Debug)]
pub struct Ready {
    /// The circuit that all this was made from.
    pub file: CircuitFile,
    /// The vehicle's zones.
    pub map: FittedMap,
    /// Every wire.
    pub harness: Harness,
    /// The points and how they are weighed.
    pub search: Search,
    /// The plan given all that was observed.
    pub plan: Plan,
    asked: Asked,
}

/// What a plan of a circuit is made from. A photograph or a note changes nothing of it, and then needs no new plan.
#[derive(Debug, PartialEq)]
struct Asked {
    evidence: Vec<Observation>,
    walk: Walk,
}

impl Asked {
    fn of(job: &Job, harness: &Harness, search: &Search) -> Self {
        Self { evidence: job.evidence_for(search), walk: walk_of(job, harness) }
    }

    fn plan(&self, search: &Search) -> Plan {
        search.plan(&self.evidence, &self.walk)
    }
}

/// A session whose places are not listed yet. A log is opened in parts so that a phone can answer between them.
#[derive(Debug)]
pub struct Folded {
    log: Log,
    job: Job,
}

/// A session whose places are listed, but not planned yet.
#[derive(Debug)]
pub struct Listed {
    folded: Folded,
    places: Result<Option<Places>, CircuitError>,
}

impl Folded {
    /// The first part, from a log as it was kept.
    pub fn of(id: JobId, log: Log) -> Self {
        let job = Job::fold(id, &log);
        Self { log, job }
    }

    /// The second part.
    pub fn list(self) -> Listed {
        let places = Places::of(&self.job);
        Listed { folded: self, places }
    }
}

impl Listed {
    /// The last part.
    pub fn plan(self) -> Session {
        let Folded { log, job } = self.folded;
        let circuit = CircuitView::planned(self.places, &job);
        Session { log, job, circuit }
    }
}

/// What a circuit gives before anything is asked of the job: all of [`Ready`] but the plan.
#[derive(Debug)]
struct Places {
    file: CircuitFile,
    map: FittedMap,
    harness: Harness,
    search: Search,
}

impl Places {
    /// `None`: there is no circuit yet.
    fn of(job: &Job) -> Result<Option<Self>, CircuitError> {
        let Some(file) = &job.circuit else { return Ok(None) };
        check::validate(file)?;
        let map = fit(&file.vehicle);
        let harness = expand(file, &map);
        let search = Search::of_circuit(file, &harness, &map.map).taught_by(job.shop.clone());
        Ok(Some(Self { file: file.clone(), map, harness, search }))
    }

    fn plan(self, job: &Job) -> Ready {
        let Self { file, map, harness, search } = self;
        let asked = Asked::of(job, &harness, &search);
        let plan = asked.plan(&search);
        Ready { file, map, harness, search, plan, asked }
    }
}

impl Session {
    /// From a log as it was kept, all at once.
    pub fn open(id: JobId, log: Log) -> Self {
        Folded::of(id, log).list().plan()
    }

    /// Takes in events that were just kept, or that came from another device. Says which were new.
    ///
    /// # Errors
    /// If one of them bears the id of another event; nothing changes then.
    pub fn take(&mut self, events: Vec<Event>) -> Result<Vec<EventId>, LogError> {
        let fresh = self.log.union(events)?;
        if fresh.is_empty() {
            return Ok(fresh);
        }
        self.job.advance(&self.log, &fresh);
        self.circuit = match std::mem::replace(&mut self.circuit, CircuitView::None) {
            CircuitView::Ready(mut ready)
                if self.job.circuit.as_ref() == Some(&ready.file) && self.job.shop == *ready.search.shop() =>
            {
                let asked = Asked::of(&self.job, &ready.harness, &ready.search);
                if asked != ready.asked {
                    ready.plan = asked.plan(&ready.search);
                    ready.asked = asked;
                }
                CircuitView::Ready(ready)
            }
            _ => CircuitView::of(&self.job),
        };
        Ok(fresh)
    }

    /// The job with events that are still being kept: what a further act goes on from, so that two quick edits of one
    /// form never undo each other.
    pub fn ahead<'a>(&self, keeping: impl IntoIterator<Item = &'a Event>) -> Job {
        let mut keeping = keeping.into_iter().cloned().peekable();
        if keeping.peek().is_none() {
            return self.job.clone();
        }
        let mut log = self.log.clone();
        // Refused only for an event that differs from its own copy in the log; then what was shown still holds.
        match log.union(keeping) {
            Ok(_) => Job::fold(self.job.id, &log),
            Err(_) => self.job.clone(),
        }
    }

    /// The conditions that fuse, switches and loads of the circuit wait for, each once.
    pub fn conditions(&self) -> Vec<Condition> {
        let Some(Ready { harness, .. }) = self.ready() else { return Vec::new() };
        let fuse = &harness.source.live_when;
        let switches = harness.switches.iter().flat_map(|switch| &switch.closed_when);
        let loads = harness.loads.iter().flat_map(|load| &load.live_when);
        let mut named: Vec<Condition> = Vec::new();
        for condition in fuse.iter().chain(switches).chain(loads) {
            if !named.contains(condition) {
                named.push(condition.clone());
            }
        }
        named
    }

    /// What the circuit gives, if it can be searched.
    pub fn ready(&self) -> Option<&Ready> {
        match &self.circuit {
            CircuitView::Ready(ready) => Some(ready),
            CircuitView::None | CircuitView::Unsound(_) => None,
        }
    }

    /// Whether the newest event is an observation that by itself moves the chances.
    pub fn is_news(&self) -> bool {
        let last = self.ready().and_then(|ready| self.job.telling_by(&ready.search).last());
        last.map(|(event, _)| *event) == self.job.newest && !self.job.speaks_again()
    }

    /// The next step, if there is one.
    pub fn next(&self) -> Option<&Step> {
        self.ready()?.plan.steps.first()
    }

    /// How far the walk is.
    pub fn progress(&self) -> Progress {
        self.progress_by(self.ready().map(|ready| &ready.plan))
    }

    /// How far the walk is by such a plan of it.
    pub fn progress_by(&self, plan: Option<&Plan>) -> Progress {
        let looked = self.job.points.values().filter(|point| point.looked()).count();
        let Some(plan) = plan else {
            return Progress { looked, to_look: 0, minutes_left: 0.0 };
        };
        let to_look = plan.steps.iter().filter(|step| step.kind == StepKind::Look).count();
        let minutes_left = plan.steps.iter().map(|step| step.minutes).sum();
        Progress { looked, to_look, minutes_left }
    }
}

/// How far a walk is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Points that were looked at.
    pub looked: usize,
    /// Points that the plan still goes to.
    pub to_look: usize,
    /// Minutes that the rest of the plan takes.
    pub minutes_left: f64,
}

impl CircuitView {
    /// What follows from the circuit of a job as it is now.
    pub fn of(job: &Job) -> Self {
        Self::planned(Places::of(job), job)
    }

    fn planned(places: Result<Option<Places>, CircuitError>, job: &Job) -> Self {
        match places {
            Ok(None) => Self::None,
            Ok(Some(places)) => Self::Ready(Box::new(places.plan(job))),
            Err(error) => Self::Unsound(error),
        }
    }
}

/// What the person on the walk has said, with what was tried with the fuse open.
pub fn walk_of(job: &Job, harness: &Harness) -> Walk {
    Walk { told: told(&tales(job, Some(harness))), ..job.walk() }
}

impl Ready {
    /// What speaks of where the fault is: what the plan is made from.
    pub fn evidence(&self) -> &[Observation] {
        &self.asked.evidence
    }

    /// The plan within limits, from all that the whole one is made from.
    pub fn plan_within(&self, limits: &Limits) -> Plan {
        self.search.plan_within(&self.asked.evidence, &self.asked.walk, limits)
    }

    /// Why nobody may press at a place with the current on. `None`: it may be done, with the usual care.
    pub fn why_no_press(&self, place: &Point) -> Option<&'static str> {
        if never_live(&self.file, &self.harness).forbids_press(&place.runs) {
            return Some(WHY);
        }
        place.fuel_vapour.then_some(FUEL)
    }

    /// What is known of a point of this circuit.
    pub fn point(&self, id: &PointId) -> Option<&Point> {
        self.search.points().iter().find(|point| point.id == *id)
    }

    /// The chance of a point, given all that was observed.
    pub fn chance(&self, id: &PointId) -> f64 {
        self.plan.points.iter().find(|point| point.id == *id).map_or(0.0, |point| point.probability)
    }
}
