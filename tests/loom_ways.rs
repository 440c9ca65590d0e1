//! Does a loom lie where one would lay it? Shared ways against exact Steiner trees, other ways and what tells them.
use std::collections::BTreeSet;

use loomwalk::circuit::check;
use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::{Body, Side};
use loomwalk::circuit::harness::{Harness, Place, Stretch};
use loomwalk::ids::ZoneId;
use loomwalk::vehicle::loom::Loom;
use loomwalk::vehicle::route::{other_ways, way, way_via, ways_from};
use loomwalk::vehicle::{body::ZoneMap, fit::map_for};
use proptest::prelude::*;
use proptest::strategy::ValueTree;

const BODIES: [Body; 6] =
    [Body::Saloon, Body::Hatchback, Body::Estate, Body::Pickup, Body::PanelVan, Body::Convertible];

fn map_of(body: Body) -> ZoneMap {
    map_for(body, Side::Left).map
}

/// What the cheapest way between any two zones costs.
fn distances(map: &ZoneMap) -> Vec<Vec<u64>> {
    let from = |one: &ZoneId| {
        let ways = ways_from(map, one).unwrap();
        map.zones.iter().map(|other| ways.cost_to(&other.id).unwrap()).collect()
    };
    map.zones.iter().map(|zone| from(&zone.id)).collect()
}

/// What the shortest loom costs that joins those zones: the exact Steiner tree of Dreyfus & Wagner (1971).
fn shortest_loom(distances: &[Vec<u64>], joined: &[usize]) -> u64 {
    let Some((&last, rest)) = joined.split_last() else { return 0 };
    let zones = distances.len();
    let all = (1_usize << rest.len()) - 1;
    // By set of the others, and by the zone where their loom is to be had.
    let mut best = vec![vec![u64::MAX; zones]; all + 1];
    for set in 1..=all {
        let mut at = vec![u64::MAX; zones];
        for zone in 0..zones {
            if set.is_power_of_two() {
                at[zone] = distances[rest[set.trailing_zeros() as usize]][zone];
            }
            let mut part = (set - 1) & set;
            while part > 0 {
                at[zone] = at[zone].min(best[part][zone].saturating_add(best[set ^ part][zone]));
                part = (part - 1) & set;
            }
        }
        best[set] = (0..zones)
            .map(|zone| (0..zones).map(|from| at[from].saturating_add(distances[from][zone])).min().unwrap())
            .collect();
    }
    best[all].get(last).copied().unwrap_or(0)
}

#[test]
fn the_exact_tree_of_a_star_has_its_middle() {
    // Three ends at distance 1 from a middle, 2 from each other.
    let distances = vec![vec![0, 2, 2, 1], vec![2, 0, 2, 1], vec![2, 2, 0, 1], vec![1, 1, 1, 0]];
    assert_eq!(shortest_loom(&distances, &[0, 1, 2]), 3);
    assert_eq!(shortest_loom(&distances, &[0, 1]), 2);
}

/// Some zones of a body.
fn some_zones(least: usize, most: usize) -> impl Strategy<Value = (Body, BTreeSet<usize>)> {
    let chosen = move |body: Body| proptest::collection::btree_set(0..map_of(body).zones.len(), least..=most);
    proptest::sample::select(BODIES.to_vec()).prop_flat_map(move |body| (Just(body), chosen(body)))
}

fn names<'m>(map: &'m ZoneMap, zones: &BTreeSet<usize>) -> Vec<&'m ZoneId> {
    zones.iter().map(|&zone| &map.zones[zone].id).collect()
}

fn passages(way: &[Stretch]) -> impl Iterator<Item = &Place> {
    way.iter().map(|stretch| &stretch.place).filter(|place| matches!(place, Place::Passage(_)))
}

