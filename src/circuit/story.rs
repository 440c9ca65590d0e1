//! Does what is dead fit the open fuse? If not, the list of loads is wrong, or it is another fuse.
//!
//! Everything that the circuit feeds in a state is dead while the fuse is open; nothing else is. What the technician
//! says is held against that, thing by thing, and each that does not fit is told with what it would mean.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::harness::{Harness, HarnessLoad};
use crate::circuit::network::{NetworkError, holds, solve};
use crate::gather::Gather as _;
use crate::ids::{Condition, LoadId};

/// What the technician says about something, with this fuse open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Said {
    /// A load's id, or the name of something that this circuit does not have.
    pub what: String,
    /// It does not work.
    pub dead: bool,
}

/// The value of `format` in the output.
pub const FORMAT: &str = "loomwalk/story";
/// Its version.
pub const VERSION: u32 = 1;

/// What is held against the circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Story {
    /// Always `loomwalk/story`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// Conditions that hold.
    pub state: Vec<Condition>,
    /// What must be dead with this fuse open, in the order of the harness.
    pub should_be_dead: Vec<LoadId>,
    /// What was said that fits.
    pub fits: Vec<String>,
    /// Dead, but this fuse does not account for it.
    pub extra_dead: Vec<Misfit>,
    /// Alive, but this fuse feeds it.
    pub extra_alive: Vec<Misfit>,
    /// Of these nothing was said: asking would tell more.
    pub unsaid: Vec<LoadId>,
    /// What it comes to, in words.
    pub meaning: String,
}

impl Story {
    /// What speaks against this fuse, or against the list of what it feeds: works though it should be dead, or is dead
    /// and not on the circuit. What is off in this state or was said both ways speaks against neither.
    pub fn against(&self) -> impl Iterator<Item = &Misfit> {
        let speaks = |misfit: &&Misfit| matches!(misfit.why, MisfitKind::FedByThisFuse | MisfitKind::NotOnThisCircuit);
        self.extra_alive.iter().chain(&self.extra_dead).filter(speaks)
    }
}

/// Something that does not fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Misfit {
    /// A load's id, or the name of something that this circuit does not have.
    pub what: String,
    /// Why it does not fit.
    pub why: MisfitKind,
    /// What it would mean, in words.
    pub meaning: String,
}

/// Why something does not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum MisfitKind {
    /// Dead, and not a load of this circuit.
    NotOnThisCircuit,
    /// Dead, and on this circuit, but off in this state also with a whole fuse.
    OffInThisState,
    /// Alive, though this fuse feeds it.
    FedByThisFuse,
    /// Said to be dead and to be alive.
    SaidBoth,
}

/// Holds what was said about a state against what an open fuse does to the circuit in that state.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed.
pub fn story(harness: &Harness, state: &[Condition], said: &[Said]) -> Result<Story, NetworkError> {
    let solved = solve(harness, state)?;
    // A load works if a current flows through it: it is on, and there is a voltage across it.
    let works = |load: &HarnessLoad| {
        holds(&load.live_when, state) && solved.load_volts(load).0.abs() > WORKS_FROM * harness.source.volts
    };
    let fed: BTreeSet<&str> = harness.loads.iter().filter(|load| works(load)).map(|load| load.id.as_str()).gather();
    let labels: BTreeMap<&str, &str> = harness.loads.iter().map(|load| (load.id.as_str(), label(load))).gather();
    let (mut fits, mut extra_dead, mut extra_alive) = (Vec::new(), Vec::new(), Vec::new());
    let mut told: BTreeSet<&str> = BTreeSet::new();
    for Said { what, dead } in said {
        if !told.insert(what) {
            continue;
        }
        let name = labels.get(what.as_str()).copied().unwrap_or(what);
        let misfit = |why: MisfitKind| Misfit { what: what.clone(), why, meaning: meaning(why, name) };
        let both = said.iter().any(|other| other.what == *what && other.dead != *dead);
        match (fed.contains(what.as_str()), labels.contains_key(what.as_str()), dead) {
            _ if both => extra_alive.push(misfit(MisfitKind::SaidBoth)),
            (true, _, true) | (false, _, false) => fits.push(what.clone()),
            (true, _, false) => extra_alive.push(misfit(MisfitKind::FedByThisFuse)),
            (false, true, true) => extra_dead.push(misfit(MisfitKind::OffInThisState)),
            (false, false, true) => extra_dead.push(misfit(MisfitKind::NotOnThisCircuit)),
        }
    }
    let should_be_dead: Vec<LoadId> =
        harness.loads.iter().filter(|load| works(load)).map(|load| load.id.clone()).collect();
    let unsaid: Vec<LoadId> = should_be_dead.iter().filter(|id| !told.contains(id.as_str())).cloned().collect();
    let dead_as_it_should: usize = fits.iter().filter(|what| fed.contains(what.as_str())).count();
    let meaning = in_all(&should_be_dead, dead_as_it_should, &extra_dead, &extra_alive);
    let (format, state) = (FORMAT.to_owned(), state.to_vec());
    Ok(Story { format, version: VERSION, state, should_be_dead, fits, extra_dead, extra_alive, unsaid, meaning })
}

/// With less than this share of the supply's voltage nothing flows through a load: the rest is the last digits of the solver.
const WORKS_FROM: f64 = 1e-6;

fn label(load: &HarnessLoad) -> &str {
    if load.label.is_empty() { load.id.as_str() } else { &load.label }
}

fn meaning(why: MisfitKind, name: &str) -> String {
    match why {
        MisfitKind::NotOnThisCircuit => format!(
            "{name} is dead and not on this circuit: it is fed by this fuse too and missing from the list (then its \
             wires are missing from the search), or it has a fault of its own or another open fuse."
        ),
        MisfitKind::OffInThisState => format!(
            "{name} is off in this state also with a whole fuse: that it is dead says nothing. Switch it on and try again."
        ),
        MisfitKind::FedByThisFuse => format!(
            "{name} works though this fuse should feed it: it has another feed, and then its wires do not belong to this \
             search; or this fuse is not the one that is open."
        ),
        MisfitKind::SaidBoth => format!("{name} was said to be dead and to work: try it once more."),
    }
}

fn in_all(should: &[LoadId], dead: usize, extra_dead: &[Misfit], extra_alive: &[Misfit]) -> String {
    let alive = extra_alive.iter().filter(|misfit| misfit.why == MisfitKind::FedByThisFuse).count();
    let foreign = extra_dead.iter().filter(|misfit| misfit.why == MisfitKind::NotOnThisCircuit).count();
    let text = match (should.is_empty(), dead, alive, foreign) {
        (true, ..) => "In this state the fuse feeds nothing, so nothing that is dead can tell whether it is open.",
        (_, 0, 0, 0) => "Nothing was said yet that could tell.",
        (_, 0, 1.., _) => {
            "All that this fuse feeds and that was tried works: this fuse is whole, or it is not the fuse of these loads."
        }
        (_, 0, 0, _) => "What is dead is not on this circuit: look for the fuse that feeds it.",
        (_, 1.., 0, 0) => "What is dead fits this fuse.",
        (_, 1.., 0, 1..) => "What is dead fits this fuse, but more is dead than it feeds: the list may lack a load.",
        (_, 1.., 1.., 0) => "Part of what this fuse feeds works: the list has loads that another fuse feeds.",
        (_, 1.., 1.., 1..) => {
            "Some is dead that this fuse does not feed, and some works that it does: it may be another fuse. Check the list."
        }
    };
    text.to_owned()
}
