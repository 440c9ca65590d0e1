//! What is inside a photograph's file? Finds and blanks the place where it was taken, nothing else.
//!
//! A phone writes the place into the picture. A hand-over goes to strangers, so the place is blanked before
//! anything is kept: in place, without a change of size, every other byte as the camera wrote it.
//!
//! | looked into | for |
//! |---|---|
//! | Exif in JPEG (`APP1`), PNG (`eXIf`), WebP (`EXIF`), HEIC and AVIF, further pictures in one JPEG | the GPS directory |
//! | XMP in the same, also extended XMP | properties named `…:GPS…` |
//! | a short film behind a JPEG, or within a HEIC or AVIF | the boxes `©xyz` and `loci`, keys that are called after a location |
//!
//! Not looked into: makers' notes, and places written in words (IPTC city, a caption).
//!
//! - [`facts`]: media type, size, which way is up, when it was taken.
//! - `container`, `tiff`, `xmp`, `png`, `film`: where the place may stand; `heif`: the size of a HEIC or AVIF.

mod container;
mod edit;
pub mod facts;
mod film;
mod heif;
mod png;
mod tiff;
mod xmp;

use std::collections::BTreeSet;
use std::ops::Range;

pub use facts::{Facts, MediaType, Taken};

/// The most bytes of one photograph, 64 MiB. The desk has the same limit.
pub const MOST_BYTES: u64 = 64 * 1024 * 1024;

/// What was done to a photograph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cleaned {
    /// What the file says of itself.
    pub facts: Facts,
    /// Where a place was found. Empty: there was none.
    pub found: Vec<Place>,
    /// The bytes that were overwritten, in ascending order; everything else is as it was.
    pub changed: Vec<Range<usize>>,
}

impl Cleaned {
    /// Whether the file held a place, which is now gone.
    pub fn location_removed(&self) -> bool {
        !self.found.is_empty()
    }
}

/// Where in a file a place was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A GPS directory in Exif.
    Exif,
    /// A GPS property in XMP.
    Xmp,
    /// The place of a short film that goes with the picture.
    Film,
    /// A text block of a PNG that cannot be searched because it is compressed; blanked as a whole.
    PackedText,
}

/// How often it is looked at: once more after each find, for in a broken file what is blanked may have hidden another place.
const MOST_PASSES: usize = 16;

/// Why a file was not taken as a photograph.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PhotoError {
    /// The first bytes are of no picture that we know.
    #[error(
        "this file is not a picture that Loomwalk knows (JPEG, PNG, WebP, HEIC, AVIF, GIF, TIFF), so its place \
         cannot be removed; take the photo again or save it as JPEG"
    )]
    NotAPicture,
    /// Larger than the desk takes.
    #[error("this photo has {bytes} bytes and the limit is {MOST_BYTES}; take it again with a smaller picture size")]
    TooLarge {
        /// Its size.
        bytes: u64,
    },
}

/// Finds the place where a photograph was taken and blanks it where it stands.
///
/// Time and memory grow in proportion to the file, however broken it is. A broken file is no error: what can be
/// found in it is blanked.
///
/// # Errors
/// [`PhotoError`] when the bytes are no picture or too many. Nothing was changed then.
pub fn blank_location(bytes: &mut [u8]) -> Result<Cleaned, PhotoError> {
    let size = bytes.len() as u64;
    if size > MOST_BYTES {
        return Err(PhotoError::TooLarge { bytes: size });
    }
    let media_type = MediaType::of(bytes).ok_or(PhotoError::NotAPicture)?;
    let layout = container::read(bytes, media_type);
    let facts = facts::read(bytes, media_type, &layout);

    let (mut found, mut changed) = (BTreeSet::new(), Vec::new());
    for _ in 0..MOST_PASSES {
        let edits = blank_once(bytes, media_type);
        if edits.found().is_empty() {
            break;
        }
        found.extend(edits.found());
        changed.extend(edits.ranges());
    }
    Ok(Cleaned { facts, found: found.into_iter().collect(), changed: edit::joined(changed) })
}

/// Blanks what is found by one look at the file.
fn blank_once(bytes: &mut [u8], media_type: MediaType) -> edit::Edits {
    let layout = container::read(bytes, media_type);
    let mut edits = edit::Edits::default();
    tiff::find(bytes, &layout, &mut edits);
    xmp::find(bytes, &layout, &mut edits);
    let film = match media_type {
        // In a box among the others, wherever it stands: behind the first, which says what the file is.
        MediaType::Heic | MediaType::Avif => edit::be32(bytes, 0).and_then(|first| usize::try_from(first).ok()),
        _ => layout.trailer,
    };
    if let Some(start) = film {
        film::find(bytes, start, &mut edits);
    }
    if media_type == MediaType::Png {
        png::find(bytes, &mut edits);
    }
    edits.apply(bytes);
    if media_type == MediaType::Png {
        png::mend_checksums(bytes, &mut edits);
    }
    edits
}
