//! Carries out what is decided: sends when there is a network.
//!
//! One task for the life of the page. A round reads what is kept, [decides](super::decide) what is still to be sent, and
//! sends it; nothing counts as sent before the desk has said so and that was kept. Whatever cuts a round off, the
//! next one goes on where it stopped.
//!
//! - `desk`: the calls. `lock`: only one tab sends.

mod desk;
mod lock;

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};
use futures_channel::oneshot;
use gloo_timers::callback::Timeout;
use gloo_timers::future::TimeoutFuture;
use wasm_bindgen_futures::spawn_local;

use self::desk::Trouble;
use super::decide::{Confirmed, Here, Sending, backoff, decide};
use crate::away::bundle_question;
use crate::bundle::Leaving;
use crate::device::{self, Listener};
use crate::gather::Gather as _;
use crate::ids::{BundleId, DeviceId, IdMaker, JobId, PhotoHash};
use crate::job::event::Photo;
use crate::job::log::Log;
use crate::job::state::Job;
use crate::store::{IdbStore, Store, StoreError};

/// After an act, so that several in a row go together.
const CALM: u32 = 1_500;
/// Without anything to do, a desk is looked for this often.
const IDLE: Duration = Duration::from_secs(10 * 60);
/// While another tab sends.
const OTHER_TAB: Duration = Duration::from_secs(5);

/// What the outbox is doing.
#[derive(Debug, Clone, PartialEq)]
pub enum OutboxStatus {
    /// There is no desk at this address, as far as is known.
    NoDesk,
    /// The desk has everything.
    UpToDate,
    /// Something was kept a moment ago and is about to be sent.
    Soon,
    /// It is sending.
    Sending {
        /// Bytes of photographs that the desk has confirmed in this round.
        sent_bytes: u64,
        /// Bytes of photographs in this round.
        total_bytes: u64,
    },
    /// It will try again.
    Waiting {
        /// When, at the latest.
        until: DateTime<Utc>,
        /// Why not now.
        why: String,
    },
    /// The desk refuses something; it is offered again when the job has changed.
    Refused {
        /// Of which job.
        job: JobId,
        /// Why, in the desk's words.
        why: String,
    },
}

/// Sends what is kept to the desk, as long as it lives.
pub struct Outbox {
    bell: Rc<Bell>,
    face: Rc<Face>,
    _listeners: [Option<Listener>; 2],
}

impl Outbox {
    /// Starts sending. `on_status` hears of every change.
    pub fn start(store: Rc<IdbStore>, device: DeviceId, on_status: impl Fn(OutboxStatus) + 'static) -> Self {
        let bell = Rc::new(Bell::default());
        let ring = |wake: Wake| {
            let bell = Rc::clone(&bell);
            move || bell.ring(wake)
        };
        let listeners = [device::on_online(ring(Wake::Now)), device::on_visible(ring(Wake::Now))];
        let face = Rc::new(Face { on_status: Box::new(on_status), shown: RefCell::new(None) });
        let task = Task {
            store,
            device,
            face: Rc::clone(&face),
            ids: IdMaker::default(),
            open: None,
            refused: BTreeMap::new(),
        };
        spawn_local(task.run(Rc::clone(&bell)));
        Self { bell, face, _listeners: listeners }
    }

    /// Something was kept, or the user wants it sent.
    pub fn nudge(&self) {
        // What was true a moment ago is not true any more.
        let settled = matches!(&*self.face.shown.borrow(), Some(OutboxStatus::UpToDate | OutboxStatus::Refused { .. }));
        if settled {
            self.face.show(OutboxStatus::Soon);
        }
        self.bell.ring(Wake::Soon);
    }
}

impl Drop for Outbox {
    fn drop(&mut self) {
        self.bell.ring(Wake::End);
    }
}

/// What is shown, told on when it changes.
struct Face {
    on_status: Box<dyn Fn(OutboxStatus)>,
    shown: RefCell<Option<OutboxStatus>>,
}

impl Face {
    fn shows(&self, status: &OutboxStatus) -> bool {
        self.shown.borrow().as_ref() == Some(status)
    }

    fn show(&self, status: OutboxStatus) {
        if !self.shows(&status) {
            self.shown.replace(Some(status.clone()));
            (self.on_status)(status);
        }
    }
}

/// Why the task is woken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Wake {
    /// More may follow at once.
    Soon,
    /// Time has passed, the network is back, or the page is in view.
    Now,
    /// It is to end.
    End,
}

/// Wakes the task; rings on when it was busy.
#[derive(Default)]
struct Bell {
    missed: RefCell<Option<Wake>>,
    sleeper: RefCell<Option<oneshot::Sender<Wake>>>,
}

impl Bell {
    fn ring(&self, wake: Wake) {
        let unheard = match self.sleeper.take() {
            Some(sleeper) => sleeper.send(wake).err(),
            None => Some(wake),
        };
        let mut missed = self.missed.borrow_mut();
        *missed = (*missed).max(unheard);
    }

    /// Sleeps until it rings, or for so long.
    async fn sleep(self: &Rc<Self>, longest: Duration) -> Wake {
        if let Some(missed) = self.missed.take() {
            return missed;
        }
        let (sleeper, woken) = oneshot::channel();
        self.sleeper.replace(Some(sleeper));
        let bell = Rc::clone(self);
        let millis = millis(longest);
        let _alarm = Timeout::new(millis, move || bell.ring(Wake::Now));
        woken.await.unwrap_or(Wake::End)
    }
}

