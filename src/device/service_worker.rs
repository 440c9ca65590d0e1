//! Is the program kept on this device, and is a newer one waiting to be taken?
//!
//! The worker itself is `sw.js`. Nothing here changes the program by itself: a newer build waits until the user takes
//! it, and only then the page is loaded again.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use wasm_bindgen::JsCast;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{
    RegistrationOptions, ServiceWorker, ServiceWorkerContainer, ServiceWorkerRegistration, ServiceWorkerState,
    ServiceWorkerUpdateViaCache,
};

use super::{Listener, field, object, on_visible};

const ADDRESS: &str = "/sw.js";

type Callback = Rc<RefCell<dyn FnMut()>>;

thread_local! {
    static REGISTRATION: RefCell<Option<ServiceWorkerRegistration>> = const { RefCell::new(None) };
    static CALLBACKS: RefCell<Vec<Callback>> = const { RefCell::new(Vec::new()) };
    static NEWER: Cell<bool> = const { Cell::new(false) };
    static TAKING: Cell<bool> = const { Cell::new(false) };
}

/// Registers the worker, and looks for a newer one each time the page comes into view. `false`: this browser or
/// address has none, and the program needs the network to start.
pub async fn register() -> bool {
    let Some(container) = container() else { return false };
    let options = RegistrationOptions::new();
    options.set_update_via_cache(ServiceWorkerUpdateViaCache::None);
    let registered = JsFuture::from(container.register_with_options(ADDRESS, &options)).await;
    let Some(registration) = registered.ok().and_then(|value| value.dyn_into::<ServiceWorkerRegistration>().ok())
    else {
        return false;
    };

    // At the very first start the worker takes charge of a page that had none: that is nothing newer.
    let had_one = container.controller().is_some();
    Listener::new(&container, "controllerchange", move |_| match TAKING.get() {
        true => reload(),
        // Another tab has taken it.
        false if had_one => tell(),
        false => {}
    })
    .for_good();
    if registration.waiting().is_some() && had_one {
        tell();
    }
    let inside = registration.clone();
    Listener::new(&registration, "updatefound", move |_| {
        if let Some(installing) = inside.installing() {
            tell_once_installed(installing);
        }
    })
    .for_good();
    let inside = registration.clone();
    if let Some(listener) = on_visible(move || look_for_newer(&inside)) {
        listener.for_good();
    }
    REGISTRATION.set(Some(registration));
    true
}

/// Whether there is nothing to wait for: the worker is in charge of this page, or there will be none.
pub(super) fn is_settled() -> bool {
    container().is_none_or(|container| container.controller().is_some())
}

/// Calls back when the worker has taken charge of this page.
pub(super) fn on_charge(mut callback: impl FnMut() + 'static) {
    if let Some(container) = container() {
        Listener::new(container, "controllerchange", move |_| callback()).for_good();
    }
}

/// Calls back when a newer program waits to be taken, also when it does already.
pub fn on_waiting(mut callback: impl FnMut() + 'static) {
    if NEWER.get() {
        callback();
    }
    CALLBACKS.with_borrow_mut(|callbacks| callbacks.push(Rc::new(RefCell::new(callback))));
}

/// Takes the newer program: the page is loaded again, once. Call it when nothing is being written.
pub fn take() {
    let waiting = REGISTRATION.with_borrow(|registration| registration.as_ref().and_then(|known| known.waiting()));
    match waiting {
        Some(worker) => {
            TAKING.set(true);
            if worker.post_message(&object([("take", "now".into())])).is_err() {
                reload();
            }
        }
        None => reload(),
    }
}

fn tell() {
    NEWER.set(true);
    // Copied first: a callback may add another.
    let callbacks = CALLBACKS.with_borrow(Vec::clone);
    callbacks.iter().for_each(|callback| callback.borrow_mut()());
}

fn tell_once_installed(worker: ServiceWorker) {
    let inside = worker.clone();
    Listener::new(&worker, "statechange", move |_| {
        let first_ever = container().is_none_or(|container| container.controller().is_none());
        if inside.state() == ServiceWorkerState::Installed && !first_ever {
            tell();
        }
    })
    .for_good();
}

fn look_for_newer(registration: &ServiceWorkerRegistration) {
    if let Ok(looking) = registration.update() {
        // Without a network it fails, and is tried again at the next view.
        spawn_local(async move { drop(JsFuture::from(looking).await) });
    }
}

fn reload() {
    if let Some(window) = web_sys::window() {
        let _ = window.location().reload();
    }
}

/// Missing where the page is not served safely.
fn container() -> Option<ServiceWorkerContainer> {
    field(&web_sys::window()?.navigator(), "serviceWorker").dyn_into().ok()
}
