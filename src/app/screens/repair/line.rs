//! A repair that was written down: done or not, its minutes, what it uses up.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::Field;
use crate::app::words;
use crate::ids::EventId;
use crate::job::event::Act;
use crate::job::state::Repair as Made;

/// A repair in the list. A change puts it into other words: both stay in the log.
pub fn line(house: House, repair: &Made) -> Element {
    let first = repair.first;
    let anew = move |change: &dyn Fn(&mut Made)| {
        house.change(|job| {
            let Some(mut made) = job.repairs.iter().find(|made| made.first == first).cloned() else {
                return Vec::new();
            };
            change(&mut made);
            let Made { point, what, done, minutes, method, materials, .. } = made;
            vec![Act::Repair { of: Some(first), point, what, done, minutes, method, materials }]
        });
    };
    let take_back = move |_| {
        house.change(|job| {
            let made = job.repairs.iter().filter(|made| made.first == first);
            made.flat_map(|made| &made.events).map(|event| Act::TakenBack { event: *event }).collect()
        });
    };
    rsx! {
        li { key: "{first}",
            span {
                // A method's name is ours; all else somebody wrote.
                span { translate: if repair.method.is_none() { "no" }, "{repair.what}" }
                " "
                em { if repair.done { "Done." } else { "Recommended." } }
            }
            if !repair.done {
                button { class: "plain", onclick: move |_| anew(&|made| made.done = true), "It is done" }
            }
            button { class: "plain", onclick: take_back, "Take back" }
            details {
                summary { "Minutes and materials" }
                Field {
                    id: number_of("minutes", first, 0),
                    label: "Minutes of work",
                    keyboard: "decimal",
                    value: repair.minutes.map(|minutes| minutes.to_string()).unwrap_or_default(),
                    onkeep: move |read: String| {
                        if let Some(minutes) = words::figure_or_none(house, &read) {
                            anew(&|made| made.minutes = minutes);
                        }
                    },
                }
                for (at, material) in repair.materials.iter().enumerate() {
                    Field {
                        key: "{material.name}",
                        id: number_of("material", first, at),
                        label: "{material.name}, {material.unit}",
                        keyboard: "decimal",
                        value: material.quantity.to_string(),
                        onkeep: move |read: String| {
                            if let Some(quantity) = words::figure_or_none(house, &read) {
                                anew(&|made| match (quantity, made.materials.get_mut(at)) {
                                    (Some(quantity), Some(material)) if quantity > 0.0 => material.quantity = quantity,
                                    // None of it: not used.
                                    (_, Some(_)) => drop(made.materials.remove(at)),
                                    (_, None) => {}
                                });
                            }
                        },
                    }
                }
            }
        }
    }
}

fn number_of(what: &str, first: EventId, at: usize) -> String {
    format!("{what}-{first}-{at}")
}
