//! What does the shop charge? A file of prices: currency, labour, tax, parts. Checked as it is read.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fmt;

use rust_decimal::Decimal;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::bundle::read::{PART_VALUES_LIMIT, count_values};
use crate::job::told::{pointer, said};
use crate::objects::Objects;

/// The value of `format` in a file of prices.
pub const FORMAT: &str = "loomwalk/prices";
/// Its version.
pub const VERSION: u32 = 1;
/// The largest file of prices that is read, bytes.
pub const LIMIT: u64 = 8 * 1024 * 1024;

/// More than any price or rate of a workshop.
const MOST: Decimal = Decimal::from_parts(100_000_000, 0, 0, false, 0);
/// Finer than any price is given, in digits behind the point.
const FINEST: u32 = 6;
/// How many problems are told at once: more than that helps nobody.
const MOST_PROBLEMS: usize = 50;

/// What a shop charges.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Prices {
    /// Always `loomwalk/prices`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// ISO 4217: `EUR`, `USD`, `JPY` …
    #[schemars(regex(pattern = "^[A-Z]{3}$"))]
    pub currency: String,
    /// How many digits an amount has behind the point: 0, 2 or 3.
    #[serde(default = "two")]
    pub decimals: u32,
    /// What an hour costs.
    pub labour: Labour,
    /// The tax on all of it, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tax: Option<Tax>,
    /// All prices and the rate contain the tax already.
    #[serde(default)]
    pub prices_include_tax: bool,
    /// What materials cost.
    #[serde(default)]
    pub parts: Vec<Part>,
}

/// What labour costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Labour {
    /// For an hour.
    pub rate_per_hour: Amount,
    /// The minutes of each repair are charged in steps of so many, a begun one whole. 1: as they are.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 480))]
    pub step_minutes: u32,
}

/// A tax.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tax {
    /// What it is called on paper.
    pub name: String,
    /// Its rate, %.
    pub rate_percent: Amount,
}

/// What a material costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Part {
    /// The material. Capital and small letters are the same, and so are spaces around it.
    pub name: String,
    /// For one of which unit: `m`, `pc` …
    #[serde(default)]
    pub unit: String,
    /// The price.
    pub price: Amount,
}

fn two() -> u32 {
    2
}

fn one() -> u32 {
    1
}

/// An exact decimal number. In files a text, `"4.20"`, or a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Amount(pub Decimal);

impl fmt::Display for Amount {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(out)
    }
}

impl Amount {
    /// Exactly what a floating-point number is shown as. `None`: too large or too fine to be exact.
    pub fn of_number(number: f64) -> Option<Self> {
        Decimal::from_str_exact(&number.to_string()).ok().map(Self)
    }
}

impl Serialize for Amount {
    fn serialize<S: Serializer>(&self, out: S) -> Result<S::Ok, S::Error> {
        out.collect_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Amount {
    fn deserialize<D: Deserializer<'de>>(reader: D) -> Result<Self, D::Error> {
        reader.deserialize_any(Written)
    }
}

struct Written;

impl Visitor<'_> for Written {
    type Value = Amount;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("a decimal number such as \"4.20\"")
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Amount, E> {
        let plain = text.starts_with(|letter: char| letter.is_ascii_digit() || letter == '-');
        let number =
            Some(text).filter(|text| plain && text.len() <= 40).and_then(|text| Decimal::from_str_exact(text).ok());
        number.map(Amount).ok_or_else(|| {
            let shown: String = text.chars().take(40).collect();
            E::custom(format!("{shown:?} is no decimal number; write it with a point, as \"4.20\""))
        })
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Amount, E> {
        Amount::of_number(number).ok_or_else(|| E::custom(format!("{number} is no amount; write it as \"4.20\"")))
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<Amount, E> {
        Ok(Amount(number.into()))
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Amount, E> {
        Ok(Amount(number.into()))
    }
}

impl JsonSchema for Amount {
    fn schema_name() -> Cow<'static, str> {
        "Amount".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "An exact decimal number: a text, or a number.",
            "anyOf": [{ "type": "string", "pattern": "^-?[0-9]+(\\.[0-9]+)?$" }, { "type": "number" }]
        })
    }
}

/// Why prices cannot be used. Shown one problem a line, each with its JSON pointer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.join("\n"))]
pub struct PricesError(pub Vec<String>);

