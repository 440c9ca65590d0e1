//! What goes together on this vehicle: groups to be struck out with one tap each.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::job::strike::{Offered, toggled};

/// The groups that concern loads on the list.
#[component]
pub fn GroupKeys(
    /// Those groups.
    offered: Vec<Offered>,
) -> Element {
    let house = House::get();
    if offered.is_empty() {
        return rsx! {};
    }
    rsx! {
        details { id: "groups",
            summary { "Strike out what goes together: {offered.len()}" }
            fieldset { class: "choice",
                legend { "True of this vehicle" }
                div { class: "choice-keys",
                    for Offered { group, loads, struck } in offered {
                        label { class: "choice-key", key: "{group.id}",
                            input {
                                r#type: "checkbox",
                                checked: struck,
                                onchange: move |_| house.change(|job| toggled(job, group)),
                            }
                            span {
                                "{group.label}"
                                span { class: "hint",
                                    if struck { " · struck out: " } else { " · strikes out: " }
                                    {loads.join(", ")}
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
