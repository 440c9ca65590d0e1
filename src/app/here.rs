//! Where was this device's user last? A phone ends an app that is out of view; whoever opens it again goes on there.

use dioxus::core::spawn_forever;
use dioxus::prelude::*;

use crate::app::house::House;
use crate::app::route::Route;

/// How the address of an app that was opened by its icon ends: `start_url` in the manifest.
const BY_ICON: &str = "from=icon";

/// Whether the page was opened by its icon. To be asked before the router writes the address anew.
pub fn by_icon() -> bool {
    let search = web_sys::window().and_then(|window| window.location().search().ok());
    search.is_some_and(|search| search.contains(BY_ICON))
}

/// Remembers a screen, and has its job followed. Where that cannot be kept, the app begins at the jobs the next time.
pub fn remember(house: House, route: &Route) {
    let address = route.to_string();
    house.follow(address.strip_prefix("/job/").and_then(|rest| rest.split('/').next()?.parse().ok()));
    // The guide is read in passing: whoever opens the app again goes on at the work.
    let passing = matches!(route, Route::Guide { .. });
    let Some(store) = house.store().filter(|_| !*house.by_icon.peek() && !passing) else { return };
    spawn_forever(async move {
        let _ = store.keep_here(&address).await;
    });
}

/// Where to go on, if the app was just opened by its icon and the last screen was one of a job.
pub async fn left_off(house: House) -> Option<Route> {
    if !*house.by_icon.peek() {
        return None;
    }
    let last = async { house.opened().await.ok()?.here().await.ok()? };
    let last = last.await;
    let mut by_icon = house.by_icon;
    by_icon.set(false);
    last.filter(|last| last.starts_with("/job/"))?.parse().ok()
}
