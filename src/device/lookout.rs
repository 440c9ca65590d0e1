//! What does the camera see at one spot, and how is an alarm given that cannot be missed?

use js_sys::{Array, Function};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{
    AudioContext, Blob, CanvasRenderingContext2d, HtmlCanvasElement, HtmlVideoElement, OscillatorNode, OscillatorType,
};

use super::{DeviceError, field, object, picture, said, steady_ms};
use crate::watch::{GRID, Sample, Window};

/// Small pictures that are kept of the last moments, beside and below each other.
const ACROSS: u32 = 4;
const DOWN: u32 = 3;
/// How large each is, pixels.
const SMALL: (u32, u32) = (320, 240);
/// Between two of them, ms: all together show 3 s.
const BETWEEN: f64 = 250.0;
/// How the alarm goes up and down, Hz, and how long each lasts, s. Common practice, no source: a small loudspeaker is
/// loudest, and an ear most awake, between 2 and 4 kHz.
const TONES: [f32; 2] = [2_200.0, 3_000.0];
const TONE_S: f64 = 0.25;
/// For how many tones it goes on by itself: two minutes.
const TONES_MOST: u32 = 480;

/// The eye on a video: a small canvas for the spot, and a larger one for the last moments.
pub struct Lookout {
    spot: CanvasRenderingContext2d,
    past: CanvasRenderingContext2d,
    taken: u32,
    last: f64,
}

impl Lookout {
    /// # Errors
    /// [`DeviceError::Missing`] where the browser does not let pictures be read.
    pub fn new() -> Result<Self, DeviceError> {
        let missing = || DeviceError::Missing { why: "it does not let pictures be read".to_owned() };
        let spot = canvas(GRID as u32, GRID as u32).ok_or_else(missing)?;
        let past = canvas(ACROSS * SMALL.0, DOWN * SMALL.1).ok_or_else(missing)?;
        Ok(Self { spot, past, taken: 0, last: f64::NEG_INFINITY })
    }

    /// The newest frame around a spot. `None` while there is no frame.
    pub fn look(&mut self, video: &HtmlVideoElement, window: Window) -> Option<Sample> {
        if video.ready_state() < 2 || video.video_width() == 0 {
            return None;
        }
        let at_ms = steady_ms();
        let (width, height) = (f64::from(video.video_width()), f64::from(video.video_height()));
        let (left, top, side) = window.pixels(width, height);
        let whole = GRID as f64;
        self.spot
            .draw_image_with_html_video_element_and_sw_and_sh_and_dx_and_dy_and_dw_and_dh(
                video, left, top, side, side, 0.0, 0.0, whole, whole,
            )
            .ok()?;
        if at_ms - self.last >= BETWEEN {
            self.last = at_ms;
            self.remember(video);
        }
        let pixels = self.spot.get_image_data(0.0, 0.0, whole, whole).ok()?.data();
        Some(Sample::of_pixels(at_ms, &pixels))
    }

    fn remember(&mut self, video: &HtmlVideoElement) {
        let (x, y) = (self.taken % ACROSS, self.taken / ACROSS % DOWN);
        self.taken += 1;
        let (wide, high) = (f64::from(SMALL.0), f64::from(SMALL.1));
        let (x, y) = (f64::from(x) * wide, f64::from(y) * high);
        // A moment that cannot be drawn is missing in the picture; the watch goes on.
        let _ = self.past.draw_image_with_html_video_element_and_dw_and_dh(video, x, y, wide, high);
    }

