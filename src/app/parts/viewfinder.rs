//! The camera in the app: finder, lamp, zoom, timer, a large shutter; then keep or retake.

use std::rc::Rc;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use dioxus::web::WebEventExt;
use gloo_timers::future::TimeoutFuture;
use wasm_bindgen::JsCast;
use web_sys::{Blob, HtmlDialogElement, HtmlVideoElement};

use crate::app::capture::{KEEPING, give_out};
use crate::app::house::{House, WordKind};
use crate::app::words;
use crate::device::ear::Ear;
use crate::device::{Camera, Listener, Purpose, steady_ms};
use crate::ids::{EventId, JobId, PointId};
use crate::job::event::{Act, Stage};
use crate::watch::knock::{Firmness, Knock};

/// What the timer waits, s; each tap on its key goes one on.
const TIMES: [u32; 3] = [0, 3, 10];

/// What the photograph will show, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Aim {
    /// In which job.
    pub job: JobId,
    /// At which point.
    pub point: Option<PointId>,
    /// What it will show.
    pub stage: Stage,
}

/// How far a photograph has come.
#[derive(Debug, Clone, PartialEq)]
enum Shot {
    /// The camera is being opened.
    Opening,
    /// The shutter can be tapped.
    Ready,
    /// So many seconds to go.
    Counting(u32),
    /// On its way into the store.
    Keeping,
    /// Kept: this event.
    Kept(EventId),
    /// There is no camera, or it went; in words.
    Gone(String),
}

/// Over everything else while the camera is open. Stands beside the screens, so that what changes on them leaves it alone.
#[component]
pub fn Viewfinder() -> Element {
    let house = House::get();
    let aim = house.aim.read().clone();
    rsx! {
        if let Some(aim) = aim {
            Finder { aim }
        }
    }
}

