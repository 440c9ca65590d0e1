//! What the phone can do: photo worker, files, share, wake lock. Thin over the web platform.
//!
//! - [`worker`]: large work away from the screen: photographs, hand-over files.
//! - [`files`]: read, download, share; addresses for pictures.
//! - [`courier`]: what is kept goes to the desk, from a worker of its own.
//! - [`desk`]: what the desk is asked for: pairing, jobs and pictures that lie there.
//! - [`service_worker`]: keeps the program on the device, and takes a newer one when told to.
//! - [`barcode`]: what bar codes in a picture say.
//! - [`awake`]: the screen stays on.
//! - [`camera`]: photographs taken in the app, its lamp and zoom.
//! - [`ear`]: the microphone: how loud it is, a knock, a spoken note.
//! - [`lookout`]: what the camera sees at one spot, and an alarm that cannot be missed.
//! - [`pinch`]: two fingers.
//! - [`shake`]: how much the phone is shaken.
//! - [`speak`]: in which language the page is read.
//! - `media`: how the browser is asked for camera and microphone.
//! - [`listen`]: network, page in view, and other things that happen to a page.
//! - [`storage`]: how much room there is, and whether the browser has promised to keep it.

pub mod awake;
pub mod barcode;
pub mod camera;
pub mod courier;
pub mod desk;
pub mod ear;
pub mod files;
pub mod listen;
pub mod lookout;
mod media;
#[cfg(feature = "worker")]
mod orders;
mod picture;
pub mod pinch;
pub mod service_worker;
pub mod shake;
pub mod speak;
pub mod storage;
pub mod worker;

use std::cell::Cell;
use std::rc::Rc;

use chrono::{DateTime, Utc};
use gloo_timers::callback::Timeout;
use gloo_timers::future::TimeoutFuture;
use js_sys::Reflect;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Element, FocusOptions, HtmlElement};

pub use awake::{Awake, keep_awake};
pub use camera::{Camera, Purpose, Zoom};
pub use files::{
    ObjectUrl, Shared, download, fetch_blob, file_name, json_blob, object_url, read_bytes, read_text,
    share_or_download, share_or_download_all,
};
pub use listen::{Listener, on_hidden, on_online, on_visible, online};
#[cfg(feature = "worker")]
pub use orders::start_worker;
pub use pinch::Pinch;
pub use storage::{Room, begin_to_persist, persist, persisted, room};

/// Why the device did not do it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DeviceError {
    /// The worker cannot be started.
    #[error("this browser cannot work in the background ({why}); load the page again, or update the browser")]
    NoWorker {
        /// What the browser says.
        why: String,
    },
    /// The worker ended twice in a row: out of memory, as a rule.
    #[error(
        "the background work ended twice, as it does when a phone runs out of memory, or has not yet fetched all of the \
         program; close other tabs and apps, connect to a network, then try again"
    )]
    WorkerEnded,
    /// The worker says why not. Its words stand for themselves.
    #[error("{0}")]
    Refused(String),
    /// A file cannot be read.
    #[error("the file cannot be read ({why}); choose it again, from the phone's own storage if it lies elsewhere")]
    Unreadable {
        /// What the browser says.
        why: String,
    },
    /// A file that should be text is none.
    #[error("this file is not text (UTF-8): choose another, or save it as UTF-8 and open it again")]
    NotText,
    /// No picture from a camera.
    #[error("the camera cannot be used: {why}")]
    NoCamera {
        /// What is in the way, and what helps.
        why: String,
    },
    /// No sound from a microphone.
    #[error("the microphone cannot be used: {why}")]
    NoMicrophone {
        /// What is in the way, and what helps.
        why: String,
    },
    /// A file cannot be given away.
    #[error("the file was made, but the browser would not hand it over ({why}); try again")]
    NotShared {
        /// What the browser says.
        why: String,
    },
    /// Something that belongs to the program cannot be fetched.
    #[error("{what} cannot be loaded ({why}); connect once to a network, then try again")]
    NotLoaded {
        /// Its address.
        what: String,
        /// What the browser says.
        why: String,
    },
    /// The browser lacks something.
    #[error("this browser cannot do that ({why}); update it, or use another one")]
    Missing {
        /// What it says.
        why: String,
    },
}

