//! How does the app itself take a photograph? The stream lives here, outside of what a screen draws: a screen that is
//! drawn again neither stops it nor puts the lamp out.

use js_sys::{Array, Function, Object, Reflect};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Blob, HtmlVideoElement};

use super::media::{Stream, call, promised, why_not};
use super::{DeviceError, Listener, field, object, picture};

/// What a camera is opened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Photographs: as sharp as it can.
    Photographs,
    /// Watching one spot for long: less is cooler, and spares the battery.
    Watching,
}

impl Purpose {
    /// What is asked for, pixels. A camera gives the nearest that it has; common practice, no source.
    fn long_edge(self) -> u32 {
        match self {
            Self::Photographs => 4096,
            Self::Watching => 1280,
        }
    }
}

/// How far a camera can be zoomed, in its own units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zoom {
    /// Widest.
    pub min: f64,
    /// Closest.
    pub max: f64,
}

/// The camera at the back, running until this is dropped.
pub struct Camera {
    stream: Stream,
    /// Whether it has a lamp that can be switched.
    pub has_torch: bool,
    /// Whether, and how far, it can be zoomed.
    pub zoom: Option<Zoom>,
    /// Whether it can be told where to be sharp.
    pub has_focus: bool,
}

impl Camera {
    /// Asks for the camera. The browser may ask the user.
    ///
    /// # Errors
    /// [`DeviceError::NoCamera`], with what to do instead: refused, taken by another app, or none there.
    pub async fn open(purpose: Purpose) -> Result<Self, DeviceError> {
        let stream = Stream::ask(wish(purpose.long_edge())).await.map_err(|error| no_camera(&error))?;
        let can = call(&stream.track, "getCapabilities", &[]).unwrap_or_default();
        let zoom = field(&can, "zoom");
        let zoom = field(&zoom, "min").as_f64().zip(field(&zoom, "max").as_f64());
        Ok(Self {
            has_torch: field(&can, "torch").is_truthy(),
            zoom: zoom.filter(|(min, max)| max > min).map(|(min, max)| Zoom { min, max }),
            has_focus: !field(&can, "pointsOfInterest").is_undefined(),
            stream,
        })
    }

    /// Shows what it sees.
    pub fn show_in(&self, video: &HtmlVideoElement) {
        video.set_src_object(Some(&self.stream.stream));
        // Plays by itself once there is a picture; a browser that wants a tap first has just had one.
        let _ = video.play();
    }

    /// Whether it still sees: another app, or a call, can take it away.
    pub fn sees(&self) -> bool {
        self.stream.is_live()
    }

    /// Calls back when it is taken away.
    pub fn on_gone(&self, callback: impl FnMut() + 'static) -> Listener {
        self.stream.on_gone(callback)
    }

    /// Switches its lamp. Says whether the camera did it.
    pub async fn torch(&self, on: bool) -> bool {
        self.set("torch", on.into()).await
    }

    /// Zooms; the finder shows how far it came.
    pub async fn zoom_to(&self, zoom: f64) {
        self.set("zoom", zoom.into()).await;
    }

    /// Makes it sharp at a place of the picture, from 0 to 1 rightwards and downwards; the finder shows it.
    pub async fn focus_at(&self, x: f64, y: f64) {
        let place = object([("x", x.into()), ("y", y.into())]);
        self.set("pointsOfInterest", Array::of1(&place).into()).await;
    }

    async fn set(&self, name: &'static str, value: JsValue) -> bool {
        let wish = object([("advanced", Array::of1(&object([(name, value)])).into())]);
        promised(&self.stream.track, "applyConstraints", &[wish.into()]).await.is_ok()
    }

    /// Takes a photograph: at the sensor's full resolution where the browser can, else what the finder shows.
    ///
    /// # Errors
    /// [`DeviceError::NoCamera`] where it sees no more, [`DeviceError::Missing`] where the browser cannot draw.
    pub async fn shoot(&self, video: &HtmlVideoElement) -> Result<Blob, DeviceError> {
        if self.sees()
            && let Ok(full) = self.full().await
        {
            return Ok(full);
        }
        if !self.sees() || video.video_width() == 0 {
            return Err(no_camera(&"it was taken away, or shows nothing yet".into()));
        }
        picture::frame_of(video).await
    }

    async fn full(&self) -> Result<Blob, JsValue> {
        let kind: Function = field(&js_sys::global(), "ImageCapture").dyn_into()?;
        let capture = Reflect::construct(&kind, &Array::of1(&self.stream.track))?;
        promised(&capture, "takePhoto", &[]).await?.dyn_into()
    }
}

fn wish(long_edge: u32) -> Object {
    let wish = object([
        ("facingMode", "environment".into()),
        ("width", object([("ideal", long_edge.into())]).into()),
        ("height", object([("ideal", long_edge.into())]).into()),
    ]);
    object([("video", wish.into())])
}

fn no_camera(error: &JsValue) -> DeviceError {
    DeviceError::NoCamera { why: why_not(error, "camera") }
}
