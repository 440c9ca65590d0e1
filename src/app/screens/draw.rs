//! Rings, arrows and lengths on a photograph: one tap each, put right by keys or by pinching; the picture stays as it is.

use std::rc::Rc;

use dioxus::prelude::*;
use dioxus::web::WebEventExt;
use web_sys::Element as DomElement;

use crate::app::house::House;
use crate::app::parts::keys::pressed;
use crate::app::parts::{Choice, Screen, Size, TakeBack, Waiting, address, last_act};
use crate::app::route::Route;
use crate::app::words;
use crate::device::Pinch;
use crate::ids::{EventId, JobId};
use crate::job::drawing::{self, HOLDS_FOR, STEP, Spot, Stroke};
use crate::job::event::{Act, Photo, Stage};

/// What the next tap on the picture draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pen {
    Ring,
    Arrow,
    Known,
    Length,
}

const PENS: [(Pen, &str, &str); 4] = [
    (Pen::Ring, "Ring", "Tap what the ring is to go around."),
    (Pen::Arrow, "Arrow", "Tap what the arrow is to point at."),
    (Pen::Known, "Known length", "Tap one end of it, then the other."),
    (Pen::Length, "Length", "Tap one end of what you want to know, then the other."),
];

/// Draws on a photograph.
#[component]
pub fn Draw(job: JobId, photo: EventId) -> Element {
    let house = House::get();
    let open = house.open.read();
    let Some(session) = open.of(job) else { return rsx! { Waiting { job } } };
    let kept = session.job.pictures().find(|(event, _)| *event == photo).map(|(_, kept)| kept.clone());
    let strokes = session.job.drawings.get(&photo).cloned().unwrap_or_default();
    let last = last_act(session);
    drop(open);
    let back = match kept.as_ref().map(|kept| (kept.stage, kept.point.clone())) {
        Some((Stage::Repaired, _)) => Route::Repair { job },
        Some((_, Some(point))) => Route::Point { job, point: point.0 },
        _ => Route::Watch { job },
    };
    rsx! {
        match kept.and_then(|kept| Some((kept.shape()?, kept))) {
            Some((height, kept)) => rsx! { Board { job, photo, kept, height, strokes, back, last } },
            None => rsx! {
                Screen { title: "Draw on a photograph", back: back.clone(), job,
                    action: rsx! { Link { class: "key main", to: back, "Back" } },
                    p { "This photograph cannot be drawn on: it was taken back, or this browser cannot show it." }
                    TakeBack { last }
                }
            },
        }
    }
}

