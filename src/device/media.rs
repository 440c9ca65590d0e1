//! How is the browser asked for camera and microphone?

use js_sys::{Function, Object, Promise};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{MediaStream, MediaStreamTrack, MediaStreamTrackState};

use super::{Listener, field, said, to_the_end};

/// A camera's or a microphone's stream; over when it is dropped.
pub(super) struct Stream {
    pub stream: MediaStream,
    pub track: MediaStreamTrack,
}

impl Stream {
    /// Asks for it. The browser may ask the user; where nobody waits any more when it comes, it ends at once.
    pub async fn ask(wish: Object) -> Result<Self, JsValue> {
        to_the_end(Self::asked(wish)).await.unwrap_or_else(|| Err("it never answered".into()))
    }

    async fn asked(wish: Object) -> Result<Self, JsValue> {
        let navigator = web_sys::window().ok_or("there is no page")?.navigator();
        let devices = field(&navigator, "mediaDevices");
        let stream: MediaStream = promised(&devices, "getUserMedia", &[wish.into()]).await?.dyn_into()?;
        let track = stream.get_tracks().get(0).dyn_into().map_err(|_| "it gives nothing")?;
        Ok(Self { stream, track })
    }

    /// Calls back when it is taken away.
    pub fn on_gone(&self, mut callback: impl FnMut() + 'static) -> Listener {
        // By reference: a track has a `clone` of its own, which makes a second one that goes on when this one ends.
        Listener::new(&self.track, "ended", move |_| callback())
    }

    /// Whether it still gives something: another app, or a call, can take it away.
    pub fn is_live(&self) -> bool {
        self.track.ready_state() == MediaStreamTrackState::Live
    }
}

impl Drop for Stream {
    fn drop(&mut self) {
        self.track.stop();
    }
}

/// Calls a function of an object that web-sys does not know.
pub(super) fn call(object: &JsValue, name: &str, arguments: &[JsValue]) -> Result<JsValue, JsValue> {
    let function: Function = field(object, name).dyn_into().map_err(|_| format!("it has no {name}"))?;
    function.apply(object, &arguments.iter().collect())
}

/// The same, and what it promises.
pub(super) async fn promised(object: &JsValue, name: &str, arguments: &[JsValue]) -> Result<JsValue, JsValue> {
    JsFuture::from(Promise::resolve(&call(object, name, arguments)?)).await
}

/// Why the browser gives none, and what helps. `what`: `camera` or `microphone`.
pub(super) fn why_not(error: &JsValue, what: &str) -> String {
    match field(error, "name").as_string().as_deref() {
        Some("NotAllowedError") => {
            format!("this page may not use the {what}: allow it in the browser's settings for this page")
        }
        Some("NotFoundError" | "OverconstrainedError") => "this device has none".to_owned(),
        Some("NotReadableError") => "another app is using it: close that".to_owned(),
        _ => said(error),
    }
}
