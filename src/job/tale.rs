//! What was tried with the fuse open, and does it fit?
//!
//! What people say of one thing in one state counts as they said it last. It is held against the circuit state by state
//! ([`story`]): when what works and what is dead does not fit, the search may be in the wrong circuit.

use crate::circuit::file::Load;
use crate::circuit::harness::{Harness, HarnessLoad};
use crate::circuit::story::{Misfit, MisfitKind, Said, Story, story};
use crate::gather::Order as _;
use crate::ids::{Condition, EventId};
use crate::job::state::Job;
use crate::search::doubt::Told;

/// What was tried in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct Tale {
    /// Conditions that held, in order.
    pub state: Vec<Condition>,
    /// What was said, in the order in which it was first said.
    pub answers: Vec<Answer>,
    /// What an open fuse does, and what does not fit. `None`: there is no circuit that can be computed.
    pub story: Option<Story>,
}

/// What was said of one thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// A load's id, or the name of something that is not on this circuit.
    pub what: String,
    /// What people call it.
    pub name: String,
    /// It did not work.
    pub dead: bool,
    /// The events that say something of it in this state; the last one holds.
    pub events: Vec<EventId>,
}

impl Answer {
    /// The event that holds.
    pub fn event(&self) -> Option<EventId> {
        self.events.last().copied()
    }
}

/// Every state in which something was tried, in the order in which they were first tried.
pub fn tales(job: &Job, harness: Option<&Harness>) -> Vec<Tale> {
    let mut states: Vec<&[Condition]> = Vec::new();
    for tried in &job.tried {
        if !states.contains(&tried.state.as_slice()) {
            states.push(&tried.state);
        }
    }
    states.into_iter().map(|state| tale(job, harness, state)).collect()
}

/// What was tried in a state, and what an open fuse does in it. There is a story also where nothing was tried yet.
pub fn tale(job: &Job, harness: Option<&Harness>, state: &[Condition]) -> Tale {
    let mut state = state.to_vec();
    state.order_by(Ord::cmp);
    state.dedup();
    let mut answers: Vec<Answer> = Vec::new();
    for tried in job.tried.iter().filter(|tried| tried.state == state) {
        let name = name(job, &tried.what);
        let load = harness.and_then(|harness| on_circuit(harness, &tried.what, name));
        let what = load.map_or(name, |load| load.id.as_str());
        match answers.iter_mut().find(|answer| answer.what == what) {
            Some(known) => {
                known.dead = tried.dead;
                known.events.push(tried.event);
            }
            None => answers.push(Answer {
                what: what.to_owned(),
                name: name.to_owned(),
                dead: tried.dead,
                events: vec![tried.event],
            }),
        }
    }
    let said: Vec<Said> = answers.iter().map(|answer| Said { what: answer.what.clone(), dead: answer.dead }).collect();
    let story = harness.and_then(|harness| story(harness, &state, &said).ok());
    Tale { state, answers, story }
}

/// Each thing that speaks against this fuse, once, with what people call it.
fn against(tales: &[Tale]) -> Vec<(&Misfit, &str)> {
    let mut against: Vec<(&Misfit, &str)> = Vec::new();
    for tale in tales {
        for misfit in tale.story.iter().flat_map(Story::against) {
            let answer = tale.answers.iter().find(|answer| answer.what == misfit.what);
            if let Some(answer) = answer.filter(|_| !against.iter().any(|(known, _)| known.what == misfit.what)) {
                against.push((misfit, &answer.name));
            }
        }
    }
    against
}

/// What speaks against this fuse, for the search.
pub fn told(tales: &[Tale]) -> Vec<Told> {
    let told = |(misfit, name): (&Misfit, &str)| match misfit.why {
        MisfitKind::FedByThisFuse => Some(Told::WorksThoughFed(name.to_owned())),
        MisfitKind::NotOnThisCircuit => Some(Told::DeadNotListed(name.to_owned())),
        MisfitKind::OffInThisState | MisfitKind::SaidBoth => None,
    };
    against(tales).into_iter().filter_map(told).collect()
}

/// What speaks against this fuse, in a sentence; nothing where all fits.
pub fn doubt(tales: &[Tale]) -> Option<String> {
    let against = against(tales);
    let (first, name) = against.first()?;
    let odd = match (against.len(), first.why) {
        (1, MisfitKind::FedByThisFuse) => format!("{name} works though this fuse should feed it"),
        (1, _) => format!("{name} is dead and not on this circuit"),
        (more, _) => format!("{name} and {} more do not fit this fuse", more - 1),
    };
    Some(format!("{odd}: the search may be in the wrong circuit."))
}

/// What people call something that was tried: a load by its name, also one that was taken off the list.
pub fn name<'a>(job: &'a Job, what: &'a str) -> &'a str {
    let listed = job.circuit.iter().flat_map(|circuit| &circuit.loads);
    let mut known = listed.chain(job.struck_out.values());
    known.find(|load| load.id.as_str() == what).map_or(what, called)
}

/// What people call a load.
fn called(load: &Load) -> &str {
    if load.label.is_empty() { load.id.as_str() } else { &load.label }
}

/// The load that is meant: by its id or, as what was tried first may be put on the list later, by its name. Of several
/// of one name the first.
fn on_circuit<'h>(harness: &'h Harness, what: &str, name: &str) -> Option<&'h HarnessLoad> {
    let by_id = harness.loads.iter().find(|load| load.id.as_str() == what);
    by_id.or_else(|| harness.loads.iter().find(|load| load.label.to_lowercase() == name.to_lowercase()))
}
