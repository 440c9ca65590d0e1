//! What is not looked at first is not drawn first: a slow phone answers sooner.

use dioxus::prelude::*;
use wasm_bindgen::JsValue;

use crate::app::address;
use crate::app::house::House;
use crate::device;

/// What the unfolded things are called, among those of all screens.
fn name_of(path: &str, id: &str) -> JsValue {
    JsValue::from(format!("{path}#{id}"))
}

/// Whether it was left unfolded on this screen.
pub fn is_unfolded(house: House, id: &str) -> bool {
    house.unfolded.peek().has(&name_of(&address::path(), id))
}

/// What unfolds at a tap. What is in it is drawn once it does; whoever comes back to its screen finds it as they left it.
#[component]
pub fn Unfold(
    /// Its name on its screen.
    id: String,
    #[props(default)] class: &'static str,
    /// Whether it stands unfolded from the beginning.
    #[props(default)]
    open: bool,
    /// Called once it is unfolded, for what is reckoned only then.
    #[props(default)]
    onunfold: EventHandler<()>,
    /// What stands there folded, too.
    summary: Element,
    children: Element,
) -> Element {
    let left = House::get().unfolded;
    let here = use_hook(address::path);
    let name = use_hook(|| name_of(&here, &id));
    let open = use_hook(|| {
        let open = open || left.peek().has(&name);
        if open {
            left.peek().add(&name);
        }
        open
    });
    let mut drawn = use_signal(|| open);
    let gone = name.clone();
    use_drop(move || {
        // What goes while its screen stays, since there is nothing in it any more, begins anew when it comes again.
        if address::path() == here {
            left.peek().delete(&gone);
        }
    });
    rsx! {
        details {
            id,
            class: if !class.is_empty() { class },
            open,
            ontoggle: move |_| {
                if !drawn() {
                    drawn.set(true);
                    onunfold.call(());
                }
            },
            summary {
                // As a key does it, too.
                onclick: move |_| {
                    if !left.peek().delete(&name) {
                        left.peek().add(&name);
                    }
                },
                {summary}
            }
            if drawn() {
                {children}
            }
        }
    }
}

/// What stands below all that is read first. It comes a moment later, and the phone answers in between.
#[component]
pub fn Later(children: Element) -> Element {
    let mut come = use_signal(|| false);
    use_hook(|| {
        spawn(async move {
            device::breathe().await;
            come.set(true);
        })
    });
    rsx! {
        if come() {
            {children}
        }
    }
}
