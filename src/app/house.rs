//! What do all screens share? The store, the open job, the courier to the desk, and the one way that an act goes:
//! screen → act → may it be? → event → kept → folded → shown.

use std::cell::{Cell, RefCell};
use std::ops::Deref;
use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use gloo_timers::future::TimeoutFuture;
use js_sys::Set;

use crate::app::address;
use crate::app::here;
use crate::app::learned;
use crate::app::parts::Aim;
use crate::app::settings::{self, Settings};
use crate::app::small;
use crate::app::words;
use crate::app::work::{Busy, Work};
use crate::device;
use crate::device::courier::Courier;
use crate::ids::{DeviceId, IdMaker, JobId, PhotoHash};
use crate::job::event::{Act, Event};
use crate::job::held::Held;
use crate::job::session::Session;
use crate::store::{IdbStore, Store, StoreError};
use crate::sync::status::OutboxStatus;

mod at_desk;
mod keep;
mod shown;

pub use keep::{Became, Keeping};
pub use shown::opened;

/// The shared things, as any screen holds them: copied freely, for it is only where they are.
#[derive(Clone, Copy)]
pub struct House(&'static Shared);

impl Deref for House {
    type Target = Shared;

    fn deref(&self) -> &Shared {
        self.0
    }
}

/// The shared things.
pub struct Shared {
    /// The job on screen.
    pub open: Signal<Open>,
    /// Photographs and recordings that are on this phone themselves: of others there are at most small ones.
    originals: Signal<Set>,
    /// What is unfolded on which screen, for the way back.
    pub unfolded: Signal<Set>,
    /// What the desk has.
    pub outbox: Signal<OutboxStatus>,
    /// What went well a moment ago. It goes by itself.
    pub done: Signal<Option<String>>,
    /// What went wrong, a line each. It stays until it was read.
    pub trouble: Signal<Vec<String>>,
    /// Photographs and files that are being worked on.
    pub busy: Signal<Vec<Busy>>,
    /// A newer version of the app lies ready.
    pub newer: Signal<bool>,
    /// What the walk is held to for now.
    pub held: Signal<Option<Held>>,
    /// What the camera is pointed at, while it is open in the app.
    pub aim: Signal<Option<Aim>>,
    /// The settings of this device.
    pub settings: Signal<Settings>,
    /// The code to pair with, if the app was opened with one in its address.
    pub code: Signal<String>,
    /// Counts pairings, made and given up.
    pub pairings: Signal<u32>,
    /// The app was opened by its icon, and has not gone on yet where it was.
    pub by_icon: Signal<bool>,
    /// Counts changes of the list of jobs.
    pub jobs_changed: Signal<u32>,
    /// Counts changes of the shelf.
    pub shelf_changed: Signal<u32>,
    store: RefCell<Option<Rc<IdbStore>>>,
    device: Cell<Option<DeviceId>>,
    ids: RefCell<IdMaker>,
    courier: RefCell<Option<Courier>>,
    /// The job whose screens are open, for the courier to follow.
    followed: Cell<Option<JobId>>,
    /// Photographs whose small ones the desk is asked for, or has given.
    asked_for: RefCell<Vec<PhotoHash>>,
    /// Events on their way into the store.
    keeping: RefCell<Vec<(JobId, Event)>>,
    /// What the acts of [`House::keeping`] come to, while it is called.
    begun: RefCell<keep::Begun>,
    works: Cell<u32>,
    /// A newer version is about to be taken.
    ending: Cell<bool>,
}

/// The job on screen.
pub enum Open {
    /// The store is not open yet.
    Starting,
    /// None.
    Nothing,
    /// It is being read.
    Reading(JobId),
    /// Here it is.
    Here(Box<Session>),
    /// This job cannot be read, and why; another one perhaps can.
    Unread(JobId, String),
    /// The store cannot be opened, and why: nothing can be read or kept.
    Failed(String),
}

/// How long a confirmation stays, ms.
const SAID: u32 = 5_000;

/// How urgent something is that is told to the user.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WordKind {
    /// It worked.
    Done,
    /// It did not.
    Trouble,
}

impl House {
    /// Makes the house and gives it to all screens below.
    pub fn provide() -> Self {
        let shared = || Shared {
            open: Signal::new(Open::Starting),
            originals: Signal::new(Set::default()),
            unfolded: Signal::new(Set::default()),
            outbox: Signal::new(OutboxStatus::NoDesk),
            done: Signal::new(None),
            trouble: Signal::new(Vec::new()),
            busy: Signal::new(Vec::new()),
            newer: Signal::new(false),
            held: Signal::new(settings::held()),
            aim: Signal::new(None),
            settings: Signal::new(Settings::load()),
            code: Signal::new(address::take_code().unwrap_or_default()),
            pairings: Signal::new(0),
            by_icon: Signal::new(here::by_icon()),
            jobs_changed: Signal::new(0),
            shelf_changed: Signal::new(0),
            store: RefCell::new(None),
            device: Cell::new(None),
            ids: RefCell::new(IdMaker::default()),
            courier: RefCell::new(None),
            followed: Cell::new(None),
            asked_for: RefCell::default(),
            keeping: RefCell::default(),
            begun: RefCell::default(),
            works: Cell::new(0),
            ending: Cell::new(false),
        };
        // There is one as long as there is a page: what is never given back costs nothing to hold.
        use_context_provider(|| Self(Box::leak(Box::new(shared()))))
    }

