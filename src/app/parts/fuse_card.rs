//! What the fuse does: how soon it opens, how long a rubbing wire is taken to touch, and whether a jammed motor opens it.

use dioxus::prelude::*;

use crate::app::house::{House, WordKind};
use crate::app::parts::Field;
use crate::app::words;
use crate::circuit::electrical::{ColdLoad, values};
use crate::circuit::file::{Fuse, TouchLengths};
use crate::circuit::fuse::TouchModel;
use crate::circuit::meter::{FuseDoes, Stalled, stalled_alone};
use crate::circuit::said;
use crate::ids::{Condition, JobId};
use crate::job::event::Act;
use crate::job::session::Session;
use crate::units::Amps;

/// What is shown of the fuse.
#[derive(Debug, Clone, PartialEq)]
struct Card {
    behaviour: String,
    touch: Option<TouchLengths>,
    jams: Vec<String>,
}

fn card(session: &Session) -> Option<Card> {
    let ready = session.ready()?;
    let fuse = &ready.file.fuse;
    let jams = stalled_alone(&ready.harness, fuse).unwrap_or_default();
    let opens = jams.iter().filter(|(_, jam)| jam.verdict != FuseDoes::Holds);
    Some(Card {
        behaviour: said::behaviour(fuse.style, fuse.rating_a),
        touch: ready.file.touch,
        jams: opens.map(|(state, jam)| jammed(fuse, state, jam)).collect(),
    })
}

/// A jam that opens the fuse, or may, in a sentence.
fn jammed(fuse: &Fuse, state: &[Condition], jam: &Stalled) -> String {
    let name = if jam.label.is_empty() { jam.id.as_str() } else { &jam.label };
    let noun = said::noun(fuse.style);
    let amps = said::amperes(Amps(jam.fuse_a.value.round()));
    let does = jam.does(fuse.style);
    let on = words::state(state).to_lowercase();
    format!("{name}: if it is jammed, the {noun} carries about {amps} and {does} ({on}).")
}

/// What a jammed motor does, where it matters, and the fuse behind a line to open.
#[component]
pub fn FuseCard(job: JobId) -> Element {
    let house = House::get();
    let card = use_memo(move || card(house.open.read().of(job)?));
    let Some(Card { behaviour, touch, jams }) = card() else { return rsx! {} };
    let ColdLoad { least, most, .. } = &values().cold_loads.motor;
    rsx! {
        if !jams.is_empty() {
            div { class: "note", id: "jams",
                p { "A motor that cannot turn opens it too. Try that it turns freely before you look for a chafed wire:" }
                ul { class: "plainlist",
                    for (number, jam) in jams.into_iter().enumerate() {
                        li { key: "{number}", "{jam}" }
                    }
                }
                p { class: "hint", "Computed with the motor's resistance standing still, {least} to {most} times less than running, and all else running." }
            }
        }
        details { id: "fuse-card",
            summary { "What the fuse does" }
            p { id: "behaviour", "{behaviour}" }
            Touches { touch }
        }
    }
}

/// How long a rubbing wire touches, to be changed.
#[component]
fn Touches(touch: Option<TouchLengths>) -> Element {
    let house = House::get();
    let TouchModel { shortest, longest } = TouchModel::of(touch);
    let span = said::span(shortest.0, longest.0);
    let whose = if touch.is_some() { "stated on this job, and still an assumption" } else { "an assumption" };
    let keep = move |text: String, change: fn(&mut TouchLengths, f64)| {
        let Some(seconds) = words::number(&text) else {
            house.say(WordKind::Trouble, format!("“{text}” is not a time: write seconds above 0, such as 0.002 or 2."));
            return;
        };
        house.change(|job| {
            let TouchModel { shortest, longest } =
                TouchModel::of(job.circuit.as_ref().and_then(|circuit| circuit.touch));
            let mut lengths = TouchLengths { shortest_s: shortest.0, longest_s: longest.0 };
            change(&mut lengths, seconds);
            vec![Act::Touch { touch: Some(lengths) }]
        });
    };
    rsx! {
        p { id: "touch",
            "A rubbing wire is taken to touch for {span}, any length between as likely on a logarithmic scale: {whose}, no measurement. Longer touches make a far place on a thin wire likelier. A change counts at once: the order of the walk is made again."
        }
        Field {
            id: "touch-shortest",
            label: "Shortest touch, seconds",
            keyboard: "decimal",
            value: "{shortest.0}",
            onkeep: move |text| keep(text, |lengths, seconds| lengths.shortest_s = seconds),
        }
        Field {
            id: "touch-longest",
            label: "Longest touch, seconds",
            keyboard: "decimal",
            value: "{longest.0}",
            onkeep: move |text| keep(text, |lengths, seconds| lengths.longest_s = seconds),
        }
        if touch.is_some() {
            button { class: "key", id: "touch-shipped", onclick: move |_| house.act(Act::Touch { touch: None }), "As shipped" }
        }
    }
}
