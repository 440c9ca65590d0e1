//! Does a loom take the shortest way through a vehicle, and always the same?

use std::collections::BTreeMap;

use crate::fitted::{maps, vehicles};
use loomwalk::circuit::file::{Body, EnginePlace, Side, Vehicle};
use loomwalk::circuit::harness::{Place, Stretch};
use loomwalk::ids::ZoneId;
use loomwalk::vehicle::body::{ZoneMap, fit, map_for};
use loomwalk::vehicle::route::{way, ways_from};

fn metres(way: &[Stretch]) -> f64 {
    way.iter().map(|stretch| stretch.metres.0).sum()
}

/// networkx 3.3 (Hagberg, Schult, Swart, SciPy 2008): shortest ways and the sum of all, made by
/// `tests/cases/routes/make.py` from the same files.
#[test]
fn the_shortest_ways_are_those_that_networkx_finds() {
    let name = |vehicle: &Vehicle| {
        let text = |value: serde_json::Value| value.as_str().unwrap().to_owned();
        let body = text(serde_json::to_value(vehicle.body).unwrap());
        match vehicle.engine {
            EnginePlace::Front => body,
            engine => format!("{body}_{}", text(serde_json::to_value(engine).unwrap())),
        }
    };
    let mut known: BTreeMap<(String, String, String), f64> = BTreeMap::new();
    for line in include_str!("cases/routes/networkx.csv").lines() {
        let [map, from, to, metres] = line.split(',').collect::<Vec<_>>().try_into().unwrap();
        known.insert((map.to_owned(), from.to_owned(), to.to_owned()), metres.parse().unwrap());
    }
    for vehicle in vehicles().iter().filter(|vehicle| vehicle.drive_side == Side::Left) {
        let (name, map) = (name(vehicle), fit(vehicle).map);
        let mut sum = 0.0;
        for from in &map.zones {
            let ways = ways_from(&map, &from.id).unwrap();
            for to in map.zones.iter().filter(|to| to.id != from.id) {
                let cost = with_detours(&map, &ways.to(&to.id).unwrap());
                sum += cost;
                let key = (name.clone(), from.id.to_string(), to.id.to_string());
                if let Some(expected) = known.remove(&key) {
                    assert!((cost - expected).abs() < 1e-3, "{key:?}: {cost}, networkx {expected}");
                }
            }
            known.remove(&(name.clone(), from.id.to_string(), from.id.to_string()));
        }
        let expected = known.remove(&(name.clone(), "*".to_owned(), "*".to_owned())).unwrap();
        assert!((sum - expected).abs() < 0.05, "{name}: {sum}, networkx {expected}");
    }
    assert_eq!(known, BTreeMap::new(), "ways that were not compared");
}

/// Metres of a way and of its detours.
fn with_detours(map: &ZoneMap, way: &[Stretch]) -> f64 {
    let detour = |stretch: &Stretch| match &stretch.place {
        Place::Passage(id) => map.passage(id).unwrap().detour_m,
        Place::Zone(_) => 0.0,
    };
    metres(way) + way.iter().map(detour).sum::<f64>()
}

/// The law of shortest ways by another method: relaxing every passage as often as there are zones (Bellman–Ford),
/// against the tree that the program makes.
#[test]
fn no_way_is_cheaper_than_the_one_chosen() {
    for map in maps() {
        let length = |id: &ZoneId| map.zone(id).unwrap().metres;
        for from in &map.zones {
            let mut cost: BTreeMap<&ZoneId, f64> = BTreeMap::from([(&from.id, 0.0)]);
            for _ in &map.zones {
                for passage in &map.passages {
                    let [one, other] = &passage.between;
                    let step = passage.metres + passage.detour_m + (length(one) + length(other)) / 2.0;
                    for (here, there) in [(one, other), (other, one)] {
                        let Some(total) = cost.get(here).map(|so_far| so_far + step) else { continue };
                        let best = cost.entry(there).or_insert(f64::INFINITY);
                        *best = best.min(total);
                    }
                }
            }
            let ways = ways_from(&map, &from.id).unwrap();
            for to in map.zones.iter().filter(|to| to.id != from.id) {
                let way = ways.to(&to.id).unwrap();
                let chosen = with_detours(&map, &way);
                assert!((chosen - cost[&to.id]).abs() < 1e-9, "{} → {}: {chosen} {}", from.id, to.id, cost[&to.id]);
            }
        }
    }
}

