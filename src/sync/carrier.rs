//! The courier's end in the worker: what the page says to it, and what it tells the page.
//!
//! The page says `{courier: "start" | "nudge" | "wake" | "follow", heard?, job?}`: `heard` counts its nudges, `job` is the
//! job of a nudge, or the one on screen. It is told `{status, heard}`, the status being [`OutboxStatus`] as an object and
//! `heard` the last nudge that it knows of; and, in browsers where tabs do not hear of each other, `{changed: job}`.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::time::Duration;

use chrono::TimeDelta;
use gloo_timers::future::TimeoutFuture;
use js_sys::Object;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::spawn_local;
use web_sys::DedicatedWorkerGlobalScope;

use super::bell::millis;
use super::decide::backoff;
use super::follow::{Followed, Follower};
use super::outbox::Outbox;
use super::status::OutboxStatus;
use crate::device::{field, now, object, random};
use crate::ids::{DeviceId, IdMaker, JobId};
use crate::store::{IdbStore, Store, StoreError};

/// Between two tries to open the store.
const STORE_WAIT: Duration = Duration::from_secs(5);

/// What runs in this worker.
struct Carrier {
    scope: DedicatedWorkerGlobalScope,
    /// Once the store is open.
    outbox: RefCell<Option<Rc<Outbox>>>,
    followed: Rc<Followed>,
    heard: Cell<f64>,
}

thread_local! {
    static RUNNING: RefCell<Option<Rc<Carrier>>> = const { RefCell::new(None) };
}

/// Takes what the page says.
pub(crate) fn hear(scope: &DedicatedWorkerGlobalScope, message: &JsValue) {
    let said = field(message, "courier").as_string().unwrap_or_default();
    let job: Option<JobId> = field(message, "job").as_string().and_then(|job| job.parse().ok());
    let running = RUNNING.with_borrow(Option::clone);
    let carrier = running.unwrap_or_else(|| {
        let carrier = Rc::new(Carrier {
            scope: scope.clone(),
            outbox: RefCell::new(None),
            followed: Rc::default(),
            heard: Cell::new(0.0),
        });
        RUNNING.set(Some(Rc::clone(&carrier)));
        spawn_local(Rc::clone(&carrier).start());
        carrier
    });
    if let Some(heard) = field(message, "heard").as_f64() {
        carrier.heard.set(heard);
    }
    // Until the store is open there is no outbox; its first round looks at everything.
    let outbox = carrier.outbox.borrow().clone();
    match said.as_str() {
        "nudge" => {
            if let Some(outbox) = outbox {
                outbox.nudge(job);
            }
        }
        "wake" => {
            if let Some(outbox) = outbox {
                outbox.wake();
            }
            carrier.followed.wake();
        }
        "start" | "follow" => carrier.followed.set(job),
        _ => {}
    }
}

impl Carrier {
    async fn start(self: Rc<Self>) {
        let mut failures = 0;
        let (store, device) = loop {
            match open().await {
                Ok(opened) => break opened,
                Err(error) => {
                    let wait = backoff(failures, js_sys::Math::random(), Some(STORE_WAIT));
                    failures = failures.saturating_add(1);
                    let until = now() + TimeDelta::from_std(wait).unwrap_or_default();
                    self.tell_status(&OutboxStatus::Waiting { until, why: format!("{error}.") });
                    TimeoutFuture::new(millis(wait)).await;
                }
            }
        };
        let telling = Rc::clone(&self);
        let outbox = Outbox::start(Rc::clone(&store), device, move |status| {
            telling.tell_status(&status);
            if status == OutboxStatus::UpToDate {
                // The desk may have had nothing of the job on screen until now.
                telling.followed.wake();
            }
        });
        let outbox = Rc::new(outbox);
        self.outbox.replace(Some(Rc::clone(&outbox)));
        let followed = Rc::clone(&self.followed);
        let heard_anyway = store.hears_others();
        let on_change = Box::new(move |job: JobId| {
            if !heard_anyway {
                self.tell(&object([("changed", job.to_string().into())]));
            }
        });
        Follower { store, followed, outbox, on_change }.run().await;
    }

    fn tell_status(&self, status: &OutboxStatus) {
        self.tell(&object([("status", status.to_object().into()), ("heard", self.heard.get().into())]));
    }

    fn tell(&self, message: &Object) {
        // Refused only for what cannot be sent, which plain fields are not.
        let _ = self.scope.post_message(message);
    }
}

async fn open() -> Result<(Rc<IdbStore>, DeviceId), StoreError> {
    let store = IdbStore::open().await?;
    // The page has made it before; this only reads it.
    let device = store.device(DeviceId(IdMaker::default().make(now(), random()))).await?;
    Ok((Rc::new(store), device))
}
