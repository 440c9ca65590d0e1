//! A line or a few lines of text that keep themselves: soon after the last key, and when left.
//!
//! Until then a draft lies beside the log, so that a page that is loaded again, or ended, loses no word.

use std::cell::RefCell;

use dioxus::core::spawn_forever;
use dioxus::prelude::*;
use gloo_storage::{LocalStorage, Storage};
use gloo_timers::future::TimeoutFuture;

use crate::app::address;
use crate::app::house::{Became, House};

/// How long after the last key the text is kept, ms.
const PAUSE: u32 = 700;

/// Under which a draft lies: the screen's address and the field.
fn draft_name(id: &str) -> String {
    format!("loomwalk/draft{}#{id}", address::path())
}

thread_local! {
    /// Drafts of which the text is on its way into the store: what it becomes is not known yet.
    static ON_THE_WAY: RefCell<Vec<String>> = const { RefCell::new(Vec::new()) };
}

fn is_on_the_way(name: &str) -> bool {
    ON_THE_WAY.with_borrow(|drafts| drafts.iter().any(|draft| draft == name))
}

/// Text that keeps itself.
#[component]
pub fn Field(
    /// Unique on the screen.
    id: String,
    /// What is asked.
    label: String,
    /// What is kept now.
    value: String,
    /// A word of help under the label.
    #[props(default)]
    hint: String,
    /// Several lines.
    #[props(default)]
    long: bool,
    /// Kept only when left: for text that becomes an entry of its own.
    #[props(default)]
    patient: bool,
    /// Which keyboard the phone shows: `text`, `decimal`. A number is kept only when left, or at Enter: half of one may be
    /// none, or another.
    #[props(default = "text".to_owned())]
    keyboard: String,
    /// Called with text that differs from what was kept before.
    onkeep: EventHandler<String>,
) -> Element {
    let house = House::get();
    let name = use_hook(|| CopyValue::new(draft_name(&id)));
    // Not what is on its way: it would be kept twice.
    let draft = use_hook(|| LocalStorage::get::<String>(&*name.peek()).ok().filter(|_| !is_on_the_way(&name.peek())));
    let mut typed = use_signal(|| draft.clone().unwrap_or_else(|| value.clone()));
    let mut kept = use_signal(|| value.clone());
    let mut keys = use_signal(|| 0u32);
    let mut in_hand = use_signal(|| false);
    let waits = patient || keyboard == "decimal";
    // What another tab or an undo has changed is shown, but never under the user's keys.
    use_effect(use_reactive!(|value| {
        if !*in_hand.peek() && *kept.peek() != value {
            kept.set(value.clone());
            typed.set(value);
        }
    }));
    let mut keep = move || {
        let text = typed.peek().trim().to_owned();
        let name = name.peek().clone();
        if *kept.peek() == text {
            if !is_on_the_way(&name) {
                LocalStorage::delete(name);
            }
            return;
        }
        let before = kept.replace(text.clone());
        let keeping = house.keeping(|| onkeep.call(text.clone()));
        ON_THE_WAY.with_borrow_mut(|drafts| drafts.push(name.clone()));
        spawn_forever(async move {
            let became = keeping.end().await;
            ON_THE_WAY.with_borrow_mut(|drafts| {
                let one = drafts.iter().position(|draft| *draft == name);
                one.map(|one| drafts.swap_remove(one));
            });
            // What was typed since has a draft of its own. What makes no sense is not tried again at each visit.
            if became != Became::NotKept && LocalStorage::get::<String>(&name).is_ok_and(|draft| draft.trim() == text) {
                LocalStorage::delete(name);
            }
            // Where there was no room it is tried again when the field is left again.
            let now = if became == Became::NotKept { before } else { text.clone() };
            // The screen may be gone by now.
            let (Ok(mut kept), Ok(mut typed)) = (kept.try_write(), typed.try_write()) else { return };
            if *kept == text {
                *kept = now;
                if patient && became == Became::Kept {
                    // An entry of its own: the field is ready for the next one.
                    kept.clear();
                    if typed.trim() == text {
                        typed.clear();
                    }
                }
            }
        });
    };
    let oninput = move |event: FormEvent| {
        in_hand.set(true);
        typed.set(event.value());
        // A browser that keeps no draft still keeps the text when the field is left.
        let _ = LocalStorage::set(&*name.peek(), event.value());
        if waits {
            return;
        }
        let mine = *keys.peek() + 1;
        keys.set(mine);
        spawn_forever(async move {
            TimeoutFuture::new(PAUSE).await;
            // The screen may be gone by then; its text was kept when it went.
            if keys.try_peek().is_ok_and(|latest| *latest == mine) {
                keep();
            }
        });
    };
    use_effect(move || {
        if draft.is_some() && !waits {
            keep();
        }
    });
    // The phone's own way back takes the field away without its being left.
    use_drop(keep);
    // At the keyboard's key that ends a line.
    let onchange = move |_| {
        if waits && !patient {
            keep();
        }
    };
    let onblur = move |_| {
        in_hand.set(false);
        keep();
    };
    let described = if hint.is_empty() { None } else { Some(format!("{id}-hint")) };
    rsx! {
        div { class: "field",
            label { r#for: "{id}", "{label}" }
            if let Some(described) = &described {
                p { class: "hint", id: "{described}", "{hint}" }
            }
            if long {
                textarea { id: "{id}", rows: "3", value: "{typed}", "aria-describedby": described, oninput, onblur }
            } else {
                input {
                    id: "{id}",
                    r#type: "text",
                    autocomplete: "off",
                    inputmode: "{keyboard}",
                    value: "{typed}",
                    "aria-describedby": described,
                    oninput,
                    onchange,
                    onblur,
                }
            }
        }
    }
}
