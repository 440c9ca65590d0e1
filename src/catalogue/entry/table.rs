//! What does a CSV file say, once it is known which column is what?
//!
//! [`open`] reads the cells and proposes what each column is; someone may change that; [`read`] then gives an
//! [`Entry`] a row, with what is wrong by row and column.

use super::parts;
use super::tokens::tokens;
use super::{Entry, Gauge, MOST_OF_ONE, Sides, Stated};
use crate::catalogue::words::plain_words;
use crate::circuit::colour::WireColour;
use crate::circuit::file::Side;
use crate::ids::ZoneId;
use crate::vehicle::body::ZoneMap;

/// No larger file is read.
pub const MOST_BYTES: usize = 1 << 20;
/// No more rows and columns than these are read.
pub const MOST_ROWS: usize = 2_000;
const MOST_COLUMNS: usize = 64;
/// No longer name is read, in bytes.
const MOST_NAME: usize = 400;
/// Rows that are looked at to tell what a column is.
const LOOKED_AT: usize = 50;
/// Share of a column's cells that must look like a thing to propose it.
const MOSTLY: f64 = 0.6;
/// What people put between cells.
const DELIMITERS: [u8; 4] = [b';', b'\t', b',', b'|'];

/// What a column is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Column {
    /// What the load is called.
    Name,
    /// W.
    Watts,
    /// A.
    Amps,
    /// Ω.
    Ohms,
    /// Colour of its wire.
    Colour,
    /// Cross-section of its wire, mm².
    Area,
    /// Size of its wire, American wire gauge.
    Awg,
    /// Length of its wire, m.
    Length,
    /// Where it is: a zone's id or name.
    Zone,
    /// Left or right.
    Side,
    /// How many there are.
    Count,
    /// Nothing that is taken over.
    PassedOver,
}

impl Column {
    /// All, in the order in which to offer them.
    pub const ALL: [Self; 12] = [
        Self::Name,
        Self::Watts,
        Self::Amps,
        Self::Ohms,
        Self::Colour,
        Self::Area,
        Self::Awg,
        Self::Length,
        Self::Zone,
        Self::Side,
        Self::Count,
        Self::PassedOver,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Watts => "power, W",
            Self::Amps => "current, A",
            Self::Ohms => "resistance, Ω",
            Self::Colour => "wire colour",
            Self::Area => "wire size, mm²",
            Self::Awg => "wire gauge, AWG",
            Self::Length => "wire length, m",
            Self::Zone => "place",
            Self::Side => "side",
            Self::Count => "how many",
            Self::PassedOver => "not taken over",
        }
    }
}

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
pub(super) fn is_title(word: &str) -> bool {
    let plain = plain_words(word);
    plain.iter().all(|word| TITLES.iter().any(|(_, titles)| titles.contains(&word.as_str())))
}

/// A file as cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// What stands between cells.
    pub delimiter: char,
    /// The titles, if the first row has some.
    pub titles: Option<Vec<String>>,
    /// The rows below, without those in which nothing stands.
    pub rows: Vec<SheetRow>,
    /// What each column probably is.
    pub proposed: Vec<Column>,
    /// Rows beyond [`MOST_ROWS`], which were not read.
    pub unread_rows: usize,
}

/// A row of cells.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetRow {
    /// The line of the file where it starts, from 1.
    pub line: u64,
    /// Its cells, trimmed.
    pub cells: Vec<String>,
}

/// Why a file cannot be read as a table.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    /// Nothing in it.
    #[error("there is nothing in this file: export the list again as CSV, one load a row")]
    Empty,
    /// Too large.
    #[error("the file has {0} bytes, and a list of loads has at most {MOST_BYTES}: export only the rows of this fuse")]
    TooLarge(usize),
    /// Not text.
    #[error("the file is not text (UTF-8) from byte {0} on: save it as CSV in UTF-8")]
    NotText(usize),
    /// Too many columns.
    #[error(
        "line {line} has {columns} cells, and at most {MOST_COLUMNS} are read: leave out the columns that say nothing of a load"
    )]
    TooWide {
        /// From 1.
        line: u64,
        /// Cells.
        columns: usize,
    },
    /// Something else.
    #[error("line {line} cannot be read as CSV ({why}): save the list again as CSV")]
    Unreadable {
        /// From 1.
        line: u64,
        /// By the reader.
        why: String,
    },
}

/// Why a match of columns makes no loads.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MatchError {
    /// No names.
    #[error("no column is the name: say which column names the load")]
    NoName,
    /// Two columns are the same.
    #[error("columns {0} and {1} are both \"{what}\": choose one of them", what = .2.words())]
    Twice(usize, usize, Column),
}

