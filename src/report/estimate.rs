//! What does it cost? The repairs of a job by a shop's prices, in exact decimal numbers, every rounding stated.
//!
//! What was done and what is recommended are added up apart, each with its tax; the whole is the sum of both. A line
//! without a price stands as "to be priced", with the reason, and counts in no total.

use maud::{Markup, html};
use rust_decimal::{Decimal, RoundingStrategy};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::prices::{Amount, Prices, Tax};
use crate::ids::JobId;
use crate::job::act::Material;
use crate::job::methods::methods;
use crate::job::state::{Job, Repair};

/// The value of `format` in the output.
pub const FORMAT: &str = "loomwalk/estimate";
/// Its version.
pub const VERSION: u32 = 1;

/// What the repairs of a job cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Estimate {
    /// Always `loomwalk/estimate`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// Which job.
    pub job: JobId,
    /// ISO 4217.
    pub currency: String,
    /// Digits behind the point.
    pub decimals: u32,
    /// The tax, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tax: Option<Tax>,
    /// Prices and amounts contain it already.
    #[serde(default)]
    pub prices_include_tax: bool,
    /// Every line, in the order of the repairs, of each its labour first.
    pub lines: Vec<Line>,
    /// What was done.
    pub done: Sum,
    /// What is recommended and not done.
    pub recommended: Sum,
    /// Both together.
    pub both: Sum,
    /// How many lines are still to be priced, and are in no sum.
    pub to_be_priced: usize,
    /// How it was rounded and added up, in sentences.
    pub rules: Vec<String>,
}

/// A line of an estimate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Line {
    /// Labour or a material.
    pub kind: LineKind,
    /// Done, or only recommended.
    pub done: bool,
    /// The repair, in the words in which it was written down.
    pub repair: String,
    /// What is charged.
    pub item: String,
    /// How much of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub quantity: Option<Amount>,
    /// In which unit.
    pub unit: String,
    /// For one unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Amount>,
    /// Quantity times price, rounded. None: to be priced.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<Amount>,
    /// Why it is still to be priced, or how the quantity came about. May be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What a line is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LineKind {
    /// Time.
    Labour,
    /// Something used up.
    Material,
}

/// Lines added up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Sum {
    /// All lines.
    pub lines: Amount,
    /// Without the tax.
    pub net: Amount,
    /// The tax. 0 where there is none.
    pub tax: Amount,
    /// To pay.
    pub total: Amount,
}

/// What an amount is rounded to.
#[derive(Clone, Copy)]
struct Currency(u32);

impl Currency {
    /// Half away from zero; always with all its digits.
    fn round(self, number: Decimal) -> Amount {
        let mut rounded = number.round_dp_with_strategy(self.0, RoundingStrategy::MidpointAwayFromZero);
        rounded.rescale(self.0);
        Amount(rounded)
    }
}

impl Estimate {
    /// What the repairs of a job cost by these prices.
    pub fn of(job: &Job, prices: &Prices) -> Self {
        let currency = Currency(prices.decimals);
        let lines: Vec<Line> = job.repairs.iter().flat_map(|repair| lines_of(repair, prices, currency)).collect();
        let done = Sum::of(lines.iter().filter(|line| line.done), prices);
        let recommended = Sum::of(lines.iter().filter(|line| !line.done), prices);
        Self {
            format: FORMAT.to_owned(),
            version: VERSION,
            job: job.id,
            currency: prices.currency.clone(),
            decimals: prices.decimals,
            tax: prices.tax.clone(),
            prices_include_tax: prices.prices_include_tax,
            to_be_priced: lines.iter().filter(|line| line.amount.is_none()).count(),
            lines,
            both: done.and(recommended),
            done,
            recommended,
            rules: rules(prices),
        }
    }

    /// The lines that are still to be priced among those that were done, or that are recommended.
    pub fn unpriced(&self, done: bool) -> usize {
        self.lines.iter().filter(|line| line.done == done && line.amount.is_none()).count()
    }