    /// The house, from any screen.
    pub fn get() -> Self {
        use_context()
    }

    /// Opens the store, then starts the courier; registers the service worker.
    pub fn open_up(self) {
        self.settings.peek().apply();
        spawn_forever(async move {
            if let Err(error) = self.open_store().await {
                let mut open = self.open;
                open.set(Open::Failed(words::sentence(&error.to_string())));
            }
        });
        let mut newer = self.newer;
        spawn_forever(async move {
            device::service_worker::register().await;
        });
        device::service_worker::on_waiting(move || newer.set(true));
    }

    async fn open_store(self) -> Result<(), StoreError> {
        let store = Rc::new(IdbStore::open().await?);
        if small::restore(&store).await && self.code.peek().is_empty() {
            // Screens have read what was there before. A code to pair with would be gone with the page.
            address::load_again();
        }
        let mut maker = IdMaker::default();
        let candidate = DeviceId(maker.make(device::now(), device::random()));
        let device_id = store.device(candidate).await?;
        self.device.set(Some(device_id));
        let status = self.outbox;
        let show = move |now| {
            let mut status = status;
            status.set(now);
        };
        // Where that cannot be read, the courier finds out.
        let seen = store.desk_seen().await.unwrap_or_default();
        let courier = Courier::start(seen, show, move |job| self.reread(job));
        courier.follow(self.followed.get());
        *self.courier.borrow_mut() = Some(courier);
        store.on_change(move |job| self.reread(job));
        store.on_shelf_change(move || self.shelf_has_changed());
        *self.store.borrow_mut() = Some(store);
        let mut open = self.open;
        open.set(Open::Nothing);
        Ok(())
    }

    /// The store, once it is open.
    pub fn store(self) -> Option<Rc<IdbStore>> {
        self.store.borrow().clone()
    }

    /// The store, waited for: a tap in the app's first moments is not lost.
    pub async fn opened(self) -> Result<Rc<IdbStore>, StoreError> {
        while matches!(&*self.open.peek(), Open::Starting) {
            TimeoutFuture::new(20).await;
        }
        self.store().ok_or(StoreError::NotOpen)
    }

    /// This device.
    pub fn device(self) -> Option<DeviceId> {
        self.device.get()
    }

    /// A fresh id that sorts behind all that this device has seen.
    pub fn id(self) -> uuid::Uuid {
        self.ids.borrow_mut().make(device::now(), device::random())
    }

    /// Tells the user something.
    pub fn say(self, kind: WordKind, text: impl Into<String>) {
        let text = text.into();
        let (mut done, mut trouble) = (self.done, self.trouble);
        match kind {
            WordKind::Done => {
                done.set(Some(text.clone()));
                spawn_forever(async move {
                    TimeoutFuture::new(SAID).await;
                    if done.peek().as_ref() == Some(&text) {
                        done.set(None);
                    }
                });
            }
            // What went well since does not make unsaid what went wrong.
            WordKind::Trouble => {
                let text = words::sentence(&text);
                if !trouble.peek().contains(&text) {
                    trouble.push(text);
                }
            }
        }
    }

    /// Shows that something is being worked on, as long as what is given back lives. A newer version waits for it. Without
    /// words nothing is shown: for what shows itself.
    pub fn work(self, words: impl Into<String>) -> Work {
        let works = &self.works;
        works.set(works.get() + 1);
        Work::begin(self, works.get(), words.into())
    }

    /// Holds a walk to so many minutes, or to what can be reached; or lets it go.
    pub fn hold(self, to: Option<Held>) {
        settings::hold(to.as_ref());
        small::has_changed(self);
        // The choice stands far below what it changes.
        let told = if to.is_some() { "The walk is held to that for now." } else { "The whole walk is shown again." };
        self.say(WordKind::Done, told);
        let mut held = self.held;
        held.set(to);
    }

    /// Opens a new job; gives its id once it is kept.
    pub async fn new_job(self, practice: bool) -> Result<JobId, StoreError> {
        self.opened().await?;
        let job = JobId(self.id());
        let shop = learned::shop().filter(|_| !practice).unwrap_or_default();
        let mut acts = vec![Act::JobOpened { practice }];
        if shop.jobs > 0 {
            acts.push(Act::Shop(shop));
        }
        let events = self.events(&acts).ok_or(StoreError::NotOpen)?;
        self.keep(job, events, Vec::new()).await?;
        Ok(job)
    }

    /// Takes the newer version, once nothing is being kept any more.
    pub fn take_newer(self) {
        self.ending.set(true);
        spawn_forever(async move {
            while !self.keeping.borrow().is_empty() || !self.busy.peek().is_empty() {
                TimeoutFuture::new(50).await;
            }
            self.ending.set(false);
            device::service_worker::take();
        });
    }

    /// Whether a newer version is about to be taken: what goes on until someone stops it, as a recording does, stops then.
    pub fn is_ending(self) -> bool {
        self.ending.get()
    }
}

impl Open {
    /// The session on screen.
    pub fn session(&self) -> Option<&Session> {
        if let Self::Here(session) = self { Some(session) } else { None }
    }

    /// The session, if it is that job's.
    pub fn of(&self, job: JobId) -> Option<&Session> {
        match self {
            Self::Here(session) if session.job.id == job => Some(session),
            _ => None,
        }
    }
}
