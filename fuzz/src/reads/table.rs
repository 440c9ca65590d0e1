//! Does any CSV file lose a cell, or make a load that a circuit cannot have?

use loomwalk::catalogue::entry::table::{self, Column, Sheet};
use loomwalk::circuit::file::{Body, Side};
use loomwalk::vehicle::body::{FittedMap, map_for};
use std::sync::LazyLock;

use super::paste::of_entry;
use super::{are_sound, told};

static MAP: LazyLock<FittedMap> = LazyLock::new(|| map_for(Body::PanelVan, Side::Left));
/// As in lists that were pasted.
const MOST_LOADS: usize = 400;

/// Whether it was read.
pub fn read(bytes: &[u8]) -> bool {
    let sheet = match table::open(bytes) {
        Ok(sheet) => sheet,
        Err(error) => {
            told(error);
            return false;
        }
    };
    assert_eq!(table::open(bytes).as_ref(), Ok(&sheet), "read again");
    let lines = bytes.iter().filter(|byte| matches!(byte, b'\n' | b'\r')).count() as u64 + 1;
    let numbers = sheet.rows.iter().map(|row| row.line);
    assert!(numbers.clone().all(|line| (1..=lines).contains(&line)));
    assert!(numbers.clone().zip(numbers.skip(1)).all(|(one, next)| one <= next));
    assert!(sheet.rows.iter().all(|row| row.cells.iter().any(|cell| !cell.is_empty())), "no empty row");
    for column in Column::ALL.into_iter().filter(|column| *column != Column::PassedOver) {
        assert!(sheet.proposed.iter().filter(|proposed| **proposed == column).count() <= 1, "{column:?} twice");
    }
    same_cells(&sheet);
    rows(&sheet, &sheet.proposed);
    // Someone may say that the columns are anything else: here each what the one beside it was taken for, and all twelve.
    let mut turned = sheet.proposed.clone();
    let first = turned.len().min(1);
    turned.rotate_left(first);
    rows(&sheet, &turned);
    let all: Vec<Column> = Column::ALL.into_iter().cycle().take(sheet.proposed.len().min(Column::ALL.len())).collect();
    rows(&sheet, &all);
    true
}

/// RFC 4180 with every cell in quotes: the same cells, whatever is in them. With titles, for these are cells too.
fn same_cells(sheet: &Sheet) {
    let quoted = |cells: &Vec<String>| {
        let cells: Vec<String> = cells.iter().map(|cell| format!("\"{}\"", cell.replace('"', "\"\""))).collect();
        cells.join(&sheet.delimiter.to_string())
    };
    let all = || sheet.titles.iter().chain(sheet.rows.iter().map(|row| &row.cells));
    let text: Vec<String> = all().map(quoted).collect();
    // Of one column nothing tells what stands between cells.
    let width = all().map(Vec::len).max().unwrap_or_default();
    if width < 2 || all().any(|cells| cells.len() != width) {
        return;
    }
    let again = table::open(text.join("\n").as_bytes()).expect("the cells make a table");
    if again.delimiter == sheet.delimiter {
        let cells = again.titles.iter().chain(again.rows.iter().map(|row| &row.cells));
        assert!(cells.eq(all()), "the same cells");
    }
}

fn rows(sheet: &Sheet, columns: &[Column]) {
    let rows = match table::read(sheet, columns, &MAP.map, Side::Left) {
        Ok(rows) => rows,
        Err(error) => return told(error),
    };
    assert_eq!(rows.len(), sheet.rows.len());
    let mut loads = Vec::new();
    for (row, cells) in rows.iter().zip(&sheet.rows) {
        assert_eq!(row.cells, cells.cells);
        assert!(row.entry.is_some() || !row.problems.is_empty());
        row.problems.iter().for_each(told);
        if let Some(entry) = &row.entry {
            loads.extend(of_entry(entry, loads.len()));
        }
    }
    loads.truncate(MOST_LOADS);
    are_sound(loads);
}
