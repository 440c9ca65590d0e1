//! Does a store do what [`Store`] promises? The same questions to every store.
//!
//! Natively `tests/store_contract.rs` asks the store in memory; in a browser `examples/store_contract.rs` asks the
//! one on IndexedDB. A broken promise comes back as a sentence.

use std::collections::BTreeSet;
use std::fmt::Debug;

use serde_json::json;
use uuid::Uuid;

use super::{NewPhoto, PREVIEW_TYPE, Store, StoreError};
use crate::ids::{BundleId, DeviceId, EventId, JobId, PhotoHash, ShelvedId};
use crate::job::event::Event;
use crate::shelf::{Shelf, Shelved};
use crate::sync::protocol::Receipt;

/// A kind of store that can be asked.
#[allow(async_fn_in_trait)] // as for the store itself
pub trait Subject {
    /// The store.
    type Store: Store;
    /// A store that nothing was ever kept in.
    async fn fresh(&self) -> Result<Self::Store, StoreError>;
    /// The same store as the program finds it when it is started again.
    async fn reopened(&self, store: Self::Store) -> Result<Self::Store, StoreError>;
    /// Bytes as the store takes them.
    fn bytes(&self, plain: &[u8]) -> <Self::Store as Store>::Bytes;
    /// Bytes that the store gave back.
    fn plain(&self, bytes: &<Self::Store as Store>::Bytes) -> Vec<u8>;
}

type Verdict = Result<(), String>;

/// Asks every question. `Ok`: how many were asked.
///
/// # Errors
/// The first promise that is not kept.
pub async fn run(subject: &impl Subject) -> Result<usize, String> {
    empty_at_first(subject).await?;
    device_is_made_once(subject).await?;
    events_come_back_in_order(subject).await?;
    same_again_changes_nothing(subject).await?;
    two_bodies_are_refused_whole(subject).await?;
    photos_come_back(subject).await?;
    small_ones_come_without_the_photo(subject).await?;
    jobs_stay_apart(subject).await?;
    desk_words_are_kept(subject).await?;
    a_forgotten_job_takes_only_its_own(subject).await?;
    the_shelf_keeps_the_newest_of_each(subject).await?;
    what_was_taken_off_the_shelf_stays_off(subject).await?;
    Ok(12)
}

fn same<T: PartialEq + Debug>(what: &str, is: &T, should: &T) -> Verdict {
    if is == should { Ok(()) } else { Err(format!("{what}: is {is:?}, should be {should:?}")) }
}

fn said(error: StoreError) -> String {
    error.to_string()
}

fn id(number: u128) -> Uuid {
    Uuid::from_u128(0x0190_0000_0000_7000_8000_0000_0000_0000 + number)
}

fn job(number: u128) -> JobId {
    JobId(id(number << 32))
}

fn hash(digit: char) -> Result<PhotoHash, String> {
    digit.to_string().repeat(64).parse().map_err(|error| format!("{error}"))
}

fn event(number: u128, kind: &str, body: serde_json::Value) -> Event {
    let at = chrono::DateTime::from_timestamp_nanos(1_900_000_000_123_456_789);
    Event { id: EventId(id(number)), at, device_id: DeviceId(id(7)), kind: kind.to_owned(), body }
}

fn photo_event(number: u128, hash: &PhotoHash) -> Event {
    event(number, "photo", json!({ "sha256": hash, "bytes": 3, "media_type": "image/jpeg", "stage": "lie" }))
}

fn receipt(job: JobId, bundle: u128, events: &[Event]) -> Receipt {
    Receipt {
        job,
        bundle_id: BundleId(id(bundle)),
        events: events.iter().map(|event| event.id).collect(),
        log_digest: "0".repeat(64),
        missing_photos: Vec::new(),
    }
}

fn new_photo<S: Subject>(
    subject: &S,
    hash: &PhotoHash,
    preview: Option<&[u8]>,
) -> NewPhoto<<S::Store as Store>::Bytes> {
    NewPhoto {
        photo_hash: hash.clone(),
        media_type: "image/png".to_owned(),
        original: subject.bytes(&[0, 255, 1]),
        preview: preview.map(|bytes| subject.bytes(bytes)),
        thumb: preview.map(|bytes| subject.bytes(&[bytes, b"!"].concat())),
    }
}

