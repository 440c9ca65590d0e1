//! A test drive, or shaking where it stands: large keys for the one who does not drive, kept as evidence.

use std::rc::Rc;

use dioxus::prelude::*;
use gloo_timers::future::TimeoutFuture;

use crate::app::house::{House, WordKind};
use crate::app::parts::{Choice, Conditions, Screen, TakeBack, Waiting, last_act};
use crate::app::route::Route;
use crate::app::words;
use crate::device::{self, shake::Shake};
use crate::ids::{Condition, JobId};
use crate::job::event::Act;
use crate::job::road::{self, Felt, RoadMark, motion_of};
use crate::search::evidence::Heat;

/// A drive of so many hours was none.
const TOO_LONG: &str = "How long it held was not noted: after more than ten hours the clock was set on the way, or the end was \
                        forgotten. Under “When it opened” it can be noted.";

const HEATS: [Heat; 3] = [Heat::Cold, Heat::Warm, Heat::Hot];
/// Between two looks at the clock and the sensor, ms.
const LOOK_EACH: u32 = 1_000;

/// The drive.
#[component]
pub fn Road(job: JobId) -> Element {
    let house = House::get();
    let _awake = use_hook(device::keep_awake);
    let mut state = use_signal(|| None::<Vec<Condition>>);
    let mut heat = use_signal(|| Heat::Warm);
    let mut shake = use_signal(|| None::<Rc<Shake>>);
    // On this drive, and before it until one begins.
    let mut felt = use_signal(Felt::default);
    let mut now = use_signal(device::now);
    use_future(move || async move {
        let mut asked = false;
        loop {
            TimeoutFuture::new(LOOK_EACH).await;
            // A drive that was on when the app was ended: most browsers let it feel on without a tap.
            let on = house.open.peek().of(job).is_some_and(|session| session.job.road.is_some());
            if on && shake.peek().is_none() && !asked {
                asked = true;
                shake.set(Shake::start().await.map(Rc::new));
            }
            now.set(device::now());
            let feels = shake.peek().as_ref().and_then(|shake| shake.shaken()).map(motion_of);
            if felt.peek().now() != feels {
                felt.write().feels(now(), feels);
            }
        }
    });
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let on = session.job.road.clone();
    let usual = session.job.last_blow();
    let telltale = session.job.concern.telltale.clone();
    let resets = session.job.fuse_style().resets();
    let last = last_act(session);
    let more = session.conditions();
    drop(open);
    let set = state.read().clone().unwrap_or(usual);
    let begin = {
        let set = set.clone();
        move |_| {
            house.act(Act::RoadBegan { state: set.clone(), heat: heat() });
            felt.write().begin_anew();
            spawn(async move { shake.set(Shake::start().await.map(Rc::new)) });
        }
    };
    let too_long = move || {
        let minutes = |road: &road::Road| road.minutes(device::now());
        let on = house.open.peek().of(job).and_then(|session| session.job.road.as_ref().map(minutes));
        if on.is_some_and(|minutes| minutes > road::MOST_MINUTES) {
            house.say(WordKind::Trouble, TOO_LONG);
        }
    };
    let opened = move |_| {
        too_long();
        house.change(|job| road::opened(job, device::now(), &felt.peek()));
    };
    let end = move |_| {
        too_long();
        house.change(|job| road::ended(job, device::now(), &felt.peek()));
        shake.set(None);
    };
    let action = match &on {
        None => rsx! { button { class: "key main", id: "road-begin", onclick: begin, "Begin" } },
        Some(_) => {
            rsx! { button { class: "key main", id: "road-opened", onclick: opened, if resets { "It tripped" } else { "It opened" } } }
        }
    };
    rsx! {
        Screen { title: "Test drive", back: Route::Opening { job }, job, action,
            p { class: "caution", "The driver drives; someone else taps. Alone, only with the vehicle parked. Keep to the traffic rules, and to what the fuse feeds: no drive with lamps, wipers or brake lamps that may fail where they are needed." }
            match on {
                None => rsx! {
                    p { "Begin, and tap what happens: each bump, each bend, and at once when it opens. How long it held before becomes evidence too. Where the phone feels how it is shaken, it tells standing, smooth and rough by itself." }
                    Conditions { legend: "Switched on all the while", state: set, more, onchange: move |chosen| state.set(Some(chosen)) }
                    Choice {
                        name: "road-heat",
                        legend: "Engine and exhaust",
                        answers: HEATS.iter().map(|heat| words::heat(*heat).to_owned()).collect::<Vec<_>>(),
                        chosen: HEATS.iter().position(|offered| *offered == heat()),
                        onchoose: move |chosen: usize| heat.set(HEATS[chosen]),
                    }
                },
                Some(on) => {
                    let bumps = on.marks.iter().filter(|(_, mark)| *mark == RoadMark::Bump).count();
                    let bends = on.marks.len() - bumps;
                    rsx! {
                        p { class: "telltale",
                            if telltale.is_empty() { "Watch something on this fuse that shows at once that it has opened." } else { "Watch: {telltale}" }
                        }
                        p { class: "count", id: "road-holds", "Holds for " strong { {clock(on.since, now())} } }
                        p { class: "hint", id: "road-felt",
                            {words::state(&on.state)} ". "
                            match felt.read().now() {
                                Some(motion) => format!("The phone feels: {}.", words::motion(motion).to_lowercase()),
                                None => "The phone feels nothing: tap bumps and bends.".to_owned(),
                            }
                        }
                        div { class: "road-keys",
                            for (mark, count) in [(RoadMark::Bump, bumps), (RoadMark::Turn, bends)] {
                                button {
                                    key: "{mark:?}",
                                    class: "key road-key",
                                    id: "road-{mark:?}",
                                    onclick: move |_| house.act(Act::RoadMark { what: mark }),
                                    {words::road_mark(mark)}
                                    " · {count}"
                                }
                            }
                        }
                        if resets {
                            p { class: "note", "Each time it trips, let the wire and the breaker cool before it is closed again." }
                        } else {
                            p { class: "note", "After it opened: stop safely, a fresh fuse of the same rating in, then go on." }
                        }
                        button { class: "key", id: "road-end", onclick: end, "The drive is over" }
                    }
                }
            }
            TakeBack { last }
        }
    }
}

/// Minutes and seconds since then.
fn clock(since: chrono::DateTime<chrono::Utc>, now: chrono::DateTime<chrono::Utc>) -> String {
    let seconds = (now - since).num_seconds().max(0);
    format!("{}:{:02}", seconds / 60, seconds % 60)
}
