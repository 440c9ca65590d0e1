//! Spoken notes: one tap begins, one tap keeps; and those that were kept, to hear again.

use std::cell::RefCell;
use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use gloo_timers::future::TimeoutFuture;

use crate::app::house::{House, WordKind};
use crate::app::parts::photos::turn;
use crate::app::parts::{Size, address};
use crate::app::words;
use crate::app::work::Work;
use crate::device::ear::Recorder;
use crate::device::{ObjectUrl, on_hidden};
use crate::ids::{EventId, JobId, PhotoHash, PointId};
use crate::job::event::Photo;

/// A note that goes on longer is kept and ends: s.
const LONGEST: f64 = 300.0;

/// What is being recorded, shared with what ends it. A newer version waits for it.
type Running = Rc<RefCell<Option<(JobId, Recorder, Work)>>>;

/// Records a note, at a point or of the job as a whole.
#[component]
pub fn Voice(point: Option<PointId>) -> Element {
    let house = House::get();
    let mut seconds = use_signal(|| None::<u32>);
    let mut opening = use_signal(|| false);
    let running: Running = use_hook(Rc::default);
    let mut ends = use_hook(|| CopyValue::new(None));
    let keep = {
        let (running, point) = (running.clone(), point);
        move || {
            if let Some((job, recorder, speaking)) = running.borrow_mut().take() {
                keep(house, job, point.clone(), recorder);
                drop(speaking);
            }
        }
    };
    // Whoever leaves the screen, or puts the phone away, has said what was said.
    use_drop(keep.clone());
    let begin = {
        let (running, keep) = (running.clone(), keep.clone());
        move |_| {
            let Some(job) = house.job_here().filter(|_| !opening()) else { return };
            let (running, keep) = (running.clone(), keep.clone());
            opening.set(true);
            spawn(async move {
                let begun = Recorder::start().await;
                opening.set(false);
                match begun {
                    Ok(recorder) => {
                        let (gone, hidden) = (keep.clone(), keep.clone());
                        ends.set(Some((recorder.on_gone(gone), on_hidden(hidden))));
                        // The key that stops it shows that it goes on.
                        *running.borrow_mut() = Some((job, recorder, house.work("")));
                    }
                    Err(error) => {
                        house.say(
                            WordKind::Trouble,
                            format!("No spoken note: {error}. Tap a phrase or type the note instead."),
                        );
                        return;
                    }
                }
                loop {
                    let gone = running.borrow().as_ref().map(|(_, recorder, _)| recorder.seconds());
                    seconds.set(gone.map(|seconds| seconds as u32));
                    match gone {
                        Some(gone) if gone < LONGEST && !house.is_ending() => TimeoutFuture::new(250).await,
                        Some(_) => keep(),
                        None => break,
                    }
                }
                ends.set(None);
            });
        }
    };
    rsx! {
        match seconds() {
            None => rsx! {
                button { class: "key", id: "speak", onclick: begin,
                    if opening() { "The microphone opens …" } else { "Speak a note" }
                }
            },
            Some(seconds) => rsx! {
                button { class: "key strong", id: "spoken", onclick: move |_| keep(), "Stop and keep · {seconds / 60}:{seconds % 60:02}" }
            },
        }
    }
}

/// Not bound to the screen: what was said is kept also when it was left.
fn keep(house: House, job: JobId, point: Option<PointId>, recorder: Recorder) {
    // From here on: the recorder and the worker take a while, and until the note is in the store it lies nowhere.
    let work = house.work("Keeping the spoken note …");
    spawn_forever(async move {
        match recorder.stop().await {
            Ok(recording) => house.keep_recording(job, point, recording).await,
            Err(error) => house.say(WordKind::Trouble, format!("The spoken note was not kept: {error}")),
        }
        drop(work);
    });
}

/// Spoken notes that were kept, or that were taken back.
#[component]
pub fn Recordings(kept: Vec<(EventId, Photo)>, #[props(default)] taken_back: bool) -> Element {
    let house = House::get();
    rsx! {
        if !kept.is_empty() {
            ul { class: "plainlist", "aria-label": "Spoken notes",
                for (event, photo) in kept {
                    li { key: "{event}",
                        Hear { hash: photo.sha256.clone(), seconds: photo.seconds.unwrap_or_default() }
                        button {
                            class: "plain",
                            "aria-label": if taken_back { "Bring back this spoken note" } else { "Take back this spoken note" },
                            onclick: move |_| turn(house, event, &photo, taken_back),
                            if taken_back { "Bring back" } else { "Take back" }
                        }
                    }
                }
            }
        }
    }
}

/// Read from the store only when it is to be heard.
#[component]
fn Hear(hash: PhotoHash, seconds: f64) -> Element {
    let house = House::get();
    let mut sound = use_signal(|| None::<Option<Rc<ObjectUrl>>>);
    let hear = move |_| {
        let hash = hash.clone();
        spawn(async move {
            sound.set(Some(address(house, hash, Size::Original).await));
        });
    };
    let long = words::count(seconds.round() as usize, "second", "seconds");
    let shown = sound.read().clone();
    rsx! {
        match shown {
            None => rsx! { button { class: "key", onclick: hear, "Hear it · {long}" } },
            Some(Some(url)) => rsx! { audio { src: "{url.as_str()}", controls: true, autoplay: true, "aria-label": "Spoken note, {long}" } },
            Some(None) => rsx! { p { "A spoken note of {long} that is not on this phone." } },
        }
    }
}
