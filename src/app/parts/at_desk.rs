//! Jobs that lie at the desk and not on this phone, to be taken over.

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::learned;
use crate::app::parts::Find;
use crate::app::route::Route;
use crate::app::words;
use crate::device::desk;
use crate::ids::JobId;

/// The desk's list, once it is asked for. Nothing where there is no desk, or none that knows this phone.
#[component]
pub fn AtDesk(
    /// Jobs that are on this phone.
    here: Vec<JobId>,
) -> Element {
    let house = House::get();
    let navigator = use_navigator();
    let in_touch = use_memo(move || house.outbox.read().is_in_touch());
    use_effect(move || {
        if in_touch() {
            learned::ask_desk();
        }
    });
    let mut found = use_signal(|| None::<(Vec<desk::AtDesk>, usize)>);
    let mut asking = use_signal(|| false);
    let typed = use_signal(String::new);
    let field = use_signal(|| None);
    let ask = move |_| {
        if asking.replace(true) {
            return;
        }
        let work = house.work("Asking the desk …");
        let words = typed.peek().clone();
        spawn_forever(async move {
            let answer = desk::jobs(&words).await;
            drop(work);
            let _ = asking.try_write().map(|mut asking| *asking = false);
            match answer {
                Ok(jobs) => drop(found.try_write().map(|mut found| *found = Some(jobs))),
                Err(why) => house.say(WordKind::Trouble, format!("The desk’s jobs cannot be shown: {why}")),
            }
        });
    };
    let mut bring = move |job: JobId| {
        if asking.replace(true) {
            return;
        }
        let work = house.work("Taking the job onto this phone …");
        spawn_forever(async move {
            const STOPPED: &str = "Stopped. A job that had come by then stands in the list above.";
            let brought = work.until_stopped(desk::bring(job), STOPPED).await;
            drop(work);
            let still_here = asking.try_write().map(|mut asking| *asking = false).is_ok();
            match brought {
                None => {}
                Some(Ok(())) => {
                    let mut changed = house.jobs_changed;
                    changed += 1;
                    // Whoever went on elsewhere meanwhile stays there.
                    if still_here {
                        navigator.push(Route::Walk { job });
                    }
                    house.say(WordKind::Done, "The job is on this phone now.");
                }
                Some(Err(why)) => house.say(WordKind::Trouble, format!("The job was not taken over: {why}")),
            }
        });
    };
    if !in_touch() && found.read().is_none() {
        return rsx! {};
    }
    let listed = found.read().clone().map(|(jobs, of)| {
        let told = jobs.len();
        (jobs.into_iter().filter(|told| !here.contains(&told.job)).collect::<Vec<_>>(), of.saturating_sub(told))
    });
    rsx! {
        section { id: "at-desk",
            h2 { "At the desk" }
            match listed {
                None => rsx! {},
                Some((jobs, 0)) if jobs.is_empty() => rsx! {
                    p { id: "nothing-at-desk", "No other job there: what the desk has of these is on this phone." }
                },
                Some((jobs, more)) => rsx! {
                    ul { class: "lines",
                        for told in jobs {
                            li { key: "{told.job}",
                                button { class: "line", "data-job": "{told.job}", onclick: move |_| bring(told.job),
                                    strong {
                                        translate: if !told.concern.is_empty() { "no" },
                                        if told.concern.is_empty() { "Job without a concern" } else { "{told.concern}" }
                                    }
                                    if told.practice {
                                        span { class: "tag", "Practice" }
                                    }
                                    if told.closed {
                                        span { class: "tag", "Closed" }
                                    }
                                    span { class: "hint", translate: "no", "{told.vehicle}" }
                                    span { class: "hint", translate: "no", "{told.fuse}" }
                                }
                            }
                        }
                    }
                    if more > 0 {
                        p { class: "hint", "These were changed last. The desk has " {words::count(more, "older one", "older ones")} "." }
                    }
                },
            }
            if found.read().is_some() {
                Find {
                    id: "find-desk",
                    label: "Find a job at the desk",
                    hint: "Vehicle, fuse or concern: also those that are handed over. Empty: all that are open",
                    typed,
                    field,
                }
            }
            button { class: "key", id: "desk-jobs", onclick: ask,
                if found.read().is_some() { "Ask the desk again" } else { "Show jobs at the desk" }
            }
        }
    }
}
