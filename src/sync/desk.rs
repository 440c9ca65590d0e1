//! How is the desk spoken to? One function a call of its API; photographs go from the store to the network without
//! passing through the program's memory.
//!
//! - `upload`: photographs, whole or in pieces.

mod upload;

use std::time::Duration;

use gloo_timers::callback::Timeout;
use js_sys::{ArrayBuffer, Function, JSON, Promise, Uint8Array};
use serde::de::DeserializeOwned;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{AbortController, Headers, ReadableStreamDefaultReader, RequestCache, RequestInit, Response};

use crate::device::{field, object};
use crate::ids::{BundleId, DeviceId, JobId, PhotoHash};
use crate::objects;
use crate::store::{IdbStore, StoreError};
use crate::sync::protocol::{EventPage, Health, Paired, Problem, Receipt, VERSION};

/// For a question without a body, ms.
const SHORT: u32 = 20_000;
/// For a bundle, a whole photograph or small ones over a slow network, ms.
const LONG: u32 = 10 * 60_000;
/// Between two pieces of an answer, ms. How long the whole takes is not asked: over a slow network it comes late, and a
/// network that died brings nothing more.
const SILENCE: u32 = 30_000;

/// Why a call did not lead to its end.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Trouble {
    /// There is no desk at this address, or it knows nothing of what it was asked for.
    NoDesk,
    /// The desk does not know this phone.
    Unpaired {
        /// Why, in the desk's words.
        why: String,
    },
    /// Try again later: no network, or the desk is busy or broken for now.
    Later {
        /// Why, for people.
        why: String,
        /// How long the desk asks us to stay away.
        retry_after: Option<Duration>,
    },
    /// The same again will be refused again.
    Refused {
        /// Why, for people.
        why: String,
    },
}

/// For whoever asked once and does not ask again by himself.
impl std::fmt::Display for Trouble {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoDesk => out.write_str("there is no desk at this address, or it does not have that"),
            Self::Unpaired { why } | Self::Refused { why } => out.write_str(why),
            Self::Later { why, .. } => write!(out, "{why}; try again in a while"),
        }
    }
}

/// One call.
struct Call<'a> {
    method: &'a str,
    /// Behind `/api/v1/`.
    path: &'a str,
    headers: &'a [(&'a str, &'a str)],
    body: Option<JsValue>,
    /// Until the answer begins, ms.
    patience: u32,
    /// Ends it early; after its patience too.
    stop: Option<AbortController>,
}

/// What the desk has answered, all of it.
struct Answer {
    status: u16,
    headers: Headers,
    body: Uint8Array,
}

impl Answer {
    fn is_success(&self) -> bool {
        (200..300).contains(&self.status)
    }

    fn header(&self, name: &str) -> Option<String> {
        self.headers.get(name).ok().flatten()
    }

    fn text(&self) -> Option<String> {
        String::from_utf8(self.body.to_vec()).ok()
    }

    fn json<T: DeserializeOwned>(&self) -> Option<T> {
        objects::from_str(&self.text()?).ok()
    }

    /// What it means where it is no success.
    fn trouble(&self) -> Trouble {
        let status = self.status;
        let retry_after = self.header("Retry-After").and_then(|seconds| seconds.trim().parse().ok());
        let retry_after = retry_after.map(Duration::from_secs);
        let told = self.json::<Problem>().map(|problem| problem.detail).filter(|detail| !detail.is_empty());
        let why = told.unwrap_or_else(|| format!("the desk answers {status}"));
        match status {
            401 => Trouble::Unpaired { why },
            408 | 425 | 429 | 500.. => Trouble::Later { why, retry_after },
            404 | 405 => Trouble::NoDesk,
            _ => Trouble::Refused { why },
        }
    }

    /// It, if it is a success.
    fn good(self) -> Result<Self, Trouble> {
        if self.is_success() { Ok(self) } else { Err(self.trouble()) }
    }
}

impl<'a> Call<'a> {
    fn of(method: &'a str, path: &'a str) -> Self {
        Self { method, path, headers: &[], body: None, patience: SHORT, stop: None }
    }
}

