//! How is a hand-over file written without holding it? As pieces of text with the photographs' base64 between.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use serde::Serialize;

use crate::bundle::file::{Bundle, BundleJob, BundlePhoto};
use crate::ids::{BundleId, DeviceId, PhotoHash};
use crate::job::event::{Event, Photo};

/// What stands before and behind the base64 of a photograph.
const DATA: &str = ",\"data\":\"";
const DATA_END: &str = "\"";

/// A piece of a hand-over file. Written one after another they are the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Text as it stands.
    Text(String),
    /// The base64 (RFC 4648 §4, padded) of this photograph's bytes; nothing around it.
    PhotoData(PhotoHash),
}

/// What stands before the photographs.
#[derive(Serialize)]
struct Head<'a> {
    format: &'a str,
    version: u32,
    bundle_id: BundleId,
    made_at: DateTime<Utc>,
    device_id: DeviceId,
    job: &'a BundleJob,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    part: bool,
    log: &'a [Event],
    log_digest: &'a str,
}

/// The hand-over file of a bundle. `has` says which photographs there are bytes for: the others are listed
/// without, and a reader says that they are missing.
///
/// # Errors
/// None that a bundle can cause; serde's where it cannot be put into JSON.
pub fn pieces(bundle: &Bundle, has: impl Fn(&PhotoHash) -> bool) -> serde_json::Result<Vec<Piece>> {
    let Bundle { format, version, bundle_id, made_at, device_id, job, part, log, photos, log_digest } = bundle;
    let head = Head {
        format,
        version: *version,
        bundle_id: *bundle_id,
        made_at: *made_at,
        device_id: *device_id,
        job,
        part: *part,
        log,
        log_digest,
    };
    let mut text = open_object(&head)? + ",\"photos\":[";
    let mut pieces = Vec::new();
    let mut written = BTreeSet::new();
    for (at, BundlePhoto { photo, .. }) in photos.iter().enumerate() {
        text += if at == 0 { "\n" } else { ",\n" };
        text += &open_object::<Photo>(photo)?;
        // The same picture at two points is written once.
        if has(&photo.sha256) && written.insert(&photo.sha256) {
            text += DATA;
            pieces.push(Piece::Text(std::mem::take(&mut text)));
            pieces.push(Piece::PhotoData(photo.sha256.clone()));
            text += DATA_END;
        }
        text += "}";
    }
    text += "]}\n";
    pieces.push(Piece::Text(text));
    Ok(pieces)
}

/// Which photographs' bytes go into which hand-over file of a bundle, so that none has more than `limit` bytes: all into one, as
/// a rule. `size` says how many bytes a photograph has, of those that there are bytes for. Every file has the whole log and
/// lists all photographs: whoever takes in all files, in any order, has all of them.
///
/// A photograph that is too much by itself goes into a file of its own, which is larger then.
///
/// # Errors
/// As [`pieces`].
pub fn files(
    bundle: &Bundle,
    size: impl Fn(&PhotoHash) -> Option<u64>,
    limit: u64,
) -> serde_json::Result<Vec<BTreeSet<PhotoHash>>> {
    let bare = pieces(bundle, |_| false)?.into_iter().map(|piece| match piece {
        Piece::Text(text) => text.len() as u64,
        Piece::PhotoData(_) => 0,
    });
    let room = limit.saturating_sub(bare.sum());
    let (mut files, mut last, mut left) = (Vec::new(), BTreeSet::new(), room);
    let mut known = BTreeSet::new();
    for BundlePhoto { photo, .. } in &bundle.photos {
        let Some(bytes) = size(&photo.sha256).filter(|_| known.insert(&photo.sha256)) else { continue };
        let base64 = bytes.div_ceil(3) * 4 + (DATA.len() + DATA_END.len()) as u64;
        if base64 > left && !last.is_empty() {
            files.push(std::mem::take(&mut last));
            left = room;
        }
        left = left.saturating_sub(base64);
        last.insert(photo.sha256.clone());
    }
    files.push(last);
    Ok(files)
}

/// The hand-over file as one text, with the base64 that `data` gives.
///
/// # Errors
/// As [`pieces`].
pub fn text(bundle: &Bundle, data: impl Fn(&PhotoHash) -> Option<String>) -> serde_json::Result<String> {
    let pieces = pieces(bundle, |photo| data(photo).is_some())?;
    let texts = pieces.into_iter().map(|piece| match piece {
        Piece::Text(text) => text,
        Piece::PhotoData(photo) => data(&photo).unwrap_or_default(),
    });
    Ok(texts.collect())
}

/// An object that more fields can be added to: its closing brace is left off.
fn open_object<T: Serialize>(value: &T) -> serde_json::Result<String> {
    let mut text = serde_json::to_string(value)?;
    text.pop();
    Ok(text)
}
