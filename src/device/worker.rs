//! What does the page ask of its worker? Photographs made ready, hand-over files packed and unpacked, questions answered.
//!
//! The worker is a program of its own ([`super::start_worker`]). It is started at the first order, and again after it
//! has ended, which on a phone means that memory ran out; an order is tried twice.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use chrono::{DateTime, Utc};
use futures_channel::oneshot;
use js_sys::{Array, ArrayBuffer, Object, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Blob, MessageEvent, Worker, WorkerOptions, WorkerType};

use super::files::blob_of;
use super::{DeviceError, field, object, picture, said};
use crate::bundle::Leaving;
use crate::ids::{JobId, PhotoHash};
use crate::store::{IdbStore, NewPhoto, Store};

/// A photograph ready to be kept.
#[derive(Debug)]
pub struct Prepared {
    /// What the store takes.
    pub new: NewPhoto<ArrayBuffer>,
    /// How many bytes the original has.
    pub bytes: u64,
    /// Of the original.
    pub media_type: String,
    /// Pixels across, upright; 0 where neither the file nor the browser tells.
    pub width: u32,
    /// Pixels down, upright; likewise.
    pub height: u32,
    /// When it was taken, if the file says so.
    pub taken_at: Option<DateTime<Utc>>,
    /// Whether the file held a place, which is now gone.
    pub location_removed: bool,
}

/// What was in a hand-over file, checked as a whole.
#[derive(Debug)]
pub struct Unpacked {
    /// The job.
    pub job: JobId,
    /// Its events, as JSON.
    pub log: String,
    /// The job as it left the device that made the file: a [`Leaving`], as JSON.
    pub leaving: String,
    /// Its photographs that were inside.
    pub photos: Vec<NewPhoto<ArrayBuffer>>,
}

/// A job as it is handed over.
#[derive(Debug)]
pub struct Packed {
    /// One file; several that belong together where one would be too large to be opened.
    pub files: Vec<Blob>,
    /// How many of its photographs and recordings are not in them, because they are not on this phone.
    pub lacks: usize,
}

/// Makes a photograph ready: the place blanked, named by its hash, made small for the screen. One that the browser
/// cannot show is made ready without previews.
///
/// # Errors
/// [`DeviceError::Refused`] for what is no picture; [`DeviceError::WorkerEnded`] where memory does not suffice.
pub async fn prepare_photo(blob: Blob) -> Result<Prepared, DeviceError> {
    let done = call("photo", &object([("blob", blob.clone().into())])).await?;
    let mut new = new_photo(&done)?;
    let number = |name: &str| field(&done, name).as_f64().unwrap_or_default() as u32;
    let (mut width, mut height) = (number("width"), number("height"));
    if new.preview.is_none()
        && !worker_draws()
        && let Some(small) = small_in_the_page(&mut new).await
    {
        (width, height) = small;
    }
    let taken = field(&done, "taken").as_string();
    Ok(Prepared {
        bytes: new.original.byte_length().into(),
        media_type: new.media_type.clone(),
        width,
        height,
        taken_at: taken.and_then(|text| Some(DateTime::parse_from_rfc3339(&text).ok()?.to_utc())),
        location_removed: field(&done, "placeRemoved").is_truthy(),
        new,
    })
}

/// Makes a recording ready: named by its hash.
///
/// # Errors
/// [`DeviceError::Unreadable`] where the browser does not give its bytes.
pub async fn prepare_recording(blob: Blob) -> Result<NewPhoto<ArrayBuffer>, DeviceError> {
    new_photo(&call("recording", &object([("blob", blob.into())])).await?)
}

/// Makes the hand-over file of a job, with those of its photographs that are on this phone. `on_part` hears how far it is,
/// from 0 to 1.
///
/// # Errors
/// The store's, [`DeviceError::Refused`] where a photograph is too large, or [`DeviceError::WorkerEnded`] where memory does
/// not suffice.
pub async fn pack(
    leaving: &Leaving<'_>,
    hashes: BTreeSet<PhotoHash>,
    store: Rc<IdbStore>,
    on_part: impl Fn(f64) + 'static,
) -> Result<Packed, DeviceError> {
    let photos = Object::new();
    let mut lacks = hashes.len();
    for hash in &hashes {
        let found = store.photo(hash).await.map_err(|error| DeviceError::Refused(error.to_string()))?;
        if let Some((media_type, bytes)) = found {
            // As a file each: the browser may lay them on the disk, and sending them to the worker copies nothing.
            let file = blob_of(&Array::of1(&bytes), &media_type)?;
            set(&photos, hash.as_str(), &file);
            lacks -= 1;
        }
    }
    let leaving = serde_json::to_string(leaving).map_err(|error| DeviceError::Refused(error.to_string()))?;
    let order = object([("leaving", leaving.into()), ("photos", photos.into())]);
    let made = call_telling("pack", &order, Some(Rc::new(on_part))).await?;
    let_go_if_idle();
    Ok(Packed { files: Array::from(&made).iter().map(JsCast::unchecked_into).collect(), lacks })
}

