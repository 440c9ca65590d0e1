//! What does a list say that was copied from anywhere?
//!
//! One load a line, with bullets, numbers, sizes and colours in any order; lines that name a fuse; blank lines and
//! remarks. Every line is answered, in order, with its own text beside what was understood.

use super::parts;
use super::tokens::{Token, TokenKind, tokens};
use super::{Entry, table};
use crate::catalogue::recognise::Found;
use crate::circuit::file::Side;

/// No more lines than these are read: far above what hangs on one fuse.
pub const MOST_LINES: usize = 500;
/// No line longer than this is read, in bytes.
pub const MOST_BYTES: usize = 400;
/// No fuse has a higher rating, A.
const MOST_RATING_A: f64 = 500.0;

/// A list, line by line.
#[derive(Debug, Clone, PartialEq)]
pub struct Pasted {
    /// Every line that was read, in order.
    pub lines: Vec<Line>,
    /// What stands behind the last line that is read. Empty: nothing.
    pub unread: String,
}

/// One line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// From 1.
    pub number: usize,
    /// As it was written.
    pub text: String,
    /// What was understood.
    pub content: Content,
}

/// What a line is.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// Nothing, or only strokes.
    Blank,
    /// A remark, or the heading of a table.
    Remark,
    /// Longer than [`MOST_BYTES`].
    TooLong,
    /// A fuse, loads, or both.
    Named {
        /// The fuse that it names.
        fuse: Option<FuseHeading>,
        /// The loads, several only where each is known for itself.
        loads: Vec<Entry>,
    },
}

/// A fuse that a line names: to be proposed, never simply taken.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseHeading {
    /// As in the fuse box: `F23`. Empty: only its rating was written.
    pub label: String,
    /// A.
    pub rating_a: Option<f64>,
}

impl Pasted {
    /// All loads, with the number of their line.
    pub fn entries(&self) -> impl Iterator<Item = (usize, &Entry)> {
        self.lines.iter().flat_map(|line| {
            let loads = match &line.content {
                Content::Named { loads, .. } => loads.as_slice(),
                _ => &[],
            };
            loads.iter().map(move |entry| (line.number, entry))
        })
    }

    /// All fuses, with the number of their line.
    pub fn fuses(&self) -> impl Iterator<Item = (usize, &FuseHeading)> {
        self.lines.iter().filter_map(|line| match &line.content {
            Content::Named { fuse: Some(fuse), .. } => Some((line.number, fuse)),
            _ => None,
        })
    }
}

/// Reads a list. `driver` is the side on which the driver sits: it tells where the near side is.
///
/// ```
/// use loomwalk::catalogue::entry::paste;
/// use loomwalk::circuit::file::Side;
/// let list = paste::read("Fuse 23 – 15A\n• both reversing lamps, 21W, BK/WH 0.75\n", Side::Left);
/// let [(2, lamps)] = list.entries().collect::<Vec<_>>()[..] else { panic!() };
/// assert_eq!(lamps.found.kind().unwrap().label(), "Reversing lamp");
/// ```
pub fn read(text: &str, driver: Side) -> Pasted {
    let mut lines = Vec::new();
    let mut rest = text;
    while !rest.is_empty() && lines.len() < MOST_LINES {
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let (line, more) = rest.split_at(end);
        rest = more.strip_prefix("\r\n").or_else(|| more.strip_prefix(['\n', '\r'])).unwrap_or(more);
        lines.push(Line { number: lines.len() + 1, text: line.to_owned(), content: content(line, driver) });
    }
    Pasted { lines, unread: rest.to_owned() }
}

fn content(line: &str, driver: Side) -> Content {
    if line.len() > MOST_BYTES {
        return Content::TooLong;
    }
    let all = tokens(line);
    if all.iter().all(|token| token.kind == TokenKind::Mark) {
        return Content::Blank;
    }
    if is_remark(line, &all) {
        return Content::Remark;
    }
    let (fuse, named) = fuse_heading(undecorated(&all));
    let names = named.iter().any(|token| token.word().is_some());
    if fuse.is_none() && !names {
        return Content::Remark;
    }
    let loads = if names { loads(named, driver) } else { Vec::new() };
    let heads = matches!(loads.as_slice(), [one] if one.found == Found::ByHand && line.trim_end().ends_with(':'));
    if heads && fuse.is_none() {
        return Content::Remark;
    }
    Content::Named { fuse, loads }
}

