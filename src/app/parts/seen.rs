//! What a look showed, drawn as a wire: whole, scuffed, thinned, bare, parted, or hidden.

use dioxus::prelude::*;

use crate::search::evidence::Seen;

/// A short piece of wire in the state that was seen. Beside it stands the word; this is for the eye only.
#[component]
pub fn SeenLine(seen: Option<Seen>) -> Element {
    let drawing = match seen {
        None => rsx! { line { class: "wire-faint", x1: "2", y1: "10", x2: "46", y2: "10" } },
        Some(Seen::Sound) => rsx! { line { class: "wire", x1: "2", y1: "10", x2: "46", y2: "10" } },
        Some(Seen::Marked) => rsx! {
            line { class: "wire", x1: "2", y1: "10", x2: "46", y2: "10" }
            path { class: "scuff", d: "M18 4l4 5M24 4l4 5M30 4l4 5" }
        },
        Some(Seen::Thinned) => rsx! { path { class: "wire-fill", d: "M2 6h12l4 3h12l4-3h12v8H34l-4-3H18l-4 3H2z" } },
        Some(Seen::Bare) => rsx! {
            line { class: "wire", x1: "2", y1: "10", x2: "15", y2: "10" }
            line { class: "wire", x1: "33", y1: "10", x2: "46", y2: "10" }
            path { class: "copper", d: "M15 8h18M15 10h18M15 12h18" }
        },
        Some(Seen::Severed) => rsx! {
            line { class: "wire", x1: "2", y1: "10", x2: "15", y2: "10" }
            line { class: "wire", x1: "33", y1: "10", x2: "46", y2: "10" }
            path { class: "copper", d: "M15 10l4-4M15 10l5 1M15 10l4 4M33 10l-4-4M33 10l-5 1M33 10l-4 4" }
        },
        Some(Seen::NotSeen) => rsx! { line { class: "wire-dots", x1: "2", y1: "10", x2: "46", y2: "10" } },
    };
    rsx! {
        svg { class: "seen-line", view_box: "0 0 48 20", "aria-hidden": "true", {drawing} }
    }
}
