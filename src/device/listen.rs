//! What happens to a page: the network comes back, it comes into view?

use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{Event, EventTarget, VisibilityState};

/// Listens until it is dropped.
#[must_use = "it stops listening when it is dropped"]
pub struct Listener {
    target: EventTarget,
    name: &'static str,
    closure: Closure<dyn FnMut(Event)>,
}

impl Listener {
    /// Calls back at each event of that name.
    pub fn new(target: impl AsRef<EventTarget>, name: &'static str, callback: impl FnMut(Event) + 'static) -> Self {
        let target = target.as_ref().clone();
        let closure = Closure::new(callback);
        // Refused only for a listener that is no function.
        let _ = target.add_event_listener_with_callback(name, closure.as_ref().unchecked_ref());
        Self { target, name, closure }
    }

    /// Listens as long as the page lives.
    pub fn for_good(self) {
        std::mem::forget(self);
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        let _ = self.target.remove_event_listener_with_callback(self.name, self.closure.as_ref().unchecked_ref());
    }
}

/// Whether the browser thinks that there is a network. Only a hint: `true` promises nothing.
pub fn online() -> bool {
    web_sys::window().is_none_or(|window| window.navigator().on_line())
}

/// Calls back when the browser thinks that the network is back. `None` outside of a page.
pub fn on_online(mut callback: impl FnMut() + 'static) -> Option<Listener> {
    Some(Listener::new(web_sys::window()?, "online", move |_| callback()))
}

/// Calls back each time the page goes out of view, as before a phone ends it. `None` outside of a page.
pub fn on_hidden(mut callback: impl FnMut() + 'static) -> Option<Listener> {
    let document = web_sys::window()?.document()?;
    Some(Listener::new(document.clone(), "visibilitychange", move |_| {
        if document.visibility_state() == VisibilityState::Hidden {
            callback();
        }
    }))
}

/// Calls back each time the page comes into view. `None` outside of a page.
pub fn on_visible(mut callback: impl FnMut() + 'static) -> Option<Listener> {
    let document = web_sys::window()?.document()?;
    Some(Listener::new(document.clone(), "visibilitychange", move |_| {
        if document.visibility_state() == VisibilityState::Visible {
            callback();
        }
    }))
}
