//! What does a photograph's file say of itself: kind, size, which way is up, when it was taken?

use chrono::{DateTime, FixedOffset, NaiveDateTime, Utc};

use super::container::Layout;
use super::edit::{be32, position};
use super::tiff;

/// What the file says of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facts {
    /// By its first bytes, not by its name.
    pub media_type: MediaType,
    /// Pixels across and down as stored, before turning upright by [`Facts::orientation`]; `None` if the file hides it.
    pub stored_size: Option<(u32, u32)>,
    /// Exif orientation, 1 (upright) to 8.
    pub orientation: u16,
    /// When it was taken.
    pub taken: Option<Taken>,
}

impl Facts {
    /// Pixels across and down once turned upright. Orientations 5 to 8 lie on their side.
    pub fn upright_size(&self) -> Option<(u32, u32)> {
        self.stored_size.map(|(width, height)| if self.orientation >= 5 { (height, width) } else { (width, height) })
    }
}

/// A moment as a camera writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taken {
    /// The camera's wall clock.
    pub local: NaiveDateTime,
    /// Its distance from UTC, if the camera wrote it.
    pub offset: Option<FixedOffset>,
}

impl Taken {
    /// The moment, if the file alone tells it.
    pub fn utc(&self) -> Option<DateTime<Utc>> {
        let offset = self.offset?;
        Some(self.local.and_local_timezone(offset).single()?.to_utc())
    }
}

/// Kinds of picture that cameras and phones write.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MediaType {
    /// `image/jpeg`
    Jpeg,
    /// `image/png`
    Png,
    /// `image/webp`
    Webp,
    /// `image/heic`
    Heic,
    /// `image/avif`
    Avif,
    /// `image/gif`
    Gif,
    /// `image/tiff`
    Tiff,
}

impl MediaType {
    /// By the first bytes.
    pub fn of(bytes: &[u8]) -> Option<Self> {
        Some(match bytes {
            [0xff, 0xd8, 0xff, ..] => Self::Jpeg,
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => Self::Png,
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Self::Webp,
            [b'G', b'I', b'F', b'8', b'7' | b'9', b'a', ..] => Self::Gif,
            [b'I', b'I', b'*', 0, ..] | [b'M', b'M', 0, b'*', ..] => Self::Tiff,
            [_, _, _, _, b'f', b't', b'y', b'p', ..] => Self::of_brands(bytes)?,
            _ => return None,
        })
    }

    /// By the brands of an ISO base media file (ISO/IEC 14496-12 §4.3).
    fn of_brands(bytes: &[u8]) -> Option<Self> {
        let length = usize::try_from(be32(bytes, 0)?).ok()?.min(64);
        let brands = bytes.get(8..length)?;
        let has = |brand: &[u8]| brands.chunks(4).any(|known| known == brand);
        if has(b"avif") || has(b"avis") {
            Some(Self::Avif)
        } else if [b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1"].iter().any(|brand| has(*brand)) {
            Some(Self::Heic)
        } else {
            None
        }
    }

    /// The name on the wire.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Webp => "image/webp",
            Self::Heic => "image/heic",
            Self::Avif => "image/avif",
            Self::Gif => "image/gif",
            Self::Tiff => "image/tiff",
        }
    }
}

/// Reads them.
pub(super) fn read(bytes: &[u8], media_type: MediaType, layout: &Layout) -> Facts {
    let exif = layout.exif.first().cloned().or_else(|| match media_type {
        MediaType::Heic | MediaType::Avif => {
            let start = position(bytes, b"Exif", 0)?;
            tiff::first_loose(bytes.get(start..)?).map(|found| start + found.start..start + found.end)
        }
        _ => None,
    });
    let said = exif.map(|range| tiff::said(bytes, range)).unwrap_or_default();
    let local = said.taken.and_then(|text| NaiveDateTime::parse_from_str(&text, "%Y:%m:%d %H:%M:%S").ok());
    let offset = said.taken_offset.and_then(|text| text.parse::<FixedOffset>().ok());
    // Boxes of their own turn these; Exif only repeats it (ISO/IEC 23008-12 annex A.2).
    let turned = matches!(media_type, MediaType::Heic | MediaType::Avif);
    Facts {
        media_type,
        stored_size: layout.size.filter(|(width, height)| *width > 0 && *height > 0),
        orientation: said.orientation.filter(|_| !turned).unwrap_or(1),
        taken: local.map(|local| Taken { local, offset }),
    }
}
