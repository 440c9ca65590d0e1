//! Which colour of wire stands in a text?

use super::Parts;
use crate::circuit::colour::WireColour;

/// Words about a wire that say nothing once its colour or size is known.
const FILLERS: [&str; 8] = ["wire", "wires", "cable", "colour", "color", "stripe", "tracer", "lead"];

impl Parts<'_> {
    /// The first colour of a wire.
    pub(super) fn colour(&mut self) -> Option<WireColour> {
        for at in 0..self.tokens.len() {
            let Some(first) = self.word_at(at) else { continue };
            let stroke =
                |at: usize| self.at(at).is_some_and(|mark| ['/', '-', '_'].iter().any(|one| mark.is_mark(*one)));
            let is_colour = |at: usize| self.word_at(at).is_some_and(|word| WireColour::parse(word).is_ok());
            // Three of them are no wire's colour.
            let part_of_more = at > 1 && stroke(at - 1) && is_colour(at - 2);
            if part_of_more || (stroke(at + 1) && is_colour(at + 2) && stroke(at + 3) && is_colour(at + 4)) {
                continue;
            }
            if stroke(at + 1) && is_colour(at + 2) {
                let pair = self.word_at(at + 2).and_then(|second| WireColour::parse(&format!("{first}/{second}")).ok());
                if let Some(colour) = pair {
                    self.take(at, 3);
                    return Some(colour);
                }
            }
            if !speaks_for_itself(first) {
                continue;
            }
            // "brown white", "brown with white", "brown with a white stripe".
            for between in 0..=2 {
                let joins = (at + 1..=at + between).all(|at| {
                    let word = self.word_at(at).map(str::to_lowercase).unwrap_or_default();
                    matches!(word.as_str(), "with" | "a" | "mit" | "con")
                });
                let second = self.word_at(at + 1 + between).filter(|word| joins && speaks_for_itself(word));
                let pair = second.and_then(|second| WireColour::parse(&format!("{first}/{second}")).ok());
                if let Some(colour) = pair {
                    self.take(at, 2 + between);
                    return Some(colour);
                }
            }
            if let Ok(colour) = WireColour::parse(first) {
                self.take(at, 1);
                return Some(colour);
            }
        }
        None
    }

    pub(super) fn fillers(&mut self) {
        for at in 0..self.tokens.len() {
            let filler = self.word_at(at).is_some_and(|word| FILLERS.contains(&word.to_lowercase().as_str()));
            self.used[at] |= filler;
        }
    }
}

/// A colour that is meant as one wherever it stands: a code in capitals, or a word.
fn speaks_for_itself(word: &str) -> bool {
    let capitals = word.chars().all(|letter| letter.is_ascii_uppercase());
    let is_code = || WireColour::from_code(word).is_some() || (word.len() == 4 && WireColour::parse(word).is_ok());
    if capitals && is_code() {
        return true;
    }
    word.chars().count() >= 3 && WireColour::parse(word).is_ok_and(|colour| matches!(colour, WireColour::Plain(_)))
}
