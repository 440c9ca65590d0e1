//! The chances after the evidence against an implementation of its own: exact enumeration in Python with numpy and scipy
//! (`tests/cases/posterior/make.py`, which wrote the figures), on 2,400 drawn cases.
//!
//! Python is told the places, their wires and what is live in which state (`facts.json`, made here); how likely that
//! makes them it works out from 02-model §6 and the tables alone.

use std::collections::BTreeMap;

use crate::small_van::{FUSE, harness, small};
use expect_test::expect_file;
use loomwalk::circuit::fuse::TouchModel;
use loomwalk::ids::{Condition, NodeId};
use loomwalk::search::electrics::Electrics;
use loomwalk::search::evidence::{Heat, Motion, Observation, Seen};
use loomwalk::search::plan::{Search, Walk};
use loomwalk::search::point::PointKind;
use serde_json::json;

const STATES: [&[&str]; 4] =
    [&["key_on"], &["key_on", "reverse"], &["key_on", "brake"], &["key_on", "reverse", "brake"]];
const PLUGS: [&str; 4] = ["s1", "c1", "c2", "l1.feed"];
const MOTIONS: [Motion; 5] = [Motion::Still, Motion::Smooth, Motion::Rough, Motion::Turning, Motion::DoorMoved];
const HEATS: [Heat; 3] = [Heat::Cold, Heat::Warm, Heat::Hot];
const SEEN: [Seen; 6] = [Seen::Sound, Seen::Marked, Seen::Thinned, Seen::Bare, Seen::Severed, Seen::NotSeen];

fn conditions(state: usize) -> Vec<Condition> {
    STATES[state].iter().map(|name| Condition::from(*name)).collect()
}

/// What Python is told: a line a place.
fn facts(search: &Search, electrics: &Electrics) -> String {
    let points = search.points().iter().map(|point| {
        let (kind, metres) = match &point.kind {
            PointKind::Zone { metres } => ("zone_per_metre".to_owned(), *metres),
            PointKind::Passage(kind) => (serde_json::to_value(kind).unwrap().as_str().unwrap().to_owned(), 1.0),
            PointKind::Plug => ("plug".to_owned(), 1.0),
            PointKind::Mark(kinds) => (format!("mark:{}", serde_json::to_value(kinds[0]).unwrap().as_str().unwrap()), 1.0),
        };
        json!({
            "id": point.id, "kind": kind, "metres": metres, "exposures": point.exposures, "hinged": point.hinged,
            "detect": point.detect, "zone": point.zone, "contacts": point.contacts,
            "wires": point.crossings.iter().map(|crossing| json!([crossing.run, crossing.at, crossing.metres])).collect::<Vec<_>>(),
        })
    });
    let state = |state: usize| {
        let facts = electrics.in_state(&electrics.relevant(&conditions(state)));
        facts.runs.iter().map(|run| json!([run.live, run.near, run.far])).collect::<Vec<_>>()
    };
    let plug = |name: &str| electrics.live_without(&electrics.plug_at_node(&NodeId::from(name)).unwrap());
    let facts = json!({
        "points": points.collect::<Vec<_>>(),
        "states": (0..STATES.len()).map(state).collect::<Vec<_>>(),
        "plugs": PLUGS.map(plug),
    });
    serde_json::to_string_pretty(&facts).unwrap() + "\n"
}

/// The numbers that `make.py` draws: a linear congruential generator (D. E. Knuth, MMIX), upper half.
struct Draw(u64);

impl Draw {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % most
    }
}

fn evidence(seed: u64, points: &Search) -> Vec<Observation> {
    let mut draw = Draw(seed);
    let point = |draw: &mut Draw| points.points()[draw.below(points.points().len())].id.clone();
    let count = 1 + draw.below(9);
    (0..count)
        .map(|_| match draw.below(6) {
            0 => {
                let (state, motion) = (conditions(draw.below(4)), MOTIONS[draw.below(5)]);
                Observation::Blow { state, motion, heat: HEATS[draw.below(3)] }
            }
            1 => {
                let (state, motion) = (conditions(draw.below(4)), MOTIONS[draw.below(5)]);
                let heat = HEATS[draw.below(3)];
                Observation::Held { state, motion, heat, minutes: draw.below(400) as f64 / 4.0 }
            }
            2 => {
                let node = Some(NodeId::from(PLUGS[draw.below(4)]));
                let (blew, state) = (draw.below(3) == 0, conditions(draw.below(4)));
                Observation::Unplugged { node, load: None, blew, state, minutes: draw.below(400) as f64 / 8.0 }
            }
            3 | 4 => {
                let point = point(&mut draw);
                Observation::Look { point, seen: SEEN[draw.below(6)] }
            }
            _ => {
                let point = point(&mut draw);
                let (opened, presses) = (draw.below(4) == 0, 1 + draw.below(14) as u32);
                Observation::Press { point, opened, presses, state: conditions(draw.below(4)) }
            }
        })
        .collect()
}

#[test]
fn the_chances_are_those_that_python_enumerates() {
    let search = small();
    let electrics = Electrics::new(&harness(), &FUSE, TouchModel::stated());
    expect_file!["cases/posterior/facts.json"].assert_eq(&facts(&search, &electrics));
    let figures = include_str!("cases/posterior/numpy.csv");
    let mut checked: BTreeMap<bool, usize> = BTreeMap::new();
    for line in figures.lines().skip(1) {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let seed = cells[0] as u64;
        let plan = search.plan(&evidence(seed, &search), &Walk::default());
        let [mut linear, mut squares] = [0.0; 2];
        for (place, point) in plan.points.iter().enumerate() {
            linear += point.probability * (place + 1) as f64;
            squares += point.probability * point.probability;
        }
        for (ours, theirs) in [(plan.not_listed, cells[1]), (linear, cells[2]), (squares, cells[3])] {
            assert!((ours - theirs).abs() < 1e-9, "seed {seed}: {ours} against {theirs}");
        }
        *checked.entry(plan.not_listed > 0.99).or_default() += 1;
    }
    assert!(checked[&false] > 1000 && checked.values().sum::<usize>() == 2400, "{checked:?}");
}
