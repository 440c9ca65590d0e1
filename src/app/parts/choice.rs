//! One of several, or any of several, each a large target.

use dioxus::prelude::*;

use crate::app::words::{self, CONDITIONS};
use crate::ids::Condition;

/// One of several: radio buttons that look like keys.
#[component]
pub fn Choice(
    /// Unique on the screen.
    name: String,
    /// What is asked.
    legend: String,
    /// The answers.
    answers: Vec<String>,
    /// Which one holds now.
    chosen: Option<usize>,
    /// The language of each answer that is not in the page's own.
    #[props(default)]
    langs: Vec<Option<&'static str>>,
    /// Called with the answer's position.
    onchoose: EventHandler<usize>,
) -> Element {
    rsx! {
        fieldset { class: "choice",
            legend { "{legend}" }
            div { class: "choice-keys",
                for (position, answer) in answers.into_iter().enumerate() {
                    label { class: "choice-key", key: "{position}",
                        input {
                            r#type: "radio",
                            name: "{name}",
                            checked: chosen == Some(position),
                            onchange: move |_| onchoose.call(position),
                        }
                        span {
                            lang: langs.get(position).copied().flatten(),
                            translate: langs.get(position).copied().flatten().map(|_| "no"),
                            "{answer}"
                        }
                    }
                }
            }
        }
    }
}

/// What is switched on: any of the usual conditions, and those that the circuit names.
#[component]
pub fn Conditions(
    /// What is asked.
    legend: String,
    /// Conditions that hold.
    state: Vec<Condition>,
    /// Further ones to offer.
    #[props(default)]
    more: Vec<Condition>,
    /// Called with the new list.
    onchange: EventHandler<Vec<Condition>>,
) -> Element {
    // What was offered once stays, also when nothing holds or names it any more: it was perhaps taken off by mistake.
    let mut once = use_hook(|| CopyValue::new(Vec::<Condition>::new()));
    let mut offered: Vec<(Condition, String)> =
        CONDITIONS.iter().map(|(id, label)| (Condition::from(*id), (*label).to_owned())).collect();
    let mut further = once.take();
    further.extend(more.into_iter().chain(state.iter().cloned()));
    for condition in &further {
        if !offered.iter().any(|(known, _)| known == condition) {
            offered.push((condition.clone(), words::condition(condition)));
        }
    }
    once.set(offered.iter().skip(CONDITIONS.len()).map(|(condition, _)| condition.clone()).collect());
    // What holds after the newest tap: the next one goes on from it, also before this was drawn again.
    let mut newest = use_hook(|| CopyValue::new(Vec::new()));
    newest.set(state.clone());
    rsx! {
        fieldset { class: "choice",
            legend { "{legend}" }
            div { class: "choice-keys",
                for (condition, label) in offered {
                    label { class: "choice-key", key: "{condition}",
                        input {
                            r#type: "checkbox",
                            checked: state.contains(&condition),
                            onchange: {
                                let condition = condition.clone();
                                move |_| {
                                    let mut held = newest.take();
                                    if held.contains(&condition) {
                                        held.retain(|held| *held != condition);
                                    } else {
                                        held.push(condition.clone());
                                    }
                                    newest.set(held.clone());
                                    onchange.call(held);
                                }
                            },
                        }
                        span { "{label}" }
                    }
                }
            }
        }
    }
}
