//! What is the job now? What its log tells, as [`super::fold`] makes it.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};

use crate::circuit::file::{CircuitFile, Joint, Load, Mark, Run, Switch};
use crate::gather::Gather as _;
use crate::ids::{AccessId, Condition, EventId, JobId, LoadId, MethodId, OptionId, PointId, ShelvedId};
use crate::job::drawing::Stroke;
use crate::job::event::{Concern, Event, Finding, HandOverWay, Material, Photo, ReleaseItem};
use crate::job::mended::Mended;
use crate::job::road::Road;
use crate::search::evidence::{Observation, Seen};
use crate::search::lessons::Shop;
use crate::search::likelihood::tables;
use crate::search::plan::{Search, Walk};

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
    /// What was unplugged while the concern said that a fresh fuse opens at once, by the events that say so.
    pub at_once: BTreeSet<EventId>,
    /// The circuit as edited so far. `None` until a vehicle, a fuse or a circuit was entered.
    pub circuit: Option<CircuitFile>,
    /// What the shop's closed jobs had taught when it began.
    pub shop: Shop,
    /// The circuit on the shelf that this one began as.
    pub taken_from: Option<TakenFrom>,
    /// Loads that were taken off the list, as they were last.
    pub struck_out: BTreeMap<LoadId, Load>,
    /// Wiring and marks that lead to what is not there now.
    pub set_aside: SetAside,
    /// Why options are as they are, where that was said.
    pub option_why: BTreeMap<OptionId, String>,
    /// What was observed, in order, with the event that says so.
    pub observations: Vec<(EventId, Observation)>,
    /// What was tried with the fuse open, in order.
    pub tried: Vec<Tried>,
    /// What is known of each point.
    pub points: BTreeMap<PointId, PointState>,
    /// Photographs and recordings, in order, with the event that kept each.
    pub photos: Vec<(EventId, Photo)>,
    /// What is drawn on photographs, by the event that kept each.
    pub drawings: BTreeMap<EventId, Vec<Stroke>>,
    /// The test drive that is on.
    pub road: Option<Road>,
    /// Notes of the job as a whole.
    pub notes: Vec<(EventId, String)>,
    /// Access steps that are open.
    pub open: BTreeSet<AccessId>,
    /// Access steps that were open at some time.
    pub opened: BTreeSet<AccessId>,
    /// The point that was asked for next, until it is looked at.
    pub first: Option<PointId>,
    /// Findings; the newest for each point.
    pub findings: BTreeMap<PointId, Finding>,
    /// Places where something was found or repaired, and since when.
    pub mended: Mended,
    /// Repairs, in order.
    pub repairs: Vec<Repair>,
    /// Loads that were worked after the repair, and whether each did what it should, with the event that says so.
    pub worked: Vec<(EventId, LoadId, bool)>,
    /// The release check as it was ticked, with the event that says so. See [`Job::checked`].
    pub release: BTreeMap<ReleaseItem, (EventId, Checked)>,
    /// Hand-overs, in order.
    pub handed_over: Vec<(DateTime<Utc>, HandOverWay)>,
    /// Events whose kind this version does not know; kept and passed on, not shown.
    pub from_newer: usize,
    /// Events of a known kind whose body cannot be read; kept and passed on, not shown.
    pub unreadable: Vec<EventId>,
    /// Events that were taken back. They stay in the log and no longer count.
    pub taken_back: BTreeSet<EventId>,
    /// What the acts that replace a whole came to, by whole. See [`crate::job::whole`].
    pub(super) wholes: serde_json::Map<String, serde_json::Value>,
    /// Every event that was folded, in order.
    pub events: Vec<EventId>,
    /// The newest event that was folded, whether or not it counts.
    pub newest: Option<EventId>,
    /// The newest event that counts and can be taken back: any but the opening with what the shop has learned, a hand-over and a taking back.
    pub last_act: Option<EventId>,
}

/// What the circuit had, or was given on another phone, and has no end or wire for as long as a load is off the list.
/// In the circuit it would make all of it unsound.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SetAside {
    /// Joints to which no way leads from the fuse.
    pub joints: Vec<Joint>,
    /// Wires of which an end is not there.
    pub runs: Vec<Run>,
    /// Switches of which an end is not there.
    pub switches: Vec<Switch>,
    /// Marks on a wire that is not there.
    pub marks: Vec<Mark>,
}

impl SetAside {
    /// Whether there is nothing.
    pub fn is_empty(&self) -> bool {
        let Self { joints, runs, switches, marks } = self;
        joints.is_empty() && runs.is_empty() && switches.is_empty() && marks.is_empty()
    }
}

