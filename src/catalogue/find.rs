//! Which kinds of load fit what was typed?
//!
//! Made for three letters typed with a gloved thumb: the beginnings of words are enough, upper case, accents,
//! hyphens and spaces do not matter, US and UK words, one and many find the same thing, and a slip of the finger does
//! no harm.

use std::sync::OnceLock;

use super::words::{meant, plain_words, slipped};
use super::{Item, items};
use crate::gather::Order as _;

/// Entries that fit what was typed, best first. At most `most`. Every word typed must fit the beginning of a word.
///
/// First those whose name begins with what was typed; then, of several words, those with another name that does;
/// then those with all of it in the name, in one other name, and last those where names and system together have
/// it. Of equals, what fits by its letters comes before what fits by what the words mean; then the catalogue's order.
/// Only where nothing fits so, those that are one slip of the finger away.
pub fn find(typed: &str, most: usize) -> Vec<&'static Item> {
    let (typed, meant) = (Phrase::new(typed), Phrase::meant(typed));
    if typed.words.is_empty() {
        return Vec::new();
    }
    let fits = |entry: &'static Entry| {
        let by_letters = entry.as_written.fit(&typed, letters).map(|fit| (fit, Way::Letters));
        let by_meaning = entry.as_meant.fit(&meant, letters).map(|fit| (fit, Way::Meaning));
        by_letters.into_iter().chain(by_meaning).min()
    };
    let mut found: Vec<_> = index().iter().filter_map(|entry| Some((fits(entry)?, entry.item))).collect();
    if found.is_empty() {
        let slips =
            |entry: &'static Entry| Some(((entry.as_meant.fit(&meant, letters_or_slip)?, Way::Slip), entry.item));
        found = index().iter().filter_map(slips).collect();
    }
    // A stable sort: equal fits stay in the order of the catalogue.
    found.order_by_key(|(fit, _)| *fit);
    found.into_iter().take(most).map(|(_, item)| item).collect()
}

/// By what an entry fits, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Way {
    Letters,
    Meaning,
    Slip,
}

/// Whether a word fits what was typed.
type Begins = fn(word: &str, typed: &str) -> bool;

fn letters(word: &str, typed: &str) -> bool {
    word.starts_with(typed)
}

fn letters_or_slip(word: &str, typed: &str) -> bool {
    word.starts_with(typed) || slipped(typed, word)
}

/// How well an entry fits, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Fit {
    NameBegins,
    /// Of several words: "rear lamp" is a tail lamp's other name, so it comes before the rear fog lamp.
    OtherNameIs,
    Name,
    OtherNameBegins,
    OtherName,
    Scattered,
}

/// An entry with its words ready for comparing.
struct Entry {
    item: &'static Item,
    as_written: Names,
    as_meant: Names,
}

/// All words of an entry.
struct Names {
    name: Phrase,
    also: Vec<Phrase>,
    system: Phrase,
}

fn index() -> &'static [Entry] {
    static INDEX: OnceLock<Vec<Entry>> = OnceLock::new();
    INDEX.get_or_init(|| {
        let names = |item: &'static Item, phrase: fn(&str) -> Phrase| Names {
            name: phrase(&item.label),
            also: item.also.iter().map(|text| phrase(text)).collect(),
            system: phrase(&item.system),
        };
        let entry = |item: &'static Item| Entry {
            item,
            as_written: names(item, Phrase::new),
            as_meant: names(item, Phrase::meant),
        };
        items().iter().map(entry).collect()
    })
}

impl Names {
    fn fit(&self, typed: &Phrase, begins: Begins) -> Option<Fit> {
        if self.name.begins_with(typed) {
            return Some(Fit::NameBegins);
        }
        let another_begins = self.also.iter().any(|name| name.begins_with(typed));
        if another_begins && typed.words.len() > 1 {
            return Some(Fit::OtherNameIs);
        }
        if self.name.has_all(typed, begins) {
            return Some(Fit::Name);
        }
        if another_begins {
            return Some(Fit::OtherNameBegins);
        }
        if self.also.iter().any(|name| name.has_all(typed, begins)) {
            return Some(Fit::OtherName);
        }
        let anywhere = |word: &String| {
            let has = |phrase: &Phrase| phrase.has(word, begins);
            has(&self.name) || has(&self.system) || self.also.iter().any(has)
        };
        typed.words.iter().all(anywhere).then_some(Fit::Scattered)
    }
}

/// Text as plain lower-case words.
pub(crate) struct Phrase {
    words: Vec<String>,
}

impl Phrase {
    pub(crate) fn new(text: &str) -> Self {
        Self { words: plain_words(text) }
    }

    fn meant(text: &str) -> Self {
        Self { words: meant(text) }
    }

    /// "taillamp" begins "tail lamp" as well.
    fn begins_with(&self, typed: &Self) -> bool {
        self.words.join(" ").starts_with(&typed.words.join(" "))
            || self.words.concat().starts_with(&typed.words.concat())
    }

    /// Whether every word typed begins a word of this.
    pub(crate) fn has_words(&self, typed: &Self) -> bool {
        self.has_all(typed, letters)
    }

    fn has_all(&self, typed: &Self, begins: Begins) -> bool {
        typed.words.iter().all(|word| self.has(word, begins))
    }

    /// A word of this begins so, or two that follow each other do when written as one.
    fn has(&self, typed: &str, begins: Begins) -> bool {
        self.words.iter().any(|word| begins(word, typed))
            || self.words.windows(2).any(|pair| begins(&pair.concat(), typed))
    }
}
