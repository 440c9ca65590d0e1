//! How does what is kept get to the desk? By a worker of its own, which also hears what others add to the job on screen.
//!
//! This is the page's end: it starts the worker, and starts it again when it has ended or its program was not there yet.
//! What is said to it and what it tells: `sync::carrier`.

use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::time::Duration;

use chrono::TimeDelta;
use gloo_timers::callback::Timeout;
use js_sys::Object;
use wasm_bindgen::JsValue;
use wasm_bindgen::closure::Closure;
use web_sys::{MessageEvent, Worker};

use super::{field, now, object, on_online, on_visible, service_worker, worker};
use crate::ids::JobId;
use crate::sync::decide::backoff;
use crate::sync::status::OutboxStatus;

/// A worker that has ended is not started again sooner.
const LEAST_WAIT: Duration = Duration::from_secs(2);
/// How long a first visit waits for the service worker.
const FIRST_WAIT: Duration = Duration::from_secs(10);

/// Has what is kept carried to the desk, as long as the page lives.
#[derive(Clone)]
pub struct Courier(Rc<Inner>);

struct Inner {
    on_status: Box<dyn Fn(OutboxStatus)>,
    on_change: Box<dyn Fn(JobId)>,
    shown: RefCell<OutboxStatus>,
    worker: RefCell<Option<Worker>>,
    /// Rings when a worker that has ended is to be started again.
    again: RefCell<Option<Timeout>>,
    failures: Cell<u32>,
    /// How often it was nudged.
    nudges: Cell<u32>,
    followed: Cell<Option<JobId>>,
}

impl Courier {
    /// Starts. `on_status` hears of every change, `on_change` of jobs to which something came, where tabs do not hear of each
    /// other by themselves. `desk_seen`: there was a desk at this address before.
    pub fn start(
        desk_seen: bool,
        on_status: impl Fn(OutboxStatus) + 'static,
        on_change: impl Fn(JobId) + 'static,
    ) -> Self {
        let shown = OutboxStatus::NoDesk;
        let inner = Rc::new(Inner {
            on_status: Box::new(on_status),
            on_change: Box::new(on_change),
            shown: RefCell::new(shown),
            worker: RefCell::default(),
            again: RefCell::default(),
            failures: Cell::new(0),
            nudges: Cell::new(0),
            followed: Cell::new(None),
        });
        if desk_seen {
            // Until the worker has looked, nobody knows whether the desk has everything.
            inner.show(OutboxStatus::Soon);
        }
        let courier = Self(inner);
        let (online, visible) = (courier.clone(), courier.clone());
        for listener in [on_online(move || online.wake()), on_visible(move || visible.wake())].into_iter().flatten() {
            listener.for_good();
        }
        if service_worker::is_settled() {
            courier.0.launch();
        } else {
            // A first visit: the service worker is fetching the program anyway, and once is enough.
            let first = courier.clone();
            service_worker::on_charge(move || first.wake());
            courier.0.launch_in(FIRST_WAIT);
        }
        courier
    }

    /// Something was kept, of that job; or the user wants everything sent.
    pub fn nudge(&self, job: Option<JobId>) {
        let inner = &self.0;
        inner.nudges.set(inner.nudges.get() + 1);
        // What was true a moment ago is not true any more.
        let settled = inner.shown.borrow().is_settled();
        if settled {
            inner.show(OutboxStatus::Soon);
        }
        inner.post("nudge", job);
    }

    /// The network is back, the page is in view, or the phone was paired.
    pub fn wake(&self) {
        if self.0.worker.borrow().is_some() {
            self.0.post("wake", None);
        } else {
            self.0.again.take();
            self.0.launch();
        }
    }

    /// Which job is on screen: what others add to it is fetched.
    pub fn follow(&self, job: Option<JobId>) {
        if self.0.followed.replace(job) != job {
            self.0.post("follow", job);
        }
    }
}

impl Inner {
    fn launch(self: &Rc<Self>) {
        let (hearing, ending) = (Rc::clone(self), Rc::clone(self));
        let on_message = Closure::new(move |message: MessageEvent| hearing.hear(&message.data()));
        let started = worker::start(on_message, move |worker| {
            worker.terminate();
            let ours = ending.worker.borrow_mut().take_if(|running| running == worker).is_some();
            if ours {
                ending.start_again_later();
            }
        });
        match started {
            Ok(worker) => {
                self.worker.replace(Some(worker));
                self.post("start", self.followed.get());
            }
            Err(_) => self.start_again_later(),
        }
    }

    fn start_again_later(self: &Rc<Self>) {
        let wait = backoff(self.failures.get(), js_sys::Math::random(), Some(LEAST_WAIT));
        self.failures.set(self.failures.get().saturating_add(1));
        if *self.shown.borrow() != OutboxStatus::NoDesk {
            let until = now() + TimeDelta::from_std(wait).unwrap_or_default();
            let why = "the part of the program that sends has not been fetched yet, or has ended; it is started again \
                       by itself."
                .to_owned();
            self.show(OutboxStatus::Waiting { until, why });
        }
        self.launch_in(wait);
    }

    fn launch_in(self: &Rc<Self>, wait: Duration) {
        let starting = Rc::clone(self);
        let again = Timeout::new(wait.as_millis() as u32, move || {
            if starting.worker.borrow().is_none() {
                starting.launch();
            }
        });
        self.again.replace(Some(again));
    }

    fn hear(&self, told: &JsValue) {
        // It lives.
        self.failures.set(0);
        if let Some(status) = OutboxStatus::of_object(&field(told, "status")) {
            let heard_all = field(told, "heard").as_f64() == Some(self.nudges.get().into());
            // Said before it knew of what was kept since.
            self.show(if status.is_settled() && !heard_all { OutboxStatus::Soon } else { status });
        }
        if let Some(job) = field(told, "changed").as_string().and_then(|job| job.parse().ok()) {
            (self.on_change)(job);
        }
    }

    fn show(&self, status: OutboxStatus) {
        if *self.shown.borrow() != status {
            self.shown.replace(status.clone());
            (self.on_status)(status);
        }
    }

    fn post(&self, what: &str, job: Option<JobId>) {
        if let Some(worker) = &*self.worker.borrow() {
            let job = job.map(|job| job.to_string());
            let message: Object =
                object([("courier", what.into()), ("heard", self.nudges.get().into()), ("job", job.into())]);
            // Refused only for what cannot be sent, which plain fields are not.
            let _ = worker.post_message(&message);
        }
    }
}
