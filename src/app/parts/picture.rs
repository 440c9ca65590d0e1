//! The vehicle from above: the chance of each zone, and the next place.

use std::collections::BTreeMap;

use dioxus::prelude::*;

use crate::app::words;
use crate::gather::Order as _;
use crate::ids::ZoneId;
use crate::job::session::Session;
use crate::search::plan::Plan;

/// A zone as drawn.
#[derive(Debug, Clone, PartialEq)]
struct Part {
    id: ZoneId,
    label: String,
    shape: [f64; 4],
    chance: f64,
    next: bool,
}

/// What the picture shows, made from a session so that it is only drawn again when it differs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sketch {
    parts: Vec<Part>,
    summary: String,
}

impl Sketch {
    /// From the plan of the moment, or from the one that the walk is held to.
    pub fn of(session: &Session, plan: Option<&Plan>) -> Self {
        let Some(ready) = session.ready() else { return Self::default() };
        let mut chances: BTreeMap<&ZoneId, f64> = BTreeMap::new();
        for point in &ready.plan.points {
            *chances.entry(&point.zone).or_default() += point.probability;
        }
        let next = plan.unwrap_or(&ready.plan).steps.iter().find_map(|step| step.zone.as_ref());
        let parts: Vec<Part> = ready
            .map
            .map
            .zones
            .iter()
            .map(|zone| Part {
                id: zone.id.clone(),
                label: zone.label.clone(),
                shape: zone.shape,
                chance: chances.get(&zone.id).copied().unwrap_or_default(),
                next: next == Some(&zone.id),
            })
            .collect();
        let mut best: Vec<&Part> = parts.iter().filter(|part| part.chance > 0.0).collect();
        best.order_by(|one, other| other.chance.total_cmp(&one.chance));
        let best: Vec<String> =
            best.iter().take(3).map(|part| format!("{} {}", part.label, words::chance(part.chance))).collect();
        let next = parts.iter().find(|part| part.next).map_or("none", |part| part.label.as_str());
        let summary =
            format!("The vehicle from above, front at the top. Next place: {next}. Most likely: {}.", best.join(", "));
        Self { parts, summary }
    }
}

/// The drawing. What it shows stands as text in the list of all places, so here a summary is enough.
#[component]
pub fn Picture(sketch: Sketch) -> Element {
    if sketch.parts.is_empty() {
        return rsx! {};
    }
    rsx! {
        figure { class: "picture",
            svg { view_box: "-4 -4 108 208", role: "img", "aria-label": "{sketch.summary}",
                path { class: "outline", d: "M22 4Q50-4 78 4Q94 8 96 28L98 176Q97 196 82 198Q50 203 18 198Q3 196 2 176L4 28Q6 8 22 4Z" }
                for part in sketch.parts {
                    Region { key: "{part.id}", part }
                }
            }
            figcaption { class: "hint", "Length of the bar in a part: chance that the place is there. Thick frame: the next place." }
        }
    }
}

#[component]
fn Region(part: Part) -> Element {
    let [x, y, width, height] = part.shape;
    let bar = (part.chance.clamp(0.0, 1.0).sqrt() * (width - 2.0)).max(0.0);
    let thick = (height / 3.0).min(4.0);
    let below = y + height - thick - 1.0;
    let class = if part.next { "zone next" } else { "zone" };
    rsx! {
        rect { class, x: "{x}", y: "{y}", width: "{width}", height: "{height}", rx: "1.5" }
        if part.chance > 0.0 {
            rect { class: "zone-bar", x: "{x + 1.0}", y: "{below}", width: "{bar:.2}", height: "{thick}" }
        }
        if part.chance >= 0.05 && width >= 10.0 && height >= 9.0 {
            text { class: "zone-number", x: "{x + 1.5}", y: "{below - 1.0}", "{part.chance * 100.0:.0}" }
        }
    }
}
