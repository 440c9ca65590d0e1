//! The phone watches the telltale, by eye or by ear: choose the spot, and it calls out when it goes out.

use std::cell::RefCell;
use std::rc::Rc;

use chrono::{DateTime, Utc};
use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use dioxus::web::WebEventExt;
use gloo_timers::future::TimeoutFuture;
use wasm_bindgen::JsCast;
use web_sys::HtmlVideoElement;

use crate::app::capture::KEEPING;
use crate::app::house::{House, WordKind};
use crate::app::parts::keys::pressed;
use crate::app::parts::{PhotoStrip, Screen, TakeBack, Waiting, last_act};
use crate::app::route::Route;
use crate::app::words;
use crate::device::ear::Ear;
use crate::device::lookout::{Alarm, Lookout, Siren};
use crate::device::{self, Camera, Purpose};
use crate::ids::{EventId, JobId};
use crate::job::event::{Act, Photo, Stage};
use crate::watch::{Change, Doubt, Sample, State, Values, Watch as Detector, Window};

/// Between two looks at the picture, ms: above twice the ten a second that are needed.
const LOOK_EACH: u32 = 40;
/// How far one tap on a key moves the spot, in widths of the picture.
const STEP: f64 = 0.02;
/// The smallest and the largest spot, likewise.
const SIZES: (f64, f64) = (0.01, 0.15);

/// What is shown.
#[derive(Clone, Copy, PartialEq)]
struct View {
    /// What is watched with, while it is.
    by: Option<By>,
    state: State,
    spot: Window,
    /// It went out, and nobody has said yet that it was heard.
    calling: bool,
}

/// Eye or ear.
#[derive(Clone, Copy, PartialEq)]
enum By {
    Eye,
    Ear,
}

/// What it is watched with.
enum Sense {
    Eye(Camera, Lookout),
    Ear(Ear),
}

/// What runs behind it; gone with the screen.
#[derive(Default)]
struct Running {
    sense: Option<Sense>,
    siren: Option<Siren>,
    alarm: Option<Alarm>,
    video: Option<HtmlVideoElement>,
    /// Counts beginnings and ends: what belongs to an earlier run has nothing to say any more.
    run: u32,
}

impl Running {
    fn start(&mut self, sense: Sense, siren: Siren) {
        if let (Sense::Eye(camera, _), Some(video)) = (&sense, &self.video) {
            camera.show_in(video);
        }
        (self.sense, self.siren) = (Some(sense), Some(siren));
    }

    fn end(&mut self) {
        *self = Self { run: self.run + 1, ..Self::default() };
    }
}

/// Watches the telltale of a job.
#[component]
pub fn Watch(job: JobId) -> Element {
    let house = House::get();
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let telltale = session.job.concern.telltale.clone();
    let last = last_act(session);
    let moments = session.job.pictures().filter(|(_, photo)| photo.annotation == MOMENTS).cloned().collect::<Vec<_>>();
    drop(open);
    rsx! {
        Watching { job, telltale, last, moments }
    }
}

/// Watches the telltale for whoever lies below with another phone: nothing is kept, it only calls out.
#[component]
pub fn WatchAlone() -> Element {
    rsx! {
        Watching { telltale: "", last: None, moments: Vec::new() }
    }
}

