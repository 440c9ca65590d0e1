//! What is in a list that someone else wrote? Line by line: what it may be put on the circuit as, and what was not
//! understood.

use serde::{Deserialize, Serialize};

use crate::catalogue::entry::{Entry, paste, table};
use crate::circuit::file::{Load, Vehicle};
use crate::ids::LoadId;
use crate::vehicle::body::{ZoneMap, fit};

/// A list to be understood.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct ListAsked {
    /// As it was pasted, or as it stands in the file.
    pub text: String,
    /// Whether it is a table (CSV), rather than one load a line.
    pub table: bool,
    /// Of a table, what each column is, by its place in [`Understood::kinds`]. Empty: to be proposed.
    pub columns: Vec<usize>,
    /// The vehicle: its places, and where its driver sits.
    pub vehicle: Vehicle,
}

/// What was understood of a list.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Understood {
    /// Why it cannot be read as it is. The rest may be there all the same.
    pub trouble: String,
    /// What a column can be, in words. Empty: no table.
    pub kinds: Vec<String>,
    /// What each column was taken for, by its place in `kinds`, and what tells it from the others.
    pub columns: Vec<(usize, String)>,
    /// The lines in which something stands.
    pub lines: Vec<LineUnderstood>,
    /// The first fuse that it names, with its rating, A.
    pub fuse: Option<(String, Option<f64>)>,
}

/// What was understood of a line.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct LineUnderstood {
    /// From 1.
    pub number: u64,
    /// As it was written.
    pub text: String,
    /// What it may be put on the circuit as, the likeliest first. Empty: nothing.
    pub ways: Vec<EntryWay>,
    /// Whether the first is likely enough to be taken where nobody says otherwise.
    pub likely: bool,
    /// Side, size and wire, in words.
    pub facts: String,
    /// What was not understood or is wrong, in words.
    pub missed: String,
}

/// What a line may be put on the circuit as.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EntryWay {
    /// What it is then called.
    pub label: String,
    /// The loads. Their ids are only told apart among themselves.
    pub loads: Vec<Load>,
}

/// Understands a list.
pub fn understand(asked: &ListAsked) -> Understood {
    let map = fit(&asked.vehicle).map;
    if asked.table { of_table(asked, &map) } else { of_lines(asked, &map) }
}

fn of_lines(asked: &ListAsked, map: &ZoneMap) -> Understood {
    let read = paste::read(&asked.text, asked.vehicle.drive_side);
    let mut lines = Vec::new();
    for line in &read.lines {
        let told = |missed: &str| LineUnderstood {
            number: line.number as u64,
            text: line.text.clone(),
            missed: missed.to_owned(),
            ..LineUnderstood::default()
        };
        match &line.content {
            paste::Content::Blank => {}
            paste::Content::Remark => lines.push(told("a remark or a heading")),
            paste::Content::TooLong => lines.push(told("too long for one load: write each load on a line of its own")),
            paste::Content::Named { loads, .. } if loads.is_empty() => lines.push(told("")),
            paste::Content::Named { loads, .. } => {
                lines.extend(loads.iter().map(|entry| of_entry(line.number as u64, &line.text, entry, &[], map)));
            }
        }
    }
    if !read.unread.is_empty() {
        let missed =
            format!("only the first {} lines are read: put these on first, then paste the rest", paste::MOST_LINES);
        let mut text: String = read.unread.chars().take(80).collect();
        text.push('…');
        lines.push(LineUnderstood { number: read.lines.len() as u64 + 1, text, missed, ..LineUnderstood::default() });
    }
    let fuse = read.fuses().next().map(|(_, fuse)| (fuse.label.clone(), fuse.rating_a));
    Understood { lines, fuse, ..Understood::default() }
}

fn of_table(asked: &ListAsked, map: &ZoneMap) -> Understood {
    let kinds = table::Column::ALL.iter().map(|column| column.words().to_owned()).collect();
    let sheet = match table::open(asked.text.as_bytes()) {
        Ok(sheet) => sheet,
        Err(error) => return Understood { trouble: error.to_string(), ..Understood::default() },
    };
    let stated = asked.columns.iter().filter_map(|column| table::Column::ALL.get(*column).copied());
    let stated: Vec<table::Column> = stated.collect();
    let columns = if stated.len() == sheet.proposed.len() { stated } else { sheet.proposed.clone() };
    let place =
        |column: &table::Column| table::Column::ALL.iter().position(|known| known == column).unwrap_or_default();
    let title = |at: usize| {
        let titled = sheet.titles.as_ref().and_then(|titles| titles.get(at)).filter(|title| !title.is_empty());
        let example = || sheet.rows.iter().find_map(|row| row.cells.get(at).filter(|cell| !cell.is_empty()));
        titled.or_else(example).cloned().unwrap_or_default()
    };
    let mut understood = Understood {
        kinds,
        columns: columns.iter().enumerate().map(|(at, column)| (place(column), title(at))).collect(),
        ..Understood::default()
    };
    match table::read(&sheet, &columns, map, asked.vehicle.drive_side) {
        Ok(rows) => {
            understood.lines = rows.iter().map(|row| of_row(row, map)).collect();
            if sheet.unread_rows > 0 {
                understood.trouble = format!("{} further rows were not read: put these on first", sheet.unread_rows);
            }
        }
        Err(error) => understood.trouble = error.to_string(),
    }
    understood
}

fn of_row(row: &table::Row, map: &ZoneMap) -> LineUnderstood {
    let text = row.cells.iter().filter(|cell| !cell.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" · ");
    let wrong: Vec<String> =
        row.problems.iter().map(|problem| format!("{}: {}", problem.is.words(), problem.wrong)).collect();
    match &row.entry {
        Some(entry) => of_entry(row.line, &text, entry, &wrong, map),
        None => LineUnderstood { number: row.line, text, missed: wrong.join("; "), ..LineUnderstood::default() },
    }
}

fn of_entry(number: u64, text: &str, entry: &Entry, wrong: &[String], map: &ZoneMap) -> LineUnderstood {
    let ways = entry.choices().into_iter().map(|kind| {
        let mut ids = 0;
        let loads = entry.chosen(kind).loads(|| {
            ids += 1;
            LoadId(format!("load_{ids}"))
        });
        let label = kind.map_or_else(|| format!("“{}”, by hand", entry.name), |kind| kind.label().to_owned());
        EntryWay { label, loads }
    });
    let mut facts = entry.facts();
    facts.extend(entry.zone.as_ref().and_then(|zone| map.zone(zone)).map(|zone| zone.label.clone()));
    let missed = if wrong.is_empty() && !entry.left_over.is_empty() {
        format!("not understood: {}", entry.left_over.join(" "))
    } else {
        wrong.join("; ")
    };
    LineUnderstood {
        number,
        text: text.to_owned(),
        ways: ways.collect(),
        likely: entry.found.kind().is_some(),
        facts: facts.join(" · "),
        missed,
    }
}
