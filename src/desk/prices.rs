//! What does the shop charge? Its price table, kept beside the jobs and changed here; and what a job costs by it.

use std::fmt::Write as _;

use axum::Router;
use axum::extract::{Path as At, Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use maud::{Markup, html};
use object_store::path::Path;
use serde::Deserialize;
use serde_json::{Value, json};

use super::access::audit::{self, Deed};
use super::door::form_of;
use super::guard::{self, Gate};
use super::pages::{Here, Page, job_id, sheet};
use super::problem::Refusal;
use super::store::{Store, StoreError, now};
use crate::bundle::file;
use crate::job::Job;
use crate::report::prices::{self, Amount, Prices, PricesError};
use crate::report::{estimate_of, table};

/// The table, and a job's estimate as CSV.
pub(super) fn routes() -> Router<Gate> {
    Router::new()
        .route("/desk/prices", get(show).post(change))
        .route("/desk/prices.json", get(save))
        .route("/desk/jobs/{job}/estimate.csv", get(csv))
}

fn place() -> Path {
    Path::from("prices.json")
}

/// What a form of prices may have, in bytes: many hundred materials.
const FORM: u64 = 1 << 20;

/// The table that is kept, if there is one by which can be reckoned: a job is shown also where there is none. Why one cannot
/// be read, the page of prices says.
pub(super) async fn usable(store: &Store) -> Result<Option<Prices>, StoreError> {
    match kept(store).await {
        Err(StoreError::Damaged { .. }) => Ok(None),
        found => found,
    }
}

/// The table that is kept. `None`: there is none yet.
async fn kept(store: &Store) -> Result<Option<Prices>, StoreError> {
    let Some(body) = store.read(&place()).await? else { return Ok(None) };
    let damaged = |error: prices::PricesError| StoreError::Damaged { at: place().to_string(), why: error.to_string() };
    prices::read(&body).map(Some).map_err(damaged)
}

/// The table as it is written in the form.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct Written {
    currency: String,
    decimals: String,
    rate: String,
    step: String,
    tax: String,
    percent: String,
    inclusive: String,
    parts: String,
}

impl Written {
    fn of(prices: &Prices) -> Self {
        // As it is read again when the form is sent.
        let plain = |amount: &Amount| match amount.to_string() {
            text if prices.decimals != 3 && two_ways(&text).is_some() => text + "0",
            text => text,
        };
        let mut parts = String::new();
        for part in &prices.parts {
            // Text grows without failing.
            let _ = writeln!(parts, "{}; {}; {}", part.name, part.unit, plain(&part.price));
        }
        Self {
            currency: prices.currency.clone(),
            decimals: prices.decimals.to_string(),
            rate: plain(&prices.labour.rate_per_hour),
            step: prices.labour.step_minutes.to_string(),
            tax: prices.tax.as_ref().map(|tax| tax.name.clone()).unwrap_or_default(),
            percent: prices.tax.as_ref().map(|tax| tax.rate_percent.to_string()).unwrap_or_default(),
            inclusive: if prices.prices_include_tax { "on".to_owned() } else { String::new() },
            parts,
        }
    }

    /// The materials.
    fn lines(&self) -> impl Iterator<Item = &str> {
        self.parts.lines().filter(|line| !line.trim().is_empty())
    }

    /// Prices that the writer may mean in one way and [`Self::file`] takes in the other, a thousandth of it. With three
    /// digits behind the point they are what a price looks like.
    fn unclear(&self) -> Vec<String> {
        if self.decimals.trim() == "3" {
            return Vec::new();
        }
        let price = |line| str::rsplit(line, ';').next().unwrap_or_default();
        let parts = self.lines().enumerate().map(|(at, line)| (format!("/parts/{at}/price"), price(line)));
        let prices = std::iter::once(("/labour/rate_per_hour".to_owned(), self.rate.as_str())).chain(parts);
        let unclear = prices.filter_map(|(place, price)| {
            let (price, (whole, rest)) = (price.trim(), two_ways(price.trim())?);
            Some(format!(
                "{place}: \"{price}\" can be read in two ways; write \"{whole}{rest}\", without parting the thousands, or \
                 \"{whole}.{rest}0\" where it is a fraction"
            ))
        });
        unclear.collect()
    }

    /// As a file of prices. A decimal comma is as good as a point.
    fn file(&self) -> Value {
        let number = |text: &str| text.trim().replace(',', ".");
        let whole = |text: &str| text.trim().parse::<u64>().map_or_else(|_| json!(text.trim()), Value::from);
        let parts = self.lines().map(|line| {
            let mut fields = line.rsplitn(3, ';').map(str::trim);
            let (price, unit, name) = (fields.next(), fields.next(), fields.next());
            json!({ "name": name.unwrap_or_default(), "unit": unit.unwrap_or_default(), "price": number(price.unwrap_or_default()) })
        });
        let mut file = json!({
            "format": prices::FORMAT, "version": prices::VERSION,
            "currency": self.currency.trim(), "decimals": whole(&self.decimals),
            "labour": { "rate_per_hour": number(&self.rate), "step_minutes": whole(&self.step) },
            "prices_include_tax": !self.inclusive.is_empty(),
            "parts": parts.collect::<Vec<_>>(),
        });
        if !self.tax.trim().is_empty() || !self.percent.trim().is_empty() {
            file["tax"] = json!({ "name": self.tax.trim(), "rate_percent": number(&self.percent) });
        }
        file
    }
}