/// A circuit on the shelf, kept in that second.
fn shelved(number: u128, second: i64, label: &str) -> Result<Shelved, String> {
    let circuit = json!({ "format": "loomwalk/circuit", "version": 1, "fuse": { "rating_a": 7.5 }, "loads": [] });
    Ok(Shelved {
        id: ShelvedId(id(number)),
        kept_at: chrono::DateTime::from_timestamp_nanos(second * 1_000_000_000 + 123_456_789),
        label: label.to_owned(),
        vin_begins: None,
        from_job: Some(job(1)),
        circuit: serde_json::from_value(circuit).map_err(|error| error.to_string())?,
    })
}

async fn empty_at_first<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    same("jobs at first", &store.jobs().await.map_err(said)?, &vec![])?;
    same("the log of an unknown job", &store.log(job(1)).await.map_err(said)?, &vec![])?;
    same("receipts at first", &store.receipts(job(1)).await.map_err(said)?, &vec![])?;
    same("confirmed photos at first", &store.confirmed_photos().await.map_err(said)?, &BTreeSet::new())?;
    let unknown = hash('a')?;
    same("an unknown photo", &store.photo(&unknown).await.map_err(said)?.is_none(), &true)?;
    same("the shelf at first", &store.shelf().await.map_err(said)?, &Shelf::default())?;
    same("forgetting an unknown job", &store.forget_job(job(1), None).await.map_err(said)?, &true)
}

async fn device_is_made_once<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let first = DeviceId(id(1));
    same("the first device id", &store.device(first).await.map_err(said)?, &first)?;
    same("a second candidate", &store.device(DeviceId(id(2))).await.map_err(said)?, &first)?;
    let store = subject.reopened(store).await.map_err(said)?;
    same("after a new start", &store.device(DeviceId(id(3))).await.map_err(said)?, &first)
}

async fn events_come_back_in_order<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let odd =
        json!({ "big": 9_007_199_254_740_991_i64, "small": 1.5, "deep": [{ "": null }], "words": "Größe \u{1f9f5}\n" });
    let events = [
        event(3, "of_a_later_version", odd),
        event(1, "note", json!({ "text": "one" })),
        event(2, "note", json!({ "text": "two" })),
    ];
    store.keep(job(1), &events[..2], vec![]).await.map_err(said)?;
    store.keep(job(1), &events[2..], vec![]).await.map_err(said)?;
    let store = subject.reopened(store).await.map_err(said)?;
    let want = vec![events[1].clone(), events[2].clone(), events[0].clone()];
    same("the log after a new start", &store.log(job(1)).await.map_err(said)?, &want)
}

async fn same_again_changes_nothing<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let events = [event(1, "note", json!({ "text": "one" })), event(2, "note", json!({ "text": "two" }))];
    store.keep(job(1), &events[..1], vec![]).await.map_err(said)?;
    let again = [events[0].clone(), events[1].clone(), events[1].clone()];
    store.keep(job(1), &again, vec![]).await.map_err(said)?;
    store.keep(job(1), &again, vec![]).await.map_err(said)?;
    same("the log", &store.log(job(1)).await.map_err(said)?, &events.to_vec())
}

async fn two_bodies_are_refused_whole<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let first = event(1, "note", json!({ "text": "one" }));
    let other = event(1, "note", json!({ "text": "another" }));
    let new = event(0, "note", json!({ "text": "new" }));
    store.keep(job(1), std::slice::from_ref(&first), vec![]).await.map_err(said)?;

    let a = hash('a')?;
    let refused = store.keep(job(1), &[new.clone(), other.clone()], vec![new_photo(subject, &a, Some(b"p"))]).await;
    same("another body for a kept id", &refused, &Err(StoreError::TwoBodies(first.id)))?;
    same("the log afterwards", &store.log(job(1)).await.map_err(said)?, &vec![first.clone()])?;
    same("the photo of that call", &store.photo(&a).await.map_err(said)?.is_none(), &true)?;

    let refused = store.keep(job(2), &[new, first.clone(), other], vec![]).await;
    same("two bodies in one call", &refused, &Err(StoreError::TwoBodies(first.id)))?;
    same("its log afterwards", &store.log(job(2)).await.map_err(said)?, &vec![])?;
    // And the store goes on.
    store.keep(job(1), &[event(5, "note", json!({}))], vec![]).await.map_err(said)?;
    same("events kept since", &store.log(job(1)).await.map_err(said)?.len(), &2)
}

