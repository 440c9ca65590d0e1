//! What is kept beside the jobs, small: settings, a VIN that stays here, the shop's prices, what was learned.
//!
//! It lies in the browser's small storage, which answers at once. But Chromium writes that to the disk once a minute at most:
//! what was put there last is gone when the battery dies or the browser is ended. So it goes into the store as well, and
//! comes from there where the small storage turns out to be older.

use dioxus::core::spawn_forever;
use gloo_storage::{LocalStorage, Storage};
use js_sys::{Array, JSON, Object};
use wasm_bindgen::JsCast;

use crate::app::house::House;
use crate::device::field;
use crate::store::IdbStore;

/// How often something was kept, which tells the older from the newer.
const TIMES: &str = "loomwalk/times";

/// How the names of all that begin. What is only half-typed has others.
const NAMES: [&str; 4] = ["loomwalk/settings", "loomwalk/vin", "loomwalk/prices", "loomwalk/learned"];

fn is_small(name: &str) -> bool {
    NAMES.iter().any(|known| name.starts_with(known))
}

/// To be said once something of it has changed in the small storage.
pub fn has_changed(house: House) {
    let small = LocalStorage::raw();
    let times = small.get_item(TIMES).ok().flatten().and_then(|times| times.parse().ok()).unwrap_or(0_u32);
    // Without room for the number, the copy is no newer, and is not taken.
    let _ = small.set_item(TIMES, &times.saturating_add(1).to_string());
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
    let times = |text: Option<String>| text.and_then(|times| times.parse::<u32>().ok()).unwrap_or(0);
    let Ok(Some(copy)) = store.beside().await else { return false };
    let Ok(copy) = JSON::parse(&copy) else { return false };
    if times(field(&copy, TIMES).as_string()) <= times(small.get_item(TIMES).ok().flatten()) {
        return false;
    }
    for name in Object::keys(&small).iter().filter_map(|name| name.as_string()).filter(|name| is_small(name)) {
        let _ = small.remove_item(&name);
    }
    for entry in Object::entries(copy.unchecked_ref()).iter() {
        let entry: Array = entry.unchecked_into();
        if let (Some(name), Some(text)) = (entry.get(0).as_string(), entry.get(1).as_string())
            && (is_small(&name) || name == TIMES)
        {
            // It had room there before.
            let _ = small.set_item(&name, &text);
        }
    }
    true
}
