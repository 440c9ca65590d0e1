//! A test drive with someone beside the driver, or a vehicle shaken where it stands: what a tap then says of the fuse.
//!
//! The drive begins, bumps and turns are tapped, it opens or it ends. Each opening and each silence becomes evidence of the
//! usual kinds, with the motion of the moment: what was tapped just before, else what the phone's own sensor felt.

use chrono::{DateTime, TimeDelta, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ids::Condition;
use crate::job::act::{Act, FreshFuse};
use crate::job::state::Job;
use crate::search::evidence::{Heat, Motion};

/// Something that is tapped on a drive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RoadMark {
    /// Over something.
    Bump,
    /// Through a bend.
    Turn,
}

/// A drive that is on.
#[derive(Debug, Clone, PartialEq)]
pub struct Road {
    /// When it began.
    pub began: DateTime<Utc>,
    /// Since when the fuse holds: from the beginning, or from the last opening on.
    pub since: DateTime<Utc>,
    /// What is switched on.
    pub state: Vec<Condition>,
    /// How warm it is.
    pub heat: Heat,
    /// What was tapped since, in order.
    pub marks: Vec<(DateTime<Utc>, RoadMark)>,
}

/// How long a bump or a turn explains what comes after it, s. Common practice, no source: a loom swings out within a
/// second or two, and a tap comes late.
const EXPLAINS_S: i64 = 5;
/// Silence that is shorter than this says nothing, min.
const LEAST_MINUTES: f64 = 0.2;
/// Silence that is longer than this on one drive is none, min: an end that was forgotten, or a clock that was put right on
/// the way. Common practice, no source: nobody drives ten hours without noting anything. What did hold is noted by hand.
pub const MOST_MINUTES: f64 = 600.0;
/// Mean shaking, without gravity, above which a vehicle moves, and above which the road is rough, m/s². Common practice,
/// no source: a hand-held phone in a standing vehicle shows 0.1 to 0.2, a smooth road with the engine on about 0.5 to 1.
const MOVES: f64 = 0.3;
const ROUGH: f64 = 1.8;

/// How a vehicle moves whose phone is shaken so much: root mean square of a few seconds without gravity, m/s².
pub fn motion_of(shaken: f64) -> Motion {
    match shaken {
        shaken if shaken >= ROUGH => Motion::Rough,
        shaken if shaken >= MOVES => Motion::Smooth,
        _ => Motion::Still,
    }
}

impl Road {
    /// How it moved at a moment: by what was tapped just before, else by what was felt.
    fn motion_at(&self, now: DateTime<Utc>, felt: Option<Motion>) -> Motion {
        let just = |at: DateTime<Utc>| (0..=EXPLAINS_S).contains(&(now - at).num_seconds());
        match self.marks.last().filter(|(at, _)| just(*at)) {
            Some((_, RoadMark::Bump)) => Motion::Rough,
            Some((_, RoadMark::Turn)) => Motion::Turning,
            None => felt.unwrap_or(Motion::Smooth),
        }
    }

    /// How it moved while the fuse held: roughly where there was any bump, in turns where there was any turn, else as felt.
    fn motion_since(&self, felt: Option<Motion>) -> Motion {
        let tapped = |what| self.marks.iter().any(|(at, mark)| *at >= self.since && *mark == what);
        match felt {
            _ if tapped(RoadMark::Bump) => Motion::Rough,
            _ if tapped(RoadMark::Turn) => Motion::Turning,
            felt => felt.unwrap_or(Motion::Smooth),
        }
    }

    /// For how long the fuse has held, min.
    pub fn minutes(&self, now: DateTime<Utc>) -> f64 {
        let tenths = (now - self.since).max(TimeDelta::zero()).as_seconds_f64() / 6.0;
        tenths.round() / 10.0
    }

    fn held(&self, job: &Job, now: DateTime<Utc>, felt: Option<Motion>) -> Option<Act> {
        let minutes = self.minutes(now);
        let says =
            (LEAST_MINUTES..=MOST_MINUTES).contains(&minutes) && job.concern.fresh_fuse != FreshFuse::OpensAtOnce;
        says.then(|| Act::Held { state: self.state.clone(), motion: self.motion_since(felt), heat: self.heat, minutes })
    }
}

/// It opened on the drive: the silence before, and the opening. Nothing where no drive is on.
///
/// `felt`: how the vehicle moves by the phone's sensor; `felt_before`: the roughest that was felt since it last opened.
pub fn opened(job: &Job, now: DateTime<Utc>, felt: Option<Motion>, felt_before: Option<Motion>) -> Vec<Act> {
    let Some(road) = &job.road else { return Vec::new() };
    let blow = Act::Blow { state: road.state.clone(), motion: road.motion_at(now, felt), heat: road.heat };
    road.held(job, now, felt_before).into_iter().chain([blow]).collect()
}

/// The drive is over: the silence before, and the end. Nothing where no drive is on.
pub fn ended(job: &Job, now: DateTime<Utc>, felt_before: Option<Motion>) -> Vec<Act> {
    let Some(road) = &job.road else { return Vec::new() };
    road.held(job, now, felt_before).into_iter().chain([Act::RoadEnded {}]).collect()
}
