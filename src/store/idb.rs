//! How is work kept in the browser? In IndexedDB.
//!
//! Events and receipts are kept as their JSON text, so that they come back letter by letter; photographs as
//! `ArrayBuffer`s that never enter the program's memory, each size in a store of its own, so that a list never
//! loads an original.
//!
//! - `desk`: what is known of the desk. `transaction`: a write as a whole or not at all. `tabs`: what other tabs are told.

mod desk;
mod tabs;
mod transaction;

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use js_sys::{Array, ArrayBuffer, JsString, Object, Reflect, Set};
use rexie::{ObjectStore, Rexie, TransactionMode};
use serde::de::DeserializeOwned;
use wasm_bindgen::{JsCast, JsValue};

use self::tabs::Others;
use self::transaction::{Connection, Open, all_of, connection_is_lost, failed, reason};
use super::{NewPhoto, PREVIEW_TYPE, Store, StoreError, photos_in, strict};
use crate::circuit::check;
use crate::device::within;
use crate::ids::{DeviceId, EventId, JobId, PhotoHash};
use crate::job::event::Event;
use crate::objects;
use crate::shelf::{Shelf, Shelved};
use crate::sync::protocol::Receipt;

/// The database's name, and that of the channel between tabs.
const NAME: &str = "loomwalk";

/// `[job, event]` → `{job, event}`, the event as its JSON.
const EVENTS: &str = "events";
/// job → true.
const JOBS: &str = "jobs";
/// hash → `{type, bytes}`.
const ORIGINALS: &str = "originals";
/// hash → bytes.
const PREVIEWS: &str = "previews";
/// hash → bytes.
const THUMBS: &str = "thumbs";
/// `[job, bundle]` → the receipt's JSON.
const RECEIPTS: &str = "receipts";
/// hash → true.
const CONFIRMED: &str = "confirmed";
/// name → value.
const SETTINGS: &str = "settings";
/// id → the circuit's JSON.
const SHELVED: &str = "shelved";
/// id → true.
const TAKEN_OFF: &str = "taken_off";

/// The stores of each version of the database, the first version first. A version is never changed once it was
/// out. A new one names every store that is to stay: what it leaves out is deleted with all that is in it. When it keeps
/// things in another way, they are carried over after opening, in one write.
const VERSIONS: [&[&str]; 2] = [
    &[EVENTS, JOBS, ORIGINALS, PREVIEWS, THUMBS, RECEIPTS, CONFIRMED, SETTINGS],
    &[EVENTS, JOBS, ORIGINALS, PREVIEWS, THUMBS, RECEIPTS, CONFIRMED, SETTINGS, SHELVED, TAKEN_OFF],
];

/// How long the database may take to open, ms. It does at once, unless another tab holds an older version of it open: each tab
/// lets go when it is asked to, but one that the system has put to sleep does not hear it.
const OPENING: u32 = 15_000;

/// The store on IndexedDB.
pub struct IdbStore {
    name: String,
    database: RefCell<Option<Rc<Connection>>>,
    others: Option<Others>,
    changed: Rc<RefCell<BTreeSet<JobId>>>,
}

impl IdbStore {
    /// Opens the phone's store; makes it at the first call ever.
    ///
    /// # Errors
    /// [`StoreError::Unavailable`] where the browser gives none, [`StoreError::NewerTab`] where a newer version of the
    /// program has been here, [`StoreError::OlderTab`] where an older one does
    /// not let go.
    pub async fn open() -> Result<Self, StoreError> {
        Self::open_named(NAME).await
    }

    /// Opens a store of another name: for tests.
    #[doc(hidden)]
    pub async fn open_named(name: &str) -> Result<Self, StoreError> {
        strict::install()?;
        let changed = Rc::default();
        let others = Others::listen(name, Rc::clone(&changed));
        let store = Self { name: name.to_owned(), database: RefCell::new(None), others, changed };
        store.database().await?;
        Ok(store)
    }

    /// Calls back when another tab or window has kept something of a job.
    pub fn on_change(&self, callback: impl Fn(JobId) + 'static) {
        if let Some(others) = &self.others {
            others.on_change(callback);
        }
    }

