//! What is this walk held to for now? The time that someone has, and where that person is.
//!
//! No event: it says nothing of the vehicle, and is over in a quarter of an hour. The device remembers it.

use std::borrow::Cow;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::ids::{JobId, ZoneId};
use crate::job::session::Session;
use crate::search::evidence::Observation;
use crate::search::limits::{Limits, Reach};
use crate::search::plan::{Plan, StepKind};

/// What the walk of one job is held to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Held {
    /// That job.
    pub job: JobId,
    /// The time that there is.
    pub time: Option<Time>,
    /// Only what can be reached from there.
    pub reach: Option<Reach>,
}

/// The time that there is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Time {
    /// Minutes in all.
    pub minutes: u32,
    /// When they began.
    pub since: DateTime<Utc>,
}

impl Time {
    /// Whole minutes that are left; one that has begun counts, so that the plan holds still within it.
    pub fn left(&self, now: DateTime<Utc>) -> u32 {
        // A clock that was set back gives no more than all of them.
        let gone = (now - self.since).num_minutes().clamp(0, i64::from(self.minutes));
        self.minutes - u32::try_from(gone).unwrap_or(self.minutes)
    }
}

impl Held {
    /// The walk of a job, held to nothing.
    pub fn to_nothing(job: JobId) -> Self {
        Self { job, time: None, reach: None }
    }

    /// The limits at that moment.
    pub fn limits(&self, now: DateTime<Utc>) -> Limits {
        Limits { minutes: self.time.map(|time| f64::from(time.left(now))), reach: self.reach.clone() }
    }
}

impl Session {
    /// The plan as it is held for now; of another job, or held to nothing: the whole plan.
    pub fn plan_held(&self, held: Option<&Held>, now: DateTime<Utc>) -> Option<Cow<'_, Plan>> {
        let ready = self.ready()?;
        let limits = held.filter(|held| held.job == self.job.id).map(|held| held.limits(now)).unwrap_or_default();
        if limits.is_none() {
            return Some(Cow::Borrowed(&ready.plan));
        }
        Some(Cow::Owned(ready.plan_within(&limits)))
    }

    /// The zone where one is: that of the last place at which something was done, else of the next place if nothing
    /// must be opened first.
    pub fn here(&self) -> Option<ZoneId> {
        let ready = self.ready()?;
        let last = self.job.observations.iter().rev().find_map(|(_, observation)| match observation {
            Observation::Look { point, .. } | Observation::Press { point, .. } => ready.point(point),
            _ => None,
        });
        let next = || self.next().filter(|step| step.kind == StepKind::Look)?.zone.clone();
        last.map(|point| point.zone.clone()).or_else(next)
    }
}
