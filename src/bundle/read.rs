//! Is this a whole bundle? From bytes to a [`Bundle`], or why not.
//!
//! Everything is checked before anything is returned. Photographs stay in the file's own text until someone
//! asks for one, and are decoded one at a time: the memory used is about the file and one photograph.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use chrono::{DateTime, Utc};
use serde::Deserialize;
use serde::de::{self, Deserializer, SeqAccess, Visitor};
use serde_json::value::RawValue;

use crate::bundle::digest::{ArrayDigest, photo_hash};
use crate::bundle::error::BundleError;
use crate::bundle::file::{Bundle, BundleJob, BundlePhoto, FORMAT, VERSION};
use crate::gather::Gather as _;
use crate::ids::{BundleId, DeviceId, EventId, PhotoHash, PointId};
use crate::job::act::{Act, Photo, Stage};
use crate::job::event::{ActError, Event};
use crate::job::told::{pointer, said};

/// The most JSON values that a log may have, all events together. A long job of 1 500 events has some 50 000; a
/// value may take two bytes in a file and a hundred in memory, so a broken file is stopped here.
pub const LOG_VALUES_LIMIT: usize = 1_000_000;
/// The most JSON values that one event, or the job before the log, may have. A circuit with 1 000 wires has 15 000.
pub const PART_VALUES_LIMIT: usize = 200_000;

/// A bundle that is known to be whole, with its photographs still in the file's text.
#[derive(Debug)]
pub struct Opened<'a> {
    /// The bundle, without the photographs' bytes.
    pub bundle: Bundle,
    data: BTreeMap<PhotoHash, Cow<'a, str>>,
}

impl Opened<'_> {
    /// The photographs that are in the file, by name.
    pub fn photos(&self) -> impl Iterator<Item = &PhotoHash> {
        self.data.keys()
    }

    /// The base64 of a photograph, as it stands in the file. `None`: the file does not have it.
    pub fn base64(&self, photo: &PhotoHash) -> Option<&str> {
        self.data.get(photo).map(AsRef::as_ref)
    }

    /// The bytes of a photograph. `None`: the file does not have it.
    pub fn bytes(&self, photo: &PhotoHash) -> Option<Vec<u8>> {
        STANDARD.decode(self.base64(photo)?).ok()
    }

    /// The bundle with the photographs' base64 inside.
    pub fn into_bundle(self) -> Bundle {
        let Self { mut bundle, mut data } = self;
        for photo in &mut bundle.photos {
            photo.data = data.remove(&photo.photo.sha256).map(Cow::into_owned);
        }
        bundle
    }
}

/// Reads a bundle, with its photographs' base64 if they are inside. See [`open`], which copies less.
///
/// # Errors
/// As [`open`].
pub fn read(bytes: &[u8], limit: u64) -> Result<Bundle, BundleError> {
    open(bytes, limit).map(Opened::into_bundle)
}

/// Opens a bundle and checks all of it: format, version, every event, the digest, every photograph.
///
/// # Errors
/// The first thing that is wrong.
pub fn open(bytes: &[u8], limit: u64) -> Result<Opened<'_>, BundleError> {
    let length = bytes.len() as u64;
    if length > limit {
        return Err(BundleError::TooLarge { bytes: length, limit });
    }
    let no_text = |_| BundleError::NotJson { why: "it is no text in UTF-8".to_owned() };
    let text = std::str::from_utf8(bytes).map_err(no_text)?;
    check_head(text)?;
    let raw: RawBundle = parse(text)?;
    let job: BundleJob = part(raw.job, "/job")?;
    let log = check_log(&raw)?;
    let (photos, data) = check_photos(raw.photos, &log)?;
    let bundle = Bundle {
        format: raw.format,
        version: VERSION,
        bundle_id: raw.bundle_id,
        made_at: raw.made_at,
        device_id: raw.device_id,
        job,
        part: raw.part,
        log,
        photos,
        log_digest: raw.log_digest,
    };
    Ok(Opened { bundle, data })
}

#[derive(Deserialize)]
struct Head<'a> {
    #[serde(default, borrow)]
    format: Option<&'a RawValue>,
    #[serde(default, borrow)]
    version: Option<&'a RawValue>,
}