/// A circuit that was taken from the shelf.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenFrom {
    /// Where it lay.
    pub shelved: ShelvedId,
    /// As it was taken: what was learned since is told against this.
    pub circuit: CircuitFile,
}

/// Something that was tried with the fuse open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tried {
    /// The event that says so.
    pub event: EventId,
    /// A load's id, or the name of something that is not on this circuit.
    pub what: String,
    /// It did not work.
    pub dead: bool,
    /// Conditions that held, in order and each once.
    pub state: Vec<Condition>,
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

    /// The worst damage that was ever seen; where there was none, the newest look. A repaired place looks sound, and that is
    /// not what was found there.
    pub fn found(&self) -> Option<Seen> {
        let damage = |seen: &Seen| !matches!(seen, Seen::Sound | Seen::NotSeen);
        self.looks.iter().map(|(_, seen)| *seen).filter(damage).max().or(self.seen())
    }

    /// Whether it was looked at: that it could not be seen is no look.
    pub fn looked(&self) -> bool {
        self.looks.iter().any(|(_, seen)| *seen != Seen::NotSeen)
    }

    /// The newest look of each device, in their order, where these differ; else nothing. `event` finds an event.
    pub fn seen_differently<'a>(&self, event: impl Fn(EventId) -> Option<&'a Event>) -> Vec<(&'a Event, Seen)> {
        let mut newest: Vec<(&Event, Seen)> = Vec::new();
        for (id, seen) in self.looks.iter().filter(|(_, seen)| *seen != Seen::NotSeen) {
            if let Some(event) = event(*id) {
                newest.retain(|(known, _)| known.device_id != event.device_id);
                newest.push((event, *seen));
            }
        }
        let differ = newest.iter().any(|(_, seen)| newest.first().is_some_and(|(_, first)| first != seen));
        if differ { newest } else { Vec::new() }
    }
}

/// A repair.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    /// The event that wrote it down first.
    pub first: EventId,
    /// The events that it follows from, in order: the first, and those that put it into other words.
    pub events: Vec<EventId>,
    /// Where.
    pub point: Option<PointId>,
    /// What, in words.
    pub what: String,
    /// Done, or only recommended.
    pub done: bool,
    /// Working minutes.
    pub minutes: Option<f64>,
    /// By which method of the list.
    pub method: Option<MethodId>,
    /// What it uses up.
    pub materials: Vec<Material>,
}

/// An item of the release check.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Checked {
    /// Done.
    pub done: bool,
    /// What was read.
    pub value: String,
    /// For the drive: the minutes in which the fuse held.
    pub minutes: Option<f64>,
}

impl Job {
    /// All marks, also those that are set aside.
    pub fn marks(&self) -> impl Iterator<Item = &Mark> {
        self.circuit.iter().flat_map(|circuit| &circuit.marks).chain(&self.set_aside.marks)
    }

    /// Whether it was handed over. A print alone is none: it is as often a look at how far it is.
    pub fn is_handed_over(&self) -> bool {
        self.handed_over.iter().any(|(_, way)| *way != HandOverWay::Print)
    }

    /// What was switched on when the fuse last opened; the key alone where it is not known to have opened.
    pub fn last_blow(&self) -> Vec<Condition> {
        let blow = self.observations.iter().rev().find_map(|(_, observation)| match observation {
            Observation::Blow { state, .. } => Some(state.clone()),
            _ => None,
        });
        blow.unwrap_or_else(|| vec![Condition::from("key_on")])
    }

    /// A job of which nothing is known yet.
    pub fn empty(id: JobId) -> Self {
        Self {
            id,
            opened_at: None,
            changed_at: None,
            practice: false,
            concern: Concern::default(),
            at_once: BTreeSet::new(),
            circuit: None,
            shop: Shop::default(),
            taken_from: None,
            struck_out: BTreeMap::new(),
            set_aside: SetAside::default(),
            option_why: BTreeMap::new(),
            observations: Vec::new(),
            tried: Vec::new(),
            points: BTreeMap::new(),
            photos: Vec::new(),
            drawings: BTreeMap::new(),
            road: None,
            notes: Vec::new(),
            open: BTreeSet::new(),
            opened: BTreeSet::new(),
            first: None,
            findings: BTreeMap::new(),
            mended: Mended::default(),
            repairs: Vec::new(),
            worked: Vec::new(),
            release: BTreeMap::new(),
            handed_over: Vec::new(),
            from_newer: 0,
            unreadable: Vec::new(),
            taken_back: BTreeSet::new(),
            wholes: serde_json::Map::new(),
            events: Vec::new(),
            newest: None,
            last_act: None,
        }
    }

