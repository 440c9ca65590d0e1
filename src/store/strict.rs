//! How is a write made to reach the disk, and why did one not?
//!
//! Browsers open transactions *relaxed* by default: reported as done while the bytes are still on their way to the
//! disk. rexie cannot ask for *strict* (IndexedDB 3.0 §2.7.3), nor does it say why a transaction was aborted. So the
//! one function of the browser that opens transactions is wrapped: every write asks for `strict`, and the
//! transaction opened last is at hand.

use std::cell::{Cell, RefCell};

use js_sys::{Array, Function, Object, Proxy, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::IdbTransaction;

use super::StoreError;

thread_local! {
    static INSTALLED: Cell<bool> = const { Cell::new(false) };
    static OPENED: RefCell<Option<IdbTransaction>> = const { RefCell::new(None) };
}

/// Wraps the browser's function, once.
pub(super) fn install() -> Result<(), StoreError> {
    if INSTALLED.get() {
        return Ok(());
    }
    wrap().map_err(|why| StoreError::Unavailable { why: format!("IndexedDB is missing: {why:?}") })?;
    INSTALLED.set(true);
    Ok(())
}

/// The transaction that was opened last; only once.
pub(super) fn take_opened() -> Option<IdbTransaction> {
    OPENED.take()
}

/// What the browser says of a transaction's durability: `strict`, `relaxed`, `default`; none where it is too old to say.
pub(super) fn durability(transaction: &IdbTransaction) -> Option<String> {
    Reflect::get(transaction, &"durability".into()).ok()?.as_string()
}

fn wrap() -> Result<(), JsValue> {
    let class = Reflect::get(&js_sys::global(), &"IDBDatabase".into())?;
    let prototype = Reflect::get(&class, &"prototype".into())?;
    let original: Function = Reflect::get(&prototype, &"transaction".into())?.dyn_into()?;

    let apply: Closure<dyn FnMut(Function, JsValue, Array) -> Result<JsValue, JsValue>> =
        Closure::new(|target: Function, this: JsValue, arguments: Array| {
            if arguments.get(1) == "readwrite" && arguments.length() == 2 {
                let options = Object::new();
                Reflect::set(&options, &"durability".into(), &"strict".into())?;
                arguments.push(&options);
            }
            let transaction = target.apply(&this, &arguments)?;
            OPENED.set(transaction.dyn_ref().cloned());
            Ok(transaction)
        });
    let handler = Object::new();
    Reflect::set(&handler, &"apply".into(), &apply.into_js_value())?;
    Reflect::set(&prototype, &"transaction".into(), &Proxy::new(&original, &handler))?;
    Ok(())
}
