//! Packs the tables of `assets/` for the program: without the white space that makes them pleasant to read.
//!
//! In a browser also without what each figure's source is, where no screen shows it: a phone downloads these tables.
//! `tests/packed_tables.rs` reads both and compares.

use std::error::Error;
use std::path::Path;
use std::{env, fs};

const FOLDERS: [&str; 5] = ["bodies", "engines", "loads", "options", "values"];

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-changed=build.rs");
    let browser = env::var("CARGO_CFG_TARGET_ARCH")? == "wasm32";
    for folder in FOLDERS {
        let from = Path::new("assets").join(folder);
        println!("cargo::rerun-if-changed={}", from.display());
        let to = Path::new(&env::var("OUT_DIR")?).join(folder);
        fs::create_dir_all(&to)?;
        for file in fs::read_dir(&from)? {
            let file = file?;
            // Screens show where the size of a load is from, and a way of repairing.
            let shown = folder == "loads" || file.file_name() == "repair_methods.json";
            let text = fs::read_to_string(file.path())?;
            fs::write(to.join(file.file_name()), packed(&text, browser && !shown))?;
        }
    }
    Ok(())
}

/// JSON without white space between its signs; with `bare`, each text under `source` is emptied.
pub fn packed(json: &str, bare: bool) -> String {
    let mut packed = String::with_capacity(json.len());
    let mut rest = json;
    while let Some(at) = rest.find('"') {
        packed.extend(rest[..at].split_whitespace());
        let text = &rest[at..at + text_length(&rest[at..])];
        let source = bare && packed.ends_with("\"source\":");
        packed.push_str(if source { "\"\"" } else { text });
        rest = &rest[at + text.len()..];
    }
    packed.extend(rest.split_whitespace());
    packed
}

/// How long the text at the beginning is, with both its quotation marks.
fn text_length(json: &str) -> usize {
    let mut escaped = false;
    json.bytes()
        .skip(1)
        .position(|byte| {
            let end = byte == b'"' && !escaped;
            escaped = byte == b'\\' && !escaped;
            end
        })
        .map_or(json.len(), |end| end + 2)
}