    /// What was observed and speaks of where the fault is, in order.
    ///
    /// Once a place was found or repaired, that the fuse holds no longer does: it is the proof of the repair, and must
    /// not lower the chance of the very place that was repaired (02-model §7 asks for the chance at the repair). Should
    /// the fuse open again, the repair was not it or not all of it, and everything speaks again.
    pub fn telling(&self) -> impl Iterator<Item = &(EventId, Observation)> {
        self.observations.iter().filter(|(event, observation)| !self.mended.proves(*event, observation))
    }

    /// The same with what only the circuit tells: an ohmmeter that shows a short after a repair proves none.
    pub fn telling_by(&self, search: &Search) -> impl Iterator<Item = &(EventId, Observation)> {
        self.observations.iter().filter(|(event, observation)| {
            !self.mended.proves(*event, observation) || search.shows_a_short(observation)
        })
    }

    /// The evidence for the search of its circuit: what [`Self::telling_by`] says, without the events. Where a fresh fuse
    /// opened at once, that it held with something unplugged is worth far more than the minute that it took.
    pub fn evidence_for(&self, search: &Search) -> Vec<Observation> {
        let told = |(event, observation): &(EventId, Observation)| {
            let mut told = observation.clone();
            if let Observation::Unplugged { blew: false, minutes, .. } = &mut told
                && self.at_once.contains(event)
            {
                *minutes = minutes.max(tables().rate.at_once_minutes);
            }
            told
        };
        self.telling_by(search).map(told).collect()
    }

    /// Whether the newest event is an opening after which all that had been proof of a repair speaks again: then it is
    /// not that opening alone that moves the chances.
    pub fn speaks_again(&self) -> bool {
        self.newest.is_some_and(|newest| self.mended.doubted_by(newest))
    }

    /// What the person on the walk has said about it, beside the evidence.
    pub fn walk(&self) -> Walk {
        let unreached = self.points.iter().filter(|(_, point)| point.out_of_reach.is_some());
        let proven = self.observations.iter().filter_map(|(event, observation)| match observation {
            Observation::Look { point, .. } if self.mended.proves(*event, observation) => Some(point),
            _ => None,
        });
        Walk {
            open: self.open.clone(),
            out_of_reach: unreached.map(|(id, _)| id.clone()).gather(),
            proven: proven.cloned().gather(),
            first: self.first.clone(),
            told: Vec::new(),
        }
    }

    /// Whether a load that was worked after the repair did what it should. Before the fuse opened again does not count.
    pub fn worked(&self, load: &LoadId) -> Option<bool> {
        let since = |event: EventId| !self.mended.opened_after(event);
        self.worked.iter().find(|(event, known, _)| known == load && since(*event)).map(|(.., works)| *works)
    }

    /// How an item of the release check stands. What was read stays; what was done before the fuse opened again is to be
    /// done anew: another repair comes after it.
    pub fn checked(&self, item: ReleaseItem) -> Checked {
        match self.release.get(&item) {
            Some((_, checked)) if self.is_overtaken(item) => {
                Checked { value: checked.value.clone(), ..Checked::default() }
            }
            Some((_, checked)) => checked.clone(),
            None => Checked::default(),
        }
    }

    /// Whether an item was done, and the fuse opened again after that.
    pub fn is_overtaken(&self, item: ReleaseItem) -> bool {
        let known = self.release.get(&item).filter(|(_, checked)| checked.done || checked.minutes.is_some());
        known.is_some_and(|(event, _)| self.mended.opened_after(*event))
    }

    /// Photographs, in order, without the recordings.
    pub fn pictures(&self) -> impl Iterator<Item = &(EventId, Photo)> {
        self.photos.iter().filter(|(_, photo)| !photo.is_recording())
    }

    /// Recordings, in order.
    pub fn recordings(&self) -> impl Iterator<Item = &(EventId, Photo)> {
        self.photos.iter().filter(|(_, photo)| photo.is_recording())
    }

    /// Photographs at a point, in order.
    pub fn pictures_at<'a>(&'a self, point: &'a PointId) -> impl Iterator<Item = &'a (EventId, Photo)> {
        self.pictures().filter(move |(_, photo)| photo.point.as_ref() == Some(point))
    }
}
