//! Who may come in? Phones by a token of their own, the service writer by a password; and what is remembered of it.
//!
//! ```text
//! access/password.json        the password's hash (Argon2id, as a PHC string)
//! access/codes/<sha256>.json  a short code: for what, until when
//! access/used/<sha256>        that a code was used
//! access/phones/<sha256>.json a phone, by the hash of its token
//! access/revoked/<sha256>     that this token is worth nothing any more
//! access/seen/<sha256>.json   when the phone was last here
//! access/sessions/<sha256>.json a service writer who is signed in, by the hash of the cookie
//! ```
//!
//! Tokens, cookies and codes are kept as hashes only: who reads the store cannot come in with what stands there. All of
//! it lies in the store, so that it holds for every desk of a shop.
//!
//! - [`code`]: short codes that are typed or scanned. [`audit`]: what was done, and by whom.

pub mod audit;
pub mod code;

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use axum::body::Bytes;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, TimeDelta, Utc};
use object_store::path::Path;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use tokio::sync::Semaphore;
use tokio::task::JoinError;

use super::store::copy::hex;
use super::store::{Put, Store, StoreError, now, random};
use code::Code;

/// How long a token or a cookie that was found good is not looked up again: the time within which a revocation reaches
/// every other desk.
const TRUSTED: Duration = Duration::from_secs(10);
/// How often it is written down that a phone was here.
const SEEN: Duration = Duration::from_secs(5 * 60);
/// How long a service writer stays signed in.
const SIGNED_IN: TimeDelta = TimeDelta::days(14);
/// How long a code for a phone holds.
const TO_PAIR: TimeDelta = TimeDelta::minutes(10);
/// How long the code of the first start holds.
const TO_BEGIN: TimeDelta = TimeDelta::days(1);
/// Letters of a password, at least (NIST SP 800-63B-4 §3.1.1.2 for a password that stands alone: 15; from memory).
pub const LEAST_LETTERS: usize = 15;
/// Letters of a password, at most: hashing more takes long for nothing.
const MOST_LETTERS: usize = 256;
/// Letters of a phone's name, at most.
const MOST_NAME: usize = 60;

/// Passwords that are hashed at a time: each takes a core and 19 MiB for a moment (Argon2id as the crate argon2 has it by
/// default), and whoever reaches the desk can give one.
const AT_A_TIME: usize = 2;

/// What a code is good for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// To pair a phone.
    Pair,
    /// To choose the service writer's password.
    Begin,
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptCode {
    purpose: Purpose,
    until: DateTime<Utc>,
}

/// A paired phone.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Phone {
    /// By which it is revoked: the hash of its token.
    #[serde(default, skip_serializing)]
    pub id: String,
    /// As whoever paired it called it.
    pub name: String,
    /// When.
    pub paired_at: DateTime<Utc>,
    /// When it was last here, as far as that was written down.
    #[serde(default, skip_serializing)]
    pub seen_at: Option<DateTime<Utc>>,
    /// It may not come in any more.
    #[serde(default, skip_serializing)]
    pub revoked: bool,
}

#[derive(Debug, Serialize, Deserialize)]
struct Password {
    phc: String,
    set_at: DateTime<Utc>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Session {
    until: DateTime<Utc>,
}

/// Why a password is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PasswordError {
    /// Too few letters.
    #[error("take at least {LEAST_LETTERS} letters: a few words that do not belong together are easy to keep in mind")]
    Short,
    /// Too many.
    #[error("take at most {MOST_LETTERS} letters")]
    Long,
    /// Not the same twice.
    #[error("the two are not the same; write it again")]
    Differ,
    /// The hash could not be made.
    #[error("it could not be kept ({0}); try again")]
    Hash(String),
}

/// Who may come in, as the store says.
#[derive(Debug)]
pub struct Access {
    store: Store,
    /// Phones and service writers apart: what lets the one in is not to let in the other.
    phones_trusted: Trusted,
    writers_trusted: Trusted,
    /// When it was last written down that a phone was here.
    seen: Mutex<HashMap<String, Instant>>,
    hashing: Arc<Semaphore>,
}

impl Access {
    /// By what a store says.
    pub fn of(store: Store) -> Self {
        Self {
            store,
            phones_trusted: Trusted::default(),
            writers_trusted: Trusted::default(),
            seen: Mutex::default(),
            hashing: Arc::new(Semaphore::new(AT_A_TIME)),
        }
    }