/// Does work to its end, also when whoever waits for it goes: a request of the browser's database cannot be called off.
/// `None`: it never ended.
pub async fn to_the_end<T: 'static>(work: impl Future<Output = T> + 'static) -> Option<T> {
    let (done, wait) = futures_channel::oneshot::channel();
    wasm_bindgen_futures::spawn_local(async move {
        // Nobody may wait any more.
        let _ = done.send(work.await);
    });
    wait.await.ok()
}

/// Does work to its end, and waits so many milliseconds for it at most. `None`: it has not ended by then, or never does.
pub async fn within<T: 'static>(millis: u32, work: impl Future<Output = T> + 'static) -> Option<T> {
    let (done, wait) = futures_channel::oneshot::channel();
    let done = Rc::new(Cell::new(Some(done)));
    let late = Rc::clone(&done);
    let _patience = Timeout::new(millis, move || drop(late.take()));
    wasm_bindgen_futures::spawn_local(async move {
        let worked = work.await;
        if let Some(done) = done.take() {
            // Nobody may wait any more.
            let _ = done.send(worked);
        }
    });
    wait.await.ok()
}

/// Lets the browser answer and draw what has come up, between two parts of work that takes long on a slow phone.
pub async fn breathe() {
    let document = web_sys::window().and_then(|window| window.document());
    // Where nobody sees the page its timers come once a second, and nothing waits to be drawn.
    if document.is_some_and(|document| !document.hidden()) {
        TimeoutFuture::new(0).await;
    }
}

/// Whether anything on the page has the focus.
pub fn has_focus() -> bool {
    let focused = web_sys::window().and_then(|window| window.document()?.active_element());
    focused.is_some_and(|element| element.tag_name() != "BODY")
}

/// Gives an element the focus, and leaves the page scrolled to where it is.
pub fn focus(element: &Element) {
    let options = FocusOptions::new();
    options.set_prevent_scroll(true);
    if let Some(element) = element.dyn_ref::<HtmlElement>() {
        // What is not on the page any more takes none.
        let _ = element.focus_with_options(&options);
    }
}

/// A short tick in the hand, where the phone can: something was kept.
pub fn tick() {
    if let Some(window) = web_sys::window()
        && let Ok(vibrate) = field(&window.navigator(), "vibrate").dyn_into::<js_sys::Function>()
    {
        // A phone that is set to be still does nothing, and that is right. 15 ms; common practice, no source.
        let _ = vibrate.call1(&window.navigator(), &15.into());
    }
}

/// A steady clock, ms since the page was opened: nobody sets it.
pub fn steady_ms() -> f64 {
    web_sys::window().and_then(|window| window.performance()).map_or_else(js_sys::Date::now, |clock| clock.now())
}

/// The time by this device's clock.
pub fn now() -> DateTime<Utc> {
    Utc::now()
}

/// Random bits for an id.
pub fn random() -> [u8; 10] {
    let mut bits = [0; 10];
    if getrandom::fill(&mut bits).is_err() {
        // Every browser that runs this program has a source of chance; an id must not fail for the lack of one.
        bits.fill_with(|| (js_sys::Math::random() * 256.0) as u8);
    }
    bits
}

/// What a browser's refusal says, in its own words.
pub(crate) fn said(error: &JsValue) -> String {
    match error.dyn_ref::<js_sys::Error>() {
        Some(error) => format!("{}: {}", String::from(error.name()), String::from(error.message())),
        None => error.as_string().unwrap_or_else(|| format!("{error:?}")),
    }
}

/// A field of an object; undefined where there is none.
pub(crate) fn field(object: &JsValue, name: &str) -> JsValue {
    Reflect::get(object, &name.into()).unwrap_or_default()
}

/// An object of these fields.
pub(crate) fn object<const N: usize>(fields: [(&str, JsValue); N]) -> js_sys::Object {
    let object = js_sys::Object::new();
    for (name, value) in fields {
        // A new plain object takes every field.
        let _ = Reflect::set(&object, &name.into(), &value);
    }
    object
}
