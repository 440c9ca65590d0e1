//! A fresh fuse opens at once: what to unplug next, and where can the short still be?
//!
//! With a current-limiting lamp in the fuse's place nothing is harmed meanwhile. What was unplugged before is read from
//! the job's observations, so that it is the same on every phone and can be taken back.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::harness::{Harness, NodeIx};
use crate::circuit::isolate::{IsolateError, Isolation, LampGlow, LampShows, LimitingLamp, Suspect, lamp_shows};
use crate::circuit::live_work::{NeverLive, never_live};
use crate::circuit::meter::MeterError;
use crate::circuit::unplug::{Unplugged, label};
use crate::gather::Order as _;
use crate::ids::{AccessId, Condition, LoadId, ZoneId};
use crate::job::act::FreshFuse;
use crate::job::session::Session;
use crate::search::evidence::Observation;
use crate::units::{Minutes, Ohms, Volts};
use crate::vehicle::body::{Zone, ZoneMap, way_to};

/// The lamp that is proposed: a 21 W signal lamp, which every shop has (common practice, no source).
pub const LAMP: LimitingLamp = LimitingLamp { watts: 21.0, rated: Volts(12.0) };
/// Minutes to find a plug and pull it, once one can get at it (common practice, no source).
const PULL: f64 = 2.0;
/// Minutes to take the battery off, wait as makers ask before work near airbags, and connect it again (common practice, no
/// source).
const BATTERY_OFF: f64 = 10.0;
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
    /// Airbag and belt-tensioner loads in words: neither they nor plugs on their wires are proposed.
    pub never_live: Vec<String>,
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
    /// Wires of restraints are there: only with the battery off.
    pub battery_off: bool,
}

/// A place where the short can still be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Left {
    /// The wire or the load.
    pub suspect: Suspect,
    /// In words.
    pub label: String,
    /// Chance that it is there.
    pub chance: f64,
}

/// Where it stands, given all that was unplugged so far. `None`: there is no circuit that can be searched.
pub fn corner(session: &Session) -> Option<Corner> {
    let ready = session.ready()?;
    let state = session.job.last_blow();
    let never = never_live(&ready.file, &ready.harness);
    let mut isolation = begin(&ready.harness, &ready.map.map, &session.job.open, &state, &never).ok()?;
    let mut contradiction = None;
    let at_once = session.job.concern.fresh_fuse == FreshFuse::OpensAtOnce;
    for (event, observation) in &session.job.observations {
        let Observation::Unplugged { node, load, blew, .. } = observation else { continue };
        // While the short came and went, that it held for some minutes was no proof that it was gone.
        if at_once && !blew && !session.job.at_once.contains(event) {
            continue;
        }
        let what = match (node, load) {
            (Some(node), None) => Unplugged::Node(node.clone()),
            (None, Some(load)) => Unplugged::Load(load.clone()),
            _ => continue,
        };
        let cleared = |load: &LoadId| ready.harness.loads.iter().any(|known| known.id == *load);
        contradiction = match (isolation.tell(&what, !blew), &what) {
            (Err(error @ IsolateError::Contradiction(_)), _) => Some(error.to_string()),
            // A load that was cleared has been taken out: then the short cannot be gone with it.
            (Err(_), Unplugged::Load(load)) if !blew && cleared(load) => {
                Some(IsolateError::Contradiction(what).to_string())
            }
            // The same answer from a second phone, or one about something that this circuit no longer has, tells nothing.
            _ => contradiction,
        };
    }
    let next = isolation.next().map(|step| Next {
        label: label(&ready.harness, &step.unplug),
        zone: zone(&ready.harness, &ready.map.map, &step.unplug).map(|zone| zone.label.clone()).unwrap_or_default(),
        minutes: step.minutes.0,
        gone: step.gone,
        battery_off: battery_off(&ready.harness, &ready.map.map, &step.unplug),
        what: step.unplug,
    });
    let lamp = lamp(isolation.harness(), &state, LAMP).ok();
    let lamp = lamp.filter(|[with, without]| with.differs_from(without));
    Some(Corner {
        next,
        left: left(&ready.harness, &isolation),
        lamp: lamp.map(|[with, without]| [with.least_glow, without.most_glow]),
        never_live: never.loads.iter().map(|load| label(&ready.harness, &Unplugged::Load(load.clone()))).collect(),
        contradiction,
        state,
    })
}

