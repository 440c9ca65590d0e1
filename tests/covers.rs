//! On every body, whatever stands open: does all that is still closed before a place stand before it in the plan?
use std::collections::BTreeSet;
use std::sync::LazyLock;

use loomwalk::circuit::expand::expand;
use loomwalk::circuit::file::CircuitFile;
use loomwalk::search::plan::{Search, Walk};
use loomwalk::vehicle::body::{ZoneMap, fit, way_to};
use proptest::prelude::*;
use serde_json::json;

const BODIES: [&str; 6] = ["saloon", "hatchback", "estate", "pickup", "panel_van", "convertible"];

/// A circuit with a load in every zone.
fn everywhere(body: &str) -> (Search, ZoneMap) {
    let plain: CircuitFile = serde_json::from_value(json!({
        "format": "loomwalk/circuit", "version": 1, "vehicle": { "body": body },
        "fuse": { "label": "F1", "rating_a": 30 }, "loads": [],
    }))
    .unwrap();
    let map = fit(&plain.vehicle);
    let loads = map.map.zones.iter().enumerate();
    let loads =
        loads.map(|(at, zone)| json!({ "id": format!("l{at}"), "label": zone.label, "ohms": 12, "zone": zone.id }));
    let loads = loads.map(|load| serde_json::from_value(load).unwrap()).collect();
    let file = CircuitFile { loads, ..plain };
    let harness = expand(&file, &map);
    (Search::of_circuit(&file, &harness, &map.map), map.map)
}

static ALL: LazyLock<Vec<(Search, ZoneMap)>> = LazyLock::new(|| BODIES.map(everywhere).into_iter().collect());

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_closed_before_a_place_stands_before_it(body in 0..BODIES.len(), open in any::<u64>()) {
        let (search, map) = &ALL[body];
        let is_open = |at: usize| open >> (at % 64) & 1 == 1;
        let opened = map.access.iter().enumerate().filter(|(at, _)| is_open(*at)).map(|(_, step)| step.id.clone());
        let walk = Walk { open: opened.collect(), ..Walk::default() };
        let plan = search.plan(&[], &walk);
        let mut done: BTreeSet<&str> = BTreeSet::new();
        for step in &plan.steps {
            let access = match search.point(&step.id.as_str().into()) {
                Some(point) => point.access.clone(),
                None => Some(step.id.as_str().into()),
            };
            for before in way_to(|id| map.access(id), access.as_ref()) {
                let stands = step.id == before.id.as_str() || walk.open.contains(&before.id) || done.contains(before.id.as_str());
                prop_assert!(stands, "{} before {}, with {:?} open", step.id, before.id, walk.open);
            }
            for named in step.after.iter().chain(&step.also_after) {
                prop_assert!(done.contains(named.as_str()), "{} names {named}, which comes later", step.id);
            }
            done.insert(&step.id);
        }
        prop_assert!(plan.steps.iter().any(|step| step.after.is_some()));
    }
}
