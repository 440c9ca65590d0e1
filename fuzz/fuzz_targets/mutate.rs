//! How does one circuit file become another that still has a chance to be one?
//!
//! Bytes changed at random hardly ever pass the check, and then nothing behind it is tried. So most changes are made to
//! the values: odd numbers, one value in the place of another of its kind, parts left out or doubled.

use libfuzzer_sys::fuzzer_mutate;
use serde_json::{Value, json};

/// Changes `data[..size]` in place; returns its new size, at most `most`.
pub fn mutate(data: &mut [u8], size: usize, most: usize, seed: u32) -> usize {
    let values = if seed % 8 == 0 { None } else { serde_json::from_slice(&data[..size]).ok() };
    let changed = values.and_then(|values| change(values, seed / 8));
    match changed.map(|changed| changed.to_string()) {
        Some(text) if text.len() <= most => {
            data[..text.len()].copy_from_slice(text.as_bytes());
            text.len()
        }
        _ => fuzzer_mutate(data, size, most),
    }
}

/// `None`: there was nothing to be changed where the dice fell.
fn change(mut values: Value, seed: u32) -> Option<Value> {
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
    if below(2) == 0 && other.is_number() {
        *values.pointer_mut(spot)? = number(below(12));
        return Some(values);
    }
    match (below(4), values.pointer_mut(parent)?) {
        (0, Value::Array(list)) => drop(list.remove(name.parse().ok()?)),
        (0, Value::Object(fields)) => drop(fields.remove(name)),
        (1, Value::Array(list)) => {
            let mut double = other;
            if let Some(Value::String(id)) = double.get_mut("id") {
                *id = format!("{id}{}", list.len());
            }
            list.push(double);
        }
        _ => *values.pointer_mut(spot)? = other,
    }
    Some(values)
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

/// Numbers at and beyond the bounds of what the check lets through, and some between.
fn number(at: usize) -> Value {
    let numbers = [0.0, -1.0, 5e-324, 1e-12, 1e-9, 1e-3, 1.0, 50.0, 1e3, 1e6, 1e9, 1e300];
    json!(numbers[at % numbers.len()])
}
