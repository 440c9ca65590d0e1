//! Which kinds of load were put on a list last? Offered first, for what is on one fuse is often on the next.

use gloo_storage::{LocalStorage, Storage};

use crate::catalogue::Item;
use crate::catalogue::item;
use crate::catalogue::kind::pair;
use crate::catalogue::offer::Offer;
use crate::ids::ItemId;

const KEY: &str = "loomwalk/used";
/// More would not be found sooner than by three letters.
const MOST: usize = 8;

/// The kinds that were used last, the latest first. A browser that keeps nothing offers none.
pub fn used() -> Vec<Offer> {
    let kept = LocalStorage::get::<String>(KEY).unwrap_or_default();
    let items = kept.lines().filter_map(|id| item(&ItemId(id.to_owned())));
    items.map(|item| Offer { kind: pair(item), side: None }).collect()
}

/// Remembers a kind, by its first entry.
pub fn remember(first: &Item) {
    let kept = LocalStorage::get::<String>(KEY).unwrap_or_default();
    let others = kept.lines().filter(|id| *id != first.id.as_str()).take(MOST - 1);
    let ids: Vec<&str> = std::iter::once(first.id.as_str()).chain(others).collect();
    let _ = LocalStorage::set(KEY, ids.join("\n"));
}
