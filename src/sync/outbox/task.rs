//! What is done in a round, and when is the next one?

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::time::Duration;

use chrono::TimeDelta;
use gloo_timers::future::TimeoutFuture;

use super::super::bell::{Bell, Wake, millis};
use super::super::bring::kept;
use super::super::decide::{Confirmed, Here, Sending, backoff, decide};
use super::super::desk::{Desk, Trouble};
use super::super::status::Lack;
use super::{Face, OutboxStatus, Refused, lock};
use crate::bundle::Leaving;
use crate::device;
use crate::gather::Gather as _;
use crate::ids::{BundleId, DeviceId, IdMaker, JobId, PhotoHash};
use crate::job::event::Photo;
use crate::job::log::Log;
use crate::job::state::Job;
use crate::store::{IdbStore, Store};

/// After an act, so that several in a row go together.
const CALM: u32 = 1_500;
/// Without anything to do, a desk is looked for this often.
const IDLE: Duration = Duration::from_secs(10 * 60);
/// While the desk does not know this phone; at once after pairing.
const UNPAIRED: Duration = Duration::from_secs(5 * 60);
/// While another tab sends.
const OTHER_TAB: Duration = Duration::from_secs(5);

/// What came of a round.
enum Round {
    /// Nothing is left that could be sent.
    Done,
    /// No desk here.
    NoDesk,
    /// The desk does not know this phone.
    Unpaired,
    /// Another tab is at it.
    OtherTab,
    /// To be tried again.
    Later { why: String, retry_after: Option<Duration> },
}

pub(super) struct Task {
    store: Rc<IdbStore>,
    device: DeviceId,
    face: Rc<Face>,
    ids: IdMaker,
    /// Jobs that may have something to send. `None`: not known yet.
    open: Option<BTreeSet<JobId>>,
    refused: Refused,
    /// Of which jobs so many photographs and recordings are neither at the desk nor here.
    not_here: BTreeMap<JobId, usize>,
    /// The token, or the lack of one, with which the desk let us in.
    let_in: Option<Option<String>>,
    /// In which store the desk keeps things, as it said last.
    desk_store: Option<DeviceId>,
}

impl Task {
    pub(super) fn new(store: Rc<IdbStore>, device: DeviceId, face: Rc<Face>, refused: Refused) -> Self {
        Self {
            store,
            device,
            face,
            ids: IdMaker::default(),
            open: None,
            refused,
            not_here: BTreeMap::new(),
            let_in: None,
            desk_store: None,
        }
    }

    pub(super) async fn run(mut self, bell: Rc<Bell>) {
        let mut failures = 0;
        loop {
            let sleep = match self.round().await {
                Round::Done => {
                    failures = 0;
                    if self.store.has_changed() {
                        // Something was kept while it was sending, whatever has rung since.
                        self.show(OutboxStatus::Soon);
                        Duration::from_millis(CALM.into())
                    } else {
                        let refused = self.refused.borrow();
                        let refused = refused.iter().map(|(job, (_, why))| (*job, Lack::Refused(why.clone())));
                        let not_here = self.not_here.iter().map(|(job, some)| (*job, Lack::NotHere(*some)));
                        let lacks: Vec<_> = refused.chain(not_here).collect();
                        self.show(if lacks.is_empty() { OutboxStatus::UpToDate } else { OutboxStatus::Partly(lacks) });
                        IDLE
                    }
                }
                Round::Unpaired => {
                    failures = 0;
                    self.show(OutboxStatus::Unpaired);
                    UNPAIRED
                }
                Round::NoDesk => {
                    failures = 0;
                    self.show(OutboxStatus::NoDesk);
                    IDLE
                }
                Round::OtherTab => {
                    self.wait(OTHER_TAB, "another tab of this app is sending.".to_owned());
                    OTHER_TAB
                }
                Round::Later { why, retry_after } => {
                    let sleep = backoff(failures, js_sys::Math::random(), retry_after);
                    failures = failures.saturating_add(1);
                    self.wait(sleep, why + ".");
                    // What the desk asked for is kept to, whatever happens meanwhile.
                    TimeoutFuture::new(millis(retry_after.unwrap_or_default().min(sleep))).await;
                    sleep.saturating_sub(retry_after.unwrap_or_default())
                }
            };
            let mut wake = bell.sleep(sleep).await;
            while wake == Wake::Soon {
                TimeoutFuture::new(CALM).await;
                wake = bell.take_missed().unwrap_or(Wake::Now);
            }
            if wake == Wake::End {
                return;
            }
        }
    }

