//! How thick is each wire, and what resistance does that give it?

use std::collections::VecDeque;

use super::super::harness::NodeIx;
use super::super::wire;
use super::load::KnownLoad;
use super::stated::Missing;
use super::{Build, positive};
use crate::units::{Amps, SquareMillimetres};

/// Cross-section of a wire of which it is not known what it feeds. Common practice, no source.
const DEFAULT_AREA: SquareMillimetres = SquareMillimetres(0.75);
/// Temperature of a wire if nothing was said, in °C (03-formats §1).
pub(super) const TEMP_C: f64 = 20.0;

impl Build<'_> {
    /// Gives every run its size and resistance. `missing` stands beside the stated runs, which come first.
    pub(super) fn size_runs(&mut self, loads: &[KnownLoad], missing: &[Missing]) {
        let behind = self.currents_behind(loads);
        let rating = positive(Some(self.file.fuse.rating_a)).unwrap_or(f64::INFINITY);
        let mut notes = Vec::new();
        for (index, run) in self.runs.iter_mut().enumerate() {
            let stated = missing.get(index);
            // No more than the fuse lets through for long.
            let amps = behind[index].map(|amps| Amps(amps.min(rating)));
            let mut words: Vec<String> = stated.and_then(|stated| stated.words.clone()).into_iter().collect();
            if stated.map_or(run.area.0 <= 0.0, |stated| stated.area) {
                run.area = amps.map_or(DEFAULT_AREA, wire::area_for);
                words.push(match amps {
                    Some(amps) => format!("{}, usual for {amps:.1}", run.area),
                    None => format!("{}", run.area),
                });
            }
            if stated.is_some() && !words.is_empty() {
                notes.push(format!("Wire {}: not all was stated; assumed: {}.", run.id, words.join("; ")));
            }
            if !run.lead {
                run.ohms = wire::resistance(run.length, run.area, stated.map_or(TEMP_C, |stated| stated.temp_c));
            }
        }
        self.notes.extend(notes);
        if self.runs.len() > missing.len() {
            self.notes.push("Assumed wires have the cross-section that is usual for their current.".to_owned());
        }
    }

    /// By run, the current of the loads that hang on it, in amperes. `None`: a wire that closes a ring, or on which
    /// nothing hangs.
    ///
    /// Read off the tree of shortest ways from the fuse for feeds, and from ground for what the fuse reaches only
    /// through a load.
    fn currents_behind(&self, loads: &[KnownLoad]) -> Vec<Option<f64>> {
        let mut at = vec![Vec::new(); self.nodes.len()];
        let runs = self.runs.iter().enumerate().map(|(index, run)| (run.from, run.to, Some(index)));
        let switches = self.switches.iter().map(|switch| (switch.from, switch.to, None));
        for (from, to, run) in runs.chain(switches) {
            at[from.0].push((to, run));
            at[to.0].push((from, run));
        }
        let mut before: Vec<Option<(NodeIx, Option<usize>)>> = vec![None; self.nodes.len()];
        let mut reached = vec![false; self.nodes.len()];
        let mut order = Vec::with_capacity(self.nodes.len());
        (reached[NodeIx::GROUND.0], reached[NodeIx::FUSE.0]) = (true, true);
        for root in [NodeIx::FUSE, NodeIx::GROUND] {
            let mut next = VecDeque::from([root]);
            while let Some(node) = next.pop_front() {
                order.push(node);
                for (other, run) in &at[node.0] {
                    if !std::mem::replace(&mut reached[other.0], true) {
                        before[other.0] = Some((node, *run));
                        next.push_back(*other);
                    }
                }
            }
        }
        let mut amps = vec![0.0; self.nodes.len()];
        for load in loads {
            for terminal in [&load.feed, &load.return_] {
                if let Some(node) = self.by_name.get(terminal) {
                    amps[node.0] += load.amps.0;
                }
            }
        }
        let mut behind = vec![None; self.runs.len()];
        for node in order.into_iter().rev() {
            let Some((parent, run)) = before[node.0] else { continue };
            amps[parent.0] += amps[node.0];
            if let Some(run) = run.filter(|_| amps[node.0] > 0.0) {
                // Rounded, so that the order of adding does not show.
                behind[run] = Some((amps[node.0] * 1e6).round() / 1e6);
            }
        }
        behind
    }
}
