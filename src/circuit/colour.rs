//! Which colour of wire is meant? IEC 60757 letter codes, and the ways in which people write them.

use std::fmt;

/// A colour with a code in IEC 60757.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Colour {
    /// BK.
    Black,
    /// BN.
    Brown,
    /// RD.
    Red,
    /// OG.
    Orange,
    /// YE.
    Yellow,
    /// GN.
    Green,
    /// BU.
    Blue,
    /// VT.
    Violet,
    /// GY.
    Grey,
    /// WH.
    White,
    /// PK.
    Pink,
    /// GD.
    Gold,
    /// TQ.
    Turquoise,
    /// SR.
    Silver,
}

/// A colour's code, its word, and what else people write for it.
struct Row {
    colour: Colour,
    code: &'static str,
    word: &'static str,
    /// Lower case. US letter codes and DIN 47100 letters (from memory), English, German and Spanish words.
    also: &'static [&'static str],
}

const fn row(colour: Colour, code: &'static str, word: &'static str, also: &'static [&'static str]) -> Row {
    Row { colour, code, word, also }
}

/// IEC 60757:1983 letter codes, in the standard's order.
const ROWS: [Row; 14] = [
    row(Colour::Black, "BK", "black", &["blk", "blck", "sw", "schwarz", "negro", "negra"]),
    row(Colour::Brown, "BN", "brown", &["brn", "br", "braun", "marron", "marrón"]),
    row(Colour::Red, "RD", "red", &["rt", "rot", "rojo", "roja"]),
    row(Colour::Orange, "OG", "orange", &["org", "orn", "or", "naranja"]),
    row(Colour::Yellow, "YE", "yellow", &["yel", "ylw", "yl", "ge", "gelb", "amarillo"]),
    row(Colour::Green, "GN", "green", &["grn", "grün", "gruen", "verde"]),
    row(Colour::Blue, "BU", "blue", &["blu", "blau", "azul"]),
    row(
        Colour::Violet,
        "VT",
        "violet",
        &["vio", "vi", "purple", "ppl", "pur", "li", "lila", "violett", "violeta", "morado"],
    ),
    row(Colour::Grey, "GY", "grey", &["gray", "gry", "grau", "gris"]),
    row(Colour::White, "WH", "white", &["wht", "ws", "weiß", "weiss", "blanco", "blanca"]),
    row(Colour::Pink, "PK", "pink", &["pnk", "rs", "rosa"]),
    row(Colour::Gold, "GD", "gold", &["dorado"]),
    row(Colour::Turquoise, "TQ", "turquoise", &["tk", "türkis", "tuerkis", "turquesa"]),
    row(Colour::Silver, "SR", "silver", &["slv", "silber", "plateado"]),
];

/// The standard's code for the protective conductor, the one combination written without a stroke.
const GREEN_AND_YELLOW: &str = "GNYE";

/// What people write with two meanings, and these.
const AMBIGUOUS: [(&str, &str); 2] = [("bl", "blue or black"), ("gr", "grey or green")];

/// Words that may stand between two colours.
const WITH: [&str; 7] = ["with", "and", "stripe", "tracer", "mit", "und", "con"];

impl Colour {
    /// All, in the standard's order.
    pub fn all() -> impl Iterator<Item = Self> {
        ROWS.iter().map(|row| row.colour)
    }

    /// The two-letter code.
    pub fn code(self) -> &'static str {
        ROWS[self as usize].code
    }

    /// The word.
    pub fn word(self) -> &'static str {
        ROWS[self as usize].word
    }

    /// The colour of a code exactly as the standard writes it.
    fn from_code(code: &str) -> Option<Self> {
        ROWS.iter().find(|row| row.code == code).map(|row| row.colour)
    }

    /// The colour that a word or code stands for, however it is written.
    fn from_word(word: &str) -> Result<Self, ColourError> {
        let lower = word.to_lowercase();
        let is = |row: &&Row| {
            row.word == lower || row.code.eq_ignore_ascii_case(&lower) || row.also.contains(&lower.as_str())
        };
        if let Some(row) = ROWS.iter().find(is) {
            return Ok(row.colour);
        }
        match AMBIGUOUS.iter().find(|(letters, _)| *letters == lower) {
            Some((_, meanings)) => Err(ColourError::Ambiguous(word.to_owned(), meanings)),
            None => Err(ColourError::Unknown(word.to_owned())),
        }
    }
}

/// The colour of a wire's insulation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WireColour {
    /// One colour.
    Plain(Colour),
    /// A base with a stripe.
    Striped(Colour, Colour),
    /// Green and yellow as the protective conductor, `GNYE`.
    Protective,
}

