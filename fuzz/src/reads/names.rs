//! Does anything that is typed bring down the search for a load?

use loomwalk::catalogue::{find, offer};

/// Proposals that are asked for.
const MOST: usize = 5;

/// Whether it was read: it is text.
pub fn read(bytes: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(bytes) else { return false };
    let found = find::find(text, MOST);
    assert!(found.len() <= MOST);
    let offers = offer::offers(text, MOST);
    assert!(offers.len() <= MOST && offers.is_empty() == found.is_empty());
    assert!(offers.iter().all(|offer| !offer.label().is_empty() && !offer.items().is_empty()));
    true
}
