//! What is which column? By its title, else by what stands in it.

use super::super::parts;
use super::super::tokens::tokens;
use super::super::{Entry, Gauge, Stated};
use super::cell::side;
use super::{Column, MOST_NAME, SheetRow, reader};
use crate::catalogue::words::plain_words;
use crate::circuit::colour::WireColour;
use crate::circuit::file::Side;

/// Rows that are looked at to tell what a column is.
const LOOKED_AT: usize = 50;
/// Share of a column's cells that must look like a thing to propose it.
const MOSTLY: f64 = 0.6;
/// What people put between cells.
const DELIMITERS: [u8; 4] = [b';', b'\t', b',', b'|'];
/// Whether a cell looks like something.
type Looks = fn(&Entry) -> bool;

/// Words of column titles in English, German and Spanish, plain. A title is the first column of this list of which it
/// has a word, or ends in one of five letters or more ("Leitungsfarbe").
const TITLES: [(Column, &[&str]); 11] = [
    (Column::Colour, &["colour", "color", "colours", "colors", "farbe", "farben", "aderfarbe", "kolor"]),
    (Column::Awg, &["awg", "gauge"]),
    (Column::Area, &["mm2", "mm²", "qmm", "area", "section", "querschnitt", "seccion", "size", "calibre"]),
    (Column::Length, &["length", "lange", "longitud", "largo", "m"]),
    (
        Column::Zone,
        &["zone", "place", "location", "position", "where", "ort", "einbauort", "lage", "zona", "ubicacion", "lugar"],
    ),
    (Column::Watts, &["w", "watt", "watts", "wattage", "power", "leistung", "potencia", "vatios"]),
    (Column::Ohms, &["ω", "ohm", "ohms", "resistance", "widerstand", "resistencia", "ohmios"]),
    (
        Column::Amps,
        &[
            "a",
            "ma",
            "amp",
            "amps",
            "ampere",
            "amperes",
            "current",
            "strom",
            "stromaufnahme",
            "corriente",
            "intensidad",
            "amperios",
        ],
    ),
    (Column::Side, &["side", "seite", "lado"]),
    (Column::Count, &["qty", "quantity", "count", "pcs", "anzahl", "menge", "stuck", "cantidad"]),
    (
        Column::Name,
        &[
            "name",
            "load",
            "loads",
            "consumer",
            "component",
            "device",
            "description",
            "item",
            "designation",
            "verbraucher",
            "bezeichnung",
            "bauteil",
            "benennung",
            "gerat",
            "nombre",
            "consumidor",
            "componente",
            "descripcion",
            "carga",
            "dispositivo",
        ],
    ),
];

/// What a column's title says it is.
fn titled(title: &str) -> Option<Column> {
    let words = plain_words(title);
    let fits = |word: &String, title: &str| word == title || (title.chars().count() >= 5 && word.ends_with(title));
    let has = |titles: &[&str]| words.iter().any(|word| titles.iter().any(|title| fits(word, title)));
    TITLES.iter().find(|(_, titles)| has(titles)).map(|(column, _)| *column)
}

/// Whether a word by itself is a column's title.
pub(in crate::catalogue::entry) fn is_title(word: &str) -> bool {
    let plain = plain_words(word);
    plain.iter().all(|word| TITLES.iter().any(|(_, titles)| titles.contains(&word.as_str())))
}

/// The delimiter that cuts most rows into the same number of cells, more than one; of equals, that with more cells.
pub(super) fn sniff(text: &str) -> u8 {
    let score = |delimiter: u8| {
        let widths: Vec<usize> =
            reader(text, delimiter).records().take(LOOKED_AT).flatten().map(|record| record.len()).collect();
        let same = |width: &usize| widths.iter().filter(|other| *other == width).count();
        let best = widths.iter().filter(|width| **width > 1).max_by_key(|width| (same(width), **width));
        best.map_or((0, 0), |width| (same(width), *width))
    };
    // The first of equals stands last in a reversed list, which `max_by_key` takes.
    DELIMITERS.into_iter().rev().max_by_key(|delimiter| score(*delimiter)).unwrap_or(b',')
}

