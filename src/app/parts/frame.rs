//! The frame of every screen: where one is, the way through the job, what to say, the main action.

use dioxus::prelude::*;
use dioxus::web::WebEventExt;

use crate::app::here;
use crate::app::house::{House, Open};
use crate::app::parts::Kept;
use crate::app::parts::keys::pressed;
use crate::app::route::Route;
use crate::app::work::Busy;
use crate::device;
use crate::ids::JobId;

/// A screen: a heading, what is on it, and its main action at the bottom.
#[component]
pub fn Screen(
    /// What the screen is, as its heading and in the browser's title.
    title: String,
    /// Whether a user wrote that.
    #[props(default)]
    written: bool,
    /// Where "back" leads.
    #[props(default)]
    back: Option<Route>,
    /// The job whose way is shown.
    #[props(default)]
    job: Option<JobId>,
    /// The main action and what stands beside it.
    #[props(default)]
    action: Option<Element>,
    children: Element,
) -> Element {
    let house = House::get();
    let mut trouble = house.trouble;
    // A heading may change under the user's keys, as where it shows a name: only a new screen begins at the top.
    let heading = title.clone();
    use_effect(use_reactive!(|heading| {
        if let Some(document) = web_sys::window().and_then(|window| window.document()) {
            document.set_title(&format!("{heading} · Loomwalk"));
        }
    }));
    let here = use_route::<Route>();
    use_effect(use_reactive!(|here| here::remember(house, &here)));
    use_effect(|| {
        if let Some(window) = web_sys::window() {
            window.scroll_to_with_x_and_y(0.0, 0.0);
        }
    });
    let done = house.done.read().clone();
    let troubles = trouble.read().clone();
    let busy = house.busy.read().iter().rfind(|busy| !busy.words.is_empty()).cloned();
    rsx! {
        header { class: "top",
            if let Some(back) = back {
                Link { class: "back", to: back, "aria-label": "Back",
                    svg { view_box: "0 0 24 24", "aria-hidden": "true", path { d: "M15 4 7 12l8 8" } }
                }
            }
            // A new screen is announced by its heading: screen readers and keyboards start there.
            h1 {
                tabindex: "-1",
                translate: if written { "no" },
                onmounted: move |event| async move {
                    // The browser lays the screen out for that: not in the moment in which it is made.
                    device::breathe().await;
                    if !device::has_focus()
                        && let Some(heading) = event.try_as_web_event()
                    {
                        device::focus(&heading);
                    }
                },
                "{title}"
            }
            if let Some(job) = job {
                Link { class: "way-key", to: here.guide(), "aria-label": "Help on this screen", "?" }
                Way { job }
            }
        }
        main { class: "sheet",
            if *house.newer.read() {
                aside { class: "newer", "aria-label": "Newer version",
                    p { "A newer version lies ready. Everything is kept; the app starts again where you are." }
                    button { class: "plain", onclick: move |_| house.take_newer(), "Take it now" }
                }
            }
            {children}
            if let Some(job) = job {
                Kept { job }
            }
        }
        footer { class: "foot",
            div { class: "words", role: "status",
                if let Some(busy) = &busy {
                    p { class: "word busy", "{busy.words}" }
                } else if let Some(done) = done {
                    p { class: "word", "{done}" }
                }
            }
            if let Some(Busy { words, part, stop: Some(stop), .. }) = busy {
                div { class: "words",
                    div { class: "word",
                        progress { max: "1", value: part.map(|part| part.to_string()), "aria-label": "{words}" }
                        button { class: "plain", id: "stop-work", onclick: move |_| stop.now(), "Stop" }
                    }
                }
            }
            div { class: "words", role: "alert",
                if !troubles.is_empty() {
                    div { class: "word trouble",
                        for (number, words) in troubles.into_iter().enumerate() {
                            p { key: "{number}", "{words}" }
                        }
                        button { class: "plain", id: "read-it", onclick: move |_| trouble.write().clear(), "I have read it" }
                    }
                }
            }
            if let Some(action) = action {
                nav { class: "action", "aria-label": "What to do here", {action} }
            }
        }
    }
}

/// The way through a job: every screen of it, in order.
#[component]
fn Way(job: JobId) -> Element {
    let mut shown = use_signal(|| false);
    let here = use_route::<Route>();
    let stops = [
        (Route::Concern { job }, "Concern"),
        (Route::Opening { job }, "When it opened"),
        (Route::Circuit { job }, "Circuit"),
        (Route::Dead { job }, "What is dead"),
        (Route::Walk { job }, "Walk"),
        (Route::List { job }, "All places"),
        (Route::Repair { job }, "Repair and release"),
        (Route::HandOver { job }, "Hand-over"),
    ];
    rsx! {
        div { class: "way",
            button {
                class: "way-key",
                "aria-expanded": "{shown}",
                "aria-controls": "way-list",
                onclick: move |_| shown.toggle(),
                onkeydown: move |event| {
                    if pressed(&event) == "Escape" {
                        shown.set(false);
                    }
                },
                "Go to"
            }
            nav { id: "way-list", class: "way-list", hidden: !shown(), "aria-label": "The way through this job",
                for (route, label) in stops {
                    Link {
                        to: route.clone(),
                        onclick: move |_| shown.set(false),
                        "aria-current": if here == route { "page" },
                        "{label}"
                    }
                }
                Link { to: Route::Jobs {}, "All jobs" }
            }
        }
    }
}

/// What stands on a job's screen until the job is there, or instead of it.
#[component]
pub fn Waiting(job: JobId) -> Element {
    let house = House::get();
    // Reading the state here makes this run again once the store is open.
    let trouble = match &*house.open.read() {
        Open::Failed(why) => Some(why.clone()),
        Open::Unread(unread, why) if *unread == job => Some(why.clone()),
        _ => None,
    };
    let mut tried = use_hook(|| CopyValue::new(false));
    use_effect(move || {
        let waiting = match &*house.open.read() {
            Open::Starting | Open::Failed(_) => false,
            // Tried again each time that the user comes here, not in between.
            Open::Unread(unread, _) => *unread != job || !tried(),
            Open::Nothing | Open::Reading(_) | Open::Here(_) => true,
        };
        if waiting {
            tried.set(true);
            house.show(job);
        }
    });
    rsx! {
        if let Some(trouble) = trouble {
            Screen { title: "This job cannot be shown", back: Route::Jobs {},
                p { class: "trouble-text", role: "alert", "{trouble}" }
                Link { class: "key main", to: Route::Jobs {}, "To the jobs" }
            }
        } else {
            main { class: "sheet", p { class: "hint", role: "status", "Reading the job …" } }
        }
    }
}