#[component]
fn Watching(
    #[props(default)] job: Option<JobId>,
    telltale: String,
    last: Option<(Vec<EventId>, String)>,
    moments: Vec<(EventId, Photo)>,
) -> Element {
    let house = House::get();
    let _awake = use_hook(device::keep_awake);
    let running: Rc<RefCell<Running>> = use_hook(Rc::default);
    let mut view = use_signal(|| View {
        by: None,
        state: State::Learning,
        spot: Window { x: 0.5, y: 0.4, size: 0.05 },
        calling: false,
    });
    let shape = use_signal(|| 0.75);
    let mut trouble = use_signal(String::new);
    let behind = running.clone();
    use_drop(move || behind.borrow_mut().end());
    let mut outs = use_signal(Vec::<String>::new);
    let mut logged = use_signal(|| false);
    let changed = use_callback(move |(lit, at): (bool, DateTime<Utc>)| match job {
        Some(job) => {
            logged.set(false);
            let act = Act::Telltale { lit, seen_at: at };
            let keeping = house.keeping(|| house.act_in(job, vec![act], Vec::new()));
            spawn(async move { logged.set(keeping.all_kept().await) });
        }
        None if lit => {}
        None => outs.push(words::clock(at)),
    });
    let now = view();
    let behind = running.clone();
    let begin = use_callback(move |by: By| {
        let running = behind.clone();
        trouble.set(String::new());
        running.borrow_mut().end();
        let run = running.borrow().run;
        let mut shown = view.write();
        (shown.by, shown.state, shown.calling) = (Some(by), State::Learning, false);
        drop(shown);
        spawn(async move {
            let begun = begun(by).await;
            if running.borrow().run != run {
                return;
            }
            let ended = match begun {
                Ok((sense, siren)) => {
                    running.borrow_mut().start(sense, siren);
                    keep_watching(run, job, changed, view, shape, &running, house).await
                }
                Err(error) => words::sentence(&error.to_string()),
            };
            if running.borrow().run == run {
                running.borrow_mut().end();
                trouble.set(ended);
                view.write().by = None;
            }
        });
    });
    let heard = {
        let running = running.clone();
        move |_| {
            running.borrow_mut().alarm = None;
            view.write().calling = false;
        }
    };
    let mounted = running.clone();
    let shift = use_callback(move |(x, y, grow): (f64, f64, f64)| {
        let Window { x: was_x, y: was_y, size } = view.peek().spot;
        view.write().spot = Window {
            x: (was_x + x).clamp(0.0, 1.0),
            y: (was_y + y).clamp(0.0, shape()),
            size: (size * grow).clamp(SIZES.0, SIZES.1),
        };
    });
    let action = rsx! {
        if now.calling {
            button { class: "key main", id: "heard", onclick: heard, "I heard it" }
        } else if now.by.is_none() {
            button { class: "key main", id: "start-watch", onclick: move |_| begin.call(By::Eye), "Watch with the camera" }
            button { class: "key", id: "start-listening", onclick: move |_| begin.call(By::Ear), "Listen instead" }
        }
    };
    let back = job.map_or(Route::Jobs {}, |job| Route::Walk { job });
    rsx! {
        Screen { title: "Watch the telltale", back, job, action,
            if now.calling {
                div { class: "went-out", role: "alert",
                    strong { "It went out" }
                    if logged() {
                        p { "The time is in the log." }
                    } else if job.is_none() {
                        p { "Tell the one below, who taps “It opened”." }
                    }
                }
            }
            p { class: "caution", "Parked only, or with a passenger who holds the phone: never by the driver on the road." }
            if now.by.is_none() {
                p {
                    if telltale.is_empty() {
                        "Choose something on this fuse that shows at once that it has opened: a lamp, a lit display, a motor or a buzzer that is heard. "
                    } else {
                        "Watch: {telltale}. "
                    }
                    "Prop the phone up in the cabin so that it lies still and sees the lamp lit. Sound on, loud. "
                    if job.is_some() {
                        "When it goes out, the phone sounds, the time goes into the log, and of what the camera saw the last three seconds are kept as one small picture, and nothing else."
                    } else {
                        "When it goes out, the phone sounds and says when. Nothing is kept here: what happened is tapped on the phone below."
                    }
                }
            }
            if !trouble.read().is_empty() {
                div { class: "note", role: "alert", id: "watch-trouble",
                    p { "{trouble}" }
                    p { "Without it: ask someone to watch the telltale and call out, or clip a test lamp where you can see it from below." }
                }
            }
            if now.by.is_some() {
                p { class: "telltale", id: "watch-state", role: "status", {said(now.by, now.state)} }
            }
            if now.by == Some(By::Eye) {
                div {
                    class: "viewer",
                    tabindex: "0",
                    role: "group",
                    "aria-label": "The camera's picture. The arrow keys move the spot, plus and minus change its size.",
                    onkeydown: move |event| {
                        let (x, y, grow) = match pressed(&event).as_str() {
                            "ArrowLeft" => (-STEP, 0.0, 1.0),
                            "ArrowRight" => (STEP, 0.0, 1.0),
                            "ArrowUp" => (0.0, -STEP, 1.0),
                            "ArrowDown" => (0.0, STEP, 1.0),
                            "+" => (0.0, 0.0, 1.25),
                            "-" => (0.0, 0.0, 0.8),
                            _ => return,
                        };
                        event.prevent_default();
                        shift.call((x, y, grow));
                    },
                    video {
                        id: "watch-video",
                        muted: true,
                        "playsinline": true,
                        onmounted: move |event| {
                            let video: Option<HtmlVideoElement> = event.try_as_web_event().and_then(|element| element.dyn_into().ok());
                            let mut running = mounted.borrow_mut();
                            if let (Some(Sense::Eye(camera, _)), Some(video)) = (&running.sense, &video) {
                                camera.show_in(video);
                            }
                            running.video = video;
                        },
                        onclick: {
                            let running = running.clone();
                            move |event: MouseEvent| {
                                let wide = running.borrow().video.as_ref().map_or(1.0, |video| f64::from(video.client_width().max(1)));
                                let at = event.element_coordinates();
                                view.write().spot = Window { x: at.x / wide, y: at.y / wide, size: now.spot.size };
                            }
                        },
                    }
                    svg { view_box: "0 0 1000 {shape() * 1000.0:.0}", "aria-hidden": "true",
                        SpotFrame { spot: now.spot, shape: shape() }
                    }
                }
                p { class: "hint", "Tap the lamp in the picture, so that it fills the small frame. What lies around the outer frame tells daylight and hands from the lamp." }
                div { class: "spot-keys", role: "group", "aria-label": "Move the spot",
                    for (words, x, y, grow) in MOVES {
                        button { key: "{words}", class: "key", onclick: move |_| shift.call((x, y, grow)), "{words}" }
                    }
                }
            }
            if now.by.is_some() && !now.calling {
                button {
                    class: "plain",
                    id: "stop-watch",
                    onclick: move |_| {
                        running.borrow_mut().end();
                        view.write().by = None;
                    },
                    "Stop watching"
                }
            }
            if !outs.read().is_empty() {
                ul { class: "plainlist", "aria-label": "When it went out",
                    for (number, at) in outs.read().iter().enumerate() {
                        li { key: "{number}", "It went out at {at}" }
                    }
                }
            }
            if let Some(job) = job {
                PhotoStrip { job, photos: moments }
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

/// The spot, and how far its surround reaches, where they are looked at.
#[component]
fn SpotFrame(spot: Window, shape: f64) -> Element {
    let (left, top, side) = spot.pixels(1_000.0, shape * 1_000.0);
    let fifth = side / 5.0;
    rsx! {
        rect { class: "around", x: "{left}", y: "{top}", width: "{side}", height: "{side}" }
        rect { x: "{left + 2.0 * fifth}", y: "{top + 2.0 * fifth}", width: "{fifth}", height: "{fifth}" }
    }
}

async fn begun(by: By) -> Result<(Sense, Siren), device::DeviceError> {
    // First of all: a browser lets a page make a noise only straight after a tap.
    let siren = Siren::new()?;
    let sense = match by {
        By::Eye => Sense::Eye(Camera::open(Purpose::Watching).await?, Lookout::new()?),
        By::Ear => Sense::Ear(Ear::open().await?),
    };
    Ok((sense, siren))
}

const GONE: &str = "The camera or the microphone is gone: another app took it, or it was switched off. Start it again.";

/// Looks again and again, until it is stopped or what it looks with is gone. Says why it ended.
async fn keep_watching(
    run: u32,
    job: Option<JobId>,
    changed: Callback<(bool, DateTime<Utc>)>,
    mut view: Signal<View>,
    mut shape: Signal<f64>,
    running: &RefCell<Running>,
    house: House,
) -> String {
    let mut spot = view.peek().spot;
    let mut detector = Detector::new(Values::shipped());
    loop {
        TimeoutFuture::new(LOOK_EACH).await;
        let chosen = view.peek().spot;
        if chosen != spot {
            spot = chosen;
            detector = Detector::new(Values::shipped());
        }
        let seen = {
            let Running { sense, video, run: now, .. } = &mut *running.borrow_mut();
            if *now != run {
                return String::new();
            }
            match sense {
                None => return String::new(),
                Some(Sense::Eye(camera, _)) if !camera.sees() => return GONE.to_owned(),
                Some(Sense::Ear(ear)) if !ear.hears() => return GONE.to_owned(),
                Some(Sense::Eye(_, lookout)) => video.as_ref().and_then(|video| {
                    let seen = f64::from(video.video_height().max(1)) / f64::from(video.video_width().max(1));
                    if *shape.peek() != seen {
                        shape.set(seen);
                    }
                    lookout.look(video, spot)
                }),
                Some(Sense::Ear(ear)) => Some(Sample::of_sound(device::steady_ms(), ear.level().0)),
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
        changed.call((lit, device::now() - ago));
        if !lit {
            let alarm = running.borrow().siren.as_ref().and_then(Siren::sound);
            running.borrow_mut().alarm = alarm;
            view.write().calling = true;
            if let Some(job) = job {
                keep_moments(house, job, running);
            }
            if matches!(running.borrow().sense, Some(Sense::Ear(_))) {
                // It would hear its own alarm, and take it for what it listens to.
                while view.peek().calling {
                    TimeoutFuture::new(LOOK_EACH).await;
                }
                return String::new();
            }
        }
    }
}

/// Keeps what the camera saw just before, as one picture, while the watch goes on. Where that fails, the time is in the log
/// all the same.
fn keep_moments(house: House, job: JobId, running: &RefCell<Running>) {
    let seen = match &mut *running.borrow_mut() {
        Running { sense: Some(Sense::Eye(_, lookout)), video: Some(video), .. } => lookout.moments(video),
        _ => return,
    };
    // A newer version waits for it, from here on.
    let work = house.work(KEEPING);
    spawn_forever(async move {
        let picture = match seen {
            Ok(moments) => moments.picture().await,
            Err(error) => Err(error),
        };
        match picture {
            Ok(picture) => {
                house.keep_photo(job, None, Stage::Other, picture, MOMENTS).await;
            }
            Err(error) => house.say(WordKind::Trouble, error.to_string()),
        }
        drop(work);
    });
}

const MOMENTS: &str = "The telltale goes out: four pictures a second, the oldest first.";

fn said(by: Option<By>, state: State) -> &'static str {
    match (by, state) {
        (Some(By::Ear), State::Learning) => "Learning how it sounds. Leave it on, and keep still.",
        (Some(By::Ear), State::Lit) => "Heard. Listening.",
        (Some(By::Ear), State::Out) => "Silent.",
        (Some(By::Ear), State::Unsure(_) | State::Covered) => {
            "Too unsteady to tell: lay the phone closer to what sounds, or use the camera."
        }
        (_, State::Learning) => "Learning how it looks when lit. Leave it on, and the phone still.",
        (_, State::Lit) => "Lit. Watching.",
        (_, State::Out) => "Out.",
        (_, State::Covered) => "Something is before it. Watching goes on when it is gone.",
        (_, State::Unsure(Doubt::TooBright)) => "Too bright to tell: shade the lamp.",
        (_, State::Unsure(Doubt::Flickers)) => {
            "It looks too unsteady to tell: make the frame smaller, or choose another lamp."
        }
        (_, State::Unsure(Doubt::LightChanges)) => "The light is changing.",
    }
}