/// Is it a bundle at all, and of a version that is read? Said before anything inside is looked at.
fn check_head(text: &str) -> Result<(), BundleError> {
    let head: Head = serde_json::from_str(text).map_err(|error| broken(text.as_bytes(), &error))?;
    if !is_object(text.as_bytes()) {
        return Err(BundleError::WrongFormat { format: None });
    }
    let format = head.format.map(|raw| serde_json::from_str::<String>(raw.get()).unwrap_or_else(|_| raw.to_string()));
    if format.as_deref() != Some(FORMAT) {
        return Err(BundleError::WrongFormat { format });
    }
    match head.version.and_then(|raw| serde_json::from_str::<u64>(raw.get()).ok()) {
        Some(version) if version > u64::from(VERSION) => Err(BundleError::NewerVersion { version, ours: VERSION }),
        Some(version) if version == u64::from(VERSION) => Ok(()),
        _ => Err(BundleError::Field {
            pointer: "/version".to_owned(),
            why: format!("the version should be the whole number {VERSION}"),
        }),
    }
}

/// Derived readers also take a list of the fields' values; a file of ours is an object.
fn is_object(json: &[u8]) -> bool {
    json.trim_ascii_start().starts_with(b"{")
}

/// How many values there are in a JSON text, at most: cheap to count before any of them is made.
pub(crate) fn count_values(json: &[u8]) -> usize {
    1 + json.iter().filter(|byte| matches!(byte, b',' | b':' | b'[')).count()
}

fn broken(bytes: &[u8], error: &serde_json::Error) -> BundleError {
    match error.classify() {
        serde_json::error::Category::Eof if !bytes.trim_ascii().is_empty() => {
            BundleError::Truncated { bytes: bytes.len() }
        }
        serde_json::error::Category::Eof => BundleError::NotJson { why: "it is empty".to_owned() },
        serde_json::error::Category::Data => BundleError::WrongFormat { format: None },
        _ => BundleError::NotJson { why: error.to_string() },
    }
}

#[derive(Deserialize)]
struct RawBundle<'a> {
    format: String,
    bundle_id: BundleId,
    made_at: DateTime<Utc>,
    device_id: DeviceId,
    #[serde(borrow)]
    job: &'a RawValue,
    #[serde(default)]
    part: bool,
    #[serde(borrow)]
    log: RawLog<'a>,
    #[serde(borrow)]
    photos: Vec<RawPhoto<'a>>,
    log_digest: String,
}

/// The text of each event as it stands in the file: the digest is over that, whatever this version makes of it.
struct RawLog<'a>(Vec<&'a RawValue>);

impl<'de: 'a, 'a> Deserialize<'de> for RawLog<'a> {
    fn deserialize<D: Deserializer<'de>>(reader: D) -> Result<Self, D::Error> {
        struct Events;
        impl<'de> Visitor<'de> for Events {
            type Value = RawLog<'de>;

            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a list of events")
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<RawLog<'de>, A::Error> {
                let mut log = Vec::new();
                let mut values = 0;
                while let Some(event) = items.next_element::<&RawValue>()? {
                    values += count_values(event.get().as_bytes());
                    if values > LOG_VALUES_LIMIT {
                        return Err(de::Error::custom(TOO_MANY_VALUES));
                    }
                    log.push(event);
                }
                Ok(RawLog(log))
            }
        }
        reader.deserialize_seq(Events)
    }
}

/// How the visitor above says it through serde's errors; never shown.
const TOO_MANY_VALUES: &str = "too many values";

#[derive(Deserialize)]
struct RawPhoto<'a> {
    sha256: PhotoHash,
    bytes: u64,
    media_type: String,
    width: u32,
    height: u32,
    #[serde(default)]
    taken_at: Option<DateTime<Utc>>,
    #[serde(default)]
    point: Option<PointId>,
    stage: Stage,
    #[serde(default)]
    annotation: String,
    #[serde(default)]
    seconds: Option<f64>,
    #[serde(default, borrow)]
    data: Option<&'a RawValue>,
}

fn parse<'a, T: Deserialize<'a>>(text: &'a str) -> Result<T, BundleError> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let read: T = serde_path_to_error::deserialize(&mut reader).map_err(|error| {
        let why = said(error.inner());
        if why == TOO_MANY_VALUES {
            return BundleError::TooManyValues { pointer: "/log".to_owned(), limit: LOG_VALUES_LIMIT };
        }
        BundleError::Field { pointer: pointer(error.path()), why }
    })?;
    reader.end().map_err(|error| BundleError::NotJson { why: error.to_string() })?;
    Ok(read)
}

/// Reads a part that is at `at` in the file.
fn part<T: de::DeserializeOwned>(text: &RawValue, at: &str) -> Result<T, BundleError> {
    let text = text.get();
    if count_values(text.as_bytes()) > PART_VALUES_LIMIT {
        return Err(BundleError::TooManyValues { pointer: at.to_owned(), limit: PART_VALUES_LIMIT });
    }
    if !is_object(text.as_bytes()) {
        return Err(BundleError::Field { pointer: at.to_owned(), why: "it should be an object".to_owned() });
    }
    let mut reader = serde_json::Deserializer::from_str(text);
    serde_path_to_error::deserialize(&mut reader).map_err(|error| BundleError::Field {
        pointer: format!("{at}{}", pointer(error.path())),
        why: said(error.inner()),
    })
}

