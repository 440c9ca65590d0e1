//! Which kinds of load fit what was typed?
//!
//! Made for three letters typed with a gloved thumb: the beginnings of words are enough, upper case, accents,
//! hyphens and spaces do not matter, and US and UK words find the same thing.

use std::sync::OnceLock;

use super::{Item, items};

/// Entries that fit what was typed, best first. At most `most`. Every word typed must fit the beginning of a word.
///
/// First those whose name begins with what was typed; then, of several words, those with another name that does;
/// then those with all of it in the name, in one other name, and last those where names and system together have
/// it. Equal ones in the catalogue's order.
pub fn find(typed: &str, most: usize) -> Vec<&'static Item> {
    let typed = Phrase::new(typed);
    if typed.words.is_empty() {
        return Vec::new();
    }
    let mut found: Vec<(Fit, &Item)> =
        index().iter().filter_map(|entry| Some((entry.fit(&typed)?, entry.item))).collect();
    // A stable sort: equal fits stay in the order of the catalogue.
    found.sort_by_key(|(fit, _)| *fit);
    found.into_iter().take(most).map(|(_, item)| item).collect()
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
    name: Phrase,
    also: Vec<Phrase>,
    system: Phrase,
}

fn index() -> &'static [Entry] {
    static INDEX: OnceLock<Vec<Entry>> = OnceLock::new();
    INDEX.get_or_init(|| {
        let entry = |item: &'static Item| Entry {
            item,
            name: Phrase::new(&item.label),
            also: item.also.iter().map(|text| Phrase::new(text)).collect(),
            system: Phrase::new(&item.system),
        };
        items().iter().map(entry).collect()
    })
}

impl Entry {
    fn fit(&self, typed: &Phrase) -> Option<Fit> {
        if self.name.begins_with(typed) {
            return Some(Fit::NameBegins);
        }
        let another_begins = self.also.iter().any(|name| name.begins_with(typed));
        if another_begins && typed.words.len() > 1 {
            return Some(Fit::OtherNameIs);
        }
        if self.name.has_all(typed) {
            return Some(Fit::Name);
        }
        if another_begins {
            return Some(Fit::OtherNameBegins);
        }
        if self.also.iter().any(|name| name.has_all(typed)) {
            return Some(Fit::OtherName);
        }
        let anywhere = |word: &String| {
            self.name.has(word) || self.system.has(word) || self.also.iter().any(|other| other.has(word))
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
        let plain: String = text.chars().flat_map(char::to_lowercase).flat_map(plain).collect();
        Self { words: plain.split_whitespace().map(str::to_owned).collect() }
    }

    /// "taillamp" begins "tail lamp" as well.
    fn begins_with(&self, typed: &Self) -> bool {
        self.words.join(" ").starts_with(&typed.words.join(" "))
            || self.words.concat().starts_with(&typed.words.concat())
    }

    pub(crate) fn has_all(&self, typed: &Self) -> bool {
        typed.words.iter().all(|word| self.has(word))
    }

    /// A word of this begins so, or two that follow each other do when written as one.
    fn has(&self, typed: &str) -> bool {
        self.words.iter().any(|word| word.starts_with(typed))
            || self.words.windows(2).any(|pair| pair.concat().starts_with(typed))
    }
}

/// A lower-case letter without its accent, a blank for anything that is neither letter nor digit.
fn plain(letter: char) -> impl Iterator<Item = char> {
    let (one, two) = match letter {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => ('a', None),
        'ç' => ('c', None),
        'è' | 'é' | 'ê' | 'ë' => ('e', None),
        'ì' | 'í' | 'î' | 'ï' => ('i', None),
        'ñ' => ('n', None),
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' => ('o', None),
        'ù' | 'ú' | 'û' | 'ü' => ('u', None),
        'ý' | 'ÿ' => ('y', None),
        'ß' => ('s', Some('s')),
        'æ' => ('a', Some('e')),
        other if other.is_alphanumeric() => (other, None),
        _ => (' ', None),
    };
    std::iter::once(one).chain(two)
}
