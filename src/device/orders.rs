//! What does the worker do? The page's orders, one at a time each, away from the screen.
//!
//! An order is `{id, order, …}`; its answer `{id, done}` or `{id, why}`, before which `{id, part}` may tell how far it is. What is for the courier, `{courier, …}`, is
//! handed on to it: see `sync::carrier`.

use std::cell::Cell;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use chrono::{DateTime, Utc};
use js_sys::{Array, ArrayBuffer, Object, Uint8Array};
use sha2::{Digest, Sha256};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{Blob, DedicatedWorkerGlobalScope, MessageEvent};

use super::files::blob_of;
use super::picture::{self, Small};
use super::{DeviceError, field, object, read_bytes};
use crate::away::{AwayError, answer as answer_to};
use crate::bundle::file::{Bundle, HAND_OVER_LIMIT, MADE_LIMIT};
use crate::bundle::read::open;
use crate::bundle::write::{Piece, files, pieces};
use crate::bundle::{BundleError, Leaving};
use crate::ids::PhotoHash;
use crate::photo::{MOST_BYTES, PhotoError, Taken, blank_location};
use crate::sync::{bring, carrier};

/// Read at a time when a photograph is turned into base64: a multiple of three, so that the pieces join without padding.
const STRIDE: u32 = 3 << 20;

/// Answers the page's orders. For the worker's `main`: its message handler stands when this returns.
pub fn start_worker() {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else { return };
    let answering = scope.clone();
    let on_message = Closure::<dyn Fn(MessageEvent)>::new(move |message: MessageEvent| {
        let (scope, data) = (answering.clone(), message.data());
        if field(&data, "courier").is_string() {
            return carrier::hear(&scope, &data);
        }
        spawn_local(async move { answer(&scope, &data).await });
    });
    scope.set_onmessage(Some(on_message.into_js_value().unchecked_ref()));
}

async fn answer(scope: &DedicatedWorkerGlobalScope, order: &JsValue) {
    let transfer = Array::new();
    let tell = |part: f64| {
        // Refused only for what cannot be sent, which these are not.
        let _ = scope.post_message(&object([("id", field(order, "id")), ("part", part.into())]));
    };
    let done = match field(order, "order").as_string().as_deref() {
        Some("photo") => photo(&blob_in(order), &transfer).await,
        Some("recording") => recording(&blob_in(order), &transfer).await,
        Some("pack") => pack(order, tell).await,
        Some("ask") => ask(order),
        Some("unpack") => unpack(&blob_in(order), &transfer, tell).await,
        Some("pair") => bring::pair(&text_in(order, "code"), &text_in(order, "name")).await.map(JsValue::from),
        Some("desk_jobs") => bring::jobs(&text_in(order, "words")).await.map(JsValue::from),
        Some("lessons") => bring::lessons().await.map(JsValue::from),
        Some("bring") => match text_in(order, "job").parse() {
            Ok(job) => bring::bring(job).await.map(|()| JsValue::TRUE),
            Err(error) => Err(refused(error)),
        },
        Some("let_go") => match text_in(order, "job").parse() {
            Ok(job) => bring::let_go(job, field(order, "practice").is_truthy()).await.map(|()| JsValue::TRUE),
            Err(error) => Err(refused(error)),
        },
        Some("small_photo") => bring::small_photo(&text_in(order, "hash")).await.map(|()| JsValue::TRUE),
        _ => Err(DeviceError::Refused("the page and its worker are of different versions; load the page again".into())),
    };
    let answer = match done {
        Ok(done) => object([("id", field(order, "id")), ("done", done)]),
        Err(error) => object([("id", field(order, "id")), ("why", error.to_string().into())]),
    };
    // Refused only for what cannot be sent, which these are not.
    let _ = scope.post_message_with_transfer(&answer, &transfer);
}

fn blob_in(order: &JsValue) -> Blob {
    field(order, "blob").unchecked_into()
}

fn text_in(order: &JsValue, name: &str) -> String {
    field(order, name).as_string().unwrap_or_default()
}

