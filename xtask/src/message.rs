//! What does one message of a catalogue say, with which slots, and is it one that the page can use?

use std::collections::{BTreeMap, BTreeSet};

use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement, Variant, VariantKey};
use fluent_syntax::unicode::unescape_unicode_to_string;
use serde::Serialize;

/// A message: what it says, and the slots in it.
pub struct Message {
    /// What it says.
    pub words: Words,
    /// The names of its slots.
    pub slots: BTreeSet<String>,
}

/// What is said: a text with its slots as `{name}`, or one of several by the number in a slot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(untagged)]
pub enum Words {
    /// The text.
    Text(String),
    /// By that slot: an exact number, or a plural category of Unicode's CLDR.
    By {
        /// The slot.
        by: String,
        /// What is said for each.
        of: BTreeMap<String, Words>,
    },
}

impl Message {
    /// The one text that it is, if it is one.
    pub fn text(&self) -> Option<&str> {
        match &self.words {
            Words::Text(text) => Some(text),
            Words::By { .. } => None,
        }
    }

    /// Whether it says nothing, in any of its ways.
    pub fn is_empty(&self) -> bool {
        fn empty(words: &Words) -> bool {
            match words {
                Words::Text(text) => text.is_empty(),
                Words::By { of, .. } => of.values().any(empty),
            }
        }
        empty(&self.words)
    }
}

/// Reads a file; says what is wrong with it, by its name.
pub fn parse(name: &str, text: &str, wrong: &mut Vec<String>) -> Vec<(String, Message)> {
    let resource = fluent_syntax::parser::parse(text).unwrap_or_else(|(resource, errors)| {
        let line = |at: usize| text.get(..at).map_or(1, |before| before.matches('\n').count() + 1);
        wrong.extend(errors.iter().map(|error| format!("{name}:{}: {error}", line(error.pos.start))));
        resource
    });
    let mut messages = Vec::new();
    for entry in resource.body {
        let Entry::Message(message) = entry else { continue };
        let id = message.id.name.to_owned();
        let Some(pattern) = message.value else { continue };
        let mut slots = BTreeSet::new();
        match words(&elements(&pattern), &mut slots) {
            Ok(words) => messages.push((id, Message { words, slots })),
            Err(what) => wrong.push(format!("{name}: {id}: {what}")),
        }
    }
    messages
}

