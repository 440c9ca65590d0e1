//! Are the published schemas those of the types, and do our own files keep to them?
//!
//! `UPDATE_EXPECT=1 cargo test --test pure schemas` writes public/schema again.
use std::path::{Path, PathBuf};

use loomwalk::bundle::schema;
use loomwalk::sync::protocol::Receipt;
use serde_json::{Value, json};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn published() -> Vec<(&'static str, Value)> {
    let mut all = schema::all();
    all.push(("receipt", schema::of::<Receipt>()));
    all
}

fn validator(name: &str) -> jsonschema::Validator {
    let (_, schema) = published().into_iter().find(|(known, _)| *known == name).unwrap();
    jsonschema::draft202012::new(&schema).unwrap()
}

fn json(path: &Path) -> Value {
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// Files of a folder whose names end so.
fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(root().join(folder)).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let found: Vec<PathBuf> = paths.filter(|path| path.to_string_lossy().ends_with(ending)).collect();
    assert!(!found.is_empty(), "{folder}/*{ending}");
    found
}

#[test]
fn the_published_schemas_are_those_of_the_types() {
    for (name, schema) in published() {
        let path = root().join("public/schema").join(format!("{name}.schema.json"));
        let made = serde_json::to_string_pretty(&sorted(schema)).unwrap() + "\n";
        if std::env::var_os("UPDATE_EXPECT").is_some() {
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(&path, &made).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(kept == made, "UPDATE_EXPECT=1 cargo test --test pure schemas writes {name} again");
    }
}

/// Keys in order, so that the file does not hang on how a dependency keeps maps.
fn sorted(value: Value) -> Value {
    match value {
        Value::Object(fields) => {
            let mut fields: Vec<(String, Value)> = fields.into_iter().collect();
            fields.sort_by(|one, other| one.0.cmp(&other.0));
            Value::Object(fields.into_iter().map(|(key, value)| (key, sorted(value))).collect())
        }
        Value::Array(items) => items.into_iter().map(sorted).collect(),
        other => other,
    }
}

#[test]
fn every_schema_is_a_schema_of_draft_2020_12() {
    for (name, schema) in published() {
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema", "{name}");
        assert!(jsonschema::meta::is_valid(&schema), "{name}");
    }
}

#[test]
fn our_own_files_keep_to_their_schemas() {
    for (folder, ending, name) in [
        ("assets/demo", ".circuit.json", "circuit"),
        ("assets/demo", ".evidence.json", "evidence"),
        ("assets/demo", ".loomwalk.json", "bundle"),
        ("assets/demo", "prices.json", "prices"),
        ("assets/bodies", ".json", "body"),
        ("assets/engines", ".json", "engine"),
        ("assets/loads", ".json", "loads"),
        ("assets/options", ".json", "options"),
        ("tests/cases/vehicles", ".circuit.json", "circuit"),
        ("tests/cases/vehicles", ".evidence.json", "evidence"),
        ("tests/cases/bundles", ".loomwalk.json", "bundle"),
        ("tests/cases/circuits", ".json", "circuit"),
        ("tests/cases/shelves", ".shelf.json", "shelf"),
    ] {
        let validator = validator(name);
        for path in files(folder, ending) {
            let wrong: Vec<String> = validator
                .iter_errors(&json(&path))
                .map(|error| format!("{}: {error}", error.instance_path()))
                .collect();
            assert_eq!(wrong, Vec::<String>::new(), "{}", path.display());
        }
    }
}

#[test]
fn a_schema_refuses_what_is_not_its_file() {
    let bundle = json(&root().join("assets/demo/van.loomwalk.json"));
    let mut other = bundle.clone();
    other["format"] = json!("loomwalk/circuit");
    let mut newer = bundle.clone();
    newer["version"] = json!(2);
    let mut nameless = bundle.clone();
    nameless.as_object_mut().unwrap().remove("bundle_id");
    let mut odd = bundle.clone();
    odd["photos"][0]["stage"] = json!("after lunch");
    let validator = validator("bundle");
    assert!(validator.is_valid(&bundle));
    for wrong in [other, newer, nameless, odd] {
        assert!(!validator.is_valid(&wrong));
    }
}
