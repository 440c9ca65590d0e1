//! Which events make up a job? A log is a set of events by id; its order is the ids' order.

use std::collections::BTreeMap;

use crate::ids::EventId;
use crate::job::event::Event;

/// A job's log.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Log {
    events: BTreeMap<EventId, Event>,
}

/// Why an event cannot be taken into a log.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LogError {
    /// Two different events bear one id.
    #[error(
        "event {0} is used for two different bodies: one of the two logs was changed by hand; nothing was taken in"
    )]
    TwoBodies(EventId),
}

impl Log {
    /// Events in order.
    pub fn events(&self) -> impl DoubleEndedIterator<Item = &Event> {
        self.events.values()
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.events.len()
    }

    /// None yet.
    pub fn is_empty(&self) -> bool {
        self.events.is_empty()
    }

    /// The event of that id.
    pub fn get(&self, id: EventId) -> Option<&Event> {
        self.events.get(&id)
    }

    /// Takes in events; says which were new. On an error nothing is taken in.
    pub fn union(&mut self, others: impl IntoIterator<Item = Event>) -> Result<Vec<EventId>, LogError> {
        let mut fresh: BTreeMap<EventId, Event> = BTreeMap::new();
        for event in others {
            match self.events.get(&event.id).or_else(|| fresh.get(&event.id)) {
                Some(known) if *known == event => {}
                Some(_) => return Err(LogError::TwoBodies(event.id)),
                None => {
                    fresh.insert(event.id, event);
                }
            }
        }
        let ids = fresh.keys().copied().collect();
        self.events.append(&mut fresh);
        Ok(ids)
    }
}
