//! What are the screens told of the sending? As a value, and as the plain object that goes from the worker to the page.

use chrono::{DateTime, Utc};
use js_sys::Array;
#[cfg(feature = "worker")]
use js_sys::Object;
use wasm_bindgen::JsValue;

use crate::device::field;
#[cfg(feature = "worker")]
use crate::device::object;
use crate::ids::JobId;

/// What the outbox is doing.
#[derive(Debug, Clone, PartialEq)]
pub enum OutboxStatus {
    /// There is no desk at this address, as far as is known.
    NoDesk,
    /// There is a desk, and this phone is not paired with it.
    Unpaired,
    /// The desk has everything.
    UpToDate,
    /// Something was kept a moment ago and is about to be sent.
    Soon,
    /// It is sending.
    Sending {
        /// Bytes of photographs that the desk has confirmed in this round.
        sent_bytes: u64,
        /// Bytes of photographs in this round.
        total_bytes: u64,
    },
    /// It will try again.
    Waiting {
        /// When, at the latest.
        until: DateTime<Utc>,
        /// Why not now.
        why: String,
    },
    /// Desk and phone do not agree on something of these jobs, and why, in the desk's words; each is offered again when it
    /// has changed. The desk has all of the others.
    Refused(Vec<(JobId, String)>),
}

impl OutboxStatus {
    /// Whether it may be untrue once something new is kept.
    pub(crate) fn is_settled(&self) -> bool {
        matches!(self, Self::UpToDate | Self::Refused(_))
    }

    /// Why the desk does not take that job.
    pub fn refusal(&self, job: JobId) -> Option<&str> {
        let Self::Refused(refused) = self else { return None };
        refused.iter().find(|(of, _)| *of == job).map(|(_, why)| why.as_str())
    }

    /// Whether the desk has all of that job.
    pub fn has_all(&self, job: JobId) -> bool {
        self.is_settled() && self.refusal(job).is_none()
    }

    /// Whether the desk was heard a moment ago: it can be asked for more.
    pub fn is_in_touch(&self) -> bool {
        matches!(self, Self::UpToDate | Self::Soon | Self::Sending { .. } | Self::Refused(_))
    }

    /// As it is sent from the worker to the page.
    #[cfg(feature = "worker")]
    pub(crate) fn to_object(&self) -> Object {
        let plain = |state: &str| object([("state", state.into())]);
        match self {
            Self::NoDesk => plain("no_desk"),
            Self::Unpaired => plain("unpaired"),
            Self::UpToDate => plain("up_to_date"),
            Self::Soon => plain("soon"),
            Self::Sending { sent_bytes, total_bytes } => object([
                ("state", "sending".into()),
                ("sent", (*sent_bytes as f64).into()),
                ("total", (*total_bytes as f64).into()),
            ]),
            Self::Waiting { until, why } => object([
                ("state", "waiting".into()),
                ("until", (until.timestamp_millis() as f64).into()),
                ("why", why.as_str().into()),
            ]),
            Self::Refused(refused) => {
                let words = refused.iter().flat_map(|(job, why)| [job.to_string(), why.clone()]);
                let words: Array = words.map(JsValue::from).collect();
                object([("state", "refused".into()), ("refused", words.into())])
            }
        }
    }

    /// As it came from the worker. `None`: it is none, or of another version.
    pub(crate) fn of_object(told: &JsValue) -> Option<Self> {
        let number = |name: &str| field(told, name).as_f64().unwrap_or_default();
        let why = || field(told, "why").as_string().unwrap_or_default();
        Some(match field(told, "state").as_string()?.as_str() {
            "no_desk" => Self::NoDesk,
            "unpaired" => Self::Unpaired,
            "up_to_date" => Self::UpToDate,
            "soon" => Self::Soon,
            "sending" => Self::Sending { sent_bytes: number("sent") as u64, total_bytes: number("total") as u64 },
            "waiting" => {
                let until = DateTime::from_timestamp_millis(number("until") as i64).unwrap_or_default();
                Self::Waiting { until, why: why() }
            }
            "refused" => {
                let words = Array::from(&field(told, "refused"));
                let mut words = words.iter().filter_map(|word| word.as_string());
                let mut refused = Vec::new();
                while let (Some(job), Some(why)) = (words.next(), words.next()) {
                    refused.push((job.parse().ok()?, why));
                }
                Self::Refused(refused)
            }
            _ => return None,
        })
    }
}