    fn show(&self, status: OutboxStatus) {
        self.face.show(status);
    }

    fn wait(&self, time: Duration, why: String) {
        let until = device::now() + TimeDelta::from_std(time).unwrap_or_default();
        self.show(OutboxStatus::Waiting { until, why });
    }

    async fn round(&mut self) -> Round {
        let Some(_turn) = lock::take_turn().await else { return Round::OtherTab };
        match self.send_all().await {
            Ok(()) => Round::Done,
            Err(Trouble::NoDesk) => Round::NoDesk,
            Err(Trouble::Unpaired { .. }) => {
                self.let_in = None;
                Round::Unpaired
            }
            Err(Trouble::Later { why, retry_after }) => Round::Later { why, retry_after },
            // A refusal is noted with its job; one without a job is the desk's own.
            Err(Trouble::Refused { why }) => Round::Later { why, retry_after: None },
        }
    }

    async fn send_all(&mut self) -> Result<(), Trouble> {
        let desk = Desk::of(&self.store).await.map_err(kept)?;
        match desk.health().await {
            Ok(store) => {
                self.store.keep_desk_seen().await.map_err(kept)?;
                if let Some(store) = store {
                    // Another tab may have noted it, and forgotten what was confirmed, before this one has heard of it.
                    let anew = self.store.keep_desk_store(store).await.map_err(kept)?;
                    let before = self.desk_store.replace(store);
                    if anew || before.is_some_and(|before| before != store) {
                        // All over again: what this store has is told in its receipts.
                        self.open = None;
                        self.refused.borrow_mut().clear();
                        self.show(OutboxStatus::Soon);
                    }
                }
            }
            // Without a network nobody can tell whether there would be one.
            Err(Trouble::Later { .. }) if !self.store.desk_seen().await.map_err(kept)? => return Err(Trouble::NoDesk),
            Err(trouble) => return Err(trouble),
        }
        let changed = self.store.take_changed();
        let open = match self.open.take() {
            Some(open) => &open | &changed,
            None => self.store.jobs().await.map_err(kept)?.into_iter().gather(),
        };
        // Otherwise a phone with nothing to send would believe itself known.
        let token = Some(desk.token().map(str::to_owned));
        if self.let_in != token || open.is_empty() {
            self.open = Some(open.clone());
            desk.knows_us().await?;
            self.let_in = token;
        }
        // Until the end it is not known what was sent.
        self.open = Some(open.clone());
        for job in open {
            self.not_here.remove(&job);
            match self.send_job(&desk, job).await {
                Err(Trouble::Refused { why }) => {
                    let events = self.store.log(job).await.map_err(kept)?.len();
                    self.refused.borrow_mut().insert(job, (events, why));
                }
                Err(trouble) => return Err(trouble),
                Ok(0) => {}
                Ok(not_here) => {
                    self.not_here.insert(job, not_here);
                    // Nothing here changes when whoever has them sends them: the next round asks again.
                    continue;
                }
            }
            if let Some(open) = &mut self.open {
                open.remove(&job);
            }
        }
        Ok(())
    }

