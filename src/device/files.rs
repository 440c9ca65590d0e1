//! How do files come in and go out: read, download, share, show?

use gloo_timers::callback::Timeout;
use js_sys::{Array, ArrayBuffer, Function, Promise, Uint8Array};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, HtmlAnchorElement, Response, Url};

use super::{DeviceError, field, object, said};

/// What became of a file that was offered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shared {
    /// Given to another program through the phone's own menu.
    Given,
    /// Put among the downloads.
    Downloaded,
    /// The user closed the menu.
    Dismissed,
}

/// An address at which the page can show bytes; given back when dropped.
#[derive(Debug, PartialEq)]
pub struct ObjectUrl(String);

impl ObjectUrl {
    fn of(blob: &Blob) -> Result<Self, DeviceError> {
        Url::create_object_url_with_blob(blob).map(Self).map_err(missing)
    }

    /// The address.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Drop for ObjectUrl {
    fn drop(&mut self) {
        // Refused only for what is no address.
        let _ = Url::revoke_object_url(&self.0);
    }
}

/// An address at which the page can show these bytes.
///
/// # Errors
/// [`DeviceError::Missing`] where the browser makes none.
pub fn object_url(bytes: &ArrayBuffer, media_type: &str) -> Result<ObjectUrl, DeviceError> {
    ObjectUrl::of(&blob_of(&Array::of1(bytes), media_type)?)
}

/// A JSON file that people can read, of JSON text.
///
/// Set out anew from the text: a second writer of every type, only for that, would be 20 kB in the program.
///
/// # Errors
/// [`DeviceError::Missing`] where the browser makes none.
pub fn json_blob(text: &str) -> Result<Blob, DeviceError> {
    let mut set_out = Vec::new();
    let mut reader = serde_json::Deserializer::from_str(text);
    let done = serde_transcode::transcode(&mut reader, &mut serde_json::Serializer::pretty(&mut set_out));
    // Text that is no JSON is handed on as it is.
    let set_out = done.ok().and_then(|()| String::from_utf8(set_out).ok());
    let text = set_out.as_deref().unwrap_or(text);
    blob_of(&Array::of1(&text.into()), "application/json")
}

/// A file of several parts: texts, bytes, other files.
pub(super) fn blob_of(parts: &Array, media_type: &str) -> Result<Blob, DeviceError> {
    let options = BlobPropertyBag::new();
    options.set_type(media_type);
    Blob::new_with_buffer_source_sequence_and_options(parts, &options).map_err(missing)
}

/// A file's bytes, where the browser keeps them.
pub(super) async fn buffer_of(blob: &Blob) -> Result<ArrayBuffer, DeviceError> {
    let unreadable = |error: JsValue| DeviceError::Unreadable { why: said(&error) };
    JsFuture::from(blob.array_buffer()).await.and_then(JsCast::dyn_into).map_err(unreadable)
}

/// A file's bytes in the program's own memory: for small files.
///
/// # Errors
/// [`DeviceError::Unreadable`].
pub async fn read_bytes(blob: &Blob) -> Result<Vec<u8>, DeviceError> {
    let bytes = buffer_of(blob).await?;
    Ok(Uint8Array::new(&bytes).to_vec())
}

/// A text file.
///
/// # Errors
/// [`DeviceError::Unreadable`], or [`DeviceError::NotText`] where it is not UTF-8.
pub async fn read_text(blob: &Blob) -> Result<String, DeviceError> {
    String::from_utf8(read_bytes(blob).await?).map_err(|_| DeviceError::NotText)
}

/// A file that belongs to the program.
///
/// # Errors
/// [`DeviceError::NotLoaded`].
pub async fn fetch_blob(address: &str) -> Result<Blob, DeviceError> {
    let failed = |why: String| DeviceError::NotLoaded { what: address.to_owned(), why };
    let window = web_sys::window().ok_or_else(|| failed("there is no page".to_owned()))?;
    let fetched = JsFuture::from(window.fetch_with_str(address)).await.map_err(|error| failed(said(&error)))?;
    let response: Response = fetched.unchecked_into();
    if !response.ok() {
        return Err(failed(format!("the server answers {}", response.status())));
    }
    let blob = response.blob().map(JsFuture::from).map_err(|error| failed(said(&error)))?;
    blob.await.map(JsCast::unchecked_into).map_err(|error| failed(said(&error)))
}

/// A name for a file, made of what people call the thing: letters and digits, `fallback` where none is left.
pub fn file_name(label: &str, fallback: &str) -> String {
    let kept: String = label.chars().map(|letter| if letter.is_alphanumeric() { letter } else { ' ' }).collect();
    let words: Vec<&str> = kept.split_whitespace().collect();
    let name: String = words.join("-").to_lowercase().chars().take(60).collect();
    if name.is_empty() { fallback.to_owned() } else { name }
}

/// Gives a file away: through the phone's menu where it takes such files, or else as a download.
///
/// # Errors
/// [`DeviceError::NotShared`] where the browser does neither.
pub async fn share_or_download(blob: Blob, name: &str) -> Result<Shared, DeviceError> {
    share_or_download_all(&[(blob, name.to_owned())]).await
}

/// The same for files that belong together, each with its name. As a download it is the first only: a browser lets a page
/// download one file a tap, and asks before it lets it download more.
///
/// # Errors
/// [`DeviceError::NotShared`] where the browser does neither.
pub async fn share_or_download_all(files: &[(Blob, String)]) -> Result<Shared, DeviceError> {
    if let Some(shared) = share(files).await {
        return Ok(shared);
    }
    files.first().map_or(Ok(()), |(blob, name)| download(blob, name))?;
    Ok(Shared::Downloaded)
}

/// `None`: the browser does not share, not this kind of file, or not now (the tap was too long ago).
async fn share(files: &[(Blob, String)]) -> Option<Shared> {
    let navigator = web_sys::window()?.navigator();
    let can: Function = field(&navigator, "canShare").dyn_into().ok()?;
    let share: Function = field(&navigator, "share").dyn_into().ok()?;
    let shared = Array::new();
    for (blob, name) in files {
        let options = web_sys::FilePropertyBag::new();
        options.set_type(&blob.type_());
        shared.push(&web_sys::File::new_with_blob_sequence_and_options(&Array::of1(blob), name, &options).ok()?.into());
    }
    let data = object([("files", shared.into())]);
    can.call1(&navigator, &data).ok()?.is_truthy().then_some(())?;
    let promise: Promise = share.call1(&navigator, &data).ok()?.dyn_into().ok()?;
    match JsFuture::from(promise).await {
        Ok(_) => Some(Shared::Given),
        Err(error) if field(&error, "name") == "AbortError" => Some(Shared::Dismissed),
        Err(_) => None,
    }
}

/// Puts a file among the downloads.
///
/// # Errors
/// [`DeviceError::NotShared`] where the browser does not.
pub fn download(blob: &Blob, name: &str) -> Result<(), DeviceError> {
    let failed = |error: JsValue| DeviceError::NotShared { why: said(&error) };
    let document = web_sys::window().and_then(|window| window.document());
    let document = document.ok_or_else(|| failed("there is no page".into()))?;
    let link: HtmlAnchorElement = document.create_element("a").map_err(failed)?.unchecked_into();
    let url = ObjectUrl::of(blob)?;
    link.set_href(url.as_str());
    link.set_download(name);
    link.click();
    // The browser reads it after this; a minute is long enough even for a slow phone.
    Timeout::new(60_000, move || drop(url)).forget();
    Ok(())
}

fn missing(error: JsValue) -> DeviceError {
    DeviceError::Missing { why: said(&error) }
}