#[component]
fn Finder(aim: Aim) -> Element {
    let house = House::get();
    let mut open = house.aim;
    let stage = words::stage(aim.stage);
    let mut shot = use_signal(|| Shot::Opening);
    let mut camera = use_signal(|| None::<Rc<Camera>>);
    let mut dialog = use_signal(|| None::<HtmlDialogElement>);
    let mut time = use_signal(|| 0usize);
    // What the lamp and the lens do goes on while the keys for it are away.
    let lit = use_signal(|| false);
    let zoomed = use_signal(|| None::<f64>);
    let mut run = use_signal(|| 0u32);
    let mut video = use_signal(|| None::<HtmlVideoElement>);
    let mut gone = use_hook(|| CopyValue::new(None));
    let mut closed = use_hook(|| CopyValue::new(None));
    use_future(move || async move {
        match Camera::open(Purpose::Photographs).await {
            Ok(opened) => {
                gone.set(Some(opened.on_gone(move || {
                    // What was shot already is being kept, and says so itself.
                    if !matches!(&*shot.peek(), Shot::Keeping | Shot::Kept(_)) {
                        shot.set(Shot::Gone(GONE.to_owned()));
                    }
                })));
                if let Some(video) = &*video.peek() {
                    opened.show_in(video);
                }
                camera.set(Some(Rc::new(opened)));
                shot.set(Shot::Ready);
            }
            Err(error) => shot.set(no_picture(&error)),
        }
    });
    let shoot = use_callback(move |()| {
        if *shot.peek() != Shot::Ready {
            return;
        }
        let Some((eye, seen)) = camera.peek().clone().zip(video.peek().clone()) else { return };
        let aim = aim.clone();
        let wait = TIMES[*time.peek()];
        run += 1;
        let this = *run.peek();
        // Not bound to the finder: what was shot is kept also when it is closed at once.
        spawn_forever(async move {
            for left in (1..=wait).rev() {
                shot.set(Shot::Counting(left));
                TimeoutFuture::new(1_000).await;
                // Closed, or called off.
                let on = shot.try_peek().is_ok_and(|shot| *shot == Shot::Counting(left));
                if !on || run.try_peek().is_ok_and(|run| *run != this) {
                    return;
                }
            }
            shot.set(Shot::Keeping);
            // A newer version waits for it, from the shutter on.
            let work = house.work(KEEPING);
            let file = eye.shoot(&seen).await;
            drop(eye);
            let now = match file {
                Ok(file) => keep(house, aim, file).await,
                Err(error) => no_picture(&error),
            };
            drop(work);
            // The finder may be closed by now.
            if let Ok(mut shot) = shot.try_write() {
                *shot = now;
            }
        });
    });
    // Its own way of closing gives the focus back to the key that opened it.
    let close = use_callback(move |()| match &*dialog.peek() {
        Some(dialog) => dialog.close(),
        None => open.set(None),
    });
    let state = shot.read().clone();
    rsx! {
        dialog {
            class: "finder",
            id: "finder",
            "aria-label": "Camera: {stage}",
            onmounted: move |event| {
                if let Some(shown) = event.try_as_web_event().and_then(|element| element.dyn_into::<HtmlDialogElement>().ok()) {
                    let _ = shown.show_modal();
                    dialog.set(Some(shown.clone()));
                    // Also by the keyboard, or the phone's own back key.
                    closed.set(Some(Listener::new(shown, "close", move |_| open.set(None))));
                }
            },
            video {
                class: "finder-view",
                "playsinline": true,
                muted: true,
                "aria-label": "What the camera sees",
                onmounted: move |event| {
                    video.set(event.try_as_web_event().and_then(|element| element.dyn_into().ok()));
                    if let (Some(eye), Some(video)) = (&*camera.peek(), &*video.peek()) {
                        eye.show_in(video);
                    }
                },
                onclick: move |event| {
                    let (Some(eye), Some(video)) = (camera.peek().clone(), video.peek().clone()) else { return };
                    if eye.has_focus {
                        let at = event.element_coordinates();
                        let (x, y) = within(&video, at.x, at.y);
                        spawn(async move { eye.focus_at(x.clamp(0.0, 1.0), y.clamp(0.0, 1.0)).await });
                    }
                },
            }
            p { class: "finder-says", role: "status",
                match &state {
                    Shot::Opening => "The camera opens. The browser may ask whether it may.".to_owned(),
                    Shot::Ready => format!("{stage}."),
                    Shot::Counting(left) => format!("{left} …"),
                    Shot::Keeping => "Keeping it …".to_owned(),
                    Shot::Kept(_) => "Kept.".to_owned(),
                    Shot::Gone(why) => why.clone(),
                }
            }
            div { class: "finder-keys",
                match state {
                    Shot::Kept(event) => rsx! {
                        button { class: "key main", id: "shot-keep", onclick: move |_| close.call(()), "Keep it" }
                        button {
                            class: "key",
                            id: "shot-retake",
                            onclick: move |_| {
                                house.act(Act::TakenBack { event });
                                shot.set(if camera.peek().as_ref().is_some_and(|eye| eye.sees()) { Shot::Ready } else { Shot::Gone(GONE.to_owned()) });
                            },
                            "Retake"
                        }
                    },
                    Shot::Counting(_) => rsx! {
                        button { class: "key", id: "shot-stop", onclick: move |_| shot.set(Shot::Ready), "Stop the timer" }
                    },
                    Shot::Opening | Shot::Ready | Shot::Keeping | Shot::Gone(_) => rsx! {
                        button { class: "key main shutter", id: "shutter", disabled: state != Shot::Ready, onclick: move |_| shoot.call(()), "Take it" }
                        Helps { camera, lit, zoomed }
                        button {
                            class: "key",
                            id: "timer",
                            "data-again": true,
                            onclick: move |_| {
                                let next = (time() + 1) % TIMES.len();
                                time.set(next);
                            },
                            if TIMES[time()] == 0 { "Timer: off" } else { "Timer: {TIMES[time()]} s" }
                        }
                        ByKnock { shoot }
                        button { class: "key", id: "finder-close", onclick: move |_| close.call(()), "Close" }
                    },
                }
            }
        }
    }
}

const GONE: &str = "The camera was taken away, as by a call or another app. What was kept is kept. Close this and open it \
                    again, or take the photograph with the phone's own camera.";

