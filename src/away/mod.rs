//! What does the page leave to its worker? Questions that take long, or need code that a first start should not fetch.
//!
//! Text in, text out: the page writes a question ([`report_question`], [`list_question`]), sends it by
//! `device::worker::ask`, and the worker's own program answers it here. Nothing is kept between two questions, and
//! nothing here knows a browser, so the same answers can be had natively.
//!
//! - [`lesson`]: what a closed job teaches.
//! - [`entry`]: lists that someone else wrote.
//! - [`beside`]: what is to be said beside the walk.

pub mod beside;
pub mod entry;
pub mod lesson;

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::away::beside::Known;
use crate::away::entry::ListAsked;
use crate::away::lesson::Closed;
use crate::bundle::Leaving;
use crate::circuit::check;
use crate::ids::PhotoHash;
use crate::job::log::LogError;
use crate::job::methods;
use crate::report::prices::{self, PricesError};
use crate::report::{self, Kind, Lang, Wish};
use crate::shelf;

/// Something to be answered away from the page.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Ask {
    /// The hand-over page as HTML.
    Report {
        /// Addresses of the pictures that there are; of others the page says that they are missing.
        pictures: BTreeMap<PhotoHash, String>,
        /// The job.
        leaving: Box<Leaving<'static>>,
        /// The customer's sheet instead of the page for the file.
        #[serde(default)]
        customer: bool,
        /// In which language, by its tag.
        #[serde(default)]
        lang: String,
        /// A file of prices, for an estimate in it.
        #[serde(default)]
        prices: Option<String>,
    },
    /// What is in a circuit file, as `Result<CircuitFile, String>`: what is wrong with it, in words.
    CircuitFile(String),
    /// What is in a shelf file, as `Result<ShelfFile, String>`.
    ShelfFile(String),
    /// What is in a list, as [`entry::Understood`].
    List(ListAsked),
    /// What is to be said beside the walk, as [`beside::Beside`].
    Beside(Box<Known>),
    /// What is known once a closed job has taught it, as text, or null: it teaches nothing.
    Lesson(Box<Closed>),
    /// How soon this order finds the place, as [`beside::CourseTold`] or null.
    Course(Box<Known>),
    /// How such a place is repaired, as [`methods::Methods`].
    Methods {},
}