/// The search with nothing unplugged yet. Beforehand the short is the likelier on a wire the longer it is; what is to
/// be unplugged takes the minutes of all that is not `open` yet on the way there, and those to pull it; where wires of
/// restraints are, those to take the battery off and on too. What is never unplugged live is not proposed, however much it
/// would tell, nor anything where fuel vapour may be about.
///
/// # Errors
///
/// [`IsolateError::Number`]: a length or a time of the map is no finite number.
pub fn begin(
    harness: &Harness,
    map: &ZoneMap,
    open: &BTreeSet<AccessId>,
    state: &[Condition],
    never: &NeverLive,
) -> Result<Isolation, IsolateError> {
    let weight = |suspect: &Suspect| match suspect {
        Suspect::Run(id) => {
            let run = harness.runs.iter().find(|run| run.id == *id);
            run.map_or(LEAST_METRES, |run| run.length.0.max(LEAST_METRES))
        }
        Suspect::Load(_) => INSIDE_METRES,
    };
    let minutes = |what: &Unplugged| {
        let there = zone(harness, map, what);
        if never.forbids_unplugging(what) || there.is_some_and(|zone| zone.fuel_vapour) {
            return None;
        }
        let wait = if battery_off(harness, map, what) { BATTERY_OFF } else { 0.0 };
        Some(Minutes(PULL + wait + there.map_or(0.0, |zone| to_open(map, open, zone))))
    };
    Isolation::new(harness, state, weight, minutes)
}

/// Where the short can still be, the likeliest first, in the words of the whole harness.
pub fn left(harness: &Harness, isolation: &Isolation) -> Vec<Left> {
    let of_suspect = |(suspect, chance)| Left { label: suspect_label(harness, &suspect), suspect, chance };
    let mut left: Vec<Left> = isolation.chances().into_iter().map(of_suspect).collect();
    left.order_by(|one, other| other.chance.total_cmp(&one.chance));
    left
}

/// What a lamp shows with a hard short at the fuse's load side, and with none.
///
/// # Errors
///
/// [`MeterError`]: it cannot be computed.
pub fn lamp(harness: &Harness, state: &[Condition], lamp: LimitingLamp) -> Result<[LampShows; 2], MeterError> {
    let shows = |short: Option<(NodeIx, Ohms)>| lamp_shows(harness, state, lamp, short);
    Ok([shows(Some((NodeIx::FUSE, Ohms(0.01))))?, shows(None)?])
}

/// The zone that something to unplug is in. `None`: that is not known.
pub fn zone<'m>(harness: &Harness, map: &'m ZoneMap, what: &Unplugged) -> Option<&'m Zone> {
    let id: &ZoneId = match what {
        Unplugged::Node(id) => harness.nodes.iter().find(|node| node.id == *id)?.zone.as_ref()?,
        Unplugged::Load(id) => harness.loads.iter().find(|load| load.id == *id)?.zone.as_ref()?,
    };
    map.zone(id)
}

/// Whether this is only to be unplugged with the battery off: wires of restraints are there, or under what is opened on the
/// way.
pub fn battery_off(harness: &Harness, map: &ZoneMap, what: &Unplugged) -> bool {
    zone(harness, map, what).is_some_and(|zone| {
        let way = way_to(|id| map.access(id), zone.access.as_ref());
        zone.restraint || way.into_iter().any(|step| step.restraint)
    })
}

/// Minutes for all that must still be opened on the way to a zone.
fn to_open(map: &ZoneMap, open: &BTreeSet<AccessId>, zone: &Zone) -> f64 {
    let way = way_to(|id| map.access(id), zone.access.as_ref());
    way.into_iter().filter(|step| !open.contains(&step.id)).map(|step| step.minutes).sum()
}

/// A wire or a load in words.
pub(super) fn suspect_label(harness: &Harness, suspect: &Suspect) -> String {
    match suspect {
        Suspect::Load(id) => format!("inside {}", label(harness, &Unplugged::Load(id.clone()))),
        Suspect::Run(id) => {
            let Some(run) = harness.runs.iter().find(|run| run.id == *id) else { return id.to_string() };
            let [from, to] = [run.from, run.to].map(|end| harness.nodes[end.0].label.as_str());
            let colour = run.colour.as_ref().map(|colour| format!(" ({colour})")).unwrap_or_default();
            format!("the wire from {from} to {to}{colour}")
        }
    }
}