/// Reads a hand-over file. It is checked as a whole first; photographs get previews of this phone's making. `on_part` hears
/// how far that is, from 0 to 1.
///
/// # Errors
/// [`DeviceError::Refused`] with what is wrong in the file; [`DeviceError::WorkerEnded`] where memory does not suffice.
pub async fn unpack(file: Blob, on_part: impl Fn(f64) + 'static) -> Result<Unpacked, DeviceError> {
    let done = call_telling("unpack", &object([("blob", file.into())]), Some(Rc::new(on_part))).await?;
    let_go_if_idle();
    let broken = |why: String| DeviceError::Refused(format!("the worker's answer cannot be read: {why}"));
    let text = |name: &str| field(&done, name).as_string().unwrap_or_default();
    let answers = Array::from(&field(&done, "photos"));
    let mut photos = answers.iter().map(|photo| new_photo(&photo)).collect::<Result<Vec<_>, _>>()?;
    if !worker_draws() {
        for photo in &mut photos {
            small_in_the_page(photo).await;
        }
    }
    Ok(Unpacked {
        job: text("job").parse().map_err(|error| broken(format!("{error}")))?,
        log: text("log"),
        leaving: text("leaving"),
        photos,
    })
}

/// Asks what the worker's own program knows to answer: see [`crate::away`].
///
/// # Errors
/// [`DeviceError::Refused`] with the reason; [`DeviceError::WorkerEnded`] where the worker did not live to answer.
pub async fn ask(question: String) -> Result<String, DeviceError> {
    let answer = call("ask", &object([("question", question.into())])).await?;
    answer.as_string().ok_or_else(|| DeviceError::Refused("the worker's answer is no text; load the page again".into()))
}

fn new_photo(answer: &JsValue) -> Result<NewPhoto<ArrayBuffer>, DeviceError> {
    let hash = field(answer, "hash").as_string().unwrap_or_default();
    let buffer = |name: &str| field(answer, name).dyn_into::<ArrayBuffer>().ok();
    Ok(NewPhoto {
        photo_hash: hash.parse().map_err(|error| DeviceError::Refused(format!("{error}")))?,
        media_type: field(answer, "type").as_string().unwrap_or_default(),
        original: buffer("bytes").ok_or_else(|| DeviceError::Refused("the worker sent no bytes; try again".into()))?,
        preview: buffer("preview"),
        thumb: buffer("thumb"),
    })
}

/// Where the worker has no canvas (iOS before 16.4), the page draws.
fn worker_draws() -> bool {
    !field(&js_sys::global(), "OffscreenCanvas").is_undefined()
}

async fn small_in_the_page(photo: &mut NewPhoto<ArrayBuffer>) -> Option<(u32, u32)> {
    let blob = blob_of(&Array::of1(&photo.original), &photo.media_type).ok()?;
    let small = picture::make_small(&blob, None).await.ok()?;
    photo.preview = Some(small.preview);
    photo.thumb = Some(small.thumb);
    Some((small.width, small.height))
}

/// A worker that runs, and who waits for its answers.
struct Running {
    worker: Worker,
    waiting: BTreeMap<u32, Waiting>,
    last: u32,
}

/// Who waits for an answer.
struct Waiting {
    answer: oneshot::Sender<Result<JsValue, DeviceError>>,
    on_part: Option<OnPart>,
}

/// Hears how far an order is, from 0 to 1.
type OnPart = Rc<dyn Fn(f64)>;

thread_local! {
    static RUNNING: RefCell<Option<Running>> = const { RefCell::new(None) };
}

/// Gives an order and waits for what comes of it. `order` holds only what can be sent twice.
pub(super) async fn call(name: &str, order: &Object) -> Result<JsValue, DeviceError> {
    call_telling(name, order, None).await
}