#[component]
fn Board(
    job: JobId,
    photo: EventId,
    kept: Photo,
    height: f64,
    strokes: Vec<Stroke>,
    back: Route,
    last: Option<(Vec<EventId>, String)>,
) -> Element {
    let house = House::get();
    let mut pen = use_signal(|| Pen::Ring);
    let mut known = use_signal(|| 0usize);
    let mut own_mm = use_signal(String::new);
    // Which stroke the keys move, and which of its ends; the second end of a length is still to be tapped.
    let mut chosen = use_signal(|| None::<usize>);
    let mut second = use_signal(|| false);
    let mut waits = use_signal(|| false);
    let mut large = use_signal(|| false);
    let mut board = use_signal(|| None::<DomElement>);
    let mut pinched = use_hook(|| CopyValue::new(None));
    let lengths = use_hook(|| Rc::new(drawing::known_lengths()));
    let hash = kept.sha256.clone();
    let picture = use_resource(move || address(house, hash.clone(), Size::Preview));
    let held = chosen().filter(|at| *at < strokes.len());
    let drawn = strokes;
    let lengths_known = lengths.clone();
    // The one way of every change. It goes on from what is still being kept, not from what is shown: two taps in a row are
    // two steps.
    let edit = use_callback(move |edit: Edit| {
        house.change(|job| {
            let mut strokes = job.drawings.get(&photo).cloned().unwrap_or_default();
            let stroke = chosen().and_then(|at| strokes.get_mut(at));
            match (edit, stroke) {
                (Edit::Put(spot), Some(stroke)) if waits() => {
                    stroke.put(true, spot, height);
                    waits.set(false);
                    second.set(true);
                }
                (Edit::Put(spot), _) => {
                    let length = lengths_known.get(known()).map(|length| (length.mm, length.label.clone()));
                    let (mm, what) = length.unwrap_or_else(|| (words::number(&own_mm()).unwrap_or(0.0), String::new()));
                    strokes.push(match pen() {
                        Pen::Ring => Stroke::ring(spot, height),
                        Pen::Arrow => Stroke::arrow(spot, height),
                        Pen::Known => Stroke::known(spot, mm, what, height),
                        Pen::Length => Stroke::length(spot, height),
                    });
                    chosen.set(Some(strokes.len() - 1));
                    second.set(false);
                    waits.set(matches!(pen(), Pen::Known | Pen::Length) && strokes.iter().all(Stroke::is_sound));
                }
                (Edit::Move(x, y), Some(stroke)) => {
                    let at = stroke.end(second());
                    stroke.put(second(), Spot { x: at.x + x, y: at.y + y }, height);
                }
                (Edit::Grow(times), Some(stroke)) => stroke.grow(times),
                (Edit::RubOut, Some(_)) => {
                    strokes.remove(chosen().unwrap_or_default());
                    chosen.set(None);
                    waits.set(false);
                }
                (_, None) => return Vec::new(),
            }
            vec![Act::Drawn { photo, strokes }]
        });
    });
    let told = drawing::told(&drawn);
    let hint = if waits() {
        "Now tap the other end."
    } else {
        PENS.iter().find(|(kind, ..)| *kind == pen()).map_or("", |(.., hint)| hint)
    };
    let has_length = drawn.iter().any(|stroke| matches!(stroke, Stroke::Length { .. }));
    let shown = picture.read().clone().flatten();
    let alt = format!("{}. {}", words::stage(kept.stage), told.join(". "));
    let ring = held.and_then(|at| drawn.get(at)).is_some_and(|stroke| !stroke.has_ends());
    let action = rsx! { Link { class: "key main", id: "drawn", to: back.clone(), "Done" } };
    rsx! {
        Screen { title: "Draw on a photograph", back, job, action,
            p { class: "telltale", id: "pen-says", role: "status", "{hint}" }
            div { class: if large() { "board-frame large" } else { "board-frame" },
                div {
                    class: "board",
                    id: "board",
                    tabindex: "0",
                    role: "group",
                    "aria-label": "The photograph. Enter draws in its middle, the arrow keys move what was drawn last.",
                    onmounted: move |event| {
                        let Some(element) = event.try_as_web_event() else { return };
                        pinched.set(Some(Pinch::on(&element, move |times| edit.call(Edit::Grow(times)))));
                        board.set(Some(element));
                    },
                    onclick: move |event| {
                        let at = event.client_coordinates();
                        if let Some(spot) = board.peek().as_ref().and_then(|board| spot_on(board, at.x, at.y)) {
                            edit.call(Edit::Put(spot));
                        }
                    },
                    onkeydown: move |event| {
                        let what = match pressed(&event).as_str() {
                            "Enter" => Edit::Put(Spot { x: 0.5, y: height / 2.0 }),
                            "ArrowLeft" => Edit::Move(-STEP, 0.0),
                            "ArrowRight" => Edit::Move(STEP, 0.0),
                            "ArrowUp" => Edit::Move(0.0, -STEP),
                            "ArrowDown" => Edit::Move(0.0, STEP),
                            _ => return,
                        };
                        event.prevent_default();
                        edit.call(what);
                    },
                    match shown {
                        Some(url) => rsx! { img { src: "{url.as_str()}", alt } },
                        None => rsx! { p { class: "hint", "Reading the photograph …" } },
                    }
                    svg { view_box: "0 0 1000 {height * 1000.0:.0}", "aria-hidden": "true",
                        for (at, stroke) in drawn.iter().enumerate() {
                            path { key: "{at}", class: "under", d: stroke.path() }
                            path {
                                class: if held == Some(at) { "over held" } else { "over" },
                                d: stroke.path(),
                                "stroke-dasharray": if matches!(stroke, Stroke::Known { .. }) { "18 12" },
                            }
                            text { x: "{stroke.number_at(height).0}", y: "{stroke.number_at(height).1}", "{at + 1}" }
                        }
                    }
                }
            }
            button { class: "plain", id: "larger-picture", "aria-pressed": if large() { "true" } else { "false" }, onclick: move |_| large.toggle(),
                if large() { "Show the whole picture" } else { "Show it larger, to tap more exactly" }
            }
            Choice {
                name: "pen",
                legend: "Draw",
                answers: PENS.iter().map(|(_, label, _)| (*label).to_owned()).collect::<Vec<_>>(),
                chosen: PENS.iter().position(|(kind, ..)| *kind == pen()),
                onchoose: move |at: usize| {
                    pen.set(PENS[at].0);
                    waits.set(false);
                },
            }
            if pen() == Pen::Known {
                div { class: "field",
                    label { r#for: "known", "What lies beside it, as far from the camera" }
                    select { id: "known", onchange: move |event| known.set(event.value().parse().unwrap_or_default()),
                        for (at, length) in lengths.iter().enumerate() {
                            option { key: "{at}", value: "{at}", selected: known() == at, "{length.label}, {length.mm} mm" }
                        }
                        option { value: "{lengths.len()}", selected: known() == lengths.len(), "Something else" }
                    }
                }
                if known() == lengths.len() {
                    div { class: "field",
                        label { r#for: "own-mm", "Its length, mm" }
                        input { id: "own-mm", r#type: "text", inputmode: "decimal", autocomplete: "off", value: "{own_mm}", oninput: move |event| own_mm.set(event.value()) }
                    }
                }
            }
            if !told.is_empty() {
                ol { class: "drawn", "aria-label": "What is drawn",
                    for (at, line) in told.into_iter().enumerate() {
                        li { key: "{at}",
                            button {
                                class: "plain",
                                "aria-pressed": if held == Some(at) { "true" } else { "false" },
                                onclick: move |_| {
                                    chosen.set(Some(at));
                                    second.set(false);
                                    waits.set(false);
                                },
                                "{line}"
                            }
                        }
                    }
                }
                if has_length {
                    p { class: "hint", {HOLDS_FOR} }
                }
            }
            if let Some(at) = held {
                div { class: "spot-keys", role: "group", "aria-label": "Put number {at + 1} right",
                    for (label, what) in EDITS {
                        if !matches!(what, Edit::Grow(_)) || ring {
                            button { key: "{label}", class: "key", onclick: move |_| edit.call(what), "{label}" }
                        }
                    }
                    if !ring {
                        button { class: "key", id: "other-end", onclick: move |_| second.toggle(), "Move the other end" }
                    }
                }
            }
            TakeBack { last }
        }
    }
}

/// A change of what is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Edit {
    /// A tap on the photograph: something new, or the other end of it.
    Put(Spot),
    Move(f64, f64),
    Grow(f64),
    RubOut,
}

const EDITS: [(&str, Edit); 7] = [
    ("Left", Edit::Move(-STEP, 0.0)),
    ("Right", Edit::Move(STEP, 0.0)),
    ("Up", Edit::Move(0.0, -STEP)),
    ("Down", Edit::Move(0.0, STEP)),
    ("Smaller", Edit::Grow(0.8)),
    ("Larger", Edit::Grow(1.25)),
    ("Rub it out", Edit::RubOut),
];

/// Where on the photograph a tap fell, in widths of it.
fn spot_on(board: &DomElement, x: f64, y: f64) -> Option<Spot> {
    let frame = board.get_bounding_client_rect();
    let wide = frame.width();
    (wide > 0.0).then(|| Spot { x: (x - frame.left()) / wide, y: (y - frame.top()) / wide })
}
