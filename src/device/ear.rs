//! What does the microphone hear? How loud it is, and spoken notes. Nothing leaves the phone by itself.

use std::cell::RefCell;
use std::rc::Rc;

use futures_channel::oneshot;
use js_sys::Array;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{
    AnalyserNode, AudioContext, Blob, BlobEvent, MediaRecorder, MediaRecorderOptions, MediaStreamAudioSourceNode,
};

use super::files::blob_of;
use super::media::{Stream, why_not};
use super::{DeviceError, Listener, field, object, steady_ms};

/// Samples that are looked at together: some 20 ms.
const WINDOW: u32 = 1024;
/// How often a recording is handed over while it goes on, ms.
const SLICE: i32 = 1_000;
/// What a note is recorded as: the first that the browser can.
const TYPES: [&str; 3] = ["audio/webm", "audio/mp4", "audio/ogg"];

/// The microphone, listening until this is dropped.
pub struct Ear {
    stream: Stream,
    sound: AudioContext,
    analyser: AnalyserNode,
    // Without it the browser hears no more.
    _source: MediaStreamAudioSourceNode,
    window: RefCell<Vec<f32>>,
}

impl Ear {
    /// Asks for the microphone. To be called at a tap: only then does a browser let a page hear.
    ///
    /// # Errors
    /// [`DeviceError::NoMicrophone`], with what to do instead.
    pub async fn open() -> Result<Self, DeviceError> {
        let opened = async {
            let sound = AudioContext::new()?;
            // What a phone does for speech would hide a knock, and a buzzer that goes on.
            let stream = Stream::ask(wish(false)).await?;
            let analyser = sound.create_analyser()?;
            analyser.set_fft_size(WINDOW);
            let source = sound.create_media_stream_source(&stream.stream)?;
            source.connect_with_audio_node(&analyser)?;
            let window = RefCell::new(vec![0.0; WINDOW as usize]);
            Ok::<_, JsValue>(Self { stream, sound, analyser, _source: source, window })
        };
        opened.await.map_err(|error| no_microphone(&error))
    }

    /// Whether it still hears.
    pub fn hears(&self) -> bool {
        self.stream.is_live()
    }

    /// The root mean square of the last 20 ms, and their peak; both of 1.
    pub fn level(&self) -> (f64, f64) {
        let mut window = self.window.borrow_mut();
        self.analyser.get_float_time_domain_data(&mut window);
        let square: f64 = window.iter().map(|sample| f64::from(*sample).powi(2)).sum();
        let peak = window.iter().fold(0.0_f64, |peak, sample| peak.max(f64::from(sample.abs())));
        ((square / f64::from(WINDOW)).sqrt(), peak)
    }
}

impl Drop for Ear {
    fn drop(&mut self) {
        // The promise tells nothing that anyone could act upon.
        let _ = self.sound.close();
    }
}

/// A spoken note, being recorded.
pub struct Recorder {
    recorder: MediaRecorder,
    heard: Rc<RefCell<Vec<Blob>>>,
    began_ms: f64,
    media_type: String,
    _on_data: Closure<dyn FnMut(BlobEvent)>,
    /// Comes once, whatever ends it.
    ended: oneshot::Receiver<()>,
    _on_end: Listener,
    stream: Stream,
}

/// A spoken note.
pub struct Recording {
    /// The sound.
    pub blob: Blob,
    /// How long it is, s.
    pub seconds: f64,
}

impl Recorder {
    /// Begins. The browser may ask the user.
    ///
    /// # Errors
    /// [`DeviceError::NoMicrophone`], with what to do instead; [`DeviceError::Missing`] where the browser cannot record.
    pub async fn start() -> Result<Self, DeviceError> {
        if field(&js_sys::global(), "MediaRecorder").is_undefined() {
            return Err(DeviceError::Missing { why: "it cannot record sound".to_owned() });
        }
        let stream = Stream::ask(wish(true)).await.map_err(|error| no_microphone(&error))?;
        let begun = || {
            let known = TYPES.into_iter().find(|kind| MediaRecorder::is_type_supported(kind));
            let media_type = known.ok_or("it records no sound that others can play")?.to_owned();
            let options = MediaRecorderOptions::new();
            options.set_mime_type(&media_type);
            let recorder = MediaRecorder::new_with_media_stream_and_media_recorder_options(&stream.stream, &options)?;
            let heard = Rc::new(RefCell::new(Vec::new()));
            let hearing = Rc::clone(&heard);
            let on_data = Closure::<dyn FnMut(BlobEvent)>::new(move |event: BlobEvent| {
                hearing.borrow_mut().extend(event.data().filter(|blob| blob.size() > 0.0));
            });
            recorder.set_ondataavailable(Some(on_data.as_ref().unchecked_ref()));
            let (end, ended) = oneshot::channel();
            let mut end = Some(end);
            let on_end = Listener::new(recorder.clone(), "stop", move |_| {
                // Nobody may wait for it yet, or any more.
                end.take().map(|end| end.send(()));
            });
            recorder.start_with_time_slice(SLICE)?;
            Ok::<_, JsValue>((recorder, heard, media_type, on_data, ended, on_end))
        };
        let (recorder, heard, media_type, on_data, ended, on_end) = begun().map_err(|error| no_microphone(&error))?;
        let began_ms = steady_ms();
        Ok(Self { recorder, heard, began_ms, media_type, _on_data: on_data, ended, _on_end: on_end, stream })
    }

    /// For how long it has gone on, s.
    pub fn seconds(&self) -> f64 {
        (steady_ms() - self.began_ms) / 1_000.0
    }

    /// Calls back when the microphone is taken away.
    pub fn on_gone(&self, callback: impl FnMut() + 'static) -> Listener {
        self.stream.on_gone(callback)
    }

    /// Ends it, and gives what was heard, also of one that the browser has ended.
    ///
    /// # Errors
    /// [`DeviceError::Unreadable`] where nothing was heard.
    pub async fn stop(self) -> Result<Recording, DeviceError> {
        let seconds = self.seconds();
        // One that has ended already does nothing, or refuses: its end has come, or is on its way.
        let _ = self.recorder.stop();
        let _ = self.ended.await;
        let parts: Array = self.heard.borrow().iter().collect();
        if parts.length() == 0 {
            return Err(DeviceError::Unreadable { why: "the microphone gave nothing".to_owned() });
        }
        let blob = blob_of(&parts, &self.media_type)?;
        Ok(Recording { blob, seconds })
    }
}

fn wish(speech: bool) -> js_sys::Object {
    let clean =
        [("echoCancellation", speech.into()), ("noiseSuppression", speech.into()), ("autoGainControl", speech.into())];
    object([("audio", object(clean).into())])
}

fn no_microphone(error: &JsValue) -> DeviceError {
    DeviceError::NoMicrophone { why: why_not(error, "microphone") }
}
