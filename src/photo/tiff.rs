//! Where does a TIFF structure, such as Exif, hold the place; when was it taken, and which way is up?
//!
//! Source: TIFF 6.0 §2 (header, directories, entries) and CIPA DC-008 (Exif 2.32) §4.6 for the tags.

use std::collections::BTreeSet;
use std::ops::Range;

use super::Place;
use super::container::Layout;
use super::edit::{Edits, joined};

const ORIENTATION: u16 = 0x0112;
const SUB_DIRECTORIES: u16 = 0x014a;
const EXIF_DIRECTORY: u16 = 0x8769;
const GPS_DIRECTORY: u16 = 0x8825;
const TAKEN: u16 = 0x9003;
const TAKEN_OFFSET: u16 = 0x9011;
/// Takes the place of [`GPS_DIRECTORY`]: a tag that no standard gives a meaning, so that readers pass over it,
/// and that keeps the entries in ascending order.
const NOTHING: u16 = 0x8826;

/// Byte order, a number and the first offset.
const HEADER: usize = 8;
/// Tag, kind, count, and the value or where it lies.
const ENTRY: usize = 12;
/// More directories than any camera writes; bounds the work on a broken file.
const MOST_DIRECTORIES: usize = 64;
/// More entries of one structure than any camera writes, and of all that a file has; as many GPS directories.
const MOST_ENTRIES: usize = 1 << 16;
const MOST_ENTRIES_IN_ALL: usize = 1 << 20;
const MOST_GPS_DIRECTORIES: usize = 1 << 10;
/// More than the 32 tags that Exif gives a GPS directory.
const MOST_GPS_ENTRIES: usize = 64;
/// Longer than any value of a GPS directory.
const LONGEST_VALUE: usize = 1 << 16;
/// How far a structure that no container speaks of may reach.
const LOOSE_REACH: usize = 1 << 20;
/// How many entries are tried while looking for such structures.
const LOOSE_BUDGET: usize = 1 << 20;

/// Blanks GPS directories in the TIFF structures given, and in those that stand anywhere else in the file.
pub(super) fn find(bytes: &[u8], layout: &Layout, edits: &mut Edits) {
    let known = &layout.exif;
    let loose = loose(bytes).filter_map(|start| {
        let inside = known.iter().find(|range| range.contains(&start));
        let end = inside.map_or_else(|| layout.reach(start, LOOSE_REACH).min(bytes.len()), |range| range.end);
        inside.is_none_or(|range| range.start != start).then_some(start..end)
    });
    let mut budget = MOST_ENTRIES_IN_ALL;
    let mut structures = Vec::new();
    for range in known.iter().cloned().chain(loose) {
        let base = range.start;
        let Some(tiff) = bytes.get(range).and_then(Tiff::new).filter(|_| budget > 0) else { continue };
        let entries = tiff.entries();
        budget = budget.saturating_sub(entries.len() + 1);
        structures.push((base, tiff, entries));
    }
    // What is not of the place. A place that a broken or stale offset leads there is none: header and directories stay, or
    // the picture would lose which way is up.
    let tables = structures.iter().flat_map(|(base, _, entries)| {
        // With how many there are, which stands before the first, and the next directory's offset behind the last.
        let entries = entries.iter().map(move |(_, entry)| base + entry.at - 2..base + entry.at + ENTRY + 4);
        entries.chain(std::iter::once(*base..base + HEADER))
    });
    let tables = joined(tables.collect());
    let mut blanked = BTreeSet::new();
    for (base, tiff, entries) in structures {
        blank(base, &tiff, &entries, &tables, &mut blanked, edits);
    }
}

/// What Exif says that we want to know.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Said {
    /// 1 to 8.
    pub orientation: Option<u16>,
    /// `YYYY:MM:DD HH:MM:SS`.
    pub taken: Option<String>,
    /// `+02:00`.
    pub taken_offset: Option<String>,
}

/// Reads one structure.
pub(super) fn said(bytes: &[u8], range: Range<usize>) -> Said {
    let mut said = Said::default();
    let Some(tiff) = bytes.get(range).and_then(Tiff::new) else { return said };
    for (number, entry) in tiff.entries() {
        match entry.tag {
            ORIENTATION if number == 0 => {
                said.orientation = tiff.u16(entry.at + 8).filter(|value| (1..=8).contains(value));
            }
            TAKEN => said.taken = tiff.text(&entry),
            TAKEN_OFFSET => said.taken_offset = tiff.text(&entry),
            _ => {}
        }
    }
    said
}

/// The first TIFF structure that stands anywhere: for files whose container we do not walk through.
pub(super) fn first_loose(bytes: &[u8]) -> Option<Range<usize>> {
    loose(bytes).next().map(|start| start..(start + LOOSE_REACH).min(bytes.len()))
}

/// Blanks what a structure's entries lead to. A directory that was blanked already, and more than any camera writes, is
/// passed over; the entry that leads there is not.
fn blank(
    base: usize,
    tiff: &Tiff<'_>,
    entries: &[(usize, Entry)],
    tables: &[Range<usize>],
    blanked: &mut BTreeSet<usize>,
    edits: &mut Edits,
) {
    for (_, entry) in entries.iter().filter(|(_, entry)| entry.tag == GPS_DIRECTORY) {
        edits.find(Place::Exif);
        edits.write(base + entry.at, &if tiff.big { NOTHING.to_be_bytes() } else { NOTHING.to_le_bytes() });
        edits.fill(base + entry.at + 8..base + entry.at + ENTRY, 0);
        let Some(directory) = tiff.offset(entry.at + 8) else { continue };
        let Some(count) = tiff.u16(directory) else { continue };
        if blanked.len() >= MOST_GPS_DIRECTORIES || !blanked.insert(base + directory) {
            continue;
        }
        let count = usize::from(count).min(MOST_GPS_ENTRIES);
        for value in (0..count).filter_map(|n| tiff.entry(directory + 2 + ENTRY * n)).filter_map(|e| tiff.value(&e)) {
            edits.fill_around(base + value.start..base + value.end.min(value.start + LONGEST_VALUE), 0, tables);
        }
        let table_end = (directory + 2 + ENTRY * count + 4).min(tiff.data.len());
        edits.fill_around(base + directory..base + table_end, 0, tables);
    }
}

