//! Where can a harness be, and what does it meet there? The zone map of a body style.
//!
//! One JSON file a body style in `assets/bodies`, built into the program. Zone ids are those of
//! the format `loomwalk/circuit` plus what a body has of its own; a body without a part maps it to the nearest
//! that it has.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use super::fit::{FittedMap, fit, map_for};
use crate::circuit::file::{Body, SizeClass};
use crate::ids::{AccessId, PassageId, ZoneId};

/// The value of `format` in a zone map.
pub const FORMAT: &str = "loomwalk/body";

/// The zone map of a body style, drawn for a vehicle whose driver sits on the left.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ZoneMap {
    /// Always `loomwalk/body`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// Which body style.
    pub body: Body,
    /// In words.
    pub label: String,
    /// Where the figures come from; most are "common practice, no source".
    pub source: String,
    /// How much longer or shorter the zones along the vehicle are with another wheelbase. Without it: all are alike.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lengths: Option<Lengths>,
    /// Steps that open parts of the vehicle. Each stands after the one that it needs.
    pub access: Vec<AccessStep>,
    /// Zones, in the order in which someone walks around the vehicle: the tie-breaker of the plan.
    pub zones: Vec<Zone>,
    /// Where looms go from zone to zone.
    pub passages: Vec<Passage>,
    /// Usual zone ids that this body lacks, each with the nearest that it has.
    #[serde(default)]
    pub stands_for: BTreeMap<ZoneId, ZoneId>,
    /// Zones with a ground point.
    pub grounds: Vec<ZoneId>,
    /// The size class that it is fitted to; a file is for the medium one.
    #[serde(skip)]
    pub size: SizeClass,
}

/// Factors on the metres of the zones along the vehicle. Medium: 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Lengths {
    /// With a short wheelbase.
    pub short: f64,
    /// With a long one.
    pub long: f64,
}

/// A step that opens a part of the vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AccessStep {
    /// Its id, `access:…`.
    pub id: AccessId,
    /// The step that must be done before.
    #[serde(default)]
    pub after: Option<AccessId>,
    /// Further steps that must be done before, where one alone does not do.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also_after: Vec<AccessId>,
    /// What to do, in words.
    pub label: String,
    /// Minutes that it takes.
    pub minutes: f64,
    /// What can hurt someone here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// Wires of airbags or belt pretensioners may be where it opens: no test that presses or pulls apart with the current on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub restraint: bool,
    /// It lies on the driver's side, or on the side away from the driver: it changes sides with the driver.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub follows_driver: bool,
}

impl AccessStep {
    /// The steps that must be done before.
    pub fn needs(&self) -> impl Iterator<Item = &AccessId> {
        self.after.iter().chain(&self.also_after)
    }
}

/// A step and all that must be done before it, each once, in an order that is allowed. Nothing for a step that there is
/// not. Should a map lead in a circle, it is cut there.
pub fn way_to<'m>(find: impl Fn(&AccessId) -> Option<&'m AccessStep>, to: Option<&AccessId>) -> Vec<&'m AccessStep> {
    // Steps on the way down, each with how many of its needs were gone to.
    let mut down: Vec<(&AccessStep, usize)> = to.and_then(&find).map(|step| (step, 0)).into_iter().collect();
    let mut way: Vec<&AccessStep> = Vec::new();
    while let Some((step, gone)) = down.last_mut() {
        let step = *step;
        let need = step.needs().nth(*gone);
        *gone += 1;
        match need {
            Some(need) => {
                let known = |other: &AccessStep| other.id == *need;
                if !way.iter().any(|step| known(step)) && !down.iter().any(|(step, _)| known(step)) {
                    down.extend(find(need).map(|step| (step, 0)));
                }
            }
            None => {
                way.push(step);
                down.pop();
            }
        }
    }
    way
}

/// A part of the vehicle that can be looked into at one time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Zone {
    /// Its id.
    pub id: ZoneId,
    /// In words.
    pub label: String,
    /// What a loom there is exposed to.
    pub exposures: Exposures,
    /// The step that opens it; none: it is in plain sight.
    #[serde(default)]
    pub access: Option<AccessId>,
    /// Minutes to look along the loom there.
    pub look_minutes: f64,
    /// Chance that this look sees damage that is there.
    pub detect: f64,
    /// Metres of loom through it from one side to the other, in a vehicle of medium size.
    pub metres: f64,
    /// What a loom rubs on there.
    pub contacts: Vec<String>,
    /// What to look for.
    pub look_for: String,
    /// What can hurt someone here.
    #[serde(default)]
    pub caution: Option<String>,
    /// Fuel vapour may be about: nothing that sparks, so no press test and no plug pulled with the current on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub fuel_vapour: bool,
    /// Wires of airbags or belt pretensioners are here, too: no test that presses or pulls apart with the current on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub restraint: bool,
    /// Its place in the picture from above: x, y, width, height on a sheet 100 wide and 200 long, front at the top.
    pub shape: [f64; 4],
    /// It lies along the vehicle: its metres grow with the wheelbase.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub lengthwise: bool,
    /// It lies on the driver's side, or on the side away from the driver: it changes sides with the driver.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub follows_driver: bool,
}

