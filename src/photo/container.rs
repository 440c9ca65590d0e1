//! Where in a picture's file do Exif and XMP stand?
//!
//! Sources: JPEG markers, ITU-T T.81 annex B; Exif in JPEG, CIPA DC-008 §4.7.2; XMP in JPEG, PNG and WebP,
//! ISO 16684-1 and XMP specification part 3 §1.1; WebP container, RFC 9649; PNG, W3C third edition §11.3.

use std::collections::BTreeMap;
use std::ops::Range;

use super::edit::{be16, be32, le32, position};
use super::{MediaType, heif};

const XMP_JPEG: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
const XMP_JPEG_EXTENDED: &[u8] = b"http://ns.adobe.com/xmp/extension/\0";
/// Behind the name of extended XMP: a 32-digit name of the packet, its full length and this part's offset.
const EXTENDED_HEAD: usize = 32 + 4 + 4;

/// What was found where.
#[derive(Debug, Default)]
pub(super) struct Layout {
    /// TIFF structures, from their byte-order mark to the end of what belongs to them.
    pub exif: Vec<Range<usize>>,
    /// XMP packets, each as its parts in order.
    pub xmp: Vec<Vec<Range<usize>>>,
    /// Width and height as stored; of HEIC and AVIF upright.
    pub size: Option<(u32, u32)>,
    /// Where a JPEG ends and something else may begin.
    pub trailer: Option<usize>,
    /// Segments and chunks with their heads, in order. What no container speaks of stays within the one that it begins in.
    sections: Vec<Range<usize>>,
}

impl Layout {
    /// A packet in one part.
    fn whole_xmp(&mut self, part: Range<usize>) {
        self.xmp.push(std::iter::once(part).collect());
    }

    /// How far what begins at `start` can go without reaching into another segment or chunk, at most `most` bytes.
    pub fn reach(&self, start: usize, most: usize) -> usize {
        let behind = self.sections.partition_point(|section| section.start <= start);
        let inside = behind.checked_sub(1).and_then(|at| self.sections.get(at)).filter(|section| start < section.end);
        let next = self.sections.get(behind).map(|section| section.start);
        inside.map(|section| section.end).or(next).unwrap_or(usize::MAX).min(start.saturating_add(most))
    }
}

/// Walks through the file once.
pub(super) fn read(bytes: &[u8], media_type: MediaType) -> Layout {
    let mut layout = Layout::default();
    match media_type {
        MediaType::Jpeg => jpeg(bytes, &mut layout),
        MediaType::Png => png(bytes, &mut layout),
        MediaType::Webp => webp(bytes, &mut layout),
        MediaType::Heic | MediaType::Avif => layout.size = heif::upright_size(bytes),
        MediaType::Tiff => layout.exif.push(0..bytes.len()),
        MediaType::Gif => {
            let side = |at| be16(bytes, at).map(|value| u32::from(value.swap_bytes()));
            layout.size = side(6).zip(side(8));
        }
    }
    layout
}

/// Every picture of the file: the main one, then those behind its end (CIPA DC-007 multi-picture, gain maps).
fn jpeg(bytes: &[u8], layout: &mut Layout) {
    let mut extended: BTreeMap<&[u8], Vec<(u32, Range<usize>)>> = BTreeMap::new();
    let mut start = 0;
    while let Some(soi) = position(bytes, &[0xff, 0xd8, 0xff], start) {
        start = one_jpeg(bytes, soi + 2, layout, &mut extended);
        layout.trailer.get_or_insert(start);
    }
    for mut parts in extended.into_values() {
        parts.sort_by_key(|(offset, _)| *offset);
        layout.xmp.push(parts.into_iter().map(|(_, range)| range).collect());
    }
}

