//! The guide: the method and why, what each screen asks for, the cautions, what the numbers mean and do not.

use dioxus::prelude::*;

use crate::app::parts::Screen;
use crate::app::route::Route;

/// The guide, opened at the screen from which it was asked for, if it was. Its text is no part of the program, so that a first
/// start is short: `public/start.js` reads it, from what is kept on the device.
#[component]
pub fn Guide(at: String) -> Element {
    let navigator = use_navigator();
    let action = rsx! {
        if at.is_empty() {
            Link { class: "key main", to: Route::Jobs {}, "To the jobs" }
        } else {
            button { class: "key main", id: "return", onclick: move |_| navigator.go_back(), "Back to where I was" }
        }
    };
    rsx! {
        Screen { title: "How it works", back: Route::Jobs {}, action,
            loomwalk-guide { class: "guide", "at": at }
        }
    }
}