/// Whether a first row is titles: one at least is known, and no cell is a number.
pub(super) fn is_head(cells: &[String]) -> bool {
    let numbers = cells.iter().any(|cell| tokens(cell).first().is_some_and(|token| token.number().is_some()));
    !numbers && cells.iter().any(|cell| titled(cell).is_some())
}

pub(super) fn propose(titles: Option<&[String]>, rows: &[SheetRow], width: usize) -> Vec<Column> {
    let mut proposed: Vec<Column> = Vec::with_capacity(width);
    for at in 0..width {
        let title = titles.and_then(|titles| titles.get(at)).map_or("", String::as_str);
        let column = titled(title).or_else(|| by_content(rows, at)).filter(|column| !proposed.contains(column));
        proposed.push(column.unwrap_or(Column::PassedOver));
    }
    if !proposed.contains(&Column::Name) {
        let wordy = |at: &usize| {
            proposed[*at] == Column::PassedOver
                && share(rows, *at, |cell| cell.chars().any(char::is_alphabetic)) >= MOSTLY
        };
        if let Some(at) = (0..width).find(wordy) {
            proposed[at] = Column::Name;
        }
    }
    proposed
}

/// Share of the cells of a column, of those in which something stands, that look so.
fn share(rows: &[SheetRow], at: usize, looks: impl Fn(&str) -> bool) -> f64 {
    let cells = rows.iter().take(LOOKED_AT).filter_map(|row| row.cells.get(at)).filter(|cell| !cell.is_empty());
    let (all, fit) = cells.fold((0_u32, 0_u32), |(all, fit), cell| (all + 1, fit + u32::from(looks(cell))));
    if all == 0 { 0.0 } else { f64::from(fit) / f64::from(all) }
}

/// What a column without a title that says it looks like.
fn by_content(rows: &[SheetRow], at: usize) -> Option<Column> {
    let cells = rows.iter().take(LOOKED_AT).filter_map(|row| row.cells.get(at));
    let cells: Vec<&str> = cells.map(String::as_str).filter(|cell| !cell.is_empty()).collect();
    let entries: Vec<Entry> = cells
        .iter()
        .filter(|cell| cell.len() <= MOST_NAME)
        .map(|cell| parts::entry(&tokens(cell), Side::Left))
        .collect();
    let mostly = |fit: usize| fit > 0 && fit as f64 >= MOSTLY * cells.len() as f64;
    if mostly(cells.iter().filter(|cell| WireColour::parse(cell).is_ok()).count()) {
        return Some(Column::Colour);
    }
    if mostly(cells.iter().filter(|cell| side(cell).is_some()).count()) {
        return Some(Column::Side);
    }
    let by_unit: [(Column, Looks); 6] = [
        (Column::Watts, |entry| matches!(entry.size, Some(Stated::Watts(_)))),
        (Column::Amps, |entry| matches!(entry.size, Some(Stated::Amps(_)))),
        (Column::Ohms, |entry| matches!(entry.size, Some(Stated::Ohms(_)))),
        (Column::Area, |entry| matches!(entry.gauge, Some(Gauge::AreaMm2(_)))),
        (Column::Awg, |entry| matches!(entry.gauge, Some(Gauge::Awg(_)))),
        (Column::Length, |entry| entry.length_m.is_some()),
    ];
    let alone = |looks: Looks| entries.iter().filter(|entry| looks(entry) && entry.name.is_empty()).count();
    if let Some((column, _)) = by_unit.into_iter().find(|(_, looks)| mostly(alone(*looks))) {
        return Some(column);
    }
    mostly(entries.iter().filter(|entry| entry.found.kind().is_some()).count()).then_some(Column::Name)
}
