//! How is an act kept? As an event: its id, time and device, and its body as plain JSON.
//!
//! An [`Event`] keeps its body as plain JSON, so that a log with acts from a newer version passes
//! through an older phone without loss; [`Event::act`] reads it.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::Value;

use crate::ids::{DeviceId, EventId};
pub use crate::job::act::{Act, Concern, Finding, FreshFuse, HandOverWay, Material, Often, Photo, ReleaseItem, Stage};
use crate::job::told::{pointer, said};
use crate::objects::{self, Objects};

/// One immutable entry of a job's log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Event {
    /// UUIDv7: events sort by it.
    pub id: EventId,
    /// When it was made, by the device's clock.
    pub at: DateTime<Utc>,
    /// Which device made it.
    pub device_id: DeviceId,
    /// Which act, in snake case.
    pub kind: String,
    /// The act's own fields. Numbers stand as RFC 8785 writes them, so that two bodies that mean the same are equal.
    #[serde(deserialize_with = "body")]
    pub body: Value,
}

/// Why an event says nothing to this version.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ActError {
    /// A kind that this version does not know: keep it, pass it on, do not show it.
    #[error(
        "event {event} is of kind {kind:?}, which a newer version of Loomwalk wrote: it is kept, but not shown here"
    )]
    FromNewer {
        /// The event.
        event: EventId,
        /// Its kind.
        kind: String,
    },
    /// A kind that this version knows, with a body that does not fit it.
    #[error("event {event} of kind {kind:?} cannot be read: at {path}: {why}")]
    Malformed {
        /// The event.
        event: EventId,
        /// Its kind.
        kind: String,
        /// Where in the event, as a JSON pointer.
        path: String,
        /// What is wrong there.
        why: String,
    },
}

impl Event {
    /// The event that keeps an act.
    pub fn new(id: EventId, at: DateTime<Utc>, device_id: DeviceId, act: &Act) -> Self {
        // Serialising an act cannot fail: it has no map with keys that are not text. Were it ever to, the event
        // would be there and unreadable, which a fold survives.
        // By way of text, for then the program holds one writer of each type.
        let text = serde_json::to_string(act);
        let whole: Value = text.and_then(|text| serde_json::from_str(&text)).unwrap_or_default();
        let mut body = whole.get(act.kind()).cloned().unwrap_or_default();
        plain_numbers(&mut body);
        Self { id, at, device_id, kind: act.kind().to_owned(), body }
    }

    /// What the event says, or that this version cannot tell.
    ///
    /// # Errors
    /// As [`Self::act_or_where`], but of a body that does not fit only that, not where.
    pub fn act(&self) -> Result<Act, ActError> {
        self.read_by(|text| objects::from_str(text).map_err(|error| (String::new(), said(&error))))
    }

    /// What the event says, or why this version cannot tell: for what comes from elsewhere. A program that does not ask
    /// is the smaller for it.
    ///
    /// # Errors
    /// [`ActError::FromNewer`] for a kind outside [`Act::KINDS`], [`ActError::Malformed`] for a body that does not
    /// fit its kind or holds a duration that is not a number of minutes from 0 up.
    pub fn act_or_where(&self) -> Result<Act, ActError> {
        self.read_by(|text| {
            serde_path_to_error::deserialize(Objects(&mut serde_json::Deserializer::from_str(text)))
                .map_err(|error| (pointer(error.path()), said(error.inner())))
        })
    }

    /// Reads the act by a reader that tells the place, from the act's kind on, and what is wrong there.
    fn read_by(&self, read: impl FnOnce(&str) -> Result<Act, (String, String)>) -> Result<Act, ActError> {
        if !Act::KINDS.contains(&self.kind.as_str()) {
            return Err(ActError::FromNewer { event: self.id, kind: self.kind.clone() });
        }
        let malformed =
            |path: String, why: String| ActError::Malformed { event: self.id, kind: self.kind.clone(), path, why };
        // As serde tells the variants of an enum apart: one field, named after the variant. Read from text, as circuit
        // files are: the program then holds the reader of each type once, and is the smaller to download for it.
        let text = serde_json::to_string(&BTreeMap::from([(&self.kind, &self.body)])).unwrap_or_default();
        let act = read(&text).map_err(|(path, why)| {
            let within = path.strip_prefix('/').and_then(|path| path.strip_prefix(self.kind.as_str()));
            malformed(format!("/body{}", within.unwrap_or_default()), why)
        })?;
        match act.minutes() {
            Some(minutes) if !(minutes.is_finite() && minutes >= 0.0) => {
                Err(malformed("/body/minutes".to_owned(), format!("{minutes} is not a number of minutes from 0 up")))
            }
            _ => Ok(act),
        }
    }
}

fn body<'de, D: Deserializer<'de>>(reader: D) -> Result<Value, D::Error> {
    let mut body = Value::deserialize(reader)?;
    plain_numbers(&mut body);
    Ok(body)
}

/// Gives numbers the one form that RFC 8785 §3.2.2.3 has for their double: `15.0` and `15` become `15`.
fn plain_numbers(value: &mut Value) {
    match value {
        Value::Number(number) => {
            // Whole numbers up to 2^53 are exact in a double; beyond, the double is what RFC 8785 writes.
            const EXACT: f64 = 9_007_199_254_740_992.0;
            let Some(double) = number.as_f64() else { return };
            if double.fract() == 0.0 && double.abs() <= EXACT {
                *number = serde_json::Number::from(double as i64);
            } else if let Some(plain) = serde_json::Number::from_f64(double) {
                *number = plain;
            }
        }
        Value::Array(items) => items.iter_mut().for_each(plain_numbers),
        Value::Object(fields) => fields.values_mut().for_each(plain_numbers),
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}
