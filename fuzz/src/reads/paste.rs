//! Does any pasted list lose a word, or make a load that a circuit cannot have?

use std::collections::BTreeSet;

use loomwalk::catalogue::entry::{Entry, MOST_OF_ONE, Stated, paste};
use loomwalk::catalogue::kind::Kind;
use loomwalk::circuit::file::{Load, Side};
use loomwalk::ids::LoadId;

use super::are_sound;

/// More loads than these hang on no circuit: the check has a bound of its own.
const MOST_LOADS: usize = 400;

/// Whether it was read: it is text.
pub fn read(bytes: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(bytes) else { return false };
    let list = paste::read(text, Side::Left);
    let kept: String = list.lines.iter().map(|line| line.text.as_str()).chain([list.unread.as_str()]).collect();
    assert_eq!(kept, text.replace(['\n', '\r'], ""), "every word is kept");
    assert!(list.lines.iter().enumerate().all(|(at, line)| line.number == at + 1));
    for (_, fuse) in list.fuses() {
        assert!(fuse.rating_a.is_none_or(|rating| rating.is_finite() && rating > 0.0), "{fuse:?}");
    }
    let mut loads = Vec::new();
    for (_, entry) in list.entries() {
        loads.extend(of_entry(entry, loads.len()));
    }
    loads.truncate(MOST_LOADS);
    are_sound(loads);
    true
}

/// Its loads, each with a name of its own; and what else can be made of it.
pub(super) fn of_entry(entry: &Entry, before: usize) -> Vec<Load> {
    let numbers = match entry.size {
        Some(Stated::Watts(size) | Stated::Amps(size) | Stated::Ohms(size)) => Some(size),
        None => None,
    };
    let numbers = numbers.into_iter().chain(entry.rated_volts).chain(entry.length_m);
    let mut numbers = numbers.chain(entry.gauge.map(|gauge| gauge.area_mm2()));
    assert!(numbers.all(|number| number.is_finite() && number > 0.0), "{entry:?}");
    assert!(entry.facts().iter().all(|fact| !fact.is_empty()));
    let mut number = before;
    let mut id = || {
        number += 1;
        LoadId::from(format!("l{number}").as_str())
    };
    let loads = entry.loads(&mut id);
    assert!((1..=MOST_OF_ONE as usize + 1).contains(&loads.len()), "{} loads", loads.len());
    let distinct: BTreeSet<_> = loads.iter().map(|load| &load.label).collect();
    assert_eq!(distinct.len(), loads.len());
    let paired = matches!(entry.found.kind(), Some(Kind::Pair { .. }));
    assert!(!paired || loads.iter().all(|load| load.item.is_some()));
    for choice in entry.choices() {
        let chosen = entry.chosen(choice);
        assert_eq!(chosen.found.kind(), choice);
        assert!(!chosen.loads(&mut id).is_empty());
    }
    loads
}
