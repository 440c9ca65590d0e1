//! What do all screens share? The store, the open job, the courier to the desk, and the one way that an act goes:
//! screen → act → may it be? → event → kept → folded → shown.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use futures_channel::oneshot;
use gloo_timers::future::TimeoutFuture;
use js_sys::ArrayBuffer;

use crate::app::address;
use crate::app::here;
use crate::app::learned;
use crate::app::parts::Aim;
use crate::app::settings::{self, Settings};
use crate::app::words;
use crate::app::work::{Busy, Work};
use crate::device;
use crate::device::courier::Courier;
use crate::ids::{DeviceId, EventId, IdMaker, JobId, PhotoHash};
use crate::job::event::{Act, Event};
use crate::job::held::Held;
use crate::job::log::Log;
use crate::job::session::Session;
use crate::job::state::Job;
use crate::job::whole::changing;
use crate::shelf::{Brought, Shelf};
use crate::store::{IdbStore, NewPhoto, Store, StoreError};
use crate::sync::status::OutboxStatus;

/// The shared things. Copied freely: it only holds handles.
#[derive(Clone, Copy)]
pub struct House {
    inner: CopyValue<Rc<Inner>>,
    /// The job on screen.
    pub open: Signal<Open>,
    /// Photographs and recordings that are on this phone themselves: of others there are at most small ones.
    pub originals: Signal<BTreeSet<PhotoHash>>,
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
}

