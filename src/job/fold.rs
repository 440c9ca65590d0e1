//! How does the job follow from its log? By applying the events that count, in the order of their ids.
//!
//! An event counts unless some [`Act::TakenBack`] of the log names it. A taking back cannot itself be taken
//! back: to have an act again, do it again. So what counts is decided by the set of events alone, whatever
//! the order in which two phones learn of them. An event that cannot be read, or comes from a newer version,
//! is counted as such and passed over: it never makes a job unreadable.

use std::borrow::Cow;

use crate::gather::{Gather as _, Order as _};
use crate::ids::{Condition, EventId, JobId, PointId};
use crate::job::act::{Act, FreshFuse, Photo, Stage};
use crate::job::drawing::Stroke;
use crate::job::event::{ActError, Event};
use crate::job::log::Log;
use crate::job::road::Road;
use crate::job::state::{Checked, Job, PointState, Repair, Tried};
use crate::job::whole;
use crate::search::evidence::{Observation, Seen};

impl Job {
    /// Folds a log.
    pub fn fold(id: JobId, log: &Log) -> Self {
        let mut job = Self::empty(id);
        job.taken_back = log.events().filter_map(takes_back).gather();
        for event in log.events() {
            job.count(event);
        }
        job
    }

    /// Goes on from events that `log` holds beside those that were folded, in order: what [`Log::union`] says are new.
    /// Equal to folding `log`.
    ///
    /// Cheap where they sort behind all that were folded and none takes another back; otherwise the log is folded anew,
    /// once for all of them.
    pub fn advance(&mut self, log: &Log, fresh: &[EventId]) {
        let behind = fresh.first() > self.newest.as_ref();
        let events = fresh.iter().filter_map(|id| log.get(*id));
        if behind && events.clone().all(|event| takes_back(event).is_none()) {
            events.for_each(|event| self.count(event));
        } else {
            *self = Self::fold(self.id, log);
        }
    }

    fn count(&mut self, event: &Event) {
        self.events.push(event.id);
        self.newest = Some(event.id);
        self.opened_at = self.opened_at.or(Some(event.at));
        self.changed_at = self.changed_at.max(Some(event.at));
        let counts = !self.taken_back.contains(&event.id);
        let told = if counts { whole::over(&self.wholes, event) } else { Cow::Borrowed(event) };
        let act = told.act();
        if let Ok(act) = &act {
            self.mended.follow(event, act, counts);
        }
        match act {
            Ok(Act::TakenBack { .. }) => {}
            _ if !counts => {}
            Ok(act) => {
                if !matches!(act, Act::JobOpened { .. } | Act::Shop(_) | Act::HandedOver { .. }) {
                    self.last_act = Some(event.id);
                }
                whole::remember(&mut self.wholes, &told);
                self.apply(event, act);
            }
            Err(ActError::FromNewer { .. }) => self.from_newer += 1,
            Err(ActError::Malformed { .. }) => self.unreadable.push(event.id),
        }
    }