    /// Calls back when another tab or window has changed the shelf.
    pub fn on_shelf_change(&self, callback: impl Fn() + 'static) {
        if let Some(others) = &self.others {
            others.on_shelf_change(callback);
        }
    }

    /// Jobs of which something was kept since the last call, here or in another tab.
    pub fn take_changed(&self) -> BTreeSet<JobId> {
        self.changed.take()
    }

    /// Notes that something of a job was kept elsewhere: for browsers in which other tabs are not heard.
    pub fn note_changed(&self, job: JobId) {
        self.changed.borrow_mut().insert(job);
    }

    /// Whether something was kept since the last call of [`Self::take_changed`].
    pub fn has_changed(&self) -> bool {
        !self.changed.borrow().is_empty()
    }

    /// Whether other tabs, and this one's worker, are heard by themselves.
    pub fn hears_others(&self) -> bool {
        self.others.is_some()
    }

    /// The address of the screen that was open last.
    ///
    /// # Errors
    /// As every read.
    pub async fn here(&self) -> Result<Option<String>, StoreError> {
        let kept = self.read(SETTINGS, async |store| store.get("here".into()).await).await?;
        Ok(kept.and_then(|kept| kept.as_string()))
    }

    /// Keeps that address.
    ///
    /// # Errors
    /// As every write.
    pub async fn keep_here(&self, address: &str) -> Result<(), StoreError> {
        self.write(&[SETTINGS], async |write| write.put(SETTINGS, &address.into(), &"here".into()).await).await
    }

    /// What the browser's small storage held when it was kept last, as one text.
    ///
    /// # Errors
    /// As every read.
    pub async fn beside(&self) -> Result<Option<String>, StoreError> {
        let kept = self.read(SETTINGS, async |store| store.get("beside".into()).await).await?;
        Ok(kept.and_then(|kept| kept.as_string()))
    }

    /// Keeps that.
    ///
    /// # Errors
    /// As every write.
    pub async fn keep_beside(&self, all: &JsString) -> Result<(), StoreError> {
        self.write(&[SETTINGS], async |write| write.put(SETTINGS, all, &"beside".into()).await).await
    }

    /// Photographs and recordings that are here themselves, not only small: their hashes.
    ///
    /// # Errors
    /// As every read.
    pub async fn originals(&self) -> Result<Set, StoreError> {
        let keys = self.read(ORIGINALS, async |store| store.get_all_keys(None, None).await).await?;
        let hashes = Set::default();
        keys.iter().for_each(|key| drop(hashes.add(key)));
        Ok(hashes)
    }

    /// How durably writes are made: `strict`; none where the browser is too old to say.
    ///
    /// # Errors
    /// As every write.
    pub async fn durability(&self) -> Result<Option<String>, StoreError> {
        self.write(&[SETTINGS], async |write| Ok(write.durability())).await
    }

    /// The open database; opens it (again) where there is none.
    async fn database(&self) -> Result<Rc<Connection>, StoreError> {
        if let Some(database) = &*self.database.borrow() {
            return Ok(database.clone());
        }
        let version = u32::try_from(VERSIONS.len()).unwrap_or(u32::MAX);
        let mut builder = Rexie::builder(&self.name).version(version);
        for store in VERSIONS.last().copied().unwrap_or_default() {
            builder = builder.add_object_store(ObjectStore::new(store));
        }
        // One that comes too late is closed again, so that it is in nobody's way.
        let opened = within(OPENING, async move { builder.build().await.map(Connection::new) }).await;
        let database = opened.ok_or(StoreError::OlderTab)?.map_err(|error| match reason(&error) {
            why if why.contains("VersionError") => StoreError::NewerTab,
            why => StoreError::Unavailable { why },
        })?;
        let database = Rc::new(database);
        self.database.replace(Some(database.clone()));
        Ok(database)
    }

    /// Opens a transaction. A connection that was lost, which iOS does to pages in the background, is made anew once.
    async fn begin(&self, stores: &[&str], mode: TransactionMode) -> Result<Open, StoreError> {
        for last_try in [false, true] {
            let database = self.database().await?;
            match database.begin(stores, mode) {
                Ok(open) => return Ok(open),
                Err(why) if last_try => return Err(failed(why)),
                Err(_) => drop(self.database.take()),
            }
        }
        Err(failed("no connection"))
    }

