//! Which events make up a job? A log is a set of events by id; its order is the ids' order.

use std::collections::BTreeMap;

use crate::gather::Gather as _;
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
    /// The log of these events, in whatever order and however often they come.
    ///
    /// # Errors
    /// [`LogError::TwoBodies`] where two different events bear one id.
    pub fn of(events: impl IntoIterator<Item = Event>) -> Result<Self, LogError> {
        let mut log = Self::default();
        log.union(events)?;
        Ok(log)
    }

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

    /// The id that sorts last.
    pub fn newest(&self) -> Option<EventId> {
        self.events.last_key_value().map(|(id, _)| *id)
    }

    /// Takes in events; says which were new, in order. On an error nothing is taken in.
    ///
    /// # Errors
    /// [`LogError::TwoBodies`] where an event differs from the one of the same id that is here, or among `others`.
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
        let ids = fresh.keys().copied().gather();
        self.events.append(&mut fresh);
        Ok(ids)
    }
}

impl IntoIterator for Log {
    type Item = Event;
    type IntoIter = std::collections::btree_map::IntoValues<EventId, Event>;

    fn into_iter(self) -> Self::IntoIter {
        self.events.into_values()
    }
}

impl<'a> IntoIterator for &'a Log {
    type Item = &'a Event;
    type IntoIter = std::collections::btree_map::Values<'a, EventId, Event>;

    fn into_iter(self) -> Self::IntoIter {
        self.events.values()
    }
}
