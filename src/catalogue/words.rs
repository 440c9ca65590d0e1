//! Which words mean the same? Plain letters, one number of a noun, UK and US words, and small slips of the finger.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::OnceLock;

use serde::Deserialize;

use crate::objects;

/// Shorter words are not tried with another letter: too many of them are one letter apart.
const SHORTEST_SLIP: usize = 5;

/// Text as plain lower-case words.
pub(super) fn plain_words(text: &str) -> Vec<String> {
    let plain: String = text.chars().flat_map(char::to_lowercase).flat_map(plain).collect();
    plain.split_whitespace().map(str::to_owned).collect()
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

/// A word that stands for all of its meaning, and the words of the text that it stands in for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Meaning {
    pub(super) word: String,
    pub(super) from: Range<usize>,
}

/// Plain words by what they mean: "Turn signals" and "direction indicator" are both "indicator".
pub(super) fn meanings(words: &[String]) -> Vec<Meaning> {
    let table = synonyms();
    let single: Vec<String> = words.iter().map(|word| table.of_one(word)).collect();
    let mut out = Vec::with_capacity(words.len());
    let mut at = 0;
    while at < single.len() {
        let longest = (1..=table.longest.min(single.len() - at)).rev();
        let several = longest.filter_map(|count| Some((count, table.several.get(&single[at..at + count])?))).next();
        let (count, stand_ins) = several.map_or((1, &single[at..=at]), |(count, words)| (count, words.as_slice()));
        let from = at..at + count;
        out.extend(stand_ins.iter().map(|word| Meaning { word: word.clone(), from: from.clone() }));
        at += count;
    }
    out
}

/// The words of [`meanings`] alone.
pub(super) fn meant(text: &str) -> Vec<String> {
    meanings(&plain_words(text)).into_iter().map(|meaning| meaning.word).collect()
}

/// Whether one slip (a letter wrong, missing, doubled, or two exchanged) lies between what was typed and a word, or
/// the beginning of one.
pub(super) fn slipped(typed: &str, word: &str) -> bool {
    let letters = typed.chars().count();
    if letters < SHORTEST_SLIP {
        return false;
    }
    // Quickly told apart: one slip leaves one of the first two letters in its place, or moves it by one.
    let first_two = |text: &str| {
        let mut letters = text.chars();
        [letters.next(), letters.next()]
    };
    let ([a, b], [c, d]) = (first_two(typed), first_two(word));
    if a != c && b != d && a != d && b != c {
        return false;
    }
    let ends = word.char_indices().map(|(at, _)| at).chain([word.len()]);
    ends.skip(letters - 1).take(3).any(|end| strsim::osa_distance(typed, &word[..end]) <= 1)
}

/// One number of a noun: "lamps" is "lamp". What is no plural loses its s all the same, on both sides of a comparison.
fn singular(word: &str) -> &str {
    if let Some(stem) = word.strip_suffix("es").filter(|stem| stem.ends_with("ch") || stem.ends_with('x')) {
        return stem;
    }
    match word.strip_suffix('s') {
        Some(stem) if stem.len() >= 3 && !stem.ends_with(['s', 'u', 'i']) => stem,
        _ => word,
    }
}

/// Words by the word that stands for them.
struct Synonyms {
    one: HashMap<String, String>,
    several: HashMap<Vec<String>, Vec<String>>,
    /// Words of the longest phrase.
    longest: usize,
}

impl Synonyms {
    fn of_one(&self, word: &str) -> String {
        let word = singular(word);
        self.one.get(word).map_or_else(|| word.to_owned(), Clone::clone)
    }
}

/// The table as kept in `assets/values`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    #[allow(dead_code, reason = "for those who read the file")]
    source: String,
    groups: Vec<Vec<String>>,
}