/// Where a harness goes from one zone into another.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Passage {
    /// Its id.
    pub id: PassageId,
    /// In words.
    pub label: String,
    /// What it is.
    pub kind: PassageKind,
    /// The two zones.
    pub between: [ZoneId; 2],
    /// What a loom there is exposed to.
    pub exposures: Exposures,
    /// The step that opens it; none: it is in plain sight.
    #[serde(default)]
    pub access: Option<AccessId>,
    /// Minutes to look at it.
    pub look_minutes: f64,
    /// Chance that this look sees damage that is there.
    pub detect: f64,
    /// Metres of loom in it.
    pub metres: f64,
    /// Metres by which a loom would rather go round than through here; 0 where looms usually go.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub detour_m: f64,
    /// What a loom rubs on there.
    pub contacts: Vec<String>,
    /// What to look for.
    pub look_for: String,
    /// What keeps the loom from rubbing there when all is in order: grommet, boot, conduit, distance of clips.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protected_by: Option<String>,
    /// What can hurt someone here.
    #[serde(default)]
    pub caution: Option<String>,
    /// Fuel vapour may be about: nothing that sparks, so no press test and no plug pulled with the current on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub fuel_vapour: bool,
    /// Wires of airbags or belt pretensioners are here, too: no test that presses or pulls apart with the current on.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub restraint: bool,
    /// It lies on the driver's side, or on the side away from the driver: it changes sides with the driver.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub follows_driver: bool,
}

/// Kinds of passage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PassageKind {
    /// Nothing is crossed: the loom simply goes on.
    Open,
    /// A grommet in a panel.
    Grommet,
    /// A boot between body and a hinged part.
    HingeBoot,
    /// A loop that follows a sliding seat.
    SeatLoop,
    /// A hole in a frame member.
    FrameHole,
    /// The steering column's moving coil and loom.
    ColumnLoop,
    /// A plug that stays in the weather.
    OutsidePlug,
}

/// How much a place asks of a loom, 0 (none) to 3 (most) each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Exposures {
    /// Heat.
    pub heat: u8,
    /// Movement: doors, seats, engine rock, steering.
    pub movement: u8,
    /// Vibration.
    pub vibration: u8,
    /// Edges and contact with metal.
    pub edges: u8,
    /// Water and dirt.
    pub water: u8,
    /// How often people work there and push the loom aside.
    pub disturbance: u8,
}

fn is_zero(metres: &f64) -> bool {
    *metres == 0.0
}

impl ZoneMap {
    /// The zone of that id, or the one that stands for it in this body. `None`: nobody knows it.
    pub fn zone(&self, id: &ZoneId) -> Option<&Zone> {
        let own = |id: &ZoneId| self.zones.iter().find(|zone| zone.id == *id);
        own(id).or_else(|| own(self.stands_for.get(id)?))
    }

    /// The passage of that id.
    pub fn passage(&self, id: &PassageId) -> Option<&Passage> {
        self.passages.iter().find(|passage| passage.id == *id)
    }

    /// The access step of that id.
    pub fn access(&self, id: &AccessId) -> Option<&AccessStep> {
        self.access.iter().find(|step| step.id == *id)
    }

    /// How many times as long a zone is as in a vehicle of medium size.
    pub fn stretch(&self, zone: &Zone) -> f64 {
        match (self.lengths, self.size) {
            (Some(lengths), SizeClass::Short) if zone.lengthwise => lengths.short,
            (Some(lengths), SizeClass::Long) if zone.lengthwise => lengths.long,
            _ => 1.0,
        }
    }

    /// The article before its label.
    pub(super) fn article(&self) -> &'static str {
        if self.label.to_lowercase().starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" }
    }

    /// Says in words which zone stands for one that this body lacks. `None`: it has the zone, or nobody knows it.
    pub fn stand_in_note(&self, id: &ZoneId) -> Option<String> {
        let zone = self.zone(id).filter(|zone| zone.id != *id)?;
        let (lacking, body) = (id.as_str().replace('_', " "), self.label.to_lowercase());
        let article = if self.article() == "an" { "An" } else { "A" };
        Some(format!("{article} {body} has no \"{lacking}\": it is taken to be at \"{}\".", zone.label))
    }
}
