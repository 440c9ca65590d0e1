//! Which job is on screen, and how does it come there?

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use super::{House, Open, WordKind};
use crate::app::words;
use crate::device;
use crate::ids::{JobId, PhotoHash};
use crate::job::event::Event;
use crate::job::log::Log;
use crate::job::session::{Folded, Session};
use crate::store::{IdbStore, Store};

impl House {
    /// Puts a job on screen, unless it is there already.
    pub fn show(self, job: JobId) {
        let there = match &*self.open.peek() {
            Open::Here(session) => session.job.id == job,
            Open::Reading(reading) => *reading == job,
            Open::Starting | Open::Nothing | Open::Unread(..) | Open::Failed(_) => false,
        };
        let Some(store) = self.store() else { return };
        if there {
            return;
        }
        let mut open = self.open;
        open.set(Open::Reading(job));
        let changes = *self.jobs_changed.peek();
        spawn_forever(async move {
            let read = read_session(&store, job).await;
            self.look_for_originals(&store).await;
            if !matches!(&*open.peek(), Open::Reading(reading) if *reading == job) {
                return;
            }
            match read {
                Ok(session) => {
                    self.sort_behind(&session.log);
                    open.set(Open::Here(Box::new(session)));
                    // Something came while it was read.
                    if *self.jobs_changed.peek() != changes {
                        self.reread(job);
                    }
                }
                Err(error) => open.set(Open::Unread(job, words::sentence(&error))),
            }
        });
    }

    fn sort_behind(self, log: &Log) {
        if let Some(last) = log.events().next_back() {
            self.ids.borrow_mut().after(last.id.0);
        }
    }

    /// Another tab, or the desk, has added to a job: takes in what is new.
    pub(super) fn reread(self, job: JobId) {
        let here = matches!(&*self.open.peek(), Open::Here(session) if session.job.id == job);
        let mut changed = self.jobs_changed;
        changed += 1;
        let Some(store) = self.store().filter(|_| here) else { return };
        spawn_forever(async move {
            match store.log(job).await {
                Ok(events) => {
                    self.look_for_originals(&store).await;
                    self.fold(job, events);
                }
                Err(error) => self.say(WordKind::Trouble, error.to_string()),
            }
        });
    }

    /// Looks which photographs are on this phone. Where that cannot be read, it stays as it was known.
    async fn look_for_originals(self, store: &IdbStore) {
        if let Ok(here) = store.originals().await {
            let mut originals = self.originals;
            originals.set(here);
        }
    }

    /// Whether a photograph or a recording is on this phone itself.
    pub fn has_original(self, hash: &PhotoHash) -> bool {
        self.originals.read().has(&hash.as_str().into())
    }

    /// Shows events that were kept.
    pub(super) fn fold(self, job: JobId, events: Vec<Event>) {
        let mut open = self.open;
        let refused = match &mut *open.write() {
            Open::Here(session) if session.job.id == job => session.take(events).err(),
            _ => None,
        };
        if let Open::Here(session) = &*open.peek() {
            self.sort_behind(&session.log);
        }
        if matches!(&*open.peek(), Open::Unread(unread, _) if *unread == job) {
            // It was not on this phone, and is now.
            self.show(job);
        }
        if let Some(error) = refused {
            self.say(WordKind::Trouble, error.to_string());
        }
    }

    /// The job on screen: to be asked at the tap, before anything is waited for.
    pub fn job_here(self) -> Option<JobId> {
        self.open.peek().session().map(|session| session.job.id)
    }
}

async fn read_session(store: &IdbStore, job: JobId) -> Result<Session, String> {
    let events = store.log(job).await.map_err(|error| error.to_string())?;
    if events.is_empty() {
        return Err(
            "This job is not on this phone. Open its hand-over file here, or go to the list of jobs.".to_owned()
        );
    }
    let mut log = Log::default();
    log.union(events).map_err(|error| error.to_string())?;
    Ok(opened(job, log).await)
}

/// A job in parts, between which the page answers.
pub async fn opened(job: JobId, log: Log) -> Session {
    let folded = Folded::of(job, log);
    device::breathe().await;
    let listed = folded.list();
    device::breathe().await;
    listed.plan()
}
