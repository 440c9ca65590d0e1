//! Which wires lead to a usual suspect? Loads of which the catalogue says that they give trouble, where that holds.
//!
//! It counts on wires that feed nothing else: of a wire that others share it says nothing. Where it is the load itself
//! that gives trouble, no wire is likelier for it: then it is told where the search doubts its list of places.

use std::collections::BTreeSet;

use crate::catalogue::{self, TroubleIn};
use crate::circuit::file::{CircuitFile, Load};
use crate::circuit::harness::{Harness, NodeIx};
use crate::ids::{LoadId, NodeId};
use crate::search::likelihood::tables;
use crate::search::point::Point;

/// A load that often gives trouble.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suspect {
    /// Which.
    pub load: LoadId,
    /// What people call it.
    pub label: String,
    /// Why, as the catalogue says it.
    pub why: String,
    /// What of it gives trouble.
    pub sits: TroubleIn,
    /// The wires that feed it alone, by place in [`Harness::runs`].
    pub own: BTreeSet<usize>,
}

/// All suspects of a circuit, in the order of its file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Suspects(Vec<Suspect>);

impl Suspects {
    /// Those of a circuit; `harness` is that of `file`. A load whose wiring is not there is none.
    pub fn of(file: &CircuitFile, harness: &Harness) -> Self {
        let hanging = Hanging::of(harness);
        let suspect = |load: &Load| {
            let item = load.item.as_ref().and_then(catalogue::item)?;
            let placed = harness.loads.iter().find(|there| there.id == load.id).and_then(|there| there.zone.clone());
            let zone = placed.or_else(|| load.zone.clone()).unwrap_or_else(|| item.zone_of(&file.vehicle));
            let trouble = item.trouble_at(&zone)?;
            let feed = NodeId(format!("{}.feed", load.id));
            let feed = NodeIx(harness.nodes.iter().position(|node| node.id == feed)?);
            Some(Suspect {
                load: load.id.clone(),
                label: if load.label.is_empty() { item.label.clone() } else { load.label.clone() },
                why: trouble.why.clone(),
                sits: trouble.sits,
                own: hanging.own_wires(&load.id, feed),
            })
        };
        Self(file.loads.iter().filter_map(suspect).collect())
    }

    /// Those of which the load itself gives trouble.
    pub fn inside(&self) -> impl Iterator<Item = &Suspect> {
        self.0.iter().filter(|suspect| suspect.sits != TroubleIn::Lead)
    }

    /// The suspect that a wire leads to, if its lead gives trouble.
    fn on(&self, run: usize) -> Option<&Suspect> {
        self.0.iter().find(|suspect| suspect.sits != TroubleIn::Load && suspect.own.contains(&run))
    }

    /// How many times likelier a wire is for what it leads to.
    pub fn factor(&self, run: usize) -> f64 {
        self.on(run).map_or(1.0, |_| tables().suspect.lead)
    }

    /// The suspect at a point, and how many times likelier it makes the point. Of several, the first wire's.
    pub fn at(&self, point: &Point) -> Option<(&Suspect, f64)> {
        let suspect = point.crossings.iter().find_map(|crossing| self.on(crossing.run))?;
        Some((suspect, point.shares().map(|(crossing, share)| self.factor(crossing.run) * share).sum()))
    }
}

/// What hangs on each node.
struct Hanging {
    /// Runs and switches: the place of the run, the number of the tie, the other end.
    ties: Vec<Vec<(Option<usize>, usize, NodeIx)>>,
    loads: Vec<Vec<LoadId>>,
}

impl Hanging {
    fn of(harness: &Harness) -> Self {
        let mut hanging =
            Self { ties: vec![Vec::new(); harness.nodes.len()], loads: vec![Vec::new(); harness.nodes.len()] };
        let runs = harness.runs.iter().enumerate().map(|(place, run)| (Some(place), run.from, run.to));
        let switches = harness.switches.iter().map(|switch| (None, switch.from, switch.to));
        for (tie, (run, from, to)) in runs.chain(switches).enumerate() {
            hanging.ties[from.0].push((run, tie, to));
            hanging.ties[to.0].push((run, tie, from));
        }
        for load in &harness.loads {
            hanging.loads[load.feed.0].push(load.id.clone());
            hanging.loads[load.return_.0].push(load.id.clone());
        }
        hanging
    }

    /// The wires from a load's feed terminal towards the fuse, up to the first place where something else hangs on.
    fn own_wires(&self, load: &LoadId, feed: NodeIx) -> BTreeSet<usize> {
        let mut own = BTreeSet::new();
        let (mut at, mut before) = (feed, None);
        // No way is longer than all nodes: a ring ends here.
        for _ in 0..self.ties.len() {
            let shared = self.loads[at.0].iter().any(|other| other != load);
            if shared || [NodeIx::FUSE, NodeIx::GROUND].contains(&at) {
                break;
            }
            let mut on = self.ties[at.0].iter().filter(|(_, tie, _)| Some(*tie) != before);
            let (Some((run, tie, next)), None) = (on.next(), on.next()) else { break };
            own.extend(run);
            (at, before) = (*next, Some(*tie));
        }
        own
    }
}