    /// Does work on a few stores and commits it, or leaves everything as it was.
    ///
    /// `work` must await nothing but this transaction's own requests: it would end early.
    async fn write<T>(
        &self,
        stores: &[&str],
        work: impl AsyncFn(&Open) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let mut lost = None;
        for _ in 0..2 {
            let open = self.begin(stores, TransactionMode::ReadWrite).await?;
            let worked = work(&open).await;
            match open.finish(worked).await {
                Err(StoreError::Failed { why }) if connection_is_lost(&why) => {
                    drop(self.database.take());
                    lost = Some(failed(why));
                }
                finished => return finished,
            }
        }
        Err(lost.unwrap_or_else(|| failed("no connection")))
    }

    /// Reads from one store.
    async fn read<T>(
        &self,
        store: &str,
        work: impl AsyncFn(&rexie::Store) -> Result<T, rexie::Error>,
    ) -> Result<T, StoreError> {
        let mut lost = None;
        for _ in 0..2 {
            let open = self.begin(&[store], TransactionMode::ReadOnly).await?;
            match work(&open.store(store)?).await {
                Ok(found) => return Ok(found),
                Err(error) if connection_is_lost(&reason(&error)) => {
                    drop(self.database.take());
                    lost = Some(failed(reason(&error)));
                }
                Err(error) => return Err(failed(reason(&error))),
            }
        }
        Err(lost.unwrap_or_else(|| failed("no connection")))
    }

    /// A small picture.
    async fn small(&self, store: &str, hash: &PhotoHash) -> Result<Option<(String, ArrayBuffer)>, StoreError> {
        let found = self.read(store, async |store| store.get(hash.as_str().into()).await).await?;
        found.map(|value| Ok((PREVIEW_TYPE.to_owned(), bytes(value, hash)?))).transpose()
    }

    fn tell(&self, job: JobId) {
        self.changed.borrow_mut().insert(job);
        if let Some(others) = &self.others {
            others.tell(job);
        }
    }
}

impl Store for IdbStore {
    type Bytes = ArrayBuffer;

    async fn device(&self, candidate: DeviceId) -> Result<DeviceId, StoreError> {
        self.write(&[SETTINGS], async |write| {
            let key = JsValue::from("device");
            if let Some(kept) = write.get(SETTINGS, &key).await? {
                let text = kept.as_string().unwrap_or_default();
                return text.parse().map_err(|error| unreadable("this device's id", error));
            }
            write.put(SETTINGS, &candidate.to_string().into(), &key).await?;
            Ok(candidate)
        })
        .await
    }

    async fn jobs(&self) -> Result<Vec<JobId>, StoreError> {
        let keys = self.read(JOBS, async |store| store.get_all_keys(None, None).await).await?;
        let parsed = keys.iter().map(|key| key.as_string().unwrap_or_default().parse());
        parsed.collect::<Result<_, _>>().map_err(|error| unreadable("the list of jobs", error))
    }

    async fn log(&self, job: JobId) -> Result<Vec<Event>, StoreError> {
        let kept = self.read(EVENTS, async |store| store.get_all(Some(all_of(job)?), None).await).await?;
        kept.iter().map(|value| event_of(value, || format!("the log of job {job}"))).collect()
    }

    async fn keep(&self, job: JobId, events: &[Event], photos: Vec<NewPhoto<ArrayBuffer>>) -> Result<(), StoreError> {
        self.write(&[EVENTS, JOBS, ORIGINALS, PREVIEWS, THUMBS], async |write| {
            for event in events {
                let key = pair(job, event.id);
                match write.get(EVENTS, &key).await? {
                    None => {
                        let row = [("job", job.to_string().into()), ("event", text_of(event)?)];
                        write.put(EVENTS, &object(&row)?, &key).await?;
                    }
                    Some(kept) if event_of(&kept, || format!("event {}", event.id))? == *event => {}
                    Some(_) => return Err(StoreError::TwoBodies(event.id)),
                }
            }
            if !events.is_empty() {
                write.put(JOBS, &JsValue::TRUE, &job.to_string().into()).await?;
            }
            for photo in &photos {
                let key = JsValue::from(photo.photo_hash.as_str());
                let original = [("type", photo.media_type.as_str().into()), ("bytes", photo.original.clone().into())];
                write.add_if_absent(ORIGINALS, &object(&original)?, &key).await?;
                for (store, small) in [(PREVIEWS, &photo.preview), (THUMBS, &photo.thumb)] {
                    if let Some(bytes) = small {
                        write.add_if_absent(store, bytes, &key).await?;
                    }
                }
            }
            Ok(())
        })
        .await?;
        self.tell(job);
        Ok(())
    }

