//! What is known of the desk at this address: whether there is one, how this phone is let in, how far it has read.

#[cfg(feature = "worker")]
use std::collections::BTreeSet;

use wasm_bindgen::JsValue;

use super::{CONFIRMED, IdbStore, RECEIPTS, SETTINGS};
#[cfg(feature = "worker")]
use crate::ids::PhotoHash;
use crate::ids::{DeviceId, JobId};
use crate::store::StoreError;

const SEEN: &str = "desk_seen";
const TOKEN: &str = "desk_token";
const STORE: &str = "desk_store";

impl IdbStore {
    /// Whether there was ever a desk at this address.
    ///
    /// # Errors
    /// As every read.
    pub async fn desk_seen(&self) -> Result<bool, StoreError> {
        self.read(SETTINGS, async |store| store.key_exists(SEEN.into()).await).await
    }

    /// Keeps that there is a desk at this address.
    ///
    /// # Errors
    /// As every write.
    pub async fn keep_desk_seen(&self) -> Result<(), StoreError> {
        if self.desk_seen().await? { Ok(()) } else { self.keep_setting(&SEEN.into(), Some(&JsValue::TRUE)).await }
    }

    /// Notes in which store the desk keeps things. Where it is another than before, what was confirmed holds no more, and is
    /// forgotten: `true`. A cursor of the store before is refused by the desk, and forgotten then.
    ///
    /// # Errors
    /// As every write; nothing was forgotten then.
    pub async fn keep_desk_store(&self, desk: DeviceId) -> Result<bool, StoreError> {
        let desk = desk.to_string();
        let before = self.setting(&STORE.into()).await?;
        if before.as_ref() == Some(&desk) {
            return Ok(false);
        }
        let anew = before.is_some();
        self.write(&[SETTINGS, RECEIPTS, CONFIRMED], async |write| {
            if anew {
                write.clear(RECEIPTS).await?;
                write.clear(CONFIRMED).await?;
            }
            write.put(SETTINGS, &JsValue::from(&desk), &STORE.into()).await
        })
        .await?;
        Ok(anew)
    }

    /// Forgets that the desk has confirmed a job and these photographs: it turned out not to have them.
    ///
    /// # Errors
    /// As every write; nothing was forgotten then.
    #[cfg(feature = "worker")]
    pub async fn forget_confirmed(&self, job: JobId, photos: &BTreeSet<PhotoHash>) -> Result<(), StoreError> {
        self.write(&[RECEIPTS, CONFIRMED], async |write| {
            write.delete_all(RECEIPTS, job).await?;
            for hash in photos {
                write.delete(CONFIRMED, &hash.as_str().into()).await?;
            }
            Ok(())
        })
        .await
    }

    /// What this phone shows to the desk, once it is paired with it.
    ///
    /// # Errors
    /// As every read.
    pub async fn desk_token(&self) -> Result<Option<String>, StoreError> {
        self.setting(&TOKEN.into()).await
    }

    /// Keeps it, or forgets it.
    ///
    /// # Errors
    /// As every write.
    pub async fn keep_desk_token(&self, token: Option<&str>) -> Result<(), StoreError> {
        self.keep_setting(&TOKEN.into(), token.map(JsValue::from).as_ref()).await
    }

    /// Up to where the desk's events of a job are here.
    ///
    /// # Errors
    /// As every read.
    pub async fn cursor(&self, job: JobId) -> Result<Option<String>, StoreError> {
        self.setting(&cursor_key(job)).await
    }

    /// Keeps that, or forgets it.
    ///
    /// # Errors
    /// As every write.
    pub async fn keep_cursor(&self, job: JobId, cursor: Option<&str>) -> Result<(), StoreError> {
        self.keep_setting(&cursor_key(job), cursor.map(JsValue::from).as_ref()).await
    }

    async fn setting(&self, key: &JsValue) -> Result<Option<String>, StoreError> {
        let kept = self.read(SETTINGS, async |store| store.get(key.clone()).await).await?;
        Ok(kept.and_then(|kept| kept.as_string()))
    }

    async fn keep_setting(&self, key: &JsValue, value: Option<&JsValue>) -> Result<(), StoreError> {
        self.write(&[SETTINGS], async |write| match value {
            Some(value) => write.put(SETTINGS, value, key).await,
            None => write.delete(SETTINGS, key).await,
        })
        .await
    }
}

pub(super) fn cursor_key(job: JobId) -> JsValue {
    format!("cursor/{job}").into()
}
