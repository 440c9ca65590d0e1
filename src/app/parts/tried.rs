//! Dead, or works? Things that are tried with the fuse open, each with two keys.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::ids::{Condition, EventId};
use crate::job::event::Act;

/// Something that was tried, or can be.
#[derive(Debug, Clone, PartialEq)]
pub struct Thing {
    /// As an act names it.
    pub what: String,
    /// What people call it.
    pub name: String,
    /// Dead or not, if that was said.
    pub said: Option<bool>,
    /// What says so.
    pub events: Vec<EventId>,
    /// What was said does not fit.
    pub odd: bool,
}

/// Says that something is dead or works; said once more, it is as if nothing had been said.
pub fn say(house: House, mut chosen: Signal<Option<Vec<Condition>>>, thing: &Thing, dead: bool, state: &[Condition]) {
    // What was begun in a state goes on in it, also when all of it is taken back.
    chosen.set(Some(state.to_vec()));
    house.change(|job| {
        if thing.said == Some(dead) {
            let there = thing.events.iter().filter(|event| !job.taken_back.contains(event));
            return there.map(|event| Act::TakenBack { event: *event }).collect();
        }
        vec![Act::Tried { what: thing.what.clone(), dead, state: state.to_vec() }]
    });
}

/// Things with their two keys each.
#[component]
pub fn Things(
    /// Unique on the screen.
    id: String,
    /// The things, in order.
    things: Vec<Thing>,
    /// What is switched on.
    state: Vec<Condition>,
    /// Where the screen holds the state that the user has settled on.
    chosen: Signal<Option<Vec<Condition>>>,
) -> Element {
    let house = House::get();
    rsx! {
        ul { class: "lines", id,
            for thing in things {
                li { key: "{thing.what}", class: "try", "data-what": "{thing.what}",
                    p { class: "try-name",
                        strong { "{thing.name}" }
                        match thing.said {
                            Some(_) if thing.odd => rsx! { span { class: "tag", "does not fit" } },
                            Some(_) => rsx! { span { class: "hint", "fits" } },
                            None => rsx! {},
                        }
                    }
                    div { class: "try-keys",
                        for dead in [true, false] {
                            button {
                                class: "key",
                                "aria-label": "{thing.name}: {answer(dead)}",
                                "aria-pressed": "{thing.said == Some(dead)}",
                                onclick: {
                                    let (thing, state) = (thing.clone(), state.clone());
                                    move |_| say(house, chosen, &thing, dead, &state)
                                },
                                Answer { dead }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The word for it.
pub fn answer(dead: bool) -> &'static str {
    if dead { "Dead" } else { "Works" }
}

/// The word, and a wire that is open or goes through to what shines.
#[component]
pub fn Answer(dead: bool) -> Element {
    rsx! {
        svg { class: "try-line", view_box: "0 0 48 20", "aria-hidden": "true",
            if dead {
                line { class: "wire", x1: "2", y1: "10", x2: "12", y2: "10" }
                line { class: "wire", x1: "24", y1: "10", x2: "34", y2: "10" }
                circle { class: "try-end", cx: "40", cy: "10", r: "6" }
            } else {
                line { class: "wire", x1: "2", y1: "10", x2: "34", y2: "10" }
                circle { class: "try-end lit", cx: "40", cy: "10", r: "6" }
            }
        }
        span { "{answer(dead)}" }
    }
}