/// What a row says.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The line of the file where it starts, from 1.
    pub line: u64,
    /// Its cells, as written.
    pub cells: Vec<String>,
    /// What was understood. None: no name.
    pub entry: Option<Entry>,
    /// What was not.
    pub problems: Vec<CellProblem>,
}

/// What is wrong with one cell.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, column {column} ({what}): {wrong}", what = .is.words())]
pub struct CellProblem {
    /// From 1.
    pub line: u64,
    /// From 1.
    pub column: usize,
    /// What the column is.
    pub is: Column,
    /// What is wrong, and what would be right.
    pub wrong: String,
}

/// Reads a file as cells and proposes what each column is.
///
/// # Errors
///
/// If it is empty, too large, or not text.
pub fn open(bytes: &[u8]) -> Result<Sheet, SheetError> {
    if bytes.len() > MOST_BYTES {
        return Err(SheetError::TooLarge(bytes.len()));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| SheetError::NotText(error.valid_up_to() + 1))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let delimiter = sniff(text);
    let (mut rows, unread_rows) = cells(text, delimiter, MOST_ROWS + 1)?;
    if rows.is_empty() {
        return Err(SheetError::Empty);
    }
    let titles = is_head(&rows[0].cells).then(|| rows.remove(0).cells);
    let width = rows.iter().map(|row| row.cells.len()).chain(titles.iter().map(Vec::len)).max().unwrap_or(0);
    let proposed = propose(titles.as_deref(), &rows, width);
    Ok(Sheet { delimiter: char::from(delimiter), titles, rows, proposed, unread_rows })
}

fn reader(text: &str, delimiter: u8) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(delimiter).from_reader(text.as_bytes())
}

/// The rows in which something stands, and how many more there are than `most`.
fn cells(text: &str, delimiter: u8, most: usize) -> Result<(Vec<SheetRow>, usize), SheetError> {
    let (mut rows, mut unread) = (Vec::new(), 0);
    let mut lines = Lines { text, byte: 0, line: 1 };
    for record in reader(text, delimiter).records() {
        let record = record.map_err(|error| {
            let line = error.position().map_or(0, csv::Position::line);
            SheetError::Unreadable { line, why: error.to_string() }
        })?;
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if rows.len() == most {
            unread += 1;
            continue;
        }
        let line = lines.of(&record);
        if record.len() > MOST_COLUMNS {
            return Err(SheetError::TooWide { line, columns: record.len() });
        }
        rows.push(SheetRow { line, cells: record.iter().map(|cell| cell.trim().to_owned()).collect() });
    }
    Ok((rows, unread))
}

/// Counts lines up to a record. The reader's own count is one short where lines end in CR LF.
struct Lines<'a> {
    text: &'a str,
    byte: usize,
    line: u64,
}

impl Lines<'_> {
    fn of(&mut self, record: &csv::StringRecord) -> u64 {
        let start = record.position().map_or(0, |at| usize::try_from(at.byte()).unwrap_or(usize::MAX));
        let rest = self.text.as_bytes().get(start..).unwrap_or_default();
        let start = start + rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
        let passed = self.text.as_bytes().get(self.byte..start).unwrap_or_default();
        let ends = passed.iter().enumerate().filter(|(at, byte)| match byte {
            b'\n' => true,
            b'\r' => passed.get(at + 1) != Some(&b'\n'),
            _ => false,
        });
        self.line += ends.count() as u64;
        self.byte = start.max(self.byte);
        self.line
    }
}

