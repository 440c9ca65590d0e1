//! What is wrong with a circuit, where, and what would be right?

use std::fmt::{Display, Write as _};

/// How many problems are told at once: more than that helps nobody.
const MOST_PROBLEMS: usize = 50;
/// How much of a value is repeated in a message, in characters.
const MOST_ECHO: usize = 60;

/// One thing that is wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where: a JSON pointer (RFC 6901). Empty: the file as a whole. A missing field is named as if it were there.
    pub pointer: String,
    /// What is wrong there.
    pub wrong: String,
    /// What would be right.
    pub right: String,
}

impl Display for Problem {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let place = if self.pointer.is_empty() { "the file" } else { &self.pointer };
        write!(out, "{place}: {}; {}", self.wrong, self.right)
    }
}

/// A circuit that cannot be used as it is. Shown one problem a line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", lines(.problems, .more))]
pub struct CircuitError {
    /// What is wrong, in the order of the format; never empty.
    pub problems: Vec<Problem>,
    /// How many further problems there are.
    pub more: usize,
}

fn lines(problems: &[Problem], more: &usize) -> String {
    let mut text = problems.iter().map(Problem::to_string).collect::<Vec<_>>().join("\n");
    if *more > 0 {
        // Writing to a String cannot fail.
        let _ = write!(text, "\nand {more} more");
    }
    text
}

/// Collects problems up to the bound, counting the rest.
#[derive(Debug, Default)]
pub(super) struct Problems {
    list: Vec<Problem>,
    more: usize,
}

impl Problems {
    /// Notes a problem.
    pub(super) fn add(&mut self, pointer: impl Into<String>, wrong: impl Into<String>, right: impl Into<String>) {
        if self.list.len() < MOST_PROBLEMS {
            self.list.push(Problem { pointer: pointer.into(), wrong: wrong.into(), right: right.into() });
        } else {
            self.more += 1;
        }
    }

    /// How many were noted so far.
    pub(super) fn count(&self) -> usize {
        self.list.len() + self.more
    }

    /// Further problems are only counted: not worth finding words for them.
    pub(super) fn is_full(&self) -> bool {
        self.list.len() >= MOST_PROBLEMS
    }

    pub(super) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    pub(super) fn into_error(self) -> CircuitError {
        CircuitError { problems: self.list, more: self.more }
    }

    pub(super) fn none_or_error(self) -> Result<(), CircuitError> {
        if self.is_empty() { Ok(()) } else { Err(self.into_error()) }
    }
}

/// A value as it stands in a message: in quotes, shortened where it is long.
pub(super) fn quoted(text: &str) -> String {
    format!("{:?}", shortened(text))
}

/// Text cut to a length that fits in a message.
pub(super) fn shortened(text: &str) -> String {
    match text.char_indices().nth(MOST_ECHO) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// A key as a part of a JSON pointer (RFC 6901 §3).
pub(super) fn pointer_part(key: &str) -> String {
    shortened(&key.replace('~', "~0").replace('/', "~1"))
}
