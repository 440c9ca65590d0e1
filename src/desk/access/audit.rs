//! What was done at the desk, and by whom? An entry for each, kept for good.

use chrono::{DateTime, TimeDelta, Utc};
use object_store::path::Path;
use serde::{Deserialize, Serialize};

use crate::desk::store::{Store, StoreError, now, random};
use crate::ids::IdMaker;

/// How many days are shown.
const DAYS: i64 = 30;
/// How many entries are shown.
const SHOWN: usize = 200;

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
    store.create_json(&Path::from(format!("{}/{id}.json", day(entry.at))), entry).await.map(drop)
}

/// The newest entries, the newest first.
pub async fn newest(store: &Store) -> Result<Vec<Entry>, StoreError> {
    let mut entries = Vec::new();
    for days in 0..DAYS {
        let mut paths = store.list(&Path::from(day(now() - TimeDelta::days(days)))).await?;
        paths.reverse();
        for path in paths {
            if entries.len() == SHOWN {
                return Ok(entries);
            }
            entries.extend(store.json::<Entry>(&path).await?);
        }
    }
    Ok(entries)
}

fn day(at: DateTime<Utc>) -> String {
    format!("audit/{}", at.format("%Y-%m-%d"))
}
