//! How does the desk take things in? Each once, and it says so only when they are durable.

use std::collections::HashSet;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use axum::body::Bytes;
use chrono::{DateTime, Utc};
use object_store::path::Path;
use tokio::sync::{Mutex as TaskMutex, broadcast, watch};
use uuid::Uuid;

use super::access::Access;
use super::index::{Index, Line};
use super::photos::Writing;
use super::problem::Refusal;
use super::shelf::Shelf;
use super::shelves::{Held, Shelves, receipt_for};
use super::store::{KeptReceipt, Put, Store, StoreError, UnderJob, now, random};
use crate::bundle::file::{Bundle, MADE_LIMIT};
use crate::bundle::read;
use crate::ids::{BundleId, IdMaker, JobId, PhotoHash};
use crate::sync::protocol::{BUNDLE_LIMIT, Receipt};

/// How late each piece of a body may be.
const IDLE: Duration = Duration::from_secs(30);
/// How often the desk looks whether others have taken something in.
const LOOK_ROUND: Duration = Duration::from_secs(3);
/// How often what was of use for a while only is removed.
const TIDY_EACH: Duration = Duration::from_secs(24 * 60 * 60);
/// How often what the list shows is written down.
const WRITE_DOWN: Duration = Duration::from_secs(5 * 60);
/// How many arrivals someone who listens may lag behind.
const LAG: usize = 256;

/// Whether something that was sent is new here. Either way it is held now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taken<T> {
    /// It was not held before.
    New(T),
    /// It was.
    Known(T),
}

/// One desk: a run of the program, beside others on the same store perhaps.
#[derive(Debug)]
pub struct Desk {
    store: Store,
    /// This run.
    run: Uuid,
    /// The number of the next answer.
    next_order: AtomicU64,
    pub(super) shelves: Shelves,
    index: Index,
    access: Access,
    arrivals: broadcast::Sender<JobId>,
    ending: watch::Sender<bool>,
    /// Those that were seen. It serves pages and receipts, where a look at the store for each would take long; no phone is
    /// told by it that a photograph is held, for a disk may be gone since.
    pub(super) known_photos: Mutex<HashSet<PhotoHash>>,
    pub(super) writing: Writing,
    pub(super) shrinking: TaskMutex<()>,
    /// How late each piece of a body may be.
    pub idle: Duration,
    /// The largest hand-over file that is made.
    pub file_limit: u64,
}

impl Desk {
    /// Reads what the store holds.
    ///
    /// # Errors
    /// Where the store cannot be read.
    pub async fn open(store: Store) -> Result<Self, StoreError> {
        let run = IdMaker::default().make(now(), random()?);
        let index = Index::open(&store).await?;
        let desk = Self {
            access: Access::of(store.clone()),
            store,
            run,
            next_order: AtomicU64::new(0),
            shelves: Shelves::default(),
            index,
            arrivals: broadcast::channel(LAG).0,
            ending: watch::Sender::default(),
            known_photos: Mutex::default(),
            writing: Writing::default(),
            shrinking: TaskMutex::default(),
            idle: IDLE,
            file_limit: MADE_LIMIT,
        };
        let there = desk.store.under_jobs(None).await?;
        let stale = desk.index.stale(there.into_iter().filter_map(|object| match object {
            UnderJob::Bundle(job, _) => Some(job),
            UnderJob::Receipt(..) => None,
        }));
        if stale.len() > 1000 {
            eprintln!("desk: reading {} jobs that the list does not know yet", stale.len());
        }
        for job in stale {
            match desk.read_again(job).await {
                Ok(()) | Err(Refusal::NoSuchJob(_)) => {}
                Err(Refusal::Store(error)) => return Err(error),
                Err(other) => eprintln!("desk: job {job}: {other}"),
            }
        }
        Ok(desk)
    }

