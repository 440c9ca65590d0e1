//! What was said about wires, switches and terminals: kept as it stands, with what is missing filled in.

use std::collections::{HashMap, HashSet};

use super::super::file::Run;
use super::super::harness::{AreaMark, HarnessMark, HarnessRun, HarnessSwitch, NodeIx, Place, Stretch};
use super::super::mark::{Mark, MarkPlace};
use super::super::wire;
use super::load::KnownLoad;
use super::places::length;
use super::size::TEMP_C;
use super::{Build, SWITCH_OHMS, UNKNOWN_METRES, positive};
use crate::ids::{NodeId, RunId, ZoneId};
use crate::units::{Metres, Ohms, SquareMillimetres};

/// What was not said about a stated run, in words, and its temperature; by place in the harness's runs.
pub(super) struct Missing {
    pub(super) area: bool,
    pub(super) temp_c: f64,
    /// Where the wire goes, if that was assumed.
    pub(super) words: Option<String>,
}

/// Share of its length by which a run's parts may differ from it without a word.
const DIFFERENCE: f64 = 0.1;

impl Build<'_> {
    pub(super) fn stated_switches(&mut self) {
        let mut seen = HashSet::new();
        for switch in &self.file.switches {
            let ends = self.by_name.get(&switch.from).copied().zip(self.by_name.get(&switch.to).copied());
            let Some((from, to)) = ends else { continue };
            if from == to || self.private.switches.contains(&switch.id) || !seen.insert(&switch.id) {
                continue;
            }
            let ohms = switch.ohms.filter(|ohms| ohms.is_finite() && *ohms >= 0.0).unwrap_or(SWITCH_OHMS);
            let zone = switch.zone.as_ref().and_then(|zone| self.places.known(zone));
            let (id, closed_when) = (switch.id.clone(), switch.closed_when.clone());
            self.switches.push(HarnessSwitch { id, from, to, closed_when, ohms: Ohms(ohms), zone, assumed: false });
        }
    }

    /// The stated runs; size and resistance come last, when it is known what hangs on each.
    pub(super) fn stated_runs(&mut self) -> Vec<Missing> {
        let mut seen = HashSet::new();
        let mut missing = Vec::new();
        for run in &self.file.runs {
            let ends = self.by_name.get(&run.from).copied().zip(self.by_name.get(&run.to).copied());
            let Some((from, to)) = ends else { continue };
            if from == to || self.private.runs.contains(&run.id) || !seen.insert(&run.id) {
                continue;
            }
            let (path, length, words) = self.way_of(run, from, to);
            let by_gauge = || positive(Some(wire::area_of_awg(run.awg?).0));
            let area = positive(run.area_mm2).or_else(by_gauge).map(SquareMillimetres);
            // Below, copper's resistance formula turns negative.
            let temp_c = run.temp_c.filter(|degrees| (-200.0..=2000.0).contains(degrees)).unwrap_or(TEMP_C);
            missing.push(Missing { area: area.is_none(), temp_c, words });
            self.runs.push(HarnessRun {
                id: run.id.clone(),
                from,
                to,
                ohms: Ohms(0.0),
                length: Metres(length),
                area: area.unwrap_or_default(),
                colour: run.colour.clone(),
                path,
                assumed: false,
                area_assumed: area.is_none(),
                lead: false,
            });
        }
        missing
    }

    /// The way and the length of a run, and in words what of them was assumed.
    fn way_of(&mut self, run: &Run, from: NodeIx, to: NodeIx) -> (Vec<Stretch>, f64, Option<String>) {
        let stated = positive(run.length_m);
        if !run.path.is_empty() {
            let path = self.stated_path(run);
            let sum = length(&path);
            if let Some(metres) = stated.or(positive(Some(sum))) {
                let differs = (sum - metres).abs() > DIFFERENCE * metres.max(1.0);
                let words =
                    format!("its length of {metres} m counts for its resistance, though its parts make {sum:.2} m");
                return (path, metres, differs.then_some(words));
            }
        }
        let (mut path, guess) = self.way_between(from, to);
        let sum = length(&path);
        let metres = stated.unwrap_or(if sum > 0.0 { sum } else { UNKNOWN_METRES });
        if sum > 0.0 {
            for stretch in &mut path {
                stretch.metres.0 *= metres / sum;
            }
        }
        let words = match (stated, path.is_empty()) {
            (None, _) => format!("{metres:.1} m {guess}"),
            (Some(_), true) => guess,
            (Some(_), false) => format!("its {metres} m {guess}"),
        };
        (path, metres, Some(words))
    }

    /// The parts as stated, with the passages between them, which the parts' lengths already hold.
    fn stated_path(&mut self, run: &Run) -> Vec<Stretch> {
        let mut path: Vec<Stretch> = Vec::new();
        let mut before: Option<ZoneId> = None;
        for part in run.path.iter().filter(|part| (0.0..=1e9).contains(&part.m)) {
            // A zone that nobody knows keeps its name: the technician who wrote it knows where that is.
            let zone = self.places.known(&part.zone).unwrap_or_else(|| part.zone.clone());
            if let Some(passage) = before.and_then(|before| self.places.passage_between(&before, &zone)) {
                path.push(Stretch { place: Place::Passage(passage), metres: Metres(0.0) });
            }
            path.push(Stretch { place: Place::Zone(zone.clone()), metres: Metres(part.m) });
            before = Some(zone);
        }
        path
    }

    /// The likely way between two nodes, and how it was found, in words.
    fn way_between(&mut self, from: NodeIx, to: NodeIx) -> (Vec<Stretch>, String) {
        let way = match (self.zone_of(from), self.zone_of(to)) {
            (Some(from), Some(to)) => self.places.way(&from, &to),
            (Some(zone), None) if to == NodeIx::GROUND => self.places.way_to_ground(&zone),
            (None, Some(zone)) if from == NodeIx::GROUND => self.places.way_to_ground(&zone).map(|mut way| {
                way.reverse();
                way
            }),
            (Some(zone), None) | (None, Some(zone)) => {
                let known = self.places.label(&zone);
                let all = vec![Stretch { place: Place::Zone(zone), metres: Metres(UNKNOWN_METRES) }];
                return (all, format!("at {known}, where the one end is that has a known place"));
            }
            (None, None) => None,
        };
        match way {
            Some(way) => {
                let words = format!("by {}", self.places.in_words(&way));
                (way, words)
            }
            None => (Vec::new(), "at an unknown place".to_owned()),
        }
    }

    /// Ties each terminal to the node that it was said to be wired to, and notes which terminals nothing was said about.
    pub(super) fn stated_terminals(&mut self, loads: &mut [KnownLoad]) {
        let switches = self.switches.iter().flat_map(|switch| [switch.from, switch.to]);
        let wired: HashSet<NodeIx> = self.runs.iter().flat_map(|run| [run.from, run.to]).chain(switches).collect();
        for (node, terminal) in self.private.left_ties.clone() {
            if let Some((node, terminal)) = self.ends(&node, &terminal) {
                let id = RunId(format!("assumed:{}", self.nodes[terminal.0].id));
                self.tie(id, node, terminal);
            }
        }
        let mut assumed_ways = Vec::new();
        for load in loads.iter_mut() {
            let feed = load.stated_feed.as_ref().and_then(|node| self.ends(node, &load.feed));
            let return_ = load.stated_return.as_ref().and_then(|node| self.ends(&load.return_, node));
            for (ends, name) in [(feed, "feed"), (return_, "return")] {
                let Some((from, to)) = ends else { continue };
                if let Some(by) = self.tie(RunId(format!("assumed:{}.{name}", load.id)), from, to) {
                    let (from, to) = (self.label_of(from), self.label_of(to));
                    assumed_ways
                        .push(format!("{}: the wire from {from} to {to} was assumed to go by {by}.", load.label));
                }
            }
            let is_wired = |name| self.by_name.get(name).is_some_and(|node| wired.contains(node));
            load.assume_feed = feed.is_none() && !is_wired(&load.feed);
            load.assume_return = return_.is_none() && !is_wired(&load.return_);
        }
        self.notes.extend(assumed_ways);
    }

    fn ends(&self, from: &NodeId, to: &NodeId) -> Option<(NodeIx, NodeIx)> {
        let ends = self.by_name.get(from).copied().zip(self.by_name.get(to).copied());
        ends.filter(|(from, to)| from != to)
    }

    /// Makes two nodes one, by a lead without resistance. Where they are known to be apart, there is a wire to look
    /// at; its zones are returned in words.
    fn tie(&mut self, id: RunId, from: NodeIx, to: NodeIx) -> Option<String> {
        let zones = self.zone_of(from).zip(self.zone_of(to)).filter(|(from, to)| from != to);
        let path = zones.and_then(|(from, to)| self.places.way(&from, &to)).unwrap_or_default();
        let words = (!path.is_empty()).then(|| self.places.in_words(&path));
        let length = Metres(length(&path));
        self.runs.push(HarnessRun { lead: true, ..HarnessRun::assumed(id, from, to, length, path) });
        words
    }

    /// Marks on runs of this harness, and marks at places of this vehicle.
    pub(super) fn marks(&mut self) -> (Vec<HarnessMark>, Vec<AreaMark>) {
        let by_id: HashMap<RunId, usize> =
            self.runs.iter().enumerate().rev().map(|(index, run)| (run.id.clone(), index)).collect();
        let (mut marks, mut areas) = (Vec::new(), Vec::new());
        for mark in &self.file.marks {
            let (on, at_m) = match &mark.place {
                MarkPlace::Run { run, at_m } => (run, *at_m),
                MarkPlace::Passage(passage) => {
                    areas.extend(self.area_mark(mark, Some(Place::Passage(passage.clone()))));
                    continue;
                }
                MarkPlace::Zone(zone) => {
                    let known = self.places.known(zone).map(Place::Zone);
                    areas.extend(self.area_mark(mark, known));
                    continue;
                }
            };
            let Some(&run) = by_id.get(on) else {
                self.notes.push(format!("The mark {} is on wiring that this vehicle does not have.", mark.id));
                continue;
            };
            let length = self.runs[run].length;
            // Beyond the end only where the length was assumed: then the mark knows better, but how much is not known.
            let at = if at_m.is_finite() { at_m.clamp(0.0, length.0) } else { 0.0 };
            if at < at_m {
                let note = format!(
                    "The mark {} is put at the end of {on}, which was assumed to be {length:.1} long.",
                    mark.id
                );
                self.notes.push(note);
            }
            let (id, kind, note) = (mark.id.clone(), mark.kind, mark.note.clone());
            marks.push(HarnessMark { id, run, at: Metres(at), kind, note });
        }
        (marks, areas)
    }

    /// A mark at a place, if this vehicle has it.
    fn area_mark(&mut self, mark: &Mark, place: Option<Place>) -> Option<AreaMark> {
        let there = place.filter(|place| self.places.has(place));
        if there.is_none() {
            self.notes.push(format!("The mark {} is at a place that this vehicle does not have.", mark.id));
        }
        Some(AreaMark { id: mark.id.clone(), place: there?, kind: mark.kind })
    }
}
