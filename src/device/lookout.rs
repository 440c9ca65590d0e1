//! What does the rear camera see at one spot, and how is an alarm given that cannot be missed?

use js_sys::{Array, Function, Promise, Reflect};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, HtmlVideoElement, MediaStream, MediaStreamTrack};

use super::{DeviceError, field, object, said};
use crate::watch::{SECTORS, Sample};

/// Pixels across one of the nine cells that are looked at: the spot, and eight around it.
const CELL: usize = 8;
/// All three beside each other.
const SIDE: usize = 3 * CELL;

/// The rear camera, on as long as this lives, and what makes the noise.
pub struct Camera {
    stream: MediaStream,
    canvas: CanvasRenderingContext2d,
    sound: JsValue,
}

impl Camera {
    /// Asks for the camera. To be called at a tap: only then may a browser make a noise later.
    ///
    /// # Errors
    /// [`DeviceError::NoCamera`] where there is none, or it may not be used.
    pub async fn start() -> Result<Self, DeviceError> {
        let window = web_sys::window().ok_or_else(|| no_camera("no page"))?;
        let sound = field(&window, "AudioContext")
            .dyn_into::<Function>()
            .and_then(|make| Reflect::construct(&make, &Array::new()))
            .unwrap_or_default();
        let devices = field(&window.navigator(), "mediaDevices");
        let ask: Function = field(&devices, "getUserMedia")
            .dyn_into()
            .map_err(|_| no_camera("this page was not opened over https, or the browser has no way to a camera"))?;
        let rear = object([("facingMode", "environment".into())]);
        let wanted = object([("video", rear.into()), ("audio", false.into())]);
        let promise: Promise = ask.call1(&devices, &wanted).map_err(refused)?.unchecked_into();
        let stream: MediaStream = JsFuture::from(promise).await.map_err(refused)?.unchecked_into();
        let canvas = canvas().ok_or_else(|| no_camera("the browser does not let pictures be read"))?;
        Ok(Self { stream, canvas, sound })
    }

    /// Shows what it sees in the page's video of that id.
    pub fn show_in(&self, id: &str) {
        if let Some(video) = video(id).filter(|video| video.src_object().is_none()) {
            video.set_src_object(Some(&self.stream));
            // A muted video that is told to play by itself does; a refusal shows in that no frame comes.
            let _ = video.play();
        }
    }

    /// Whether it still gives pictures: another app may take it, or the permission be withdrawn.
    pub fn is_there(&self) -> bool {
        self.stream.active()
    }

    /// The newest frame around a spot: its middle as shares of the picture, its size as a share of the width. `None`
    /// while there is no frame.
    pub fn look(&self, id: &str, (x, y, size): (f64, f64, f64)) -> Option<Sample> {
        let video = video(id).filter(|video| video.ready_state() >= 2)?;
        let (width, height) = (f64::from(video.video_width()), f64::from(video.video_height()));
        let side = 3.0 * size * width;
        let whole = SIDE as f64;
        self.canvas
            .draw_image_with_html_video_element_and_sw_and_sh_and_dx_and_dy_and_dw_and_dh(
                &video,
                x * width - side / 2.0,
                y * height - side / 2.0,
                side,
                side,
                0.0,
                0.0,
                whole,
                whole,
            )
            .ok()?;
        let pixels = self.canvas.get_image_data(0.0, 0.0, whole, whole).ok()?.data();
        let mut cells = [0.0; 9];
        for (at, pixel) in pixels.chunks_exact(4).enumerate() {
            let cell = at / SIDE / CELL * 3 + at % SIDE / CELL;
            // Luma by ITU-R BT.709, as cameras mean it.
            cells[cell] += 0.2126 * f64::from(pixel[0]) + 0.7152 * f64::from(pixel[1]) + 0.0722 * f64::from(pixel[2]);
        }
        let mean = |cell: usize| cells[cell] / (CELL * CELL) as f64;
        let around: [f64; SECTORS] = std::array::from_fn(|sector| mean(if sector < 4 { sector } else { sector + 1 }));
        Some(Sample { at_ms: web_sys::window()?.performance()?.now(), spot: mean(4), around })
    }

    /// Sounds and shakes, until what is given back is dropped.
    pub fn alarm(&self) -> Option<Alarm> {
        if let Some(navigator) = web_sys::window().map(|window| window.navigator()) {
            let pattern = Array::from_iter([800, 200, 800, 200, 800].map(JsValue::from));
            // Where nothing can shake there is no such function.
            let _ = call(&navigator, "vibrate", &pattern);
        }
        let tone = call(&self.sound, "createOscillator", &JsValue::UNDEFINED)?;
        let _ = Reflect::set(&tone, &"type".into(), &"square".into());
        let _ = call(&tone, "connect", &field(&self.sound, "destination"));
        let _ = call(&self.sound, "resume", &JsValue::UNDEFINED);
        let _ = call(&tone, "start", &JsValue::UNDEFINED);
        Some(Alarm { tone })
    }
}

impl Drop for Camera {
    fn drop(&mut self) {
        for track in self.stream.get_tracks() {
            track.unchecked_into::<MediaStreamTrack>().stop();
        }
        let _ = call(&self.sound, "close", &JsValue::UNDEFINED);
    }
}

/// A noise. Over when it is dropped.
pub struct Alarm {
    tone: JsValue,
}

impl Drop for Alarm {
    fn drop(&mut self) {
        let _ = call(&self.tone, "stop", &JsValue::UNDEFINED);
    }
}

fn call(on: &JsValue, name: &str, with: &JsValue) -> Option<JsValue> {
    let function: Function = field(on, name).dyn_into().ok()?;
    if with.is_undefined() { function.call0(on).ok() } else { function.call1(on, with).ok() }
}

fn video(id: &str) -> Option<HtmlVideoElement> {
    web_sys::window()?.document()?.get_element_by_id(id)?.dyn_into().ok()
}

fn canvas() -> Option<CanvasRenderingContext2d> {
    let canvas: HtmlCanvasElement = web_sys::window()?.document()?.create_element("canvas").ok()?.unchecked_into();
    canvas.set_width(SIDE as u32);
    canvas.set_height(SIDE as u32);
    let often = object([("willReadFrequently", true.into())]);
    canvas.get_context_with_context_options("2d", &often).ok()??.dyn_into().ok()
}

fn no_camera(why: &str) -> DeviceError {
    DeviceError::NoCamera { why: why.to_owned() }
}

pub(super) fn refused(error: JsValue) -> DeviceError {
    no_camera(&match field(&error, "name").as_string().as_deref() {
        Some("NotAllowedError") => {
            "this page may not use the camera: allow it in the browser's settings for this page".into()
        }
        Some("NotFoundError" | "OverconstrainedError") => "this device has none".into(),
        Some("NotReadableError") => "another app is using it: close that".into(),
        _ => said(&error),
    })
}
