//! What does a CSV file say, once it is known which column is what?
//!
//! [`open`] reads the cells and proposes what each column is; someone may change that; [`read`] then gives an
//! [`Entry`] a row, with what is wrong by row and column.

mod cell;
mod title;

use super::Entry;
use super::parts;
use super::tokens::tokens;
use crate::circuit::file::Side;
use crate::vehicle::body::ZoneMap;
use cell::{fill, scale};
pub(super) use title::is_title;
use title::{is_head, propose, sniff};

/// No larger file is read.
pub const MOST_BYTES: usize = 1 << 20;
/// No more rows and columns than these are read.
pub const MOST_ROWS: usize = 2_000;
const MOST_COLUMNS: usize = 64;
/// No longer name is read, in bytes.
const MOST_NAME: usize = 400;

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
