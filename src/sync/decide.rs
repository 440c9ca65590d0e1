//! What is still to be sent, and how long to wait before trying again?
//!
//! Pure: what is on the phone and what the desk has confirmed go in, the calls still to be made come
//! out. Nothing is remembered between two decisions, so a send that was cut off anywhere is resumed
//! by deciding again.
//!
//! - `pieces`: which piece of a large photograph goes next.

mod pieces;

use std::collections::BTreeSet;
use std::time::Duration;

use crate::gather::Gather as _;
use crate::ids::{EventId, PhotoHash};
use crate::job::event::{Event, Photo};
use crate::sync::protocol::{BUNDLE_LIMIT, Receipt};

pub use pieces::{Next, PieceAnswer, Pieces};

/// How many bytes of events go into one bundle at most, so that the whole stays below [`BUNDLE_LIMIT`].
///
/// A bundle says things up to three times: in the log, in the manifest of photographs, and in the summary of the
/// job. A quarter leaves room for all three and the frame around them.
pub const EVENTS_LIMIT: u64 = BUNDLE_LIMIT / 4;

/// The first wait is at most this long.
const FIRST_WAIT: Duration = Duration::from_secs(1);
/// No wait of our own choosing is longer.
const LONGEST_WAIT: Duration = Duration::from_secs(5 * 60);
/// However long the desk asks us to stay away, we ask again after this.
const LONGEST_ASKED_WAIT: Duration = Duration::from_secs(60 * 60);

/// What one job has on this phone.
#[derive(Debug, Clone, Copy)]
pub struct Here<'a> {
    /// The log, sorted by id.
    pub events: &'a [Event],
    /// The photographs whose bytes are here.
    pub photos: &'a [Photo],
}

/// What the desk has said that it holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Confirmed {
    /// Events named in a receipt.
    pub events: BTreeSet<EventId>,
    /// Photographs that were acknowledged.
    pub photos: BTreeSet<PhotoHash>,
}

impl Confirmed {
    /// From what the phone has kept: the receipts, and the photographs that were acknowledged one by one.
    ///
    /// What an old receipt calls missing may have been acknowledged since, so it takes nothing away.
    pub fn from_kept<'a>(
        receipts: impl IntoIterator<Item = &'a Receipt>,
        photos: impl IntoIterator<Item = PhotoHash>,
    ) -> Self {
        let events = receipts.into_iter().flat_map(|receipt| receipt.events.iter().copied()).gather();
        Self { events, photos: photos.into_iter().gather() }
    }

    /// Takes in a receipt that has just arrived. It is the desk's newest word: a photograph that it calls missing is
    /// sent again, even if it was acknowledged before.
    pub fn take(&mut self, receipt: &Receipt) {
        self.events.extend(receipt.events.iter().copied());
        for missing in &receipt.missing_photos {
            self.photos.remove(missing);
        }
    }
}

/// One thing to send. It counts as done once the desk has answered that it holds it.
#[derive(Debug, Clone, PartialEq)]
pub enum Sending<'a> {
    /// `HEAD` the photograph; 200 acknowledges it. On 404 `PUT` it; 201 and 200 acknowledge it.
    Photo(&'a Photo),
    /// `PUT` a bundle with these events, sorted by id; its receipt confirms them.
    Bundle(Vec<&'a Event>),
}

/// What is still to be sent, in this order: photographs, then bundles with events, so that a receipt has nothing to
/// call missing and the service writer never sees a job that waits for its pictures. Empty: everything is confirmed.
///
/// An event that is larger than [`EVENTS_LIMIT`] by itself travels alone.
pub fn decide<'a>(here: Here<'a>, confirmed: &Confirmed) -> Vec<Sending<'a>> {
    decide_within(here, confirmed, EVENTS_LIMIT)
}

fn decide_within<'a>(here: Here<'a>, confirmed: &Confirmed, events_limit: u64) -> Vec<Sending<'a>> {
    let mut listed = BTreeSet::new();
    let photos = here
        .photos
        .iter()
        .filter(|photo| !confirmed.photos.contains(&photo.sha256) && listed.insert(&photo.sha256))
        .map(Sending::Photo);
    let mut sendings: Vec<Sending<'a>> = photos.collect();

    let mut chunk = Vec::new();
    let mut chunk_bytes = 0;
    for event in here.events.iter().filter(|event| !confirmed.events.contains(&event.id)) {
        let bytes = written_len(event);
        if !chunk.is_empty() && chunk_bytes + bytes > events_limit {
            sendings.push(Sending::Bundle(std::mem::take(&mut chunk)));
            chunk_bytes = 0;
        }
        chunk.push(event);
        chunk_bytes += bytes;
    }
    if !chunk.is_empty() {
        sendings.push(Sending::Bundle(chunk));
    }
    sendings
}

