//! How does the screen stay on while someone lies under the vehicle?

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Function, Promise};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

use super::{Listener, field, on_visible};

/// Keeps the screen on as long as it or a clone lives, where the browser can.
#[derive(Clone)]
pub struct Awake {
    _inner: Rc<Inner>,
}

struct Inner {
    lock: Rc<RefCell<Lock>>,
    _listener: Option<Listener>,
}

/// The browser's lock, if it was given, and whether it is still wanted.
struct Lock {
    wanted: bool,
    held: Option<JsValue>,
}

/// Keeps the screen on. The browser takes the lock away whenever the page goes out of view, so it is asked for again.
pub fn keep_awake() -> Awake {
    let lock = Rc::new(RefCell::new(Lock { wanted: true, held: None }));
    ask(&lock);
    let again = Rc::clone(&lock);
    let listener = on_visible(move || ask(&again));
    Awake { _inner: Rc::new(Inner { lock, _listener: listener }) }
}

fn ask(lock: &Rc<RefCell<Lock>>) {
    let lock = Rc::clone(lock);
    spawn_local(async move {
        let Some(given) = request().await else { return };
        let mut lock = lock.borrow_mut();
        let old = if lock.wanted { lock.held.replace(given) } else { Some(given) };
        drop(lock);
        old.as_ref().map(release);
    });
}

/// `None`: the browser does not know it (before 16.4 on iOS), or refuses, as when the battery is low.
async fn request() -> Option<JsValue> {
    let locks = field(&web_sys::window()?.navigator(), "wakeLock");
    let request: Function = field(&locks, "request").dyn_into().ok()?;
    let promise: Promise = request.call1(&locks, &"screen".into()).ok()?.dyn_into().ok()?;
    JsFuture::from(promise).await.ok()
}

fn release(lock: &JsValue) {
    if let Ok(release) = field(lock, "release").dyn_into::<Function>() {
        // A lock that the browser has taken away already needs no release.
        let _ = release.call0(lock);
    }
}

impl Drop for Inner {
    fn drop(&mut self) {
        let mut lock = self.lock.borrow_mut();
        lock.wanted = false;
        lock.held.take().as_ref().map(release);
    }
}
