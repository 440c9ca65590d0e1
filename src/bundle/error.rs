//! Why is a bundle refused? Each reason with its own message: what is wrong, with what, and the way out.

use crate::ids::{EventId, PhotoHash};
use crate::job::event::ActError;

/// Why a bundle is refused. Nothing of a refused bundle is kept.
#[derive(Debug, thiserror::Error)]
pub enum BundleError {
    /// More bytes than the reader takes.
    #[error(
        "this file has {} and at most {} are read: hand the job over with fewer or smaller photos, or send it to the desk",
        megabytes(*.bytes), megabytes(*.limit)
    )]
    TooLarge {
        /// What it has.
        bytes: u64,
        /// What is read at most.
        limit: u64,
    },
    /// The text ends in the middle.
    #[error(
        "this file ends in the middle, after {bytes} bytes: it was cut off when it was copied or sent; copy or send it again"
    )]
    Truncated {
        /// How many bytes there are.
        bytes: usize,
    },
    /// Not JSON at all.
    #[error("this is not a hand-over file: it should be JSON, but {why}; choose a file that ends in .loomwalk.json")]
    NotJson {
        /// What is wrong, with line and column.
        why: String,
    },
    /// JSON of another format.
    #[error("this is not a hand-over file: its format should be \"loomwalk/bundle\", but {}", has_format(.format))]
    WrongFormat {
        /// Its `format`, if it has one.
        format: Option<String>,
    },
    /// Written by a newer version.
    #[error(
        "/version: this file is version {version} of loomwalk/bundle and this program reads up to version {ours}: update the program, then open it again"
    )]
    NewerVersion {
        /// The file's version.
        version: u64,
        /// The newest that is read.
        ours: u32,
    },
    /// A field is missing or of the wrong kind.
    #[error("{}: {why}; the file was changed or made by another program: ask for it again", place(.pointer))]
    Field {
        /// JSON pointer.
        pointer: String,
        /// What is wrong and what would be right.
        why: String,
    },
    /// An event of a known kind whose body does not fit.
    #[error("{pointer}: {source}; the file was changed or made by another program: ask for it again")]
    Event {
        /// JSON pointer of the event.
        pointer: String,
        /// What is wrong.
        source: ActError,
    },
    /// Far more values than a job can have.
    #[error(
        "{pointer}: more than {limit} values, which is more than any job has: the file was changed or made by another program"
    )]
    TooManyValues {
        /// JSON pointer.
        pointer: String,
        /// The most that are read.
        limit: usize,
    },
    /// The log is not what its digest says.
    #[error(
        "/log_digest: the log does not match its digest (the file says {stated}, the log gives {computed}): it was changed on the way; ask for it again"
    )]
    Digest {
        /// What the file says.
        stated: String,
        /// What its log gives.
        computed: String,
    },
    /// One id, two bodies.
    #[error("/log: event {event} is used for two different bodies: the file was changed by hand; ask for it again")]
    TwoBodies {
        /// The event.
        event: EventId,
    },
    /// A photograph that no event keeps.
    #[error("{pointer}: no event of this bundle keeps photo {photo}: the file was changed by hand; ask for it again")]
    PhotoWithoutEvent {
        /// JSON pointer of the photo.
        pointer: String,
        /// The photo.
        photo: PhotoHash,
    },
    /// Data that is not base64.
    #[error("{pointer}/data: photo {photo} is not base64 ({why}): it was damaged on the way; ask for the file again")]
    NotBase64 {
        /// JSON pointer of the photo.
        pointer: String,
        /// The photo.
        photo: PhotoHash,
        /// What is wrong.
        why: String,
    },
    /// Another number of bytes than stated.
    #[error(
        "{pointer}/bytes: photo {photo} should have {stated} bytes and has {found}: it was damaged on the way; ask for the file again"
    )]
    PhotoBytes {
        /// JSON pointer of the photo.
        pointer: String,
        /// The photo.
        photo: PhotoHash,
        /// What the manifest says.
        stated: u64,
        /// What there is.
        found: u64,
    },
    /// Other bytes than the name says.
    #[error(
        "{pointer}/data: the bytes of photo {photo} hash to {found}: it was changed or damaged on the way; ask for the file again"
    )]
    PhotoHash {
        /// JSON pointer of the photo.
        pointer: String,
        /// The name it should hash to.
        photo: PhotoHash,
        /// What it hashes to.
        found: PhotoHash,
    },
}

impl BundleError {
    /// Where in the file, as a JSON pointer; the whole file where nothing narrower is known.
    pub fn pointer(&self) -> &str {
        match self {
            Self::TooLarge { .. } | Self::Truncated { .. } | Self::NotJson { .. } => "",
            Self::WrongFormat { .. } => "/format",
            Self::NewerVersion { .. } => "/version",
            Self::TwoBodies { .. } => "/log",
            Self::Digest { .. } => "/log_digest",
            Self::TooManyValues { pointer, .. }
            | Self::Field { pointer, .. }
            | Self::Event { pointer, .. }
            | Self::PhotoWithoutEvent { pointer, .. }
            | Self::NotBase64 { pointer, .. }
            | Self::PhotoBytes { pointer, .. }
            | Self::PhotoHash { pointer, .. } => pointer,
        }
    }
}

fn megabytes(bytes: u64) -> String {
    const MEGABYTE: u64 = 1024 * 1024;
    if bytes < MEGABYTE { format!("{bytes} bytes") } else { format!("{} MB", bytes.div_ceil(MEGABYTE)) }
}

fn place(pointer: &str) -> &str {
    if pointer.is_empty() { "the file" } else { pointer }
}

fn has_format(format: &Option<String>) -> String {
    match format {
        Some(format) => format!("it is {:?}", format.chars().take(60).collect::<String>()),
        None => "it has none".to_owned(),
    }
}
