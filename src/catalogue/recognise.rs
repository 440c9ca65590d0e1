//! Which kind of load do these words name?
//!
//! Made for text that someone else wrote: all words count, whatever their order, and rare words count more than common
//! ones ("lamp" says little, "reversing" much). What did not help is handed back.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use super::kind::{Kind, kinds};
use super::words::{meanings, meant, plain_words, slipped};

use crate::gather::{Gather as _, Order as _};

/// No more words than these are looked at.
const MOST_WORDS: usize = 32;
/// Share of what the words say that must fit an entry. Set by trial on the messy lists of the tests.
const ENOUGH: f64 = 0.5;
/// How much a word says that no entry has, in the unit of the others. A word that stands in every tenth entry says 2.4.
const UNKNOWN: f64 = 2.0;
/// A word that says less names nothing by itself: it stands in more than every sixth entry.
const TELLING: f64 = 1.9;
/// What the beginning of a word counts against the whole word, and what a word with a slip does.
const BEGINNING: f64 = 0.9;
const SLIP: f64 = 0.7;
/// Shorter beginnings of words fit too many.
const SHORTEST_BEGINNING: usize = 3;
/// How many others that fit as well are told.
const MOST_OTHERS: usize = 3;
/// Words that say nothing about a thing.
const EMPTY: [&str; 17] =
    ["the", "a", "an", "of", "for", "in", "on", "at", "and", "to", "with", "by", "from", "my", "its", "each", "ea"];

/// How sure it is what some words name.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// They are its name, or one that nothing else has.
    Exact(Kind),
    /// Most of them fit this; the others fit as well.
    Likely(Kind, Vec<Kind>),
    /// Nothing in the catalogue: to be entered by hand.
    ByHand,
}

impl Found {
    /// The best, if there is one.
    pub fn kind(&self) -> Option<Kind> {
        match self {
            Self::Exact(kind) | Self::Likely(kind, _) => Some(*kind),
            Self::ByHand => None,
        }
    }
}

/// A kind with what its names mean.
struct Entry {
    kind: Kind,
    name: BTreeSet<String>,
    also: Vec<BTreeSet<String>>,
}

impl Entry {
    fn has(&self, word: &str) -> bool {
        self.name.contains(word) || self.also.iter().any(|name| name.contains(word))
    }

    /// Words of the best fitting name that were not said.
    fn unsaid(&self, said: &BTreeSet<&str>) -> usize {
        self.also.iter().chain([&self.name]).map(|name| unsaid(name, said)).min().unwrap_or(0)
    }

    /// Half of a name at least was said. "Link" is not enough of a data link connector.
    fn half_said(&self, said: &BTreeSet<&str>) -> bool {
        self.also.iter().chain([&self.name]).any(|name| 2 * unsaid(name, said) <= name.len())
    }
}

fn unsaid(name: &BTreeSet<String>, said: &BTreeSet<&str>) -> usize {
    name.iter().filter(|word| !said.contains(word.as_str())).count()
}

struct Index {
    entries: Vec<Entry>,
    /// Every word of a name, with the entries that have it.
    words: Vec<(String, Vec<usize>)>,
}

fn index() -> &'static Index {
    static INDEX: OnceLock<Index> = OnceLock::new();
    INDEX.get_or_init(|| {
        let set = |text: &str| {
            let telling = meant(text).into_iter().filter(|word| !EMPTY.contains(&word.as_str()));
            telling.gather::<BTreeSet<_>>()
        };
        let entry = |kind: &Kind| {
            let also = kind.on(crate::circuit::file::Side::Left).also.iter();
            Entry { kind: *kind, name: set(kind.label()), also: also.map(|name| set(name)).collect() }
        };
        let entries: Vec<Entry> = kinds().iter().map(entry).collect();
        let all: BTreeSet<&String> =
            entries.iter().flat_map(|entry| entry.also.iter().flatten().chain(&entry.name)).gather();
        let having = |word: &str| (0..entries.len()).filter(|at| entries[*at].has(word)).collect();
        let words = all.into_iter().map(|word| (word.clone(), having(word))).collect();
        Index { entries, words }
    })
}

/// Whether a known word is meant.
type Fits<'a> = &'a dyn Fn(&str) -> bool;

/// What one word fits.
struct Hits {
    entries: BTreeSet<usize>,
    /// How much it says.
    weight: f64,
}

