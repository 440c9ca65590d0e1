//! What does one piece of text say of a load: size, colour, wire, side, number, name?

mod colour;
mod quantity;
mod sides;

use super::tokens::{Token, TokenKind};
use super::{Entry, Sides, Stated};
use crate::catalogue::recognise::{Found, recognise};
use crate::catalogue::{Kind, Size, items};
use crate::circuit::file::Side;

/// Pieces of a text, each used once.
pub(super) struct Parts<'a> {
    tokens: &'a [Token<'a>],
    used: Vec<bool>,
    /// "front" or "rear", where that was written as one letter.
    position: Option<&'static str>,
}

/// What one text says of a load. `driver` is the side on which the driver sits.
pub(super) fn entry(tokens: &[Token<'_>], driver: Side) -> Entry {
    let mut parts = Parts { tokens, used: vec![false; tokens.len()], position: None };
    let lamp = parts.lamp();
    let quantities = parts.quantities();
    let count = parts.count();
    let colour = parts.colour();
    let gauge = quantities.gauge.or_else(|| parts.bare_area());
    if colour.is_some() || gauge.is_some() {
        parts.fillers();
    }
    let whole = parts.recognised();
    // A name that holds a side's word, such as the driver recorder's.
    let (sides, recognised) = if matches!(whole.found, Found::Exact(Kind::One(_))) {
        (Sides::NotSaid, whole)
    } else {
        let sides = parts.sides(driver);
        let plain = parts.recognised();
        (sides, plain)
    };
    let sides = match sides {
        Sides::NotSaid if count.is_some_and(|(_, both)| both) => Sides::Both,
        said => said,
    };
    let found = by_lamp(recognised.found, lamp.map(|(category, _)| category));
    let mut left_over = recognised.left_over;
    if sides != Sides::NotSaid && matches!(found.kind(), Some(Kind::One(_))) {
        left_over.extend(parts.side_words(driver));
    }
    let from_lamp = lamp.and_then(|(_, size)| match size {
        Size::Watts { watts, at_volts } => Some((watts, at_volts)),
        _ => None,
    });
    let size = quantities.size.or(from_lamp.map(|(watts, _)| Stated::Watts(watts)));
    let rated_volts = quantities.volts.or(from_lamp.filter(|_| quantities.size.is_none()).map(|(_, volts)| volts));
    Entry {
        name: recognised.name,
        found,
        sides,
        count: count.and_then(|(count, _)| count),
        lamp: lamp.map(|(category, _)| category),
        size,
        rated_volts,
        led: tokens.iter().any(|token| token.text == "LED"),
        colour,
        gauge,
        length_m: quantities.metres,
        zone: None,
        left_over,
    }
}

/// What the naming words are.
struct Recognised {
    name: String,
    found: Found,
    left_over: Vec<String>,
}

impl<'a> Parts<'a> {
    /// The piece at a place, unless it is used.
    fn at(&self, at: usize) -> Option<&Token<'a>> {
        self.tokens.get(at).filter(|_| !self.used[at])
    }

    fn word_at(&self, at: usize) -> Option<&'a str> {
        self.at(at).and_then(Token::word)
    }

    fn take(&mut self, from: usize, count: usize) {
        self.used[from..(from + count).min(self.tokens.len())].fill(true);
    }

    /// A lamp's category, with its size by the catalogue.
    fn lamp(&mut self) -> Option<(&'static str, Size)> {
        let known = |text: &str| {
            let is = |category: &&str| category.eq_ignore_ascii_case(text);
            let mut lamps = items().iter().filter_map(|item| Some((item.lamp.as_deref()?, item.size)));
            lamps.find(|(category, _)| is(category))
        };
        for at in 0..self.tokens.len() {
            for count in [4, 1] {
                let Some(pieces) = self.tokens.get(at..at + count) else { continue };
                let together = pieces[1..].iter().all(|piece| piece.joined);
                let text: String = pieces.iter().map(|piece| piece.text).collect();
                if let Some(lamp) = known(&text).filter(|_| together) {
                    self.take(at, count);
                    return Some(lamp);
                }
            }
        }
        None
    }

    fn number_at(&self, at: usize) -> Option<f64> {
        self.at(at).and_then(Token::number)
    }

    /// What is left, as a name.
    fn recognised(&self) -> Recognised {
        let (mut words, mut name) = (Vec::<String>::new(), String::new());
        let mut is_number = Vec::new();
        for (at, token) in self.tokens.iter().enumerate().filter(|(at, _)| !self.used[*at]) {
            let before = at.checked_sub(1).and_then(|before| self.at(before));
            if token.kind == TokenKind::Mark {
                // Only those inside a word belong to it.
                let inside = token.joined && self.at(at + 1).is_some_and(|next| next.joined && next.word().is_some());
                if inside
                    && before.is_some_and(|before| before.word().is_some())
                    && matches!(token.text, "-" | "/" | ".")
                {
                    name.push_str(token.text);
                }
                continue;
            }
            // "4WD", "2nd".
            let goes_on = token.joined && before.is_some_and(|before| before.number().is_some());
            if let Some(last) = words.last_mut().filter(|_| goes_on) {
                last.push_str(token.text);
            } else {
                words.push(token.text.to_owned());
                is_number.push(token.number().is_some());
            }
            let after_mark = token.joined && before.is_some_and(|before| before.kind == TokenKind::Mark);
            if !(name.is_empty() || goes_on || (after_mark && name.ends_with(['-', '/', '.']))) {
                name.push(' ');
            }
            name.push_str(token.text);
        }
        if let Some(position) = self.position {
            words.push(position.to_owned());
            is_number.push(false);
        }
        let texts: Vec<&str> = words.iter().map(String::as_str).collect();
        let only_words: Vec<usize> = (0..texts.len()).filter(|at| !is_number[*at]).collect();
        let plain: Vec<&str> = only_words.iter().map(|at| texts[*at]).collect();
        let (mut found, mut helped) = recognise(&plain);
        // "LED" is a part of some names; of others it only says which lamp, and is kept as such: see `Entry::led`.
        if plain.contains(&"LED") && !matches!(found, Found::Exact(_)) {
            let others: Vec<&str> = plain.iter().copied().filter(|word| *word != "LED").collect();
            let (without, _) = recognise(&others);
            if matches!(without, Found::Exact(_)) {
                (found, helped) = (without, vec![true; plain.len()]);
            }
            helped.iter_mut().zip(&plain).for_each(|(helped, word)| *helped |= *word == "LED");
        }
        let mut understood = vec![false; texts.len()];
        only_words.iter().zip(helped).for_each(|(at, helped)| understood[*at] = helped);
        if plain.len() < texts.len() && !matches!(found, Found::Exact(_)) {
            let (with_numbers, helped) = recognise(&texts);
            let better = matches!(with_numbers, Found::Exact(_)) || with_numbers.kind() == found.kind();
            if better && with_numbers.kind().is_some() {
                (found, understood) = (with_numbers, helped);
            }
        }
        let kept = |at: &usize| !understood[*at] && (found.kind().is_some() || is_number[*at]);
        let left_over = (0..texts.len()).filter(kept).map(|at| texts[at].to_owned()).collect();
        Recognised { name, found, left_over }
    }
}

/// Of equally likely kinds, the one with that lamp comes first.
fn by_lamp(found: Found, category: Option<&str>) -> Found {
    let Found::Likely(first, mut others) = found else { return found };
    let has = |kind: &Kind| kind.on(Side::Left).lamp.as_deref() == category;
    match others.iter().position(has).filter(|_| category.is_some() && !has(&first)) {
        Some(at) => {
            let better = std::mem::replace(&mut others[at], first);
            Found::Likely(better, others)
        }
        None => Found::Likely(first, others),
    }
}