    async fn photo(&self, hash: &PhotoHash) -> Result<Option<(String, ArrayBuffer)>, StoreError> {
        let found = self.read(ORIGINALS, async |store| store.get(hash.as_str().into()).await).await?;
        let Some(value) = found else { return Ok(None) };
        let field = |name: &str| Reflect::get(&value, &name.into()).unwrap_or_default();
        let media_type = field("type").as_string().ok_or_else(|| unreadable(&format!("photo {hash}"), "no type"))?;
        Ok(Some((media_type, bytes(field("bytes"), hash)?)))
    }

    async fn preview(&self, hash: &PhotoHash) -> Result<Option<(String, ArrayBuffer)>, StoreError> {
        self.small(PREVIEWS, hash).await
    }

    async fn thumb(&self, hash: &PhotoHash) -> Result<Option<(String, ArrayBuffer)>, StoreError> {
        self.small(THUMBS, hash).await
    }

    async fn keep_small(&self, hash: &PhotoHash, preview: ArrayBuffer, thumb: ArrayBuffer) -> Result<(), StoreError> {
        let key = JsValue::from(hash.as_str());
        self.write(&[PREVIEWS, THUMBS], async |write| {
            write.add_if_absent(PREVIEWS, &preview, &key).await?;
            write.add_if_absent(THUMBS, &thumb, &key).await
        })
        .await
    }

    async fn receipts(&self, job: JobId) -> Result<Vec<Receipt>, StoreError> {
        let kept = self.read(RECEIPTS, async |store| store.get_all(Some(all_of(job)?), None).await).await?;
        kept.iter().map(|value| parsed(value, || format!("the desk's receipts for job {job}"))).collect()
    }

    async fn keep_receipt(&self, receipt: &Receipt) -> Result<(), StoreError> {
        let key = pair(receipt.job, receipt.bundle_id);
        let text = text_of(receipt)?;
        self.write(&[RECEIPTS], async |write| write.put(RECEIPTS, &text, &key).await).await
    }

    async fn confirmed_photos(&self) -> Result<BTreeSet<PhotoHash>, StoreError> {
        let keys = self.read(CONFIRMED, async |store| store.get_all_keys(None, None).await).await?;
        let parsed = keys.iter().map(|key| key.as_string().unwrap_or_default().parse());
        parsed.collect::<Result<_, _>>().map_err(|error| unreadable("the list of photos at the desk", error))
    }

    async fn keep_confirmed_photo(&self, hash: &PhotoHash) -> Result<(), StoreError> {
        let key = JsValue::from(hash.as_str());
        self.write(&[CONFIRMED], async |write| write.put(CONFIRMED, &JsValue::TRUE, &key).await).await
    }

    async fn shelf(&self) -> Result<Shelf, StoreError> {
        let kept = self.read(SHELVED, async |store| store.get_all(None, None).await).await?;
        // Read second: what is taken off in between is off.
        let off = self.read(TAKEN_OFF, async |store| store.get_all_keys(None, None).await).await?;
        let entries = kept.iter().map(shelved_of);
        let off = off.iter().map(|key| key.as_string().unwrap_or_default().parse());
        let off =
            off.collect::<Result<Vec<_>, _>>().map_err(|error| unreadable("what was taken off the shelf", error))?;
        Ok(Shelf::of(entries.collect::<Result<Vec<_>, _>>()?, off))
    }

