//! What does the desk hold of one job? Its log, in two orders: by id, and as it was taken in.

use std::collections::BTreeMap;

use crate::bundle::file::Bundle;
use crate::ids::{BundleId, EventId, PhotoHash};
use crate::job::event::{Event, Photo};
use crate::job::log::{Log, LogError};
use crate::sync::protocol::{EventPage, Receipt};

use super::store::KeptReceipt;

/// How many events one page holds at most.
pub const PAGE: usize = 500;

/// One job. Rebuilt from the kept bundles and receipts at each start, always to the same value.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shelf {
    log: Log,
    /// The same events in the order in which they were taken in: what a cursor counts.
    arrived: Vec<EventId>,
    photos: BTreeMap<PhotoHash, Photo>,
    receipts: BTreeMap<BundleId, Receipt>,
    /// The bundle that was taken in last.
    newest: Option<BundleId>,
    /// Of the next bundle.
    next_order: u64,
}

/// A cursor that this desk did not give for this job.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the cursor {0:?} is not one that this desk gave for this job; ask again without `after` to get everything")]
pub struct NotOurCursor(String);

impl Shelf {
    /// The shelf with one bundle more, not yet acknowledged. On an error nothing is taken in.
    pub fn with(&self, bundle: &Bundle) -> Result<Self, LogError> {
        let mut grown = self.clone();
        let fresh = grown.log.union(bundle.log.iter().cloned())?;
        grown.arrived.extend(fresh);
        for listed in &bundle.photos {
            grown.photos.entry(listed.photo.sha256.clone()).or_insert_with(|| listed.photo.clone());
        }
        Ok(grown)
    }

    /// Notes what was answered.
    pub fn acknowledge(&mut self, kept: KeptReceipt) {
        self.next_order = self.next_order.max(kept.order + 1);
        self.newest = Some(kept.receipt.bundle_id);
        self.receipts.insert(kept.receipt.bundle_id, kept.receipt);
    }

    /// The place in the order that the next bundle gets.
    pub fn next_order(&self) -> u64 {
        self.next_order
    }

    /// What was answered to a bundle.
    pub fn receipt(&self, bundle: BundleId) -> Option<&Receipt> {
        self.receipts.get(&bundle)
    }

    /// The bundle that was taken in last.
    pub fn newest(&self) -> Option<BundleId> {
        self.newest
    }

    /// Whether anything was ever acknowledged.
    pub fn is_known(&self) -> bool {
        self.newest.is_some()
    }

    /// The events by id.
    pub fn log(&self) -> &Log {
        &self.log
    }

    /// The photographs that the bundles list, by name.
    pub fn photos(&self) -> &BTreeMap<PhotoHash, Photo> {
        &self.photos
    }

    /// The events that were taken in after a cursor; without one, from the first.
    pub fn page(&self, after: Option<&str>) -> Result<EventPage, NotOurCursor> {
        let start = match after {
            None | Some("") => 0,
            Some(cursor) => match cursor.parse::<usize>() {
                Ok(start) if start <= self.arrived.len() => start,
                _ => return Err(NotOurCursor(cursor.chars().take(40).collect())),
            },
        };
        let end = self.arrived.len().min(start + PAGE);
        let events: Vec<Event> = self.arrived[start..end].iter().filter_map(|id| self.log.get(*id)).cloned().collect();
        Ok(EventPage { events, next: end.to_string(), more: end < self.arrived.len() })
    }
}