fn is_remark(line: &str, tokens: &[Token<'_>]) -> bool {
    let line = line.trim_start();
    let numbered = tokens.get(1).is_some_and(|second| second.number().is_some());
    if line.starts_with("//") || (line.starts_with('#') && !numbered) {
        return true;
    }
    if let [first, second, ..] = tokens
        && second.is_mark(':')
        && matches!(first.lower().as_str(), "note" | "notes" | "nb" | "remark" | "remarks" | "see" | "source")
    {
        return true;
    }
    // A row of column titles.
    let words: Vec<&str> = tokens.iter().filter_map(Token::word).collect();
    words.len() > 1
        && words.iter().all(|word| table::is_title(word))
        && !tokens.iter().any(|token| token.number().is_some())
}

/// Without bullets, boxes and numbers in front, and the stops behind.
fn undecorated<'t, 'a>(mut tokens: &'t [Token<'a>]) -> &'t [Token<'a>] {
    loop {
        tokens = match tokens {
            // [x], [ ]
            [open, cross, close, rest @ ..]
                if open.is_mark('[') && close.is_mark(']') && cross.text.chars().count() == 1 =>
            {
                rest
            }
            // (1), (a)
            [open, number, close, rest @ ..]
                if open.is_mark('(') && close.is_mark(')') && (number.whole().is_some() || number.text.len() == 1) =>
            {
                rest
            }
            // 1. 1) a)
            [number, dot, rest @ ..]
                if dot.joined
                    && ((number.whole().is_some() && [".", ")", ":"].contains(&dot.text))
                        || (number.text.len() == 1 && number.word().is_some() && dot.is_mark(')'))) =>
            {
                rest
            }
            [mark, rest @ ..] if mark.kind == TokenKind::Mark => rest,
            [rest @ .., mark] if mark.kind == TokenKind::Mark && !mark.is_mark(')') => rest,
            _ => return tokens,
        };
    }
}

/// The fuse that a line starts with, and what stands behind it.
fn fuse_heading<'t, 'a>(tokens: &'t [Token<'a>]) -> (Option<FuseHeading>, &'t [Token<'a>]) {
    let is_fuse = |token: &Token<'_>| matches!(token.lower().as_str(), "fuse" | "sicherung" | "fusible");
    // "15A fuse: …"
    if let [number, unit, fuse, rest @ ..] = tokens
        && let Some(rating) = rating(number, unit)
        && is_fuse(fuse)
    {
        return (Some(FuseHeading { label: String::new(), rating_a: Some(rating) }), rest);
    }
    let [first, rest @ ..] = tokens else { return (None, tokens) };
    let (label, rest) = if is_fuse(first) {
        let mut rest = rest;
        while let [filler, more @ ..] = rest {
            let empty =
                matches!(filler.lower().as_str(), "no" | "nr" | "number" | "n") || filler.kind == TokenKind::Mark;
            if !empty {
                break;
            }
            rest = more;
        }
        match rest {
            // "Fuse 15 A" says how big it is, not which.
            [number, unit, ..] if rating(number, unit).is_some() => (String::new(), rest),
            [name, more @ ..] if name.whole().is_some() => (format!("F{}", name.text), more),
            [name, more @ ..] if is_label(name.text) => (name.text.to_uppercase(), more),
            _ => return (None, tokens),
        }
    } else if is_label(first.text) {
        (first.text.to_uppercase(), rest)
    } else {
        match (first.lower().as_str(), rest) {
            ("f", [number, more @ ..]) if number.whole().is_some() => (format!("F{}", number.text), more),
            _ => return (None, tokens),
        }
    };
    // Its rating, wherever it stands before the first name: "F23 – 15A", "F23 (15 A)".
    let before_name = rest.iter().take_while(|token| token.kind != TokenKind::Word).count();
    for at in 0..before_name {
        if let [number, unit, more @ ..] = &rest[at..]
            && let Some(amps) = rating(number, unit)
        {
            return (Some(FuseHeading { label, rating_a: Some(amps) }), undecorated(more));
        }
    }
    (Some(FuseHeading { label, rating_a: None }), undecorated(rest))
}

/// `F23`, `f7b`.
fn is_label(text: &str) -> bool {
    let Some(number) = text.strip_prefix(['F', 'f']) else { return false };
    let digits = number.bytes().take_while(u8::is_ascii_digit).count();
    let behind = &number[digits..];
    (1..=3).contains(&digits)
        && (behind.is_empty() || (behind.len() == 1 && behind.bytes().all(|b| b.is_ascii_alphabetic())))
}

fn rating(number: &Token<'_>, unit: &Token<'_>) -> Option<f64> {
    let amps = matches!(unit.lower().as_str(), "a" | "amp" | "amps" | "ampere");
    number.number().filter(|rating| amps && *rating > 0.0 && *rating <= MOST_RATING_A)
}

/// The loads of a line. Several where each part of it is known for itself: "horn, tail lamps; washer pump".
fn loads(tokens: &[Token<'_>], driver: Side) -> Vec<Entry> {
    let whole = parts::entry(tokens, driver);
    if matches!(whole.found, Found::Exact(_)) {
        return vec![whole];
    }
    let separators: [fn(&Token<'_>) -> bool; 3] = [
        |token| token.is_mark(';') || token.is_mark('\u{2022}'),
        |token| token.is_mark(','),
        |token| token.is_mark('+') || token.is_mark('&') || token.lower() == "and",
    ];
    for is_separator in separators {
        let pieces: Vec<&[Token<'_>]> = tokens
            .split(is_separator)
            .filter(|piece| piece.iter().any(|token| token.kind != TokenKind::Mark))
            .collect();
        if pieces.len() < 2 {
            continue;
        }
        let each: Vec<Entry> = pieces.into_iter().map(|piece| parts::entry(undecorated(piece), driver)).collect();
        let clear = |entry: &Entry| match &entry.found {
            Found::Exact(_) => true,
            Found::Likely(_, others) => others.is_empty() && entry.left_over.is_empty(),
            Found::ByHand => false,
        };
        if each.iter().all(clear) {
            return each;
        }
    }
    vec![whole]
}
