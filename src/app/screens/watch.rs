//! The phone watches the telltale: choose the spot, and it calls out when the lamp goes out.

use std::cell::RefCell;
use std::rc::Rc;

use dioxus::prelude::*;
use gloo_timers::future::TimeoutFuture;

use crate::app::house::House;
use crate::app::parts::{Screen, TakeBack, Waiting, last_act};
use crate::app::route::Route;
use crate::app::words;
use crate::device::lookout::{Alarm, Camera};
use crate::ids::JobId;
use crate::job::event::Act;
use crate::watch::{Change, Doubt, State, Values, Watch as Detector};

/// Between two looks at the picture, ms: above twice the ten a second that are needed.
const LOOK_EACH: u32 = 40;
/// The video on the page.
const VIDEO: &str = "watch-video";
/// How far one tap on an arrow moves the spot, as a share of the picture.
const STEP: f64 = 0.02;

/// What is shown.
#[derive(Clone, Copy, PartialEq)]
struct View {
    /// The camera runs.
    on: bool,
    state: State,
    /// The middle of the spot as shares of the picture, and its size as a share of the width.
    spot: (f64, f64, f64),
    /// It went out, and nobody has said yet that it was heard.
    calling: bool,
}

/// What runs behind it; gone with the screen.
type Running = Rc<RefCell<(Option<Camera>, Option<Alarm>)>>;

/// Watches the telltale.
#[component]
pub fn Watch(job: JobId) -> Element {
    let house = House::get();
    let _awake = use_hook(crate::device::keep_awake);
    let running: Running = use_hook(Rc::default);
    let mut view = use_signal(|| View { on: false, state: State::Learning, spot: (0.5, 0.5, 0.05), calling: false });
    let mut trouble = use_signal(String::new);
    let behind = running.clone();
    use_drop(move || *behind.borrow_mut() = (None, None));
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let telltale = session.job.concern.telltale.clone();
    let last = last_act(session);
    drop(open);
    let now = view();
    let start = {
        let running = running.clone();
        move |_| {
            let running = running.clone();
            trouble.set(String::new());
            spawn(async move {
                match Camera::start().await {
                    Ok(camera) => {
                        running.borrow_mut().0 = Some(camera);
                        view.write().on = true;
                        let ended = keep_watching(house, view, &running).await;
                        trouble.set(ended);
                    }
                    Err(error) => trouble.set(words::sentence(&error.to_string())),
                }
                *running.borrow_mut() = (None, None);
                view.write().on = false;
            });
        }
    };
    let heard = move |_| {
        running.borrow_mut().1 = None;
        view.write().calling = false;
    };
    let mut shift = move |x: f64, y: f64, grow: f64| {
        let (was_x, was_y, size) = view.peek().spot;
        view.write().spot = ((was_x + x).clamp(0.0, 1.0), (was_y + y).clamp(0.0, 1.0), (size * grow).clamp(0.01, 0.2));
    };
    let action = rsx! {
        if !now.on {
            button { class: "key main", id: "start-watch", onclick: start, "Start the camera" }
        } else if now.calling {
            button { class: "key main", id: "heard", onclick: heard, "I heard it" }
        }
    };
    rsx! {
        Screen { title: "Watch the telltale", back: Route::Walk { job }, job, action,
            if now.calling {
                div { class: "went-out", role: "alert",
                    strong { "It went out" }
                    p { "The time is in the log." }
                }
            }
            p { class: "caution", "Parked only, or with a passenger who holds the phone: never by the driver on the road." }
            if !now.on {
                p {
                    if telltale.is_empty() {
                        "Choose something on this fuse that shows at once that it has opened: a lamp or a lit display. "
                    } else {
                        "Watch: {telltale}. "
                    }
                    "Prop the phone up in the cabin so that it stays still and sees the lamp lit. The pictures stay on this phone and are not kept."
                }
            }
            if !trouble.read().is_empty() {
                div { class: "note", role: "alert", id: "watch-trouble",
                    p { "{trouble}" }
                    p { "Without the camera: ask someone to watch the telltale and call out, or clip a test lamp where you can see it from below." }
                }
            }
            if now.on {
                p { class: "telltale", id: "watch-state", role: "status", {said(now.state)} }
                div {
                    class: "viewer",
                    tabindex: "0",
                    role: "group",
                    "aria-label": "The camera's picture. The arrow keys move the spot, plus and minus change its size.",
                    onkeydown: move |event| {
                        let (x, y, grow) = match event.key() {
                            Key::ArrowLeft => (-STEP, 0.0, 1.0),
                            Key::ArrowRight => (STEP, 0.0, 1.0),
                            Key::ArrowUp => (0.0, -STEP, 1.0),
                            Key::ArrowDown => (0.0, STEP, 1.0),
                            Key::Character(sign) if sign == "+" => (0.0, 0.0, 1.25),
                            Key::Character(sign) if sign == "-" => (0.0, 0.0, 0.8),
                            _ => return,
                        };
                        event.prevent_default();
                        shift(x, y, grow);
                    },
                    onclick: move |event| {
                        let at = event.client_coordinates();
                        let Some((x, y)) = share_of_picture(at.x, at.y) else { return };
                        view.write().spot = (x, y, now.spot.2);
                    },
                    video { id: VIDEO, muted: true, autoplay: true, "playsinline": "true" }
                    svg { view_box: "0 0 100 100", "preserveAspectRatio": "none", "aria-hidden": "true",
                        SpotFrame { spot: now.spot }
                    }
                }
                p { class: "hint", "Tap the lamp in the picture, so that it fills the small frame." }
                div { class: "spot-keys", role: "group", "aria-label": "Move the spot",
                    for (words, x, y, grow) in MOVES {
                        button { key: "{words}", class: "key", onclick: move |_| shift(x, y, grow), "{words}" }
                    }
                }
            }
            TakeBack { last }
        }
    }
}

