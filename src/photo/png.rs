//! Which text blocks of a PNG may hold the place, and how is a chunk's checksum mended?
//!
//! Source: PNG (W3C third edition) §5.3 chunk layout, §5.5 CRC, §11.3.3 textual chunks.

use std::ops::Range;

use super::Place;
use super::container::png_chunks;
use super::edit::{Edits, be32, position};

const XMP_NAME: &[u8] = b"XML:com.adobe.xmp\0";
/// Exif and XMP as hexadecimal text: a habit of older programs.
const RAW_NAMES: [&[u8]; 4] =
    [b"Raw profile type exif\0", b"Raw profile type APP1\0", b"Raw profile type xmp\0", b"Raw profile type EXIF\0"];
/// A private chunk that decoders pass over: lower case first and second, reserved upper-case third, safe to copy.
const EMPTY: [u8; 4] = *b"bnIk";

/// The text of an uncompressed XMP chunk.
pub(super) fn plain_xmp(bytes: &[u8], body: Range<usize>) -> Option<Range<usize>> {
    let content = bytes.get(body.clone())?;
    let rest = content.strip_prefix(XMP_NAME).filter(|rest| rest.first() == Some(&0))?;
    // Flag and method, then two names that end with zero.
    let language = position(rest, &[0], 2)?;
    let translated = position(rest, &[0], language + 1)?;
    Some(body.start + XMP_NAME.len() + translated + 1..body.end)
}

/// Blanks text that cannot be searched as it stands.
pub(super) fn find(bytes: &[u8], edits: &mut Edits) {
    for (kind, body) in png_chunks(bytes) {
        let content = bytes.get(body.clone()).unwrap_or_default();
        let text = matches!(&kind, b"iTXt" | b"tEXt" | b"zTXt");
        let packed_xmp =
            &kind == b"iTXt" && content.strip_prefix(XMP_NAME).is_some_and(|rest| rest.first() == Some(&1));
        if packed_xmp || (text && RAW_NAMES.iter().any(|name| content.starts_with(name))) {
            edits.find(Place::PackedText);
            edits.write(body.start - 4, &EMPTY);
            edits.fill(body, 0);
        }
    }
}

/// Mends the checksum of every chunk that was written to.
pub(super) fn mend_checksums(bytes: &mut [u8], edits: &mut Edits) {
    let changed = edits.ranges();
    let touched: Vec<Range<usize>> = png_chunks(bytes)
        .map(|(_, body)| body.start - 4..body.end)
        .filter(|chunk| changed.iter().any(|range| range.start < chunk.end && chunk.start < range.end))
        .collect();
    for chunk in touched {
        let sum = bytes.get(chunk.clone()).map(crc32);
        if let (Some(sum), Some(old)) = (sum, be32(bytes, chunk.end))
            && sum != old
            && let Some(place) = bytes.get_mut(chunk.end..chunk.end + 4)
        {
            place.copy_from_slice(&sum.to_be_bytes());
            edits.write(chunk.end, &sum.to_be_bytes());
        }
    }
}

/// CRC-32 as PNG has it: reflected polynomial 0xedb88320, all ones before, inverted after.
fn crc32(bytes: &[u8]) -> u32 {
    let step = |sum: u32, byte: &u8| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| if sum & 1 == 1 { sum >> 1 ^ 0xedb8_8320 } else { sum >> 1 })
    };
    !bytes.iter().fold(u32::MAX, step)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_checksum_is_the_published_one() {
        // The check value of CRC-32/ISO-HDLC in the catalogue of parametrised CRC algorithms (from memory).
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
    }
}
