//! What changes in a zone map when the engine is not in front?
//!
//! One JSON file a body style and place in `assets/engines`: what it gives replaces the parts of the same ids or
//! comes beside them. The usual zone ids stay: `engine_left` is where the engine is.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::body::{AccessStep, Passage, Zone, ZoneMap};
use crate::circuit::file::{Body, EnginePlace};
use crate::gather::Gather as _;
use crate::ids::{AccessId, PassageId, ZoneId};

/// The value of `format` in a file of an engine place.
pub const FORMAT: &str = "loomwalk/engine";

/// What changes in the zone map of a body style when the engine is in another place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EngineMove {
    /// Always `loomwalk/engine`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// The body style whose map it changes.
    pub body: Body,
    /// Where the engine is.
    pub engine: EnginePlace,
    /// Where the figures come from.
    pub source: String,
    /// Where the usual zone ids are then, in words.
    pub note: String,
    /// Access steps and passages of the map that are not there.
    pub without: Vec<String>,
    /// Steps that replace those of the same id, and further ones.
    pub access: Vec<AccessStep>,
    /// Zones that are elsewhere or new in the order of walking around the vehicle, each with the one it comes after.
    pub after: BTreeMap<ZoneId, ZoneId>,
    /// Zones that replace those of the same id, and new ones.
    pub zones: Vec<Zone>,
    /// Passages that replace those of the same id, and further ones.
    pub passages: Vec<Passage>,
    /// Further zones with a ground point.
    pub grounds: Vec<ZoneId>,
}

impl EngineMove {
    /// The map with the engine in its place.
    pub fn apply(&self, map: &ZoneMap) -> ZoneMap {
        let mut zones = merged(&map.zones, &self.zones, |zone| &zone.id, |_| true);
        self.walk(&mut zones);
        let stands_for =
            map.stands_for.iter().filter(|(lacking, _)| !self.zones.iter().any(|zone| zone.id == **lacking));
        let stays = |id: &str| !self.without.iter().any(|gone| gone == id);
        ZoneMap {
            access: merged(&map.access, &self.access, |step| &step.id, |id: &AccessId| stays(id.as_str())),
            passages: merged(&map.passages, &self.passages, |passage| &passage.id, |id: &PassageId| stays(id.as_str())),
            zones,
            stands_for: stands_for.map(|(lacking, has)| (lacking.clone(), has.clone())).gather(),
            grounds: map.grounds.iter().chain(&self.grounds).cloned().collect(),
            ..map.clone()
        }
    }

    /// Puts the zones that are elsewhere behind those that they come after, in the order of the file.
    fn walk(&self, zones: &mut Vec<Zone>) {
        for id in self.zones.iter().map(|zone| &zone.id) {
            let Some(before) = self.after.get(id) else { continue };
            let Some(from) = zones.iter().position(|zone| zone.id == *id) else { continue };
            let zone = zones.remove(from);
            let to = zones.iter().position(|other| other.id == *before).map_or(from, |before| before + 1);
            zones.insert(to, zone);
        }
    }
}

/// The parts of a map, each as the change has it, without those that are gone; then what the change adds.
fn merged<T: Clone, I: PartialEq>(
    plain: &[T],
    change: &[T],
    id: impl Fn(&T) -> &I,
    stays: impl Fn(&I) -> bool,
) -> Vec<T> {
    let changed = |part: &T| change.iter().find(|new| id(new) == id(part)).unwrap_or(part).clone();
    let kept = plain.iter().filter(|part| stays(id(part))).map(changed);
    let added = change.iter().filter(|new| !plain.iter().any(|part| id(part) == id(new))).cloned();
    kept.chain(added).collect()
}
