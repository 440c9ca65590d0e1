//! What does one piece of text say of a load: size, colour, wire, side, number, name?

use super::tokens::{Token, TokenKind};
use super::{Entry, Gauge, MOST_OF_ONE, Sides, Stated};
use crate::catalogue::recognise::{Found, recognise};
use crate::catalogue::{Kind, Size, items};
use crate::circuit::colour::WireColour;
use crate::circuit::file::Side;

/// Cross-sections that are made, mm² (the rows of the published wire tables). Only these are believed without a unit.
const MADE_MM2: [f64; 14] = [0.13, 0.22, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0];
/// Words about a wire that say nothing once its colour or size is known.
const FILLERS: [&str; 8] = ["wire", "wires", "cable", "colour", "color", "stripe", "tracer", "lead"];

/// Pieces of a text, each used once.
pub(super) struct Parts<'a> {
    tokens: &'a [Token<'a>],
    used: Vec<bool>,
    /// "front" or "rear", where that was written as one letter.
    position: Option<&'static str>,
}

/// A quantity with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Quantity {
    Size(Stated),
    Volts(f64),
    Gauge(Gauge),
    Metres(f64),
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

/// What was understood of all numbers with a unit.
#[derive(Default)]
struct Quantities {
    size: Option<Stated>,
    volts: Option<f64>,
    gauge: Option<Gauge>,
    metres: Option<f64>,
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

    fn quantities(&mut self) -> Quantities {
        let mut all = Quantities::default();
        let mut volts = None;
        for at in 0..self.tokens.len() {
            let Some((quantity, count)) = self.quantity(at) else { continue };
            // The first of its sort counts; another one stays as not understood.
            let news = match quantity {
                Quantity::Size(size) => all.size.is_none().then(|| all.size = Some(size)),
                Quantity::Gauge(gauge) => all.gauge.is_none().then(|| all.gauge = Some(gauge)),
                Quantity::Metres(metres) => all.metres.is_none().then(|| all.metres = Some(metres)),
                Quantity::Volts(value) => {
                    volts = volts.or(Some((value, at, count)));
                    None
                }
            };
            if news.is_some() {
                self.take(at, count);
            }
        }
        // A voltage belongs to a size; alone it is a part of a name, as in a 12 V socket.
        if let Some((value, at, count)) = volts.filter(|_| all.size.is_some()) {
            all.volts = Some(value);
            self.take(at, count);
        }
        all
    }

    /// A number with its unit at a place, and how many pieces that is.
    fn quantity(&self, at: usize) -> Option<(Quantity, usize)> {
        let here = self.at(at)?;
        if let (Some("awg"), Some(gauge)) = (here.word().map(str::to_lowercase).as_deref(), self.number_at(at + 1)) {
            return Some((Quantity::Gauge(awg(gauge)?), 2));
        }
        let number = here.number()?;
        // Of "21/5 W" nobody knows which filament is meant.
        let after_stroke = here.joined && at >= 2 && self.tokens[at - 1].is_mark('/');
        if after_stroke && self.tokens[at - 2].number().is_some() {
            return None;
        }
        let unit = self.at(at + 1).filter(|token| token.kind == TokenKind::Word)?;
        let size = |stated: fn(f64) -> Stated, value: f64, most: f64| {
            (value > 0.0 && value <= most).then(|| Quantity::Size(stated(value)))
        };
        let small = unit.lower();
        let quantity = match (unit.text, small.as_str()) {
            (_, "w" | "watt" | "watts") => size(Stated::Watts, number, 1e5),
            ("a", _) if !unit.joined => None,
            (_, "a" | "amp" | "amps" | "ampere" | "amperes") => size(Stated::Amps, number, 1e3),
            (_, "ma" | "milliamps") => size(Stated::Amps, number / 1e3, 1e3),
            ("r", _) => None,
            ("R", _) if !unit.joined => None,
            (_, "r" | "ω" | "ohm" | "ohms") => size(Stated::Ohms, number, 1e7),
            (_, "kω" | "kohm" | "kohms") => size(Stated::Ohms, number * 1e3, 1e7),
            (_, "v" | "volt" | "volts") => (number > 0.0 && number <= 100.0).then_some(Quantity::Volts(number)),
            (_, "mm²" | "mm2" | "sqmm" | "qmm") => area(number).map(Quantity::Gauge),
            (_, "mm") => {
                let squared =
                    self.at(at + 2).is_some_and(|mark| mark.is_mark('^')) && self.number_at(at + 3) == Some(2.0);
                if squared {
                    return Some((Quantity::Gauge(area(number)?), 4));
                }
                area(number).filter(|_| is_made(number)).map(Quantity::Gauge)
            }
            (_, "awg" | "ga" | "gauge") => awg(number).map(Quantity::Gauge),
            ("m", _) | (_, "metre" | "metres" | "meter" | "meters") => metres(number),
            (_, "cm") => metres(number / 100.0),
            _ => None,
        };
        Some((quantity?, 2))
    }