const MOVES: [(&str, f64, f64, f64); 6] = [
    ("Left", -STEP, 0.0, 1.0),
    ("Right", STEP, 0.0, 1.0),
    ("Up", 0.0, -STEP, 1.0),
    ("Down", 0.0, STEP, 1.0),
    ("Smaller", 0.0, 0.0, 0.8),
    ("Larger", 0.0, 0.0, 1.25),
];

/// The frame around the spot, as tall as it is wide on the picture itself.
#[component]
fn SpotFrame(spot: (f64, f64, f64)) -> Element {
    let (x, y, size) = spot;
    let shape = video_shape().unwrap_or(1.0);
    let (width, height) = (size * 100.0, size * shape * 100.0);
    rsx! {
        rect {
            x: "{x * 100.0 - width / 2.0}",
            y: "{y * 100.0 - height / 2.0}",
            width: "{width}",
            height: "{height}",
        }
    }
}

fn video() -> Option<web_sys::HtmlVideoElement> {
    use wasm_bindgen::JsCast as _;
    web_sys::window()?.document()?.get_element_by_id(VIDEO)?.dyn_into().ok()
}

/// Width by height of what the camera gives.
fn video_shape() -> Option<f64> {
    let video = video().filter(|video| video.video_height() > 0)?;
    Some(f64::from(video.video_width()) / f64::from(video.video_height()))
}

/// Where on the picture a tap fell.
fn share_of_picture(x: f64, y: f64) -> Option<(f64, f64)> {
    let frame = video()?.get_bounding_client_rect();
    let share = |at: f64, from: f64, long: f64| ((at - from) / long).clamp(0.0, 1.0);
    (frame.width() > 0.0 && frame.height() > 0.0)
        .then(|| (share(x, frame.left(), frame.width()), share(y, frame.top(), frame.height())))
}

/// Looks again and again, until the camera is gone. Says why it ended.
async fn keep_watching(house: House, mut view: Signal<View>, running: &Running) -> String {
    let mut spot = view.peek().spot;
    let mut detector = Detector::new(Values::shipped());
    loop {
        TimeoutFuture::new(LOOK_EACH).await;
        let chosen = view.peek().spot;
        if chosen != spot {
            spot = chosen;
            detector = Detector::new(Values::shipped());
        }
        let seen = match &running.borrow().0 {
            Some(camera) if camera.is_there() => {
                camera.show_in(VIDEO);
                camera.look(VIDEO, spot)
            }
            _ => {
                return "The camera is gone: another app took it, or it was switched off. Start it again.".to_owned();
            }
        };
        let Some(sample) = seen else { continue };
        let change = detector.see(&sample);
        if view.peek().state != detector.state() {
            view.write().state = detector.state();
        }
        let Some(change) = change else { continue };
        let (lit, at) = match change {
            Change::WentOut(at) => (false, at),
            Change::CameBack(at) => (true, at),
        };
        let ago = chrono::TimeDelta::milliseconds((sample.at_ms - at) as i64);
        house.act(Act::Telltale { lit, seen_at: crate::device::now() - ago });
        if !lit {
            let mut running = running.borrow_mut();
            running.1 = running.0.as_ref().and_then(Camera::alarm);
            view.write().calling = true;
        }
    }
}

fn said(state: State) -> &'static str {
    match state {
        State::Learning => "Learning how it looks when lit. Leave it on, and the phone still.",
        State::Lit => "Lit. Watching.",
        State::Out => "Out.",
        State::Covered => "Something is before it. Watching goes on when it is gone.",
        State::Unsure(Doubt::TooBright) => "Too bright to tell: shade the lamp.",
        State::Unsure(Doubt::Flickers) => {
            "It looks too unsteady to tell: make the frame smaller, or choose another lamp."
        }
        State::Unsure(Doubt::LightChanges) => "The light is changing.",
    }
}
