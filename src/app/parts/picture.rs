//! The vehicle as drawn: the chance of each zone, the next place, and zones to choose by thumb, by keys or from a list.

use std::collections::BTreeMap;

use dioxus::prelude::*;

use crate::app::parts::Choice;
use crate::app::parts::keys::pressed;
use crate::app::words;
use crate::circuit::file::{Body, Vehicle};
use crate::ids::ZoneId;
use crate::job::session::Session;
use crate::search::evidence::Observation;
use crate::search::plan::Plan;
use crate::vehicle::body::{ZoneMap, fit};
use crate::vehicle::picture::{Seen, Shape, beside, drawing, shapes};

/// A zone as drawn.
#[derive(Debug, Clone, PartialEq)]
struct Part {
    id: ZoneId,
    label: String,
    chance: f64,
    next: bool,
    /// Someone looked or pressed here last.
    last: bool,
}

/// What the picture shows, made from a session so that it is only drawn again when it differs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sketch {
    body: Body,
    parts: Vec<Part>,
    /// Where the parts lie, from each way of looking.
    shapes: [Vec<Option<Shape>>; 3],
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
        let body = session.job.circuit.as_ref().map(|circuit| circuit.vehicle.body).unwrap_or_default();
        let mut sketch = Self::of_map(&ready.map.map, body, |id| chances.get(id).copied().unwrap_or_default(), next);
        let last = session.job.observations.iter().rev().find_map(|(_, seen)| match seen {
            Observation::Look { point, .. } | Observation::Press { point, .. } => {
                Some(ready.point(point)?.zone.clone())
            }
            _ => None,
        });
        for part in &mut sketch.parts {
            part.last = Some(&part.id) == last.as_ref();
        }
        let mut best: [Option<&Part>; 3] = [None; 3];
        for part in sketch.parts.iter().filter(|part| part.chance > 0.0) {
            let mut part = Some(part);
            for place in &mut best {
                if place.is_none_or(|known| part.is_some_and(|part| part.chance > known.chance)) {
                    std::mem::swap(place, &mut part);
                }
            }
        }
        let best: Vec<String> =
            best.into_iter().flatten().map(|part| format!("{} {}", part.label, words::chance(part.chance))).collect();
        let next = sketch.parts.iter().find(|part| part.next).map_or("none", |part| part.label.as_str());
        sketch.summary = format!("The vehicle. Next place: {next}. Most likely: {}.", best.join(", "));
        sketch
    }

    /// The zones of a vehicle, without chances, to choose one; `at` is the one that holds now.
    pub fn to_choose(vehicle: &Vehicle, at: Option<&ZoneId>) -> Self {
        let mut sketch = Self::of_map(&fit(vehicle).map, vehicle.body, |_| 0.0, at);
        let now = sketch.parts.iter().find(|part| part.next).map_or("not known", |part| part.label.as_str());
        sketch.summary = format!("Where it sits, in the vehicle. Now: {now}.");
        sketch
    }

    fn of_map(map: &ZoneMap, body: Body, chance: impl Fn(&ZoneId) -> f64, next: Option<&ZoneId>) -> Self {
        let part = |zone: &crate::vehicle::body::Zone| Part {
            id: zone.id.clone(),
            label: zone.label.clone(),
            chance: chance(&zone.id),
            next: next == Some(&zone.id),
            last: false,
        };
        Self {
            body,
            parts: map.zones.iter().map(part).collect(),
            shapes: Seen::ALL.map(|from| shapes(map, body, from)),
            summary: String::new(),
        }
    }
}