/// Why there is no answer.
#[derive(Debug, thiserror::Error)]
pub enum AwayError {
    /// Page and worker do not speak the same language.
    #[error("the page and its worker are of different versions ({0}); load the page again")]
    Unknown(#[from] serde_json::Error),
    /// A log that is none.
    #[error(transparent)]
    Log(#[from] LogError),
    /// Prices that cannot be used.
    #[error("the price list cannot be used: {0}")]
    Prices(#[from] PricesError),
}

/// Answers a question.
///
/// # Errors
/// [`AwayError::Unknown`] where it is none, [`AwayError::Log`] where a log contradicts itself, [`AwayError::Prices`] where a
/// price list is unsound.
pub fn answer(question: &str) -> Result<String, AwayError> {
    match serde_json::from_str(question)? {
        Ask::Report { pictures, leaving, customer, lang, prices } => {
            let prices = prices.map(|text| prices::read(text.as_bytes())).transpose()?;
            let kind = if customer { Kind::Customer } else { Kind::File };
            let wish = Wish { kind, prices: prices.as_ref(), lang: Lang::of(&lang) };
            Ok(report::html_for(&leaving.bundle()?, &|hash| pictures.get(hash).cloned(), &wish))
        }
        Ask::Beside(known) => Ok(serde_json::to_string(&beside::beside(&known))?),
        Ask::Lesson(closed) => Ok(serde_json::to_string(&lesson::learned(&closed))?),
        Ask::Course(known) => Ok(serde_json::to_string(&beside::course(&known))?),
        Ask::Methods {} => Ok(serde_json::to_string(methods::methods())?),
        Ask::CircuitFile(text) => {
            Ok(serde_json::to_string(&check::read(text.as_bytes()).map_err(|error| error.to_string()))?)
        }
        Ask::ShelfFile(text) => {
            let shelf = shelf::read::read(text.as_bytes()).map_err(|error| error.to_string());
            Ok(serde_json::to_string(&shelf.map(|shelf| shelf.file()))?)
        }
        Ask::List(asked) => Ok(serde_json::to_string(&entry::understand(&asked))?),
    }
}

/// Asks for the hand-over page of a job with the pictures at these addresses.
///
/// # Errors
/// None that a job can cause; serde's where it cannot be put into JSON.
pub fn report_question<'a>(
    leaving: &Leaving,
    pictures: impl IntoIterator<Item = (&'a PhotoHash, &'a str)>,
) -> serde_json::Result<String> {
    report_question_for(&serde_json::to_string(leaving)?, pictures, Kind::File, "", None)
}

/// The same for either page of a [`Leaving`] that is JSON already: the customer's in the language of that tag, and with an
/// estimate by the text of a file of prices where there is one.
///
/// # Errors
/// None that a job can cause; serde's where it cannot be put into JSON.
pub fn report_question_for<'a>(
    leaving: &str,
    pictures: impl IntoIterator<Item = (&'a PhotoHash, &'a str)>,
    kind: Kind,
    lang: &str,
    prices: Option<&str>,
) -> serde_json::Result<String> {
    let mut question = String::from(r#"{"report":{"pictures":{"#);
    for (at, (hash, address)) in pictures.into_iter().enumerate() {
        let comma = if at == 0 { "" } else { "," };
        question += &format!("{comma}\"{hash}\":{}", serde_json::to_string(address)?);
    }
    question += r#"},"leaving":"#;
    question += leaving;
    if kind == Kind::Customer {
        question += r#","customer":true,"lang":"#;
        question += &serde_json::to_string(lang)?;
    }
    if let Some(prices) = prices {
        question += r#","prices":"#;
        question += &serde_json::to_string(prices)?;
    }
    question += "}}";
    Ok(question)
}

/// Asks what is in a circuit file. The answer is a `Result<CircuitFile, String>`.
///
/// # Errors
/// None that a text can cause; serde's where it cannot be put into JSON.
pub fn circuit_file_question(text: &str) -> serde_json::Result<String> {
    Ok(format!(r#"{{"circuit_file":{}}}"#, serde_json::to_string(text)?))
}

/// Asks what is in a shelf file. The answer is a `Result<ShelfFile, String>`.
///
/// # Errors
/// None that a text can cause; serde's where it cannot be put into JSON.
pub fn shelf_file_question(text: &str) -> serde_json::Result<String> {
    Ok(format!(r#"{{"shelf_file":{}}}"#, serde_json::to_string(text)?))
}

/// Asks what is in a list. The answer is [`entry::Understood`].
///
/// # Errors
/// None that a list can cause; serde's where it cannot be put into JSON.
pub fn list_question(asked: &ListAsked) -> serde_json::Result<String> {
    Ok(format!(r#"{{"list":{}}}"#, serde_json::to_string(asked)?))
}

/// Asks what is to be said beside the walk. The answer is [`beside::Beside`].
///
/// # Errors
/// None that a circuit can cause; serde's where it cannot be put into JSON.
pub fn beside_question(known: &Known) -> serde_json::Result<String> {
    Ok(format!(r#"{{"beside":{}}}"#, serde_json::to_string(known)?))
}

/// Asks what a closed job teaches. The answer is the text of a file of lessons, or null.
///
/// # Errors
/// None that a circuit can cause; serde's where it cannot be put into JSON.
pub fn lesson_question(closed: &Closed) -> serde_json::Result<String> {
    Ok(format!(r#"{{"lesson":{}}}"#, serde_json::to_string(closed)?))
}

/// Asks how soon this order finds the place. The answer is [`beside::CourseTold`], or null where nothing is left to look
/// at.
///
/// # Errors
/// None that a circuit can cause; serde's where it cannot be put into JSON.
pub fn course_question(known: &Known) -> serde_json::Result<String> {
    Ok(format!(r#"{{"course":{}}}"#, serde_json::to_string(known)?))
}

/// Asks how such a place is repaired. The answer is [`methods::Methods`].
pub fn methods_question() -> String {
    r#"{"methods":{}}"#.to_owned()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod asked {
    use std::collections::BTreeSet;

    use super::*;
    use crate::bundle::{Bundle, file};
    use crate::circuit::file::CircuitFile;
    use crate::ids::EventId;
    use crate::shelf::file::ShelfFile;

    const PRACTICE: &str = include_str!("../../public/demo/van.loomwalk.json");

    fn leaving(bundle: &Bundle, only: Option<BTreeSet<EventId>>) -> Leaving<'_> {
        let Bundle { bundle_id, device_id, made_at, .. } = *bundle;
        Leaving { job: bundle.job.id, log: (&bundle.log).into(), only, bundle_id, device_id, made_at }
    }

    #[test]
    fn a_bundle_is_the_one_that_the_library_makes_of_all_events_or_of_some() {
        let bundle: Bundle = serde_json::from_str(PRACTICE).unwrap();
        let job = bundle.fold().unwrap();
        let made = |log: &[_]| file::make(&job, log, bundle.bundle_id, bundle.device_id, bundle.made_at);
        let answered = |only| leaving(&bundle, only).bundle().unwrap();
        assert_eq!(answered(None), made(&bundle.log));
        let last = &bundle.log[bundle.log.len() - 3..];
        assert_eq!(answered(Some(last.iter().map(|event| event.id).collect())), made(last));
    }

    #[test]
    fn the_report_is_the_one_that_the_desk_would_write() {
        let mut bundle: Bundle = serde_json::from_str(PRACTICE).unwrap();
        bundle.photos.iter_mut().for_each(|photo| photo.data = None);
        let shown = bundle.photos[0].photo.sha256.clone();
        let question = report_question(&leaving(&bundle, None), [(&shown, "blob:one")]).unwrap();
        let here = report::html(&bundle, &|hash| (*hash == shown).then(|| "blob:one".to_owned()));
        assert!(here.contains("blob:one"));
        assert_eq!(answer(&question).unwrap(), here);
    }

    #[test]
    fn the_customers_sheet_and_the_estimate_in_it_too() {
        let bundle: Bundle = serde_json::from_str(PRACTICE).unwrap();
        let list = include_str!("../../assets/demo/prices.json");
        let job = serde_json::to_string(&leaving(&bundle, None)).unwrap();
        let ask = |list| answer(&report_question_for(&job, [], Kind::Customer, "", Some(list)).unwrap());
        let prices = prices::read(list.as_bytes()).unwrap();
        let wish = Wish { kind: Kind::Customer, prices: Some(&prices), lang: Lang::En };
        assert_eq!(ask(list).unwrap(), report::html_for(&bundle, &|_| None, &wish));
        let refused = ask(r#"{"format":"loomwalk/prices","version":2}"#).unwrap_err().to_string();
        assert!(refused.starts_with("the price list cannot be used: /version: this is version 2"), "{refused}");
    }

    #[test]
    fn files_are_read_as_by_the_command_line() {
        let circuit = include_str!("../../assets/demo/van.circuit.json");
        let answered: Result<CircuitFile, String> =
            serde_json::from_str(&answer(&circuit_file_question(circuit).unwrap()).unwrap()).unwrap();
        assert_eq!(answered, Ok(check::read(circuit.as_bytes()).unwrap()));
        let refused = answer(&circuit_file_question("{}").unwrap()).unwrap();
        let refused: Result<CircuitFile, String> = serde_json::from_str(&refused).unwrap();
        assert_eq!(refused, Err(check::read(b"{}").unwrap_err().to_string()));
        let two = include_str!("../../tests/cases/shelves/two.shelf.json");
        let answered: Result<ShelfFile, String> =
            serde_json::from_str(&answer(&shelf_file_question(two).unwrap()).unwrap()).unwrap();
        assert_eq!(answered, Ok(shelf::read::read(two.as_bytes()).unwrap().file()));
        let refused = answer(&shelf_file_question("[]").unwrap()).unwrap();
        let refused: Result<ShelfFile, String> = serde_json::from_str(&refused).unwrap();
        assert_eq!(refused, Err(shelf::read::read(b"[]").unwrap_err().to_string()));
    }

    #[test]
    fn the_methods_of_repair_are_those_that_the_program_is_built_with() {
        let answered: methods::Methods = serde_json::from_str(&answer(&methods_question()).unwrap()).unwrap();
        assert_eq!(answered, *methods::methods());
    }

    #[test]
    fn what_is_no_question_is_told() {
        let why = answer(r#"{"weather":{}}"#).unwrap_err().to_string();
        assert!(
            why.starts_with("the page and its worker are of different versions (unknown variant `weather`"),
            "{why}"
        );
    }
}
