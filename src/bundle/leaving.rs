//! What is a bundle made of? What whoever asks for one has to say, so that it can be made away from the screen.

use std::borrow::Cow;
use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::bundle::file::{Bundle, make};
use crate::ids::{BundleId, DeviceId, EventId, JobId};
use crate::job::event::Event;
use crate::job::log::{Log, LogError};
use crate::job::state::Job;

/// A job that is about to leave the phone.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Leaving<'a> {
    /// Which.
    pub job: JobId,
    /// Its whole log, in order.
    pub log: Cow<'a, [Event]>,
    /// Which of these events are to go. None: all.
    pub only: Option<BTreeSet<EventId>>,
    /// The bundle's own id.
    pub bundle_id: BundleId,
    /// Who makes it.
    pub device_id: DeviceId,
    /// When.
    pub made_at: DateTime<Utc>,
}

impl Leaving<'_> {
    /// The bundle, without photographs' bytes.
    ///
    /// # Errors
    /// [`LogError`] where two different events bear one id.
    pub fn bundle(&self) -> Result<Bundle, LogError> {
        let job = Job::fold(self.job, &Log::of(self.log.iter().cloned())?);
        let goes = |event: &&Event| self.only.as_ref().is_none_or(|only| only.contains(&event.id));
        Ok(make(&job, self.log.iter().filter(goes), self.bundle_id, self.device_id, self.made_at))
    }
}
