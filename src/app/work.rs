//! What takes long: shown on every screen while it lasts, how far it is, and with a way to stop it.

use std::cell::Cell;
use std::future::poll_fn;
use std::pin::Pin;
use std::rc::Rc;
use std::task::Poll;

use dioxus::prelude::*;
use futures_channel::oneshot;

use crate::app::house::{House, WordKind};
use crate::device::worker;

/// Something that is being worked on, as it is shown.
#[derive(Clone)]
pub struct Busy {
    id: u32,
    /// What, in words.
    pub words: String,
    /// How far it is, from 0 to 1, where that is known.
    pub part: Option<f64>,
    /// Stops it, where that can be done.
    pub stop: Option<Stop>,
}

/// Stops what is being worked on.
#[derive(Clone)]
pub struct Stop(Rc<Cell<Option<oneshot::Sender<()>>>>);

impl Stop {
    /// Now; again changes nothing.
    pub fn now(&self) {
        if let Some(stop) = self.0.take() {
            // It may be done by now.
            let _ = stop.send(());
        }
    }
}

/// Something that is being worked on; over when it is dropped.
#[must_use = "it is over when it is dropped"]
pub struct Work {
    id: u32,
    house: House,
}

impl Work {
    /// Begins number `id`.
    pub(super) fn begin(house: House, id: u32, words: String) -> Self {
        let mut busy = house.busy;
        busy.push(Busy { id, words, part: None, stop: None });
        Self { id, house }
    }

    /// Tells how far it is, from 0 to 1.
    pub fn progress(&self) -> impl Fn(f64) + 'static {
        let (id, house) = (self.id, self.house);
        move |part| change(house, id, |busy| busy.part = Some(part))
    }

    /// Does something of the worker's, unless the user stops it, who is told so: `None`. Only for what changes nothing
    /// before it is done.
    pub async fn unless_stopped<T>(&self, doing: impl Future<Output = T>) -> Option<T> {
        self.until_stopped(doing, "Stopped. Nothing was made or changed.").await
    }

    /// The same for what may come to its end behind the user's back; `told` says so.
    pub async fn until_stopped<T>(&self, doing: impl Future<Output = T>, told: &str) -> Option<T> {
        let (stop, mut stopped) = oneshot::channel();
        change(self.house, self.id, |busy| busy.stop = Some(Stop(Rc::new(Cell::new(Some(stop))))));
        let mut doing = Box::pin(doing);
        // What is done is done, also where it was to be stopped in the same moment.
        let done = poll_fn(|context| match (doing.as_mut().poll(context), Pin::new(&mut stopped).poll(context)) {
            (Poll::Ready(done), _) => Poll::Ready(Some(done)),
            (Poll::Pending, Poll::Ready(Ok(()))) => Poll::Ready(None),
            (Poll::Pending, _) => Poll::Pending,
        });
        let done = done.await;
        // What waits for the worker goes first.
        drop(doing);
        change(self.house, self.id, |busy| (busy.part, busy.stop) = (None, None));
        if done.is_none() {
            worker::give_up();
            self.house.say(WordKind::Done, told);
        }
        done
    }
}

impl Drop for Work {
    fn drop(&mut self) {
        let id = self.id;
        let mut busy = self.house.busy;
        busy.write().retain(|busy| busy.id != id);
    }
}

fn change(house: House, id: u32, change: impl FnOnce(&mut Busy)) {
    let mut busy = house.busy;
    if let Some(busy) = busy.write().iter_mut().find(|busy| busy.id == id) {
        change(busy);
    }
}
