//! A hard short opens every new fuse at once: what to unplug next, to corner it soonest?
//!
//! Unplugging something takes part of the circuit off the fuse. If the short is gone, it is in that part; if not, it is
//! in the rest. Of all that can be unplugged, that is next which tells most per minute: the entropy of its answer, bits,
//! over its minutes. What is unplugged without success stays unplugged, since it is cleared. Looking one step ahead is
//! not always best: on small invented looms it takes 9 % longer than the best of all orders (`tests/isolation.rs`).
//!
//! [`Isolation`] keeps what was answered; [`lamp_shows`] says what a lamp in place of the fuse should show meanwhile.

mod lamp;

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::harness::{Harness, HarnessLoad, NodeIx};
use crate::circuit::network::holds;
use crate::circuit::unplug::{UnplugError, Unplugged, pluggable, without};
use crate::gather::{Gather as _, Order as _};
use crate::ids::{Condition, LoadId, RunId};
use crate::units::Minutes;

pub use lamp::{LampGlow, LampShows, LimitingLamp, lamp_shows};

/// Where a hard short can be.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Suspect {
    /// On a wire that has the fuse's voltage other than through a load.
    Run(RunId),
    /// Inside a load.
    Load(LoadId),
}

/// Something to unplug next.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What to unplug.
    pub unplug: Unplugged,
    /// What that takes.
    pub minutes: Minutes,
    /// Chance that the short is gone then, 0 to 1.
    pub gone: f64,
    /// What the answer tells, bits a minute.
    pub bits_per_minute: f64,
}

/// Why an isolation cannot go on.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum IsolateError {
    /// Something cannot be unplugged.
    #[error(transparent)]
    Unplug(#[from] UnplugError),
    /// A weight or a time is no such thing.
    #[error("{what} has a {of} of {value}: it should be a finite number above 0")]
    Number {
        /// Of what.
        what: String,
        /// `weight` or `time`.
        of: &'static str,
        /// What was handed in.
        value: f64,
    },
    /// No place is left.
    #[error(
        "with {0} the answers contradict each other: no place is left where the short could be; plug all in again, and \
         check that this fuse is the one that opens and that the circuit has all its wires and loads"
    )]
    Contradiction(Unplugged),
}

/// The search for a hard short by unplugging.
#[derive(Debug, Clone)]
pub struct Isolation {
    /// The circuit with all cleared things unplugged.
    left: Harness,
    state: Vec<Condition>,
    /// Where the short can still be, with weights above 0.
    suspects: Vec<(Suspect, f64)>,
    /// What can still be unplugged, with minutes.
    options: Vec<(Unplugged, Minutes)>,
}

impl Isolation {
    /// Begins with everything plugged in, in the state in which the fuse opens at once.
    ///
    /// `weight` says how likely the short is at a suspect beforehand, in any unit: metres of wire, or the chances of the
    /// search. `minutes` says what it takes to reach something and unplug it; `None`: out of reach.
    ///
    /// # Errors
    ///
    /// [`IsolateError::Number`]: a weight or a time is not above 0 and finite.
    pub fn new(
        harness: &Harness,
        state: &[Condition],
        weight: impl Fn(&Suspect) -> f64,
        minutes: impl Fn(&Unplugged) -> Option<Minutes>,
    ) -> Result<Self, IsolateError> {
        let sound = |what: &dyn Fn() -> String, of, value: f64| {
            if value.is_finite() && value > 0.0 {
                Ok(value)
            } else {
                Err(IsolateError::Number { what: what(), of, value })
            }
        };
        let mut suspects = Vec::new();
        for suspect in fed(harness, state) {
            let value = weight(&suspect);
            suspects.push((suspect.clone(), sound(&|| name(&suspect).to_owned(), "weight", value)?));
        }
        let mut options = Vec::new();
        for what in pluggable(harness) {
            if let Some(time) = minutes(&what) {
                sound(&|| what.to_string(), "time", time.0)?;
                options.push((what, time));
            }
        }
        Ok(Self { left: harness.clone(), state: state.to_vec(), suspects, options })
    }

    /// The circuit as it stands now: what was cleared is unplugged.
    pub fn harness(&self) -> &Harness {
        &self.left
    }

