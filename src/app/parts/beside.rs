//! What is to be said beside the walk, and how soon its order finds the place: worked out away from the page, and shown
//! when it is there.

use dioxus::prelude::*;
use gloo_timers::future::TimeoutFuture;

use crate::app::house::House;
use crate::app::route::Route;
use crate::away::beside::{Beside, CourseTold, Known, TestTold};
use crate::away::{beside_question, course_question};
use crate::device;
use crate::ids::{EventId, JobId};
use crate::job::event::Act;
use crate::job::session::Session;
use crate::objects;

/// A tap is answered and painted first, ms.
const PAUSE: u32 = 400;

async fn ask<T: serde::de::DeserializeOwned>(question: serde_json::Result<String>) -> Option<T> {
    let answer = device::worker::ask(question.ok()?).await.ok()?;
    objects::from_str(&answer).ok()
}

/// What is known of a job that can be searched.
fn known(session: &Session) -> Option<Known> {
    let (job, ready) = (&session.job, session.ready()?);
    let walk = job.walk();
    Some(Known {
        circuit: ready.file.clone(),
        evidence: ready.evidence().to_vec(),
        news: session.is_news(),
        open: walk.open.into_iter().collect(),
        out_of_reach: walk.out_of_reach.into_iter().collect(),
        proven: walk.proven.into_iter().collect(),
        first: walk.first,
        shop: session.job.shop.clone(),
    })
}

/// The cards. Nothing where there is nothing to say, or the worker does not answer: looking goes on all the same.
#[component]
pub fn BesideWalk(
    job: JobId,
    /// The step that is shown.
    shown: String,
) -> Element {
    let house = House::get();
    let mut offered = use_signal(|| None::<(EventId, Beside)>);
    let newest = use_memo(move || house.open.read().of(job).and_then(|session| session.job.newest));
    use_effect(move || {
        let Some(now) = newest() else { return };
        spawn(async move {
            TimeoutFuture::new(PAUSE).await;
            let asked = match house.open.peek().of(job) {
                Some(session) if session.job.newest == Some(now) => known(session),
                _ => None,
            };
            if let Some(asked) = asked {
                offered.set(ask(beside_question(&asked)).await.map(|told| (now, told)));
            }
        });
    });
    let offered = offered.read().clone();
    // What was worked out before the newest entry no longer holds.
    let Some((_, told)) = offered.filter(|(at, _)| Some(*at) == newest()) else { return rsx! {} };
    let Beside { test, next, why_next, after, moved, found, neighbours } = told;
    rsx! {
        if !why_next.is_empty() && next == shown {
            p { class: "hint", id: "why-next", "Why this comes first: {why_next}." }
        }
        if !neighbours.is_empty() {
            section { class: "note", id: "neighbours", role: "status",
                h2 { "Before it is closed, look also here" }
                p { class: "hint", "A second bare place is often close to the first: {found}." }
                ol { class: "lines",
                    for near in neighbours {
                        li { key: "{near.point}",
                            Link { class: "line", to: Route::Point { job, point: near.point.0.clone() },
                                span { "{near.title}" }
                                span { class: "hint", "{near.why}" }
                            }
                        }
                    }
                }
            }
        }
        if !moved.is_empty() {
            section { class: "note", id: "moved", role: "status",
                h2 { "What that moved: {after}" }
                ul {
                    for line in moved {
                        li { key: "{line}", "{line}" }
                    }
                }
            }
        }
        if let Some(test) = test {
            {test_card(house, job, test)}
        }
    }
}

fn test_card(house: House, job: JobId, test: TestTold) -> Element {
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

/// How soon this order finds the place, beside two others: as a drawing and in words. Unfolded, it is worked out.
#[component]
pub fn CourseChart(job: JobId) -> Element {
    let house = House::get();
    let mut told = use_signal(|| None::<CourseTold>);
    let unfold = move |_| {
        let asked = house.open.peek().of(job).and_then(known);
        spawn(async move {
            if let Some(asked) = asked {
                told.set(ask::<Option<CourseTold>>(course_question(&asked)).await.flatten());
            }
        });
    };
    rsx! {
        details { id: "course", ontoggle: unfold,
            summary { "How soon this order finds it" }
            if let Some(CourseTold { lines, minutes, top, words }) = told() {
                p { class: "course-foot", "{top}" }
                svg { class: "course", view_box: "-2 -4 204 108", role: "img", "aria-label": "{words}",
                    path { class: "frame", d: "M0 0V100H200" }
                    for (line, class) in lines.into_iter().zip(["by-plan", "by-list", "by-chance"]) {
                        path { key: "{class}", class, d: line }
                    }
                }
                p { class: "course-foot", span { "0" } span { "{minutes:.0} min" } }
                p { "{words}" }
                p { class: "hint", "Across: minutes. Up: the chance to have found it by then. Thick: this order; dashes: along the list; dots: the likeliest first." }
            }
        }
    }
}
