//! How large is a HEIC or AVIF picture, upright?
//!
//! Source: ISO/IEC 14496-12 §4.2 (boxes), §8.11.4 (`pitm`); ISO/IEC 23008-12 §6.5 (`ispe`, `clap`, `irot`) and §9.3
//! (`ipco`, `ipma`). Only the primary picture counts: tiles, thumbnails and gain maps have sizes of their own.

use std::ops::Range;

use super::edit::{be16, be32};

/// Width and height of the primary picture as it is to be shown.
pub(super) fn upright_size(bytes: &[u8]) -> Option<(u32, u32)> {
    // Four bytes of version and flags stand in front of what is in `meta`.
    let meta = child(bytes, 0..bytes.len(), b"meta")?;
    let inside = meta.start + 4..meta.end;
    let pitm = child(bytes, inside.clone(), b"pitm")?.start;
    let primary =
        if bytes.get(pitm) == Some(&0) { be16(bytes, pitm + 4).map(u32::from) } else { be32(bytes, pitm + 4) };
    let iprp = child(bytes, inside, b"iprp")?;
    let ipco = child(bytes, iprp.clone(), b"ipco")?;
    let properties: Vec<([u8; 4], Range<usize>)> = boxes(bytes, ipco).collect();

    let mut size = None;
    let mut clean = None;
    let mut on_its_side = false;
    for number in numbers_of(bytes, child(bytes, iprp, b"ipma")?, primary?) {
        let Some((kind, body)) = number.checked_sub(1).and_then(|index| properties.get(index)) else { continue };
        let ratio = |at: usize| be32(bytes, at)?.checked_div(be32(bytes, at + 4)?);
        match kind {
            b"ispe" => size = be32(bytes, body.start + 4).zip(be32(bytes, body.start + 8)),
            b"clap" => clean = ratio(body.start).zip(ratio(body.start + 8)),
            b"irot" => on_its_side = bytes.get(body.start).is_some_and(|turns| turns % 2 == 1),
            _ => {}
        }
    }
    let (width, height) = clean.or(size)?;
    Some(if on_its_side { (height, width) } else { (width, height) })
}

/// The numbers, from 1, of an item's properties.
fn numbers_of(bytes: &[u8], ipma: Range<usize>, item: u32) -> Vec<usize> {
    let wide_ids = bytes.get(ipma.start).is_some_and(|version| *version > 0);
    let wide_numbers = bytes.get(ipma.start + 3).is_some_and(|flags| flags & 1 == 1);
    let mut at = ipma.start + 8;
    for _ in 0..be32(bytes, ipma.start + 4).unwrap_or(0) {
        let id = if wide_ids { be32(bytes, at) } else { be16(bytes, at).map(u32::from) };
        at += if wide_ids { 4 } else { 2 };
        let (Some(id), Some(count)) = (id, bytes.get(at).filter(|_| at < ipma.end)) else { break };
        at += 1;
        let step = if wide_numbers { 2 } else { 1 };
        if id == item {
            let number = |at| if wide_numbers { be16(bytes, at) } else { bytes.get(at).map(|byte| u16::from(*byte)) };
            // The highest bit says whether the property is essential.
            let mask = if wide_numbers { 0x7fff } else { 0x7f };
            return (0..usize::from(*count)).filter_map(|n| number(at + step * n)).map(|n| (n & mask).into()).collect();
        }
        at += step * usize::from(*count);
    }
    Vec::new()
}

fn child(bytes: &[u8], within: Range<usize>, wanted: &[u8; 4]) -> Option<Range<usize>> {
    boxes(bytes, within).find(|(kind, _)| kind == wanted).map(|(_, body)| body)
}

/// Boxes in a row: kind and content. Ends at the first that does not fit.
fn boxes(bytes: &[u8], within: Range<usize>) -> impl Iterator<Item = ([u8; 4], Range<usize>)> + '_ {
    let mut at = within.start;
    std::iter::from_fn(move || {
        let length = usize::try_from(be32(bytes, at)?).ok()?;
        let kind: [u8; 4] = bytes.get(at + 4..at + 8)?.try_into().ok()?;
        let end = at.checked_add(length)?;
        if length < 8 || end > within.end {
            return None;
        }
        let body = at + 8..end;
        at = end;
        Some((kind, body))
    })
}
