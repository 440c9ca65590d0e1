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
use crate::circuit::live::Ties;
use crate::circuit::network::holds;
use crate::circuit::unplug::{UnplugError, Unplugged, node, pluggable, without};
use crate::gather::Order as _;
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
    /// What was tied together before anything was unplugged.
    ties: Ties,
    /// Where it was pulled apart since.
    cut: BTreeSet<NodeIx>,
    /// Where the short can still be.
    suspects: Vec<Still>,
    /// What can still be unplugged, with minutes.
    options: Vec<(Unplugged, Minutes)>,
}

/// A place where the short can still be.
#[derive(Debug, Clone)]
struct Still {
    suspect: Suspect,
    /// Above 0.
    weight: f64,
    /// By which nodes it is fed: a wire by either end, a load by its feed.
    ends: [NodeIx; 2],
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
        let ties = Ties::of(harness, |switch| holds(&switch.closed_when, state));
        let mut suspects = Vec::new();
        for (suspect, ends) in fed(harness, &ties, state) {
            let weight = sound(&|| name(&suspect).to_owned(), "weight", weight(&suspect))?;
            suspects.push(Still { suspect, weight, ends });
        }
        let mut options = Vec::new();
        for what in pluggable(harness) {
            if let Some(time) = minutes(&what) {
                sound(&|| what.to_string(), "time", time.0)?;
                options.push((what, time));
            }
        }
        Ok(Self { left: harness.clone(), ties, cut: BTreeSet::new(), suspects, options })
    }

    /// The circuit as it stands now: what was cleared is unplugged.
    pub fn harness(&self) -> &Harness {
        &self.left
    }

    /// Where the short can still be, with the chance of each; they sum to 1.
    pub fn chances(&self) -> Vec<(Suspect, f64)> {
        let all: f64 = self.suspects.iter().map(|still| still.weight).sum();
        self.suspects.iter().map(|still| (still.suspect.clone(), still.weight / all)).collect()
    }

    /// All that is worth unplugging now, the best first. Ties stand in the order of the harness.
    pub fn steps(&self) -> Vec<Step> {
        let chances = self.chances();
        let mut steps: Vec<Step> = Vec::new();
        for (what, minutes) in &self.options {
            let Ok(stays) = self.stays(what) else { continue };
            // All or nothing tells nothing.
            if !stays.contains(&true) || !stays.contains(&false) {
                continue;
            }
            let gone: f64 =
                chances.iter().zip(&stays).filter(|(_, stays)| !**stays).map(|((_, chance), _)| chance).sum();
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
        if !stays.contains(&!gone) {
            return Err(IsolateError::Contradiction(unplugged.clone()));
        }
        if !gone {
            if let Unplugged::Node(id) = unplugged {
                self.cut.insert(node(&self.left, id)?);
            }
            self.left = without(&self.left, unplugged)?;
        }
        let mut stays = stays.into_iter();
        self.suspects.retain(|_| stays.next() != Some(gone));
        self.options.retain(|(option, _)| option != unplugged);
        Ok(())
    }

    /// By suspect, whether the fuse still feeds it when that is unplugged as well.
    fn stays(&self, unplugged: &Unplugged) -> Result<Vec<bool>, UnplugError> {
        let mut cut = self.cut.clone();
        match unplugged {
            Unplugged::Node(id) => drop(cut.insert(node(&self.left, id)?)),
            Unplugged::Load(id) if self.left.loads.iter().all(|load| load.id != *id) => {
                return Err(UnplugError::Unknown(id.to_string()));
            }
            Unplugged::Load(_) => {}
        }
        let live = self.ties.live(&cut);
        let off = |suspect: &Suspect| matches!((suspect, unplugged), (Suspect::Load(load), Unplugged::Load(id)) if load == id);
        let stays = |still: &Still| still.ends.iter().any(|end| live[end.0]) && !off(&still.suspect);
        Ok(self.suspects.iter().map(stays).collect())
    }
}

/// What has the fuse's voltage other than through a load, wires and the loads at their ends, and by which nodes.
fn fed(harness: &Harness, ties: &Ties, state: &[Condition]) -> Vec<(Suspect, [NodeIx; 2])> {
    let live = ties.live(&BTreeSet::new());
    let runs = harness.runs.iter().filter(|run| !run.lead || run.length.0 > 0.0);
    let runs = runs.filter(|run| live[run.from.0] || live[run.to.0]);
    let runs = runs.map(|run| (Suspect::Run(run.id.clone()), [run.from, run.to]));
    let on = |load: &&HarnessLoad| live[load.feed.0] && holds(&load.live_when, state);
    let loads = harness.loads.iter().filter(on);
    runs.chain(loads.map(|load| (Suspect::Load(load.id.clone()), [load.feed, load.feed]))).collect()
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