/// A piece of a message.
#[derive(Clone)]
enum Piece<'a> {
    Text(String),
    Slot(&'a str),
    Select(&'a str, &'a [Variant<&'a str>]),
    /// What no message of ours may have.
    Other,
}

fn elements<'a>(pattern: &'a Pattern<&'a str>) -> Vec<Piece<'a>> {
    let piece = |element: &'a PatternElement<&'a str>| match element {
        PatternElement::TextElement { value } => Piece::Text((*value).to_owned()),
        PatternElement::Placeable { expression } => match expression {
            Expression::Inline(InlineExpression::StringLiteral { value }) => {
                Piece::Text(unescape_unicode_to_string(value).into_owned())
            }
            Expression::Inline(InlineExpression::NumberLiteral { value }) => Piece::Text((*value).to_owned()),
            Expression::Inline(InlineExpression::VariableReference { id }) => Piece::Slot(id.name),
            Expression::Select { selector: InlineExpression::VariableReference { id }, variants } => {
                Piece::Select(id.name, variants)
            }
            _ => Piece::Other,
        },
    };
    pattern.elements.iter().map(piece).collect()
}

/// What the pieces say: a choice in the middle of a text becomes a choice of whole texts.
fn words(pieces: &[Piece], slots: &mut BTreeSet<String>) -> Result<Words, String> {
    if let Some((at, by, variants)) = pieces.iter().enumerate().find_map(|(at, piece)| match piece {
        Piece::Select(by, variants) => Some((at, *by, *variants)),
        _ => None,
    }) {
        slots.insert(by.to_owned());
        let mut of = BTreeMap::new();
        for variant in variants {
            let chosen = [&pieces[..at], &elements(&variant.value), &pieces[at + 1..]].concat();
            let (VariantKey::Identifier { name: key } | VariantKey::NumberLiteral { value: key }) = variant.key;
            let said = words(&chosen, slots)?;
            if variant.default && key != "other" {
                of.insert("other".to_owned(), said.clone());
            }
            of.insert(key.to_owned(), said);
        }
        return Ok(Words::By { by: by.to_owned(), of });
    }
    let mut text = String::new();
    for piece in pieces {
        match piece {
            Piece::Text(words) => text.push_str(words),
            Piece::Slot(name) => {
                slots.insert((*name).to_owned());
                text.push_str(&format!("{{{name}}}"));
            }
            Piece::Select(..) | Piece::Other => return Err("only slots and choices by a slot can be used".to_owned()),
        }
    }
    Ok(Words::Text(text.trim().replace(['\n', '\r'], " ")))
}

/// Whether a slot is for a number; `public/speak.js` asks the same.
fn is_number(slot: &str) -> bool {
    let numbered = slot.strip_prefix('n').is_some_and(|rest| rest.bytes().all(|byte| byte.is_ascii_digit()));
    numbered || ["minutes", "metres", "percent", "amps", "count"].contains(&slot)
}

/// What the page could not use of an English message.
pub fn wrong_english(id: &str, message: &Message) -> Vec<String> {
    let mut wrong = Vec::new();
    let Some(text) = message.text() else { return vec![format!("{id}: English says one thing, without a choice")] };
    if text.is_empty() {
        wrong.push(format!("{id}: is empty"));
    }
    if text.contains("}{") {
        wrong.push(format!("{id}: between two slots stands a word or a sign, or nobody knows where one ends"));
    }
    if text.split(char::is_whitespace).any(str::is_empty) || text.contains('\u{a0}') {
        wrong.push(format!("{id}: spaces are single and plain, as the page looks it up"));
    }
    let like_number = message.slots.iter().filter(|slot| slot.starts_with('n') && !is_number(slot));
    wrong.extend(
        like_number.map(|slot| format!("{id}: ${slot} begins like a number's slot and is none: call it otherwise")),
    );
    wrong
}

/// English and its translation with slots called by their kind and place, so that two messages can be compared.
pub fn unnamed(english: &Message, other: &Message) -> (String, String) {
    let mut from = english.text().unwrap_or_default().to_owned();
    let mut to = serde_json::to_string(&other.words).unwrap_or_default();
    let mut places: Vec<&String> = english.slots.iter().collect();
    places.sort_by_key(|slot| from.find(&format!("{{{slot}}}")));
    for (at, slot) in places.into_iter().enumerate() {
        let kind = if is_number(slot) {
            "number"
        } else if slot.starts_with("text") {
            "own"
        } else {
            "words"
        };
        let plain = format!("{{{kind} {at}}}");
        from = from.replace(&format!("{{{slot}}}"), &plain);
        to = to
            .replace(&format!("{{{slot}}}"), &plain)
            .replace(&format!("\"by\":\"{slot}\""), &format!("\"by\":\"{at}\""));
    }
    (from, to)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(text: &str) -> Message {
        let mut wrong = Vec::new();
        let message = parse("a.ftl", text, &mut wrong).remove(0).1;
        assert!(wrong.is_empty(), "{wrong:?}");
        message
    }

    #[test]
    fn a_choice_within_a_text_becomes_whole_texts() {
        let message = one("a = noch { $n ->\n  [one] eine Stelle\n *[other] { $n } Stellen\n } hier\n");
        let json = serde_json::to_string(&message.words).unwrap();
        assert_eq!(json, r#"{"by":"n","of":{"one":"noch eine Stelle hier","other":"noch {n} Stellen hier"}}"#);
    }

    #[test]
    fn a_line_that_is_no_message_is_named_with_its_place() {
        let mut wrong = Vec::new();
        parse("de/a.ftl", "a = eins\n\nb zwei\n", &mut wrong);
        assert_eq!(wrong.len(), 1);
        assert!(wrong[0].starts_with("de/a.ftl:3: "), "{wrong:?}");
    }

    #[test]
    fn two_messages_with_other_names_for_the_same_slots_are_the_same() {
        let (english, german) = (one("a = { $zone } of { $n }\n"), one("a = { $n } von { $zone }\n"));
        let (other, same) = (one("a = { $place } of { $count }\n"), one("a = { $count } von { $place }\n"));
        assert_eq!(unnamed(&english, &german), unnamed(&other, &same));
    }

    #[test]
    fn what_the_page_could_not_use_is_said() {
        assert!(wrong_english("a", &one("a = { $n } places\n")).is_empty());
        for text in ["a = { $name } is\n", "a = { $zone }{ $place }\n", "a = two  spaces\n"] {
            assert_eq!(wrong_english("a", &one(text)).len(), 1, "{text}");
        }
    }
}