/// Byte-order marks that are followed by a directory which could be one. Entries stand in ascending order (TIFF 6.0 §2), but not
/// every program keeps to it: where the structure is named as Exif is in HEIC and AVIF, the name says enough.
fn loose(bytes: &[u8]) -> impl Iterator<Item = usize> + '_ {
    let mut budget = LOOSE_BUDGET;
    (0..bytes.len().saturating_sub(8)).filter(move |at| {
        let Some(head) = bytes.get(*at..) else { return false };
        if !(head.starts_with(b"II*\0") || head.starts_with(b"MM\0*")) {
            return false;
        }
        let Some(tiff) = Tiff::new(head.get(..LOOSE_REACH).unwrap_or(head)) else { return false };
        let Some(first) = tiff.offset(4) else { return false };
        let count = tiff.u16(first).map_or(0, usize::from);
        let named = bytes.get(..*at).is_some_and(|before| before.ends_with(b"Exif\0\0"));
        let mut last = None;
        count > 0
            && (0..count).all(|number| {
                budget = budget.saturating_sub(1);
                let entry = tiff.entry(first + 2 + ENTRY * number).filter(|_| budget > 0);
                let fits = entry.as_ref().is_some_and(|e| (1..=13).contains(&e.kind) && (named || last < Some(e.tag)));
                last = entry.map(|e| e.tag);
                fits
            })
    })
}

struct Tiff<'a> {
    data: &'a [u8],
    big: bool,
}

struct Entry {
    at: usize,
    tag: u16,
    kind: u16,
    count: u32,
}

impl<'a> Tiff<'a> {
    fn new(data: &'a [u8]) -> Option<Self> {
        let big = match data.get(..4)? {
            b"II*\0" => false,
            b"MM\0*" => true,
            _ => return None,
        };
        Some(Self { data, big })
    }

    fn u16(&self, at: usize) -> Option<u16> {
        let two = self.data.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if self.big { u16::from_be_bytes(two) } else { u16::from_le_bytes(two) })
    }

    fn u32(&self, at: usize) -> Option<u32> {
        let four = self.data.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if self.big { u32::from_be_bytes(four) } else { u32::from_le_bytes(four) })
    }

    /// An offset that points behind the header, where directories and values can lie.
    fn offset(&self, at: usize) -> Option<usize> {
        let value = usize::try_from(self.u32(at)?).ok()?;
        (HEADER..self.data.len()).contains(&value).then_some(value)
    }

    fn entry(&self, at: usize) -> Option<Entry> {
        // All twelve bytes or nothing.
        self.u32(at + 8)?;
        Some(Entry { at, tag: self.u16(at)?, kind: self.u16(at + 2)?, count: self.u32(at + 4)? })
    }

    /// Where a value lies that does not fit into its entry; cut off at the end of the data.
    fn value(&self, entry: &Entry) -> Option<Range<usize>> {
        let unit = match entry.kind {
            1 | 2 | 6 | 7 => 1,
            3 | 8 => 2,
            4 | 9 | 11 | 13 => 4,
            5 | 10 | 12 => 8,
            _ => return None,
        };
        let length = usize::try_from(entry.count).ok()?.checked_mul(unit)?;
        if length <= 4 {
            return None;
        }
        let start = self.offset(entry.at + 8)?;
        Some(start..start.saturating_add(length).min(self.data.len()))
    }

    fn text(&self, entry: &Entry) -> Option<String> {
        let range = self.value(entry).filter(|range| entry.kind == 2 && range.len() <= 64)?;
        let text = std::str::from_utf8(self.data.get(range)?).ok()?;
        Some(text.trim_end_matches('\0').trim().to_owned())
    }

    /// Every entry of every directory that can be reached without the GPS one, with its directory's number.
    fn entries(&self) -> Vec<(usize, Entry)> {
        let mut entries = Vec::new();
        let mut seen = BTreeSet::new();
        let mut ahead: Vec<usize> = self.offset(4).into_iter().collect();
        while let Some(directory) = ahead.pop() {
            if seen.len() >= MOST_DIRECTORIES || entries.len() >= MOST_ENTRIES || !seen.insert(directory) {
                continue;
            }
            let number = seen.len() - 1;
            let Some(count) = self.u16(directory).map(usize::from) else { continue };
            if let Some(next) = self.offset(directory + 2 + ENTRY * count) {
                ahead.push(next);
            }
            for entry in (0..count).map_while(|n| self.entry(directory + 2 + ENTRY * n)) {
                match entry.tag {
                    EXIF_DIRECTORY => ahead.extend(self.offset(entry.at + 8)),
                    SUB_DIRECTORIES => match self.value(&entry) {
                        Some(list) => {
                            let places = list.step_by(4).take(MOST_DIRECTORIES);
                            ahead.extend(places.filter_map(|place| self.offset(place)));
                        }
                        None => ahead.extend(self.offset(entry.at + 8)),
                    },
                    _ => {}
                }
                entries.push((number, entry));
            }
        }
        entries
    }
}