/// Bytes that an event takes in a bundle, with the comma behind it.
fn written_len(event: &Event) -> u64 {
    struct Count(u64);
    impl std::io::Write for Count {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0 += bytes.len() as u64;
            Ok(bytes.len())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let mut count = Count(1);
    match serde_json::to_writer(&mut count, event) {
        Ok(()) => count.0,
        // What cannot be written cannot be measured either; alone in its bundle it holds up nothing else.
        Err(_) => u64::MAX / 2,
    }
}

/// How long to wait before attempt number `attempt` + 1 (the first failure is attempt 0).
///
/// Exponential with full jitter: evenly spread between nothing and a ceiling that doubles from one second to five
/// minutes, so that phones that lost the desk together do not come back together. `random` is in 0…1. When the desk
/// named a time (`Retry-After`), it is not asked earlier, but at the latest after an hour.
/// Source: M. Brooker, "Exponential Backoff And Jitter", AWS Architecture Blog, 2015 (from memory).
pub fn backoff(attempt: u32, random: f64, retry_after: Option<Duration>) -> Duration {
    let ceiling = FIRST_WAIT.saturating_mul(2_u32.saturating_pow(attempt)).min(LONGEST_WAIT);
    let share = if random.is_finite() { random.clamp(0.0, 1.0) } else { 1.0 };
    let asked = retry_after.unwrap_or_default().min(LONGEST_ASKED_WAIT);
    ceiling.mul_f64(share).max(asked)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::ids::{BundleId, DeviceId, IdMaker, JobId};
    use crate::job::event::Stage;
    use chrono::DateTime;
    use proptest::prelude::*;
    use serde_json::json;
    use uuid::Uuid;

    fn events(lengths: &[usize]) -> Vec<Event> {
        let mut ids = IdMaker::default();
        let at = DateTime::from_timestamp_millis(1_700_000_000_000).unwrap();
        let event = |length: &usize| Event {
            id: EventId(ids.make(at, [7; 10])),
            at,
            device_id: DeviceId(Uuid::nil()),
            kind: "note".to_owned(),
            body: json!({ "text": "x".repeat(*length) }),
        };
        lengths.iter().map(event).collect()
    }

    fn photo(number: usize) -> Photo {
        Photo {
            sha256: format!("{number:064x}").parse().unwrap(),
            bytes: 1,
            media_type: "image/jpeg".to_owned(),
            width: 1,
            height: 1,
            taken_at: None,
            point: None,
            stage: Stage::Lie,
            annotation: String::new(),
            seconds: None,
        }
    }

    fn receipt(events: &[&Event], missing_photos: Vec<PhotoHash>) -> Receipt {
        Receipt {
            job: JobId(Uuid::nil()),
            bundle_id: BundleId(Uuid::nil()),
            events: events.iter().map(|event| event.id).collect(),
            log_digest: String::new(),
            missing_photos,
        }
    }

    fn acknowledge(confirmed: &mut Confirmed, sending: &Sending) {
        match sending {
            Sending::Photo(photo) => {
                confirmed.photos.insert(photo.sha256.clone());
            }
            Sending::Bundle(events) => confirmed.take(&receipt(events, Vec::new())),
        }
    }

    #[test]
    fn photos_go_first_and_then_one_bundle() {
        let (events, photos) = (events(&[1, 1, 1]), [photo(1), photo(2), photo(1)]);
        let here = Here { events: &events, photos: &photos };
        let all = Sending::Bundle(events.iter().collect());
        let expected = vec![Sending::Photo(&photos[0]), Sending::Photo(&photos[1]), all];
        assert_eq!(decide(here, &Confirmed::default()), expected);
    }

    #[test]
    fn nothing_is_sent_when_everything_is_confirmed() {
        let (events, photos) = (events(&[1, 1]), [photo(1)]);
        let kept = [receipt(&events.iter().collect::<Vec<_>>(), vec![photo(1).sha256])];
        let confirmed = Confirmed::from_kept(&kept, [photo(1).sha256]);
        assert_eq!(decide(Here { events: &events, photos: &photos }, &confirmed), Vec::new());
    }

    #[test]
    fn a_photo_that_a_new_receipt_calls_missing_is_sent_again() {
        let photos = [photo(1)];
        let mut confirmed = Confirmed::from_kept(&[], [photo(1).sha256]);
        confirmed.take(&receipt(&[], vec![photo(1).sha256]));
        assert_eq!(decide(Here { events: &[], photos: &photos }, &confirmed), vec![Sending::Photo(&photos[0])]);
    }

    #[test]
    fn an_event_too_large_for_any_bundle_travels_alone() {
        let events = events(&[10, 5000, 10]);
        let sendings = decide_within(Here { events: &events, photos: &[] }, &Confirmed::default(), 1000);
        let lengths: Vec<usize> = sendings
            .iter()
            .map(|sending| if let Sending::Bundle(events) = sending { events.len() } else { 0 })
            .collect();
        assert_eq!(lengths, [1, 1, 1]);
    }

    #[test]
    fn the_wait_stays_below_a_ceiling_that_doubles_up_to_five_minutes() {
        let longest = |attempt| backoff(attempt, 1.0, None).as_secs();
        assert_eq!([0, 1, 2, 8, 9, 10, u32::MAX].map(longest), [1, 2, 4, 256, 300, 300, 300]);
        assert_eq!(backoff(u32::MAX, 0.0, None), Duration::ZERO);
    }

    #[test]
    fn the_desk_is_not_asked_before_the_time_that_it_named() {
        let asked = |seconds| backoff(0, 0.5, Some(Duration::from_secs(seconds))).as_secs();
        assert_eq!([0, 30, 3600, u64::MAX].map(asked), [0, 30, 3600, 3600]);
    }

    proptest! {
        #[test]
        fn sending_one_after_another_ends_with_everything_confirmed_and_nothing_sent_twice(
            lengths in prop::collection::vec(0_usize..400, 0..20),
            numbers in prop::collection::vec(0_usize..12, 0..12),
            limit in 1_u64..3000,
        ) {
            let events = events(&lengths);
            let photos: Vec<Photo> = numbers.into_iter().map(photo).collect();
            let here = Here { events: &events, photos: &photos };
            let mut confirmed = Confirmed::default();
            let mut sent = 0;
            while let Some(next) = decide_within(here, &confirmed, limit).first() {
                match next {
                    Sending::Photo(photo) => prop_assert!(!confirmed.photos.contains(&photo.sha256)),
                    Sending::Bundle(chunk) => {
                        prop_assert!(chunk.iter().all(|event| !confirmed.events.contains(&event.id)));
                        let bytes: u64 = chunk.iter().map(|event| written_len(event)).sum();
                        prop_assert!(chunk.len() == 1 || bytes <= limit);
                    }
                }
                acknowledge(&mut confirmed, next);
                sent += 1;
                prop_assert!(sent <= events.len() + photos.len(), "it does not end");
            }
            prop_assert_eq!(confirmed.events.len(), events.len());
            prop_assert!(photos.iter().all(|photo| confirmed.photos.contains(&photo.sha256)));
        }

        #[test]
        fn a_send_that_was_cut_off_anywhere_goes_on_with_the_rest(
            lengths in prop::collection::vec(0_usize..400, 0..20),
            photo_count in 0_usize..8,
            limit in 1_u64..3000,
            cut in 0_usize..30,
        ) {
            let events = events(&lengths);
            let photos: Vec<Photo> = (0..photo_count).map(photo).collect();
            let here = Here { events: &events, photos: &photos };
            let whole = decide_within(here, &Confirmed::default(), limit);
            let cut = cut.min(whole.len());
            let mut confirmed = Confirmed::default();
            for done in &whole[..cut] {
                acknowledge(&mut confirmed, done);
            }
            prop_assert_eq!(&decide_within(here, &confirmed, limit), &whole[cut..]);
        }

        #[test]
        fn a_wait_is_never_longer_than_five_minutes_of_our_own_choosing(attempt: u32, random: f64) {
            prop_assert!(backoff(attempt, random, None) <= LONGEST_WAIT);
        }
    }
}