    /// An amount with its currency: `57.30 EUR`.
    pub fn money(&self, amount: Amount) -> String {
        format!("{amount}\u{a0}{}", self.currency)
    }
}

impl Sum {
    fn of<'a>(lines: impl Iterator<Item = &'a Line>, prices: &Prices) -> Self {
        let currency = Currency(prices.decimals);
        // A line is below 10^15: no log has so many of them that their sum does not fit.
        let lines: Decimal = lines.filter_map(|line| Some(line.amount?.0)).sum();
        let rate = prices.tax.as_ref().map_or(Decimal::ZERO, |tax| tax.rate_percent.0);
        let tax = if prices.prices_include_tax {
            currency.round(lines * rate / (Decimal::ONE_HUNDRED + rate))
        } else {
            currency.round(lines * rate / Decimal::ONE_HUNDRED)
        };
        let (net, total) = if prices.prices_include_tax { (lines - tax.0, lines) } else { (lines, lines + tax.0) };
        Self { lines: currency.round(lines), net: currency.round(net), tax, total: currency.round(total) }
    }

    fn and(self, other: Self) -> Self {
        let add = |one: Amount, other: Amount| Amount(one.0 + other.0);
        Self {
            lines: add(self.lines, other.lines),
            net: add(self.net, other.net),
            tax: add(self.tax, other.tax),
            total: add(self.total, other.total),
        }
    }
}

fn lines_of(repair: &Repair, prices: &Prices, currency: Currency) -> Vec<Line> {
    let line = |kind, item: String| Line {
        kind,
        done: repair.done,
        repair: repair.what.clone(),
        item,
        quantity: None,
        unit: String::new(),
        price: None,
        amount: None,
        note: String::new(),
    };
    let mut labour = line(LineKind::Labour, "Labour".to_owned());
    labour.unit = "min".to_owned();
    labour.price = Some(prices.labour.rate_per_hour);
    match repair.minutes.map(|minutes| charged(minutes, prices.labour.step_minutes)) {
        Some(Some((minutes, note))) => {
            labour.quantity = Some(Amount(minutes.normalize()));
            labour.note = note;
            // Times the rate first: what is not divided yet is exact.
            labour.amount = minutes
                .checked_mul(prices.labour.rate_per_hour.0)
                .map(|product| currency.round(product / Decimal::from(60)));
        }
        Some(None) => labour.note = "the time is no number of minutes that can be charged".to_owned(),
        None => labour.note = "the time is not stated".to_owned(),
    }
    let materials = repair.materials.iter().map(|Material { name, quantity, unit }| {
        let mut material = line(LineKind::Material, name.trim().to_owned());
        material.unit = unit.trim().to_owned();
        match quantity_of(*quantity) {
            Some(quantity) => {
                material.quantity = Some(Amount(quantity.normalize()));
                match prices.part(name, unit) {
                    Ok(part) => {
                        material.price = Some(part.price);
                        material.amount = quantity.checked_mul(part.price.0).map(|product| currency.round(product));
                    }
                    Err(why) => material.note = why,
                }
            }
            None => material.note = "the quantity is none that can be charged".to_owned(),
        }
        material
    });
    std::iter::once(labour).chain(materials.collect::<Vec<_>>()).collect()
}

/// The most of anything that is charged: what another program wrote may be any number.
const MOST: Decimal = Decimal::from_parts(1_000_000, 0, 0, false, 0);

fn quantity_of(number: f64) -> Option<Decimal> {
    let Amount(number) = Amount::of_number(number)?;
    (!number.is_sign_negative() && number <= MOST).then_some(number)
}

/// The minutes that are charged, and how they came about where they are more than were worked.
fn charged(minutes: f64, step: u32) -> Option<(Decimal, String)> {
    let worked = quantity_of(minutes)?;
    if step <= 1 {
        return Some((worked, String::new()));
    }
    let step = Decimal::from(step);
    let charged = (worked / step).ceil() * step;
    let note = if charged > worked { format!("{} min worked", worked.normalize()) } else { String::new() };
    Some((charged, note))
}

