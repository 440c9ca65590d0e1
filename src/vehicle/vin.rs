//! Is this a vehicle identification number, and what does it say of the vehicle?
//!
//! The form is ISO 3779's: 17 of the letters without I, O and Q, and the digits. Region of the maker: ISO 3780, from
//! memory. Check digit and model year: 49 CFR 565.15. Nothing here forbids a number: it says what looks wrong, by
//! position, and the vehicle is looked at all the same.

use std::fmt;

/// How many characters a VIN has.
const LENGTH: usize = 17;
/// The position of the check digit, counted from 1.
const CHECK_POSITION: usize = 9;
/// The position of the model year.
const YEAR_POSITION: usize = 10;
/// The position that tells the two cycles of model years apart.
const CYCLE_POSITION: usize = 7;
/// Weights by position, 49 CFR 565.15(c).
const WEIGHTS: [u32; LENGTH] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
/// Codes of model years, from 1980 and again from 2010, 49 CFR 565.15(d).
const YEARS: &str = "ABCDEFGHJKLMNPRSTVWXY123456789";
const FIRST_YEAR: u16 = 1980;
const CYCLE: u16 = 30;

/// What was typed, and what is to be said of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// Upper case, without spaces and dashes: what to keep.
    pub written: String,
    /// What looks wrong, in order of position. Never a reason not to go on.
    pub problems: Vec<Problem>,
    /// What it says, if its form is right.
    pub facts: Option<Facts>,
}

/// What looks wrong with a VIN.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Problem {
    /// Too few or too many characters.
    #[error("it has {0} characters and a VIN has 17: {words}", words = length_words(*.0))]
    Length(usize),
    /// A letter that no VIN has, because it looks like a digit.
    #[error("position {position} is the letter {letter}, which a VIN never has: probably the digit {digit}")]
    LooksLike {
        /// From 1.
        position: usize,
        /// I, O or Q.
        letter: char,
        /// 1 or 0.
        digit: char,
    },
    /// Something that is neither a letter from A to Z nor a digit.
    #[error("position {position} is {character:?}, and a VIN has only letters from A to Z and digits: read it again")]
    NotInAVin {
        /// From 1.
        position: usize,
        /// As typed.
        character: char,
    },
    /// The check digit is not what the rest gives.
    #[error(
        "position 9 is {found}, and the other sixteen characters ask for {expected}: at least one was misread; \
         compare it with the plate or the registration paper"
    )]
    CheckDigit {
        /// As typed.
        found: char,
        /// As computed.
        expected: char,
    },
}

fn length_words(count: usize) -> String {
    match LENGTH.checked_sub(count) {
        Some(missing) => format!("{missing} missing (vehicles from before 1981 may have a shorter one)"),
        None => format!("{} too many", count - LENGTH),
    }
}

/// What a VIN of the right form says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facts {
    /// Where the maker is registered.
    pub region: Region,
    /// What position 9 is worth.
    pub check: CheckDigit,
    /// What position 10 says.
    pub model_year: ModelYear,
}

/// Regions of ISO 3780.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Region {
    /// A to G.
    Africa,
    /// H to R; H is newly in use.
    Asia,
    /// S to Z.
    Europe,
    /// 1 to 5, and 7F to 70.
    NorthAmerica,
    /// 6, and 7A to 7E.
    Oceania,
    /// 8, 9 and 0.
    SouthAmerica,
}

impl Region {
    /// The region of a maker by the first two characters, which are letters or digits.
    fn of(first: char, second: char) -> Self {
        match (first, second) {
            ('A'..='G', _) => Self::Africa,
            ('H'..='R', _) => Self::Asia,
            ('S'..='Z', _) => Self::Europe,
            ('6', _) | ('7', 'A'..='E') => Self::Oceania,
            ('1'..='5' | '7', _) => Self::NorthAmerica,
            _ => Self::SouthAmerica,
        }
    }
}

impl fmt::Display for Region {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Africa => "Africa",
            Self::Asia => "Asia",
            Self::Europe => "Europe",
            Self::NorthAmerica => "North America",
            Self::Oceania => "Oceania",
            Self::SouthAmerica => "South America",
        })
    }
}

/// What the ninth position is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckDigit {
    /// It fits the rest.
    Fits,
    /// It does not: see [`Problem::CheckDigit`].
    Differs,
    /// This maker's region asks for none.
    NotAskedFor,
}

impl fmt::Display for CheckDigit {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Fits => "the check digit fits",
            Self::Differs => "the check digit does not fit",
            Self::NotAskedFor => "no check digit to verify here",
        })
    }
}

/// What the tenth position says of the model year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ModelYear {
    /// A North American number: `car` if it is a passenger car, multipurpose vehicle or light truck, which the seventh
    /// position tells from those thirty years apart; heavier vehicles may also be of `other`.
    Tells {
        /// By the seventh position.
        car: u16,
        /// Thirty years from it.
        other: u16,
    },
    /// Elsewhere a maker may write a model year there, and the seventh position says nothing.
    Perhaps {
        /// 1980 to 2009.
        earlier: u16,
        /// 2010 to 2039.
        later: u16,
    },
    /// No code for a year: U, Z or 0.
    None,
}

