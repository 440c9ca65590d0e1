//! Where the search by unplugging stands, as a file: the output of `loomwalk isolate`.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::harness::Harness;
use crate::circuit::isolate::{Isolation, LampGlow, LampShows, LimitingLamp, Step};
use crate::circuit::live_work::NeverLive;
use crate::circuit::meter::MeterError;
use crate::circuit::unplug::label;
use crate::ids::{Condition, LoadId, ZoneId};
use crate::job::corner::{self, Left};
use crate::vehicle::body::ZoneMap;

/// The value of `format` in the output.
pub const FORMAT: &str = "loomwalk/isolation";
/// Its version.
pub const VERSION: u32 = 1;

/// Where the search stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Cornered {
    /// Always `loomwalk/isolation`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// Conditions that hold.
    pub state: Vec<Condition>,
    /// What to unplug next. `None`: nothing tells any more; look at what is left.
    pub next: Option<Plug>,
    /// What else tells something, the best first.
    pub others: Vec<Plug>,
    /// Airbag and belt-tensioner loads: neither they nor plugs on their wires are proposed, since they are never unplugged
    /// with the current on.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub never_live: BTreeSet<LoadId>,
    /// Where the short can still be, the likeliest first; the chances sum to 1.
    pub left: Vec<Left>,
    /// The lamp in place of the fuse.
    pub lamp: Lamp,
}

/// Something to unplug.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Plug {
    /// The load or connector.
    pub id: String,
    /// In words.
    pub label: String,
    /// Where it is, where that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
    /// Minutes to get there and pull it.
    pub minutes: f64,
    /// Chance that the short is gone then, 0 to 1.
    pub gone: f64,
    /// Wires of restraints are there: only with the battery off.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub battery_off: bool,
}

/// What a lamp in place of the fuse shows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Lamp {
    /// Its power at its rated voltage, W.
    pub watts: f64,
    /// Its rated voltage, V.
    pub volts: f64,
    /// With the short there.
    pub with_short: Glow,
    /// Once it is gone.
    pub without_short: Glow,
    /// The two never look alike, so the lamp tells whether the short is there.
    pub tells: bool,
}

/// What the eye sees, between the loads as they run and at rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Glow {
    /// At the least.
    pub least: LampGlow,
    /// At the most.
    pub most: LampGlow,
}

impl From<&LampShows> for Glow {
    fn from(shows: &LampShows) -> Self {
        Self { least: shows.least_glow, most: shows.most_glow }
    }
}

/// All that an isolation says now, in the words of the whole harness, with that lamp in place of the fuse.
///
/// # Errors
///
/// [`MeterError`]: what the lamp shows cannot be computed.
pub fn cornered(
    harness: &Harness,
    map: &ZoneMap,
    state: &[Condition],
    isolation: &Isolation,
    never: &NeverLive,
    lamp: LimitingLamp,
) -> Result<Cornered, MeterError> {
    let plug = |step: Step| Plug {
        id: step.unplug.to_string(),
        label: label(harness, &step.unplug),
        zone: corner::zone(harness, map, &step.unplug).map(|zone| zone.id.clone()),
        minutes: step.minutes.0,
        gone: step.gone,
        battery_off: corner::battery_off(harness, map, &step.unplug),
    };
    let mut plugs = isolation.steps().into_iter().map(plug);
    let [with, without] = corner::lamp(isolation.harness(), state, lamp)?;
    Ok(Cornered {
        format: FORMAT.to_owned(),
        version: VERSION,
        state: state.to_vec(),
        next: plugs.next(),
        others: plugs.collect(),
        never_live: never.loads.clone(),
        left: corner::left(harness, isolation),
        lamp: Lamp {
            watts: lamp.watts,
            volts: lamp.rated.0,
            with_short: Glow::from(&with),
            without_short: Glow::from(&without),
            tells: with.differs_from(&without),
        },
    })
}
