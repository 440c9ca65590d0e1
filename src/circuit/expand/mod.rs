//! What is there in metal, as far as it was stated, and what must be assumed? From a circuit to a [`Harness`].
//!
//! What is stated is kept as it stands. Where nothing was said, all wires lie in one loom that is short in all
//! ([`crate::vehicle::loom`]), loads share a trunk as far as their ways agree, and each wire has the size that is usual
//! for its current (02-model §2). A load of which it is said what its feed goes through has a wire of its own there. Everything that was assumed is marked as such and said in words.
//!
//! Names of what is added are made from the names of loads, zones and conditions alone, so that they stay the
//! same when loads change places in the list:
//!
//! | id | what |
//! |---|---|
//! | `assumed:<load>.feed`, `assumed:<load>.return` | the wire of a load's own, or its lead to the node that it is wired to |
//! | `assumed:trunk:<zone>`, `assumed:splice:<zone>` | a shared wire, and the splice at its end |
//! | `assumed:switch:<load>` | a load's own switch, and the node on its fuse side |
//! | `assumed:switch:<conditions>@<zone>` | a switch that several loads share, and the node on its fuse side |
//! | `assumed:trunk:switch:<conditions>@<zone>` | the wire to that switch |
//! | `assumed:switched:<conditions>@<zone>` | the node behind it; its trunks and splices end in `:<conditions>@<zone>` |

mod assumed;
mod feed_way;
mod load;
mod options;
mod places;
mod size;
mod stated;

use std::collections::HashMap;

use super::check::LEAST_ABOVE_ZERO;
use super::file::{CircuitFile, JointKind};
use super::fuse::cold_resistance;
use super::harness::{Harness, HarnessLoad, HarnessRun, HarnessSwitch, Node, NodeIx, NodeKind, Source};
use crate::ids::{NodeId, ZoneId};
use crate::units::Ohms;
use crate::vehicle::body::FittedMap;
pub use feed_way::{FeedWays, feed_ways, metres};
use load::KnownLoad;
use options::Private;
use places::Places;

/// Where the fuse box is if nothing was said (03-formats §1).
const FUSE_ZONE: &str = "dash_left";
/// Contact resistance of a switch if nothing was said, in ohms (03-formats §1).
const SWITCH_OHMS: f64 = 0.005;
/// Length of a wire of which nothing is known, in metres. Common practice, no source.
const UNKNOWN_METRES: f64 = 0.5;

/// Makes the harness of a circuit in a vehicle with this zone map.
///
/// Meant for circuits that [`super::check`] found sound. In others, what makes no sense is passed over: wires to
/// nodes that do not exist, numbers that are no lengths or sizes, the second of two equal ids.
pub fn expand(file: &CircuitFile, map: &FittedMap) -> Harness {
    let mut build = Build::new(file, map);
    let mut loads = build.known_loads();
    build.place_nodes(&loads);
    build.lay_loom(&loads);
    build.stated_switches();
    let areas = build.stated_runs();
    build.stated_terminals(&mut loads);
    build.assumed_feeds(&loads);
    build.assumed_returns(&loads);
    build.own_wires();
    build.size_runs(&loads, &areas);
    build.finish(&loads)
}

/// A harness in the making.
struct Build<'a> {
    file: &'a CircuitFile,
    places: Places<'a>,
    private: Private,
    fuse_zone: ZoneId,
    nodes: Vec<Node>,
    by_name: HashMap<NodeId, NodeIx>,
    runs: Vec<HarnessRun>,
    switches: Vec<HarnessSwitch>,
    /// What was assumed about vehicle, loads and wires, in words.
    notes: Vec<String>,
}

impl<'a> Build<'a> {
    fn new(file: &'a CircuitFile, map: &'a FittedMap) -> Self {
        let mut places = Places::new(&map.map);
        let mut notes = map.notes.clone();
        let stated = file.fuse.zone.clone();
        let asked = stated.clone().unwrap_or_else(|| ZoneId::from(FUSE_ZONE));
        let fuse_zone = places.known(&asked).unwrap_or(asked);
        if stated.is_none() {
            notes.push(format!("Where the fuse box is was not stated: {} was assumed.", places.label(&fuse_zone)));
        }
        Self {
            file,
            places,
            private: Private::of(file),
            fuse_zone,
            nodes: Vec::new(),
            by_name: HashMap::new(),
            runs: Vec::new(),
            switches: Vec::new(),
            notes,
        }
    }

