//! A fresh fuse opens at once: what to unplug next, and where can the short still be?
//!
//! With a current-limiting lamp in the fuse's place nothing is harmed meanwhile. What was unplugged before is read from
//! the job's observations, so that it is the same on every phone and can be taken back.

use crate::circuit::harness::NodeIx;
use crate::circuit::isolate::{Isolation, LampGlow, LampShows, LimitingLamp, Suspect, lamp_shows};
use crate::circuit::unplug::{Unplugged, label};
use crate::ids::{AccessId, Condition, ZoneId};
use crate::job::session::{Ready, Session};
use crate::search::evidence::Observation;
use crate::units::{Minutes, Ohms, Volts};

/// The lamp that is proposed: a 21 W signal lamp, which every shop has (common practice, no source).
const LAMP: LimitingLamp = LimitingLamp { watts: 21.0, rated: Volts(12.0) };
/// Minutes to find a plug and pull it, once one can get at it (common practice, no source).
const PULL: f64 = 2.0;
/// A load that is shorted inside counts like so many metres of wire (common practice, no source).
const INSIDE_METRES: f64 = 0.3;
/// The least that a wire counts, m: a short lead can be pinched too.
const LEAST_METRES: f64 = 0.1;

/// Where the search by unplugging stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// The state that it is done in.
    pub state: Vec<Condition>,
    /// What to unplug next. `None`: nothing tells any more; look at what is left.
    pub next: Option<Next>,
    /// Where the short can still be, the likeliest first.
    pub left: Vec<Left>,
    /// What the lamp shows with the short there, and without it.
    pub lamp: Option<[LampGlow; 2]>,
    /// The answers contradict each other: more than one short, or an answer that was wrong.
    pub contradiction: Option<String>,
}

/// Something to unplug.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// What.
    pub what: Unplugged,
    /// In words.
    pub label: String,
    /// Where it is, in words; empty where that is not known.
    pub zone: String,
    /// Minutes to get there and pull it.
    pub minutes: f64,
    /// Chance that the short is gone then.
    pub gone: f64,
}

/// A place where the short can still be.
#[derive(Debug, Clone, PartialEq)]
pub struct Left {
    /// In words.
    pub label: String,
    /// Chance that it is there.
    pub chance: f64,
}

/// Where it stands, given all that was unplugged so far. `None`: there is no circuit that can be searched.
pub fn corner(session: &Session) -> Option<Corner> {
    let ready = session.ready()?;
    let observations = || session.job.observations.iter().map(|(_, observation)| observation);
    let state = observations().rev().find_map(|observation| match observation {
        Observation::Blow { state, .. } => Some(state.clone()),
        _ => None,
    });
    let state = state.unwrap_or_else(|| vec![Condition::from("key_on")]);
    let weight = |suspect: &Suspect| match suspect {
        Suspect::Run(id) => {
            let run = ready.harness.runs.iter().find(|run| run.id == *id);
            run.map_or(LEAST_METRES, |run| run.length.0.max(LEAST_METRES))
        }
        Suspect::Load(_) => INSIDE_METRES,
    };
    let minutes = |what: &Unplugged| Some(Minutes(PULL + access_minutes(session, ready, zone_of(ready, what))));
    let mut isolation = Isolation::new(&ready.harness, &state, weight, minutes).ok()?;
    let mut contradiction = None;
    for observation in observations() {
        let Observation::Unplugged { node, load, blew, .. } = observation else { continue };
        let what = match (node, load) {
            (Some(node), None) => Unplugged::Node(node.clone()),
            (None, Some(load)) => Unplugged::Load(load.clone()),
            _ => continue,
        };
        // An answer about something that this circuit no longer has tells nothing here.
        if let Err(error) = isolation.tell(&what, !blew) {
            contradiction = Some(error.to_string());
        }
    }
    let next = isolation.next().map(|step| {
        let zone = zone_of(ready, &step.unplug).and_then(|zone| ready.map.map.zone(zone));
        Next {
            label: label(&ready.harness, &step.unplug),
            zone: zone.map(|zone| zone.label.clone()).unwrap_or_default(),
            minutes: step.minutes.0,
            gone: step.gone,
            what: step.unplug,
        }
    });
    let mut left: Vec<Left> = isolation
        .chances()
        .into_iter()
        .map(|(suspect, chance)| Left { label: suspect_label(ready, &suspect), chance })
        .collect();
    left.sort_by(|one, other| other.chance.total_cmp(&one.chance));
    Some(Corner { next, left, lamp: lamp(ready, &state), contradiction, state })
}

/// What the lamp shows with a hard short at the fuse's load side, and with none. `None`: it cannot be computed, or both
/// look alike.
fn lamp(ready: &Ready, state: &[Condition]) -> Option<[LampGlow; 2]> {
    let shows = |short: Option<(NodeIx, Ohms)>| lamp_shows(&ready.harness, state, LAMP, short).ok();
    let with: LampShows = shows(Some((NodeIx::FUSE, Ohms(0.01))))?;
    let without = shows(None)?;
    with.differs_from(&without).then_some([with.least_glow, without.most_glow])
}

fn zone_of<'a>(ready: &'a Ready, what: &Unplugged) -> Option<&'a ZoneId> {
    match what {
        Unplugged::Node(id) => ready.harness.nodes.iter().find(|node| node.id == *id)?.zone.as_ref(),
        Unplugged::Load(id) => ready.harness.loads.iter().find(|load| load.id == *id)?.zone.as_ref(),
    }
}

/// Minutes for all that must still be opened on the way to a zone.
fn access_minutes(session: &Session, ready: &Ready, zone: Option<&ZoneId>) -> f64 {
    let mut minutes = 0.0;
    let mut step: Option<&AccessId> = zone.and_then(|zone| ready.map.map.zone(zone)?.access.as_ref());
    while let Some(access) = step.filter(|access| !session.job.open.contains(access)) {
        let Some(access) = ready.map.map.access(access) else { break };
        minutes += access.minutes;
        step = access.after.as_ref();
    }
    minutes
}

fn suspect_label(ready: &Ready, suspect: &Suspect) -> String {
    match suspect {
        Suspect::Load(id) => {
            let load = ready.harness.loads.iter().find(|load| load.id == *id);
            format!("inside {}", load.map_or(id.as_str(), |load| load.label.as_str()))
        }
        Suspect::Run(id) => {
            let Some(run) = ready.harness.runs.iter().find(|run| run.id == *id) else { return id.to_string() };
            let [from, to] = [run.from, run.to].map(|end| ready.harness.nodes[end.0].label.as_str());
            let colour = run.colour.as_ref().map(|colour| format!(" ({colour})")).unwrap_or_default();
            format!("the wire from {from} to {to}{colour}")
        }
    }
}
