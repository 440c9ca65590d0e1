//! Only some of the walk, for now: so many minutes, or only what can be reached from here. Off again with one tap.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::words;
use crate::ids::JobId;
use crate::job::held::{Held, Time};
use crate::job::session::Session;
use crate::search::limits::Reach;

/// Minutes that are offered.
const OFFERED: [u32; 4] = [10, 15, 30, 60];

/// What the walk is held to, as shown; made from a session in one go.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HoldView {
    /// What holds, in words; none: nothing does.
    pub on: Option<String>,
    /// The zone where one is, in words.
    here: Option<String>,
    /// Which choices are still open.
    time_on: bool,
    reach_on: bool,
}

impl HoldView {
    /// From what holds at this moment.
    pub fn of(session: &Session, held: Option<&Held>) -> Self {
        let label = |reach: &Reach| {
            let id = reach.zone.as_ref()?;
            Some(session.ready()?.map.map.zone(id).map_or_else(|| id.to_string(), |zone| zone.label.clone()))
        };
        let here = label(&Reach { zone: session.here() });
        let held = held.filter(|held| held.job == session.job.id);
        let Some(held) = held.filter(|held| held.time.is_some() || held.reach.is_some()) else {
            return Self { here, ..Self::default() };
        };
        let now = crate::device::now();
        let time = held.time.map(|time| match time.left(now) {
            0 => format!("the {} minutes are over", time.minutes),
            left => format!("{left} of {} minutes left", time.minutes),
        });
        let reach = held.reach.as_ref().map(|reach| match label(reach) {
            Some(zone) => format!("only what is open, in plain sight, or in \"{zone}\""),
            None => "only what is open or in plain sight".to_owned(),
        });
        let waits = session.plan_held(Some(held), now).and_then(|plan| plan.limited.clone()).map(|limited| {
            let places = words::count(limited.set_aside, "place waits", "places wait");
            format!("{places} for another time, with a chance of {}", words::chance(limited.set_aside_chance))
        });
        let on = [time, reach, waits].into_iter().flatten().collect::<Vec<_>>().join("; ");
        Self { on: Some(on), here, time_on: held.time.is_some(), reach_on: held.reach.is_some() }
    }
}

/// What holds, plainly, with the key that ends it.
#[component]
pub fn Holding(view: HoldView) -> Element {
    let house = House::get();
    let Some(on) = view.on else { return rsx! {} };
    rsx! {
        div { class: "note", id: "held",
            p { "Only for now: {on}." }
            button { class: "key", id: "let-go", onclick: move |_| house.hold(None), "Show the whole walk" }
        }
    }
}

/// The two choices, out of the way until wanted.
#[component]
pub fn Hold(job: JobId, view: HoldView) -> Element {
    let house = House::get();
    if view.time_on && view.reach_on {
        return rsx! {};
    }
    let here = view.here.map_or_else(String::new, |zone| format!(" ({zone})"));
    let held =
        move || house.held.peek().clone().filter(|held| held.job == job).unwrap_or_else(|| Held::to_nothing(job));
    rsx! {
        details { class: "group", id: "only-some",
            summary { "Short of time, or not to move?" }
            if !view.time_on {
                fieldset { class: "choice",
                    legend { "I have" }
                    div { class: "choice-keys",
                        for minutes in OFFERED {
                            button {
                                class: "key",
                                key: "{minutes}",
                                id: "have-{minutes}",
                                onclick: move |_| {
                                    let time = Some(Time { minutes, since: crate::device::now() });
                                    house.hold(Some(Held { time, ..held() }));
                                },
                                "{minutes} minutes"
                            }
                        }
                    }
                    p { class: "hint", "The walk then goes to what is most worth it in that time." }
                }
            }
            if !view.reach_on {
                button {
                    class: "key",
                    id: "from-here",
                    onclick: move |_| {
                        let zone = house.open.peek().of(job).and_then(Session::here);
                        house.hold(Some(Held { reach: Some(Reach { zone }), ..held() }));
                    },
                    "Only from here{here}"
                }
                p { class: "hint", "Leaves out what needs something opened, but for the part of the vehicle where you are." }
            }
        }
    }
}