/// How it was rounded and added up.
fn rules(prices: &Prices) -> Vec<String> {
    let mut rules = Vec::new();
    rules.push(match prices.labour.step_minutes {
        1 => "Labour: the minutes of each repair, as stated, times the rate for an hour.".to_owned(),
        step => format!(
            "Labour: the minutes of each repair in steps of {step} min, a begun one whole, times the rate for an hour."
        ),
    });
    let unit = Decimal::new(1, prices.decimals);
    rules.push(format!("Each line is rounded by itself to {unit} {}, half a unit away from zero.", prices.currency));
    rules.push(match (&prices.tax, prices.prices_include_tax) {
        (None, _) => "No tax is added.".to_owned(),
        (Some(tax), false) => format!(
            "{} of {} % is added to the sum of the lines, of what was done and of what is recommended each by itself, and \
             rounded in the same way.",
            tax.name, tax.rate_percent
        ),
        (Some(tax), true) => format!(
            "All prices contain {} of {} %. What is contained is taken out of the sum of the lines, of what was done and of \
             what is recommended each by itself, and rounded in the same way.",
            tax.name, tax.rate_percent
        ),
    });
    rules.push("What is to be priced is in no sum.".to_owned());
    rules
}

impl Estimate {
    /// The estimate as a section of the report.
    pub(super) fn section(&self) -> Markup {
        html! {
            section.estimate {
                h2 { "Estimate" }
                @if self.lines.is_empty() { p { em { "No repair is written down: there is nothing to price." } } }
                @for (title, done, sum) in [("Done", true, &self.done), ("Recommended and not done", false, &self.recommended)] {
                    @if self.lines.iter().any(|line| line.done == done) {
                        h3 { (title) }
                        (self.table(done))
                        (self.sum(sum))
                    }
                }
                @if self.lines.iter().any(|line| line.done) && self.lines.iter().any(|line| !line.done) {
                    p { "Both together: " strong { (self.money(self.both.total)) } "." }
                }
                @if self.to_be_priced > 0 {
                    p { strong { (super::words::count(self.to_be_priced, "line is", "lines are")) " to be priced and in no sum." } }
                }
                p.small { (self.rules.join(" ")) }
            }
        }
    }

    fn table(&self, done: bool) -> Markup {
        html! {
            table.money {
                thead { tr {
                    th scope="col" { "Item" } th scope="col" { "Quantity" } th scope="col" { "Price" } th scope="col" { "Amount" }
                } }
                tbody {
                    @for line in self.lines.iter().filter(|line| line.done == done) {
                        tr {
                            th scope="row" {
                                (line.item)
                                @if line.kind == LineKind::Labour { span.aside { ": " (repair(&line.repair)) } }
                                @if !line.note.is_empty() { span.when { (line.note) } }
                            }
                            td { @if let Some(quantity) = line.quantity { (quantity) " " (line.unit) } }
                            td { @if let Some(price) = line.price {
                                (price) @if line.kind == LineKind::Labour { " / h" } @else if !line.unit.is_empty() { " / " (line.unit) }
                            } }
                            td { @match line.amount { Some(amount) => (amount), None => strong { "to be priced" } } }
                        }
                    }
                }
            }
        }
    }

    fn sum(&self, sum: &Sum) -> Markup {
        html! {
            p.sum {
                @if let Some(Tax { name, .. }) = &self.tax {
                    "Without " (name) ": " (self.money(sum.net)) ". " (name) ": " (self.money(sum.tax)) ". "
                }
                "Total: " strong { (self.money(sum.total)) } "."
            }
        }
    }
}

/// What a repair is called: a method's name is ours, all else somebody wrote.
fn repair(what: &str) -> Markup {
    if methods().methods.iter().any(|method| method.name == what) {
        html! { (what) }
    } else {
        super::own(what)
    }
}
