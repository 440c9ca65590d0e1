//! What does the desk hold of one job? Its log, and what was answered to which bundle by which desk.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::str::FromStr;

use uuid::Uuid;

use crate::bundle::file::Bundle;
use crate::ids::{BundleId, PhotoHash};
use crate::job::event::Event;
use crate::job::log::{Log, LogError};
use crate::sync::protocol::{EventPage, Receipt};

use super::store::KeptReceipt;

/// How many events one page holds at most.
pub const PAGE: usize = 500;

/// One job. Follows from the kept bundles and receipts, always to the same value, whichever order they are read in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shelf {
    log: Log,
    /// What bundles say that each photograph is.
    photos: BTreeMap<PhotoHash, BTreeSet<String>>,
    receipts: BTreeMap<BundleId, Receipt>,
    /// By the run of a desk, what it has answered, in its order.
    answered: BTreeMap<Uuid, BTreeMap<u64, BundleId>>,
    /// Phones that have sent something of it.
    phones: BTreeSet<String>,
    /// Photographs that were missing when a bundle that names them was answered.
    missed: BTreeSet<PhotoHash>,
}

/// A cursor that this desk did not give for this job.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the cursor {0:?} is not one that this desk gave for this job; ask again without `after` to get everything")]
pub struct NotOurCursor(String);

/// How far someone has read: of each run of a desk, the number of the answer that is to be read next, and how many
/// events of that one were read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Cursor(BTreeMap<Uuid, (u64, usize)>);

impl FromStr for Cursor {
    type Err = ();
    fn from_str(text: &str) -> Result<Self, ()> {
        let mut read = BTreeMap::new();
        for part in text.split('~').filter(|part| !part.is_empty()) {
            let mut fields = part.split('.');
            let mut next = || fields.next().ok_or(());
            let (desk, order, events) = (next()?, next()?, next()?);
            let desk = Uuid::try_parse(desk).map_err(drop)?;
            read.insert(desk, (order.parse().map_err(drop)?, events.parse().map_err(drop)?));
        }
        Ok(Self(read))
    }
}

impl std::fmt::Display for Cursor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (at, (desk, (order, events))) in self.0.iter().enumerate() {
            if at > 0 {
                f.write_char('~')?;
            }
            write!(f, "{}.{order}.{events}", desk.as_simple())?;
        }
        Ok(())
    }
}

impl Shelf {
    /// The shelf with one bundle more, not yet acknowledged. On an error nothing is taken in.
    pub fn with(&self, bundle: &Bundle) -> Result<Self, LogError> {
        let mut grown = self.clone();
        grown.log.union(bundle.log.iter().cloned())?;
        for listed in &bundle.photos {
            let types = grown.photos.entry(listed.photo.sha256.clone()).or_default();
            types.insert(listed.photo.media_type.clone());
        }
        Ok(grown)
    }

    /// Notes what was answered.
    pub fn acknowledge(&mut self, kept: KeptReceipt) {
        let KeptReceipt { desk, order, phone, receipt } = kept;
        self.phones.extend(phone);
        self.answered.entry(desk).or_default().insert(order, receipt.bundle_id);
        self.missed.extend(receipt.missing_photos.iter().cloned());
        self.receipts.insert(receipt.bundle_id, receipt);
    }

    /// What was answered to a bundle.
    pub fn receipt(&self, bundle: BundleId) -> Option<&Receipt> {
        self.receipts.get(&bundle)
    }

    /// The bundles that were answered.
    pub fn acknowledged(&self) -> impl Iterator<Item = BundleId> + '_ {
        self.receipts.keys().copied()
    }

    /// How many bundles were taken in.
    pub fn bundles(&self) -> usize {
        self.receipts.len()
    }

    /// The bundle that was made last.
    pub fn newest(&self) -> Option<BundleId> {
        self.receipts.keys().next_back().copied()
    }

    /// Whether anything was ever acknowledged.
    pub fn is_known(&self) -> bool {
        !self.receipts.is_empty()
    }

    /// The events by id.
    pub fn log(&self) -> &Log {
        &self.log
    }

    /// The photographs that the bundles list, by name, with the media types that they were said to be of.
    pub fn photos(&self) -> &BTreeMap<PhotoHash, BTreeSet<String>> {
        &self.photos
    }

    /// The ids of the phones that have sent something of it.
    pub fn phones(&self) -> &BTreeSet<String> {
        &self.phones
    }

    /// Photographs that were missing once, and may have come since.
    pub fn missed(&self) -> &BTreeSet<PhotoHash> {
        &self.missed
    }

    /// The events that were taken in after a cursor; without one, from the first. Events that came in two bundles may
    /// come twice.
    pub fn page(&self, after: Option<&str>) -> Result<EventPage, NotOurCursor> {
        let text = after.unwrap_or_default();
        let not_ours = || NotOurCursor(text.chars().take(120).collect());
        let mut cursor: Cursor = text.parse().map_err(|()| not_ours())?;
        let given_here = cursor.0.iter().all(|(desk, (order, events))| {
            let answered = self.answered.get(desk);
            let next = answered.and_then(|answered| answered.keys().next_back()).map_or(0, |last| last + 1);
            let there = answered.and_then(|answered| self.receipt(*answered.get(order)?));
            *order <= next && *events <= there.map_or(0, |receipt| receipt.events.len())
        });
        if !given_here {
            return Err(not_ours());
        }
        let (mut events, mut on_page, mut more) = (Vec::<Event>::new(), BTreeSet::new(), false);
        'all: for (desk, answered) in &self.answered {
            let at = cursor.0.entry(*desk).or_default();
            for (order, bundle) in answered.range(at.0..) {
                let skipped = if *order == at.0 { at.1 } else { 0 };
                *at = (*order, skipped);
                let told = self.receipt(*bundle).map(|receipt| receipt.events.as_slice()).unwrap_or_default();
                for id in told.iter().skip(skipped) {
                    if events.len() == PAGE {
                        more = true;
                        break 'all;
                    }
                    events.extend(self.log.get(*id).filter(|_| on_page.insert(*id)).cloned());
                    at.1 += 1;
                }
                *at = (order + 1, 0);
            }
        }
        // Of runs that were not come to yet nothing was read.
        cursor.0.retain(|_, at| *at != (0, 0));
        Ok(EventPage { events, next: cursor.to_string(), more })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_is_read_as_it_was_written() {
        let cursor = Cursor(BTreeMap::from([(Uuid::nil(), (3, 0)), (Uuid::from_u128(7), (0, 500))]));
        assert_eq!(cursor.to_string().parse(), Ok(cursor));
        assert_eq!("".parse(), Ok(Cursor::default()));
        for wrong in ["2", "-1", "x", "99999999999999999999999", "a.b.c", "1.2", "00000000000000000000000000000000.1"] {
            assert_eq!(wrong.parse::<Cursor>(), Err(()), "{wrong}");
        }
    }
}
