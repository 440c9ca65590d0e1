//! Which key was pressed?

use dioxus::prelude::*;
use dioxus::web::WebEventExt;

/// As the browser calls it: `Enter`, `ArrowLeft`, `+`. `event.key()` knows 300 of them by name, which are cut out of the program
/// that a phone downloads (`NEVER_CALLED` in xtask/src/web.rs; clippy refuses a call).
pub fn pressed(event: &KeyboardEvent) -> String {
    event.try_as_web_event().map(|event| event.key()).unwrap_or_default()
}
