//! What comes of a CSV file, and what does someone read about a cell that makes no sense?
use std::fmt::Write as _;

use expect_test::{expect, expect_file};
use loomwalk::catalogue::entry::table::{Column, MOST_BYTES, MOST_ROWS, Sheet, open, read};
use loomwalk::circuit::file::{Body, Side};
use loomwalk::ids::LoadId;
use loomwalk::vehicle::body::map_for;
use proptest::prelude::*;

const FILES: [(&str, &[u8]); 4] = [
    ("plain_en.csv", include_bytes!("cases/tables/plain_en.csv")),
    ("garage_de.csv", include_bytes!("cases/tables/garage_de.csv")),
    ("garage_es.csv", include_bytes!("cases/tables/garage_es.csv")),
    ("no_titles.tsv", include_bytes!("cases/tables/no_titles.tsv")),
];

fn told(sheet: &Sheet, columns: &[Column]) -> String {
    let map = map_for(Body::PanelVan, Side::Left).map;
    let mut out = String::new();
    for row in read(sheet, columns, &map, Side::Left).unwrap() {
        writeln!(out, "  line {}: {}", row.line, row.cells.join(" ¦ ").replace('\n', "⏎")).unwrap();
        if let Some(entry) = &row.entry {
            for load in entry.loads(|| LoadId::from("l")) {
                writeln!(out, "    {}", serde_json::to_string(&load).unwrap()).unwrap();
            }
            if let Some(metres) = entry.length_m {
                writeln!(out, "    wire of {metres} m").unwrap();
            }
            if !entry.left_over.is_empty() {
                writeln!(out, "    not understood: {}", entry.left_over.join(" | ")).unwrap();
            }
        }
        row.problems.iter().for_each(|problem| writeln!(out, "    ! {problem}").unwrap());
    }
    out
}

#[test]
fn files_from_three_countries_are_read_as_proposed() {
    let mut out = String::new();
    for (name, bytes) in FILES {
        let sheet = open(bytes).unwrap();
        let proposed: Vec<_> = sheet.proposed.iter().map(|column| column.words()).collect();
        writeln!(out, "{name}: {:?} between cells; {}", sheet.delimiter, proposed.join(" ¦ ")).unwrap();
        out.push_str(&told(&sheet, &sheet.proposed));
    }
    expect_file!["cases/tables/understood.txt"].assert_eq(&out);
}

#[test]
fn the_match_can_be_changed() {
    let sheet = open(b"Horn,5\nTail lamp,5\n").unwrap();
    assert_eq!(sheet.proposed, [Column::Name, Column::PassedOver]);
    assert!(told(&sheet, &[Column::Name, Column::Watts]).contains(r#""watts":5.0"#));
    assert!(told(&sheet, &[Column::Name, Column::Amps]).contains(r#""amps":5.0"#));
}

#[test]
fn a_match_that_makes_no_loads_and_files_that_are_no_tables_are_told() {
    let sheet = open(FILES[0].1).unwrap();
    let map = map_for(Body::PanelVan, Side::Left).map;
    let refused = |columns: &[Column]| read(&sheet, columns, &map, Side::Left).unwrap_err().to_string();
    let wide = vec!["x"; 80].join(",");
    let all = [
        refused(&[Column::Watts]),
        refused(&[Column::Name, Column::Amps, Column::PassedOver, Column::Amps]),
        open(b"").unwrap_err().to_string(),
        open(b" \n , \n").unwrap_err().to_string(),
        open(b"Horn;5\xff").unwrap_err().to_string(),
        open(wide.as_bytes()).unwrap_err().to_string(),
        open(&vec![b'x'; MOST_BYTES + 1]).unwrap_err().to_string(),
    ];
    expect![[r#"
        no column is the name: say which column names the load
        columns 2 and 4 are both "current, A": choose one of them
        there is nothing in this file: export the list again as CSV, one load a row
        there is nothing in this file: export the list again as CSV, one load a row
        the file is not text (UTF-8) from byte 7 on: save it as CSV in UTF-8
        line 1 has 80 cells, and at most 64 are read: leave out the columns that say nothing of a load
        the file has 1048577 bytes, and a list of loads has at most 1048576: export only the rows of this fuse"#]]
    .assert_eq(&all.join("\n"));
}

#[test]
fn rows_beyond_the_bound_are_counted() {
    let text = format!("name;amps\n{}", "horn;5\n".repeat(MOST_ROWS + 3));
    let sheet = open(text.as_bytes()).unwrap();
    assert_eq!((sheet.rows.len(), sheet.unread_rows), (MOST_ROWS, 3));
}

/// RFC 4180 §2: quoted cells may hold the delimiter, line breaks and doubled quotes; the last line may lack its end.
#[test]
fn quoted_cells_are_read_as_rfc_4180_has_them() {
    let sheet = open(b"\xef\xbb\xbfname,amps\r\n\"a, \"\"b\"\"\r\nc\",5\r\nd,\"6\"").unwrap();
    let cells: Vec<_> = sheet.rows.iter().map(|row| (row.line, row.cells.join("|"))).collect();
    assert_eq!(cells, [(2, "a, \"b\"\r\nc|5".to_owned()), (4, "d|6".to_owned())]);
}

proptest! {
    #[test]
    fn no_file_brings_us_down_and_every_cell_is_kept(text in "(?s)[a-zA-Z0-9 ;,|\t\"\n.²Ω/é-]{0,200}|(?s).{0,120}") {
        if let Ok(sheet) = open(text.as_bytes()) {
            prop_assert!(sheet.proposed.iter().filter(|column| **column == Column::Name).count() <= 1);
            let map = map_for(Body::Pickup, Side::Right).map;
            let mut columns = sheet.proposed.clone();
            if !columns.contains(&Column::Name) && !columns.is_empty() {
                columns[0] = Column::Name;
            }
            let rows = read(&sheet, &columns, &map, Side::Right).unwrap();
            prop_assert_eq!(rows.len(), sheet.rows.len());
            for (row, cells) in rows.iter().zip(&sheet.rows) {
                prop_assert_eq!(&row.cells, &cells.cells);
                prop_assert!(row.entry.is_some() || !row.problems.is_empty());
            }
        }
    }
}