    /// Takes in a bundle that a phone has sent, by its id. The same bundle again gets the same receipt.
    ///
    /// Whoever calls this from a connection spawns it as a task: it is not to stop halfway when the phone hangs up.
    pub async fn take_bundle(
        &self,
        job: JobId,
        id: BundleId,
        body: Bytes,
        phone: Option<String>,
    ) -> Result<Taken<Receipt>, Refusal> {
        let bundle = read_bundle(job, id, body.clone()).await?;
        let mut held = self.in_hand(job).await?;
        if let Some(receipt) = held.shelf.receipt(id) {
            let receipt = receipt.clone();
            self.expect_same(job, &bundle, &body).await?;
            return Ok(Taken::Known(receipt));
        }
        let mut grown = held.shelf.with(&bundle)?;
        if self.store.put_bundle(job, id, body.clone()).await? == Put::Existed {
            // Kept just now by another desk.
            self.expect_same(job, &bundle, &body).await?;
        }
        let kept = self.answer(&bundle, phone).await?;
        let first = kept.desk == self.run;
        let receipt = kept.receipt.clone();
        grown.acknowledge(kept);
        held.damaged.remove(&id);
        held.shelf = Arc::new(grown);
        self.index.put(line_of(job, &held).await?);
        drop(held);
        if !first {
            return Ok(Taken::Known(receipt));
        }
        // Nobody may listen.
        let _ = self.arrivals.send(job);
        Ok(Taken::New(receipt))
    }

    /// Answers to a bundle that is kept: calls out that the job grows, then keeps the receipt.
    pub(super) async fn answer(&self, bundle: &Bundle, phone: Option<String>) -> Result<KeptReceipt, StoreError> {
        let job = bundle.job.id;
        let missing = self.missing(bundle.photos.iter().map(|listed| listed.photo.sha256.clone()).collect()).await?;
        let made = now();
        let id = IdMaker::default().make(made, random()?);
        let called = Path::from(format!("{}/{id}_{job}_{}", arrivals_of(made), self.run));
        self.store.create(&called, Bytes::new()).await?;
        // Never used twice, not even when keeping it fails: a number that was seen stands for one answer.
        let order = self.next_order.fetch_add(1, Ordering::Relaxed);
        let receipt = receipt_for(bundle, missing);
        self.store.put_receipt(KeptReceipt { desk: self.run, order, phone, receipt }).await
    }

    /// Refuses a body that is not the kept bundle. However it is spelt, in whichever order its events stand, and with
    /// or without its photographs, it is the same: the digest has told already that each event is as it was.
    async fn expect_same(&self, job: JobId, bundle: &Bundle, body: &Bytes) -> Result<(), Refusal> {
        let id = bundle.bundle_id;
        let kept = self.store.bundle(job, id).await?;
        if kept == *body || read_bundle(job, id, kept).await? == *bundle {
            Ok(())
        } else {
            Err(Refusal::ReusedBundle(id))
        }
    }

    /// What is held of a job now.
    pub async fn shelf(&self, job: JobId) -> Result<Arc<Shelf>, Refusal> {
        let held = self.in_hand(job).await?;
        // Read here before, as a rule.
        let bundles = held.shelf.bundles() + held.damaged.len();
        if bundles > 0 && self.index.bundles(job) != bundles {
            self.index.put(line_of(job, &held).await?);
        }
        let shelf = held.shelf.clone();
        if shelf.is_known() { Ok(shelf) } else { Err(Refusal::NoSuchJob(job)) }
    }

    /// Brings the list up to what the store holds of a job.
    async fn read_again(&self, job: JobId) -> Result<(), Refusal> {
        self.shelf(job).await.map(drop)
    }

    /// Follows what other desks take in and writes the list down now and then, for as long as the desk lives.
    pub async fn keep_up(self: Arc<Self>) {
        let mut heard = HashSet::new();
        let mut written = tokio::time::Instant::now();
        let mut tidied = None::<tokio::time::Instant>;
        loop {
            tokio::time::sleep(LOOK_ROUND).await;
            if tidied.is_none_or(|at| at.elapsed() > TIDY_EACH) {
                tidied = Some(tokio::time::Instant::now());
                // Beside it: the first time there may be much.
                let desk = Arc::clone(&self);
                tokio::spawn(async move {
                    if let Err(error) = desk.store.let_pass(now()).await {
                        eprintln!("desk: what has lost its use stays in the store until tomorrow: {error}");
                    }
                });
            }
            if let Err(error) = self.hear_others(&mut heard).await {
                eprintln!("desk: what other desks took in is not known: {error}");
            }
            if written.elapsed() > WRITE_DOWN {
                written = tokio::time::Instant::now();
                self.write_down().await;
            }
        }
    }