async fn photos_come_back<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let (a, b) = (hash('a')?, hash('b')?);
    let events = [photo_event(1, &a), photo_event(2, &b)];
    let photos = vec![new_photo(subject, &a, Some(b"preview")), new_photo(subject, &b, None)];
    store.keep(job(1), &events, photos).await.map_err(said)?;
    let store = subject.reopened(store).await.map_err(said)?;
    let plain = |found: Option<(String, _)>| found.map(|(kind, bytes)| (kind, subject.plain(&bytes)));
    let original = Some(("image/png".to_owned(), vec![0, 255, 1]));
    let small = |bytes: &[u8]| Some((PREVIEW_TYPE.to_owned(), bytes.to_vec()));
    same("an original", &plain(store.photo(&a).await.map_err(said)?), &original)?;
    same("its preview", &plain(store.preview(&a).await.map_err(said)?), &small(b"preview"))?;
    same("its thumb", &plain(store.thumb(&a).await.map_err(said)?), &small(b"preview!"))?;
    same("an original that cannot be shown", &plain(store.photo(&b).await.map_err(said)?), &original)?;
    same("its missing preview", &plain(store.preview(&b).await.map_err(said)?), &None)?;

    store.keep(job(1), &[], vec![new_photo(subject, &a, None)]).await.map_err(said)?;
    store.keep(job(1), &[], vec![new_photo(subject, &b, Some(b"late"))]).await.map_err(said)?;
    same(
        "the preview after keeping again without",
        &plain(store.preview(&a).await.map_err(said)?),
        &small(b"preview"),
    )?;
    same("a preview that came later", &plain(store.preview(&b).await.map_err(said)?), &small(b"late"))
}

async fn small_ones_come_without_the_photo<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let (elsewhere, here) = (hash('a')?, hash('b')?);
    let events = [photo_event(1, &elsewhere), photo_event(2, &here)];
    store.keep(job(1), &events, vec![new_photo(subject, &here, Some(b"own"))]).await.map_err(said)?;
    for hash in [&elsewhere, &here] {
        store.keep_small(hash, subject.bytes(b"large"), subject.bytes(b"tiny")).await.map_err(said)?;
    }
    let store = subject.reopened(store).await.map_err(said)?;
    let plain = |found: Option<(String, _)>| found.map(|(kind, bytes)| (kind, subject.plain(&bytes)));
    let small = |bytes: &[u8]| Some((PREVIEW_TYPE.to_owned(), bytes.to_vec()));
    same("a photo that is elsewhere", &store.photo(&elsewhere).await.map_err(said)?.is_none(), &true)?;
    same("its preview", &plain(store.preview(&elsewhere).await.map_err(said)?), &small(b"large"))?;
    same("its thumb", &plain(store.thumb(&elsewhere).await.map_err(said)?), &small(b"tiny"))?;
    same("a preview of our own", &plain(store.preview(&here).await.map_err(said)?), &small(b"own"))?;
    store.forget_job(job(1), None).await.map_err(said)?;
    same("the thumb of a forgotten job", &store.thumb(&elsewhere).await.map_err(said)?.is_none(), &true)
}

async fn jobs_stay_apart<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let one = event(1, "note", json!({ "text": "one" }));
    let two = event(2, "note", json!({ "text": "two" }));
    store.keep(job(2), std::slice::from_ref(&two), vec![]).await.map_err(said)?;
    store.keep(job(1), std::slice::from_ref(&one), vec![]).await.map_err(said)?;
    store.keep(job(3), &[], vec![]).await.map_err(said)?;
    same("jobs that have a log", &store.jobs().await.map_err(said)?, &vec![job(1), job(2)])?;
    same("one log", &store.log(job(1)).await.map_err(said)?, &vec![one])?;
    same("the other", &store.log(job(2)).await.map_err(said)?, &vec![two])
}

async fn desk_words_are_kept<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let first = receipt(job(1), 1, &[event(1, "note", json!({}))]);
    let second = receipt(job(1), 2, &[]);
    let other = receipt(job(2), 3, &[]);
    for receipt in [&second, &other, &first, &first] {
        store.keep_receipt(receipt).await.map_err(said)?;
    }
    for hash in [hash('b')?, hash('a')?, hash('a')?] {
        store.keep_confirmed_photo(&hash).await.map_err(said)?;
    }
    let store = subject.reopened(store).await.map_err(said)?;
    same("receipts", &store.receipts(job(1)).await.map_err(said)?, &vec![first, second])?;
    same("receipts of the other", &store.receipts(job(2)).await.map_err(said)?, &vec![other])?;
    let confirmed = store.confirmed_photos().await.map_err(said)?;
    same("confirmed photos", &confirmed, &BTreeSet::from([hash('a')?, hash('b')?]))?;
    same("a receipt makes no job", &store.jobs().await.map_err(said)?, &vec![])
}