    async fn keep_on_shelf(&self, more: &Shelf) -> Result<(), StoreError> {
        self.write(&[SHELVED, TAKEN_OFF], async |write| {
            for id in more.taken_off() {
                let key = JsValue::from(id.to_string());
                write.put(TAKEN_OFF, &JsValue::TRUE, &key).await?;
                write.delete(SHELVED, &key).await?;
            }
            for entry in more.entries() {
                let key = JsValue::from(entry.id.to_string());
                if write.get(TAKEN_OFF, &key).await?.is_some() {
                    continue;
                }
                let kept = write.get(SHELVED, &key).await?.map(|kept| shelved_of(&kept)).transpose()?;
                if kept.is_some_and(|kept| !entry.is_newer_than(&kept)) {
                    continue;
                }
                write.put(SHELVED, &entry.text().into(), &key).await?;
            }
            Ok(())
        })
        .await?;
        if let Some(others) = &self.others {
            others.tell_shelf();
        }
        Ok(())
    }

    async fn forget_job(&self, job: JobId, known: Option<&BTreeSet<EventId>>) -> Result<bool, StoreError> {
        let stores = [EVENTS, JOBS, RECEIPTS, ORIGINALS, PREVIEWS, THUMBS, SETTINGS];
        let forgotten = self.write(&stores, async |write| {
            let read = |kept: &[JsValue]| -> Result<Vec<Event>, StoreError> {
                kept.iter().map(|value| event_of(value, || "an event".to_owned())).collect()
            };
            let log = read(&write.all(EVENTS, Some(job)).await?)?;
            if known.is_some_and(|known| log.iter().any(|event| !known.contains(&event.id))) {
                return Ok(false);
            }
            let own = photos_in(&log);
            for store in [EVENTS, RECEIPTS] {
                write.delete_all(store, job).await?;
            }
            write.delete(JOBS, &job.to_string().into()).await?;
            write.delete(SETTINGS, &desk::cursor_key(job)).await?;
            let needed = photos_in(&read(&write.all(EVENTS, None).await?)?);
            for hash in own.difference(&needed) {
                for store in [ORIGINALS, PREVIEWS, THUMBS] {
                    write.delete(store, &hash.as_str().into()).await?;
                }
            }
            Ok(true)
        });
        let forgotten = forgotten.await?;
        if forgotten {
            self.tell(job);
        }
        Ok(forgotten)
    }
}

fn unreadable(what: &str, why: impl std::fmt::Display) -> StoreError {
    StoreError::Unreadable { what: what.to_owned(), why: why.to_string() }
}

fn event_of(row: &JsValue, what: impl Fn() -> String) -> Result<Event, StoreError> {
    parsed(&Reflect::get(row, &"event".into()).unwrap_or_default(), what)
}

fn shelved_of(value: &JsValue) -> Result<Shelved, StoreError> {
    let unread = |why: String| unreadable("a circuit on the shelf", why);
    let text = value.as_string().ok_or_else(|| unread("it is no text".to_owned()))?;
    let shelved: Shelved = objects::from_str(&text).map_err(|error| unread(error.to_string()))?;
    check::validate(&shelved.circuit).map_err(|error| unread(error.to_string()))?;
    Ok(shelved)
}

fn parsed<T: DeserializeOwned>(value: &JsValue, what: impl Fn() -> String) -> Result<T, StoreError> {
    let text = value.as_string().ok_or_else(|| unreadable(&what(), "it is no text"))?;
    objects::from_str(&text).map_err(|error| unreadable(&what(), error))
}

fn text_of(value: &impl serde::Serialize) -> Result<JsValue, StoreError> {
    serde_json::to_string(value).map(JsValue::from).map_err(|error| failed(error.to_string()))
}

fn bytes(value: JsValue, hash: &PhotoHash) -> Result<ArrayBuffer, StoreError> {
    value.dyn_into().map_err(|_| unreadable(&format!("photo {hash}"), "it is not made of bytes"))
}

fn object(fields: &[(&str, JsValue)]) -> Result<JsValue, StoreError> {
    let object = Object::new();
    for (name, value) in fields {
        Reflect::set(&object, &(*name).into(), value).map_err(|error| failed(format!("{error:?}")))?;
    }
    Ok(object.into())
}

/// A key of two parts.
fn pair(job: JobId, second: impl ToString) -> JsValue {
    Array::of2(&job.to_string().into(), &second.to_string().into()).into()
}
