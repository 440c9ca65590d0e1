//! Which ways may the wire to a load have taken, where nothing was stated of it?

use super::Build;
use super::places::length;
use crate::circuit::file::CircuitFile;
use crate::circuit::harness::{Place, Stretch};
use crate::gather::Order as _;
use crate::ids::{LoadId, ZoneId};
use crate::units::Metres;
use crate::vehicle::body::FittedMap;
use crate::vehicle::route::{OtherWay, other_ways, way, way_via};

/// The ways of an assumed feed.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedWays {
    /// It begins behind the load's switch, not at the fuse.
    pub from_switch: bool,
    /// Where it begins.
    pub from: ZoneId,
    /// The load's zone.
    pub to: ZoneId,
    /// As the loom goes: what holds where nobody says otherwise.
    pub loom: Vec<Stretch>,
    /// The others, the shortest first, each with the places that tell it.
    pub others: Vec<OtherWay>,
}

/// The ways that the wire to a load may have taken. `None`: its feed is stated, or nobody knows where it ends.
///
/// Meant, as [`super::expand`], for circuits that were found sound.
pub fn feed_ways(file: &CircuitFile, map: &FittedMap, load: &LoadId) -> Option<FeedWays> {
    let mut build = Build::new(file, map);
    let mut loads = build.known_loads();
    build.place_nodes(&loads);
    build.lay_loom(&loads);
    build.stated_switches();
    build.stated_runs();
    build.stated_terminals(&mut loads);
    let known = loads.iter().find(|known| known.id == *load && known.assume_feed)?;
    let to = known.zone.clone()?;
    let behind = build.way_behind_switch(known);
    let from_switch = behind.is_some();
    let (from, loom) = match behind {
        Some(behind) => behind,
        None => (build.fuse_zone.clone(), build.way_from_fuse(Some(&to))),
    };
    if loom.is_empty() {
        return None;
    }
    let mut others: Vec<OtherWay> = other_ways(&map.map, &from, &to);
    // The loom may take a detour that others share: then the shortest way is one of the others.
    others.extend(told_apart(map, &from, &to, &loom));
    others.retain(|other| other.way != loom);
    others.order_by(|one, other| metres(&one.way).0.total_cmp(&metres(&other.way).0));
    Some(FeedWays { from_switch, from, to, loom, others })
}

/// The cheapest way, if one place tells it from the loom's.
fn told_apart(map: &FittedMap, from: &ZoneId, to: &ZoneId, loom: &[Stretch]) -> Option<OtherWay> {
    let cheapest = way(&map.map, from, to)?;
    let places = cheapest.iter().map(|stretch| stretch.place.clone());
    let own = places.filter(|place| !loom.iter().any(|stretch| stretch.place == *place));
    let made = |via: &Vec<Place>| way_via(&map.map, from, via, to).as_ref() == Some(&cheapest);
    let via = own.map(|place| vec![place]).find(made)?;
    Some(OtherWay { via, way: cheapest })
}

/// How long a way is in this vehicle.
pub fn metres(way: &[Stretch]) -> Metres {
    Metres(length(way))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::circuit::expand::expand;
    use crate::vehicle::body::fit;

    fn van(loads: &str) -> CircuitFile {
        let text = format!(
            r#"{{"format": "loomwalk/circuit", "version": 1, "label": "", "vehicle": {{"body": "panel_van"}},
                "fuse": {{"label": "F1", "rating_a": 15}}, "loads": [{loads}]}}"#
        );
        serde_json::from_str(&text).unwrap()
    }

    #[test]
    fn every_other_way_that_is_chosen_is_the_one_that_the_harness_takes() {
        for load in [
            r#"{"id": "a", "label": "A", "item": "tail_lamp_left"}"#,
            r#"{"id": "a", "label": "A", "item": "reversing_lamp_right"}"#,
            r#"{"id": "a", "label": "A", "kind": "motor", "zone": "roof_rear"}"#,
        ] {
            let mut file = van(load);
            let map = fit(&file.vehicle);
            let ways = feed_ways(&file, &map, &LoadId::from("a")).unwrap();
            assert!(!ways.others.is_empty(), "{load}");
            for other in ways.others {
                file.loads[0].via.clone_from(&other.via);
                let harness = expand(&file, &map);
                let taken = harness.runs.iter().any(|run| run.path == other.way);
                assert!(taken, "{load} through {:?}", other.via);
                assert!(metres(&other.way).0 > 0.0);
            }
        }
    }

    #[test]
    fn a_stated_feed_has_no_ways_to_choose_and_no_load_neither() {
        let mut file = van(r#"{"id": "a", "label": "A", "zone": "roof_rear", "feed": "fuse"}"#);
        let map = fit(&file.vehicle);
        let stated = r#"{"id": "r", "from": "fuse", "to": "a.feed", "length_m": 4}"#;
        file.runs.push(serde_json::from_str(stated).unwrap());
        file.loads[0].feed = None;
        assert_eq!(feed_ways(&file, &map, &LoadId::from("a")), None);
        assert_eq!(feed_ways(&file, &map, &LoadId::from("b")), None);
    }
}
