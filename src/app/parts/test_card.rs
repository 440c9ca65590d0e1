//! The test that saves more than looking, if there is one: worked out away from the page, and shown when it is there.

use dioxus::prelude::*;
use gloo_timers::future::TimeoutFuture;

use crate::app::house::House;
use crate::app::route::Route;
use crate::away::tests::{TestTold, TestsAsked};
use crate::away::tests_question;
use crate::device;
use crate::ids::{EventId, JobId};
use crate::job::event::Act;

/// A tap is answered and painted first, ms.
const PAUSE: u32 = 400;

async fn ask(asked: &TestsAsked) -> Option<TestTold> {
    let answer = device::worker::ask(tests_question(asked).ok()?).await.ok()?;
    serde_json::from_str(&answer).ok()?
}

/// The card. Nothing where no test pays, or the worker does not answer: looking goes on all the same.
#[component]
pub fn TestCard(job: JobId) -> Element {
    let house = House::get();
    let mut offered = use_signal(|| None::<(EventId, TestTold)>);
    let newest = use_memo(move || house.open.read().of(job).and_then(|session| session.job.newest));
    use_effect(move || {
        let Some(now) = newest() else { return };
        spawn(async move {
            TimeoutFuture::new(PAUSE).await;
            let asked = match house.open.peek().of(job) {
                Some(session) if session.job.newest == Some(now) => session.ready().map(|ready| {
                    let walk = session.job.walk();
                    TestsAsked {
                        circuit: ready.file.clone(),
                        evidence: session.job.evidence(),
                        open: walk.open.into_iter().collect(),
                        out_of_reach: walk.out_of_reach.into_iter().collect(),
                    }
                }),
                _ => None,
            };
            if let Some(asked) = asked {
                offered.set(ask(&asked).await.map(|test| (now, test)));
            }
        });
    });
    let offered = offered.read().clone();
    // What was worked out before the newest entry no longer holds.
    let Some((_, test)) = offered.filter(|(at, _)| Some(*at) == newest()) else { return rsx! {} };
    let watched = test.clone();
    let came = move |blew: bool| {
        let TestTold { unplug: node, state, minutes, .. } = watched.clone();
        move |_| {
            house.act(Act::Unplugged { node: node.clone(), load: None, blew, state: state.clone(), minutes });
        }
    };
    rsx! {
        section { class: "note", id: "test", role: "status",
            h2 { "A test that saves more than looking" }
            p { "{test.title}." }
            p { class: "hint", "{test.worth}" }
            if !test.caution.is_empty() {
                p { class: "caution", "{test.caution}" }
            }
            if let Some(point) = &test.press {
                Link { class: "key", id: "do-test", to: Route::Press { job, point: point.0.clone() }, "Press there" }
            } else if test.unplug.is_some() {
                button { class: "key", id: "test-blew", onclick: came(true), "Done: it opened all the same" }
                button { class: "key", id: "test-held", onclick: came(false), "Done: it held" }
            } else {
                Link { class: "key", id: "do-test", to: Route::Opening { job }, "Note what came of it" }
            }
        }
    }
}
