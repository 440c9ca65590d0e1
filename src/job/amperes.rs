//! Is the current that was measured the one that the circuit should take?

use crate::circuit::harness::Harness;
use crate::circuit::meter::{Figure, draw};
use crate::ids::Condition;

/// What the fuse should carry, and with what switched on.
#[derive(Debug, Clone, PartialEq)]
pub struct Predicted {
    /// What is switched on. All that the circuit knows, unless a part of it was named.
    pub state: Vec<Condition>,
    /// Everything that the circuit knows is on.
    pub everything: bool,
    /// Through the fuse, A.
    pub amps: Figure,
}

/// Where a measured current lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lies {
    /// Below what the tolerances leave.
    Below,
    /// Within it.
    Within,
    /// Above it.
    Above,
}

impl Predicted {
    /// Where a measured current lies. As exact as it is shown: tenths of an ampere.
    pub fn lies(&self, amps: f64) -> Lies {
        let tenths = |amps: f64| (amps * 10.0).round();
        match tenths(amps) {
            read if read < tenths(self.amps.least) => Lies::Below,
            read if read > tenths(self.amps.most) => Lies::Above,
            _ => Lies::Within,
        }
    }

    /// In words: `8.2 A, 7.1 to 9.4 A, with everything on`.
    pub fn words(&self) -> String {
        let Figure { value, least, most } = self.amps;
        format!("{value:.1} A, {least:.1} to {most:.1} A, with {}", self.with())
    }

    fn with(&self) -> String {
        match self.state.as_slice() {
            [] => "nothing switched on".to_owned(),
            _ if self.everything => "everything on".to_owned(),
            some => some.iter().map(spoken).collect::<Vec<_>>().join(" and "),
        }
    }
}

fn spoken(condition: &Condition) -> String {
    condition.as_str().replace('_', " ")
}

/// What the fuse should carry with what a text names switched on: `2.1 A with key on`. Without what the fuse itself needs
/// to be live nothing was measured, so that is on whether it is named or not. Where a text names nothing that the circuit
/// knows, with everything on. `None`: it cannot be computed.
pub fn predicted(harness: &Harness, text: &str) -> Option<Predicted> {
    let all: Vec<Condition> = harness.conditions().into_iter().collect();
    let text = text.to_lowercase();
    let (mut state, mut named) = (all.clone(), false);
    state.retain(|condition| {
        let here = names(&text, &spoken(condition));
        named |= here;
        here || harness.source.live_when.contains(condition)
    });
    let everything = !named || state.len() == all.len();
    let state = if everything { all } else { state };
    let amps = draw(harness, &state).ok()?.fuse_a;
    Some(Predicted { state, everything, amps })
}

/// Whether a text names a condition in whole words.
fn names(text: &str, condition: &str) -> bool {
    text.match_indices(condition).any(|(at, found)| {
        let outside = |letter: Option<char>| letter.is_none_or(|letter| !letter.is_alphanumeric());
        outside(text[..at].chars().next_back()) && outside(text[at + found.len()..].chars().next())
    })
}

/// What a measured current means.
pub fn judged(amps: f64, predicted: &Predicted) -> String {
    let Figure { least, most, .. } = predicted.amps;
    let band = format!("{least:.1} to {most:.1} A computed with {}", predicted.with());
    match predicted.lies(amps) {
        Lies::Within => format!("{amps} A is within the {band}."),
        Lies::Below => format!(
            "{amps} A is below the {band}: something was not switched on, does not work, or is not there as listed."
        ),
        Lies::Above => format!(
            "{amps} A is above the {band}: something takes more than it should, or is not on the list. Find out what \
             before it goes back."
        ),
    }
}

/// The current in what someone wrote: `2.3 A`, `2,3`, `350 mA with key on`. A figure with another unit is none, nor is one
/// inside a name such as F23. The first that is one counts; a meter with its leads the other way round shows it below 0.
///
/// ```
/// use loomwalk::job::amperes::amperes_in;
/// assert_eq!(amperes_in("2,3"), Some(2.3));
/// assert_eq!(amperes_in("F23: 350 mA at 12.6 V"), Some(0.35));
/// assert_eq!(amperes_in("13 loads"), None);
/// ```
pub fn amperes_in(text: &str) -> Option<f64> {
    let mut plain = None;
    let mut words = text.split_whitespace().peekable();
    while let Some(word) = words.next() {
        let word = word.trim_matches(['(', ')', ';', ':', ',', '.', '~', '≈']);
        let end = word.find(|letter: char| !(letter.is_ascii_digit() || ['.', ',', '-', '+', '−'].contains(&letter)));
        let (figure, unit) = word.split_at(end.unwrap_or(word.len()));
        let (written, Some(figure)) = (figure, number(figure)) else { continue };
        let next = words.peek().copied().unwrap_or_default();
        let unit = if unit.is_empty() { next } else { unit };
        match unit.trim_matches(|letter: char| !letter.is_alphabetic()).to_lowercase().as_str() {
            "a" | "amp" | "amps" | "ampere" | "amperes" => return Some(figure),
            "ma" => return Some(thousands(written).unwrap_or(figure) / 1000.0),
            _ => {}
        }
        // A figure that stands alone needs no unit.
        plain = Some(figure).filter(|_| text.trim() == word);
    }
    plain
}

/// A number whose point or comma parts off the thousands, as in `2,300`: nobody reads thousandths of a milliampere.
fn thousands(text: &str) -> Option<f64> {
    let (before, behind) = text.split_once(['.', ','])?;
    let parts_off = behind.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0');
    parts_off.then(|| number(&format!("{before}{behind}"))).flatten()
}

/// A number as people write it, with a point or a comma.
fn number(text: &str) -> Option<f64> {
    let unsigned = text.trim_start_matches(['-', '+', '−']).replace(',', ".");
    if !unsigned.starts_with(|letter: char| letter.is_ascii_digit()) {
        return None;
    }
    unsigned.parse().ok().filter(|number: &f64| number.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_current_is_read_as_people_write_it() {
        for (text, amps) in [
            ("2.3 A", Some(2.3)),
            ("2,3", Some(2.3)),
            ("2.3", Some(2.3)),
            (" 2.3A ", Some(2.3)),
            ("-2.3 A", Some(2.3)),
            ("350mA", Some(0.35)),
            ("2,300 mA", Some(2.3)),
            ("2.300 mA", Some(2.3)),
            ("0.350 mA", Some(0.000_35)),
            ("12.5 mA", Some(0.0125)),
            ("about 2.1 amps with key on", Some(2.1)),
            ("2.1 A with key on and a door open, three lamps lit", Some(2.1)),
            ("15 A blade", Some(15.0)),
            ("F23, 15 A", Some(15.0)),
            ("12.6 V", None),
            ("1.234,5 A", None),
            ("20 min", None),
            ("F23", None),
            ("within limits", None),
            ("", None),
            (",", None),
            ("-", None),
        ] {
            assert_eq!(amperes_in(text), amps, "{text:?}");
        }
    }

    #[test]
    fn a_condition_is_named_in_whole_words() {
        assert!(names("2 a, key on", "key on") && names("key on", "key on"));
        assert!(!names("monkey on", "key on") && !names("key only", "key on"));
    }
}
