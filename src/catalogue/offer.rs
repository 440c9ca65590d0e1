//! What to offer for what was typed: one line a kind, and of a thing that comes in pairs both of them at once.

use super::find::find;
use super::kind::{Kind, kinds, pair};
use super::{Item, items};
use crate::circuit::file::{Load, Side};
use crate::ids::ItemId;

/// A kind of load to offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offer {
    /// What.
    pub kind: Kind,
    /// Of a pair, the side that was typed.
    pub side: Option<Side>,
}

impl Offer {
    /// What one tap on it brings: the one, the side that was typed, or both.
    pub fn items(self) -> Vec<&'static Item> {
        match self.side {
            Some(side) => vec![self.kind.on(side)],
            None => self.kind.items().collect(),
        }
    }

    /// What it is called: "Reversing lamp, both".
    pub fn label(self) -> String {
        match (self.kind, self.side) {
            (Kind::Pair { .. }, None) => format!("{}, both", self.kind.label()),
            (kind, side) => kind.on(side.unwrap_or_default()).label.clone(),
        }
    }

    /// What else can be taken of it: of a pair, what one tap does not bring.
    pub fn others(self) -> Vec<Self> {
        let Kind::Pair { .. } = self.kind else { return Vec::new() };
        let all = [None, Some(Side::Left), Some(Side::Right)];
        all.into_iter().filter(|side| *side != self.side).map(|side| Self { side, ..self }).collect()
    }
}

/// Kinds that fit what was typed, best first, at most `most`. See [`find()`].
pub fn offers(typed: &str, most: usize) -> Vec<Offer> {
    let found = find(typed, items().len());
    let mut offers: Vec<Offer> = Vec::new();
    for item in &found {
        let kind = pair(item);
        if offers.iter().any(|offer| offer.kind == kind) {
            continue;
        }
        // Only one of the two fits: its side was typed.
        let both = kind.items().all(|one| found.iter().any(|item| item.id == one.id));
        offers.push(Offer { kind, side: item.side.filter(|_| !both) });
        if offers.len() == most {
            break;
        }
    }
    offers
}

/// Kinds that were used last and of which nothing is on the list yet, at most `most`. `used` are ids of entries, the
/// newest first; those that this catalogue does not have are passed over.
pub fn used_last(used: &[ItemId], on_list: &[Load], most: usize) -> Vec<Offer> {
    let listed = |kind: &Kind| {
        kind.items().any(|item| on_list.iter().any(|load| load.item.as_ref().is_some_and(|id| *id == item.id)))
    };
    let of = |id: &ItemId| kinds().iter().find(|kind| kind.items().any(|item| item.id == *id));
    let mut offers: Vec<Offer> = Vec::new();
    for kind in used.iter().filter_map(of).filter(|kind| !listed(kind)) {
        if offers.len() < most && !offers.iter().any(|offer| offer.kind == *kind) {
            offers.push(Offer { kind: *kind, side: None });
        }
    }
    offers
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn three_letters_offer_a_pair_once_and_one_tap_brings_both() {
        let offers = offers("reve", 8);
        let lamp = offers.iter().find(|offer| offer.kind.label() == "Reversing lamp").unwrap();
        assert_eq!(lamp.label(), "Reversing lamp, both");
        let sides: Vec<_> = lamp.items().iter().map(|item| item.side).collect();
        assert_eq!(sides, [Some(Side::Left), Some(Side::Right)]);
        assert_eq!(lamp.others().len(), 2);
        let same = offers.iter().filter(|offer| offer.kind == lamp.kind).count();
        assert_eq!(same, 1);
    }

    #[test]
    fn a_side_that_was_typed_is_what_the_tap_brings() {
        let offers = offers("reversing lamp left", 8);
        assert_eq!(offers[0].label(), "Reversing lamp, left");
        assert_eq!(offers[0].items().len(), 1);
        assert!(offers[0].others().iter().any(|other| other.label() == "Reversing lamp, both"));
    }

    #[test]
    fn every_entry_can_still_be_reached_by_its_own_name() {
        for item in items() {
            let reached = offers(&item.label, 8);
            let all = reached.iter().flat_map(|offer| [vec![*offer], offer.others()].concat());
            assert!(all.flat_map(Offer::items).any(|one| one.id == item.id), "{} is not offered", item.label);
        }
    }

    #[test]
    fn what_was_used_last_is_offered_until_it_is_on_the_list() {
        let used = [ItemId::from("horn"), ItemId::from("nothing_like_it"), ItemId::from("horn")];
        let known: Vec<ItemId> = used.iter().filter(|id| crate::catalogue::item(id).is_some()).cloned().collect();
        let offered = used_last(&used, &[], 6);
        assert_eq!(offered.len(), known.len().min(1));
        let kind = kinds()[0];
        let first = kind.items().next().unwrap();
        assert_eq!(used_last(std::slice::from_ref(&first.id), &[], 6), [Offer { kind, side: None }]);
        let text = format!(r#"{{"id": "a", "label": "a", "item": "{}"}}"#, first.id);
        let listed: Load = serde_json::from_str(&text).unwrap();
        assert_eq!(used_last(std::slice::from_ref(&first.id), &[listed], 6), []);
    }
}
