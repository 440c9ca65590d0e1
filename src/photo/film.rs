//! Does a short film go with the picture, and where does it hold the place?
//!
//! Some phones append an MP4 to a JPEG, or put it into a box of a HEIC. Its place stands in `moov/udta` as `©xyz` (ISO 6709
//! text) or `loci` (3GPP TS 26.244 §8.10): such a box becomes a `free` box of zeros, which players pass over (ISO/IEC 14496-12
//! §8.1.2). Or it stands in a `meta` box under a key that is called so (QuickTime File Format, Metadata: `keys` names, `ilst`
//! holds what each says): the name and what it says are overwritten.

use std::ops::Range;

use super::Place;
use super::edit::{Edits, be32, position};

/// Longer than a place with a name and a note.
const LONGEST_BOX: usize = 1 << 10;

/// More keys than any camera writes.
const MOST_KEYS: usize = 1 << 10;

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
    let mut at = start;
    while let Some(found) = position(bytes, b"keys", at) {
        at = found + 4;
        let Some(keys) = box_at(bytes, found) else { continue };
        let places = places_among(bytes, &keys);
        if !places.is_empty() {
            said_of(bytes, &places, keys.end, edits);
        }
    }
}

/// What is in the box whose kind stands at `kind`.
fn box_at(bytes: &[u8], kind: usize) -> Option<Range<usize>> {
    let begin = kind.checked_sub(4)?;
    let end = begin.checked_add(be32(bytes, begin)? as usize)?;
    (kind + 4 <= end && end <= bytes.len()).then_some(kind + 4..end)
}

/// The keys that are called after a place, as far as these are keys: their numbers, from 1, and where their names stand.
fn places_among(bytes: &[u8], keys: &Range<usize>) -> Vec<(u32, Range<usize>)> {
    let keys_only = &bytes[..keys.end];
    let count = be32(keys_only, keys.start + 4).unwrap_or_default();
    let mut places = Vec::new();
    let mut at = keys.start + 8;
    for number in (1..=count).take(MOST_KEYS) {
        let end = be32(keys_only, at).and_then(|length| at.checked_add(length as usize));
        let Some((name, end)) = end.and_then(|end| Some((keys_only.get(at + 8..end)?, end))) else { break };
        if name.windows(8).any(|part| part.eq_ignore_ascii_case(b"location")) {
            places.push((number, at + 8..end));
        }
        at = end;
    }
    places
}

/// Blanks the names of these keys, and what the next `ilst` behind `from` says of them.
fn said_of(bytes: &[u8], places: &[(u32, Range<usize>)], from: usize, edits: &mut Edits) {
    for (_, name) in places {
        edits.find(Place::Film);
        edits.fill(name.clone(), b'-');
    }
    let Some(list) = position(bytes, b"ilst", from).and_then(|list| box_at(bytes, list)) else { return };
    let mut at = list.start;
    while let (Some(length), Some(key)) = (be32(bytes, at), be32(bytes, at + 4)) {
        let end = at.saturating_add(length as usize);
        if length < 8 || end > list.end {
            return;
        }
        // A value is a box of its own within: its length, `data`, its type and language, and what it says.
        if places.iter().any(|(number, _)| *number == key) {
            edits.fill((at + 24).min(end)..end, 0);
        }
        at = end;
    }
}