/// What came of a round.
enum Round {
    /// Nothing is left that could be sent.
    Done,
    /// No desk here.
    NoDesk,
    /// Another tab is at it.
    OtherTab,
    /// To be tried again.
    Later { why: String, retry_after: Option<Duration> },
}

struct Task {
    store: Rc<IdbStore>,
    device: DeviceId,
    face: Rc<Face>,
    ids: IdMaker,
    /// Jobs that may have something to send. `None`: not known yet.
    open: Option<BTreeSet<JobId>>,
    /// What the desk refused: how many events the job had then, and why.
    refused: BTreeMap<JobId, (usize, String)>,
}

impl Task {
    async fn run(mut self, bell: Rc<Bell>) {
        let mut failures = 0;
        loop {
            let sleep = match self.round().await {
                Round::Done => {
                    failures = 0;
                    self.show(match self.refused.iter().next() {
                        Some((job, (_, why))) => OutboxStatus::Refused { job: *job, why: why.clone() },
                        None => OutboxStatus::UpToDate,
                    });
                    IDLE
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
                wake = bell.missed.take().unwrap_or(Wake::Now);
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
            Err(Trouble::Later { why, retry_after }) => Round::Later { why, retry_after },
            // A refusal is noted with its job; one without a job is the desk's own.
            Err(Trouble::Refused { why }) => Round::Later { why, retry_after: None },
        }
    }

    async fn send_all(&mut self) -> Result<(), Trouble> {
        match desk::health().await {
            Ok(()) => self.store.keep_desk_seen().await.map_err(kept)?,
            // Without a network nobody can tell whether there would be one.
            Err(Trouble::Later { .. }) if !self.store.desk_seen().await.map_err(kept)? => return Err(Trouble::NoDesk),
            Err(trouble) => return Err(trouble),
        }
        let changed = self.store.take_changed();
        let open = match self.open.take() {
            Some(open) => &open | &changed,
            None => self.store.jobs().await.map_err(kept)?.into_iter().gather(),
        };
        // Until the end it is not known what was sent.
        self.open = Some(open.clone());
        for job in open {
            match self.send_job(job).await {
                Err(Trouble::Refused { why }) => {
                    let events = self.store.log(job).await.map_err(kept)?.len();
                    self.refused.insert(job, (events, why));
                }
                sent => sent?,
            }
            if let Some(open) = &mut self.open {
                open.remove(&job);
            }
        }
        Ok(())
    }

    async fn send_job(&mut self, id: JobId) -> Result<(), Trouble> {
        let events = self.store.log(id).await.map_err(kept)?;
        if self.refused.get(&id).is_some_and(|(refused, _)| *refused == events.len()) {
            return Ok(());
        }
        self.refused.remove(&id);
        let log = Log::of(events.iter().cloned()).map_err(|error| Trouble::Refused { why: error.to_string() })?;
        let job = Job::fold(id, &log);
        if events.is_empty() {
            return Ok(());
        }
        let photos: Vec<Photo> = job.photos.iter().map(|(_, photo)| photo.clone()).collect();
        let receipts = self.store.receipts(id).await.map_err(kept)?;
        let mut confirmed = Confirmed::from_kept(&receipts, self.store.confirmed_photos().await.map_err(kept)?);
        // Photographs of this job whose bytes are not on this phone: someone else's to send.
        let mut elsewhere: BTreeSet<PhotoHash> = BTreeSet::new();
        let mut unkept = Vec::new();
        let mut sent_bytes = 0;
        loop {
            let here: Vec<Photo> = photos.iter().filter(|photo| !elsewhere.contains(&photo.sha256)).cloned().collect();
            let sendings = decide(Here { events: &events, photos: &here }, &confirmed);
            let Some(next) = sendings.first() else { break };
            let left: u64 =
                sendings.iter().map(|sending| if let Sending::Photo(it) = sending { it.bytes } else { 0 }).sum();
            self.show(OutboxStatus::Sending { sent_bytes, total_bytes: sent_bytes + left });
            match next {
                Sending::Photo(photo) => {
                    if self.send_photo(&photo.sha256).await? {
                        sent_bytes += photo.bytes;
                        confirmed.photos.insert(photo.sha256.clone());
                    } else {
                        elsewhere.insert(photo.sha256.clone());
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
                    let question =
                        bundle_question(&leaving).map_err(|error| Trouble::Refused { why: error.to_string() })?;
                    // The worker may live again in a while.
                    let text = device::worker::ask(question).await.map_err(|error| later(error.to_string()))?;
                    let receipt = desk::put_bundle(id, bundle_id, text).await?;
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
        Ok(())
    }

    /// `false`: its bytes are not on this phone.
    async fn send_photo(&self, hash: &PhotoHash) -> Result<bool, Trouble> {
        if !desk::has_photo(hash).await? {
            let Some((media_type, bytes)) = self.store.photo(hash).await.map_err(kept)? else { return Ok(false) };
            desk::put_photo(hash, &media_type, &bytes).await?;
        }
        self.store.keep_confirmed_photo(hash).await.map_err(kept)?;
        Ok(true)
    }
}

/// The phone's own storage did not do it: sending waits for it.
fn kept(error: StoreError) -> Trouble {
    later(error.to_string())
}

fn later(why: String) -> Trouble {
    Trouble::Later { why, retry_after: None }
}

fn millis(time: Duration) -> u32 {
    u32::try_from(time.as_millis()).unwrap_or(u32::MAX)
}