    /// Sends what the desk does not have of a job; gives how many of its photographs and recordings are neither there nor here.
    async fn send_job(&mut self, desk: &Desk, id: JobId) -> Result<usize, Trouble> {
        let events = self.store.log(id).await.map_err(kept)?;
        if self.refused.borrow().get(&id).is_some_and(|(refused, _)| *refused == events.len()) {
            return Ok(0);
        }
        self.refused.borrow_mut().remove(&id);
        let log = Log::of(events.iter().cloned()).map_err(|error| Trouble::Refused { why: error.to_string() })?;
        let job = Job::fold(id, &log);
        if events.is_empty() {
            return Ok(0);
        }
        let photos: Vec<Photo> = job.photos.iter().map(|(_, photo)| photo.clone()).collect();
        let receipts = self.store.receipts(id).await.map_err(kept)?;
        let mut confirmed = Confirmed::from_kept(&receipts, self.store.confirmed_photos().await.map_err(kept)?);
        // Photographs of this job whose bytes are not on this phone: someone else's to send.
        let mut elsewhere: BTreeSet<PhotoHash> = BTreeSet::new();
        // And those that the desk does not take: what was noted goes there all the same.
        let mut not_taken: BTreeSet<PhotoHash> = BTreeSet::new();
        let mut refusal = None;
        let mut unkept = Vec::new();
        let mut sent_bytes = 0;
        loop {
            let can_go = |photo: &&Photo| !elsewhere.contains(&photo.sha256) && !not_taken.contains(&photo.sha256);
            let here: Vec<Photo> = photos.iter().filter(can_go).cloned().collect();
            let sendings = decide(Here { events: &events, photos: &here }, &confirmed);
            let Some(next) = sendings.first() else { break };
            let left: u64 =
                sendings.iter().map(|sending| if let Sending::Photo(it) = sending { it.bytes } else { 0 }).sum();
            self.show(OutboxStatus::Sending { sent_bytes, total_bytes: sent_bytes + left });
            match next {
                Sending::Photo(photo) => {
                    let so_far = |bytes| {
                        self.show(OutboxStatus::Sending {
                            sent_bytes: sent_bytes + bytes,
                            total_bytes: sent_bytes + left,
                        });
                    };
                    match self.send_photo(desk, &photo.sha256, so_far).await {
                        Ok(true) => {
                            sent_bytes += photo.bytes;
                            confirmed.photos.insert(photo.sha256.clone());
                        }
                        Ok(false) => drop(elsewhere.insert(photo.sha256.clone())),
                        Err(refused @ Trouble::Refused { .. }) => {
                            not_taken.insert(photo.sha256.clone());
                            refusal = Some(refused);
                        }
                        Err(trouble) => return Err(trouble),
                    }
                }
                Sending::Bundle(going) => {
                    let now = device::now();
                    let bundle_id = BundleId(self.ids.make(now, device::random()));
                    let leaving = Leaving {
                        job: id,
                        log: events.as_slice().into(),
                        only: Some(going.iter().map(|event| event.id).gather()),
                        bundle_id,
                        device_id: self.device,
                        made_at: now,
                    };
                    let sealed = |error: String| Trouble::Refused { why: error };
                    let bundle = leaving.bundle().map_err(|error| sealed(error.to_string()))?;
                    let text = serde_json::to_string(&bundle).map_err(|error| sealed(error.to_string()))?;
                    let receipt = desk.put_bundle(id, bundle_id, &bundle.log_digest, text).await?;
                    if !going.iter().all(|event| receipt.events.contains(&event.id)) {
                        return Err(Trouble::Refused {
                            why: "the desk did not take every event of this job".to_owned(),
                        });
                    }
                    confirmed.take(&receipt);
                    if receipt.missing_photos.is_empty() {
                        self.store.keep_receipt(&receipt).await.map_err(kept)?;
                    } else {
                        // Kept only once the photographs are there: a round that is cut off asks for them again.
                        unkept.push(receipt);
                    }
                }
            }
        }
        for receipt in unkept {
            self.store.keep_receipt(&receipt).await.map_err(kept)?;
        }
        refusal.map_or(Ok(elsewhere.len()), Err)
    }

    /// `false`: its bytes are not on this phone.
    async fn send_photo(&self, desk: &Desk, hash: &PhotoHash, so_far: impl Fn(u64)) -> Result<bool, Trouble> {
        if !desk.has_photo(hash).await? {
            let Some((media_type, bytes)) = self.store.photo(hash).await.map_err(kept)? else { return Ok(false) };
            desk.send_photo(hash, &media_type, &bytes, so_far).await?;
        }
        self.store.keep_confirmed_photo(hash).await.map_err(kept)?;
        Ok(true)
    }
}
