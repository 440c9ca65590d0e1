//! The tables that are built in are those of `assets/`, only packed.

#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::Path;

use serde_json::Value;

#[test]
fn packing_a_table_changes_nothing_in_it() {
    let mut packed_bytes = 0;
    let mut bytes = 0;
    for folder in ["bodies", "engines", "loads", "options", "values"] {
        for file in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("assets").join(folder)).unwrap() {
            let file = file.unwrap();
            let text = fs::read_to_string(file.path()).unwrap();
            let packed = fs::read_to_string(Path::new(env!("OUT_DIR")).join(folder).join(file.file_name())).unwrap();
            let read = |text: &str| serde_json::from_str::<Value>(text).unwrap();
            assert_eq!(read(&packed), read(&text), "{}", file.path().display());
            assert!(!packed.contains('\n'), "{}", file.path().display());
            bytes += text.len();
            packed_bytes += packed.len();
        }
    }
    assert!(packed_bytes < bytes * 9 / 10, "{packed_bytes} of {bytes}");
}