/// The delimiter that cuts most rows into the same number of cells, more than one; of equals, that with more cells.
fn sniff(text: &str) -> u8 {
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
fn is_head(cells: &[String]) -> bool {
    let numbers = cells.iter().any(|cell| tokens(cell).first().is_some_and(|token| token.number().is_some()));
    !numbers && cells.iter().any(|cell| titled(cell).is_some())
}

fn propose(titles: Option<&[String]>, rows: &[SheetRow], width: usize) -> Vec<Column> {
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
        .filter_map(|cell| (cell.len() <= MOST_NAME).then(|| parts::entry(&tokens(cell), Side::Left)))
        .collect();
    let mostly = |fit: usize| fit > 0 && fit as f64 >= MOSTLY * cells.len() as f64;
    if mostly(cells.iter().filter(|cell| WireColour::parse(cell).is_ok()).count()) {
        return Some(Column::Colour);
    }
    if mostly(cells.iter().filter(|cell| side(cell).is_some()).count()) {
        return Some(Column::Side);
    }
    let by_unit: [(Column, fn(&Entry) -> bool); 6] = [
        (Column::Watts, |entry| matches!(entry.size, Some(Stated::Watts(_)))),
        (Column::Amps, |entry| matches!(entry.size, Some(Stated::Amps(_)))),
        (Column::Ohms, |entry| matches!(entry.size, Some(Stated::Ohms(_)))),
        (Column::Area, |entry| matches!(entry.gauge, Some(Gauge::AreaMm2(_)))),
        (Column::Awg, |entry| matches!(entry.gauge, Some(Gauge::Awg(_)))),
        (Column::Length, |entry| entry.length_m.is_some()),
    ];
    let alone =
        |looks: fn(&Entry) -> bool| entries.iter().filter(|entry| looks(entry) && entry.name.is_empty()).count();
    if let Some((column, _)) = by_unit.into_iter().find(|(_, looks)| mostly(alone(*looks))) {
        return Some(column);
    }
    mostly(entries.iter().filter(|entry| entry.found.kind().is_some()).count()).then_some(Column::Name)
}

/// Reads the rows by what each column is. `map` knows the places, `driver` is the side on which the driver sits.
///
/// # Errors
///
/// If no column is the name, or two are the same.
pub fn read(sheet: &Sheet, columns: &[Column], map: &ZoneMap, driver: Side) -> Result<Vec<Row>, MatchError> {
    for (at, column) in columns.iter().enumerate().filter(|(_, column)| **column != Column::PassedOver) {
        if let Some(before) = columns[..at].iter().position(|other| other == column) {
            return Err(MatchError::Twice(before + 1, at + 1, *column));
        }
    }
    let name_at = columns.iter().position(|column| *column == Column::Name).ok_or(MatchError::NoName)?;
    let title = |at: usize| sheet.titles.as_ref().and_then(|titles| titles.get(at)).map_or("", String::as_str);
    let scales: Vec<f64> = columns.iter().enumerate().map(|(at, column)| scale(title(at), *column)).collect();
    let row = |row: &SheetRow| {
        let name = row.cells.get(name_at).map_or("", String::as_str);
        let mut problems = Vec::new();
        let mut problem = |at: usize, wrong: String| {
            problems.push(CellProblem {
                line: row.line,
                column: at + 1,
                is: columns.get(at).copied().unwrap_or(Column::PassedOver),
                wrong,
            });
        };
        if name.len() > MOST_NAME {
            problem(name_at, format!("the name is {} bytes long: write at most {MOST_NAME}", name.len()));
            return Row { line: row.line, cells: row.cells.clone(), entry: None, problems };
        }
        let entry = parts::entry(&tokens(name), driver);
        if name.is_empty() || (entry.name.is_empty() && entry.found.kind().is_none()) {
            problem(name_at, "there is no name: write what the load is called".to_owned());
            return Row { line: row.line, cells: row.cells.clone(), entry: None, problems };
        }
        let mut filled = entry;
        for (at, column) in columns.iter().enumerate().filter(|(at, _)| *at != name_at) {
            let cell = row.cells.get(at).map_or("", String::as_str);
            if cell.is_empty() || *column == Column::PassedOver {
                continue;
            }
            if let Err(wrong) = fill(&mut filled, *column, cell, scales[at], map) {
                problem(at, wrong);
                filled.left_over.push(cell.to_owned());
            }
        }
        for (at, cell) in row.cells.iter().enumerate().skip(columns.len()).filter(|(_, cell)| !cell.is_empty()) {
            problem(at, "nobody said what this column is".to_owned());
            filled.left_over.push(cell.clone());
        }
        Row { line: row.line, cells: row.cells.clone(), entry: Some(filled), problems }
    };
    Ok(sheet.rows.iter().map(row).collect())
}

/// What a column's numbers are multiplied by, when its title names a smaller unit.
fn scale(title: &str, column: Column) -> f64 {
    let words = plain_words(title);
    let has = |unit: &str| words.iter().any(|word| word == unit);
    match column {
        Column::Amps if has("ma") => 1e-3,
        Column::Length if has("mm") => 1e-3,
        Column::Length if has("cm") => 1e-2,
        _ => 1.0,
    }
}

/// Takes over one cell, or says what is wrong with it.
fn fill(entry: &mut Entry, column: Column, cell: &str, scale: f64, map: &ZoneMap) -> Result<(), String> {
    match column {
        Column::Name | Column::PassedOver => {}
        Column::Watts | Column::Amps | Column::Ohms => {
            let stated = size(column, cell, scale)?;
            if let Some(said) = entry.size.filter(|said| *said != stated && entry.lamp.is_none()) {
                return Err(format!("the row says {} already: a load's size is said once", size_words(said)));
            }
            entry.rated_volts = entry.rated_volts.filter(|_| entry.size == Some(stated));
            entry.size = Some(stated);
        }
        Column::Colour => entry.colour = Some(WireColour::parse(cell).map_err(|error| error.to_string())?),
        Column::Area => {
            entry.gauge = Some(Gauge::AreaMm2(amount(cell, 1.0, &["mm²", "mm2", "mm", "qmm", "sqmm"], 1e3)?))
        }
        Column::Awg => {
            let gauge = amount(cell, 1.0, &["awg", "ga"], 50.0)?;
            entry.gauge = Some(Gauge::Awg(gauge));
        }
        Column::Length => entry.length_m = Some(length(cell, scale)?),
        Column::Zone => entry.zone = Some(zone(cell, map)?),
        Column::Side => {
            entry.sides = side(cell).ok_or_else(|| format!("\"{cell}\" is no side: write left, right or both"))?
        }
        Column::Count => {
            let count = cell.parse().ok().filter(|count| (1..=MOST_OF_ONE).contains(count));
            entry.count = Some(count.ok_or_else(|| format!("\"{cell}\" is no number from 1 to {MOST_OF_ONE}"))?);
        }
    }
    Ok(())
}

fn size(column: Column, cell: &str, scale: f64) -> Result<Stated, String> {
    let lower = cell.to_lowercase();
    let milli = lower.ends_with("ma");
    // A unit in the cell counts before the title's.
    let scale = if lower.ends_with(|letter: char| letter.is_alphabetic()) { 1.0 } else { scale };
    match column {
        Column::Watts => Ok(Stated::Watts(amount(cell, 1.0, &["w", "watt", "watts"], 1e5)?)),
        Column::Amps if milli => Ok(Stated::Amps(amount(cell, 1e-3, &["ma"], 1e3)?)),
        Column::Amps => Ok(Stated::Amps(amount(cell, scale, &["a", "amp", "amps"], 1e3)?)),
        _ => Ok(Stated::Ohms(amount(cell, 1.0, &["ω", "ohm", "ohms", "r"], 1e7)?)),
    }
}

fn size_words(size: Stated) -> String {
    match size {
        Stated::Watts(watts) => format!("{watts} W"),
        Stated::Amps(amps) => format!("{amps} A"),
        Stated::Ohms(ohms) => format!("{ohms} Ω"),
    }
}

fn length(cell: &str, scale: f64) -> Result<f64, String> {
    let lower = cell.to_lowercase();
    let scale = match () {
        () if lower.ends_with("mm") => 1e-3,
        () if lower.ends_with("cm") => 1e-2,
        () if lower.ends_with('m') => 1.0,
        () => scale,
    };
    amount(cell, scale, &["m", "cm", "mm"], 1e3)
}

/// A number above zero, with one of these units or none.
fn amount(cell: &str, scale: f64, units: &[&str], most: f64) -> Result<f64, String> {
    let pieces = tokens(cell);
    let number = match pieces.as_slice() {
        [number] => number.number(),
        [number, unit] if units.contains(&unit.lower().as_str()) => number.number(),
        _ => None,
    };
    let wanted = || match units.first() {
        Some(unit) => format!("write a number, such as 1.5 or 1,5, with {unit} or without"),
        None => "write a number, such as 1.5 or 1,5".to_owned(),
    };
    let number = number.ok_or_else(|| format!("\"{cell}\" is no number: {}", wanted()))? * scale;
    if number > 0.0 && number <= most {
        Ok(number)
    } else {
        Err(format!("{number} cannot be: it is above 0 and at most {most}"))
    }
}

/// A zone by its id or its name.
fn zone(cell: &str, map: &ZoneMap) -> Result<ZoneId, String> {
    let words = plain_words(cell);
    let id = ZoneId(words.join("_"));
    if map.zone(&id).is_some() {
        return Ok(id);
    }
    let named = map.zones.iter().find(|zone| plain_words(&zone.label) == words);
    named.map(|zone| zone.id.clone()).ok_or_else(|| {
        format!(
            "this body has no place \"{cell}\": write one as the picture of the vehicle names it, or leave it empty"
        )
    })
}

fn side(cell: &str) -> Option<Sides> {
    match plain_words(cell).join(" ").as_str() {
        "left" | "l" | "lh" | "l h" | "links" | "izquierda" | "izquierdo" => Some(Sides::One(Side::Left)),
        "right" | "r" | "rh" | "r h" | "rechts" | "derecha" | "derecho" => Some(Sides::One(Side::Right)),
        "both" | "l r" | "lh rh" | "left right" | "left and right" | "beide" | "ambos" | "ambas" => Some(Sides::Both),
        _ => None,
    }
}