    /// The last moments on one sheet, the oldest first; what is seen now is the last.
    ///
    /// # Errors
    /// [`DeviceError::Missing`], with the browser's words.
    pub fn moments(&mut self, video: &HtmlVideoElement) -> Result<Moments, DeviceError> {
        self.remember(video);
        let drawn = || {
            let sheet = canvas(ACROSS * SMALL.0, DOWN * SMALL.1).ok_or("there is no canvas")?;
            let past = self.past.canvas().ok_or("there is no canvas")?;
            let (wide, high) = (f64::from(SMALL.0), f64::from(SMALL.1));
            let all = ACROSS * DOWN;
            let oldest = if self.taken > all { self.taken % all } else { 0 };
            let place = |at: u32| (f64::from(at % ACROSS) * wide, f64::from(at / ACROSS) * high);
            for at in 0..all {
                let ((from_x, from_y), (x, y)) = (place((oldest + at) % all), place(at));
                sheet.draw_image_with_html_canvas_element_and_sw_and_sh_and_dx_and_dy_and_dw_and_dh(
                    &past, from_x, from_y, wide, high, x, y, wide, high,
                )?;
            }
            Ok::<_, JsValue>(Moments { sheet: sheet.canvas().ok_or("there is no canvas")? })
        };
        drawn().map_err(|error| DeviceError::Missing { why: said(&error) })
    }
}

/// What was seen in the last moments.
pub struct Moments {
    sheet: HtmlCanvasElement,
}

impl Moments {
    /// As a picture.
    ///
    /// # Errors
    /// [`DeviceError::Missing`], with the browser's words.
    pub async fn picture(&self) -> Result<Blob, DeviceError> {
        picture::to_jpeg(&self.sheet).await
    }
}

/// What makes the noise. Made at a tap: only then may a browser make one later.
pub struct Siren {
    sound: AudioContext,
}

impl Siren {
    /// # Errors
    /// [`DeviceError::Missing`] where the browser makes no sound.
    pub fn new() -> Result<Self, DeviceError> {
        let sound = AudioContext::new().map_err(|error| DeviceError::Missing { why: said(&error) })?;
        // Asleep, it would wake only at the next tap.
        let _ = sound.resume();
        Ok(Self { sound })
    }

    /// Sounds and shakes, until what is given back is dropped.
    pub fn sound(&self) -> Option<Alarm> {
        if let Some(window) = web_sys::window()
            && let Ok(vibrate) = field(&window.navigator(), "vibrate").dyn_into::<Function>()
        {
            let pattern = Array::from_iter([800, 200, 800, 200, 800, 200, 800].map(JsValue::from));
            // A phone that is set to be still does nothing; it still sounds.
            let _ = vibrate.call1(&window.navigator(), &pattern);
        }
        // A browser that has put it to sleep meanwhile wakes it.
        let _ = self.sound.resume();
        let tone = self.sound.create_oscillator().ok()?;
        tone.set_type(OscillatorType::Square);
        let now = self.sound.current_time();
        for (number, pitch) in (0..TONES_MOST).zip(TONES.into_iter().cycle()) {
            tone.frequency().set_value_at_time(pitch, now + f64::from(number) * TONE_S).ok()?;
        }
        tone.connect_with_audio_node(&self.sound.destination()).ok()?;
        tone.start().ok()?;
        // It ends by itself, should nobody come: the time is in the log.
        let _ = tone.stop_with_when(now + f64::from(TONES_MOST) * TONE_S);
        Some(Alarm { tone })
    }
}

impl Drop for Siren {
    fn drop(&mut self) {
        // The promise tells nothing that anyone could act upon.
        let _ = self.sound.close();
    }
}

/// A noise. Over when it is dropped.
pub struct Alarm {
    tone: OscillatorNode,
}

impl Drop for Alarm {
    fn drop(&mut self) {
        // Refused only where it is over already.
        let _ = self.tone.disconnect();
    }
}

fn canvas(width: u32, height: u32) -> Option<CanvasRenderingContext2d> {
    let canvas: HtmlCanvasElement = web_sys::window()?.document()?.create_element("canvas").ok()?.unchecked_into();
    canvas.set_width(width);
    canvas.set_height(height);
    let often = object([("willReadFrequently", true.into())]);
    canvas.get_context_with_context_options("2d", &often).ok()??.dyn_into().ok()
}
