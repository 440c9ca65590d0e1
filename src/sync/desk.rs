//! How is the desk spoken to? One function a call of its API; photographs go from the store to the network without
//! passing through the program's memory.

use std::time::Duration;

use gloo_timers::callback::Timeout;
use js_sys::ArrayBuffer;
use serde::de::DeserializeOwned;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{AbortController, Headers, RequestCache, RequestInit, Response};

use crate::ids::{BundleId, JobId, PhotoHash};
use crate::objects;
use crate::sync::protocol::{Health, Problem, Receipt, VERSION};

/// For a question without a body.
const SHORT: u32 = 20_000;
/// For a photograph over a slow network.
const LONG: u32 = 10 * 60_000;

/// Why a call did not lead to its end.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Trouble {
    /// There is no desk at this address.
    NoDesk,
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

/// Is there a desk at our own address?
pub(super) async fn health() -> Result<(), Trouble> {
    let response = call("GET", &address("health"), None, SHORT).await?;
    match response.status() {
        200 => {}
        404 | 405 => return Err(Trouble::NoDesk),
        _ => return Err(trouble(&response).await),
    }
    // A host that answers every address with its page is no desk.
    let health: Health = json(&response).await.ok_or(Trouble::NoDesk)?;
    match health {
        Health { program, .. } if program != "loomwalk" => Err(Trouble::NoDesk),
        Health { protocol, .. } if protocol < VERSION => {
            Err(later(format!("the desk is of an older version ({}); it needs an update", health.version)))
        }
        _ => Ok(()),
    }
}

/// Does the desk hold a photograph?
pub(super) async fn has_photo(hash: &PhotoHash) -> Result<bool, Trouble> {
    let response = call("HEAD", &address(&format!("photos/{hash}")), None, SHORT).await?;
    match response.status() {
        200 => Ok(true),
        404 => Ok(false),
        _ => Err(trouble(&response).await),
    }
}

/// Sends a photograph; done once the desk holds it.
pub(super) async fn put_photo(hash: &PhotoHash, media_type: &str, bytes: &ArrayBuffer) -> Result<(), Trouble> {
    let body = Some((media_type, JsValue::from(bytes.clone())));
    let response = call("PUT", &address(&format!("photos/{hash}")), body, LONG).await?;
    if response.ok() { Ok(()) } else { Err(trouble(&response).await) }
}

/// Sends a bundle; done once the desk has given its receipt.
pub(super) async fn put_bundle(job: JobId, bundle: BundleId, text: String) -> Result<Receipt, Trouble> {
    #[derive(serde::Deserialize)]
    struct Sealed {
        log_digest: String,
    }
    let refused = |error: serde_json::Error| Trouble::Refused { why: error.to_string() };
    let Sealed { log_digest } = objects::from_str(&text).map_err(refused)?;
    let address = address(&format!("jobs/{job}/bundles/{bundle}"));
    let response = call("PUT", &address, Some(("application/json", text.into())), LONG).await?;
    if !response.ok() {
        return Err(trouble(&response).await);
    }
    let receipt: Receipt = json(&response).await.ok_or_else(|| later("the desk's receipt cannot be read".into()))?;
    if receipt.job == job && receipt.bundle_id == bundle && receipt.log_digest == log_digest {
        Ok(receipt)
    } else {
        Err(later("the desk's receipt is for something else".into()))
    }
}

fn address(path: &str) -> String {
    format!("/api/v{VERSION}/{path}")
}

async fn call(method: &str, address: &str, body: Option<(&str, JsValue)>, patience: u32) -> Result<Response, Trouble> {
    // What the browser says of it is not for people: it names neither the cause nor the way out.
    let lost = |_: JsValue| later("there is no network here, or the desk is off".into());
    let window = web_sys::window().ok_or(Trouble::NoDesk)?;
    let init = RequestInit::new();
    init.set_method(method);
    init.set_cache(RequestCache::NoStore);
    if let Some((media_type, body)) = body {
        let headers = Headers::new().map_err(lost)?;
        headers.set("Content-Type", media_type).map_err(lost)?;
        init.set_headers(&headers);
        init.set_body(&body);
    }
    let stop = AbortController::new().map_err(lost)?;
    init.set_signal(Some(&stop.signal()));
    let _patience = Timeout::new(patience, move || stop.abort());
    let response = JsFuture::from(window.fetch_with_str_and_init(address, &init)).await.map_err(lost)?;
    Ok(response.unchecked_into())
}

async fn json<T: DeserializeOwned>(response: &Response) -> Option<T> {
    let text = JsFuture::from(response.text().ok()?).await.ok()?.as_string()?;
    objects::from_str(&text).ok()
}

/// What an answer that is no success means.
async fn trouble(response: &Response) -> Trouble {
    let status = response.status();
    let retry_after = response.headers().get("Retry-After").ok().flatten();
    let retry_after = retry_after.and_then(|seconds| seconds.trim().parse().ok()).map(Duration::from_secs);
    let told = json::<Problem>(response).await.map(|problem| problem.detail).filter(|detail| !detail.is_empty());
    let why = told.unwrap_or_else(|| format!("the desk answers {status}"));
    match status {
        408 | 425 | 429 | 500.. => Trouble::Later { why, retry_after },
        404 | 405 => Trouble::NoDesk,
        _ => Trouble::Refused { why },
    }
}

fn later(why: String) -> Trouble {
    Trouble::Later { why, retry_after: None }
}
