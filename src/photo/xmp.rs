//! Where does an XMP packet hold the place?
//!
//! XMP (ISO 16684-1) is RDF in XML. Properties of the place have local names that begin with `GPS` (`exif:GPSLatitude`,
//! and makers' own such as `drone:GpsLatitude`), as an attribute or as an element. Both are overwritten with
//! spaces, which leaves the XML well-formed.

use std::ops::Range;

use super::Place;
use super::container::Layout;
use super::edit::{Edits, position};

/// Closing tags that may stand between a property's start and its end.
const DEEPEST: usize = 16;
/// A packet that no container speaks of and whose end is missing is read so far.
const LOOSE_REACH: usize = 1 << 16;

/// Blanks the place in the packets given, and in those that stand anywhere else in the file.
pub(super) fn find(bytes: &[u8], layout: &Layout, edits: &mut Edits) {
    for parts in &layout.xmp {
        in_parts(bytes, parts, edits);
    }
    let mut at = 0;
    while let Some(start) = position(bytes, b"<rdf:RDF", at) {
        let end = layout.reach(start, LOOSE_REACH).min(bytes.len());
        let end = position(bytes.get(..end).unwrap_or(bytes), b"</rdf:RDF", start).unwrap_or(end);
        in_parts(bytes, std::slice::from_ref(&(start..end)), edits);
        at = end;
    }
}

/// One packet, which may lie in the file in several parts: a property may begin in one and end in the next.
fn in_parts(bytes: &[u8], parts: &[Range<usize>], edits: &mut Edits) {
    let text: Vec<u8> = parts.iter().filter_map(|part| bytes.get(part.clone())).flatten().copied().collect();
    for range in properties(&text) {
        edits.find(Place::Xmp);
        let mut passed = 0;
        for part in parts {
            let start = range.start.clamp(passed, passed + part.len()) - passed;
            let end = range.end.clamp(passed, passed + part.len()) - passed;
            edits.fill(part.start + start..part.start + end, b' ');
            passed += part.len();
        }
    }
}

/// Where properties of the place stand, in order.
fn properties(text: &[u8]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(colon) = position(text, b":", at) {
        at = colon + 1;
        if !text.get(at..at + 3).is_some_and(|word| word.eq_ignore_ascii_case(b"gps")) {
            continue;
        }
        let back = text.get(..colon).unwrap_or_default().iter().rev().take_while(|byte| in_name(**byte)).count();
        let start = colon - back;
        let name_end = at + text.get(at..).unwrap_or_default().iter().take_while(|byte| in_name(**byte)).count();
        let before = start.checked_sub(1).and_then(|index| text.get(index));
        let range = match before {
            Some(b'<') => element(text, start - 1, name_end),
            Some(byte) if byte.is_ascii_whitespace() => attribute(text, start, name_end),
            _ => None,
        };
        if let Some(range) = range {
            at = at.max(range.end);
            found.push(range);
        }
    }
    found
}

fn in_name(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-' | b'.') || byte >= 0x80
}

/// `name="value"`: to behind the closing quote, or to the end of the tag when that is missing.
fn attribute(text: &[u8], start: usize, name_end: usize) -> Option<Range<usize>> {
    let rest = text.get(name_end..)?;
    let equals = rest.iter().position(|byte| !byte.is_ascii_whitespace()).filter(|at| rest.get(*at) == Some(&b'='))?;
    let value = rest.get(equals + 1..)?;
    let open = value.iter().position(|byte| !byte.is_ascii_whitespace())?;
    let quote = value.get(open).filter(|byte| matches!(byte, b'"' | b'\''))?;
    let inside = value.get(open + 1..)?;
    let stop = inside.iter().position(|byte| byte == quote || *byte == b'<').unwrap_or(inside.len());
    let close = stop + usize::from(inside.get(stop) == Some(quote));
    Some(start..name_end + equals + 1 + open + 1 + close)
}

/// `<name …>value</name>` or `<name …/>`. Without its end: the tag and the text behind it.
fn element(text: &[u8], start: usize, name_end: usize) -> Option<Range<usize>> {
    let name = text.get(start + 1..name_end)?;
    let tag_end = position(text, b">", name_end)? + 1;
    if text.get(tag_end - 2) == Some(&b'/') {
        return Some(start..tag_end);
    }
    let mut at = tag_end;
    for _ in 0..DEEPEST {
        let Some(close) = position(text, b"</", at) else { break };
        let closed = text.get(close + 2..).unwrap_or_default();
        if closed.starts_with(name) && !closed.get(name.len()).is_some_and(|byte| in_name(*byte)) {
            return position(text, b">", close).map(|end| start..end + 1);
        }
        at = close + 2;
    }
    let value = text.get(tag_end..)?;
    Some(start..tag_end + value.iter().position(|byte| *byte == b'<').unwrap_or(value.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn blanked(text: &str) -> String {
        let mut bytes = text.as_bytes().to_vec();
        let mut edits = Edits::default();
        in_parts(&bytes, std::slice::from_ref(&(0..text.len())), &mut edits);
        edits.apply(&mut bytes);
        String::from_utf8(bytes).unwrap_or_default()
    }

    #[test]
    fn attributes_and_elements_of_the_place_become_spaces_and_their_neighbours_stay() {
        let latitude = "exif:GPSLatitude = '52,31.2N'";
        let altitude = "<exif:GPSAltitude>34</exif:GPSAltitude>";
        let text = |one: &str, two: &str| format!("<d a:x=\"1\" {one} a:y=\"2\">{two}<b>GPS</b></d>");
        let want = text(&" ".repeat(latitude.len()), &" ".repeat(altitude.len()));
        assert_eq!(blanked(&text(latitude, altitude)), want);
    }

    #[test]
    fn nested_values_go_with_their_property() {
        let text = "<e:GPSTime><rdf:value>1</rdf:value></e:GPSTime><e:Keep>1</e:Keep>";
        assert_eq!(blanked(text).trim(), "<e:Keep>1</e:Keep>");
    }

    #[test]
    fn a_property_cut_in_two_by_parts_is_blanked_in_both() {
        let whole = b"<d e:GPSLongitude=\"13,24.1E\"/>";
        for cut in 0..whole.len() {
            let mut bytes = [&whole[..cut], b"HEAD", &whole[cut..]].concat();
            let parts = [0..cut, cut + 4..bytes.len()];
            let mut edits = Edits::default();
            in_parts(&bytes, &parts, &mut edits);
            edits.apply(&mut bytes);
            let text = String::from_utf8(bytes).unwrap_or_default();
            assert_eq!(text.replace("HEAD", "").split_whitespace().collect::<String>(), "<d/>", "cut at {cut}");
        }
    }

    #[test]
    fn a_property_without_an_end_still_loses_its_value() {
        assert_eq!(blanked("<e:GPSLatitude>52,31.2N<x>").trim(), "<x>");
        assert_eq!(blanked("<d e:GPSLatitude=\"52,31.2N").trim(), "<d");
    }
}
