//! What is a terminal of that number? DIN 72552.

use std::sync::OnceLock;

use serde::Deserialize;

use crate::objects;

/// A terminal's designation.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Terminal {
    /// As the standard writes it: `31b`, `58L`.
    pub code: String,
    /// What is wired to it.
    pub means: String,
    /// What trips people up.
    #[serde(default)]
    pub trap: Option<String>,
}

/// The table as kept in `assets/values`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    source: String,
    rows: Vec<Terminal>,
}

fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    // Built into the program and read by the tests: no user can make it fail.
    #[allow(clippy::expect_used)]
    TABLE.get_or_init(|| {
        objects::from_str(include_str!(concat!(env!("OUT_DIR"), "/values/terminals.json")))
            .expect("the shipped terminals are sound")
    })
}

/// All designations that are known here.
pub fn all() -> &'static [Terminal] {
    &table().rows
}

/// Where the table comes from.
pub fn source() -> &'static str {
    &table().source
}

/// Words that people put before a designation.
const BEFORE: [&str; 8] = ["terminal", "term", "kl", "klemme", "pin", "t", "no", "borne"];

/// The terminal that someone means: `31b`, `Kl. 15`, `terminal 87A`, `58 l`.
///
/// `None`: not a designation of the table.
///
/// ```
/// use loomwalk::circuit::terminal;
/// assert_eq!(terminal::parse("Kl. 31 B").unwrap().code, "31b");
/// ```
pub fn parse(text: &str) -> Option<&'static Terminal> {
    let mut words: Vec<&str> =
        text.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    while words.len() > 1 && BEFORE.contains(&words[0].to_lowercase().as_str()) {
        words.remove(0);
    }
    let asked = words.concat();
    let found = |asked: &str| all().iter().find(|terminal| terminal.code.eq_ignore_ascii_case(asked));
    // "T30", "Kl15": written together.
    let together = || {
        let digits = asked.find(|letter: char| letter.is_ascii_digit()).filter(|at| *at > 0)?;
        let (word, rest) = asked.split_at(digits);
        BEFORE.contains(&word.to_lowercase().as_str()).then(|| found(rest))?
    };
    found(&asked).or_else(together)
}
