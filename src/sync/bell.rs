//! How does a task sleep until something happens, or for so long?

use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

use futures_channel::oneshot;
use gloo_timers::callback::Timeout;

/// Why a task is woken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Wake {
    /// More may follow at once.
    Soon,
    /// Time has passed, the network is back, or the page is in view.
    Now,
    /// It is to end.
    End,
}

/// Wakes a task; rings on when it was busy.
#[derive(Default)]
pub(super) struct Bell {
    missed: RefCell<Option<Wake>>,
    sleeper: RefCell<Option<oneshot::Sender<Wake>>>,
}

impl Bell {
    pub(super) fn ring(&self, wake: Wake) {
        let unheard = match self.sleeper.take() {
            Some(sleeper) => sleeper.send(wake).err(),
            None => Some(wake),
        };
        let mut missed = self.missed.borrow_mut();
        *missed = (*missed).max(unheard);
    }

    /// What it rang while the task was busy; heard after this.
    pub(super) fn take_missed(&self) -> Option<Wake> {
        self.missed.take()
    }

    /// Sleeps until it rings, or for so long.
    pub(super) async fn sleep(self: &Rc<Self>, longest: Duration) -> Wake {
        if let Some(missed) = self.missed.take() {
            return missed;
        }
        let (sleeper, woken) = oneshot::channel();
        self.sleeper.replace(Some(sleeper));
        let bell = Rc::clone(self);
        let _alarm = Timeout::new(millis(longest), move || bell.ring(Wake::Now));
        woken.await.unwrap_or(Wake::End)
    }
}

pub(super) fn millis(time: Duration) -> u32 {
    u32::try_from(time.as_millis()).unwrap_or(u32::MAX)
}