/// What stands before and behind the mark, where it may part thousands as well as begin a fraction: `12,000`, `12.000`.
fn two_ways(number: &str) -> Option<(&str, &str)> {
    let (whole, rest) = number.split_once([',', '.'])?;
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let thousands = (1..=3).contains(&whole.len()) && rest.len() == 3 && !whole.starts_with('0');
    (thousands && digits(whole) && digits(rest)).then_some((whole, rest))
}

async fn show(State(gate): State<Gate>) -> Result<Response, Page> {
    let first = || Written { decimals: "2".to_owned(), step: "6".to_owned(), ..Written::default() };
    let page = match kept(gate.desk.store()).await {
        Ok(kept) => page(&kept.as_ref().map_or_else(first, Written::of), kept.is_some(), None),
        Err(StoreError::Damaged { at, why }) => {
            let lost = format!(
                "{at} in the store was changed by something else: {why}. Save it as a file, below, and put it right there; \
                 or write the prices here, which replaces it. Until then there is no estimate."
            );
            page(&first(), true, Some(("The prices that are kept cannot be read", &[lost])))
        }
        Err(error) => return Err(Refusal::from(error).into()),
    };
    Ok(sheet("Prices", Some(Here::Prices), &page).into_response())
}

fn field(id: &str, label: &str, value: &str, hint: Option<&str>) -> Markup {
    html! {
        label for=(id) { (label) @if let Some(hint) = hint { " " span.hint { (hint) } } }
        input id=(id) name=(id) value=(value);
    }
}

fn page(written: &Written, kept: bool, wrong: Option<(&str, &[String])>) -> Markup {
    html! {
        h1 { "Prices" }
        p { "By these the minutes and materials that technicians note become an estimate. They stay with the shop: phones do not get them." }
        @if let Some((what, why)) = wrong {
            section.note role="alert" {
                h2 { (what) }
                ul { @for problem in why { li { (problem) } } }
            }
        }
        form.door method="post" action="/desk/prices" {
            (field("currency", "Currency", &written.currency, Some("three letters, as EUR or USD")))
            (field("decimals", "Digits behind the point", &written.decimals, None))
            (field("rate", "Labour for an hour", &written.rate, None))
            (field("step", "Charged in steps of so many minutes", &written.step, Some("a begun one whole")))
            (field("tax", "Tax is called", &written.tax, Some("empty where there is none")))
            (field("percent", "Tax, percent", &written.percent, None))
            label.check { input type="checkbox" name="inclusive" checked[!written.inclusive.is_empty()]; " All prices contain the tax already" }
            label for="parts" { "Materials, a line each: " code { "name; unit; price" } }
            textarea #parts name="parts" rows="14" { (written.parts) }
            button { "Keep these prices" }
        }
        @if kept { p { a href="/desk/prices.json" download="shop.prices.json" { "Save them as a file" } } }
    }
}

async fn change(State(gate): State<Gate>, request: Request) -> Result<Response, Page> {
    let from = guard::from_where(request.extensions());
    let written: Written = form_of(&gate, request, FORM).await?;
    let body = serde_json::to_vec_pretty(&written.file()).map_err(|error| Refusal::Unreadable(error.to_string()))?;
    let store = gate.desk.store();
    let unclear = written.unclear();
    let read = if unclear.is_empty() { prices::read(&body) } else { Err(PricesError(unclear)) };
    match read {
        Ok(prices) => {
            store.replace_json(&place(), &prices).await.map_err(Refusal::from)?;
            audit::note(store, &from.to_string(), Deed::PricesSet).await;
            Ok(Redirect::to("/desk/prices").into_response())
        }
        Err(error) => {
            let there = store.has(&place()).await.map_err(Refusal::from)?;
            let again = page(&written, there, Some(("Nothing was changed", &error.0)));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, sheet("Prices", Some(Here::Prices), &again)).into_response())
        }
    }
}

async fn save(State(gate): State<Gate>) -> Result<Response, Page> {
    let kept = gate.desk.store().read(&place()).await.map_err(Refusal::from)?;
    let Some(body) = kept else { return Ok(Redirect::to("/desk/prices").into_response()) };
    let headers = [
        (header::CONTENT_TYPE, "application/json"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"shop.prices.json\""),
    ];
    Ok((headers, body).into_response())
}

async fn csv(State(gate): State<Gate>, At(job): At<String>) -> Result<Response, Page> {
    let job = job_id(job)?;
    let desk = gate.desk;
    let shelf = desk.shelf(job).await?;
    let Some(prices) = usable(desk.store()).await.map_err(Refusal::from)? else {
        return Ok(Redirect::to("/desk/prices").into_response());
    };
    let folded = Job::fold(job, shelf.log());
    let id = shelf.newest().ok_or(Refusal::NoSuchJob(job))?;
    let bundle = file::make(&folded, shelf.log().events(), id, desk.store().device_id(), now());
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"estimate-{job}.csv\"")),
    ];
    Ok((headers, table::csv(&estimate_of(&bundle, &prices))).into_response())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn what_the_form_shows_of_kept_prices_can_be_sent_again() {
        for (decimals, rate) in [(2, "1.125"), (2, "84.50"), (0, "9000"), (3, "12.500")] {
            let file = json!({
                "format": prices::FORMAT, "version": prices::VERSION, "currency": "EUR", "decimals": decimals,
                "labour": { "rate_per_hour": rate }, "parts": [{ "name": "Conduit", "unit": "m", "price": rate }],
            });
            let kept = prices::read(file.to_string().as_bytes()).unwrap();
            let written = Written::of(&kept);
            assert!(written.unclear().is_empty(), "{written:?}");
            let again = prices::read(written.file().to_string().as_bytes()).unwrap();
            assert_eq!(again, kept);
        }
    }
}