async fn a_forgotten_job_takes_only_its_own<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let (own, shared) = (hash('a')?, hash('b')?);
    let photos = || vec![new_photo(subject, &own, Some(b"p")), new_photo(subject, &shared, Some(b"p"))];
    store.keep(job(1), &[photo_event(1, &own), photo_event(2, &shared)], photos()).await.map_err(said)?;
    store.keep(job(2), &[photo_event(3, &shared)], vec![]).await.map_err(said)?;
    for job in [job(1), job(2)] {
        store.keep_receipt(&receipt(job, 9, &[])).await.map_err(said)?;
    }
    let known = |ids: &[u128]| ids.iter().map(|n| EventId(id(*n))).collect::<BTreeSet<_>>();
    let forgotten = store.forget_job(job(1), Some(&known(&[1, 3]))).await.map_err(said)?;
    same("forgetting a job that has another event than is known", &forgotten, &false)?;
    same("its log is whole", &store.log(job(1)).await.map_err(said)?.len(), &2)?;
    same("its photo is there", &store.photo(&own).await.map_err(said)?.is_some(), &true)?;
    let forgotten = store.forget_job(job(1), Some(&known(&[1, 2, 3]))).await.map_err(said)?;
    same("forgetting a job of which all is known", &forgotten, &true)?;
    let store = subject.reopened(store).await.map_err(said)?;
    same("jobs left", &store.jobs().await.map_err(said)?, &vec![job(2)])?;
    same("its log", &store.log(job(1)).await.map_err(said)?, &vec![])?;
    same("its receipts", &store.receipts(job(1)).await.map_err(said)?, &vec![])?;
    same("its own photo", &store.photo(&own).await.map_err(said)?.is_some(), &false)?;
    same("its own preview", &store.preview(&own).await.map_err(said)?.is_some(), &false)?;
    same("its own thumb", &store.thumb(&own).await.map_err(said)?.is_some(), &false)?;
    same("the other's log", &store.log(job(2)).await.map_err(said)?.len(), &1)?;
    same("the other's receipts", &store.receipts(job(2)).await.map_err(said)?.len(), &1)?;
    same("the other's photo", &store.photo(&shared).await.map_err(said)?.is_some(), &true)
}

async fn the_shelf_keeps_the_newest_of_each<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let (old, new, other) = (shelved(1, 10, "Größe \u{1f9f5}")?, shelved(1, 20, "new")?, shelved(2, 15, "other")?);
    store.keep_on_shelf(&Shelf::of([old.clone(), other.clone()], [])).await.map_err(said)?;
    let store = subject.reopened(store).await.map_err(said)?;
    let first = Shelf::of([old.clone(), other.clone()], []);
    same("the shelf after a new start", &store.shelf().await.map_err(said)?, &first)?;
    for more in [new.clone(), old, new.clone()] {
        store.keep_on_shelf(&more.into()).await.map_err(said)?;
    }
    let newest = Shelf::of([new, other], []);
    same("the shelf with a newer one", &store.shelf().await.map_err(said)?, &newest)?;
    store.keep(job(1), &[event(1, "note", json!({}))], vec![]).await.map_err(said)?;
    store.forget_job(job(1), None).await.map_err(said)?;
    same("the shelf after its job was forgotten", &store.shelf().await.map_err(said)?, &newest)
}

async fn what_was_taken_off_the_shelf_stays_off<S: Subject>(subject: &S) -> Verdict {
    let store = subject.fresh().await.map_err(said)?;
    let (one, later, other) = (shelved(1, 10, "one")?, shelved(1, 99, "later")?, shelved(2, 15, "other")?);
    store.keep_on_shelf(&Shelf::of([one.clone(), other.clone()], [])).await.map_err(said)?;
    store.keep_on_shelf(&one.id.into()).await.map_err(said)?;
    store.keep_on_shelf(&Shelf::of([later, one.clone()], [])).await.map_err(said)?;
    let store = subject.reopened(store).await.map_err(said)?;
    same("the shelf", &store.shelf().await.map_err(said)?, &Shelf::of([other], [one.id]))?;
    // Before it ever came here, too.
    let unseen = shelved(3, 5, "unseen")?;
    store.keep_on_shelf(&unseen.id.into()).await.map_err(said)?;
    store.keep_on_shelf(&unseen.clone().into()).await.map_err(said)?;
    same("what was taken off elsewhere", &store.shelf().await.map_err(said)?.get(unseen.id), &None)
}