/// Why some text names no colour of wire.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ColourError {
    /// Nothing was written.
    #[error("no colour is written: write one as in BK/YE or black/yellow")]
    Empty,
    /// A word is no colour.
    #[error("\"{0}\" is no colour of IEC 60757: write {list} or their words", list = code_list())]
    Unknown(String),
    /// Letters with two meanings.
    #[error("\"{0}\" may be {1}, by who wrote it: write the word out")]
    Ambiguous(String, &'static str),
    /// Base and stripe are the same.
    #[error("base and stripe are both {0}: write {0} once, or the stripe's own colour")]
    Same(&'static str),
    /// Three or more.
    #[error("{0} colours are written: a wire has a base and at most one stripe, as in BK/YE")]
    TooMany(usize),
}

/// The codes, in the standard's order.
pub fn code_list() -> String {
    let codes: Vec<_> = ROWS.iter().map(|row| row.code).chain([GREEN_AND_YELLOW]).collect();
    format!("{}, {}", codes[..ROWS.len()].join(" "), GREEN_AND_YELLOW)
}

impl WireColour {
    /// The colour of a code exactly as it stands in files: `BK`, `BK/YE`, `GNYE`.
    pub fn from_code(code: &str) -> Option<Self> {
        if code == GREEN_AND_YELLOW {
            return Some(Self::Protective);
        }
        match code.split_once('/') {
            Some((base, stripe)) => Some(Self::Striped(Colour::from_code(base)?, Colour::from_code(stripe)?)),
            None => Colour::from_code(code).map(Self::Plain),
        }
    }

    /// The colour that someone means: `bk-ye`, `BK YE`, `black/yellow`, `brown with a white stripe`, `BKYE`.
    ///
    /// ```
    /// use loomwalk::circuit::colour::WireColour;
    /// assert_eq!(WireColour::parse("black/yellow").unwrap().to_string(), "BK/YE");
    /// ```
    ///
    /// # Errors
    ///
    /// Names what is no colour, or has two meanings.
    pub fn parse(text: &str) -> Result<Self, ColourError> {
        let trimmed = text.trim();
        if trimmed.eq_ignore_ascii_case(GREEN_AND_YELLOW) {
            return Ok(Self::Protective);
        }
        let words: Vec<&str> = trimmed
            .split(|letter: char| !letter.is_alphanumeric())
            .filter(|word| !word.is_empty() && *word != "a" && !WITH.contains(&word.to_lowercase().as_str()))
            .collect();
        match words.as_slice() {
            [] => Err(ColourError::Empty),
            [one] => match (Colour::from_word(one), one.split_at_checked(2)) {
                (Ok(colour), _) => Ok(Self::Plain(colour)),
                // BKYE: two codes run together.
                (Err(error), Some((base, stripe))) if one.len() == 4 => {
                    let code = |letters: &str| Colour::from_code(&letters.to_ascii_uppercase());
                    code(base).zip(code(stripe)).ok_or(error).and_then(|(base, stripe)| striped(base, stripe))
                }
                (Err(error), _) => Err(error),
            },
            [base, stripe] => striped(Colour::from_word(base)?, Colour::from_word(stripe)?),
            more => Err(ColourError::TooMany(more.len())),
        }
    }

    /// In words: `black with yellow`.
    pub fn words(self) -> String {
        match self {
            Self::Plain(colour) => colour.word().to_owned(),
            Self::Striped(base, stripe) => format!("{} with {}", base.word(), stripe.word()),
            Self::Protective => "green and yellow".to_owned(),
        }
    }
}

fn striped(base: Colour, stripe: Colour) -> Result<WireColour, ColourError> {
    if base == stripe { Err(ColourError::Same(base.word())) } else { Ok(WireColour::Striped(base, stripe)) }
}

/// The code as it stands in files: `BK/YE`.
impl fmt::Display for WireColour {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Plain(colour) => out.write_str(colour.code()),
            Self::Striped(base, stripe) => write!(out, "{}/{}", base.code(), stripe.code()),
            Self::Protective => out.write_str(GREEN_AND_YELLOW),
        }
    }
}

/// Whether a colour as someone writes it stands for one that the circuit states.
///
/// ```
/// use loomwalk::circuit::colour::same;
/// assert!(same("bk ye", "BK/YE") && same("black with yellow", "BK/YE"));
/// assert!(!same("bk", "BK/YE"));
/// ```
pub fn same(written: &str, known: &str) -> bool {
    let letters = |text: &str| text.chars().filter(char::is_ascii_alphabetic).collect::<String>().to_ascii_uppercase();
    match (WireColour::parse(written), WireColour::parse(known)) {
        (Ok(one), Ok(other)) => one == other || letters(&one.to_string()) == letters(&other.to_string()),
        _ => letters(written) == letters(known),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_stands_where_its_colour_looks_for_it() {
        assert!(Colour::all().eq(Colour::all().map(|colour| ROWS[colour as usize].colour)));
        assert_eq!(Colour::all().count(), 14);
    }

    #[test]
    fn no_way_of_writing_means_two_colours() {
        let mut seen = std::collections::BTreeSet::new();
        for row in &ROWS {
            let code = row.code.to_lowercase();
            for word in row.also.iter().copied().chain([row.word, code.as_str()]) {
                assert_eq!(word, word.to_lowercase());
                assert!(seen.insert(word.to_owned()), "{word}");
            }
        }
        assert!(AMBIGUOUS.iter().all(|(letters, _)| !seen.contains(*letters)));
    }
}
