//! How does one file become another that still has a chance to be one?
//!
//! Bytes changed at random hardly ever pass a check, and then nothing behind it is tried. So most changes are made to
//! the values: odd numbers, one value in the place of another of its kind, words of the format, parts left out or doubled.

use libfuzzer_sys::fuzzer_mutate;
use serde_json::{Value, json};

/// What a format knows, by its schema.
pub struct Format {
    /// Words that stand for something: of lists to choose from.
    words: Vec<String>,
    /// Names of fields.
    fields: Vec<String>,
    /// Makes good what any change breaks, such as a digest.
    mend: fn(&mut Value),
}

impl Format {
    /// By these schemas.
    pub fn of(schemas: &[&str], mend: fn(&mut Value)) -> Self {
        let mut format = Self { words: Vec::new(), fields: Vec::new(), mend };
        for schema in schemas {
            format.learn(&serde_json::from_str(schema).expect("a published schema is JSON"));
        }
        for list in [&mut format.words, &mut format.fields] {
            list.sort();
            list.dedup();
        }
        format
    }

    fn learn(&mut self, schema: &Value) {
        match schema {
            Value::Array(parts) => parts.iter().for_each(|part| self.learn(part)),
            Value::Object(parts) => {
                let text = |value: &Value| value.as_str().map(str::to_owned);
                self.words.extend(parts.get("const").and_then(text));
                self.words.extend(parts.get("enum").and_then(Value::as_array).into_iter().flatten().filter_map(text));
                let fields = parts.get("properties").and_then(Value::as_object);
                self.fields.extend(fields.into_iter().flat_map(|fields| fields.keys().cloned()));
                parts.values().for_each(|part| self.learn(part));
            }
            _ => {}
        }
    }
}

/// Changes `data[..size]` in place; returns its new size, at most `most`.
pub fn mutate(data: &mut [u8], size: usize, most: usize, seed: u32, format: &Format) -> usize {
    let values = if seed.is_multiple_of(8) { None } else { serde_json::from_slice(&data[..size]).ok() };
    let changed = values.and_then(|values| change(values, seed / 8, format));
    match changed.map(|changed| changed.to_string()) {
        Some(text) if text.len() <= most => {
            data[..text.len()].copy_from_slice(text.as_bytes());
            text.len()
        }
        _ => fuzzer_mutate(data, size, most),
    }
}

/// `None`: there was nothing to be changed where the dice fell.
fn change(mut values: Value, seed: u32, format: &Format) -> Option<Value> {
    let mut spots = Vec::new();
    list(&values, "", &mut spots);
    let mut dice = seed;
    let mut below = |count: usize| {
        // Numerical Recipes' generator; its high bits are the better ones.
        dice = dice.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (dice >> 8) as usize % count.max(1)
    };
    let spot = spots.get(below(spots.len()))?;
    let (parent, name) = spot.rsplit_once('/')?;
    let alike: Vec<&String> = spots.iter().filter(|other| kind(other) == kind(spot)).collect();
    let other = values.pointer(alike[below(alike.len())])?.clone();
    let (way, word, field) = (below(8), below(format.words.len()), below(format.fields.len()));
    if below(2) == 0 && other.is_number() {
        *values.pointer_mut(spot)? = number(below(16));
    } else {
        match (way, values.pointer_mut(parent)?) {
            (0, Value::Array(list)) => drop(list.remove(name.parse().ok()?)),
            (0, Value::Object(fields)) => drop(fields.remove(name)),
            (1 | 2, Value::Array(list)) => {
                let double = with_its_own_id(other, list.len());
                list.push(double);
            }
            (3, _) if other.is_string() => *values.pointer_mut(spot)? = json!(format.words.get(word)?),
            (4, Value::Object(fields)) => drop(fields.insert(format.fields.get(field)?.clone(), other)),
            (5, Value::Array(list)) => {
                let last = list.len() - 1;
                list.swap(name.parse().ok()?, last);
            }
            _ => *values.pointer_mut(spot)? = other,
        }
    }
    // Now and then not, for that too is to be refused in words.
    if below(16) > 0 {
        (format.mend)(&mut values);
    }
    Some(values)
}

/// A copy that is not refused for bearing the id of the first. Ids of 36 signs are UUIDs: their last digits are changed.
fn with_its_own_id(mut copy: Value, number: usize) -> Value {
    if let Some(Value::String(id)) = copy.get_mut("id") {
        match id.get(..32).filter(|_| id.len() == 36) {
            Some(start) => *id = format!("{start}{number:04x}"),
            None => *id = format!("{id}{number}"),
        }
    }
    copy
}

/// Every place in it but the whole, as JSON pointers.
fn list(value: &Value, at: &str, spots: &mut Vec<String>) {
    let mut into = |name: &str, value: &Value| {
        let at = format!("{at}/{}", name.replace('~', "~0").replace('/', "~1"));
        list(value, &at, spots);
        spots.push(at);
    };
    match value {
        Value::Array(values) => values.iter().enumerate().for_each(|(at, value)| into(&at.to_string(), value)),
        Value::Object(fields) => fields.iter().for_each(|(name, value)| into(name, value)),
        _ => {}
    }
}

/// What may stand at a place: the field's name, or the list's for an entry. All that name a node are of one kind.
fn kind(spot: &str) -> &str {
    let mut names = spot.rsplit('/').filter(|name| name.parse::<usize>().is_err());
    match names.next().unwrap_or_default() {
        "from" | "to" | "feed" | "return" => "node",
        name => name,
    }
}

/// Numbers at and beyond the bounds of what the checks let through, and some between.
fn number(at: usize) -> Value {
    let numbers = [0.0, -1.0, 5e-324, 1e-12, 1e-9, 1e-3, 1.0, 50.0, 1e3, 1e6, 1e9, 1.7e308];
    let whole = [json!(2), json!(u32::MAX), json!(u64::MAX), json!(i64::MIN)];
    numbers.get(at).map_or_else(|| whole[at % whole.len()].clone(), |number| json!(number))
}