impl fmt::Display for ModelYear {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Tells { car, other } => {
                write!(out, "model year {car} for a car or light truck; a heavier vehicle may be {other}")
            }
            Self::Perhaps { earlier, later } => {
                write!(out, "if the maker writes a model year, {earlier} or {later}")
            }
            Self::None => out.write_str("no model year in it"),
        }
    }
}

/// Reads a VIN as people type or scan it: lower case, spaces and dashes do not matter.
///
/// ```
/// use loomwalk::vehicle::vin;
/// let read = vin::read("1j9rp1a3-6a16 44345");
/// assert_eq!(read.written, "1J9RP1A36A1644345");
/// assert!(read.problems.is_empty());
/// ```
pub fn read(typed: &str) -> Reading {
    let between = |letter: &char| letter.is_whitespace() || matches!(letter, '-' | '‐' | '‑' | '–' | '—' | '*' | '.');
    let letters: Vec<char> =
        typed.chars().filter(|letter| !between(letter)).map(|letter| letter.to_ascii_uppercase()).collect();
    let written: String = letters.iter().collect();
    let mut problems: Vec<Problem> =
        letters.iter().enumerate().filter_map(|(at, letter)| wrong_character(at + 1, *letter)).collect();
    if letters.len() != LENGTH && !letters.is_empty() {
        // Of an overlong text, what stands behind a VIN's length says nothing more.
        problems.truncate(LENGTH);
        problems.insert(0, Problem::Length(letters.len()));
    }
    let form = <&[char; LENGTH]>::try_from(letters.as_slice()).ok().filter(|_| problems.is_empty());
    let facts = form.map(|letters| {
        let region = Region::of(letters[0], letters[1]);
        let check = match (region, letters[CHECK_POSITION - 1], check_digit(letters)) {
            (Region::NorthAmerica, found, expected) if found == expected => CheckDigit::Fits,
            (Region::NorthAmerica, found, expected) => {
                problems.push(Problem::CheckDigit { found, expected });
                CheckDigit::Differs
            }
            _ => CheckDigit::NotAskedFor,
        };
        Facts { region, check, model_year: model_year(letters, region) }
    });
    Reading { written, problems, facts }
}

/// The VIN among what codes in a picture say, if one is there. A code may bear other things beside it, and the I that bar
/// codes of vehicles begin with.
pub fn among(codes: &[String]) -> Option<Reading> {
    let pieces = codes.iter().flat_map(|code| code.split(|letter: char| !letter.is_ascii_alphanumeric()));
    let whole = pieces.filter_map(|piece| match piece.len() {
        LENGTH => Some(piece),
        length if length == LENGTH + 1 => piece.strip_prefix('I'),
        _ => None,
    });
    let readings: Vec<Reading> = whole.map(read).filter(|reading| reading.facts.is_some()).collect();
    readings.iter().find(|reading| reading.problems.is_empty()).or(readings.first()).cloned()
}

fn wrong_character(position: usize, letter: char) -> Option<Problem> {
    match letter {
        'I' => Some(Problem::LooksLike { position, letter, digit: '1' }),
        'O' | 'Q' => Some(Problem::LooksLike { position, letter, digit: '0' }),
        'A'..='Z' | '0'..='9' => None,
        character => Some(Problem::NotInAVin { position, character }),
    }
}

/// The number that stands for a character, 49 CFR 565.15(c): A–H 1–8, J–N 1–5, P 7, R 9, S–Z 2–9.
fn number(letter: char) -> u32 {
    let from = |first: char, number: u32| u32::from(letter) - u32::from(first) + number;
    match letter {
        '0'..='9' => from('0', 0),
        'A'..='H' => from('A', 1),
        'J'..='R' => from('J', 1),
        'S'..='Z' => from('S', 2),
        _ => 0,
    }
}

fn check_digit(letters: &[char; LENGTH]) -> char {
    let sum: u32 = letters.iter().zip(WEIGHTS).map(|(letter, weight)| number(*letter) * weight).sum();
    char::from_digit(sum % 11, 10).unwrap_or('X')
}

fn model_year(letters: &[char; LENGTH], region: Region) -> ModelYear {
    let code = YEARS.chars().zip(FIRST_YEAR..).find(|(code, _)| *code == letters[YEAR_POSITION - 1]);
    let Some((_, earlier)) = code else { return ModelYear::None };
    let later = earlier + CYCLE;
    match (region, letters[CYCLE_POSITION - 1].is_ascii_digit()) {
        (Region::NorthAmerica, true) => ModelYear::Tells { car: earlier, other: later },
        (Region::NorthAmerica, false) => ModelYear::Tells { car: later, other: earlier },
        _ => ModelYear::Perhaps { earlier, later },
    }
}
