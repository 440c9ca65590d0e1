//! What changes sides when the driver sits on the right?
//!
//! Left and right always mean the vehicle's own, so most of a map stays as it is. Only parts marked
//! `follows_driver` go to the other side: their id, their words, their neighbours and their place in the picture.

use super::body::{AccessStep, Passage, Zone, ZoneMap};
use crate::gather::Gather as _;
use crate::ids::{AccessId, ZoneId};

/// Width of the sheet that [`Zone::shape`] is drawn on.
const SHEET_WIDTH: f64 = 100.0;

impl ZoneMap {
    /// The map for a driver on the other side. Twice gives the map back.
    pub fn mirrored(&self) -> Self {
        Self {
            access: self.access.iter().map(mirror_access).collect(),
            zones: self.zones.iter().map(mirror_zone).collect(),
            passages: self.passages.iter().map(mirror_passage).collect(),
            // A pair of absent parts swaps as a whole, so that what stands for the kerb side's follows the kerb.
            // An absent part without a side stays with what stands for it.
            stands_for: self
                .stands_for
                .iter()
                .map(|(lacking, has)| match other_side(lacking.as_str()) {
                    Some(lacking) => (ZoneId(lacking), swap_zone(has)),
                    None => (lacking.clone(), has.clone()),
                })
                .gather(),
            ..self.clone()
        }
    }
}

fn mirror_access(step: &AccessStep) -> AccessStep {
    if !step.follows_driver {
        return step.clone();
    }
    AccessStep {
        id: swap_access(&step.id),
        after: step.after.as_ref().map(swap_access),
        also_after: step.also_after.iter().map(swap_access).collect(),
        label: swap_words(&step.label),
        caution: step.caution.as_deref().map(swap_words),
        ..*step
    }
}

fn mirror_zone(zone: &Zone) -> Zone {
    if !zone.follows_driver {
        return zone.clone();
    }
    let [x, y, width, height] = zone.shape;
    Zone {
        id: swap_zone(&zone.id),
        label: swap_words(&zone.label),
        access: zone.access.as_ref().map(swap_access),
        contacts: zone.contacts.iter().map(|text| swap_words(text)).collect(),
        look_for: swap_words(&zone.look_for),
        caution: zone.caution.as_deref().map(swap_words),
        shape: [SHEET_WIDTH - x - width, y, width, height],
        ..*zone
    }
}

fn mirror_passage(passage: &Passage) -> Passage {
    if !passage.follows_driver {
        return passage.clone();
    }
    let id = passage.id.as_str();
    Passage {
        id: other_side(id).unwrap_or_else(|| id.to_owned()).as_str().into(),
        label: swap_words(&passage.label),
        between: passage.between.each_ref().map(swap_zone),
        access: passage.access.as_ref().map(swap_access),
        contacts: passage.contacts.iter().map(|text| swap_words(text)).collect(),
        look_for: swap_words(&passage.look_for),
        protected_by: passage.protected_by.as_deref().map(swap_words),
        caution: passage.caution.as_deref().map(swap_words),
        ..*passage
    }
}

fn swap_zone(id: &ZoneId) -> ZoneId {
    other_side(id.as_str()).map_or_else(|| id.clone(), ZoneId)
}

fn swap_access(id: &AccessId) -> AccessId {
    other_side(id.as_str()).map_or_else(|| id.clone(), AccessId)
}

/// The id of the same thing on the other side; `None` for a thing without a side.
pub(crate) fn other_side(id: &str) -> Option<String> {
    let swapped: Vec<&str> = id
        .split('_')
        .map(|part| match part {
            "left" => "right",
            "right" => "left",
            other => other,
        })
        .collect();
    Some(swapped.join("_")).filter(|swapped| swapped != id)
}

/// Text with the words left and right exchanged.
fn swap_words(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for piece in text.split_inclusive(|letter: char| !letter.is_alphabetic()) {
        let word = piece.trim_end_matches(|letter: char| !letter.is_alphabetic());
        let swapped = match word {
            "left" => "right",
            "right" => "left",
            "Left" => "Right",
            "Right" => "Left",
            other => other,
        };
        out.push_str(swapped);
        out.push_str(&piece[word.len()..]);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_whole_words_change_sides() {
        assert_eq!(other_side("boot_rear_left"), Some("boot_rear_right".to_owned()));
        assert_eq!(other_side("open_dash_left_sill_left"), Some("open_dash_right_sill_right".to_owned()));
        assert_eq!(other_side("console"), None);
        assert_eq!(swap_words("Left dash, right-hand; upright, left"), "Right dash, left-hand; upright, right");
    }
}