async fn photo(blob: &Blob, transfer: &Array) -> Result<JsValue, DeviceError> {
    if blob.size() > MOST_BYTES as f64 {
        return Err(refused(PhotoError::TooLarge { bytes: blob.size() as u64 }));
    }
    let mut bytes = read_bytes(blob).await?;
    let cleaned = blank_location(&mut bytes).map_err(refused)?;
    let media_type = cleaned.facts.media_type.as_str();
    let kept = Uint8Array::from(bytes.as_slice()).buffer();
    drop(bytes);

    let (small, (width, height)) = match picture::make_small(blob, cleaned.facts.upright_size()).await {
        Ok(small) => {
            let size = (small.width, small.height);
            (Some(small), size)
        }
        // Kept all the same: the desk's program may be able to show it.
        Err(_) => (None, cleaned.facts.upright_size().unwrap_or_default()),
    };
    let taken = cleaned.facts.taken.and_then(|taken| taken.utc().or_else(|| by_this_phones_zone(taken)));
    transfer.push(&kept);
    let done = object([
        ("hash", sha256(&kept).await.into()),
        ("type", media_type.into()),
        ("width", width.into()),
        ("height", height.into()),
        ("taken", taken.map(|taken| taken.to_rfc3339()).into()),
        ("placeRemoved", cleaned.location_removed().into()),
        ("bytes", kept.into()),
    ]);
    add_small(&done, small, transfer);
    Ok(done.into())
}

async fn recording(blob: &Blob, transfer: &Array) -> Result<JsValue, DeviceError> {
    let kept = super::files::buffer_of(blob).await?;
    transfer.push(&kept);
    // Without what a browser adds about its coding.
    let kind = blob.type_();
    let media_type = kind.split(';').next().unwrap_or_default().trim();
    Ok(object([("hash", sha256(&kept).await.into()), ("type", media_type.into()), ("bytes", kept.into())]).into())
}

fn ask(order: &JsValue) -> Result<JsValue, DeviceError> {
    let question = field(order, "question").as_string().unwrap_or_default();
    Ok(answer_to(&question).map_err(refused)?.into())
}

/// Makes the hand-over file of a job, one photograph at a time; several where it would be too large to be opened.
async fn pack(order: &JsValue, tell: impl Fn(f64)) -> Result<JsValue, DeviceError> {
    let photos = field(order, "photos");
    let leaving: Leaving = serde_json::from_str(&field(order, "leaving").as_string().unwrap_or_default())
        .map_err(|error| refused(AwayError::from(error)))?;
    let bundle = leaving.bundle().map_err(refused)?;
    let blob_of_photo = |hash: &PhotoHash| field(&photos, hash.as_str()).dyn_into::<Blob>().ok();
    let size = |hash: &PhotoHash| Some(blob_of_photo(hash)?.size() as u64);
    let all: f64 = bundle.photos.iter().filter_map(|told| Some(blob_of_photo(&told.photo.sha256)?.size())).sum();
    let so_far = Cell::new(0.0);
    let tell = |more: f64| {
        so_far.set(so_far.get() + more);
        tell((so_far.get() / all).min(1.0));
    };
    let made = Array::new();
    for inside in files(&bundle, size, MADE_LIMIT).map_err(refused)? {
        let pieces = pieces(&bundle, |hash| inside.contains(hash)).map_err(refused)?;
        let file = put_together(pieces, blob_of_photo, &tell).await?;
        if file.size() > HAND_OVER_LIMIT as f64 {
            return Err(too_large(file.size() as u64));
        }
        made.push(&file);
    }
    Ok(made.into())
}

/// A hand-over file of its pieces; `tell` hears how many bytes of photographs went into it, piece by piece.
async fn put_together(
    pieces: Vec<Piece>,
    blob_of_photo: impl Fn(&PhotoHash) -> Option<Blob>,
    tell: impl Fn(f64),
) -> Result<Blob, DeviceError> {
    let parts = Array::new();
    for piece in pieces {
        let blob = match &piece {
            Piece::Text(text) => {
                parts.push(&text.as_str().into());
                continue;
            }
            Piece::PhotoData(hash) => blob_of_photo(hash),
        };
        let Some(blob) = blob else { continue };
        let mut at = 0.0;
        let base64 = Array::new();
        while at < blob.size() {
            let end = (at + f64::from(STRIDE)).min(blob.size());
            let slice = blob.slice_with_f64_and_f64(at, end).map_err(|error| refused(super::said(&error)))?;
            let text = STANDARD.encode(read_bytes(&slice).await?);
            base64.push(&Uint8Array::from(text.as_bytes()));
            tell(end - at);
            at = end;
        }
        // Given to the browser at once, which may lay it on the disk.
        let text = blob_of(&base64, "")?;
        parts.push(&text);
    }
    blob_of(&parts, "application/json")
}