    /// Hashes away from what answers, when it is its turn. The turn ends with the hash, not with whoever waits for it: it
    /// goes on when they hang up.
    async fn hash<T: Send + 'static>(&self, work: impl FnOnce() -> T + Send + 'static) -> Result<T, JoinError> {
        // Nobody closes it, so that there is always a turn.
        let turn = Arc::clone(&self.hashing).acquire_owned().await;
        let hashed = tokio::task::spawn_blocking(move || {
            let hash = work();
            drop(turn);
            hash
        });
        hashed.await
    }

    /// Makes a code.
    pub async fn make_code(&self, purpose: Purpose) -> Result<Code, StoreError> {
        let code = Code::of(random()?);
        let valid = match purpose {
            Purpose::Pair => TO_PAIR,
            Purpose::Begin => TO_BEGIN,
        };
        let kept = KeptCode { purpose, until: now() + valid };
        self.store.replace_json(&within("codes", &digest(code.as_str()), ".json"), &kept).await?;
        Ok(code)
    }

    /// Uses a code up. `false`: it is none of ours, too old, used already, or for something else.
    pub async fn use_code(&self, code: &Code, purpose: Purpose) -> Result<bool, StoreError> {
        let hash = digest(code.as_str());
        let Some(kept) = self.store.json::<KeptCode>(&within("codes", &hash, ".json")).await? else {
            return Ok(false);
        };
        if kept.purpose != purpose || kept.until < now() {
            return Ok(false);
        }
        // Of two who use it at once one is first.
        Ok(self.store.create(&within("used", &hash, ""), Bytes::new()).await? == Put::New)
    }

    /// Gives a phone its token. It is told once, here, and kept nowhere.
    pub async fn pair(&self, name: &str) -> Result<(String, Phone), StoreError> {
        let token = URL_SAFE_NO_PAD.encode(random::<32>()?);
        let name: String = name.trim().chars().filter(|letter| !letter.is_control()).take(MOST_NAME).collect();
        let name = if name.is_empty() { "A phone".to_owned() } else { name };
        let phone = Phone { id: digest(&token), name, paired_at: now(), seen_at: None, revoked: false };
        self.store.create_json(&within("phones", &phone.id, ".json"), &phone).await?;
        Ok((token, phone))
    }

    /// The phone that a token belongs to, if it may come in.
    pub async fn phone(&self, token: &str) -> Result<Option<String>, StoreError> {
        let id = digest(token);
        if !self.phones_trusted.has(&id) {
            let known = self.store.has(&within("phones", &id, ".json")).await?
                && !self.store.has(&within("revoked", &id, "")).await?;
            if !known {
                return Ok(None);
            }
            self.phones_trusted.note(&id);
        }
        self.was_here(&id).await;
        Ok(Some(id))
    }

    /// That it was here is worth knowing, not worth failing for.
    async fn was_here(&self, id: &str) {
        let due = {
            let mut seen = self.seen.lock().unwrap_or_else(PoisonError::into_inner);
            let due = seen.get(id).is_none_or(|at| at.elapsed() > SEEN);
            if due {
                seen.insert(id.to_owned(), Instant::now());
            }
            due
        };
        if due && let Err(error) = self.store.replace_json(&within("seen", id, ".json"), &now()).await {
            eprintln!("desk: {error}");
        }
    }

    /// All phones, those that were here last first.
    pub async fn phones(&self) -> Result<Vec<Phone>, StoreError> {
        let mut phones = Vec::new();
        for path in self.store.list(&Path::from("access/phones")).await? {
            let Some(id) = path.filename().and_then(|name| name.strip_suffix(".json")) else { continue };
            let Some(phone) = self.store.json::<Phone>(&path).await? else { continue };
            let seen_at = self.store.json(&within("seen", id, ".json")).await?;
            let revoked = self.store.has(&within("revoked", id, "")).await?;
            phones.push(Phone { id: id.to_owned(), seen_at, revoked, ..phone });
        }
        phones.sort_by_key(|phone| (phone.revoked, std::cmp::Reverse(phone.seen_at.unwrap_or(phone.paired_at))));
        Ok(phones)
    }

    /// Takes a phone's right to come in. `None`: there is no such phone.
    pub async fn revoke(&self, id: &str) -> Result<Option<Phone>, StoreError> {
        if !is_digest(id) {
            return Ok(None);
        }
        let Some(phone) = self.store.json::<Phone>(&within("phones", id, ".json")).await? else { return Ok(None) };
        self.store.create(&within("revoked", id, ""), Bytes::new()).await?;
        self.phones_trusted.forget(id);
        Ok(Some(Phone { id: id.to_owned(), revoked: true, ..phone }))
    }

    /// Whether a password was ever chosen.
    pub async fn has_password(&self) -> Result<bool, StoreError> {
        self.store.has(&password_path()).await
    }

    /// Chooses the password, in place of one that was there; everyone who is signed in has to sign in again, and no code
    /// that was made to choose one before is good any more.
    pub async fn set_password(&self, password: &str, again: &str) -> Result<Result<(), PasswordError>, StoreError> {
        if let Err(why) = check_password(password, again) {
            return Ok(Err(why));
        }
        let password = password.to_owned();
        let hashed =
            self.hash(move || Argon2::default().hash_password(password.as_bytes()).map(|hash| hash.to_string()));
        let phc = match hashed.await {
            Ok(Ok(phc)) => phc,
            Ok(Err(error)) => return Ok(Err(PasswordError::Hash(error.to_string()))),
            Err(error) => return Ok(Err(PasswordError::Hash(error.to_string()))),
        };
        self.store.replace_json(&password_path(), &Password { phc, set_at: now() }).await?;
        for session in self.store.list(&Path::from("access/sessions")).await? {
            self.store.remove(&session).await?;
        }
        self.writers_trusted.forget_all();
        // Each start before there was a password made one, and the terminal may show it still.
        for code in self.store.list(&Path::from("access/codes")).await? {
            // One that cannot be read is good for nothing.
            let kept = self.store.json::<KeptCode>(&code).await;
            if matches!(kept, Ok(Some(KeptCode { purpose: Purpose::Begin, .. }))) {
                self.store.remove(&code).await?;
            }
        }
        Ok(Ok(()))
    }

    /// Whether this is the password.
    pub async fn is_password(&self, password: &str) -> Result<bool, StoreError> {
        let Some(kept) = self.store.json::<Password>(&password_path()).await? else { return Ok(false) };
        if password.chars().count() > MOST_LETTERS {
            return Ok(false);
        }
        let password = password.to_owned();
        let verified = self.hash(move || {
            PasswordHash::new(&kept.phc)
                .is_ok_and(|hash| Argon2::default().verify_password(password.as_bytes(), &hash).is_ok())
        });
        Ok(verified.await.unwrap_or(false))
    }

    /// Signs a service writer in: the cookie's value. It is kept nowhere.
    pub async fn sign_in(&self) -> Result<String, StoreError> {
        let cookie = URL_SAFE_NO_PAD.encode(random::<32>()?);
        let session = Session { until: now() + SIGNED_IN };
        self.store.create_json(&within("sessions", &digest(&cookie), ".json"), &session).await?;
        Ok(cookie)
    }

    /// Whether a cookie is that of someone who is signed in.
    pub async fn is_signed_in(&self, cookie: &str) -> Result<bool, StoreError> {
        let id = digest(cookie);
        if self.writers_trusted.has(&id) {
            return Ok(true);
        }
        let session = self.store.json::<Session>(&within("sessions", &id, ".json")).await?;
        let good = session.is_some_and(|session| session.until > now());
        if good {
            self.writers_trusted.note(&id);
        }
        Ok(good)
    }

    /// Signs out.
    pub async fn sign_out(&self, cookie: &str) -> Result<(), StoreError> {
        let id = digest(cookie);
        self.store.remove(&within("sessions", &id, ".json")).await?;
        self.writers_trusted.forget(&id);
        Ok(())
    }
}

