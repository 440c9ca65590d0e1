//! What was done at the desk, and by whom? An entry for each, kept for good.

use std::num::NonZeroU32;

use chrono::{DateTime, TimeDelta, Utc};
use object_store::path::Path;
use serde::{Deserialize, Serialize};

use crate::desk::store::{Store, StoreError, now, random};
use crate::ids::IdMaker;

/// How many days are shown.
const DAYS: i64 = 30;
/// How many entries are shown of what was done, and of who was not let in.
const SHOWN: [usize; 2] = [200, 20];
/// How often in an hour it is written down that somebody was not let in: whoever tries all night fills no store.
pub const REFUSED_PER_HOUR: NonZeroU32 = NonZeroU32::new(100).unwrap();
/// How often of them for one address: who makes noise drowns nobody else.
pub const REFUSED_OF_ONE: NonZeroU32 = NonZeroU32::new(20).unwrap();

/// Two books, so that whoever tries passwords does not push out of sight what was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Book {
    /// What was done.
    Done,
    /// Who was not let in.
    Refused,
}

/// Something that was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "done")]
pub enum Deed {
    /// The password was chosen.
    PasswordSet,
    /// Somebody signed in.
    SignedIn,
    /// Somebody gave a wrong password.
    WrongPassword,
    /// Somebody signed out.
    SignedOut,
    /// A code for a phone was shown.
    CodeShown,
    /// Somebody gave a code that is none.
    WrongCode,
    /// A phone was paired.
    Paired {
        /// Its name.
        phone: String,
    },
    /// A phone's right was taken.
    Revoked {
        /// Its name.
        phone: String,
    },
    /// The price table was changed.
    PricesSet,
}

impl Deed {
    /// Where it is written down.
    fn book(&self) -> Book {
        match self {
            Self::WrongPassword | Self::WrongCode => Book::Refused,
            Self::PasswordSet
            | Self::SignedIn
            | Self::SignedOut
            | Self::CodeShown
            | Self::Paired { .. }
            | Self::Revoked { .. }
            | Self::PricesSet => Book::Done,
        }
    }

    /// For people.
    pub fn words(&self) -> String {
        match self {
            Self::PasswordSet => "The password was chosen".to_owned(),
            Self::SignedIn => "Signed in".to_owned(),
            Self::WrongPassword => "A wrong password was given".to_owned(),
            Self::SignedOut => "Signed out".to_owned(),
            Self::CodeShown => "A code for a phone was shown".to_owned(),
            Self::WrongCode => "A code that is not good was given".to_owned(),
            Self::Paired { phone } => format!("Paired: {phone}"),
            Self::Revoked { phone } => format!("Shut out: {phone}"),
            Self::PricesSet => "The price table was changed".to_owned(),
        }
    }
}

/// An entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// When, by the desk's clock.
    pub at: DateTime<Utc>,
    /// From which address, as far as the desk could see.
    pub from: String,
    /// What.
    #[serde(flatten)]
    pub deed: Deed,
}

/// Keeps an entry. One that cannot be kept is told to the terminal: what was done is done.
pub async fn note(store: &Store, from: &str, deed: Deed) {
    let entry = Entry { at: now(), from: from.to_owned(), deed };
    if let Err(error) = keep(store, &entry).await {
        eprintln!("desk: {} (from {from}) could not be written down: {error}", entry.deed.words());
    }
}

async fn keep(store: &Store, entry: &Entry) -> Result<(), StoreError> {
    let id = IdMaker::default().make(entry.at, random()?);
    store.create_json(&Path::from(format!("{}/{id}.json", day(entry.deed.book(), entry.at))), entry).await.map(drop)
}

/// The newest entries of a book, the newest first; and how many there are of the days that are looked at.
///
/// # Errors
/// [`StoreError`].
pub async fn newest(store: &Store, book: Book) -> Result<(Vec<Entry>, usize), StoreError> {
    let (mut entries, mut all) = (Vec::new(), 0);
    for days in 0..DAYS {
        let paths = store.list(&Path::from(day(book, now() - TimeDelta::days(days)))).await?;
        all += paths.len();
        for path in paths.into_iter().rev().take(SHOWN[book as usize] - entries.len()) {
            entries.extend(store.json::<Entry>(&path).await?);
        }
    }
    Ok((entries, all))
}

fn day(book: Book, at: DateTime<Utc>) -> String {
    let day = at.format("%Y-%m-%d");
    match book {
        Book::Done => format!("audit/{day}"),
        Book::Refused => format!("audit/refused/{day}"),
    }
}
