//! How is an act kept, and who is told what became of it?

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use futures_channel::oneshot;
use gloo_timers::future::TimeoutFuture;
use js_sys::ArrayBuffer;

use super::{House, WordKind};
use crate::device;
use crate::ids::{EventId, JobId, PhotoHash};
use crate::job::bring_back::TakenBack;
use crate::job::event::{Act, Event};
use crate::job::state::Job;
use crate::job::whole::changing;
use crate::store::{NewPhoto, Store, StoreError};

/// By when what has changed is on the screen, as a rule: two pictures of a screen that shows 60 a second, ms.
const PAINTED: u32 = 34;

impl House {
    /// An act of the open job: kept, then shown.
    pub fn act(self, act: Act) {
        self.change(|_| vec![act]);
    }

    /// Acts of the open job that go on from what it is now, what is still being kept included: all or none are done.
    pub fn change(self, acts: impl FnOnce(&Job) -> Vec<Act>) {
        let Some(now) = self.now() else { return drop(self.begin()) };
        self.go_on(&now, &acts(&now));
    }

    /// The open job, what is still being kept included.
    fn now(self) -> Option<Job> {
        let open = self.open.peek();
        let session = open.session()?;
        let keeping = self.keeping.borrow();
        Some(session.ahead(keeping.iter().filter(|(job, _)| *job == session.job.id).map(|(_, event)| event)))
    }

    /// Events of a job that are still being kept, and not yet in its log.
    pub fn keeping_of(self, job: JobId) -> Vec<Event> {
        let keeping = self.keeping.borrow();
        keeping.iter().filter(|(of, _)| *of == job).map(|(_, event)| event.clone()).collect()
    }

    /// Apart from [`Self::change`], of which the program holds one for each screen that calls it.
    fn go_on(self, now: &Job, acts: &[Act]) {
        match acts.iter().try_for_each(|act| crate::job::may(now, act)) {
            Ok(()) if acts.is_empty() => {}
            Ok(()) => {
                let events = self.events(acts);
                let over = events.map(|events| events.into_iter().map(|event| changing(now, event)).collect());
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
        self.begun.replace(begun)
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
        let mut begun = self.begun.borrow_mut();
        let (tell, told) = oneshot::channel();
        begun.as_mut()?.push(told);
        Some(tell)
    }

    /// Says a photograph, a recording or a note of the open job anew that was taken back, with what is drawn on it.
    pub fn bring_back(self, event: EventId, it: TakenBack) {
        let Some(now) = self.now().filter(|now| !it.counts(now)) else { return };
        let mut events = self.events(&[it.anew()]);
        if let Some((events, strokes)) = events.as_mut().zip(now.drawings.get(&event))
            && let Some(photo) = events.first().map(|event| event.id)
            && let Some(drawn) = self.events(&[Act::Drawn { photo, strokes: strokes.clone() }])
        {
            events.extend(drawn);
        }
        self.saying("Brought back.", || self.put(now.id, events, Vec::new()));
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
    pub(in crate::app) fn events(self, acts: &[Act]) -> Option<Vec<Event>> {
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
        self.keeping.borrow_mut().extend(events.iter().map(|event| (job, event.clone())));
        let hashes: Vec<PhotoHash> = photos.iter().map(|photo| photo.photo_hash.clone()).collect();
        async move {
            let kept = match self.opened().await {
                Ok(store) => store.keep(job, &events, photos).await,
                Err(error) => Err(error),
            };
            self.keeping.borrow_mut().retain(|(_, keeping)| !events.iter().any(|event| event.id == keeping.id));
            kept?;
            if !hashes.is_empty() {
                let mut originals = self.originals;
                let here = originals.peek().clone();
                hashes.iter().for_each(|hash| drop(here.add(&hash.as_str().into())));
                originals.set(here);
            }
            self.fold(job, events);
            let mut changed = self.jobs_changed;
            changed += 1;
            self.nudge(Some(job));
            Ok(())
        }
    }
}

/// Who is told what became of an act.
type Teller = oneshot::Sender<Became>;

/// What is to be told of the acts that are being begun, where someone asked.
pub(super) type Begun = Option<Vec<oneshot::Receiver<Became>>>;

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
