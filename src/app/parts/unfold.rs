//! What is not looked at first is not drawn first: a slow phone answers sooner.

use dioxus::prelude::*;

use crate::device;

/// What unfolds at a tap. What is in it is drawn once it does.
#[component]
pub fn Unfold(
    #[props(default)] id: &'static str,
    #[props(default)] class: &'static str,
    /// Whether it stands unfolded from the beginning.
    #[props(default)]
    open: bool,
    /// What stands there folded, too.
    summary: Element,
    children: Element,
) -> Element {
    let mut unfolded = use_signal(|| open);
    rsx! {
        details {
            id: if !id.is_empty() { id },
            class: if !class.is_empty() { class },
            open,
            ontoggle: move |_| {
                if !unfolded() {
                    unfolded.set(true);
                }
            },
            summary { {summary} }
            if unfolded() {
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
