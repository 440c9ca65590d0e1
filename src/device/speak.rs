//! In which language is the page read? The words are put in by `public/speak.js`, beside the program; this asks it.
//!
//! Where it is not loaded, as under dx, all is English.

use js_sys::Function;
use wasm_bindgen::{JsCast, JsValue};

use crate::device::field;

/// Calls one of the script's functions.
fn ask(name: &str, argument: &JsValue) -> Option<JsValue> {
    let speak = field(web_sys::window()?.as_ref(), "loomwalkSpeak");
    if speak.is_undefined() {
        return None;
    }
    field(&speak, name).dyn_ref::<Function>()?.call1(&speak, argument).ok()
}

/// The page is to be read in the language that the settings say now.
pub fn change() {
    let _ = ask("change", &JsValue::UNDEFINED);
}

/// The language that the user reads, as a tag; empty where nobody says. One that the page is not to be had in can still be
/// that of a report.
pub fn language() -> String {
    let spoken = ask("language", &JsValue::UNDEFINED).and_then(|tag| tag.as_string());
    let browsers = || web_sys::window().and_then(|window| window.navigator().language());
    spoken.or_else(browsers).unwrap_or_default()
}

/// A text of the program as the user reads it.
pub fn say(text: &str) -> String {
    ask("say", &text.into()).and_then(|said| said.as_string()).unwrap_or_else(|| text.to_owned())
}

/// A whole page of HTML that was written in English, in the language of this one.
pub fn page(html: String) -> String {
    ask("page", &html.as_str().into()).and_then(|html| html.as_string()).unwrap_or(html)
}