async fn call_telling(name: &str, order: &Object, on_part: Option<OnPart>) -> Result<JsValue, DeviceError> {
    for _ in 0..2 {
        if let Ok(answered) = post(name, order, on_part.clone())?.await {
            return answered;
        }
        // Nobody is left to answer: the worker has ended.
    }
    Err(DeviceError::WorkerEnded)
}

fn post(
    name: &str,
    order: &Object,
    on_part: Option<OnPart>,
) -> Result<oneshot::Receiver<Result<JsValue, DeviceError>>, DeviceError> {
    RUNNING.with_borrow_mut(|running| {
        let running = match running {
            Some(running) => running,
            None => {
                let worker = start(Closure::new(|message: MessageEvent| answered(&message.data())), ended)?;
                running.insert(Running { worker, waiting: BTreeMap::new(), last: 0 })
            }
        };
        running.last += 1;
        set(order, "id", &running.last.into());
        set(order, "order", &name.into());
        running.worker.post_message(order).map_err(|error| DeviceError::NoWorker { why: said(&error) })?;
        let (answer, receiver) = oneshot::channel();
        running.waiting.insert(running.last, Waiting { answer, on_part });
        Ok(receiver)
    })
}

/// Starts a worker with the worker's program. `on_end` hears that it has ended, or never began.
pub(super) fn start(
    on_message: Closure<dyn Fn(MessageEvent)>,
    on_end: impl Fn(&Worker) + 'static,
) -> Result<Worker, DeviceError> {
    let failed = |error: JsValue| DeviceError::NoWorker { why: said(&error) };
    let document = web_sys::window().and_then(|window| window.document());
    let meta = document.and_then(|document| document.query_selector("meta[name=loomwalk-worker]").ok().flatten());
    let glue = meta.and_then(|meta| meta.get_attribute("content"));
    let glue = glue.ok_or_else(|| failed("the page does not say where its worker's program is".into()))?;
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    // Told by name: a worker that comes out of the service worker's cache has lost what stood behind a `?`.
    options.set_name(&glue);
    let worker = Worker::new_with_options("/worker.js", &options).map_err(failed)?;

    worker.set_onmessage(Some(on_message.into_js_value().unchecked_ref()));
    let this = worker.clone();
    let on_error = Closure::<dyn Fn(JsValue)>::new(move |_| on_end(&this));
    let on_error = on_error.into_js_value();
    worker.set_onerror(Some(on_error.unchecked_ref()));
    worker.set_onmessageerror(Some(on_error.unchecked_ref()));
    Ok(worker)
}

fn answered(answer: &JsValue) {
    let id = field(answer, "id").as_f64().unwrap_or_default() as u32;
    if let Some(part) = field(answer, "part").as_f64() {
        let on_part = RUNNING.with_borrow(|running| running.as_ref()?.waiting.get(&id)?.on_part.clone());
        return on_part.into_iter().for_each(|on_part| on_part(part));
    }
    let waiting = RUNNING.with_borrow_mut(|running| running.as_mut().and_then(|running| running.waiting.remove(&id)));
    if let Some(waiting) = waiting {
        let answer = match field(answer, "why").as_string() {
            Some(why) => Err(DeviceError::Refused(why)),
            None => Ok(field(answer, "done")),
        };
        // Whoever asked may have left the screen.
        let _ = waiting.answer.send(answer);
    }
}

/// Forgets a worker that has ended; whoever waits for it notices.
fn ended(worker: &Worker) {
    worker.terminate();
    RUNNING.with_borrow_mut(|running| {
        if running.as_ref().is_some_and(|running| running.worker == *worker) {
            running.take();
        }
    });
}

/// Ends what nobody waits for any more, where others do not wait as well.
pub fn give_up() {
    RUNNING.with_borrow_mut(|running| {
        if let Some(running) = running {
            running.waiting.retain(|_, waiting| !waiting.answer.is_canceled());
        }
    });
    let_go_if_idle();
}

/// A worker's memory never shrinks: after something large it is let go.
fn let_go_if_idle() {
    let idle = RUNNING.with_borrow_mut(|running| match running {
        Some(known) if known.waiting.is_empty() => running.take(),
        _ => None,
    });
    if let Some(idle) = idle {
        idle.worker.terminate();
    }
}

fn set(object: &Object, name: &str, value: &JsValue) {
    // A new plain object takes every field.
    let _ = Reflect::set(object, &name.into(), value);
}
