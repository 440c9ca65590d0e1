//! Which words does the app speak in other languages, and how does the page get them?
//!
//! `assets/text/app/<language>/<area>.ftl` are Fluent catalogues with the same messages in `en`, `de` and `es`. The English ones
//! say what the program writes on the screen, letter by letter; so `public/speak.js` finds the others by the English. Compiled,
//! a message without slots stands under a hash of its English, one with slots beside it. What the first screens need, as
//! `start.txt` lists it, is a catalogue of its own, so that a first start fetches little.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail};
use serde::Serialize;

use crate::message::{self, Message, Words};

/// The language that the program is written in.
const SOURCE: &str = "en";
/// What the first screens need: a message's id a line, or the beginning of several and a `*`.
const START: &str = "start.txt";

/// The catalogues of one language, as the page fetches them.
pub struct Catalogue {
    /// The language's tag.
    pub lang: String,
    /// What the first screens need, as JSON.
    pub start: Vec<u8>,
    /// All the rest, likewise.
    pub rest: Vec<u8>,
}

/// The messages of one language by their id.
type Messages = BTreeMap<String, Message>;

/// A catalogue as `public/speak.js` reads it.
#[derive(Default, Serialize)]
struct Compiled<'a> {
    exact: BTreeMap<String, &'a Words>,
    patterns: Vec<(&'a str, &'a Words)>,
}

/// Compiles the catalogues of each language but English. A folder that is not there has none.
///
/// All that is wrong with them is said at once.
pub fn compile(folder: &Path) -> Result<Vec<Catalogue>> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut wrong = Vec::new();
    let english = read(&folder.join(SOURCE), &mut wrong)?;
    let start = read_start(folder, &english, &mut wrong)?;
    wrong.extend(english.iter().flat_map(|(id, message)| message::wrong_english(id, message)));
    wrong.extend(collisions(&english));
    let mut catalogues = Vec::new();
    for entry in fs::read_dir(folder)? {
        let (lang, place) = (entry.as_ref().map(|entry| entry.file_name()), entry.as_ref().map(|entry| entry.path()));
        let (Ok(lang), Ok(place)) = (lang, place) else { continue };
        let lang = lang.to_string_lossy().into_owned();
        if lang == SOURCE || !place.is_dir() {
            continue;
        }
        let messages = read(&place, &mut wrong)?;
        wrong.extend(compared(&lang, &english, &messages));
        catalogues.push(compiled(lang, &english, &messages, &start)?);
    }
    if !wrong.is_empty() {
        bail!("{} things are wrong with the catalogues in assets/text/app:\n{}", wrong.len(), wrong.join("\n"));
    }
    catalogues.sort_by(|one, other| one.lang.cmp(&other.lang));
    Ok(catalogues)
}

/// All messages of a language, from the files of its folder.
fn read(folder: &Path, wrong: &mut Vec<String>) -> Result<Messages> {
    let mut messages = Messages::new();
    for entry in walkdir::WalkDir::new(folder).sort_by_file_name() {
        let entry = entry.context("cannot read the catalogues")?;
        if entry.path().extension().is_none_or(|end| end != "ftl") {
            continue;
        }
        let text = fs::read_to_string(entry.path())?;
        let name = entry.path().strip_prefix(folder.parent().unwrap_or(folder))?.display().to_string();
        for (id, message) in message::parse(&name, &text, wrong) {
            if messages.insert(id.clone(), message).is_some() {
                wrong.push(format!("{name}: {id} is there twice, in this file or another"));
            }
        }
    }
    Ok(messages)
}

/// The ids that the first screens need.
fn read_start(folder: &Path, english: &Messages, wrong: &mut Vec<String>) -> Result<BTreeSet<String>> {
    let text = fs::read_to_string(folder.join(START)).unwrap_or_default();
    let mut start = BTreeSet::new();
    for line in text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#')) {
        let fits = |id: &&String| line.strip_suffix('*').map_or(*id == line, |begin| id.starts_with(begin));
        let before = start.len();
        start.extend(english.keys().filter(fits).cloned());
        if start.len() == before {
            wrong.push(format!("{START}: there is no further message {line}"));
        }
    }
    Ok(start)
}

/// Two texts under one hash could not be told apart.
fn collisions(english: &Messages) -> Vec<String> {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    let whole = english.values().filter(|message| message.slots.is_empty()).filter_map(Message::text);
    whole
        .filter_map(|text| match seen.insert(key(text), text) {
            Some(other) if other != text => {
                Some(format!("“{text}” and “{other}” have the same hash: say one of them otherwise"))
            }
            _ => None,
        })
        .collect()
}

/// What a translation lacks, has besides, or says in two ways.
fn compared(lang: &str, english: &Messages, messages: &Messages) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut said: BTreeMap<String, (&str, String)> = BTreeMap::new();
    for (id, message) in english {
        let Some(other) = messages.get(id) else {
            wrong.push(format!("{lang}: {id} is missing"));
            continue;
        };
        if other.slots != message.slots {
            wrong.push(format!("{lang}: {id} has the slots {:?}, in English {:?}", other.slots, message.slots));
        }
        if other.is_empty() {
            wrong.push(format!("{lang}: {id} is empty"));
        }
        let (from, to) = message::unnamed(message, other);
        match said.get(&from) {
            Some((first, before)) if *before != to => {
                wrong
                    .push(format!("{lang}: {first} and {id} are the same in English, and differ:\n  {before}\n  {to}"));
            }
            Some(_) => {}
            None => drop(said.insert(from, (id, to))),
        }
    }
    let besides = messages.keys().filter(|id| !english.contains_key(*id));
    wrong.extend(besides.map(|id| format!("{lang}: {id} is not in English")));
    wrong
}

