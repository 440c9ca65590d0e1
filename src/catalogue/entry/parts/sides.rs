//! How many are there, and on which side?

use super::super::tokens::Token;
use super::super::{MOST_OF_ONE, Sides};
use super::Parts;
use crate::circuit::file::Side;

impl Parts<'_> {
    /// How many, and whether that was said as "both" or "pair". None: nothing was said.
    pub(super) fn count(&mut self) -> Option<(Option<u32>, bool)> {
        let may = |count: &u32| (1..=MOST_OF_ONE).contains(count);
        let is_times = |word: &str| matches!(word, "x" | "X" | "×");
        for at in 0..self.tokens.len() {
            let whole = |at: usize| self.at(at).and_then(Token::whole).filter(may);
            let after = self.word_at(at + 1);
            let lower = after.map(str::to_lowercase).unwrap_or_default();
            if let Some(count) = whole(at) {
                let counted = after.is_some_and(is_times) || matches!(lower.as_str(), "off" | "pcs" | "pieces" | "pc");
                if counted {
                    self.take(at, 2);
                    return Some((Some(count), false));
                }
            }
            let here = self.word_at(at).map(str::to_lowercase).unwrap_or_default();
            if let Some(count) = whole(at + 1).filter(|_| is_times(&here) || here == "qty") {
                self.take(at, 2);
                return Some((Some(count), false));
            }
            if here == "both" || here == "pair" {
                let with_of = usize::from(lower == "of" || lower == "sides");
                self.take(at, 1 + with_of);
                return Some((Some(2), true));
            }
        }
        self.counted_plural()
    }

    /// "2 reversing lamps".
    fn counted_plural(&mut self) -> Option<(Option<u32>, bool)> {
        let count = self.at(0)?.whole().filter(|count| (2..=MOST_OF_ONE).contains(count))?;
        let next = self.at(1).filter(|token| !token.joined)?.word()?;
        let plural = (1..self.tokens.len()).filter_map(|at| self.word_at(at)).any(|word| word.ends_with('s'));
        if next.chars().count() < 2 || !plural {
            return None;
        }
        self.take(0, 1);
        Some((Some(count), false))
    }

    pub(super) fn sides(&mut self, driver: Side) -> Sides {
        let (mut left, mut right) = (false, false);
        let mut last: Option<usize> = None;
        self.position = self.position_by_letter();
        for at in 0..self.tokens.len() {
            let Some((side, count)) = self.side(at, driver) else { continue };
            match side {
                Side::Left => left = true,
                Side::Right => right = true,
            }
            // What joins the two: "left and right", "LH/RH".
            if let Some(last) = last.filter(|last| at - last == 1) {
                self.take(last, 1);
            }
            self.take(at, count);
            last = Some(at + count);
        }
        match (left, right) {
            (true, true) => Sides::Both,
            (true, false) => Sides::One(Side::Left),
            (false, true) => Sides::One(Side::Right),
            (false, false) => Sides::NotSaid,
        }
    }

    /// "O/S/F", "NSR": the front or the rear one.
    fn position_by_letter(&self) -> Option<&'static str> {
        let letters = |at: usize, count: usize| -> String {
            self.tokens.iter().skip(at).take(count).map(|token| token.text).collect::<String>().to_lowercase()
        };
        (0..self.tokens.len()).find_map(|at| match (letters(at, 1).as_str(), letters(at, 5).as_str()) {
            ("nsf" | "osf", _) | (_, "n/s/f" | "o/s/f") => Some("front"),
            ("nsr" | "osr", _) | (_, "n/s/r" | "o/s/r") => Some("rear"),
            _ => None,
        })
    }

    /// A side's word at a place, and how many pieces that is.
    fn side(&self, at: usize, driver: Side) -> Option<(Side, usize)> {
        let other = match driver {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        };
        let word = self.word_at(at)?;
        let lower = word.to_lowercase();
        let next = |at: usize| self.word_at(at).map(str::to_lowercase).unwrap_or_default();
        // L/H, N/S.
        let stroke = self.at(at + 1).is_some_and(|mark| mark.is_mark('/') && mark.joined);
        let two_letters = stroke.then(|| format!("{lower}{}", next(at + 2)));
        let (side, mut count) = match (two_letters.as_deref(), lower.as_str()) {
            (Some("lh"), _) => (Side::Left, 3),
            (Some("rh"), _) => (Side::Right, 3),
            (Some("ns"), _) => (other, 3 + self.position_letter(at + 3)),
            (Some("os"), _) => (driver, 3 + self.position_letter(at + 3)),
            (_, "nsf" | "nsr") => (other, 1),
            (_, "osf" | "osr") => (driver, 1),
            (_, "left" | "lh" | "lhs" | "links" | "izquierdo" | "izquierda") => (Side::Left, 1),
            (_, "right" | "rh" | "rhs" | "rechts" | "derecho" | "derecha") => (Side::Right, 1),
            (_, "nearside" | "ns") => (other, 1),
            (_, "offside" | "os") => (driver, 1),
            (_, "driver" | "drivers" | "driver's" | "driver’s") => (driver, 1),
            (_, "passenger" | "passengers" | "passenger's" | "passenger’s") => (other, 1),
            _ if word == "L" => (Side::Left, 1),
            _ if word == "R" => (Side::Right, 1),
            _ => return None,
        };
        // Left-hand side.
        for filler in ["hand", "side"] {
            let dash = usize::from(self.at(at + count).is_some_and(|mark| mark.is_mark('-')));
            if next(at + count + dash) == filler {
                count += dash + 1;
            }
        }
        Some((side, count))
    }

    /// How many pieces the third letter of "O/S/F" takes.
    fn position_letter(&self, at: usize) -> usize {
        let stroke = self.at(at).is_some_and(|mark| mark.is_mark('/') && mark.joined);
        let letter = self.word_at(at + 1).is_some_and(|word| matches!(word, "F" | "R" | "f" | "r"));
        if stroke && letter { 2 } else { 0 }
    }

    /// The side's words, where the thing has no sides.
    pub(super) fn side_words(&self, driver: Side) -> Vec<String> {
        let fresh = Parts { tokens: self.tokens, used: vec![false; self.tokens.len()], position: None };
        let words = (0..self.tokens.len()).filter(|at| fresh.side(*at, driver).is_some());
        words.map(|at| self.tokens[at].text.to_owned()).collect()
    }
}