/// Checks a hand-over file as a whole, and only then takes out what is in it.
async fn unpack(blob: &Blob, transfer: &Array, tell: impl Fn(f64)) -> Result<JsValue, DeviceError> {
    if blob.size() > HAND_OVER_LIMIT as f64 {
        let bytes = blob.size() as u64;
        return Err(too_large(bytes));
    }
    let bytes = read_bytes(blob).await?;
    let opened = open(&bytes, HAND_OVER_LIMIT).map_err(refused)?;
    let photos = Array::new();
    for hash in opened.photos() {
        let Some(content) = opened.bytes(hash) else { continue };
        let told = opened.bundle.photos.iter().find(|told| told.photo.sha256 == *hash);
        let media_type = told.map_or("application/octet-stream", |told| told.photo.media_type.as_str());
        let content = Uint8Array::from(content.as_slice()).buffer();
        let small = picture::make_small(&blob_of(&Array::of1(&content), media_type)?, None).await.ok();
        transfer.push(&content);
        let photo = object([("hash", hash.as_str().into()), ("type", media_type.into()), ("bytes", content.into())]);
        add_small(&photo, small, transfer);
        photos.push(&photo);
        tell(f64::from(photos.length()) / opened.bundle.photos.len().max(1) as f64);
    }
    let Bundle { job, log, bundle_id, device_id, made_at, .. } = opened.bundle;
    let events = serde_json::to_string(&log).map_err(refused)?;
    let leaving = Leaving { job: job.id, log: log.into(), only: None, bundle_id, device_id, made_at };
    let leaving = serde_json::to_string(&leaving).map_err(refused)?;
    let done = object([
        ("job", job.id.to_string().into()),
        ("log", events.into()),
        ("leaving", leaving.into()),
        ("photos", photos.into()),
    ]);
    Ok(done.into())
}

fn add_small(photo: &Object, small: Option<Small>, transfer: &Array) {
    let Some(small) = small else { return };
    for (name, bytes) in [("preview", small.preview), ("thumb", small.thumb)] {
        transfer.push(&bytes);
        // A new plain object takes every field.
        let _ = js_sys::Reflect::set(photo, &name.into(), &bytes);
    }
}

/// By the browser where it can (only for pages that are served safely), or else by the program.
async fn sha256(bytes: &ArrayBuffer) -> String {
    let by_browser = async {
        let subtle: web_sys::SubtleCrypto = field(&field(&js_sys::global(), "crypto"), "subtle").dyn_into().ok()?;
        let digest = subtle.digest_with_str_and_buffer_source("SHA-256", bytes).ok()?;
        JsFuture::from(digest).await.ok()?.dyn_into::<ArrayBuffer>().ok()
    };
    let digest = match by_browser.await {
        Some(digest) => Uint8Array::new(&digest).to_vec(),
        None => Sha256::digest(Uint8Array::new(bytes).to_vec()).to_vec(),
    };
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// A camera's wall clock without its zone: the phone that took it, or one beside it, is the best witness.
fn by_this_phones_zone(taken: Taken) -> Option<DateTime<Utc>> {
    // Without a zone at its end, a browser reads it as local time (ECMA-262 §21.4.1.32).
    let millis = js_sys::Date::parse(&taken.local.format("%Y-%m-%dT%H:%M:%S").to_string());
    millis.is_finite().then(|| DateTime::from_timestamp_millis(millis as i64)).flatten()
}

fn too_large(bytes: u64) -> DeviceError {
    refused(BundleError::TooLarge { bytes, limit: HAND_OVER_LIMIT })
}

fn refused(why: impl std::fmt::Display) -> DeviceError {
    DeviceError::Refused(why.to_string())
}
