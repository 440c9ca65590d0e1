//! The browser's address bar and its history, as the router sees them.
//!
//! dioxus has one too, in a feature that also brings a way to run JavaScript from text, which this program never does and
//! its policy forbids: 13 kB of the first download.

use std::cell::Cell;
use std::rc::Rc;
use std::sync::Arc;

use dioxus_history::History;
use js_sys::{Array, Function};
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{ScrollRestoration, Window};

use crate::device::Listener;
use crate::ids::JobId;

/// By when also what stands below is there, on a screen that comes in parts, ms.
const LATER: i32 = 400;

/// The address bar of this page.
pub struct Address {
    window: Window,
    history: web_sys::History,
}

impl Address {
    /// `None` outside of a page.
    pub fn of_page() -> Option<Self> {
        let window = web_sys::window()?;
        let history = window.history().ok()?;
        // The browser would scroll before the screen is there: it is done below, after.
        let _ = history.set_scroll_restoration(ScrollRestoration::Manual);
        Some(Self { window, history })
    }

    /// How far this page is scrolled: kept with its entry in the history.
    fn scrolled(&self) -> Array {
        Array::of2(
            &self.window.scroll_x().unwrap_or_default().into(),
            &self.window.scroll_y().unwrap_or_default().into(),
        )
    }
}

/// The path of the page's address.
pub fn path() -> String {
    web_sys::window().and_then(|window| window.location().pathname().ok()).unwrap_or_default()
}

/// Whether the page's address is of a screen of that job.
pub fn is_of(job: JobId) -> bool {
    path().starts_with(&format!("/job/{job}"))
}

/// The code that stands behind the `#` of an address to pair with, taken out of the address: it is nobody else's business. To
/// be asked before the router writes the address anew.
pub fn take_code() -> Option<String> {
    let window = web_sys::window()?;
    let location = window.location();
    let path = location.pathname().ok().filter(|path| path == "/pair")?;
    let code = location.hash().ok()?.trim_start_matches('#').to_owned();
    if code.is_empty() {
        return None;
    }
    let history = window.history().ok()?;
    // Refused only for an address of another host.
    let _ = history.replace_state_with_url(&history.state().unwrap_or_default(), "", Some(&path));
    Some(code)
}

/// Loads the page again, as it is addressed.
pub fn load_again() {
    if let Some(window) = web_sys::window() {
        // Refused only where there is no page.
        let _ = window.location().reload();
    }
}

impl History for Address {
    fn current_route(&self) -> String {
        let location = self.window.location();
        let parts = [location.pathname(), location.search(), location.hash()];
        parts.into_iter().map(Result::unwrap_or_default).collect()
    }

    fn go_back(&self) {
        // Where there is nothing to go back to, the browser stays.
        let _ = self.history.back();
    }

    fn go_forward(&self) {
        let _ = self.history.forward();
    }

    fn push(&self, route: String) {
        if route == self.current_route() {
            return;
        }
        // Refused only for an address of another host, which a route is not.
        let _ = self.history.replace_state(&self.scrolled(), "");
        let _ = self.history.push_state_with_url(&Array::of2(&0.into(), &0.into()), "", Some(&route));
    }

    fn replace(&self, route: String) {
        let _ = self.history.replace_state_with_url(&self.scrolled(), "", Some(&route));
    }

    fn external(&self, url: String) -> bool {
        self.window.location().set_href(&url).is_ok()
    }

    fn updater(&self, callback: Arc<dyn Fn() + Send + Sync>) {
        let (window, history) = (self.window.clone(), self.history.clone());
        let reached = Rc::new(Cell::new(None));
        let before = Rc::clone(&reached);
        let scroll = Closure::<dyn Fn()>::new(move || {
            let place = Array::from(&history.state().unwrap_or_default());
            let (Some(x), Some(y)) = (place.get(0).as_f64(), place.get(1).as_f64()) else { return };
            // Where the screen was too short before; somebody who has scrolled up meanwhile is left there. Down goes also the
            // browser, to hold what is in sight while something comes above it.
            let was_short = |before: f64| before < y && window.scroll_y().is_ok_and(|now| now >= before);
            if before.get().is_none_or(was_short) {
                window.scroll_to_with_x_and_y(x, y);
                before.set(window.scroll_y().ok());
            }
        });
        let scroll: Function = scroll.into_js_value().unchecked_into();
        let window = self.window.clone();
        Listener::new(self.window.clone(), "popstate", move |_| {
            callback();
            reached.set(None);
            // Once the screen is there; and once more when what comes below it a moment later is there too.
            let _ = window.request_animation_frame(&scroll);
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&scroll, LATER);
        })
        .for_good();
    }
}
