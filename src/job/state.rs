//! What is the job now? A fold of its log.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};

use crate::circuit::file::CircuitFile;
use crate::ids::{AccessId, EventId, JobId, PointId};
use crate::job::event::{Concern, Event, Finding, HandOverWay, Photo, ReleaseItem};
use crate::job::log::Log;
use crate::search::evidence::{Observation, Seen};

/// A job as its log tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Which job.
    pub id: JobId,
    /// When its first event was made.
    pub opened_at: Option<DateTime<Utc>>,
    /// When its newest event was made.
    pub changed_at: Option<DateTime<Utc>>,
    /// Practice only.
    pub practice: bool,
    /// The newest concern.
    pub concern: Concern,
    /// The circuit as edited so far. `None` until a vehicle, a fuse or a circuit was entered.
    pub circuit: Option<CircuitFile>,
    /// What was observed, in order, with the event that says so.
    pub observations: Vec<(EventId, Observation)>,
    /// What is known of each point.
    pub points: BTreeMap<PointId, PointState>,
    /// Photographs, in order, with the event that kept each.
    pub photos: Vec<(EventId, Photo)>,
    /// Notes of the job as a whole.
    pub notes: Vec<(EventId, String)>,
    /// Access steps that are open.
    pub open: BTreeSet<AccessId>,
    /// The point that was asked for next, until it is looked at.
    pub first: Option<PointId>,
    /// Findings; the newest for each point.
    pub findings: BTreeMap<PointId, Finding>,
    /// Repairs, in order.
    pub repairs: Vec<Repair>,
    /// The release check.
    pub release: BTreeMap<ReleaseItem, Checked>,
    /// Hand-overs, in order.
    pub handed_over: Vec<(DateTime<Utc>, HandOverWay)>,
    /// Events whose kind this version does not know; kept and passed on, not shown.
    pub from_newer: usize,
    /// The newest event that can be taken back by the user, if any.
    pub last_act: Option<EventId>,
}

/// What is known of a point.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PointState {
    /// Looks, in order.
    pub looks: Vec<(EventId, Seen)>,
    /// Presses in all.
    pub presses: u32,
    /// Whether the fuse opened at one of them.
    pub opened: bool,
    /// Whether the harness was lifted.
    pub lifted: bool,
    /// Why there is no lie photo, if that was said.
    pub lie_waived: Option<String>,
    /// Whether there is a lie photo.
    pub lie_photo: bool,
    /// Notes, in order.
    pub notes: Vec<(EventId, String)>,
    /// Why it cannot be reached, if that was said.
    pub out_of_reach: Option<String>,
}

impl PointState {
    /// Lift is open once a lie photo exists, or the technician said why not.
    pub fn may_lift(&self) -> bool {
        self.lie_photo || self.lie_waived.is_some()
    }

    /// The newest look.
    pub fn seen(&self) -> Option<Seen> {
        self.looks.last().map(|(_, seen)| *seen)
    }
}

/// A repair.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    /// The event that kept it.
    pub event: EventId,
    /// Where.
    pub point: Option<PointId>,
    /// What, in words.
    pub what: String,
    /// Done, or only recommended.
    pub done: bool,
    /// Working minutes.
    pub minutes: Option<f64>,
}

/// An item of the release check.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// Done.
    pub done: bool,
    /// What was read.
    pub value: String,
}

impl Job {
    /// Folds a log.
    pub fn fold(id: JobId, log: &Log) -> Self {
        let _ = (id, log);
        todo!("skeleton")
    }

    /// Goes on from one more event that sorts behind all that were folded. Equal to folding the longer log.
    pub fn advance(&mut self, log: &Log, event: &Event) {
        let _ = (log, event);
        todo!("skeleton")
    }
}
