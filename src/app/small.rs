//! What is kept beside the jobs, small: settings, a VIN that stays here, the shop's prices, what was learned, what a walk is
//! held to.
//!
//! It lies in the browser's small storage, which answers at once. But Chromium writes that to the disk once a minute at most:
//! what was put there last is gone when the battery dies or the browser is ended. So it goes into the store as well, and
//! comes from there where the small storage turns out to be older.

use dioxus::core::spawn_forever;
use gloo_storage::{LocalStorage, Storage};
use js_sys::{JSON, Object};
use wasm_bindgen::{JsCast, JsValue};

use crate::app::house::House;
use crate::device::field;
use crate::ids::JobId;
use crate::store::IdbStore;

/// How often something was kept, which tells the older from the newer.
const TIMES: &str = "loomwalk/times";

fn times(text: Option<String>) -> u32 {
    text.and_then(|times| times.parse().ok()).unwrap_or(0)
}

/// To be said once something of it has changed in the small storage.
pub fn has_changed(house: House) {
    spawn_forever(async move {
        // What the store has is taken from there first.
        let Ok(store) = house.opened().await else { return };
        let small = LocalStorage::raw();
        let newer = times(small.get_item(TIMES).ok().flatten()).saturating_add(1);
        // Without room for the number, the copy is no newer, and is not taken.
        let _ = small.set_item(TIMES, &newer.to_string());
        if let Ok(copy) = JSON::stringify(&small) {
            // Where that fails, the browser's own way must do.
            let _ = store.keep_beside(&copy).await;
        }
    });
}

/// Takes the store's copy where it is the newer one; true if so. Where there is no room for all of it, it is tried again at the
/// next start.
pub async fn restore(store: &IdbStore) -> bool {
    let small = LocalStorage::raw();
    let Ok(Some(copy)) = store.beside().await else { return false };
    let Ok(copy) = JSON::parse(&copy) else { return false };
    let newest = field(&copy, TIMES).as_string();
    if times(newest.clone()) <= times(small.get_item(TIMES).ok().flatten()) {
        return false;
    }
    for name in names(&small) {
        if field(&copy, &name).is_undefined() {
            let _ = small.remove_item(&name);
        }
    }
    let mut kept = names(&copy).into_iter().filter(|name| name != TIMES);
    let keep = |name: &str, text: Option<String>| text.is_none_or(|text| small.set_item(name, &text).is_ok());
    kept.all(|name| keep(&name, field(&copy, &name).as_string())) && keep(TIMES, newest)
}

/// Forgets all of a job that goes off this phone: its VIN, and what was half-typed.
pub fn forget(house: House, job: JobId) {
    let (small, job) = (LocalStorage::raw(), job.to_string());
    for name in names(&small).into_iter().filter(|name| name.contains(&job)) {
        let _ = small.remove_item(&name);
    }
    has_changed(house);
}

fn names(object: &JsValue) -> Vec<String> {
    Object::keys(object.unchecked_ref::<Object>()).iter().filter_map(|name| name.as_string()).collect()
}