/// One picture's segments, from behind its start marker; gives where it ends.
fn one_jpeg<'a>(
    bytes: &'a [u8],
    start: usize,
    layout: &mut Layout,
    extended: &mut BTreeMap<&'a [u8], Vec<(u32, Range<usize>)>>,
) -> usize {
    let mut at = start;
    loop {
        // To the next marker; within a scan 0xff00 is a value and 0xffd0 to 0xffd7 count on.
        let Some(ff) = position(bytes, &[0xff], at) else { return bytes.len() };
        let Some(marker) = bytes.get(ff + 1) else { return bytes.len() };
        at = ff + 1;
        match marker {
            0xff => continue,
            0x00 | 0x01 | 0xd0..=0xd8 => {
                at += 1;
                continue;
            }
            0xd9 => return ff + 2,
            _ => {}
        }
        let Some(length) = be16(bytes, ff + 2).map(usize::from).filter(|length| *length >= 2) else { continue };
        let end = (ff + 2 + length).min(bytes.len());
        layout.sections.push(ff..end);
        let body = ff + 4;
        let content = bytes.get(body..end).unwrap_or_default();
        match marker {
            0xe1 if content.starts_with(b"Exif\0") => layout.exif.push((body + 6).min(end)..end),
            0xe1 if content.starts_with(XMP_JPEG) => layout.whole_xmp(body + XMP_JPEG.len()..end),
            0xe1 if content.starts_with(XMP_JPEG_EXTENDED) => {
                let name = XMP_JPEG_EXTENDED.len();
                if let Some(guid) = content.get(name..name + 32)
                    && let Some(offset) = be32(content, name + 36)
                    && body + name + EXTENDED_HEAD <= end
                {
                    extended.entry(guid).or_default().push((offset, body + name + EXTENDED_HEAD..end));
                }
            }
            // Start of frame, except the three numbers of that row that mean something else.
            0xc0..=0xcf if !matches!(marker, 0xc4 | 0xc8 | 0xcc) && layout.size.is_none() => {
                let height = be16(content, 1).map(u32::from);
                let width = be16(content, 3).map(u32::from);
                layout.size = width.zip(height);
            }
            _ => {}
        }
        at = end;
    }
}

/// A PNG's chunks: the kind and where the content lies.
pub(super) fn png_chunks(bytes: &[u8]) -> impl Iterator<Item = ([u8; 4], Range<usize>)> + '_ {
    let mut at = 8;
    std::iter::from_fn(move || {
        let length = usize::try_from(be32(bytes, at)?).ok()?;
        let kind: [u8; 4] = bytes.get(at + 4..at + 8)?.try_into().ok()?;
        let body = at + 8;
        let end = body.checked_add(length)?.min(bytes.len());
        at = end.checked_add(4)?;
        Some((kind, body..end))
    })
}

fn png(bytes: &[u8], layout: &mut Layout) {
    for (kind, body) in png_chunks(bytes) {
        layout.sections.push(body.start - 8..body.end);
        match &kind {
            b"IHDR" if layout.size.is_none() => {
                layout.size = be32(bytes, body.start).zip(be32(bytes, body.start + 4));
            }
            b"eXIf" => layout.exif.push(body),
            b"iTXt" => {
                if let Some(text) = super::png::plain_xmp(bytes, body) {
                    layout.whole_xmp(text);
                }
            }
            _ => {}
        }
    }
}

fn webp(bytes: &[u8], layout: &mut Layout) {
    let mut at = 12;
    while let (Some(kind), Some(length)) = (bytes.get(at..at + 4), le32(bytes, at + 4)) {
        let body = at + 8;
        let end = body.saturating_add(usize::try_from(length).unwrap_or(usize::MAX)).min(bytes.len());
        layout.sections.push(at..end);
        let content = bytes.get(body..end).unwrap_or_default();
        match kind {
            b"EXIF" if content.starts_with(b"Exif\0\0") => layout.exif.push(body + 6..end),
            b"EXIF" => layout.exif.push(body..end),
            b"XMP " => layout.whole_xmp(body..end),
            b"VP8X" | b"VP8 " | b"VP8L" if layout.size.is_none() => layout.size = webp_size(kind, content),
            _ => {}
        }
        // Chunks start at even offsets.
        at = end + (end - body) % 2;
    }
}

fn webp_size(kind: &[u8], content: &[u8]) -> Option<(u32, u32)> {
    match kind {
        b"VP8X" => Some(((le32(content, 4)? & 0xff_ffff) + 1, (le32(content, 6)? >> 8) + 1)),
        b"VP8L" => {
            let bits = le32(content, 1)?;
            Some(((bits & 0x3fff) + 1, (bits >> 14 & 0x3fff) + 1))
        }
        _ => {
            let sides = le32(content, 6)?;
            Some((sides & 0x3fff, sides >> 16 & 0x3fff))
        }
    }
}