/// The desk at our own address, as this phone may speak to it.
pub(super) struct Desk {
    token: Option<String>,
}

impl Desk {
    /// With what the phone has kept of its pairing.
    pub(super) async fn of(store: &IdbStore) -> Result<Self, StoreError> {
        Ok(Self { token: store.desk_token().await? })
    }

    /// What it shows to the desk.
    pub(super) fn token(&self) -> Option<&str> {
        self.token.as_deref()
    }

    /// Is there a desk, and which store does it say it keeps things in?
    pub(super) async fn health(&self) -> Result<Option<DeviceId>, Trouble> {
        let answer = self.call(Call::of("GET", "health")).await?;
        if answer.status != 200 {
            return Err(answer.trouble());
        }
        // A host that answers every address with its page is no desk.
        let health: Health = answer.json().ok_or(Trouble::NoDesk)?;
        match health {
            Health { program, .. } if program != env!("CARGO_PKG_NAME") => Err(Trouble::NoDesk),
            Health { protocol, .. } if protocol < VERSION => {
                Err(later(format!("the desk is of an older version ({}); it needs an update", health.version)))
            }
            Health { oldest, .. } if oldest > VERSION => Err(later(format!(
                "this app is older than the desk ({}); take the new version, or load the page again with a network",
                health.version
            ))),
            _ => Ok(health.store),
        }
    }

    /// Is this phone known? A desk that keeps no list of jobs is of the time before pairing, and takes every phone.
    pub(super) async fn knows_us(&self) -> Result<(), Trouble> {
        let answer = self.call(Call::of("GET", "jobs")).await?;
        match answer.status {
            200 | 404 | 405 => Ok(()),
            _ => Err(answer.trouble()),
        }
    }

    /// Gives the code that the desk shows, and gets a token for it.
    pub(super) async fn pair(&self, code: &str, name: &str) -> Result<Paired, Trouble> {
        let asked = JSON::stringify(&object([("code", code.into()), ("name", name.into())]));
        let body = asked.map(JsValue::from).map_err(|error| refused(crate::device::said(&error)))?;
        let headers: &[_] = &[("Content-Type", "application/json")];
        let answer = self.call(Call { headers, body: Some(body), ..Call::of("POST", "pairings") }).await?.good()?;
        answer.json().ok_or_else(|| refused("what the desk says to it cannot be read".into()))
    }

    /// The jobs that lie at the desk, as the text of `JobsAtDesk`.
    pub(super) async fn jobs(&self, words: &str) -> Result<String, Trouble> {
        let path = format!("jobs?words={}", encoded(words));
        self.call(Call::of("GET", &path)).await?.good()?.text().ok_or_else(cut_off)
    }

    /// What the shop's closed jobs have taught, as the text of a `Shop`.
    pub(super) async fn lessons(&self) -> Result<String, Trouble> {
        self.call(Call::of("GET", "lessons")).await?.good()?.text().ok_or_else(cut_off)
    }

    /// Events that the desk took in after a cursor; waits there for so many seconds where there are none yet. `None`: the
    /// cursor is not one of this desk's.
    pub(super) async fn events(
        &self,
        job: JobId,
        cursor: Option<&str>,
        wait: u32,
        stop: Option<AbortController>,
    ) -> Result<Option<EventPage>, Trouble> {
        let after = cursor.map(|cursor| format!("after={}&", encoded(cursor))).unwrap_or_default();
        let path = format!("jobs/{job}/events?{after}wait={wait}");
        let patience = SHORT + wait * 1_000;
        let answer = self.call(Call { patience, stop, ..Call::of("GET", &path) }).await?;
        match answer.status {
            200 => answer.json().map(Some).ok_or_else(cut_off),
            400 => Ok(None),
            _ => Err(answer.trouble()),
        }
    }

    /// A photograph made small by the desk.
    pub(super) async fn small_photo(&self, hash: &PhotoHash, edge: u32) -> Result<ArrayBuffer, Trouble> {
        let path = format!("photos/{hash}?edge={edge}");
        let answer = self.call(Call { patience: LONG, ..Call::of("GET", &path) }).await?;
        Ok(answer.good()?.body.buffer())
    }