impl Index {
    fn hits(&self, word: &str) -> Hits {
        let fits = |fit: &dyn Fn(&str) -> bool| {
            let having = self.words.iter().filter(|(known, _)| fit(known));
            having.flat_map(|(_, entries)| entries.iter().copied()).gather::<BTreeSet<_>>()
        };
        let ways: [(f64, Fits<'_>); 3] = [
            (1.0, &|known| known == word),
            (BEGINNING, &|known| word.chars().count() >= SHORTEST_BEGINNING && known.starts_with(word)),
            (SLIP, &|known| slipped(word, known)),
        ];
        let found = ways.iter().map(|(share, fit)| (share, fits(fit))).find(|(_, entries)| !entries.is_empty());
        match found {
            Some((share, entries)) => {
                let rare = (1.0 + self.entries.len() as f64 / entries.len() as f64).ln();
                Hits { entries, weight: share * rare }
            }
            None => Hits { entries: BTreeSet::new(), weight: UNKNOWN },
        }
    }
}

/// What the words name, and for each of them whether it helped.
pub fn recognise(words: &[&str]) -> (Found, Vec<bool>) {
    let mut helped = vec![false; words.len()];
    let mut from = Vec::new();
    let mut plain = Vec::new();
    for (at, word) in words.iter().enumerate().take(MOST_WORDS) {
        let parts = plain_words(word);
        helped[at] = parts.iter().all(|part| EMPTY.contains(&part.as_str()));
        let telling = parts.into_iter().filter(|part| !EMPTY.contains(&part.as_str()));
        telling.for_each(|part| {
            from.push(at);
            plain.push(part);
        });
    }
    let meanings = meanings(&plain);
    let said: BTreeSet<&str> = meanings.iter().map(|meaning| meaning.word.as_str()).gather();
    if said.is_empty() {
        return (Found::ByHand, helped);
    }
    let index = index();
    if let Some(entry) = exact(index, &said) {
        helped[..words.len().min(MOST_WORDS)].fill(true);
        return (Found::Exact(entry.kind), helped);
    }
    let hits: Vec<(&str, Hits)> = said.iter().map(|word| (*word, index.hits(word))).collect();
    // What fits, and what does not: of that, a rare word counts no more than one that nobody knows.
    let mut score = vec![0.0; index.entries.len()];
    let mut beside = vec![0.0; index.entries.len()];
    let mut telling = vec![false; index.entries.len()];
    for (_, hit) in &hits {
        for at in 0..index.entries.len() {
            if hit.entries.contains(&at) {
                score[at] += hit.weight;
                telling[at] |= hit.weight >= TELLING;
            } else {
                beside[at] += hit.weight.min(UNKNOWN);
            }
        }
    }
    let enough = |at: &usize| {
        let (fits, beside) = (score[*at], beside[*at]);
        telling[*at] && fits >= ENOUGH * (fits + beside) && (beside == 0.0 || index.entries[*at].half_said(&said))
    };
    let mut best: Vec<usize> = (0..score.len()).filter(enough).collect();
    let rank = |at: &usize| (index.entries[*at].unsaid(&said), *at);
    best.order_by(|one, other| score[*other].total_cmp(&score[*one]).then_with(|| rank(one).cmp(&rank(other))));
    let Some(&first) = best.first() else { return (Found::ByHand, helped) };
    for meaning in &meanings {
        let fits = hits.iter().any(|(word, hit)| *word == meaning.word && hit.entries.contains(&first));
        for at in meaning.from.clone().filter(|_| fits) {
            helped[from[at]] = true;
        }
    }
    let unsaid = index.entries[first].unsaid(&said);
    let as_well =
        best[1..].iter().filter(|at| score[**at] >= score[first] - 1e-9 && index.entries[**at].unsaid(&said) == unsaid);
    let others = as_well.take(MOST_OTHERS).map(|at| index.entries[*at].kind).collect();
    (Found::Likely(index.entries[first].kind, others), helped)
}

/// The entry of that name, or the only one that is also called so.
fn exact<'a>(index: &'a Index, said: &BTreeSet<&str>) -> Option<&'a Entry> {
    let is = |name: &BTreeSet<String>| name.len() == said.len() && name.iter().all(|word| said.contains(word.as_str()));
    if let Some(entry) = index.entries.iter().find(|entry| is(&entry.name)) {
        return Some(entry);
    }
    let mut also = index.entries.iter().filter(|entry| entry.also.iter().any(is));
    also.next().filter(|_| also.next().is_none())
}
