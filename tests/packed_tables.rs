//! The tables that are built in are those of `assets/`, only packed: here whole, in a browser without sources.

use std::fs;
use std::path::Path;

use serde_json::Value;

/// What packs them.
#[allow(dead_code)]
#[path = "../build.rs"]
mod packer;

const FOLDERS: [&str; 5] = ["bodies", "engines", "loads", "options", "values"];

/// Every table: where it stands in a folder, and its text.
fn tables() -> Vec<(String, String)> {
    let tables = FOLDERS.into_iter().flat_map(|folder| {
        let files = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("assets").join(folder)).unwrap();
        files.map(move |file| {
            let file = file.unwrap();
            let name = format!("{folder}/{}", file.file_name().to_str().unwrap());
            (name, fs::read_to_string(file.path()).unwrap())
        })
    });
    tables.collect()
}

fn read(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

/// By a way of its own: every text under `source` is empty, all else as it was.
fn without_sources(table: Value) -> Value {
    match table {
        Value::Object(fields) => fields
            .into_iter()
            .map(|(name, value)| {
                let bare = name == "source" && value.is_string();
                let value = if bare { Value::String(String::new()) } else { without_sources(value) };
                (name, value)
            })
            .collect(),
        Value::Array(rows) => rows.into_iter().map(without_sources).collect(),
        other => other,
    }
}

#[test]
fn what_is_built_in_here_is_the_same_without_white_space() {
    let tables = tables();
    assert!(tables.len() > 30, "{}", tables.len());
    for (name, text) in tables {
        let packed = fs::read_to_string(Path::new(env!("OUT_DIR")).join(&name)).unwrap();
        assert_eq!(read(&packed), read(&text), "{name}");
        assert!(packed.len() < text.len() && !packed.contains('\n'), "{name}");
    }
}

#[test]
fn for_a_browser_only_sources_are_emptied() {
    for (name, text) in tables() {
        assert_eq!(read(&packer::packed(&text, true)), without_sources(read(&text)), "{name}");
    }
    let odd = r#"{ "source": "says \"so\": {, }", "a": [ "source", " b  c " ], "source_of": "x\\" }"#;
    let bare = r#"{"source":"","a":["source"," b  c "],"source_of":"x\\"}"#;
    assert_eq!(packer::packed(odd, true), bare);
}
