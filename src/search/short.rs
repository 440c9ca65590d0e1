//! What would a short to ground at a point do? In words for the one who stands before it.

use crate::circuit::fault::{RunEffect, effects};
use crate::circuit::file::Fuse;
use crate::circuit::fuse::{Curve, TouchModel};
use crate::circuit::harness::Harness;
use crate::circuit::said;
use crate::ids::Condition;
use crate::search::point::{Crossing, Point};
use crate::units::Amps;

/// Says what a hard short at this point would draw through the fuse, and whether that opens it, with these conditions
/// holding. `None`: nothing can be said, because the network cannot be computed.
pub fn at_point(harness: &Harness, fuse: &Fuse, point: &Point, state: &[Condition]) -> Option<String> {
    // A hard short lasts: how long a touch does not matter here.
    let effects = effects(harness, fuse, &TouchModel::stated(), state).ok()?;
    let noun = said::noun(fuse.style);
    let here: Vec<(&Crossing, &RunEffect)> =
        point.crossings.iter().filter_map(|crossing| Some((crossing, effects.get(crossing.run)?))).collect();
    let live: Vec<_> = here.iter().filter(|(_, effect)| effect.live && !effect.behind_load).collect();
    if live.is_empty() {
        return Some(match here.iter().any(|(_, effect)| effect.live) {
            true => format!("A short here is behind the load: it would make the load run, not open the {noun}."),
            false => "Nothing here is live with that switched on: a short would not show.".to_owned(),
        });
    }
    // Along a run the current falls steadily from one end to the other: the ends bound it.
    let ends = || {
        live.iter().flat_map(|(crossing, effect)| {
            let near = (crossing.at < 1.0).then_some(effect.near);
            let far = (crossing.at > 0.0).then_some(effect.far);
            near.into_iter().chain(far)
        })
    };
    let least = ends().map(|end| end.fuse_a).fold(f64::INFINITY, f64::min);
    let most = ends().map(|end| end.fuse_a).fold(0.0, f64::max);
    let latest = ends().map(|end| end.window.max_s).reduce(|one, other| Some(one?.max(other?))).flatten();
    let open = if fuse.style.resets() { "trip" } else { "open" };
    let holds = Curve::of(fuse.style, fuse.rating_a).holds(most / fuse.rating_a);
    let opens = match latest {
        Some(seconds) => format!("and {open} the {noun} within {}", said::time(seconds)),
        None if holds => format!("which the {noun} carries: it would not {open}"),
        None => format!("and may or may not {open} the {noun}"),
    };
    let then = if holds { "" } else { said::and_then(fuse.style) };
    Some(format!("A hard short here would draw {} through the {noun} {opens}.{then}", amperes(least, most)))
}

/// A span of currents with two digits that mean something.
fn amperes(least: f64, most: f64) -> String {
    let round = |amps: f64| {
        if amps < 9.95 {
            return said::amperes(Amps(amps));
        }
        let step = 10_f64.powi(amps.log10().floor() as i32 - 1);
        said::amperes(Amps((amps / step).round() * step))
    };
    let (least, most) = (round(least), round(most));
    if least == most { format!("about {most}") } else { format!("{} to {most}", least.trim_end_matches(" A")) }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::circuit::check;
    use crate::circuit::expand::expand;
    use crate::circuit::file::{CircuitFile, FuseStyle};
    use crate::search::plan::Search;
    use crate::vehicle::fit::map_for;

    fn told(style: FuseStyle, point: &str, state: &[&str]) -> String {
        let text = r#"{ "format": "loomwalk/circuit", "version": 1, "vehicle": { "body": "panel_van" },
            "supply": { "volts": 12.6, "ohms": 0.02 }, "fuse": { "rating_a": 10, "ohms": 0.0077, "live_when": ["key_on"] },
            "runs": [{ "id": "r1", "from": "fuse", "to": "l1.feed", "length_m": 3.0, "area_mm2": 0.5,
                       "path": [{ "zone": "dash_left", "m": 3.0 }] },
                     { "id": "r2", "from": "l1.return", "to": "ground", "length_m": 1.0, "area_mm2": 0.5,
                       "path": [{ "zone": "dash_left", "m": 1.0 }] }],
            "loads": [{ "id": "l1", "kind": "filament_lamp", "watts": 5, "zone": "dash_left" }],
            "marks": [{ "id": "m1", "run": "r1", "at_m": 1.5, "kind": "edge" }] }"#;
        let mut file: CircuitFile = check::read(text.as_bytes()).unwrap();
        file.fuse.style = style;
        let map = map_for(file.vehicle.body, file.vehicle.drive_side);
        let harness = expand(&file, &map);
        let search = Search::new(&harness, &map.map, &file.fuse);
        let point = search.points().iter().find(|known| known.id.as_str() == point).unwrap();
        let state: Vec<Condition> = state.iter().map(|name| Condition::from(*name)).collect();
        at_point(&harness, &file.fuse, point, &state).unwrap()
    }

    #[test]
    fn a_short_on_a_live_wire_says_how_much_and_how_soon() {
        // By hand: 12.6 V over 27.7 mΩ source and fuse, up to 103.4 mΩ of wire (0.017241 Ω·mm²/m), 10 mΩ of fault:
        // 334 A at the fuse, 89 A at the lamp; both above 6 × 10 A, where the standard's window ends at 0.1 s.
        assert_eq!(
            told(FuseStyle::Blade, "point:r1@1.5", &["key_on"]),
            "A hard short here would draw 89 to 330 A through the fuse and open the fuse within 0.1 s."
        );
    }

    #[test]
    fn a_breaker_is_said_to_trip_and_to_close_again() {
        // The same 89 A at the lamp and more: past the last gate, 6 × 10 A, which ends at 4 s.
        assert_eq!(
            told(FuseStyle::Breaker, "point:r1@1.5", &["key_on"]),
            "A hard short here would draw 89 to 330 A through the breaker and trip the breaker within 4 s. It closes \
             again by itself, and the wire heats at every closing."
        );
    }

    #[test]
    fn currents_are_told_with_the_digits_that_mean_something() {
        let told = [(2.3, 2.3), (0.84, 2.31), (0.0, 9.96), (9.94, 12.4), (89.0, 334.0), (15_400.0, 15_400.0)];
        let told = told.map(|(least, most)| amperes(least, most)).join("; ");
        assert_eq!(told, "about 2.3 A; 0.8 to 2.3 A; 0 to 10 A; 9.9 to 12 A; 89 to 330 A; about 15000 A");
    }

    #[test]
    fn what_is_dead_says_so() {
        assert!(told(FuseStyle::Blade, "point:r1@1.5", &[]).contains("Nothing here is live"));
    }
}
