//! The catalogue of loads: what a technician calls a thing, what it draws, where it usually sits.
//!
//! Read from `assets/loads`, built into the program. Every figure carries its source.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::file::{Body, LoadKind};
use crate::ids::{Condition, ItemId, OptionId, ZoneId};

/// One kind of load.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Item {
    /// Its id.
    pub id: ItemId,
    /// What the trade calls it.
    pub label: String,
    /// Other words for it, US and UK.
    #[serde(default)]
    pub also: Vec<String>,
    /// The system it belongs to, in words: lighting, wipers …
    pub system: String,
    /// Electrical class.
    pub kind: LoadKind,
    /// How big it is.
    pub size: Size,
    /// Where `size` comes from: a named source, `from memory`, or `common practice, no source`.
    pub source: String,
    /// Where it usually sits.
    pub zone: ZoneId,
    /// Where it sits in bodies that differ.
    #[serde(default)]
    pub zone_in: BTreeMap<Body, ZoneId>,
    /// Conditions that must all hold for it to be live. Empty: always.
    #[serde(default)]
    pub live_when: Vec<Condition>,
    /// On which side of the load its switch sits.
    #[serde(default)]
    pub switched: SwitchedSide,
    /// Where that switch or relay usually sits.
    #[serde(default)]
    pub switch_zone: Option<ZoneId>,
    /// The option it belongs to, if not every vehicle has it.
    #[serde(default)]
    pub option: Option<OptionId>,
    /// What can hurt someone.
    #[serde(default)]
    pub caution: Option<CautionClass>,
}

/// How big a load is, at 12 V unless the source says otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Size {
    /// Running power in watts, at `at_volts`.
    Watts {
        /// W.
        watts: f64,
        /// V.
        at_volts: f64,
    },
    /// Running current in amperes at 12 V.
    Amps(f64),
    /// Running resistance in ohms.
    Ohms(f64),
}

/// On which side of a load its switch sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SwitchedSide {
    /// Between fuse and load: with the switch open, the wire to the load is dead.
    Feed,
    /// Between load and ground, or inside the load: the wire to the load is live all the time.
    #[default]
    Ground,
}

/// What must be minded at a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CautionClass {
    /// Airbag or pretensioner: never probe, press or unplug live.
    Airbag,
    /// Fuel vapour may be about.
    Fuel,
    /// Starts or moves by itself.
    Moves,
    /// Gets hot.
    Hot,
}

/// All kinds of load, in the order of the files.
pub fn items() -> &'static [Item] {
    todo!("skeleton")
}

/// The entry of that id.
pub fn item(id: &ItemId) -> Option<&'static Item> {
    items().iter().find(|item| item.id == *id)
}

/// Entries that fit what was typed, best first: by label, by synonym, by system. At most `most`.
pub fn find(typed: &str, most: usize) -> Vec<&'static Item> {
    let _ = (typed, most);
    todo!("skeleton")
}

impl Item {
    /// Where it sits in a body.
    pub fn zone_for(&self, body: Body) -> &ZoneId {
        self.zone_in.get(&body).unwrap_or(&self.zone)
    }
}
