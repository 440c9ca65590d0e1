//! What does one cell say, when it is known what its column is?

use super::super::tokens::tokens;
use super::super::{Entry, Gauge, MOST_OF_ONE, Sides, Stated};
use super::Column;
use crate::catalogue::words::plain_words;
use crate::circuit::colour::WireColour;
use crate::circuit::file::Side;
use crate::ids::ZoneId;
use crate::vehicle::body::ZoneMap;

/// What a column's numbers are multiplied by, when its title names a smaller unit.
pub(super) fn scale(title: &str, column: Column) -> f64 {
    let words = plain_words(title);
    let has = |unit: &str| words.iter().any(|word| word == unit);
    match column {
        Column::Amps if has("ma") => 1e-3,
        Column::Length if has("mm") => 1e-3,
        Column::Length if has("cm") => 1e-2,
        _ => 1.0,
    }
}

/// Takes over one cell, or says what is wrong with it.
pub(super) fn fill(entry: &mut Entry, column: Column, cell: &str, scale: f64, map: &ZoneMap) -> Result<(), String> {
    match column {
        Column::Name | Column::PassedOver => {}
        Column::Watts | Column::Amps | Column::Ohms => {
            let stated = size(column, cell, scale)?;
            if let Some(said) = entry.size.filter(|said| *said != stated && entry.lamp.is_none()) {
                return Err(format!("the row says {} already: a load's size is said once", size_words(said)));
            }
            entry.rated_volts = entry.rated_volts.filter(|_| entry.size == Some(stated));
            entry.size = Some(stated);
        }
        Column::Colour => entry.colour = Some(WireColour::parse(cell).map_err(|error| error.to_string())?),
        Column::Area => {
            entry.gauge = Some(Gauge::AreaMm2(amount(cell, 1.0, &["mm²", "mm2", "mm", "qmm", "sqmm"], 1e3)?))
        }
        Column::Awg => {
            let gauge = amount(cell, 1.0, &["awg", "ga"], 50.0)?;
            entry.gauge = Some(Gauge::Awg(gauge));
        }
        Column::Length => entry.length_m = Some(length(cell, scale)?),
        Column::Zone => entry.zone = Some(zone(cell, map)?),
        Column::Side => {
            entry.sides = side(cell).ok_or_else(|| format!("\"{cell}\" is no side: write left, right or both"))?
        }
        Column::Count => {
            let count = cell.parse().ok().filter(|count| (1..=MOST_OF_ONE).contains(count));
            entry.count = Some(count.ok_or_else(|| format!("\"{cell}\" is no number from 1 to {MOST_OF_ONE}"))?);
        }
    }
    Ok(())
}

fn size(column: Column, cell: &str, scale: f64) -> Result<Stated, String> {
    let lower = cell.to_lowercase();
    let milli = lower.ends_with("ma");
    // A unit in the cell counts before the title's.
    let scale = if lower.ends_with(|letter: char| letter.is_alphabetic()) { 1.0 } else { scale };
    match column {
        Column::Watts => Ok(Stated::Watts(amount(cell, 1.0, &["w", "watt", "watts"], 1e5)?)),
        Column::Amps if milli => Ok(Stated::Amps(amount(cell, 1e-3, &["ma"], 1e3)?)),
        Column::Amps => Ok(Stated::Amps(amount(cell, scale, &["a", "amp", "amps"], 1e3)?)),
        _ => Ok(Stated::Ohms(amount(cell, 1.0, &["ω", "ohm", "ohms", "r"], 1e7)?)),
    }
}

fn size_words(size: Stated) -> String {
    match size {
        Stated::Watts(watts) => format!("{watts} W"),
        Stated::Amps(amps) => format!("{amps} A"),
        Stated::Ohms(ohms) => format!("{ohms} Ω"),
    }
}

fn length(cell: &str, scale: f64) -> Result<f64, String> {
    let lower = cell.to_lowercase();
    let scale = match () {
        () if lower.ends_with("mm") => 1e-3,
        () if lower.ends_with("cm") => 1e-2,
        () if lower.ends_with('m') => 1.0,
        () => scale,
    };
    amount(cell, scale, &["m", "cm", "mm"], 1e3)
}

/// A number above zero, with one of these units or none.
fn amount(cell: &str, scale: f64, units: &[&str], most: f64) -> Result<f64, String> {
    let pieces = tokens(cell);
    let number = match pieces.as_slice() {
        [number] => number.number(),
        [number, unit] if units.contains(&unit.lower().as_str()) => number.number(),
        _ => None,
    };
    let wanted = || match units.first() {
        Some(unit) => format!("write a number, such as 1.5 or 1,5, with {unit} or without"),
        None => "write a number, such as 1.5 or 1,5".to_owned(),
    };
    let number = number.ok_or_else(|| format!("\"{cell}\" is no number: {}", wanted()))? * scale;
    if number > 0.0 && number <= most {
        Ok(number)
    } else {
        Err(format!("{number} cannot be: it is above 0 and at most {most}"))
    }
}

/// A zone by its id or its name.
fn zone(cell: &str, map: &ZoneMap) -> Result<ZoneId, String> {
    let words = plain_words(cell);
    let id = ZoneId(words.join("_"));
    if map.zone(&id).is_some() {
        return Ok(id);
    }
    let named = map.zones.iter().find(|zone| plain_words(&zone.label) == words);
    named.map(|zone| zone.id.clone()).ok_or_else(|| {
        format!(
            "this body has no place \"{cell}\": write one as the picture of the vehicle names it, or leave it empty"
        )
    })
}

pub(super) fn side(cell: &str) -> Option<Sides> {
    match plain_words(cell).join(" ").as_str() {
        "left" | "l" | "lh" | "l h" | "links" | "izquierda" | "izquierdo" => Some(Sides::One(Side::Left)),
        "right" | "r" | "rh" | "r h" | "rechts" | "derecha" | "derecho" => Some(Sides::One(Side::Right)),
        "both" | "l r" | "lh rh" | "left right" | "left and right" | "beide" | "ambos" | "ambas" => Some(Sides::Both),
        _ => None,
    }
}