/// Reads a file of prices.
///
/// # Errors
/// All that is wrong with it, each as `pointer: what; what would be right`.
pub fn read(bytes: &[u8]) -> Result<Prices, PricesError> {
    let one = |problem: String| PricesError(vec![problem]);
    if bytes.len() as u64 > LIMIT || count_values(bytes) > PART_VALUES_LIMIT {
        return Err(one(format!(
            "the file: it has more than {LIMIT} bytes or {PART_VALUES_LIMIT} values, which is more than any {FORMAT} has"
        )));
    }
    // An editor may have put a byte order mark before it.
    let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let head: serde_json::Value = de::Deserialize::deserialize(&mut reader)
        .and_then(|head| reader.end().map(|()| head))
        .map_err(|error| one(format!("the file: it should be JSON, but {error}")))?;
    match head.get("format").and_then(|format| format.as_str()) {
        Some(FORMAT) => {}
        found => {
            let found: String = found.unwrap_or("nothing").chars().take(60).collect();
            return Err(one(format!("/format: {found} stands here; a file of prices has {FORMAT:?}")));
        }
    }
    match head.get("version").and_then(serde_json::Value::as_u64) {
        Some(version) if version == u64::from(VERSION) => {}
        Some(newer) if newer > u64::from(VERSION) => {
            return Err(one(format!(
                "/version: this is version {newer} of {FORMAT} and this program reads up to version {VERSION}: update the program"
            )));
        }
        _ => return Err(one(format!("/version: it should be the whole number {VERSION}"))),
    }
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let prices: Prices = serde_path_to_error::deserialize(Objects(&mut reader)).map_err(|error| {
        let place = pointer(error.path());
        let told = said(error.inner());
        match told.strip_prefix("missing field `").and_then(|field| field.strip_suffix('`')) {
            Some(field) => one(format!("{place}/{field}: it is missing; a file of prices needs it")),
            None if place.is_empty() => one(format!("the file: {told}")),
            None => one(format!("{place}: {told}")),
        }
    })?;
    let mut problems = prices.problems();
    let more = problems.len().saturating_sub(MOST_PROBLEMS);
    problems.truncate(MOST_PROBLEMS);
    if more > 0 {
        problems.push(format!("and {more} more"));
    }
    if problems.is_empty() { Ok(prices) } else { Err(PricesError(problems)) }
}

impl Prices {
    /// All that is wrong with them.
    fn problems(&self) -> Vec<String> {
        let mut problems = Vec::new();
        let code = self.currency.as_str();
        if !(code.len() == 3 && code.bytes().all(|letter| letter.is_ascii_uppercase())) {
            let shown: String = code.chars().take(20).collect();
            problems.push(format!(
                "/currency: it is {shown:?}; write the three capital letters of ISO 4217, such as \"EUR\""
            ));
        }
        if ![0, 2, 3].contains(&self.decimals) {
            problems
                .push(format!("/decimals: it is {}; a currency has 0, 2 or 3 digits behind the point", self.decimals));
        }
        let Labour { rate_per_hour, step_minutes } = &self.labour;
        problems.extend(unsound("/labour/rate_per_hour", *rate_per_hour, MOST));
        if !(1..=480).contains(step_minutes) {
            problems.push(format!(
                "/labour/step_minutes: it is {step_minutes}; write 1 to 480 minutes, 1 for the minutes as they are"
            ));
        }
        match &self.tax {
            Some(Tax { name, rate_percent }) => {
                if name.trim().is_empty() {
                    problems.push("/tax/name: it is empty; write what the tax is called on paper".to_owned());
                }
                problems.extend(unsound("/tax/rate_percent", *rate_percent, Decimal::ONE_HUNDRED));
            }
            None if self.prices_include_tax => problems.push(
                "/prices_include_tax: it is true and no tax is given; give its name and rate under \"tax\", or write false".to_owned(),
            ),
            None => {}
        }
        let mut known = BTreeSet::new();
        for (place, part) in self.parts.iter().enumerate() {
            if part.name.trim().is_empty() {
                problems.push(format!("/parts/{place}/name: it is empty; write the name that a repair lists it by"));
            } else if !known.insert((same(&part.name), same(&part.unit))) {
                problems.push(format!(
                    "/parts/{place}: {:?} with this unit stands here twice; keep one of them",
                    shown(&part.name)
                ));
            }
            problems.extend(unsound(&format!("/parts/{place}/price"), part.price, MOST));
        }
        problems
    }

    /// The part that a material is, or why there is none.
    pub(super) fn part(&self, name: &str, unit: &str) -> Result<&Part, String> {
        let (name, unit) = (same(name), same(unit));
        let mut named = self.parts.iter().filter(|part| same(&part.name) == name).peekable();
        let Some(first) = named.peek().map(|part| part.unit.trim().to_owned()) else {
            return Err("not on the price list".to_owned());
        };
        named.find(|part| same(&part.unit) == unit).ok_or_else(|| match first.as_str() {
            "" => "the price list has it without a unit".to_owned(),
            unit => format!("the price list has it by the {unit}"),
        })
    }
}

/// A name as it is compared.
fn same(name: &str) -> String {
    name.trim().to_lowercase()
}

fn shown(name: &str) -> String {
    name.chars().take(60).collect()
}

fn unsound(pointer: &str, amount: Amount, most: Decimal) -> Option<String> {
    let Amount(number) = amount;
    if number.is_sign_negative() && !number.is_zero() || number > most {
        return Some(format!("{pointer}: it is {number}; 0 to {most} is right"));
    }
    (number.normalize().scale() > FINEST)
        .then(|| format!("{pointer}: it is {number}; at most {FINEST} digits behind the point"))
}