    /// Where the short can still be, with the chance of each; they sum to 1.
    pub fn chances(&self) -> Vec<(Suspect, f64)> {
        let all: f64 = self.suspects.iter().map(|(_, weight)| weight).sum();
        self.suspects.iter().map(|(suspect, weight)| (suspect.clone(), weight / all)).collect()
    }

    /// All that is worth unplugging now, the best first. Ties stand in the order of the harness.
    pub fn steps(&self) -> Vec<Step> {
        let chances = self.chances();
        let mut steps: Vec<Step> = Vec::new();
        for (what, minutes) in &self.options {
            let Ok(stays) = self.stays(what) else { continue };
            let gone: f64 = chances.iter().filter(|(at, _)| !stays.contains(at)).map(|(_, chance)| chance).sum();
            // All or nothing tells nothing.
            if chances.iter().all(|(at, _)| stays.contains(at)) || chances.iter().all(|(at, _)| !stays.contains(at)) {
                continue;
            }
            steps.push(Step { unplug: what.clone(), minutes: *minutes, gone, bits_per_minute: bits(gone) / minutes.0 });
        }
        steps.order_by(|a, b| b.bits_per_minute.total_cmp(&a.bits_per_minute));
        steps
    }

    /// What to unplug next. `None`: nothing that is in reach tells any more; look at what is left.
    pub fn next(&self) -> Option<Step> {
        self.steps().into_iter().next()
    }

    /// Takes an answer: with that unplugged the short is gone, or still there.
    ///
    /// Gone: it is in the part that was taken off, and the thing is plugged in again. Still there: that part is cleared,
    /// and the thing stays unplugged.
    ///
    /// # Errors
    ///
    /// [`IsolateError`]: it cannot be unplugged, or the answer leaves no place; nothing is changed then.
    pub fn tell(&mut self, unplugged: &Unplugged, gone: bool) -> Result<(), IsolateError> {
        let stays = self.stays(unplugged)?;
        let mut suspects = self.suspects.clone();
        suspects.retain(|(suspect, _)| stays.contains(suspect) != gone);
        if suspects.is_empty() {
            return Err(IsolateError::Contradiction(unplugged.clone()));
        }
        if !gone {
            self.left = without(&self.left, unplugged)?;
        }
        self.suspects = suspects;
        self.options.retain(|(option, _)| option != unplugged);
        Ok(())
    }

    /// What the fuse still feeds when that is unplugged as well.
    fn stays(&self, unplugged: &Unplugged) -> Result<BTreeSet<Suspect>, UnplugError> {
        Ok(fed(&without(&self.left, unplugged)?, &self.state).into_iter().gather())
    }
}

/// What has the fuse's voltage other than through a load: wires, and the loads at their ends.
fn fed(harness: &Harness, state: &[Condition]) -> Vec<Suspect> {
    let mut ties: Vec<Vec<NodeIx>> = vec![Vec::new(); harness.nodes.len()];
    let switches = harness.switches.iter().filter(|switch| holds(&switch.closed_when, state));
    for (from, to) in harness.runs.iter().map(|run| (run.from, run.to)).chain(switches.map(|s| (s.from, s.to))) {
        ties[from.0].push(to);
        ties[to.0].push(from);
    }
    let mut live = vec![false; harness.nodes.len()];
    let mut reached = vec![NodeIx::FUSE];
    while let Some(node) = reached.pop() {
        if node != NodeIx::GROUND && !live[node.0] {
            live[node.0] = true;
            reached.extend(&ties[node.0]);
        }
    }
    let runs = harness.runs.iter().filter(|run| !run.lead || run.length.0 > 0.0);
    let runs = runs.filter(|run| live[run.from.0] || live[run.to.0]).map(|run| Suspect::Run(run.id.clone()));
    let on = |load: &&HarnessLoad| live[load.feed.0] && holds(&load.live_when, state);
    runs.chain(harness.loads.iter().filter(on).map(|load| Suspect::Load(load.id.clone()))).collect()
}

fn name(suspect: &Suspect) -> &str {
    match suspect {
        Suspect::Run(id) => id.as_str(),
        Suspect::Load(id) => id.as_str(),
    }
}

/// What an answer tells that comes with that chance, bits.
fn bits(chance: f64) -> f64 {
    let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    part(chance) + part(1.0 - chance)
}