#[test]
fn a_loom_of_up_to_six_places_is_within_15_percent_of_the_shortest_there_is() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let tables: Vec<_> = BODIES.iter().map(|body| (*body, map_of(*body), distances(&map_of(*body)))).collect();
    let (mut worst, mut longer, mut tried) = (1.0_f64, 0, 0);
    for _ in 0..400 {
        let (body, zones) = some_zones(3, 6).new_tree(&mut runner).unwrap().current();
        let (_, map, distances) = tables.iter().find(|(known, ..)| *known == body).unwrap();
        let exact = shortest_loom(distances, &zones.iter().copied().collect::<Vec<_>>());
        let found = Loom::joining(map, names(map, &zones)).cost();
        assert!(found >= exact, "{body:?} {zones:?}: shorter than the shortest");
        #[allow(clippy::cast_precision_loss)]
        let ratio = found as f64 / exact as f64;
        worst = worst.max(ratio);
        longer += u32::from(found > exact);
        tried += 1;
    }
    assert!(worst <= 1.15, "{worst}");
    assert!(longer * 4 < tried, "{longer} of {tried} are longer than need be");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_shared_loom_is_never_longer_than_separate_ways((body, zones) in some_zones(2, 20)) {
        let map = map_of(body);
        let named = names(&map, &zones);
        let (first, others) = named.split_first().unwrap();
        let ways = ways_from(&map, first).unwrap();
        let separate: u64 = others.iter().map(|other| ways.cost_to(other).unwrap()).sum();
        prop_assert!(Loom::joining(&map, named.iter().copied()).cost() <= separate);
    }

    #[test]
    fn there_is_one_way_in_a_loom_between_any_two_of_its_places((body, zones) in some_zones(2, 12)) {
        let map = map_of(body);
        let named = names(&map, &zones);
        let loom = Loom::joining(&map, named.iter().copied());
        let backwards = Loom::joining(&map, named.iter().rev().copied());
        let mut used = BTreeSet::new();
        let mut walked = BTreeSet::new();
        for one in &named {
            for other in &named {
                let way = loom.way(one, other).unwrap();
                let mut back = loom.way(other, one).unwrap();
                prop_assert_eq!(&Some(way.clone()), &backwards.way(one, other));
                back.reverse();
                prop_assert_eq!(&way, &back);
                used.extend(passages(&way).cloned());
                walked.extend(way.iter().map(|stretch| stretch.place.clone()).filter(|place| matches!(place, Place::Zone(_))));
            }
        }
        // A tree: one passage less than zones.
        prop_assert_eq!(used.len() + 1, walked.len());
    }

    #[test]
    fn the_places_that_tell_another_way_make_it_again((body, zones) in some_zones(2, 2)) {
        let map = map_of(body);
        let ends = names(&map, &zones);
        let usual = way(&map, ends[0], ends[1]).unwrap();
        let others = other_ways(&map, ends[0], ends[1]);
        for other in &others {
            prop_assert!(other.way != usual && !other.via.is_empty());
            prop_assert_eq!(way_via(&map, ends[0], &other.via, ends[1]), Some(other.way.clone()));
            let places: BTreeSet<_> = other.way.iter().map(|stretch| &stretch.place).collect();
            prop_assert_eq!(places.len(), other.way.len(), "through one place twice");
            prop_assert!(other.via.iter().all(|place| places.contains(place)));
        }
        let different: BTreeSet<_> = others.iter().map(|other| format!("{:?}", other.way)).collect();
        prop_assert_eq!(different.len(), others.len());
    }
}

#[test]
fn zones_that_nobody_knows_are_left_out_of_the_loom() {
    let map = map_of(Body::PanelVan);
    let (here, nowhere) = (ZoneId::from("dash_left"), ZoneId::from("moon"));
    let loom = Loom::joining(&map, [&here, &nowhere]);
    assert_eq!((loom.cost(), loom.way(&here, &nowhere)), (0, None));
    assert!(loom.way(&here, &here).is_some());
    assert_eq!(Loom::joining(&map, []).way(&here, &"tank".into()), None);
    assert_eq!(other_ways(&map, &here, &nowhere), []);
    assert_eq!(way_via(&map, &here, &[Place::Zone(nowhere)], &here), None);
}

fn van(loads: &str) -> Harness {
    let text = format!(
        r#"{{"format": "loomwalk/circuit", "version": 1, "vehicle": {{"body": "panel_van"}},
            "fuse": {{"rating_a": 10, "zone": "dash_left"}}, "loads": [{loads}]}}"#
    );
    let file = check::read(text.as_bytes()).unwrap();
    expand(&file, &map_for(file.vehicle.body, file.vehicle.drive_side))
}

fn places(harness: &Harness, run: &str) -> Vec<String> {
    let run = harness.runs.iter().find(|known| known.id.as_str() == run).unwrap();
    run.path
        .iter()
        .map(|stretch| match &stretch.place {
            Place::Zone(zone) => zone.0.clone(),
            Place::Passage(passage) => passage.0.clone(),
        })
        .collect()
}

#[test]
fn a_feed_goes_through_what_was_said_and_has_a_wire_of_its_own_there() {
    let lamp = |via: &str| {
        format!(
            r#"{{"id": "left", "label": "Lamp", "kind": "filament_lamp", "watts": 5, "zone": "tail_left"{via}}},
               {{"id": "right", "label": "Other lamp", "kind": "filament_lamp", "watts": 5, "zone": "tail_right"}}"#
        )
    };
    let usual = van(&lamp(""));
    assert!(usual.runs.iter().any(|run| run.id.as_str().starts_with("assumed:trunk:")), "they share a trunk");
    let said = van(&lamp(r#", "via": [{"zone": "roof_front"}]"#));
    let way = places(&said, "assumed:left.feed");
    assert!(way.contains(&"roof_front".to_owned()) && way.first() == Some(&"dash_left".to_owned()), "{way:?}");
    assert_eq!(way.last().map(String::as_str), Some("tail_left"));
    let note = said.assumptions.iter().find(|note| note.starts_with("Lamp: how it is fed")).unwrap();
    assert!(note.contains("as was said"), "{note}");
}

#[test]
fn what_no_way_leads_through_is_told_and_passed_over() {
    let lamp = r#"{"id": "lamp", "label": "Lamp", "kind": "filament_lamp", "watts": 5, "zone": "tail_left", "via": [{"passage": "hatch_of_a_ship"}]}"#;
    let harness = van(lamp);
    let told = harness.assumptions.iter().find(|note| note.contains("passed over")).unwrap();
    assert!(told.starts_with("Lamp: its feed was said to go through \"hatch_of_a_ship\""), "{told}");
    assert!(places(&harness, "assumed:lamp.feed").contains(&"tail_left".to_owned()));
}
