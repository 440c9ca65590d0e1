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
    /// Nothing is left to be sent, and yet the desk does not have all of these jobs. It has all of the others.
    Partly(Vec<(JobId, Lack)>),
}

/// Why the desk does not have all of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lack {
    /// Desk and phone do not agree on something of it, and why, in the desk's words; it is offered again when it has changed.
    Refused(String),
    /// It has all that is on this phone; so many photographs and recordings are neither there nor here.
    NotHere(usize),
}

impl OutboxStatus {
    /// Whether it may be untrue once something new is kept.
    pub(crate) fn is_settled(&self) -> bool {
        matches!(self, Self::UpToDate | Self::Partly(_))
    }

    fn lack(&self, job: JobId) -> Option<&Lack> {
        let Self::Partly(lacks) = self else { return None };
        lacks.iter().find(|(of, _)| *of == job).map(|(_, lack)| lack)
    }

    /// Why the desk does not take that job.
    pub fn refusal(&self, job: JobId) -> Option<&str> {
        match self.lack(job) {
            Some(Lack::Refused(why)) => Some(why),
            _ => None,
        }
    }

    /// How many photographs and recordings of that job are neither at the desk nor here.
    pub fn not_here(&self, job: JobId) -> usize {
        match self.lack(job) {
            Some(Lack::NotHere(some)) => *some,
            _ => 0,
        }
    }

    /// Whether the desk has all of that job that is on this phone.
    pub fn has_all(&self, job: JobId) -> bool {
        self.is_settled() && self.refusal(job).is_none()
    }

    /// Whether the desk was heard a moment ago: it can be asked for more.
    pub fn is_in_touch(&self) -> bool {
        matches!(self, Self::UpToDate | Self::Soon | Self::Sending { .. } | Self::Partly(_))
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
            Self::Partly(lacks) => {
                let told = lacks.iter().flat_map(|(job, lack)| {
                    let lack = match lack {
                        Lack::Refused(why) => JsValue::from(why.as_str()),
                        Lack::NotHere(some) => JsValue::from(*some as f64),
                    };
                    [JsValue::from(job.to_string()), lack]
                });
                object([("state", "partly".into()), ("lacks", told.collect::<Array>().into())])
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
            "partly" => {
                let told = Array::from(&field(told, "lacks"));
                let mut told = told.iter();
                let mut lacks = Vec::new();
                while let (Some(job), Some(lack)) = (told.next(), told.next()) {
                    let lack = match lack.as_f64() {
                        Some(some) => Lack::NotHere(some as usize),
                        None => Lack::Refused(lack.as_string()?),
                    };
                    lacks.push((job.as_string()?.parse().ok()?, lack));
                }
                Self::Partly(lacks)
            }
            _ => return None,
        })
    }
}