fn compiled(lang: String, english: &Messages, messages: &Messages, start: &BTreeSet<String>) -> Result<Catalogue> {
    let (mut first, mut rest) = (Compiled::default(), Compiled::default());
    let mut seen = BTreeSet::new();
    // What both would hold is in the first.
    let (early, late): (Vec<_>, Vec<_>) = english.iter().partition(|(id, _)| start.contains(*id));
    for (id, message) in early.into_iter().chain(late) {
        let (Some(text), Some(words)) = (message.text(), messages.get(id).map(|message| &message.words)) else {
            continue;
        };
        if !seen.insert(text) {
            continue;
        }
        let part = if start.contains(id) { &mut first } else { &mut rest };
        if message.slots.is_empty() {
            part.exact.insert(key(text), words);
        } else {
            part.patterns.push((text, words));
        }
    }
    Ok(Catalogue { lang, start: serde_json::to_vec(&first)?, rest: serde_json::to_vec(&rest)? })
}

/// Under what a text without slots stands: FNV-1a of 32 bits over its UTF-16 units, in base 36. `public/speak.js` does the same.
fn key(text: &str) -> String {
    let mut sum =
        text.encode_utf16().fold(0x811c_9dc5_u32, |sum, unit| (sum ^ u32::from(unit)).wrapping_mul(0x0100_0193));
    let mut digits = Vec::new();
    loop {
        digits.push(char::from_digit(sum % 36, 36).unwrap_or('0'));
        sum /= 36;
        if sum == 0 {
            return digits.into_iter().rev().collect();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shell::root;

    #[test]
    fn the_apps_catalogues_say_the_same_in_each_language() {
        let catalogues = compile(&root().join("assets/text/app")).unwrap();
        let langs: Vec<&str> = catalogues.iter().map(|catalogue| catalogue.lang.as_str()).collect();
        assert_eq!(langs, ["de", "es"]);
    }

    fn folder(files: &[(&str, &str)]) -> std::path::PathBuf {
        static NUMBER: std::sync::atomic::AtomicU32 = std::sync::atomic::AtomicU32::new(0);
        let number = NUMBER.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let folder = std::env::temp_dir().join(format!("loomwalk-words-{}-{number}", std::process::id()));
        for (name, text) in files {
            let place = folder.join(name);
            fs::create_dir_all(place.parent().unwrap()).unwrap();
            fs::write(place, text).unwrap();
        }
        folder
    }

    fn made(files: &[(&str, &str)]) -> Result<Vec<Catalogue>> {
        let folder = folder(files);
        let made = compile(&folder);
        fs::remove_dir_all(folder).unwrap();
        made
    }

    #[test]
    fn what_the_first_screens_need_is_apart_and_whole_texts_stand_under_a_hash() {
        let catalogues = made(&[
            ("en/a.ftl", "a-one = Look here\na-two = { $n } places\na-three = Not yet\n"),
            ("de/a.ftl", "a-one = Hier nachsehen\na-two = { $n ->\n  [one] eine Stelle\n *[other] { $n } Stellen\n }\na-three = Noch nicht\n"),
            ("start.txt", "# the first screen\na-t*\n"),
        ])
        .unwrap();
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        assert_eq!(
            text(&catalogues[0].start),
            format!(
                r#"{{"exact":{{"{}":"Noch nicht"}},"patterns":[["{{n}} places",{{"by":"n","of":{{"one":"eine Stelle","other":"{{n}} Stellen"}}}}]]}}"#,
                key("Not yet")
            )
        );
        assert_eq!(
            text(&catalogues[0].rest),
            format!(r#"{{"exact":{{"{}":"Hier nachsehen"}},"patterns":[]}}"#, key("Look here"))
        );
    }

    #[test]
    fn all_that_is_wrong_is_said_at_once() {
        let error = made(&[
            ("en/a.ftl", "a-one = Look\na-two = { $n } of { $all }\na-three = Look\na-four = { $name } is gone\n"),
            ("de/a.ftl", "a-one = Schauen\na-two = { $n }\na-three = Sehen\na-five = fünf\n"),
            ("start.txt", "b-*\n"),
        ])
        .map(drop)
        .unwrap_err()
        .to_string();
        let expected = "6 things are wrong with the catalogues in assets/text/app:
start.txt: there is no further message b-*
a-four: $name begins like a number's slot and is none: call it otherwise
de: a-four is missing
de: a-one and a-three are the same in English, and differ:
  \"Schauen\"
  \"Sehen\"
de: a-two has the slots {\"n\"}, in English {\"all\", \"n\"}
de: a-five is not in English";
        assert_eq!(error, expected);
    }

    #[test]
    fn the_hash_is_that_of_the_published_samples() {
        // FNV-1a, 32 bits, from the authors' test vectors: "" 811c9dc5, "a" e40c292c, "foobar" bf9cf968.
        assert_eq!(u32::from_str_radix(&key(""), 36), Ok(0x811c_9dc5));
        assert_eq!(u32::from_str_radix(&key("a"), 36), Ok(0xe40c_292c));
        // "foobar" byte by byte is the same unit by unit only in the low bytes: ASCII has no others.
        assert_eq!(u32::from_str_radix(&key("foobar"), 36), Ok(0xbf9c_f968));
    }
}
