//! Which loads does somebody mean who types in another language? The catalogue is English; what the screens show of it need not be.

use crate::catalogue::offer::{self, Offer};
use crate::catalogue::{self, Item, items};
use crate::device::speak;
use crate::gather::Order as _;

/// Kinds of load that fit what was typed, best first, at most `most`: by what they are called on this screen, then by the
/// catalogue's own words.
pub fn offers(typed: &str, most: usize) -> Vec<Offer> {
    let mut offers: Vec<Offer> = Vec::new();
    let by_screen = find(typed).into_iter().flat_map(|item| offer::offers(&item.label, 1));
    for offer in by_screen.chain(offer::offers(typed, most)) {
        if !offers.iter().any(|known| known.kind == offer.kind) {
            offers.push(offer);
        }
    }
    offers.truncate(most);
    offers
}

/// The same as single loads.
pub fn loads(typed: &str, most: usize) -> Vec<&'static Item> {
    let mut loads: Vec<&'static Item> = Vec::new();
    for item in find(typed).into_iter().chain(catalogue::find(typed, most)) {
        if !loads.iter().any(|known| known.id == item.id) {
            loads.push(item);
        }
    }
    loads.truncate(most);
    loads
}

/// Loads with all typed words in their name as it is shown, those first in which they stand at the beginning.
fn find(typed: &str) -> Vec<&'static Item> {
    let typed = typed.trim().to_lowercase();
    if typed.is_empty() || speak::language().starts_with("en") {
        return Vec::new();
    }
    let fit = |item: &'static Item| {
        // A soft hyphen says where a word may break; nobody types it.
        let name = speak::say(&item.label).to_lowercase().replace('\u{ad}', "");
        let all = typed.split_whitespace().all(|word| name.contains(word));
        all.then(|| ((!name.starts_with(&typed), name.len()), item))
    };
    let mut found: Vec<_> = items().iter().filter_map(fit).collect();
    found.order_by_key(|(how, _)| *how);
    found.into_iter().map(|(_, item)| item).collect()
}
