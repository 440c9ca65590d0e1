//! Since when is a place mended? Since something was found or repaired there, until the fuse opens again.

use std::collections::{BTreeMap, HashMap};

use crate::ids::{DeviceId, EventId, PointId};
use crate::job::act::Act;
use crate::job::event::Event;
use crate::search::evidence::{Observation, Seen};

/// The places where something was found or repaired, and since when, as far as the fuse has not opened since.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mended {
    since: BTreeMap<PointId, EventId>,
    /// Repairs that were made at a place, in order, also those that were taken back, and since when each stands there.
    repairs: Vec<(EventId, PointId, EventId)>,
    /// What each device took back last, where that is the last that it did.
    withdrawn: HashMap<DeviceId, EventId>,
    /// When the fuse opened last.
    opened: Option<EventId>,
    /// When it last opened so that what had been proof speaks of the fault again.
    doubted: Option<EventId>,
}

impl Mended {
    /// Follows the next event of the log, whether it counts or was taken back.
    ///
    /// A repair that says of which it is in other words is that one, and so is one that is written down right after another
    /// of the same place was taken back: what held since then proves it all the same. One that is taken back for good
    /// leaves nothing.
    pub(super) fn follow(&mut self, event: &Event, act: &Act, counts: bool) {
        let withdrawn = self.withdrawn.remove(&event.device_id);
        match act {
            Act::TakenBack { event: of } => {
                self.withdrawn.insert(event.device_id, *of);
            }
            Act::Repair { of, point: Some(point), done: true, .. } => {
                let anew = of.or(withdrawn).and_then(|of| self.repair(of)).filter(|(_, at, _)| at == point);
                let since = anew.map_or(event.id, |(_, _, since)| *since);
                self.repairs.push((event.id, point.clone(), since));
                if counts {
                    self.begin(point, since);
                }
            }
            _ => {}
        }
    }

    fn repair(&self, event: EventId) -> Option<&(EventId, PointId, EventId)> {
        let at = self.repairs.binary_search_by(|(known, ..)| known.cmp(&event)).ok()?;
        self.repairs.get(at)
    }

    /// Something stands there since then. What stood before the fuse opened again was not it.
    pub(super) fn begin(&mut self, point: &PointId, since: EventId) {
        if self.opened < Some(since) {
            let first = self.since.entry(point.clone()).or_insert(since);
            *first = since.min(*first);
        }
    }

    /// The fuse opened, after those observations: the repair was not it, or not all of it.
    pub(super) fn doubt(&mut self, opening: EventId, before: &[(EventId, Observation)]) {
        if before.iter().any(|(event, observation)| self.proves(*event, observation)) {
            self.doubted = Some(opening);
        }
        self.opened = Some(opening);
        self.since.clear();
    }

    /// Whether an observation proves a repair, and so says nothing of where the fault is.
    pub(super) fn proves(&self, event: EventId, observation: &Observation) -> bool {
        let behind = |since: Option<&EventId>| since.is_some_and(|since| event >= *since);
        match observation {
            Observation::Blow { .. } => false,
            Observation::Held { .. } | Observation::Unplugged { .. } | Observation::Meter { .. } => {
                behind(self.since.values().min())
            }
            // Sound is what was repaired there.
            Observation::Press { point, .. } | Observation::Look { point, seen: Seen::Sound } => {
                behind(self.since.get(point))
            }
            Observation::Look { .. } => false,
        }
    }

    /// Whether the fuse opened after that event.
    pub(super) fn opened_after(&self, event: EventId) -> bool {
        self.opened > Some(event)
    }

    /// Whether that event is an opening by which what had been proof speaks of the fault again.
    pub(super) fn doubted_by(&self, event: EventId) -> bool {
        self.doubted == Some(event)
    }
}