fn synonyms() -> &'static Synonyms {
    static SYNONYMS: OnceLock<Synonyms> = OnceLock::new();
    // Built into the program and read by the tests: no user can make it fail.
    #[allow(clippy::expect_used)]
    SYNONYMS.get_or_init(|| {
        let text = include_str!(concat!(env!("OUT_DIR"), "/values/synonyms.json"));
        compile(&objects::from_str::<Table>(text).expect("the shipped synonyms are sound").groups)
    })
}

fn compile(groups: &[Vec<String>]) -> Synonyms {
    let mut table = Synonyms { one: HashMap::new(), several: HashMap::new(), longest: 1 };
    let groups: Vec<Vec<Vec<String>>> =
        groups.iter().map(|group| group.iter().map(|phrase| plain_words(phrase)).collect()).collect();
    // Words first: the phrases are made of them.
    for (first, others) in groups.iter().filter_map(|group| group.split_first()) {
        let [first] = first.as_slice() else { continue };
        for other in others {
            if let [other] = other.as_slice() {
                table.one.insert(singular(other).to_owned(), singular(first).to_owned());
            }
        }
    }
    for group in &groups {
        let by_word = |phrase: &Vec<String>| phrase.iter().map(|word| table.of_one(word)).collect();
        let phrases: Vec<Vec<String>> = group.iter().map(by_word).collect();
        let Some(first) = phrases.first() else { continue };
        for phrase in phrases.iter().filter(|phrase| phrase.len() > 1 || first.len() > 1) {
            table.longest = table.longest.max(phrase.len());
            table.several.insert(phrase.clone(), first.clone());
        }
    }
    table
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn both_sides_of_the_ocean_and_both_numbers_mean_the_same() {
        for (one, other) in [
            ("Tail lights", "tail lamp"),
            ("TURN SIGNALS", "direction indicator"),
            ("License plate light", "number-plate lamps"),
            ("plate lamp", "tag... number plate bulb"),
            ("trunk lamp", "load-area light"),
            ("heated seats", "seat heater"),
            ("A/C clutch", "aircon clutch"),
        ] {
            let set = |text| meant(text).into_iter().collect::<std::collections::BTreeSet<_>>();
            assert!(
                set(one).is_subset(&set(other)) || set(other).is_subset(&set(one)),
                "{:?} {:?}",
                set(one),
                set(other)
            );
        }
        assert_eq!(meant("boxes, switches; brakes glass"), ["box", "switch", "brake", "glass"]);
    }

    #[test]
    fn one_slip_is_forgiven_in_long_words_only() {
        for (typed, word) in
            [("wipre", "wiper"), ("revesring", "reversing"), ("headlmap", "headlamp"), ("reverz", "reversing")]
        {
            assert!(slipped(typed, word), "{typed}");
        }
        for (typed, word) in [("lmap", "lamp"), ("vipre", "wiper"), ("motor", "meter"), ("", "lamp")] {
            assert!(!slipped(typed, word), "{typed}");
        }
    }

    #[test]
    fn no_slip_is_missed_for_the_sake_of_speed() {
        // Every word that is one slip away, against the distance itself.
        let word = "wiper";
        for at in 0..=word.len() {
            for letter in 'a'..='z' {
                let (head, tail) = word.split_at(at);
                let mut exchanged: Vec<char> = word.chars().collect();
                if at + 1 < word.len() {
                    exchanged.swap(at, at + 1);
                }
                let slips = [
                    format!("{head}{letter}{tail}"),
                    format!("{head}{letter}{}", tail.get(1..).unwrap_or("")),
                    exchanged.into_iter().collect(),
                ];
                for slip in slips {
                    assert!(slipped(&slip, word) || strsim::osa_distance(&slip, word) > 1, "{slip}");
                }
            }
        }
    }

    #[test]
    fn no_phrase_stands_in_two_groups() {
        let table: Table = serde_json::from_str(include_str!("../../assets/values/synonyms.json")).unwrap();
        let mut seen = std::collections::BTreeSet::new();
        for phrase in table.groups.iter().flatten() {
            assert!(seen.insert(plain_words(phrase)), "{phrase}");
        }
    }
}