    fn number_at(&self, at: usize) -> Option<f64> {
        self.at(at).and_then(Token::number)
    }

    /// How many, and whether that was said as "both" or "pair". None: nothing was said.
    fn count(&mut self) -> Option<(Option<u32>, bool)> {
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

    /// The first colour of a wire.
    fn colour(&mut self) -> Option<WireColour> {
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

    /// A made cross-section without a unit beside the colour: "BK/YE 0.75".
    fn bare_area(&mut self) -> Option<Gauge> {
        let near_used = |at: usize| {
            let used = |at: usize| self.used.get(at).copied().unwrap_or(false) && self.tokens[at].word().is_some();
            (at > 0 && used(at - 1)) || used(at + 1)
        };
        let decimal = |token: &Token<'_>| token.text.contains(['.', ',']);
        let at = (0..self.tokens.len()).find(|at| {
            self.at(*at).is_some_and(|token| decimal(token) && token.number().is_some_and(is_made)) && near_used(*at)
        })?;
        self.take(at, 1);
        area(self.tokens[at].number()?)
    }

    fn fillers(&mut self) {
        for at in 0..self.tokens.len() {
            let filler = self.word_at(at).is_some_and(|word| FILLERS.contains(&word.to_lowercase().as_str()));
            self.used[at] |= filler;
        }
    }

    fn sides(&mut self, driver: Side) -> Sides {
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
    fn side_words(&self, driver: Side) -> Vec<String> {
        let fresh = Parts { tokens: self.tokens, used: vec![false; self.tokens.len()], position: None };
        let words = (0..self.tokens.len()).filter(|at| fresh.side(*at, driver).is_some());
        words.map(|at| self.tokens[at].text.to_owned()).collect()
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
        // Kept as such: see `Entry::led`.
        helped.iter_mut().zip(&plain).for_each(|(helped, word)| *helped |= *word == "LED");
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

/// A colour that is meant as one wherever it stands: a code in capitals, or a word.
fn speaks_for_itself(word: &str) -> bool {
    let capitals = word.chars().all(|letter| letter.is_ascii_uppercase());
    let is_code = || WireColour::from_code(word).is_some() || (word.len() == 4 && WireColour::parse(word).is_ok());
    if capitals && is_code() {
        return true;
    }
    word.chars().count() >= 3 && WireColour::parse(word).is_ok_and(|colour| matches!(colour, WireColour::Plain(_)))
}

fn is_made(area: f64) -> bool {
    MADE_MM2.iter().any(|made| (made - area).abs() < 1e-9)
}

fn area(number: f64) -> Option<Gauge> {
    (number > 0.0 && number <= 1e3).then_some(Gauge::AreaMm2(number))
}

fn awg(number: f64) -> Option<Gauge> {
    (0.0..=50.0).contains(&number).then_some(Gauge::Awg(number))
}

fn metres(number: f64) -> Option<Quantity> {
    (number > 0.0 && number <= 1e3).then_some(Quantity::Metres(number))
}
