//! A test drive with someone beside the driver, or a vehicle shaken where it stands: what a tap then says of the fuse.
//!
//! The drive begins, bumps and turns are tapped, it opens or it ends. Each opening and each silence becomes evidence of the
//! usual kinds, with the motion of the moment: what was tapped just before, else what the phone's own sensor felt. A silence
//! is parted by how the vehicle moved meanwhile: one bump on the way does not make an hour's drive a rough road.

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

/// What the phone's own sensor felt on a drive.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Felt {
    /// From when on it felt what, in order; nothing: it did not feel.
    changes: Vec<(DateTime<Utc>, Option<Motion>)>,
}

impl Felt {
    /// It feels this from now on. Gives whether that is new.
    pub fn feels(&mut self, now: DateTime<Utc>, motion: Option<Motion>) -> bool {
        let is_new = self.now() != motion;
        if is_new {
            self.changes.push((now, motion));
        }
        is_new
    }

    /// What it felt last.
    pub fn now(&self) -> Option<Motion> {
        self.changes.last().and_then(|(_, motion)| *motion)
    }

    /// Forgets all but that: another drive begins.
    pub fn begin_anew(&mut self) {
        let past = self.changes.len().saturating_sub(1);
        self.changes.drain(..past);
    }
}

/// How long a bump or a turn explains what comes after it, s. Common practice, no source: a loom swings out within a
/// second or two, and a tap comes late.
const EXPLAINS_S: i64 = 5;
/// So long before and after a bump the road is a rough one, or winds where there was a turn, s. Common practice, no source: who
/// calls a road rough or winding meets something at least each minute.
const SAME_ROAD_S: i64 = 30;
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

    /// For how long the fuse has held, min.
    pub fn minutes(&self, now: DateTime<Utc>) -> f64 {
        let tenths = (now - self.since).max(TimeDelta::zero()).as_seconds_f64() / 6.0;
        tenths.round() / 10.0
    }

    /// How it moved in each second of the silence: roughly around each bump that was tapped, else in turns around each turn,
    /// else roughly around what was felt so, else as felt.
    fn motions(&self, now: DateTime<Utc>, felt: &Felt) -> Vec<Motion> {
        let second = |at: DateTime<Utc>| (at - self.since).num_seconds();
        let mut strip = vec![Motion::Smooth; second(now).max(0) as usize];
        let mut paint = |from: i64, to: i64, motion| {
            let [from, to] = [from, to].map(|second| second.clamp(0, strip.len() as i64) as usize);
            strip[from..to.max(from)].fill(motion);
        };
        let until = |change: usize| felt.changes.get(change + 1).map_or(now, |(at, _)| *at);
        let felt: Vec<_> = felt
            .changes
            .iter()
            .enumerate()
            .map(|(change, (from, motion))| (second(*from), second(until(change)), *motion))
            .collect();
        for (from, to, motion) in &felt {
            paint(*from, *to, motion.unwrap_or(Motion::Smooth));
        }
        let rough = felt.iter().filter(|(_, to, motion)| *motion == Some(Motion::Rough) && *to > 0);
        for (from, to, _) in rough {
            paint(from - SAME_ROAD_S, to + SAME_ROAD_S, Motion::Rough);
        }
        // Whoever taps knows better: a bend shakes a phone, too.
        for (tapped, motion) in [(RoadMark::Turn, Motion::Turning), (RoadMark::Bump, Motion::Rough)] {
            for (at, _) in self.marks.iter().filter(|(at, mark)| *at >= self.since && *mark == tapped) {
                paint(second(*at) - SAME_ROAD_S, second(*at) + SAME_ROAD_S, motion);
            }
        }
        strip
    }

    /// The silence, by how it moved. What is too short to tell by itself goes with the longest part.
    fn held(&self, job: &Job, now: DateTime<Utc>, felt: &Felt) -> Vec<Act> {
        let minutes = self.minutes(now);
        if !(LEAST_MINUTES..=MOST_MINUTES).contains(&minutes) || job.concern.fresh_fuse == FreshFuse::OpensAtOnce {
            return Vec::new();
        }
        let strip = self.motions(now, felt);
        let tenths = |motion| (strip.iter().filter(|moved| **moved == motion).count() as f64 / 6.0).round() / 10.0;
        let moved = [Motion::Still, Motion::Smooth, Motion::Turning, Motion::Rough];
        let mut parts = moved.map(|motion| (motion, tenths(motion)));
        let longest =
            (0..parts.len()).rev().max_by(|one, other| parts[*one].1.total_cmp(&parts[*other].1)).unwrap_or(0);
        for (part, (_, minutes)) in parts.iter_mut().enumerate() {
            if part == longest || *minutes < LEAST_MINUTES {
                *minutes = 0.0;
            }
        }
        let others: f64 = parts.iter().map(|(_, minutes)| minutes).sum();
        parts[longest].1 = ((minutes - others) * 10.0).round() / 10.0;
        let parts = parts.into_iter().filter(|(_, minutes)| *minutes > 0.0);
        let held = |(motion, minutes)| Act::Held { state: self.state.clone(), motion, heat: self.heat, minutes };
        parts.map(held).collect()
    }
}

/// It opened on the drive: the silence before, and the opening. Nothing where no drive is on.
///
/// `felt`: what the phone's sensor felt on this drive.
pub fn opened(job: &Job, now: DateTime<Utc>, felt: &Felt) -> Vec<Act> {
    let Some(road) = &job.road else { return Vec::new() };
    let blow = Act::Blow { state: road.state.clone(), motion: road.motion_at(now, felt.now()), heat: road.heat };
    road.held(job, now, felt).into_iter().chain([blow]).collect()
}

/// The drive is over: the silence before, and the end. Nothing where no drive is on.
pub fn ended(job: &Job, now: DateTime<Utc>, felt: &Felt) -> Vec<Act> {
    let Some(road) = &job.road else { return Vec::new() };
    road.held(job, now, felt).into_iter().chain([Act::RoadEnded {}]).collect()
}