#[test]
fn ways_from_one_place_share_their_trunk() {
    for map in maps() {
        for from in &map.zones {
            // The place before each zone is the same on every way that goes through it: a tree.
            let mut before: BTreeMap<Place, Place> = BTreeMap::new();
            let ways = ways_from(&map, &from.id).unwrap();
            for to in &map.zones {
                let way = ways.to(&to.id).unwrap();
                assert_eq!(way.first().map(|part| &part.place), Some(&Place::Zone(from.id.clone())));
                assert_eq!(way.last().map(|part| &part.place), Some(&Place::Zone(to.id.clone())));
                for pair in way.windows(2) {
                    let known = before.entry(pair[1].place.clone()).or_insert_with(|| pair[0].place.clone());
                    assert_eq!(known, &pair[0].place, "from {} to {}", from.id, to.id);
                }
            }
        }
    }
}

#[test]
fn a_way_takes_half_of_its_end_zones_and_whole_zones_and_passages_between() {
    let map = map_for(Body::PanelVan, Side::Right).map;
    let way = way(&map, &"dash_left".into(), &"rear_closure".into()).unwrap();
    let told: Vec<String> = way
        .iter()
        .map(|part| match &part.place {
            Place::Zone(id) => format!("{id} {:.2}", part.metres.0),
            Place::Passage(id) => format!("({id}) {:.2}", part.metres.0),
        })
        .collect();
    // The way that the loom of a load area usually takes: step, foot of the partition, wall, pillar, door boot.
    assert_eq!(
        told,
        [
            "dash_left 0.40",
            "(open_dash_left_sill_left) 0.30",
            "sill_left 1.20",
            "(partition_foot_left) 0.20",
            "bulkhead_partition 0.80",
            "(open_bulkhead_partition_load_area_left) 0.10",
            "load_area_left 2.20",
            "(open_load_area_left_tail_left) 0.20",
            "tail_left 0.70",
            "(boot_rear_left) 0.50",
            "rear_closure 0.80",
        ]
    );
}

#[test]
fn within_one_zone_a_loom_is_half_of_it_long_and_never_under_30_centimetres() {
    let map = map_for(Body::PanelVan, Side::Left).map;
    for (zone, expected) in [("load_area_left", 1.1), ("tow_coupling", 0.3)] {
        let inside = way(&map, &zone.into(), &zone.into()).unwrap();
        assert_eq!(inside.len(), 1);
        assert!((metres(&inside) - expected).abs() < 1e-12, "{zone}");
    }
}

#[test]
fn a_zone_that_the_body_lacks_is_routed_to_what_stands_for_it() {
    let map = map_for(Body::Pickup, Side::Left).map;
    let way = way(&map, &"dash_left".into(), &"load_area_left".into()).unwrap();
    assert_eq!(way.last().unwrap().place, Place::Zone("bed_left".into()));
    assert!(ways_from(&map, &"nowhere".into()).is_none());
    assert!(loomwalk::vehicle::route::way(&map, &"dash_left".into(), &"nowhere".into()).is_none());
}

#[test]
fn equal_ways_are_decided_by_the_order_of_the_zones() {
    let mut map = map_for(Body::Hatchback, Side::Left).map;
    for zone in &mut map.zones {
        zone.metres = 1.0;
    }
    for passage in &mut map.passages {
        (passage.metres, passage.detour_m) = (0.1, 0.0);
    }
    let chosen = way(&map, &"headlamp_left".into(), &"headlamp_right".into()).unwrap();
    assert_eq!(chosen[2].place, Place::Zone("engine_front".into()));
    // Both sides are equally far from the front crossmember to the bulkhead; the left one comes first in the map.
    let chosen = way(&map, &"engine_front".into(), &"bulkhead".into()).unwrap();
    assert_eq!(chosen[2].place, Place::Zone("engine_left".into()));
    map.zones.reverse();
    let chosen = way(&map, &"engine_front".into(), &"bulkhead".into()).unwrap();
    assert_eq!(chosen[2].place, Place::Zone("engine_right".into()));
}
