//! Does any photograph keep its place, or lose anything else?

use loomwalk::photo::{MediaType, PhotoError, blank_location};

use super::told;

const ORIENTATION: u16 = 0x0112;
const GPS_DIRECTORY: u16 = 0x8825;
/// Places behind each other that are found in the end, in files that are broken on purpose.
const MOST_HIDDEN: usize = 4;

/// Whether it was taken for a photograph.
pub fn read(before: &[u8]) -> bool {
    let mut after = before.to_vec();
    let cleaned = match blank_location(&mut after) {
        Ok(cleaned) => cleaned,
        Err(error) => {
            assert_eq!(error, PhotoError::NotAPicture);
            assert_eq!(after, before);
            told(error);
            return false;
        }
    };
    assert_eq!(after.len(), before.len());
    let ranges = &cleaned.changed;
    assert!(ranges.iter().all(|range| range.start < range.end && range.end <= before.len()), "{ranges:?}");
    assert!(ranges.iter().zip(ranges.iter().skip(1)).all(|(one, next)| one.end < next.start), "{ranges:?}");
    let mut untouched = 0;
    for range in ranges.iter().cloned().chain(std::iter::once(before.len()..before.len())) {
        assert_eq!(before[untouched..range.start], after[untouched..range.start], "changed without saying so");
        untouched = range.end;
    }
    assert_eq!(cleaned.location_removed(), !ranges.is_empty());
    if let Some((width, height)) = cleaned.facts.upright_size() {
        assert!(width > 0 && height > 0);
    }

    // In a broken file one place may hide another: what ends one piece of XMP may lie in another's GPS directory.
    let mut last = after.clone();
    let mut again = blank_location(&mut last).expect("it is a picture still");
    assert_eq!(again.facts.media_type, cleaned.facts.media_type);
    for _ in 0..MOST_HIDDEN {
        if again.found.is_empty() {
            break;
        }
        again = blank_location(&mut last).expect("it is a picture still");
    }
    assert_eq!((again.found, again.changed), (vec![], vec![]), "nothing is left to be found");
    if cleaned.facts.media_type == MediaType::Jpeg {
        jpeg(before, &last);
    }
    true
}

/// By a reader of its own: the segments stand where they stood, all but Exif and XMP as they were, and no directory of the
/// place is left. Up to the first scan; where a segment is broken, up to there.
fn jpeg(before: &[u8], after: &[u8]) {
    let (one, other) = (segments(before), segments(after));
    assert_eq!(one.len(), other.len(), "as many segments as before");
    for ((marker, old), (same, new)) in one.into_iter().zip(other) {
        assert_eq!((marker, old.len()), (same, new.len()));
        if let Some(exif) = new.strip_prefix(b"Exif\0\0") {
            assert!(tag(exif, GPS_DIRECTORY).is_none(), "a place is left");
            let upright = old.strip_prefix(b"Exif\0\0").and_then(|exif| tag(exif, ORIENTATION));
            assert_eq!(tag(exif, ORIENTATION), upright, "which way is up");
        }
    }
}

fn segments(bytes: &[u8]) -> Vec<(u8, &[u8])> {
    let mut found = Vec::new();
    let mut rest = bytes.get(2..).unwrap_or_default();
    while let [0xff, marker @ 0xc0..=0xfe, high, low, behind @ ..] = rest {
        // These stand alone (ITU-T T.81, table B.1): what follows is no segment of theirs.
        if matches!(marker, 0xd0..=0xd9) {
            break;
        }
        let length = usize::from(u16::from_be_bytes([*high, *low]));
        let Some(content) = length.checked_sub(2).and_then(|length| behind.get(..length)) else { break };
        found.push((*marker, content));
        if *marker == 0xda {
            break;
        }
        rest = &behind[content.len()..];
    }
    found
}

/// What an entry of the first directory of a TIFF structure holds. An entry that is cut off leads nowhere.
fn tag(tiff: &[u8], wanted: u16) -> Option<[u8; 12]> {
    let big = match tiff.get(..4)? {
        b"MM\0*" => true,
        b"II*\0" => false,
        _ => return None,
    };
    let u16_at = |at: usize| {
        let two: [u8; 2] = tiff.get(at..at + 2)?.try_into().ok()?;
        Some(if big { u16::from_be_bytes(two) } else { u16::from_le_bytes(two) })
    };
    let first: [u8; 4] = tiff.get(4..8)?.try_into().ok()?;
    let first = if big { u32::from_be_bytes(first) } else { u32::from_le_bytes(first) } as usize;
    // An offset into the head itself means that there is none.
    let count = usize::from(u16_at(first).filter(|_| first >= 8)?);
    let entries = (0..count).map_while(|number| tiff.get(first + 2 + 12 * number..first + 14 + 12 * number));
    let found = entries.zip(0..).find(|(_, number)| u16_at(first + 2 + 12 * number) == Some(wanted))?;
    found.0.try_into().ok()
}
