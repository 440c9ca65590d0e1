//! An item of the release check: done or not, what was read, what that means.

use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::parts::Field;
use crate::app::words;
use crate::ids::LoadId;
use crate::job::drive::Drive;
use crate::job::event::{Act, ReleaseItem};
use crate::job::release::Item;
use crate::job::state::Checked;

/// One item. `loads`: what is to be worked once, and whether it did.
pub fn check(
    house: House,
    item: Item,
    drive: Option<Drive>,
    minutes: Option<f64>,
    loads: Vec<(LoadId, String, Option<bool>)>,
) -> Element {
    let which = item.item;
    // One half of it, the other as it is by then.
    let keep = move |change: &dyn Fn(&mut Checked)| {
        house.change(|job| {
            let mut checked = job.checked(which);
            change(&mut checked);
            vec![Act::Release { item: which, done: checked.done, value: checked.value, minutes: checked.minutes }]
        });
    };
    rsx! {
        li { key: "{item.label}", class: "check",
            label { class: "choice-key",
                input {
                    r#type: "checkbox",
                    checked: item.done,
                    onchange: move |event| keep(&|kept| kept.done = event.checked()),
                }
                span { "{item.label}" }
            }
            if !item.read.is_empty() {
                p { class: "hint", "{item.read}" }
            }
            for (load, name, worked) in loads {
                label { class: "choice-key", key: "{load}",
                    input {
                        r#type: "checkbox",
                        checked: worked == Some(true),
                        onchange: move |event| house.act(Act::Worked { load: load.clone(), works: event.checked() }),
                    }
                    span { "{name} works" }
                }
            }
            Field {
                id: "value-{which:?}",
                label: "What was read",
                value: item.value,
                onkeep: move |read: String| keep(&|kept| kept.value.clone_from(&read)),
            }
            if which == ReleaseItem::RoadTest {
                Field {
                    id: "drive-minutes",
                    label: "Minutes driven in which it held",
                    hint: drive.map(|drive| drive.asked()).unwrap_or_default(),
                    keyboard: "decimal",
                    value: minutes.map(|minutes| minutes.to_string()).unwrap_or_default(),
                    onkeep: move |read: String| {
                        if let Some(minutes) = words::figure_or_none(house, &read) {
                            keep(&|kept| kept.minutes = minutes);
                        }
                    },
                }
            }
            if let (Some(drive), Some(minutes)) = (drive, minutes) {
                p { id: "drive-worth", role: "status", {drive.worth(minutes)} }
            } else if !item.told.is_empty() {
                p { class: if item.doubt { "caution" } else { "hint" }, role: "status", "{item.told}" }
            }
        }
    }
}