    fn apply(&mut self, event: &Event, act: Act) {
        let id = event.id;
        match act {
            Act::JobOpened { practice } => self.practice = practice,
            Act::Concern(concern) => self.concern = concern,
            Act::Shop(shop) => self.shop = shop,
            Act::Vehicle(_)
            | Act::Fuse { .. }
            | Act::Circuit { .. }
            | Act::Load(_)
            | Act::LoadRemoved { .. }
            | Act::Option { .. }
            | Act::Mark(_)
            | Act::MarkRemoved { .. }
            | Act::Touch { .. } => self.edit(act),
            Act::Blow { state, motion, heat } => {
                if let Some(road) = &mut self.road {
                    road.since = event.at;
                }
                self.observe(id, Observation::Blow { state, motion, heat });
            }
            Act::Held { state, motion, heat, minutes } => {
                self.observe(id, Observation::Held { state, motion, heat, minutes });
            }
            Act::Unplugged { node, load, blew, state, minutes } => {
                if self.concern.fresh_fuse == FreshFuse::OpensAtOnce {
                    self.at_once.insert(id);
                }
                self.observe(id, Observation::Unplugged { node, load, blew, state, minutes });
            }
            Act::Tried { what, dead, state } => self.tried(id, &what, dead, state),
            Act::Look { point, seen } => self.look(id, point, seen),
            Act::Press { point, opened, presses, state } => {
                let known = self.reached(&point);
                known.presses = known.presses.saturating_add(presses);
                known.opened |= opened;
                self.observe(id, Observation::Press { point, opened, presses, state });
            }
            Act::Meter { ohms, unplugged, state } => self.observe(id, Observation::Meter { ohms, unplugged, state }),
            // No evidence by itself: who saw it says whether it was the fuse. See `job::watched`.
            Act::Telltale { .. } => {}
            Act::Lift { point } => self.reached(&point).lifted = true,
            Act::LieWaived { point, why } => self.point(&point).lie_waived = Some(why),
            Act::Photo(photo) => self.photo(id, photo),
            Act::Drawn { photo, mut strokes } => {
                // What another program has drawn, and cannot be.
                strokes.retain(Stroke::is_sound);
                self.drawings.insert(photo, strokes);
            }
            Act::RoadBegan { state, heat } => {
                self.road = Some(Road { began: event.at, since: event.at, state, heat, marks: Vec::new() });
            }
            Act::RoadMark { what } => {
                if let Some(road) = &mut self.road {
                    road.marks.push((event.at, what));
                }
            }
            Act::RoadEnded {} => self.road = None,
            Act::Note { point: Some(point), text } => self.point(&point).notes.push((id, text)),
            Act::Note { point: None, text } => self.notes.push((id, text)),
            Act::Access { access, open: true } => {
                self.opened.insert(access.clone());
                self.open.insert(access);
            }
            Act::Access { access, open: false } => {
                self.open.remove(&access);
            }
            Act::CannotReach { point, why } => {
                self.no_longer_first(&point);
                self.point(&point).out_of_reach = Some(why);
            }
            Act::DoFirst { point } => {
                // Whoever asks for a point can reach it now.
                self.reached(&point);
                self.first = Some(point);
            }
            Act::TakenBack { .. } => {}
            Act::Finding(finding) => {
                // A finding whose words are put right is none anew.
                if !self.findings.contains_key(&finding.point) {
                    self.mended.begin(&finding.point, id);
                }
                self.findings.insert(finding.point.clone(), finding);
            }
            Act::Repair { of, point, what, done, minutes, method, materials } => {
                let first = of.unwrap_or(id);
                let mut repair = Repair { first, events: vec![id], point, what, done, minutes, method, materials };
                match self.repairs.iter_mut().find(|known| known.first == first) {
                    Some(known) => {
                        repair.events.splice(..0, known.events.drain(..));
                        *known = repair;
                    }
                    None => self.repairs.push(repair),
                }
            }
            Act::Worked { load, works } => {
                self.worked.retain(|(_, known, _)| *known != load);
                self.worked.push((id, load, works));
            }
            Act::Release { item, done, value, minutes } => {
                // 0: not stated.
                let minutes = minutes.filter(|minutes| *minutes > 0.0);
                self.release.insert(item, (id, Checked { done, value, minutes }));
            }
            Act::HandedOver { way, .. } => self.handed_over.push((event.at, way)),
        }
    }

    fn tried(&mut self, event: EventId, what: &str, dead: bool, mut state: Vec<Condition>) {
        // The same conditions in another order are the same state.
        state.order_by(Ord::cmp);
        state.dedup();
        self.tried.push(Tried { event, what: what.trim().to_owned(), dead, state });
    }

    fn look(&mut self, event: EventId, point: PointId, seen: Seen) {
        let known = if seen == Seen::NotSeen { self.point(&point) } else { self.reached(&point) };
        known.looks.push((event, seen));
        self.no_longer_first(&point);
        self.observe(event, Observation::Look { point, seen });
    }

    fn photo(&mut self, event: EventId, photo: Photo) {
        if let (Some(point), Stage::Lie, false) = (&photo.point, photo.stage, photo.is_recording()) {
            self.point(point).lie_photo = true;
        }
        self.photos.push((event, photo));
    }

    fn observe(&mut self, event: EventId, observation: Observation) {
        let opened = match &observation {
            Observation::Blow { .. } => true,
            Observation::Press { opened, .. } => *opened,
            Observation::Unplugged { blew, .. } => *blew,
            Observation::Held { .. } | Observation::Look { .. } | Observation::Meter { .. } => false,
        };
        if opened {
            self.mended.doubt(event, &self.observations);
        }
        self.observations.push((event, observation));
    }

    fn point(&mut self, id: &PointId) -> &mut PointState {
        self.points.entry(id.clone()).or_default()
    }

    /// The point, which whoever did something there can reach.
    fn reached(&mut self, id: &PointId) -> &mut PointState {
        let known = self.point(id);
        known.out_of_reach = None;
        known
    }

    fn no_longer_first(&mut self, point: &PointId) {
        if self.first.as_ref() == Some(point) {
            self.first = None;
        }
    }
}

/// The event that this one takes back.
fn takes_back(event: &Event) -> Option<EventId> {
    if event.kind != "taken_back" {
        return None;
    }
    match event.act() {
        Ok(Act::TakenBack { event }) => Some(event),
        _ => None,
    }
}
