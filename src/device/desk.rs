//! What is the desk asked for, when the user wants it? By the worker, which knows how to speak to it.

use js_sys::{Array, JSON, Object};

use super::worker::call;
use super::{DeviceError, field, object};
use crate::ids::{JobId, PhotoHash};

/// A job that lies at the desk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AtDesk {
    /// Which.
    pub job: JobId,
    /// What the customer says.
    pub concern: String,
    /// The vehicle.
    pub vehicle: String,
    /// The fuse.
    pub fuse: String,
    /// Whether it is a practice job.
    pub practice: bool,
    /// Whether it is handed over.
    pub closed: bool,
}

/// Pairs this phone by the code that the desk shows; gives the name by which the desk calls it.
///
/// # Errors
/// [`DeviceError::Refused`] with the desk's words, or with what keeps the phone from reaching it.
pub async fn pair(code: &str, name: &str) -> Result<String, DeviceError> {
    let paired = call("pair", &object([("code", code.into()), ("name", name.into())])).await?;
    Ok(paired.as_string().unwrap_or_default())
}

/// The jobs at the desk in which these words stand, the newest change first, and how many there are in all.
///
/// # Errors
/// As for [`pair`].
pub async fn jobs(words: &str) -> Result<(Vec<AtDesk>, usize), DeviceError> {
    let text = call("desk_jobs", &object([("words", words.into())])).await?.as_string().unwrap_or_default();
    // The worker has read it already.
    let told = JSON::parse(&text).unwrap_or_default();
    let jobs = Array::from(&field(&told, "jobs"));
    let jobs = jobs.iter().filter_map(|told| {
        let text = |name: &str| field(&told, name).as_string().unwrap_or_default();
        Some(AtDesk {
            job: text("job").parse().ok()?,
            concern: text("concern"),
            vehicle: text("vehicle"),
            fuse: text("fuse"),
            practice: field(&told, "practice").is_truthy(),
            closed: field(&told, "closed").is_truthy(),
        })
    });
    Ok((jobs.collect(), field(&told, "of").as_f64().unwrap_or_default() as usize))
}

/// What the shop's closed jobs have taught, as the text of a `search::lessons::Shop`.
///
/// # Errors
/// As for [`pair`].
pub async fn lessons() -> Result<String, DeviceError> {
    Ok(call("lessons", &Object::new()).await?.as_string().unwrap_or_default())
}

/// Takes a job that lies at the desk onto this phone: all of it, or nothing and why.
///
/// # Errors
/// As for [`pair`].
pub async fn bring(job: JobId) -> Result<(), DeviceError> {
    call("bring", &object([("job", job.to_string().into())])).await.map(drop)
}

/// Takes a job off this phone: one for practice; any other if the desk shows, asked now, that it has all of it.
///
/// # Errors
/// As for [`pair`], and where the desk lacks some of it; all of it is still on this phone then.
pub async fn let_go(job: JobId, practice: bool) -> Result<(), DeviceError> {
    call("let_go", &object([("job", job.to_string().into()), ("practice", practice.into())])).await.map(drop)
}

/// Gets a photograph that lies at the desk small, and keeps it so.
///
/// # Errors
/// As for [`pair`].
pub async fn small_photo(hash: &PhotoHash) -> Result<(), DeviceError> {
    call("small_photo", &object([("hash", hash.as_str().into())])).await.map(drop)
}