/// Keeps what was shot. What cannot be kept here is given out as a file, so that the view is not lost.
async fn keep(house: House, aim: Aim, file: Blob) -> Shot {
    if let Some(event) = house.keep_photo(aim.job, aim.point, aim.stage, file.clone(), "").await {
        return Shot::Kept(event);
    }
    match give_out(file).await {
        Ok(told) => Shot::Gone(format!("It could not be kept in the job. {told} Close this to read why.")),
        Err(error) => no_picture(&error),
    }
}

/// Where in the camera's picture a tap on its element is, from 0 to 1 for what lies within: the picture is fitted into the
/// element, with bars beside or above it.
fn within(video: &HtmlVideoElement, x: f64, y: f64) -> (f64, f64) {
    let (width, height) = (f64::from(video.client_width()), f64::from(video.client_height()));
    let (wide, high) = (f64::from(video.video_width().max(1)), f64::from(video.video_height().max(1)));
    let scale = (width / wide).min(height / high);
    (0.5 + (x - width / 2.0) / (wide * scale), 0.5 + (y - height / 2.0) / (high * scale))
}

/// Lamp and zoom, where the camera has them.
#[component]
fn Helps(camera: Signal<Option<Rc<Camera>>>, lit: Signal<bool>, zoomed: Signal<Option<f64>>) -> Element {
    let (mut lit, mut zoomed) = (lit, zoomed);
    let Some(eye) = camera.read().clone() else { return rsx! {} };
    let zoom = eye.zoom;
    let lamp = eye.clone();
    rsx! {
        if eye.has_torch {
            button {
                class: "key",
                id: "lamp",
                onclick: move |_| {
                    let lamp = lamp.clone();
                    // The keys may be away before the lamp has answered.
                    spawn_forever(async move {
                        let on = !lit();
                        if lamp.torch(on).await {
                            let _ = lit.try_write().map(|mut lit| *lit = on);
                        }
                    });
                },
                if lit() { "Lamp: on" } else { "Lamp: off" }
            }
        }
        if let Some(zoom) = zoom {
            label { class: "finder-zoom",
                "Zoom"
                input {
                    id: "zoom",
                    r#type: "range",
                    min: "{zoom.min}",
                    max: "{zoom.max}",
                    step: "any",
                    initial_value: "{zoomed.peek().unwrap_or(zoom.min)}",
                    oninput: move |event| {
                        let eye = eye.clone();
                        if let Ok(to) = event.value().parse::<f64>() {
                            zoomed.set(Some(to));
                            spawn(async move { eye.zoom_to(to).await });
                        }
                    },
                }
            }
        }
    }
}

/// How firm a knock or a clap must be that takes the photograph; each tap on its key goes one on.
const KNOCKS: [(Option<Firmness>, &str); 3] =
    [(None, "Knock: off"), (Some(Firmness::Light), "Knock: light"), (Some(Firmness::Firm), "Knock: firm")];

/// Takes the photograph at a knock or a clap near the phone, for whoever has no hand free.
#[component]
fn ByKnock(shoot: Callback<()>) -> Element {
    let house = House::get();
    let mut at = use_signal(|| 0usize);
    rsx! {
        button {
            class: "key",
            id: "by-knock",
            "data-again": true,
            onclick: move |_| {
                at.set((at() + 1) % KNOCKS.len());
                let mine = at();
                let Some(firmness) = KNOCKS[mine].0 else { return };
                spawn(async move {
                    let ear = match Ear::open().await {
                        Ok(ear) => ear,
                        Err(error) => {
                            at.set(0);
                            house.say(WordKind::Trouble, format!("{error}. Use the timer instead"));
                            return;
                        }
                    };
                    let mut knock = Knock::new(firmness);
                    // Until it is switched on, or heard no more.
                    while at() == mine && ear.hears() {
                        let (mean, peak) = ear.level();
                        if knock.hears(steady_ms(), mean, peak) {
                            shoot.call(());
                        }
                        TimeoutFuture::new(20).await;
                    }
                });
            },
            {KNOCKS[at()].1}
        }
    }
}

/// The way out is beside the reason: the other keys are still there.
fn no_picture(error: &crate::device::DeviceError) -> Shot {
    Shot::Gone(format!("{} Or take the photograph with the phone's own camera.", words::sentence(&error.to_string())))
}
