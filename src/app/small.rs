//! What is kept beside the jobs, small: settings, a VIN that stays here, the shop's prices, what was learned.
//!
//! It lies in the browser's small storage, which answers at once. But Chromium writes that to the disk once a minute at most:
//! what was put there last is gone when the battery dies or the browser is ended. So it goes into the store as well, and
//! comes from there where the small storage turns out to be older.

use dioxus::core::spawn_forever;
use gloo_storage::{LocalStorage, Storage};
use js_sys::{JSON, Object};
use wasm_bindgen::JsCast;

use crate::app::house::House;
use crate::device::field;
use crate::store::IdbStore;

/// How often something was kept, which tells the older from the newer.
const TIMES: &str = "loomwalk/times";

fn times(text: Option<String>) -> u32 {
    text.and_then(|times| times.parse().ok()).unwrap_or(0)
}

/// To be said once something of it has changed in the small storage.
pub fn has_changed(house: House) {
    let small = LocalStorage::raw();
    let newer = times(small.get_item(TIMES).ok().flatten()).saturating_add(1);
    // Without room for the number, the copy is no newer, and is not taken.
    let _ = small.set_item(TIMES, &newer.to_string());
    let Ok(copy) = JSON::stringify(&small) else { return };
    spawn_forever(async move {
        if let Ok(store) = house.opened().await {
            // Where that fails, the browser's own way must do.
            let _ = store.keep_beside(&copy).await;
        }
    });
}

/// Takes the store's copy where it is the newer one; true if so.
pub async fn restore(store: &IdbStore) -> bool {
    let small = LocalStorage::raw();
    let Ok(Some(copy)) = store.beside().await else { return false };
    let Ok(copy) = JSON::parse(&copy) else { return false };
    let is_newer = times(field(&copy, TIMES).as_string()) > times(small.get_item(TIMES).ok().flatten());
    if is_newer {
        // All of it, as it was. It had room there.
        let _ = small.clear();
        Object::assign(&small, copy.unchecked_ref());
    }
    is_newer
}