fn check_log(raw: &RawBundle) -> Result<Vec<Event>, BundleError> {
    let mut by_id: BTreeMap<EventId, (Event, &RawValue)> = BTreeMap::new();
    for (at, text) in raw.log.0.iter().enumerate() {
        let event: Event = part(text, &format!("/log/{at}"))?;
        match event.act_or_where() {
            Ok(_) | Err(ActError::FromNewer { .. }) => {}
            Err(source) => {
                let inside = match &source {
                    ActError::Malformed { path, .. } => path.as_str(),
                    ActError::FromNewer { .. } => "",
                };
                return Err(BundleError::Event { pointer: format!("/log/{at}{inside}"), source });
            }
        }
        match by_id.get(&event.id) {
            Some((known, _)) if *known != event => return Err(BundleError::TwoBodies { event: event.id }),
            Some(_) => {}
            None => {
                by_id.insert(event.id, (event, text));
            }
        }
    }
    let mut digest = ArrayDigest::new();
    for (at, (_, text)) in by_id.values().enumerate() {
        let value: serde_json::Value = serde_json::from_str(text.get())
            .map_err(|error| BundleError::Field { pointer: format!("/log/{at}"), why: said(&error) })?;
        digest.push(&value);
    }
    let computed = digest.finish();
    if computed != raw.log_digest {
        let stated = raw.log_digest.chars().take(64).collect();
        return Err(BundleError::Digest { stated, computed });
    }
    Ok(by_id.into_values().map(|(event, _)| event).collect())
}

type Photos<'a> = (Vec<BundlePhoto>, BTreeMap<PhotoHash, Cow<'a, str>>);

fn check_photos<'a>(raw: Vec<RawPhoto<'a>>, log: &[Event]) -> Result<Photos<'a>, BundleError> {
    let acts = log.iter().filter(|event| event.kind == "photo").filter_map(|event| event.act().ok());
    let kept: BTreeSet<PhotoHash> = acts
        .filter_map(|act| match act {
            Act::Photo(photo) => Some(photo.sha256),
            _ => None,
        })
        .gather();
    let mut photos = Vec::with_capacity(raw.len());
    let mut data = BTreeMap::new();
    for (at, photo) in raw.into_iter().enumerate() {
        let pointer = format!("/photos/{at}");
        if !kept.contains(&photo.sha256) {
            return Err(BundleError::PhotoWithoutEvent { pointer, photo: photo.sha256 });
        }
        let RawPhoto {
            sha256,
            bytes,
            media_type,
            width,
            height,
            taken_at,
            point,
            stage,
            annotation,
            seconds,
            data: text,
        } = photo;
        if let Some(text) = text {
            let text = text_of(text, &pointer)?;
            check_photo(&sha256, bytes, &text, pointer)?;
            data.entry(sha256.clone()).or_insert(text);
        }
        let photo = Photo { sha256, bytes, media_type, width, height, taken_at, point, stage, annotation, seconds };
        photos.push(BundlePhoto { photo, data: None });
    }
    Ok((photos, data))
}

/// A text as it stands in the file; copied only where it has escapes. (A `Cow` would be copied by its reader always.)
fn text_of<'a>(raw: &'a RawValue, photo: &str) -> Result<Cow<'a, str>, BundleError> {
    let quoted = raw.get().strip_prefix('"').and_then(|text| text.strip_suffix('"'));
    match quoted {
        Some(text) if !text.contains('\\') => Ok(Cow::Borrowed(text)),
        _ => serde_json::from_str(raw.get())
            .map(Cow::Owned)
            .map_err(|error| BundleError::Field { pointer: format!("{photo}/data"), why: said(&error) }),
    }
}

fn check_photo(name: &PhotoHash, stated: u64, text: &str, pointer: String) -> Result<(), BundleError> {
    let photo = name.clone();
    let decoded = match STANDARD.decode(text) {
        Ok(decoded) => decoded,
        Err(why) => return Err(BundleError::NotBase64 { pointer, photo, why: why.to_string() }),
    };
    let found = decoded.len() as u64;
    if found != stated {
        return Err(BundleError::PhotoBytes { pointer, photo, stated, found });
    }
    let found = photo_hash(&decoded);
    if found != photo { Err(BundleError::PhotoHash { pointer, photo, found }) } else { Ok(()) }
}