    /// Ground, fuse, the joints, and the terminals of the loads whose wiring is there.
    fn place_nodes(&mut self, loads: &[KnownLoad]) {
        let fuse_zone = self.places.known(&self.fuse_zone);
        self.node("ground".into(), None, NodeKind::Ground, "ground".to_owned());
        let label = format!("fuse {}", self.file.fuse.label);
        self.node("fuse".into(), fuse_zone, NodeKind::Fuse, label.trim().to_owned());
        for joint in &self.file.joints {
            let id = NodeId(joint.id.0.clone());
            if self.private.joints.contains(&id) {
                continue;
            }
            let kind = match joint.kind {
                JointKind::Connector => NodeKind::Connector(Some(joint.id.clone())),
                _ => NodeKind::Joint(Some(joint.id.clone())),
            };
            let zone = joint.zone.as_ref().and_then(|zone| self.places.known(zone));
            let label = if joint.label.is_empty() { joint.id.0.clone() } else { joint.label.clone() };
            self.node(id, zone, kind, label);
        }
        for load in loads {
            for (name, side) in [(&load.feed, "feed"), (&load.return_, "return")] {
                let kind = NodeKind::Terminal(load.id.clone());
                self.node(name.clone(), load.zone.clone(), kind, format!("{side} of {}", load.label));
            }
        }
        for terminal in self.private.left_of_absent.clone() {
            self.node(terminal.clone(), None, NodeKind::Joint(None), terminal.0);
        }
    }

    /// Lays the loom through every place where something of the circuit is known to be.
    fn lay_loom(&mut self, loads: &[KnownLoad]) {
        let nodes = self.nodes.iter().filter_map(|node| node.zone.as_ref());
        let switches = loads.iter().filter(|load| !load.feed_switch.is_empty());
        let zones = nodes.chain(switches.filter_map(|load| load.switch_zone.as_ref()));
        let zones: Vec<ZoneId> = zones.cloned().collect();
        self.places.lay_loom(&zones);
    }

    /// Adds a node, or gives the one that has the name already.
    fn node(&mut self, id: NodeId, zone: Option<ZoneId>, kind: NodeKind, label: String) -> NodeIx {
        let next = NodeIx(self.nodes.len());
        let there = *self.by_name.entry(id.clone()).or_insert(next);
        if there == next {
            self.nodes.push(Node { id, zone, kind, label });
        }
        there
    }

    fn zone_of(&self, node: NodeIx) -> Option<ZoneId> {
        self.nodes.get(node.0).and_then(|node| node.zone.clone())
    }

    fn label_of(&self, node: NodeIx) -> &str {
        self.nodes.get(node.0).map_or("", |node| &node.label)
    }

    fn finish(mut self, loads: &[KnownLoad]) -> Harness {
        let (marks, area_marks) = self.marks();
        let fuse = &self.file.fuse;
        let supply = &self.file.supply;
        let ohms = |stated: f64, default: f64| Ohms(if stated.is_finite() && stated >= 0.0 { stated } else { default });
        let rating_a = positive(Some(fuse.rating_a)).unwrap_or(10.0);
        let by_rating = cold_resistance(fuse.style, rating_a).0;
        let source = Source {
            volts: positive(Some(supply.volts)).unwrap_or(12.6),
            supply_ohms: ohms(supply.ohms, 0.02),
            fuse_ohms: ohms(fuse.ohms.unwrap_or(by_rating), by_rating),
            live_when: fuse.live_when.clone(),
        };
        let fitted = loads.iter().filter(|load| !load.removed).filter_map(|load| {
            Some(HarnessLoad {
                id: load.id.clone(),
                label: load.label.clone(),
                kind: load.kind,
                feed: *self.by_name.get(&load.feed)?,
                return_: *self.by_name.get(&load.return_)?,
                ohms: load.ohms,
                at_rest: load.at_rest,
                zone: load.zone.clone(),
                live_when: if load.has_feed_switch() { Vec::new() } else { load.live_when.clone() },
            })
        });
        let unplaced = loads.iter().filter(|load| load.zone.is_none()).map(|load| load.id.clone());
        Harness {
            loads: fitted.collect(),
            marks,
            area_marks,
            source,
            fuse_zone: self.fuse_zone,
            assumptions: self.places.notes().chain(self.notes).collect(),
            unplaced: unplaced.collect(),
            nodes: self.nodes,
            runs: self.runs,
            switches: self.switches,
        }
    }
}

/// A number that can be a length, a size or a rating: above zero, and such that nothing made of two of them overflows.
fn positive(number: Option<f64>) -> Option<f64> {
    number.filter(|number| (LEAST_ABOVE_ZERO..=1e9).contains(number))
}
