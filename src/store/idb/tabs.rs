//! How do tabs on the same store hear of each other? By a channel on which the job's id is called out, or the shelf.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{BroadcastChannel, MessageEvent};

use crate::ids::JobId;

/// Other tabs and windows on the same store.
pub(super) struct Others {
    channel: BroadcastChannel,
    callbacks: Callbacks,
    of_shelf: ShelfCallbacks,
    _listener: Closure<dyn Fn(MessageEvent)>,
}

type Callbacks = Rc<RefCell<Vec<Rc<dyn Fn(JobId)>>>>;
type ShelfCallbacks = Rc<RefCell<Vec<Rc<dyn Fn()>>>>;

/// What is called out when the shelf has changed. No job's id.
const SHELF: &str = "shelf";

impl Others {
    /// Listens. `None`: the browser has no such channel (iOS before 15.4).
    pub fn listen(name: &str, changed: Rc<RefCell<BTreeSet<JobId>>>) -> Option<Self> {
        let channel = BroadcastChannel::new(name).ok()?;
        let callbacks = Callbacks::default();
        let of_shelf = ShelfCallbacks::default();
        let (inside, shelf_inside) = (callbacks.clone(), of_shelf.clone());
        let listener = Closure::<dyn Fn(MessageEvent)>::new(move |message: MessageEvent| {
            let Some(text) = message.data().as_string() else { return };
            if text == SHELF {
                let callbacks = shelf_inside.borrow().clone();
                callbacks.iter().for_each(|callback| callback());
                return;
            }
            let Ok(job) = text.parse() else { return };
            changed.borrow_mut().insert(job);
            // Copied first: a callback may add another.
            let callbacks = inside.borrow().clone();
            callbacks.iter().for_each(|callback| callback(job));
        });
        channel.set_onmessage(Some(listener.as_ref().unchecked_ref()));
        Some(Self { channel, callbacks, of_shelf, _listener: listener })
    }

    /// Calls back when another tab has kept something.
    pub fn on_change(&self, callback: impl Fn(JobId) + 'static) {
        self.callbacks.borrow_mut().push(Rc::new(callback));
    }

    /// Calls back when another tab has changed the shelf.
    pub fn on_shelf_change(&self, callback: impl Fn() + 'static) {
        self.of_shelf.borrow_mut().push(Rc::new(callback));
    }

    /// Tells the others that the shelf has changed.
    pub fn tell_shelf(&self) {
        // As below.
        let _ = self.channel.post_message(&SHELF.into());
    }

    /// Tells the others.
    pub fn tell(&self, job: JobId) {
        // A tab that misses this sees it when it reads next; nothing depends on it.
        let _ = self.channel.post_message(&job.to_string().into());
    }
}

impl Drop for Others {
    fn drop(&mut self) {
        self.channel.set_onmessage(None);
        self.channel.close();
    }
}