    /// Sends a bundle; done once the desk has given its receipt.
    pub(super) async fn put_bundle(
        &self,
        job: JobId,
        bundle: BundleId,
        log_digest: &str,
        text: String,
    ) -> Result<Receipt, Trouble> {
        let path = format!("jobs/{job}/bundles/{bundle}");
        let headers: &[_] = &[("Content-Type", "application/json")];
        let call = Call { headers, body: Some(text.into()), patience: LONG, ..Call::of("PUT", &path) };
        let answer = self.call(call).await?.good()?;
        let receipt: Receipt = answer.json().ok_or_else(|| later("the desk's receipt cannot be read".into()))?;
        if receipt.job == job && receipt.bundle_id == bundle && receipt.log_digest == log_digest {
            Ok(receipt)
        } else {
            Err(later("the desk's receipt is for something else".into()))
        }
    }

    /// Asks, and waits for all of the answer. It ends, also where the network dies in the middle of it.
    async fn call(&self, call: Call<'_>) -> Result<Answer, Trouble> {
        // What the browser says of it is not for people: it names neither the cause nor the way out.
        let lost = |_: JsValue| later("there is no network here, or the desk is off".into());
        let headers = Headers::new().map_err(lost)?;
        for (name, value) in call.headers {
            headers.set(name, value).map_err(lost)?;
        }
        if let Some(token) = &self.token {
            headers.set("Authorization", &format!("Bearer {token}")).map_err(lost)?;
        }
        let init = RequestInit::new();
        init.set_method(call.method);
        init.set_cache(RequestCache::NoStore);
        init.set_headers(&headers);
        if let Some(body) = call.body {
            init.set_body(&body);
        }
        let stop = call.stop.map_or_else(AbortController::new, Ok).map_err(lost)?;
        init.set_signal(Some(&stop.signal()));
        // In a worker there is no window: the global one is both.
        let global = js_sys::global();
        let fetch: Function = field(&global, "fetch").dyn_into().map_err(lost)?;
        let address = format!("/api/v{VERSION}/{}", call.path);
        let asked: Promise = fetch.call2(&global, &address.into(), &init).and_then(JsCast::dyn_into).map_err(lost)?;
        let patience = ends_after(call.patience, &stop);
        let response: Response = JsFuture::from(asked).await.map(JsCast::unchecked_into).map_err(lost)?;
        drop(patience);
        let body = all_of(&response, &stop).await.map_err(|_| cut_off())?;
        Ok(Answer { status: response.status(), headers: response.headers(), body })
    }
}

/// Ends a call, unless it is dropped before.
fn ends_after(millis: u32, stop: &AbortController) -> Timeout {
    let stop = stop.clone();
    Timeout::new(millis, move || stop.abort())
}

/// The body, piece by piece: each has the whole patience for itself.
async fn all_of(response: &Response, stop: &AbortController) -> Result<Uint8Array, JsValue> {
    let mut pieces = Vec::new();
    let mut length = 0;
    if let Some(body) = response.body() {
        let reader: ReadableStreamDefaultReader = body.get_reader().unchecked_into();
        loop {
            let patience = ends_after(SILENCE, stop);
            let read = JsFuture::from(reader.read()).await?;
            drop(patience);
            let Ok(piece) = field(&read, "value").dyn_into::<Uint8Array>() else { break };
            length += piece.length();
            pieces.push(piece);
        }
    }
    let whole = Uint8Array::new_with_length(length);
    let mut at = 0;
    for piece in pieces {
        whole.set(&piece, at);
        at += piece.length();
    }
    Ok(whole)
}

fn encoded(text: &str) -> String {
    js_sys::encode_uri_component(text).into()
}

pub(super) fn later(why: String) -> Trouble {
    Trouble::Later { why, retry_after: None }
}

fn refused(why: String) -> Trouble {
    Trouble::Refused { why }
}

fn cut_off() -> Trouble {
    later("the desk's answer was cut off".into())
}
