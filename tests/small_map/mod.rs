//! A small zone map of an invented van, and a harness in words.

use std::fmt::Write as _;

use loomwalk::circuit::file::{Body, SizeClass};
use loomwalk::circuit::harness::{Harness, NodeIx, Place};
use loomwalk::ids::{PassageId, ZoneId};
use loomwalk::vehicle::body::{FORMAT, FittedMap, Passage, PassageKind, ZoneMap};

/// A van with eight zones. Left and right tail meet across the rear sill.
pub fn small_map() -> FittedMap {
    let zones = [
        ("dash_left", 0.8),
        ("sill_left", 1.6),
        ("load_area_left", 2.0),
        ("roof_rear", 1.4),
        ("tail_left", 0.6),
        ("tail_right", 0.6),
        ("rear_closure", 1.0),
        ("underbody_tunnel", 1.5),
        ("tow_coupling", 0.4),
    ];
    let passages = [
        ("open_dash_sill", PassageKind::Open, "dash_left", "sill_left", 0.2),
        ("open_sill_load_area", PassageKind::Open, "sill_left", "load_area_left", 0.2),
        ("rib_left", PassageKind::Open, "load_area_left", "roof_rear", 1.2),
        ("open_load_area_tail", PassageKind::Open, "load_area_left", "tail_left", 0.2),
        ("rear_sill", PassageKind::Open, "tail_left", "tail_right", 1.4),
        ("boot_rear", PassageKind::HingeBoot, "tail_left", "rear_closure", 0.5),
        ("grommet_floor", PassageKind::Grommet, "sill_left", "underbody_tunnel", 0.1),
        ("tow_plug", PassageKind::OutsidePlug, "tail_right", "tow_coupling", 0.4),
    ];
    let zone = |(id, metres): (&str, f64)| {
        serde_json::from_value(serde_json::json!({
            "id": id, "label": id.replace('_', " "), "exposures": serde_json::to_value(loomwalk::vehicle::body::Exposures::default()).unwrap(),
            "look_minutes": 1.0, "detect": 0.5, "metres": metres, "contacts": [], "look_for": "", "shape": [0, 0, 1, 1]
        }))
        .unwrap()
    };
    let passage = |(id, kind, one, other, metres): (&str, PassageKind, &str, &str, f64)| {
        let mut passage: Passage = serde_json::from_value(serde_json::json!({
            "id": id, "label": id.replace('_', " "), "kind": "open", "between": [one, other],
            "exposures": serde_json::to_value(loomwalk::vehicle::body::Exposures::default()).unwrap(),
            "look_minutes": 1.0, "detect": 0.5, "metres": metres, "contacts": [], "look_for": ""
        }))
        .unwrap();
        passage.kind = kind;
        passage.id = PassageId::from(id);
        passage
    };
    let map = ZoneMap {
        format: FORMAT.to_owned(),
        version: 1,
        body: Body::PanelVan,
        label: "Small van".to_owned(),
        source: "invented for the tests".to_owned(),
        lengths: None,
        access: Vec::new(),
        zones: zones.into_iter().map(zone).collect(),
        passages: passages.into_iter().map(passage).collect(),
        stands_for: [(ZoneId::from("door_rear_left"), ZoneId::from("load_area_left"))].into(),
        grounds: ["dash_left", "sill_left", "tail_left"].map(ZoneId::from).into(),
        size: SizeClass::Medium,
    };
    FittedMap { map, notes: Vec::new() }
}

/// A harness as lines that a technician can read.
pub fn describe(harness: &Harness) -> String {
    let mut text = String::new();
    let name = |node: NodeIx| harness.nodes[node.0].id.as_str();
    writeln!(text, "fuse at {}", harness.fuse_zone).unwrap();
    for node in &harness.nodes {
        let zone = node.zone.as_ref().map_or("?", |zone| zone.as_str());
        writeln!(text, "node {} at {zone}: {:?}, {}", node.id, node.kind, node.label).unwrap();
    }
    for run in &harness.runs {
        let kind = if run.lead { "lead" } else { "wire" };
        let (from, to) = (name(run.from), name(run.to));
        let (length, area, ohms) = (run.length, run.area, run.ohms);
        write!(text, "{kind} {} from {from} to {to}: {length:.2}, {area:.2}, {ohms:.4}:", run.id).unwrap();
        for stretch in &run.path {
            match &stretch.place {
                Place::Zone(zone) => write!(text, " {zone} {:.2}", stretch.metres.0).unwrap(),
                Place::Passage(passage) => write!(text, " ({passage} {:.2})", stretch.metres.0).unwrap(),
            }
        }
        text.push('\n');
    }
    for switch in &harness.switches {
        let (from, to) = (name(switch.from), name(switch.to));
        writeln!(text, "switch {} from {from} to {to} when {:?}", switch.id, switch.closed_when).unwrap();
    }
    for load in &harness.loads {
        let (feed, return_) = (name(load.feed), name(load.return_));
        writeln!(text, "load {} from {feed} to {return_}: {:.2}, {:?}", load.id, load.ohms, load.live_when).unwrap();
    }
    for mark in &harness.marks {
        writeln!(text, "mark {} on {} at {:.2}", mark.id, harness.runs[mark.run].id, mark.at).unwrap();
    }
    writeln!(text, "unplaced: {:?}", harness.unplaced).unwrap();
    text.push_str(&harness.assumptions.join("\n"));
    text.push('\n');
    text
}
