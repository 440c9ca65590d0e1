//! An address that leads nowhere.

use dioxus::prelude::*;

use crate::app::parts::Screen;
use crate::app::route::Route;

/// Says so, and leads home.
#[component]
pub fn Lost(rest: Vec<String>) -> Element {
    let address = rest.join("/");
    rsx! {
        Screen { title: "Nothing here",
            action: rsx! { Link { class: "key main", to: Route::Jobs {}, "To the jobs" } },
            p { "There is no screen at /{address}." }
        }
    }
}
