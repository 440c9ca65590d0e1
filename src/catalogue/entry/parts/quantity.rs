//! Which numbers with a unit stand in a text?

use super::super::tokens::{Token, TokenKind};
use super::super::{Gauge, Stated};
use super::Parts;

/// Cross-sections that are made, mm² (the rows of the published wire tables). Only these are believed without a unit.
const MADE_MM2: [f64; 14] = [0.13, 0.22, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0];

/// A quantity with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Quantity {
    Size(Stated),
    Volts(f64),
    Gauge(Gauge),
    Metres(f64),
}

/// What was understood of all numbers with a unit.
#[derive(Default)]
pub(super) struct Quantities {
    pub(super) size: Option<Stated>,
    pub(super) volts: Option<f64>,
    pub(super) gauge: Option<Gauge>,
    pub(super) metres: Option<f64>,
}

impl Parts<'_> {
    pub(super) fn quantities(&mut self) -> Quantities {
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

    /// A made cross-section without a unit beside the colour: "BK/YE 0.75".
    pub(super) fn bare_area(&mut self) -> Option<Gauge> {
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
