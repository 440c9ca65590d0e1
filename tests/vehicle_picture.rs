//! Does every drawing show every zone where it is, and can a hand or a key get to each?
use std::collections::BTreeSet;

use loomwalk::circuit::file::{Body, EnginePlace, Side, Vehicle};
use loomwalk::vehicle::body::{ZoneMap, fit};
use loomwalk::vehicle::fit::engine_places;
use loomwalk::vehicle::picture::{Seen, Shape, beside, shapes};

const BODIES: [Body; 6] =
    [Body::Saloon, Body::Hatchback, Body::Estate, Body::Pickup, Body::PanelVan, Body::Convertible];
const WAYS: [[f64; 2]; 4] = [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]];

fn map(body: Body, engine: EnginePlace, drive_side: Side) -> ZoneMap {
    fit(&Vehicle { body, engine, drive_side, ..Vehicle::default() }).map
}

/// Every vehicle that can be told apart in a drawing.
fn all() -> impl Iterator<Item = (Body, EnginePlace, Side, ZoneMap)> {
    BODIES.into_iter().flat_map(|body| {
        engine_places(body)
            .into_iter()
            .flat_map(move |engine| [Side::Left, Side::Right].map(|side| (body, engine, side, map(body, engine, side))))
    })
}

fn on_the_sheet([x, y, width, height]: Shape, [across, down]: [f64; 2]) -> bool {
    x >= 0.0 && y >= 0.0 && width > 0.0 && height > 0.0 && x + width <= across && y + height <= down
}

#[test]
fn from_above_every_zone_is_seen_and_from_a_side_what_is_there() {
    for (body, engine, side, map) in all() {
        let told = format!("{body:?} {engine:?} {side:?}");
        assert!(shapes(&map, body, Seen::Above).iter().all(Option::is_some), "{told}");
        for (from, own, other) in [(Seen::Left, "_left", "_right"), (Seen::Right, "_right", "_left")] {
            let seen: Vec<&str> = map
                .zones
                .iter()
                .zip(shapes(&map, body, from))
                .filter_map(|(zone, shape)| shape.map(|_| zone.id.as_str()))
                .collect();
            assert!(seen.len() >= 16, "{told} {from:?}: {seen:?}");
            assert!(seen.iter().all(|id| !id.ends_with(other)), "{told} {from:?}: {seen:?}");
            for needed in ["door_front", "wheel_front", "wheel_rear", "sill", "tail"] {
                assert!(seen.contains(&format!("{needed}{own}").as_str()), "{told} {from:?} lacks {needed}: {seen:?}");
            }
            assert!(seen.contains(&"tow_coupling") && seen.contains(&"underbody_front"), "{told} {from:?}: {seen:?}");
        }
    }
}

#[test]
fn zones_lie_on_the_sheet_and_share_no_more_than_an_edge() {
    for (body, engine, side, map) in all() {
        for from in Seen::ALL {
            let shapes = shapes(&map, body, from);
            let there: Vec<(&str, Shape)> =
                map.zones.iter().zip(&shapes).filter_map(|(zone, shape)| Some((zone.id.as_str(), (*shape)?))).collect();
            for (at, (id, shape)) in there.iter().enumerate() {
                let told = format!("{body:?} {engine:?} {side:?} {from:?}: {id} {shape:?}");
                assert!(on_the_sheet(*shape, from.sheet()), "{told}");
                for (other, [x, y, width, height]) in &there[..at] {
                    let across = (shape[0] + shape[2]).min(x + width) - shape[0].max(*x);
                    let down = (shape[1] + shape[3]).min(y + height) - shape[1].max(*y);
                    assert!(across <= 2.0 || down <= 2.0, "{told} covers {other}");
                }
            }
        }
    }
}

/// The left side and the right side of a vehicle are drawn as each other's mirror image.
#[test]
fn what_is_on_both_sides_lies_as_far_back_on_both() {
    for body in BODIES {
        let map = map(body, EnginePlace::Front, Side::Left);
        let at = |from, id: &str| {
            let place = map.zones.iter().position(|zone| zone.id.as_str() == id).unwrap();
            shapes(&map, body, from)[place].unwrap()
        };
        for name in ["headlamp", "door_front", "wheel_rear", "tail"] {
            let [x, y, width, height] = at(Seen::Left, &format!("{name}_left"));
            assert_eq!(
                at(Seen::Right, &format!("{name}_right")),
                [200.0 - x - width, y, width, height],
                "{body:?} {name}"
            );
        }
    }
}

#[test]
fn the_arrow_keys_reach_every_zone() {
    for (body, engine, side, map) in all() {
        for from in Seen::ALL {
            let shapes = shapes(&map, body, from);
            let first = beside(&shapes, None, WAYS[0]).unwrap();
            let (mut reached, mut open) = (BTreeSet::from([first]), vec![first]);
            while let Some(at) = open.pop() {
                for way in WAYS {
                    let next = beside(&shapes, Some(at), way).unwrap();
                    if reached.insert(next) {
                        open.push(next);
                    }
                }
            }
            let lost: Vec<&str> = map
                .zones
                .iter()
                .enumerate()
                .filter(|(at, _)| shapes[*at].is_some() && !reached.contains(at))
                .map(|(_, zone)| zone.id.as_str())
                .collect();
            assert!(lost.is_empty(), "{body:?} {engine:?} {side:?} {from:?}: no key leads to {lost:?}");
        }
    }
}

#[test]
fn an_arrow_key_goes_where_it_points() {
    let square = |x, y| Some([x, y, 10.0, 10.0]);
    let shapes = [square(0.0, 0.0), square(20.0, 0.0), None, square(0.0, 20.0), square(60.0, 2.0)];
    assert_eq!(beside(&shapes, Some(0), [1.0, 0.0]), Some(1));
    assert_eq!(beside(&shapes, Some(1), [1.0, 0.0]), Some(4));
    assert_eq!(beside(&shapes, Some(0), [0.0, 1.0]), Some(3));
    assert_eq!(beside(&shapes, Some(3), [0.0, -1.0]), Some(0));
    // Nothing there: it stays.
    assert_eq!(beside(&shapes, Some(0), [-1.0, 0.0]), Some(0));
    assert_eq!(beside(&[None, None], None, [1.0, 0.0]), None);
}
