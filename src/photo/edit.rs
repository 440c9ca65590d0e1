//! Which bytes are to be overwritten, with what, and why?

use std::collections::BTreeSet;
use std::ops::Range;

use super::Place;

/// Overwrites, collected while reading and carried out afterwards, so that no search sees half-blanked bytes.
#[derive(Debug, Default)]
pub(super) struct Edits {
    fills: Vec<(Range<usize>, u8)>,
    found: BTreeSet<Place>,
}

impl Edits {
    /// Notes that a place was found.
    pub fn find(&mut self, place: Place) {
        self.found.insert(place);
    }

    /// Fills a range with one byte.
    pub fn fill(&mut self, range: Range<usize>, byte: u8) {
        if !range.is_empty() {
            self.fills.push((range, byte));
        }
    }

    /// Fills a range with one byte, but for what lies in one of these, which are [joined].
    pub fn fill_around(&mut self, range: Range<usize>, byte: u8, stays: &[Range<usize>]) {
        let first = stays.partition_point(|part| part.end <= range.start);
        let mut at = range.start;
        for part in stays.iter().skip(first).take_while(|part| part.start < range.end) {
            self.fill(at..part.start, byte);
            at = part.end;
        }
        self.fill(at..range.end, byte);
    }

    /// Writes a few bytes.
    pub fn write(&mut self, at: usize, text: &[u8]) {
        for (offset, byte) in text.iter().enumerate() {
            self.fill(at + offset..at + offset + 1, *byte);
        }
    }

    /// Carries them out. What lies outside of `bytes` is passed over.
    pub fn apply(&self, bytes: &mut [u8]) {
        for (range, byte) in &self.fills {
            let end = range.end.min(bytes.len());
            if let Some(part) = bytes.get_mut(range.start.min(end)..end) {
                part.fill(*byte);
            }
        }
    }

    /// Where a place was found.
    pub fn found(&self) -> Vec<Place> {
        self.found.iter().copied().collect()
    }

    /// The ranges, ascending, touching ones joined.
    pub fn ranges(&self) -> Vec<Range<usize>> {
        joined(self.fills.iter().map(|(range, _)| range.clone()).collect())
    }
}

/// Ascending, touching ones made one.
pub(super) fn joined(mut ranges: Vec<Range<usize>>) -> Vec<Range<usize>> {
    ranges.sort_by_key(|range| range.start);
    let mut joined: Vec<Range<usize>> = Vec::new();
    for range in ranges {
        match joined.last_mut() {
            Some(last) if range.start <= last.end => last.end = last.end.max(range.end),
            _ => joined.push(range),
        }
    }
    joined
}

/// The first place of `needle` in `bytes` at or behind `from`.
pub(super) fn position(bytes: &[u8], needle: &[u8], from: usize) -> Option<usize> {
    let first = *needle.first()?;
    let mut at = from;
    loop {
        at += bytes.get(at..)?.iter().position(|byte| *byte == first)?;
        if bytes.get(at..)?.starts_with(needle) {
            return Some(at);
        }
        at += 1;
    }
}

/// Two bytes, big-endian.
pub(super) fn be16(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
}

/// Four bytes, big-endian.
pub(super) fn be32(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?))
}

/// Four bytes, little-endian.
pub(super) fn le32(bytes: &[u8], at: usize) -> Option<u32> {
    be32(bytes, at).map(u32::swap_bytes)
}
