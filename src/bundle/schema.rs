//! The JSON Schemas (draft 2020-12) of our files, made from the types.
//!
//! They say what a file may hold, field by field. What the fields must be to each other (ids that exist, a digest
//! that fits) is for the readers to say.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

use crate::bundle::file::Bundle;
use crate::catalogue::Item;
use crate::catalogue::groups::{self, Groups};
use crate::circuit::fault::Faults;
use crate::circuit::file::CircuitFile;
use crate::circuit::meter::Meter;
use crate::circuit::story::Story;
use crate::job::cornered::Cornered;
use crate::report::estimate::{self, Estimate};
use crate::report::prices::{self, Prices};
use crate::search::evidence::EvidenceFile;
use crate::search::lessons::LearnedFile;
use crate::search::plan::Plan;
use crate::shelf::file::ShelfFile;
use crate::vehicle::body::ZoneMap;
use crate::vehicle::engine::EngineMove;
use crate::{bundle, circuit, job, search, shelf, vehicle};

/// A file of the catalogue of loads.
#[derive(JsonSchema)]
#[allow(dead_code, reason = "only its shape is wanted")]
struct Loads {
    /// Always `loomwalk/loads`.
    format: String,
    /// 1.
    version: u32,
    /// The loads.
    items: Vec<Item>,
}

/// The schema of every file format, by its name: that of the file is `<name>.schema.json`.
pub fn all() -> Vec<(&'static str, Value)> {
    vec![
        ("body", of_file::<ZoneMap>(vehicle::body::FORMAT)),
        ("engine", of_file::<EngineMove>(vehicle::engine::FORMAT)),
        ("bundle", of_file::<Bundle>(bundle::file::FORMAT)),
        ("circuit", of_file::<CircuitFile>(circuit::file::FORMAT)),
        ("estimate", of_file::<Estimate>(estimate::FORMAT)),
        ("evidence", of_file::<EvidenceFile>(search::evidence::FORMAT)),
        ("faults", of_file::<Faults>(circuit::fault::FORMAT)),
        ("isolation", of_file::<Cornered>(job::cornered::FORMAT)),
        ("learned", of_file::<LearnedFile>(search::lessons::FORMAT)),
        ("loads", of_file::<Loads>("loomwalk/loads")),
        ("meter", of_file::<Meter>(circuit::meter::FORMAT)),
        ("options", of_file::<Groups>(groups::FORMAT)),
        ("plan", of_file::<Plan>(search::plan::FORMAT)),
        ("prices", of_file::<Prices>(prices::FORMAT)),
        ("shelf", of_file::<ShelfFile>(shelf::FORMAT)),
        ("story", of_file::<Story>(circuit::story::FORMAT)),
    ]
}

/// The schema of a type that is sent or kept as JSON.
pub fn of<T: JsonSchema>() -> Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    generator.into_root_schema_for::<T>().to_value()
}

/// The schema of a file with a `format` and a `version`: those two stand in it as what they must be.
fn of_file<T: JsonSchema>(format: &str) -> Value {
    let mut schema = of::<T>();
    if let Some(fields) = schema.get_mut("properties").and_then(Value::as_object_mut) {
        fix(fields, "format", json!(format));
        fix(fields, "version", json!(1));
    }
    // A circuit inside another file is one all the same.
    if let Some(fields) = schema.pointer_mut("/$defs/CircuitFile/properties").and_then(Value::as_object_mut) {
        fix(fields, "format", json!(circuit::file::FORMAT));
        fix(fields, "version", json!(1));
    }
    schema
}

fn fix(fields: &mut Map<String, Value>, field: &str, value: Value) {
    if let Some(field) = fields.get_mut(field).and_then(Value::as_object_mut) {
        field.insert("const".to_owned(), value);
    }
}
