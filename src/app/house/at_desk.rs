//! What of a job is at the desk, what follows it there, and how does it leave this phone?

use dioxus::prelude::*;

use super::{House, Open};
use crate::app::{address, small};
use crate::device;
use crate::ids::{JobId, PhotoHash};
use crate::shelf::{Brought, Shelf};
use crate::store::{Store, StoreError};

impl House {
    /// Takes a job off this phone, with its photographs: one for practice, or one that the desk has all of. What the desk has
    /// stays there. Whoever went on to another job meanwhile stays there.
    ///
    /// # Errors
    /// Why not, in words; all of it is still on this phone then.
    pub async fn forget(self, job: JobId, practice: bool) -> Result<(), String> {
        self.follow_no_more(job);
        if let Err(why) = device::desk::let_go(job, practice).await {
            if address::is_of(job) {
                self.follow(Some(job));
            }
            // The desk may lack some of it.
            self.nudge(Some(job));
            return Err(why.to_string());
        }
        // Another of its screens may have been opened meanwhile.
        self.follow_no_more(job);
        let mut open = self.open;
        let reads = matches!(&*open.peek(), Open::Reading(reading) if *reading == job);
        if reads || open.peek().of(job).is_some() {
            open.set(Open::Nothing);
        }
        let mut changed = self.jobs_changed;
        changed += 1;
        small::forget(self, job);
        Ok(())
    }

    /// Takes something in on the shelf, or off it; done once it is durable. Says what it has brought.
    ///
    /// # Errors
    /// As the store says; the shelf is as it was then.
    pub async fn keep_on_shelf(self, more: Shelf) -> Result<Brought, StoreError> {
        let store = self.opened().await?;
        let brought = store.shelf().await?.brings(&more);
        store.keep_on_shelf(&more).await?;
        self.shelf_has_changed();
        Ok(brought)
    }

    pub(super) fn shelf_has_changed(self) {
        let mut changed = self.shelf_changed;
        changed += 1;
    }

    /// Something was kept, of that job; or the user wants everything sent.
    pub fn nudge(self, job: Option<JobId>) {
        if let Some(courier) = &*self.courier.borrow() {
            courier.nudge(job);
        }
    }

    /// The phone was paired with the desk, or is not any more.
    pub fn pairing_changed(self) {
        let mut pairings = self.pairings;
        pairings += 1;
        if let Some(courier) = &*self.courier.borrow() {
            courier.wake();
        }
    }

    /// Which job's screens are open: what others add to it is fetched.
    pub fn follow(self, job: Option<JobId>) {
        self.followed.set(job);
        if let Some(courier) = &*self.courier.borrow() {
            courier.follow(job);
        }
    }

    fn follow_no_more(self, job: JobId) {
        if self.followed.get() == Some(job) {
            self.follow(None);
        }
    }

    /// Gets a photograph's small ones from the desk. `false`: they did not come, or were asked for before.
    pub async fn bring_small(self, hash: &PhotoHash) -> bool {
        if self.asked_for.borrow().contains(hash) {
            return false;
        }
        self.asked_for.borrow_mut().push(hash.clone());
        let came = device::desk::small_photo(hash).await.is_ok();
        if !came {
            // To be asked for again, when the desk is in touch again.
            self.asked_for.borrow_mut().retain(|asked| asked != hash);
        }
        came
    }
}