    /// Takes note of what other desks have taken in since the last call.
    pub async fn hear_others(&self, heard: &mut HashSet<Path>) -> Result<(), StoreError> {
        let today = now();
        let mut there = HashSet::new();
        for day in [today - chrono::TimeDelta::days(1), today] {
            there.extend(self.store.list(&Path::from(arrivals_of(day))).await?);
        }
        heard.retain(|path| there.contains(path));
        for path in there {
            if heard.contains(&path) {
                continue;
            }
            let name = path.filename().unwrap_or_default();
            let mut parts = name.split('_').skip(1);
            let job = parts.next().and_then(|job| job.parse::<JobId>().ok());
            let ours = parts.next() == Some(self.run.to_string().as_str());
            if let Some(job) = job.filter(|_| !ours) {
                let before = self.index.bundles(job);
                match self.read_again(job).await {
                    Ok(()) if self.index.bundles(job) > before => drop(self.arrivals.send(job)),
                    Ok(()) => {}
                    // It was called out, and its receipt is not there yet: next time.
                    Err(Refusal::NoSuchJob(_)) => continue,
                    Err(other) => {
                        eprintln!("desk: job {job}: {other}");
                        continue;
                    }
                }
            }
            heard.insert(path);
        }
        Ok(())
    }

    /// Writes down what the list shows, for the next start.
    pub async fn write_down(&self) {
        if let Err(error) = self.index.write_down(&self.store).await {
            eprintln!("desk: the list could not be written down, so the next start reads the jobs anew: {error}");
        }
    }

    /// Hears of every job that grows, from now on.
    pub fn listen(&self) -> broadcast::Receiver<JobId> {
        self.arrivals.subscribe()
    }

    /// Whoever waits for something is to go.
    pub fn end(&self) {
        self.ending.send_replace(true);
    }

    /// Comes true when the desk ends.
    pub fn ended(&self) -> impl Future<Output = ()> + Send + use<> {
        let mut ending = self.ending.subscribe();
        async move {
            // The desk gone is as good as ended.
            drop(ending.wait_for(|ending| *ending).await);
        }
    }

    /// The list of jobs.
    pub fn index(&self) -> &Index {
        &self.index
    }

    /// Who may come in.
    pub fn access(&self) -> &Access {
        &self.access
    }

    /// The objects.
    pub fn store(&self) -> &Store {
        &self.store
    }
}

/// Off the async threads, and apart: a job that cannot be folded must not take the desk with it.
async fn line_of(job: JobId, held: &Held) -> Result<Line, Refusal> {
    let (shelf, damaged) = (held.shelf.clone(), held.damaged.clone());
    Ok(tokio::task::spawn_blocking(move || Line::of(job, &shelf, &damaged)).await?)
}

fn arrivals_of(day: DateTime<Utc>) -> String {
    format!("arrivals/{}", day.format("%Y-%m-%d"))
}

/// A whole bundle of the job and id that the address names, or why not. Off the async threads: it may be large.
pub(super) async fn read_bundle(job: JobId, id: BundleId, body: Bytes) -> Result<Bundle, Refusal> {
    let bundle =
        tokio::task::spawn_blocking(move || read::open(&body, BUNDLE_LIMIT).map(|opened| opened.bundle)).await??;
    if bundle.job.id != job {
        return Err(Refusal::OtherJob { address: job, body: bundle.job.id });
    }
    if bundle.bundle_id != id {
        return Err(Refusal::OtherBundle { address: id, body: bundle.bundle_id });
    }
    Ok(bundle)
}
