//! A chance, shown by length and number, never by colour.

use dioxus::prelude::*;

use crate::app::words;

/// A bar as long as the chance, with the number beside it.
#[component]
pub fn Chance(chance: f64) -> Element {
    let text = words::chance(chance);
    // The square root keeps small chances visible; the number beside it is exact.
    let length = (chance.clamp(0.0, 1.0).sqrt() * 100.0).max(1.0);
    rsx! {
        span { class: "chance",
            svg { class: "chance-bar", view_box: "0 0 100 8", preserve_aspect_ratio: "none", "aria-hidden": "true",
                rect { class: "chance-whole", x: "0", y: "3", width: "100", height: "2" }
                rect { class: "chance-part", x: "0", y: "0", width: "{length:.1}", height: "8" }
            }
            span { class: "chance-number", "{text}" }
        }
    }
}
