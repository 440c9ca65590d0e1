//! Does a short film go with the picture, and where does it hold the place?
//!
//! Some phones append an MP4 to a JPEG, or put it into a box of a HEIC. Its place stands in `moov/udta` as `©xyz` (ISO 6709 text) or `loci` (3GPP TS 26.244
//! §8.10). Such a box becomes a `free` box of zeros, which players pass over (ISO/IEC 14496-12 §8.1.2).

use super::Place;
use super::edit::{Edits, be32, position};

/// Longer than a place with a name and a note.
const LONGEST_BOX: usize = 1 << 10;

/// Blanks the boxes from `start` on.
pub(super) fn find(bytes: &[u8], start: usize, edits: &mut Edits) {
    if position(bytes, b"moov", start).is_none() {
        return;
    }
    for kind in [b"\xa9xyz", b"loci"] {
        let mut at = start;
        while let Some(found) = position(bytes, kind, at) {
            at = found + 4;
            let Some(box_start) = found.checked_sub(4).filter(|begin| *begin >= start) else { continue };
            let Some(length) = be32(bytes, box_start).and_then(|length| usize::try_from(length).ok()) else { continue };
            if (9..=LONGEST_BOX).contains(&length) && box_start + length <= bytes.len() {
                edits.find(Place::Film);
                edits.write(found, b"free");
                edits.fill(found + 4..box_start + length, 0);
            }
        }
    }
}
