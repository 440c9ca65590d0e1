//! How much room is there, and has the browser promised to keep what is here?

use wasm_bindgen::JsCast;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{StorageEstimate, StorageManager};

use super::field;

/// Room for this program's data, in bytes. Both are estimates of the browser's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// In use.
    pub used: f64,
    /// How much there may be in all.
    pub quota: f64,
}

/// Asks the browser to keep what is here even when the device runs full. `None`: it cannot be asked.
pub async fn persist() -> Option<bool> {
    JsFuture::from(manager()?.persist().ok()?).await.ok()?.as_bool()
}

/// Asks for the same, and goes on without the answer: Firefox asks the user, and says nothing as long as nobody answers.
pub fn begin_to_persist() {
    spawn_local(async {
        // Settings say what came of it.
        let _ = persist().await;
    });
}

/// Whether the browser has promised that. `None`: it cannot be asked.
pub async fn persisted() -> Option<bool> {
    JsFuture::from(manager()?.persisted().ok()?).await.ok()?.as_bool()
}

/// How much room there is. `None`: the browser does not say.
pub async fn room() -> Option<Room> {
    let estimate: StorageEstimate = JsFuture::from(manager()?.estimate().ok()?).await.ok()?.unchecked_into();
    Some(Room { used: field(&estimate, "usage").as_f64()?, quota: field(&estimate, "quota").as_f64()? })
}

/// Missing where the page is not served safely, and in WebKitGTK.
fn manager() -> Option<StorageManager> {
    field(&web_sys::window()?.navigator(), "storage").dyn_into().ok()
}
