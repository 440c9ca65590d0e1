//! How is a write done as a whole or not at all, and what does a browser's refusal mean?

use js_sys::Array;
use rexie::{KeyRange, Rexie, Transaction, TransactionMode};
use wasm_bindgen::JsValue;
use web_sys::IdbTransaction;

use super::super::{StoreError, strict};
use crate::ids::JobId;

/// A connection that is closed when it is dropped. One left open would keep a newer version of the program from opening
/// the database for ever.
pub(super) struct Connection(Option<Rexie>);

impl Connection {
    pub fn new(database: Rexie) -> Self {
        Self(Some(database))
    }

    /// Opens a transaction, or says why not, in the browser's words.
    pub fn begin(&self, stores: &[&str], mode: TransactionMode) -> Result<Open, String> {
        let database = self.0.as_ref().ok_or("the connection is closed")?;
        let transaction = database.transaction(stores, mode).map_err(|error| reason(&error))?;
        let handle = strict::take_opened().ok_or("the transaction was opened past us")?;
        Ok(Open { transaction, handle })
    }
}

impl Drop for Connection {
    fn drop(&mut self) {
        if let Some(database) = self.0.take() {
            database.close();
        }
    }
}

/// An open transaction: rexie's, and the browser's own, which alone knows why it was aborted.
pub(super) struct Open {
    transaction: Transaction,
    handle: IdbTransaction,
}

impl Open {
    /// How durably it is written.
    pub fn durability(&self) -> Option<String> {
        strict::durability(&self.handle)
    }

    pub fn store(&self, name: &str) -> Result<rexie::Store, StoreError> {
        self.transaction.store(name).map_err(|error| refused(&reason(&error)))
    }

    pub async fn get(&self, store: &str, key: &JsValue) -> Result<Option<JsValue>, StoreError> {
        self.store(store)?.get(key.clone()).await.map_err(|error| refused(&reason(&error)))
    }

    pub async fn put(&self, store: &str, value: &JsValue, key: &JsValue) -> Result<(), StoreError> {
        self.store(store)?.put(value, Some(key)).await.map(drop).map_err(|error| refused(&reason(&error)))
    }

    pub async fn add_if_absent(&self, store: &str, value: &JsValue, key: &JsValue) -> Result<(), StoreError> {
        let there = self.store(store)?.key_exists(key.clone()).await.map_err(|error| refused(&reason(&error)))?;
        if there { Ok(()) } else { self.put(store, value, key).await }
    }

    pub async fn delete(&self, store: &str, key: &JsValue) -> Result<(), StoreError> {
        self.store(store)?.delete(key.clone()).await.map_err(|error| refused(&reason(&error)))
    }

    pub async fn clear(&self, store: &str) -> Result<(), StoreError> {
        self.store(store)?.clear().await.map_err(|error| failed(reason(&error)))
    }

    pub async fn delete_all(&self, store: &str, job: JobId) -> Result<(), StoreError> {
        let range = all_of(job).map_err(|error| refused(&reason(&error)))?;
        let keys = self.store(store)?.get_all_keys(Some(range), None).await;
        for key in keys.map_err(|error| refused(&reason(&error)))? {
            self.delete(store, &key).await?;
        }
        Ok(())
    }

    pub async fn all(&self, store: &str, job: Option<JobId>) -> Result<Vec<JsValue>, StoreError> {
        let range = job.map(all_of).transpose().map_err(|error| refused(&reason(&error)))?;
        self.store(store)?.get_all(range, None).await.map_err(|error| refused(&reason(&error)))
    }

    /// Commits, or aborts after an error. Only a transaction that was completed is a success.
    pub async fn finish<T>(self, worked: Result<T, StoreError>) -> Result<T, StoreError> {
        let Self { transaction, handle } = self;
        match worked {
            Err(error) => {
                // After a failed request it may be aborted already; then there is nothing left to abort.
                let _ = transaction.abort().await;
                Err(error)
            }
            Ok(value) => match transaction.commit().await {
                Ok(()) => Ok(value),
                Err(error) => {
                    let told = handle.error().map(|error| format!("{}: {}", error.name(), error.message()));
                    Err(refused(&told.unwrap_or_else(|| reason(&error))))
                }
            },
        }
    }
}

pub(super) fn failed(why: impl Into<String>) -> StoreError {
    StoreError::Failed { why: why.into() }
}

/// What a browser's refusal means.
pub(super) fn refused(why: &str) -> StoreError {
    if why.contains("QuotaExceededError") { StoreError::Full { detail: why.to_owned() } } else { failed(why) }
}

/// Whether a refusal says that the connection is gone and not that something is wrong with the request.
pub(super) fn connection_is_lost(why: &str) -> bool {
    why.contains("InvalidStateError") || why.contains("Connection to Indexed Database server lost")
}

/// What the browser said, at the end of the chain of reasons.
pub(super) fn reason(error: &rexie::Error) -> String {
    let mut error: &dyn std::error::Error = error;
    while let Some(source) = error.source() {
        error = source;
    }
    error.to_string()
}

/// Every key of a job: `[job]` up to, but not with, `[job, []]`, since arrays sort behind all text.
pub(super) fn all_of(job: JobId) -> Result<KeyRange, rexie::Error> {
    let job = JsValue::from(job.to_string());
    Ok(KeyRange::bound(&Array::of1(&job).into(), &Array::of2(&job, &Array::new()).into(), None, Some(true))?)
}
