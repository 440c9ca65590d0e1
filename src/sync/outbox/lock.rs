//! How does only one tab send at a time? By a lock that the browser keeps (Web Locks), and frees if the tab dies.

use futures_channel::oneshot;
use js_sys::{Function, Promise};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};

use crate::device::{field, object};

const NAME: &str = "loomwalk-outbox";

/// The right to send; given back when dropped.
pub(super) struct Turn {
    give_back: Option<Function>,
}

/// `None`: another tab has it. Browsers without such locks (iOS before 15.4) let every tab send: the desk takes
/// the same thing twice without harm.
pub(super) async fn take_turn() -> Option<Turn> {
    let locks = field(&field(&js_sys::global(), "navigator"), "locks");
    let Ok(request) = field(&locks, "request").dyn_into::<Function>() else {
        return Some(Turn { give_back: None });
    };
    let mut give_back = None;
    // The lock is held as long as this promise stands open.
    let held = Promise::new(&mut |resolve, _| give_back = Some(resolve));
    let (tell, told) = oneshot::channel();
    let on_lock = Closure::once_into_js(move |lock: JsValue| {
        let given = !lock.is_null();
        // Whoever asked may have left.
        let _ = tell.send(given);
        if given { JsValue::from(held) } else { JsValue::UNDEFINED }
    });
    let options = object([("ifAvailable", JsValue::TRUE)]);
    let asked = request.call3(&locks, &NAME.into(), &options, &on_lock).ok()?;
    // Only awaited so that a refusal is not reported as unhandled.
    spawn_local(async move { drop(JsFuture::from(Promise::resolve(&asked)).await) });
    told.await.ok()?.then_some(Turn { give_back })
}

impl Drop for Turn {
    fn drop(&mut self) {
        if let Some(give_back) = &self.give_back {
            // A function of the browser's own that takes anything.
            let _ = give_back.call0(&JsValue::NULL);
        }
    }
}