/// Hashes that were found good a moment ago, and when.
#[derive(Debug, Default)]
struct Trusted(Mutex<HashMap<String, Instant>>);

impl Trusted {
    fn all(&self) -> MutexGuard<'_, HashMap<String, Instant>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn has(&self, id: &str) -> bool {
        let mut trusted = self.all();
        trusted.retain(|_, since| since.elapsed() < TRUSTED);
        trusted.contains_key(id)
    }

    fn note(&self, id: &str) {
        self.all().insert(id.to_owned(), Instant::now());
    }

    fn forget(&self, id: &str) {
        self.all().remove(id);
    }

    fn forget_all(&self) {
        self.all().clear();
    }
}

/// Whether such a password may be chosen, given twice.
///
/// # Errors
/// Why not.
pub fn check_password(password: &str, again: &str) -> Result<(), PasswordError> {
    match password.chars().count() {
        _ if password != again => Err(PasswordError::Differ),
        letters if letters < LEAST_LETTERS => Err(PasswordError::Short),
        letters if letters > MOST_LETTERS => Err(PasswordError::Long),
        _ => Ok(()),
    }
}

fn password_path() -> Path {
    Path::from("access/password.json")
}

fn within(folder: &str, name: &str, ending: &str) -> Path {
    Path::from(format!("access/{folder}/{name}{ending}"))
}

fn digest(secret: &str) -> String {
    hex(&Sha256::digest(secret.as_bytes()))
}

fn is_digest(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::desk::store::Place;

    #[tokio::test(flavor = "multi_thread")]
    async fn passwords_are_hashed_two_at_a_time_whoever_hangs_up() {
        let access = Arc::new(Access::of(Store::open(&Place::Memory).await.unwrap()));
        access.set_password("seven quiet kettles", "seven quiet kettles").await.unwrap().unwrap();
        assert_eq!(access.hashing.available_permits(), AT_A_TIME, "a turn ends");
        let (begun, has_begun) = tokio::sync::oneshot::channel();
        let (end, ended) = std::sync::mpsc::channel::<()>();
        let asked = tokio::spawn({
            let access = access.clone();
            async move { access.hash(move || begun.send(()).is_ok() && ended.recv().is_ok()).await.unwrap() }
        });
        has_begun.await.unwrap();
        asked.abort();
        assert!(asked.await.unwrap_err().is_cancelled());
        assert_eq!(access.hashing.available_permits(), AT_A_TIME - 1, "it still hashes");
        // The other turn is taken, too: the next one waits.
        let other = access.hashing.clone().acquire_owned().await.unwrap();
        let waiting = tokio::spawn({
            let access = access.clone();
            async move { access.is_password("seven quiet kettles").await.unwrap() }
        });
        assert!(!waiting.is_finished());
        end.send(()).unwrap();
        assert!(waiting.await.unwrap(), "its turn has come");
        drop(other);
    }
}
