//! Arrows point down only: no module names one above it, and the pure half names no browser, file, clock or chance.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Each layer with what it may name, from the bottom up. A module may always name itself and all layers below its own.
const LAYERS: [&[&str]; 8] = [
    &["units", "ids", "gather", "table", "objects"],
    &["circuit", "vehicle", "catalogue"],
    &["search"],
    &["job", "shelf"],
    &["bundle", "report", "photo", "watch"],
    &["away"],
    &["store", "device", "sync"],
    &["app", "desk", "cli"],
];

/// The pure half: the first six layers.
const PURE: usize = 6;

/// What only the upper half may name.
const OUTSIDE: [&str; 9] = [
    "std::fs",
    "std::net",
    "std::time::SystemTime",
    "std::time::Instant",
    "std::env",
    "web_sys",
    "js_sys",
    "getrandom",
    "Utc::now",
];

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap().flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found
}

/// The code of a file, without comments and without its test module, which may name anything.
fn code(path: &Path) -> String {
    let text = std::fs::read_to_string(path).unwrap();
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap().to_owned();
    text.lines().map(|line| line.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

/// The modules of this crate that some code names.
fn named(code: &str) -> BTreeSet<String> {
    let word = |text: &str| text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut all = BTreeSet::new();
    for part in code.split("crate::").skip(1) {
        match part.strip_prefix('{') {
            Some(group) => all.extend(group.split('}').next().unwrap().split(',').map(|name| word(name.trim()))),
            None => {
                all.insert(word(part));
            }
        }
    }
    all
}

fn modules() -> Vec<(String, usize, PathBuf, String)> {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut all = Vec::new();
    for (height, layer) in LAYERS.iter().enumerate() {
        for module in *layer {
            let folder = source.join(module);
            let paths = if folder.is_dir() { files(&folder) } else { vec![source.join(format!("{module}.rs"))] };
            for path in paths {
                let code = code(&path);
                all.push(((*module).to_owned(), height, path, code));
            }
        }
    }
    all
}

#[test]
fn every_story_is_told_by_a_program_of_tests() {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let programs: Vec<String> = {
        let manifest = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml")).unwrap();
        let named =
            manifest.split("[[test]]\nname = \"").skip(1).map(|rest| rest.split('"').next().unwrap().to_owned());
        named.collect()
    };
    let told: BTreeSet<String> = programs
        .iter()
        .flat_map(|program| {
            let text = std::fs::read_to_string(tests.join(format!("{program}.rs"))).unwrap();
            let stories =
                text.lines().filter_map(|line| line.strip_prefix("mod ")?.strip_suffix(';').map(str::to_owned));
            stories.collect::<Vec<_>>()
        })
        .collect();
    let stories = std::fs::read_dir(&tests).unwrap().flatten().filter_map(|entry| {
        let name = entry.file_name().into_string().unwrap();
        name.strip_suffix(".rs").map(str::to_owned)
    });
    let silent: Vec<String> = stories.filter(|name| !told.contains(name) && !programs.contains(name)).collect();
    assert!(silent.is_empty(), "no program of tests has `mod` for: {silent:?}");
}

#[test]
fn every_module_of_the_crate_stands_in_a_layer() {
    let library = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/lib.rs")).unwrap();
    let declared: BTreeSet<&str> = library
        .lines()
        .filter_map(|line| line.trim_start_matches("pub ").strip_prefix("mod ")?.strip_suffix(';'))
        .collect();
    let layered: BTreeSet<&str> = LAYERS.iter().flat_map(|layer| layer.iter().copied()).collect();
    assert_eq!(declared, layered);
}

#[test]
fn no_module_names_one_above_it() {
    let mut wrong = Vec::new();
    for (module, height, path, code) in modules() {
        for name in named(&code) {
            let other = LAYERS.iter().position(|layer| layer.contains(&name.as_str()));
            if other.is_some_and(|other| other > height) {
                wrong.push(format!("{} ({module}) names {name}, which stands above it", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_pure_half_names_no_browser_no_file_no_clock_and_no_chance() {
    let mut wrong = Vec::new();
    for (_, height, path, code) in modules() {
        for name in OUTSIDE {
            if height < PURE && code.contains(name) {
                wrong.push(format!("{} names {name}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
