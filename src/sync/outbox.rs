//! Carries out what is decided: sends when there is a network.
//!
//! One task for the life of the worker that it lives in. A round reads what is kept, [decides](super::decide) what is
//! still to be sent, and sends it; nothing counts as sent before the desk has said so and that was kept. Whatever cuts a
//! round off, the next one goes on where it stopped.
//!
//! - `task`: the rounds. `lock`: only one tab sends.

mod lock;
mod task;

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use wasm_bindgen_futures::spawn_local;

use self::task::Task;
use super::bell::{Bell, Wake};
use crate::ids::{DeviceId, JobId};
use crate::store::IdbStore;

pub use super::status::OutboxStatus;

/// What the desk refused, or what it has otherwise than this phone: how many events the job had then, and why.
type Refused = Rc<RefCell<BTreeMap<JobId, (usize, String)>>>;

/// Sends what is kept to the desk, as long as it lives.
pub struct Outbox {
    store: Rc<IdbStore>,
    bell: Rc<Bell>,
    face: Rc<Face>,
    refused: Refused,
}

impl Outbox {
    /// Starts sending. `on_status` hears of every change.
    pub fn start(store: Rc<IdbStore>, device: DeviceId, on_status: impl Fn(OutboxStatus) + 'static) -> Self {
        let bell = Rc::new(Bell::default());
        let face = Rc::new(Face { on_status: Box::new(on_status), shown: RefCell::new(None) });
        let refused = Refused::default();
        let task = Task::new(Rc::clone(&store), device, Rc::clone(&face), Rc::clone(&refused));
        spawn_local(task.run(Rc::clone(&bell)));
        Self { store, bell, face, refused }
    }

    /// Something was kept, of that job, or the user wants everything sent.
    pub fn nudge(&self, job: Option<JobId>) {
        if let Some(job) = job {
            self.store.note_changed(job);
        }
        // What was true a moment ago is not true any more.
        let settled = self.face.shown.borrow().as_ref().is_some_and(OutboxStatus::is_settled);
        if settled {
            self.face.show(OutboxStatus::Soon);
        }
        self.bell.ring(Wake::Soon);
    }

    /// The network is back, the page is in view, or the phone was paired.
    pub fn wake(&self) {
        self.bell.ring(Wake::Now);
    }

    /// The desk has something of that job otherwise than this phone, which has so many events of it: nothing more of it is
    /// sent until it changes.
    pub(super) fn refuse(&self, job: JobId, events: usize, why: String) {
        self.refused.borrow_mut().insert(job, (events, why));
        self.wake();
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
