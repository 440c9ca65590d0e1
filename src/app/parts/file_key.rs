//! A key that opens a file chooser, or the camera.

use dioxus::prelude::*;
use dioxus::web::WebFileExt;
use wasm_bindgen::JsCast;
use web_sys::{Blob, HtmlInputElement};

/// A key that asks for a file.
#[component]
pub fn FileKey(
    /// Unique on the screen.
    id: String,
    /// What stands on the key.
    label: String,
    /// What it says to those who do not see it, where the key alone is too short.
    #[props(default)]
    says: Option<String>,
    /// Which kinds of file, as in the `accept` of an input.
    accept: String,
    /// Whether the phone's camera is opened where there is one.
    #[props(default)]
    camera: bool,
    /// The main action of its screen.
    #[props(default)]
    main: bool,
    /// Called with each file.
    onfile: EventHandler<Blob>,
) -> Element {
    let class = if main { "key main" } else { "key" };
    let chosen = id.clone();
    rsx! {
        span { class: "photo-key",
            input {
                class: "unseen",
                id: "{id}",
                r#type: "file",
                accept: "{accept}",
                "aria-label": says,
                capture: if camera { "environment" },
                onchange: move |event| {
                    for file in event.files() {
                        if let Some(file) = file.get_web_file() {
                            onfile.call(file.into());
                        }
                    }
                    forget_choice(&chosen);
                },
            }
            label { class, r#for: "{id}", "{label}" }
        }
    }
}

/// So that the same file can be chosen again, once it was corrected.
fn forget_choice(id: &str) {
    let element = web_sys::window().and_then(|window| window.document()?.get_element_by_id(id));
    if let Some(input) = element.and_then(|element| element.dyn_into::<HtmlInputElement>().ok()) {
        input.set_value("");
    }
}
