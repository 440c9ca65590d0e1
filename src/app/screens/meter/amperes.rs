//! Amperes through the fuse with everything of a state on: in all, and load by load with the volts that are left.

use dioxus::prelude::*;

use super::left;
use crate::app::house::House;
use crate::app::words;
use crate::circuit::meter::{Draw, Figure, LoadDraw, draw};
use crate::circuit::unplug::Unplugged;
use crate::ids::{Condition, JobId};

fn span(figure: Figure, unit: &str) -> String {
    format!("{:.2} to {:.2} {unit}", figure.least, figure.most)
}

/// What flows, and what is left where.
#[component]
pub fn Amperes(job: JobId, state: ReadSignal<Vec<Condition>>, unplugged: ReadSignal<Vec<Unplugged>>) -> Element {
    let house = House::get();
    let found = use_memo(move || {
        let open = house.open.read();
        let ready = open.of(job)?.ready()?;
        let drawn = draw(&left(&ready.harness, &unplugged.read()), &state.read());
        Some((drawn.map_err(|error| words::sentence(&error.to_string())), ready.file.fuse.rating_a))
    });
    let Some((found, rating)) = found() else { return rsx! {} };
    let Draw { fuse_a, loads } = match found {
        Ok(found) => found,
        Err(why) => return rsx! { p { class: "trouble-text", "{why}" } },
    };
    let out = unplugged.read().len();
    rsx! {
        p { class: "caution",
            "Clamp meter around the wire; or ammeter in the fuse's place, its range above {rating} A and its leads fused no larger than this fuse. Never a larger fuse, never a bridge. Motors that start: hands and cloth away."
        }
        section { class: "next reading", id: "reading", "aria-label": "What the meter should show",
            p { class: "eyebrow", "Through the fuse, with everything of this state on." }
            p { class: "large", role: "status", "{fuse_a.value:.2} A" }
            p { {span(fuse_a, "A")} }
            if out > 0 {
                p { class: "hint", {format!("With {} unplugged under “Ohms at the open fuse”.", out)} }
            }
            p { "More: something beyond the loads, or a motor that runs hard. Less: something is off, unplugged or burnt out. Lamps and motors take more for a moment when they come on." }
        }
        h2 { "At each load" }
        if loads.is_empty() {
            p { class: "hint", "Nothing of this circuit is on. Switch on more, above." }
        }
        ul { class: "lines",
            for load in loads {
                LoadLine { key: "{load.id}", load }
            }
        }
    }
}

#[component]
fn LoadLine(load: LoadDraw) -> Element {
    let LoadDraw { id, label, amps, volts, feed_drop_v, return_drop_v } = load;
    rsx! {
        li { class: "line",
            strong { if label.is_empty() { "{id}" } else { "{label}" } }
            dl { class: "facts",
                dt { "Takes" }
                dd { "{amps.value:.2} A · " {span(amps, "A")} }
                dt { "At it" }
                dd { "{volts.value:.2} V · " {span(volts, "V")} }
                dt { "Lost before it" }
                dd { "{feed_drop_v:.2} V" }
                dt { "Lost behind it" }
                dd { "{return_drop_v:.2} V" }
            }
        }
    }
}
