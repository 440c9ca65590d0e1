//! A field in which a few letters find something by its name.

use std::rc::Rc;

use dioxus::prelude::*;

/// Where the letters go; what they find is the screen's.
#[component]
pub fn Find(
    /// Unique on the screen.
    id: String,
    /// What is asked.
    label: String,
    /// A word of help under the label.
    hint: String,
    /// What is typed so far.
    typed: Signal<String>,
    /// The field itself, for who puts the cursor back into it.
    field: Signal<Option<Rc<MountedData>>>,
) -> Element {
    rsx! {
        div { class: "field",
            label { r#for: "{id}", "{label}" }
            p { class: "hint", id: "{id}-hint", "{hint}" }
            input {
                id: "{id}",
                r#type: "search",
                autocomplete: "off",
                enterkeyhint: "done",
                "aria-describedby": "{id}-hint",
                value: "{typed}",
                onmounted: move |event| field.set(Some(event.data())),
                oninput: move |event| typed.set(event.value()),
            }
        }
    }
}

/// Puts the cursor there, ready for the next few letters.
pub async fn focus(field: Signal<Option<Rc<MountedData>>>) {
    let field = field.peek().clone();
    if let Some(field) = field {
        let _ = field.set_focus(true).await;
    }
}
