//! How is the desk spoken to? One function a call of its API; photographs go from the store to the network without
//! passing through the program's memory.
//!
//! - `upload`: photographs, whole or in pieces.

mod upload;

use std::time::Duration;

use gloo_timers::callback::Timeout;
use js_sys::{ArrayBuffer, Function, JSON, Promise};
use serde::de::DeserializeOwned;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{AbortController, Headers, RequestCache, RequestInit, Response};

use crate::device::{field, object};
use crate::ids::{BundleId, DeviceId, JobId, PhotoHash};
use crate::objects;
use crate::store::{IdbStore, StoreError};
use crate::sync::protocol::{EventPage, Health, Paired, Problem, Receipt, VERSION};

/// For a question without a body, ms.
const SHORT: u32 = 20_000;
/// For a bundle, a whole photograph or small ones over a slow network, ms.
const LONG: u32 = 10 * 60_000;

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
    /// ms.
    patience: u32,
    /// Ends it early; after its patience too.
    stop: Option<AbortController>,
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
        let response = self.call(Call::of("GET", "health")).await?;
        match response.status() {
            200 => {}
            404 | 405 => return Err(Trouble::NoDesk),
            _ => return Err(trouble(&response).await),
        }
        // A host that answers every address with its page is no desk.
        let health: Health = json(&response).await.ok_or(Trouble::NoDesk)?;
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
        let response = self.call(Call::of("GET", "jobs")).await?;
        match response.status() {
            200 | 404 | 405 => Ok(()),
            _ => Err(trouble(&response).await),
        }
    }

    /// Gives the code that the desk shows, and gets a token for it.
    pub(super) async fn pair(&self, code: &str, name: &str) -> Result<Paired, Trouble> {
        let asked = JSON::stringify(&object([("code", code.into()), ("name", name.into())]));
        let body = asked.map(JsValue::from).map_err(|error| refused(crate::device::said(&error)))?;
        let headers: &[_] = &[("Content-Type", "application/json")];
        let response = self.call(Call { headers, body: Some(body), ..Call::of("POST", "pairings") }).await?;
        if !response.ok() {
            return Err(trouble(&response).await);
        }
        json(&response).await.ok_or_else(|| refused("what the desk says to it cannot be read".into()))
    }

    /// The jobs that lie at the desk, as the text of `JobsAtDesk`.
    pub(super) async fn jobs(&self, words: &str) -> Result<String, Trouble> {
        let path = format!("jobs?words={}", encoded(words));
        let response = self.call(Call::of("GET", &path)).await?;
        if !response.ok() {
            return Err(trouble(&response).await);
        }
        text(&response).await.ok_or_else(cut_off)
    }

    /// What the shop's closed jobs have taught, as the text of a `Shop`.
    pub(super) async fn lessons(&self) -> Result<String, Trouble> {
        let response = self.call(Call::of("GET", "lessons")).await?;
        if !response.ok() {
            return Err(trouble(&response).await);
        }
        text(&response).await.ok_or_else(cut_off)
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
        let response = self.call(Call { patience, stop, ..Call::of("GET", &path) }).await?;
        match response.status() {
            200 => json(&response).await.map(Some).ok_or_else(cut_off),
            400 => Ok(None),
            _ => Err(trouble(&response).await),
        }
    }

    /// A photograph made small by the desk.
    pub(super) async fn small_photo(&self, hash: &PhotoHash, edge: u32) -> Result<ArrayBuffer, Trouble> {
        let path = format!("photos/{hash}?edge={edge}");
        let response = self.call(Call { patience: LONG, ..Call::of("GET", &path) }).await?;
        if !response.ok() {
            return Err(trouble(&response).await);
        }
        let bytes = response.array_buffer().map_err(|_| cut_off())?;
        JsFuture::from(bytes).await.map(JsCast::unchecked_into).map_err(|_| cut_off())
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
        let response = self.call(call).await?;
        if !response.ok() {
            return Err(trouble(&response).await);
        }
        let receipt: Receipt =
            json(&response).await.ok_or_else(|| later("the desk's receipt cannot be read".into()))?;
        if receipt.job == job && receipt.bundle_id == bundle && receipt.log_digest == log_digest {
            Ok(receipt)
        } else {
            Err(later("the desk's receipt is for something else".into()))
        }
    }

    async fn call(&self, call: Call<'_>) -> Result<Response, Trouble> {
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
        let _patience = Timeout::new(call.patience, move || stop.abort());
        // In a worker there is no window: the global one is both.
        let global = js_sys::global();
        let fetch: Function = field(&global, "fetch").dyn_into().map_err(lost)?;
        let address = format!("/api/v{VERSION}/{}", call.path);
        let asked: Promise = fetch.call2(&global, &address.into(), &init).and_then(JsCast::dyn_into).map_err(lost)?;
        JsFuture::from(asked).await.map(JsCast::unchecked_into).map_err(lost)
    }
}

fn encoded(text: &str) -> String {
    js_sys::encode_uri_component(text).into()
}

async fn text(response: &Response) -> Option<String> {
    JsFuture::from(response.text().ok()?).await.ok()?.as_string()
}

async fn json<T: DeserializeOwned>(response: &Response) -> Option<T> {
    objects::from_str(&text(response).await?).ok()
}

/// What an answer that is no success means.
async fn trouble(response: &Response) -> Trouble {
    let status = response.status();
    let retry_after = response.headers().get("Retry-After").ok().flatten();
    let retry_after = retry_after.and_then(|seconds| seconds.trim().parse().ok()).map(Duration::from_secs);
    let told = json::<Problem>(response).await.map(|problem| problem.detail).filter(|detail| !detail.is_empty());
    let why = told.unwrap_or_else(|| format!("the desk answers {status}"));
    match status {
        401 => Trouble::Unpaired { why },
        408 | 425 | 429 | 500.. => Trouble::Later { why, retry_after },
        404 | 405 => Trouble::NoDesk,
        _ => Trouble::Refused { why },
    }
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