/// The drawing. Arrow keys go from zone to zone, Enter chooses.
#[component]
pub fn Picture(
    /// What it shows.
    sketch: Sketch,
    /// What it says below.
    caption: String,
    /// Whether a list of the zones stands below it, where none stands elsewhere.
    #[props(default)]
    list: bool,
    /// Called with the zone that is chosen.
    onchoose: EventHandler<ZoneId>,
) -> Element {
    let mut from = use_signal(|| 0usize);
    let mut at = use_signal(|| None::<usize>);
    if sketch.parts.is_empty() {
        return rsx! {};
    }
    let Sketch { body, parts, shapes, summary } = sketch;
    let seen = Seen::ALL[from()];
    let [width, height] = seen.sheet();
    let lines = drawing(body);
    let (outline, inner) = match seen {
        Seen::Above => (lines.above, lines.above_lines),
        Seen::Left | Seen::Right => (lines.side, lines.side_lines),
    };
    let shapes = shapes[from()].clone();
    let here = at().filter(|at| shapes.get(*at).is_some_and(Option::is_some));
    let active = here.map(|at| format!("zone-{}", parts[at].id));
    let (there, ids) = (shapes.clone(), parts.iter().map(|part| part.id.clone()).collect::<Vec<_>>());
    let onkeydown = move |event: KeyboardEvent| {
        let way = match pressed(&event).as_str() {
            "ArrowLeft" => [-1.0, 0.0],
            "ArrowRight" => [1.0, 0.0],
            "ArrowUp" => [0.0, -1.0],
            "ArrowDown" => [0.0, 1.0],
            "Enter" => {
                if let Some(id) = here.and_then(|at| ids.get(at)) {
                    onchoose.call(id.clone());
                }
                return;
            }
            _ => return,
        };
        // The page stays where it is.
        event.prevent_default();
        at.set(beside(&there, here, way));
    };
    rsx! {
        figure { class: "picture",
            Choice {
                name: "seen-from",
                legend: "Seen from",
                answers: vec!["Above".to_owned(), "Its left".to_owned(), "Its right".to_owned()],
                chosen: Some(from()),
                onchoose: move |chosen: usize| {
                    at.set(None);
                    from.set(chosen);
                },
            }
            svg {
                id: "picture",
                view_box: "-4 -4 {width + 8.0} {height + 8.0}",
                role: "listbox",
                tabindex: "0",
                "aria-label": "{summary}",
                "aria-activedescendant": active,
                onkeydown,
                g { "aria-hidden": "true", transform: if seen == Seen::Right { "matrix(-1 0 0 1 200 0)" },
                    path { class: "outline", d: outline }
                    path { class: "inner", d: inner }
                }
                for (place, (part, shape)) in parts.iter().zip(&shapes).enumerate() {
                    if let Some(shape) = shape {
                        {region(part, *shape, here == Some(place), onchoose)}
                    }
                }
            }
            figcaption { class: "hint",
                if let Some(at) = here {
                    strong { "{parts[at].label}. " }
                }
                "{caption}"
            }
        }
        if list {
            div { class: "field",
                label { r#for: "picture-list", "Or choose from the list" }
                select {
                    id: "picture-list",
                    onchange: move |event: FormEvent| onchoose.call(ZoneId(event.value())),
                    option { value: "", selected: true, disabled: true, "Part of the vehicle" }
                    for part in parts {
                        option { key: "{part.id}", value: "{part.id}", {said(&part)} }
                    }
                }
            }
        }
    }
}

/// A zone in words.
fn said(part: &Part) -> String {
    let chance = if part.chance > 0.0 { format!(", {}", words::chance(part.chance)) } else { String::new() };
    let last = if part.last { ", you looked here last" } else { "" };
    format!("{}{chance}{last}", part.label)
}

/// Per cent as drawn: the digits of what is said.
fn number(chance: f64) -> f64 {
    if chance < 1.0 { (chance * 100.0).min(99.0) } else { 100.0 }
}

/// A zone as drawn: its frame, and how likely it is by the length of a bar.
fn region(part: &Part, shape: Shape, here: bool, onchoose: EventHandler<ZoneId>) -> Element {
    let [x, y, width, height] = shape;
    let bar = (part.chance.clamp(0.0, 1.0).sqrt() * (width - 2.0)).max(0.0);
    let thick = (height / 3.0).min(4.0);
    let below = y + height - thick - 1.0;
    let class = match (part.next, here) {
        (_, true) => "zone here",
        (true, false) => "zone next",
        (false, false) => "zone",
    };
    let id = part.id.clone();
    rsx! {
        g {
            key: "{part.id}",
            id: "zone-{part.id}",
            class,
            role: "option",
            "aria-label": said(part),
            "aria-selected": part.next,
            onclick: move |_| onchoose.call(id.clone()),
            rect { x: "{x}", y: "{y}", width: "{width}", height: "{height}", rx: "1.5" }
            if part.chance > 0.0 {
                rect { class: "zone-bar", x: "{x + 1.0}", y: "{below}", width: "{bar:.2}", height: "{thick}" }
            }
            if part.last {
                circle { class: "last", cx: "{x + width - 3.0}", cy: "{y + 3.0}", r: "2" }
            }
            if part.chance >= 0.05 && width >= 10.0 && height >= 9.0 {
                text { class: "zone-number", x: "{x + 1.5}", y: "{below - 1.0}", "{number(part.chance):.0}" }
            }
        }
    }
}
