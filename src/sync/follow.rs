//! What have others added to the job on screen? The desk is asked, and answers as soon as it has something new.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::time::Duration;

use web_sys::AbortController;

use super::bell::{Bell, Wake};
use super::bring::{kept, take_in};
use super::decide::backoff;
use super::desk::{Desk, Trouble};
use super::outbox::Outbox;
use crate::device::now;
use crate::ids::JobId;
use crate::store::{IdbStore, Store, StoreError};

/// How long the desk may hold a question, s.
const WAIT: u32 = 25;
/// A desk that answers "nothing" sooner than this does not wait, and is not asked again at once.
const AT_ONCE: Duration = Duration::from_secs(10);
/// While there is no job on screen, or no desk was ever here.
const IDLE: Duration = Duration::from_secs(10 * 60);
/// While the desk has nothing of the job yet, or does not wait.
const NOTHING_YET: Duration = Duration::from_secs(30);
/// While the desk does not know this phone, or refuses.
const REFUSED: Duration = Duration::from_secs(5 * 60);
/// A question that failed is never repeated faster.
const LEAST: Duration = Duration::from_secs(1);

/// Which job is followed; it can be said before the store is open.
#[derive(Default)]
pub(super) struct Followed {
    job: Cell<Option<JobId>>,
    bell: Rc<Bell>,
    asking: RefCell<Option<AbortController>>,
}

impl Followed {
    /// Follows a job in place of the one before.
    pub(super) fn set(&self, job: Option<JobId>) {
        if self.job.replace(job) != job {
            if let Some(asking) = self.asking.take() {
                asking.abort();
            }
            self.wake();
        }
    }

    /// The network is back, the page is in view, or the phone was paired.
    pub(super) fn wake(&self) {
        self.bell.ring(Wake::Now);
    }
}

/// Follows.
pub(super) struct Follower {
    pub store: Rc<IdbStore>,
    pub followed: Rc<Followed>,
    pub outbox: Rc<Outbox>,
    /// Hears of every job to which something came.
    pub on_change: Box<dyn Fn(JobId)>,
}

impl Follower {
    pub(super) async fn run(self) {
        let mut failures = 0;
        loop {
            let followed = self.followed.job.get();
            let pause = match followed {
                None => IDLE,
                Some(job) => match self.ask(job).await {
                    Ok(pause) => {
                        failures = 0;
                        pause
                    }
                    Err(Trouble::NoDesk) => NOTHING_YET,
                    Err(Trouble::Unpaired { .. } | Trouble::Refused { .. }) => REFUSED,
                    Err(Trouble::Later { retry_after, .. }) => {
                        let pause = backoff(failures, js_sys::Math::random(), retry_after).max(LEAST);
                        failures = failures.saturating_add(1);
                        pause
                    }
                },
            };
            // Another job does not wait for what befell this one.
            if self.followed.job.get() == followed && !pause.is_zero() {
                self.followed.bell.sleep(pause).await;
            }
        }
    }

    /// Asks once; gives how long to wait before the next time.
    async fn ask(&self, job: JobId) -> Result<Duration, Trouble> {
        if !self.store.desk_seen().await.map_err(kept)? {
            return Ok(NOTHING_YET);
        }
        let desk = Desk::of(&self.store).await.map_err(kept)?;
        let cursor = self.store.cursor(job).await.map_err(kept)?;
        if self.followed.job.get() != Some(job) {
            return Ok(Duration::ZERO);
        }
        let stop = AbortController::new().ok();
        self.followed.asking.replace(stop.clone());
        let asked_at = now();
        let answer = desk.events(job, cursor.as_deref(), WAIT, stop).await;
        self.followed.asking.replace(None);
        let Some(page) = answer? else {
            // The cursor is of a desk that was before this one: all over again.
            self.store.keep_cursor(job, None).await.map_err(kept)?;
            return Ok(if cursor.is_some() { Duration::ZERO } else { NOTHING_YET });
        };
        if !page.events.is_empty() {
            // A job that was taken off this phone meanwhile stays off.
            let here = self.store.log(job).await.map_err(kept)?.len();
            if here == 0 || self.followed.job.get() != Some(job) {
                return Ok(NOTHING_YET);
            }
            match take_in(&self.store, job, &page.events).await {
                Ok(true) => (self.on_change)(job),
                Ok(false) => {}
                Err(error @ StoreError::TwoBodies(_)) => {
                    self.outbox.refuse(job, here, format!("what it has contradicts what is on this phone: {error}"));
                    return Ok(REFUSED);
                }
                Err(error) => return Err(kept(error)),
            }
        }
        if cursor.as_ref() != Some(&page.next) {
            self.store.keep_cursor(job, Some(&page.next)).await.map_err(kept)?;
        }
        let took = (now() - asked_at).to_std().unwrap_or_default();
        Ok(if page.events.is_empty() && took < AT_ONCE { NOTHING_YET } else { Duration::ZERO })
    }
}
