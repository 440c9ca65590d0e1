//! What do bar codes in a picture say? Where the browser can read them; many cannot (W3C Shape Detection, a draft).

use js_sys::{Array, Function, Promise, Reflect};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::Blob;

use super::{DeviceError, field, said};

/// The browser's reader, if it has one.
fn reader() -> Option<Function> {
    field(&js_sys::global(), "BarcodeDetector").dyn_into().ok()
}

/// Whether this browser reads bar codes.
pub fn reads_bar_codes() -> bool {
    reader().is_some()
}

/// What the codes in a picture say, in the browser's order.
///
/// # Errors
/// [`DeviceError::Missing`] where the browser cannot; [`DeviceError::Unreadable`] for what is no picture.
pub async fn bar_codes(picture: &Blob) -> Result<Vec<String>, DeviceError> {
    let missing = || DeviceError::Missing { why: "it reads no bar codes".into() };
    let unreadable = |error: JsValue| DeviceError::Unreadable { why: said(&error) };
    let window = web_sys::window().ok_or_else(missing)?;
    let image = window.create_image_bitmap_with_blob(picture).map_err(unreadable)?;
    let image = JsFuture::from(image).await.map_err(unreadable)?;
    let reader = Reflect::construct(&reader().ok_or_else(missing)?, &Array::new()).map_err(unreadable)?;
    let detect: Function = field(&reader, "detect").dyn_into().map_err(|_| missing())?;
    let found: Promise = detect.call1(&reader, &image).map_err(unreadable)?.unchecked_into();
    let found = JsFuture::from(found).await.map_err(unreadable)?;
    Ok(Array::from(&found).iter().filter_map(|code| field(&code, "rawValue").as_string()).collect())
}