struct Inner {
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
    begun: RefCell<Begun>,
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
/// By when what has changed is on the screen, as a rule: two pictures of a screen that shows 60 a second, ms.
const PAINTED: u32 = 34;

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
        let house = Self {
            inner: use_hook(|| {
                CopyValue::new(Rc::new(Inner {
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
                }))
            }),
            open: use_signal(|| Open::Starting),
            originals: use_signal(BTreeSet::new),
            outbox: use_signal(|| OutboxStatus::NoDesk),
            done: use_signal(|| None),
            trouble: use_signal(Vec::new),
            busy: use_signal(Vec::new),
            newer: use_signal(|| false),
            held: use_signal(settings::held),
            aim: use_signal(|| None),
            settings: use_signal(Settings::load),
            code: use_signal(|| address::take_code().unwrap_or_default()),
            pairings: use_signal(|| 0),
            by_icon: use_signal(here::by_icon),
            jobs_changed: use_signal(|| 0),
            shelf_changed: use_signal(|| 0),
        };
        use_context_provider(|| house)
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
        let mut maker = IdMaker::default();
        let candidate = DeviceId(maker.make(device::now(), device::random()));
        let device_id = store.device(candidate).await?;
        let inner = self.inner.peek().clone();
        inner.device.set(Some(device_id));
        let status = self.outbox;
        let show = move |now| {
            let mut status = status;
            status.set(now);
        };
        // Where that cannot be read, the courier finds out.
        let seen = store.desk_seen().await.unwrap_or_default();
        let courier = Courier::start(seen, show, move |job| self.reread(job));
        courier.follow(inner.followed.get());
        *inner.courier.borrow_mut() = Some(courier);
        store.on_change(move |job| self.reread(job));
        store.on_shelf_change(move || self.shelf_has_changed());
        *inner.store.borrow_mut() = Some(store);
        let mut open = self.open;
        open.set(Open::Nothing);
        Ok(())
    }

    /// The store, once it is open.
    pub fn store(self) -> Option<Rc<IdbStore>> {
        self.inner.peek().store.borrow().clone()
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
        self.inner.peek().device.get()
    }

    /// A fresh id that sorts behind all that this device has seen.
    pub fn id(self) -> uuid::Uuid {
        self.inner.peek().ids.borrow_mut().make(device::now(), device::random())
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
        let works = &self.inner.peek().works;
        works.set(works.get() + 1);
        Work::begin(self, works.get(), words.into())
    }

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
            self.inner.peek().ids.borrow_mut().after(last.id.0);
        }
    }

    /// Another tab, or the desk, has added to a job: takes in what is new.
    fn reread(self, job: JobId) {
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

    /// Shows events that were kept.
    fn fold(self, job: JobId, events: Vec<Event>) {
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

    /// Holds a walk to so many minutes, or to what can be reached; or lets it go.
    pub fn hold(self, to: Option<Held>) {
        settings::hold(to.as_ref());
        // The choice stands far below what it changes.
        let told = if to.is_some() { "The walk is held to that for now." } else { "The whole walk is shown again." };
        self.say(WordKind::Done, told);
        let mut held = self.held;
        held.set(to);
    }

    /// An act of the open job: kept, then shown.
    pub fn act(self, act: Act) {
        self.change(|_| vec![act]);
    }

    /// Acts of the open job that go on from what it is now, what is still being kept included: all or none are done.
    pub fn change(self, acts: impl FnOnce(&Job) -> Vec<Act>) {
        let inner = self.inner.peek().clone();
        let now = match &*self.open.peek() {
            Open::Here(session) => {
                let keeping = inner.keeping.borrow();
                session.ahead(keeping.iter().filter(|(job, _)| *job == session.job.id).map(|(_, event)| event))
            }
            _ => return drop(self.begin()),
        };
        let acts = acts(&now);
        match acts.iter().try_for_each(|act| crate::job::may(&now, act)) {
            Ok(()) if acts.is_empty() => {}
            Ok(()) => {
                let events = self.events(&acts);
                let over = events.map(|events| events.into_iter().map(|event| changing(&now, event)).collect());
                self.put(now.id, over, Vec::new());
            }
            Err(refusal) => {
                if let Some(begun) = self.begin() {
                    // Whoever asked may be gone.
                    let _ = begun.send(Became::Refused);
                }
                self.say(WordKind::Trouble, refusal.to_string());
            }
        }
    }

    /// Does what acts; tells what becomes of it.
    pub fn keeping(self, acts: impl FnOnce()) -> Keeping {
        let outer = self.begun(Some(Vec::new()));
        acts();
        Keeping(self.begun(outer).unwrap_or_default())
    }

    fn begun(self, begun: Begun) -> Begun {
        self.inner.peek().begun.replace(begun)
    }

    /// Does what acts, and says so once it is kept; where nothing was to be done, nothing is said.
    pub fn saying(self, told: impl Into<String>, acts: impl FnOnce()) {
        self.say_once(self.keeping(acts), told.into());
    }

    fn say_once(self, keeping: Keeping, told: String) {
        if keeping.0.is_empty() {
            return;
        }
        spawn_forever(async move {
            if keeping.all_kept().await {
                self.say(WordKind::Done, told);
            }
        });
    }

    /// To be told once an act is kept; dropped before, it was not.
    fn begin(self) -> Option<Teller> {
        let inner = self.inner.peek();
        let mut begun = inner.begun.borrow_mut();
        let (tell, told) = oneshot::channel();
        begun.as_mut()?.push(told);
        Some(tell)
    }

    /// Acts of any job, with the photographs that belong to them, all or none.
    pub fn act_in(self, job: JobId, acts: Vec<Act>, photos: Vec<NewPhoto<ArrayBuffer>>) {
        self.put(job, self.events(&acts), photos);
    }

    fn put(self, job: JobId, events: Option<Vec<Event>>, photos: Vec<NewPhoto<ArrayBuffer>>) {
        let begun = self.begin();
        let keeping = events.map(|events| self.keep(job, events, photos));
        // Not bound to the screen: an act goes on being kept when the user has already left.
        spawn_forever(async move {
            let kept = match keeping {
                Some(keeping) => keeping.await,
                None => Err(StoreError::NotOpen),
            };
            match kept {
                Ok(()) => {
                    if let Some(begun) = begun {
                        // Whoever asked may be gone.
                        let _ = begun.send(Became::Kept);
                    }
                    // What was tapped is painted first: a slow phone takes 10 ms to be told to shake.
                    TimeoutFuture::new(PAINTED).await;
                    device::tick();
                }
                Err(error) => self.say(WordKind::Trouble, format!("This was not kept: {error}")),
            }
        });
    }

    /// Acts as events of this device, made now. `None` until it is known which device this is.
    pub(super) fn events(self, acts: &[Act]) -> Option<Vec<Event>> {
        let device_id = self.device()?;
        Some(acts.iter().map(|act| Event::new(EventId(self.id()), device::now(), device_id, act)).collect())
    }

    /// Keeps events and photographs, then shows them. Done once the browser says that they are durable; what is done
    /// meanwhile already goes on from them.
    ///
    /// # Errors
    /// As the store says; nothing was kept then.
    pub fn keep(
        self,
        job: JobId,
        events: Vec<Event>,
        photos: Vec<NewPhoto<ArrayBuffer>>,
    ) -> impl Future<Output = Result<(), StoreError>> {
        let inner = self.inner.peek().clone();
        inner.keeping.borrow_mut().extend(events.iter().map(|event| (job, event.clone())));
        let hashes: Vec<PhotoHash> = photos.iter().map(|photo| photo.photo_hash.clone()).collect();
        async move {
            let kept = match self.opened().await {
                Ok(store) => store.keep(job, &events, photos).await,
                Err(error) => Err(error),
            };
            inner.keeping.borrow_mut().retain(|(_, keeping)| !events.iter().any(|event| event.id == keeping.id));
            kept?;
            if !hashes.is_empty() {
                let mut originals = self.originals;
                originals.write().extend(hashes);
            }
            self.fold(job, events);
            let mut changed = self.jobs_changed;
            changed += 1;
            self.nudge(Some(job));
            Ok(())
        }
    }

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
        if open.peek().of(job).is_some() {
            open.set(Open::Nothing);
        }
        let mut changed = self.jobs_changed;
        changed += 1;
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

    fn shelf_has_changed(self) {
        let mut changed = self.shelf_changed;
        changed += 1;
    }

    /// Something was kept, of that job; or the user wants everything sent.
    pub fn nudge(self, job: Option<JobId>) {
        if let Some(courier) = &*self.inner.peek().courier.borrow() {
            courier.nudge(job);
        }
    }

    /// The phone was paired with the desk, or is not any more.
    pub fn pairing_changed(self) {
        let mut pairings = self.pairings;
        pairings += 1;
        if let Some(courier) = &*self.inner.peek().courier.borrow() {
            courier.wake();
        }
    }

    /// Which job's screens are open: what others add to it is fetched.
    pub fn follow(self, job: Option<JobId>) {
        let inner = self.inner.peek();
        inner.followed.set(job);
        if let Some(courier) = &*inner.courier.borrow() {
            courier.follow(job);
        }
    }

    fn follow_no_more(self, job: JobId) {
        if self.inner.peek().followed.get() == Some(job) {
            self.follow(None);
        }
    }

    /// Gets a photograph's small ones from the desk. `false`: they did not come, or were asked for before.
    pub async fn bring_small(self, hash: &PhotoHash) -> bool {
        let inner = self.inner.peek().clone();
        if inner.asked_for.borrow().contains(hash) {
            return false;
        }
        inner.asked_for.borrow_mut().push(hash.clone());
        let came = device::desk::small_photo(hash).await.is_ok();
        if !came {
            // To be asked for again, when the desk is in touch again.
            inner.asked_for.borrow_mut().retain(|asked| asked != hash);
        }
        came
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
        let inner = self.inner.peek().clone();
        inner.ending.set(true);
        spawn_forever(async move {
            while !inner.keeping.borrow().is_empty() || !self.busy.peek().is_empty() {
                TimeoutFuture::new(50).await;
            }
            inner.ending.set(false);
            device::service_worker::take();
        });
    }

    /// Whether a newer version is about to be taken: what goes on until someone stops it, as a recording does, stops then.
    pub fn is_ending(self) -> bool {
        self.inner.peek().ending.get()
    }
}

/// Who is told what became of an act.
type Teller = oneshot::Sender<Became>;

/// What is to be told of the acts that are being begun, where someone asked.
type Begun = Option<Vec<oneshot::Receiver<Became>>>;

/// Acts on their way into the store.
#[must_use = "nothing is known of it before it is waited for"]
pub struct Keeping(Vec<oneshot::Receiver<Became>>);

/// What became of acts. Where they are not kept the user was told why.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Became {
    /// All are kept, or there was none.
    Kept,
    /// One makes no sense: it will not later either.
    Refused,
    /// One could not be kept: later it may.
    NotKept,
}

impl Keeping {
    /// Once it is known of all.
    pub async fn end(self) -> Became {
        for one in self.0 {
            match one.await {
                Ok(Became::Kept) => {}
                Ok(other) => return other,
                Err(_) => return Became::NotKept,
            }
        }
        Became::Kept
    }

    /// `true` once all of it is kept; `false` where some of it was refused or could not be kept, which the user is told.
    pub async fn all_kept(self) -> bool {
        self.end().await == Became::Kept
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
    Ok(Session::open(job, log))
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
