//! The catalogue of loads: what a technician calls a thing, what it draws, where it usually sits.
//!
//! Read from `assets/loads`, one file a system, built into the program. Every figure carries its source. An
//! entry with `{side}` in its id stands for two: the left one and the right one.
//!
//! - [`entry`]: loads from a pasted list or a CSV file.
//! - [`mod@find`]: which entries fit what was typed.
//! - [`groups`]: what goes together on a vehicle, to be struck out with one tap.
//! - [`offer`]: what to offer for it, pairs at once.
//! - [`kind`]: one thing, or a left and a right one; [`recognise`]: which of them some words name.

pub mod entry;
pub mod find;
pub mod groups;
pub mod kind;
pub mod offer;
pub mod recognise;
mod words;

use std::collections::BTreeMap;
use std::sync::OnceLock;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub(crate) use self::find::Phrase;
pub use self::find::find;
pub use self::kind::{Kind, kinds, pair};
use crate::circuit::file::{Body, EnginePlace, LoadKind, Side, Vehicle};
use crate::circuit::meter::cold_resistance;
use crate::ids::{Condition, ItemId, OptionId, ZoneId};
use crate::objects;
use crate::units::Ohms;
use crate::vehicle::fit::engine_places;
use crate::vehicle::mirror::other_side;

/// The value of `format` in a file of the catalogue.
pub const FORMAT: &str = "loomwalk/loads";

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
    /// Its resistance at rest, where its class alone does not tell it. See [`Item::at_rest_ohms`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_rest: Option<AtRest>,
    /// The lamp's category in UN R37, where it is a filament lamp of one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lamp: Option<String>,
    /// Where `size` comes from: a named source, `from memory`, or `common practice, no source`.
    pub source: String,
    /// Where it usually sits.
    pub zone: ZoneId,
    /// Where it sits in bodies that differ.
    #[serde(default)]
    pub zone_in: BTreeMap<Body, ZoneId>,
    /// Conditions that must all hold for it to work. Empty: always. With the switch on the ground side the
    /// wire to it is live without them.
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
    /// It is a part of the airbags and belt tensioners itself, not only close to them.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub restraint: bool,
    /// Why it is a usual suspect, where it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trouble: Option<Trouble>,
    /// Which of two it is; filled in where the id has a `{side}`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// It sits with the driver, with the passenger or at the kerb: `zone` is for a driver on the left, and changes
    /// sides with the driver.
    #[serde(default)]
    pub follows_driver: bool,
    /// Its switch sits with the driver, with the passenger or at the kerb, such as the brake pedal's: `switch_zone` is
    /// for a driver on the left, and changes sides with the driver.
    #[serde(default)]
    pub switch_follows_driver: bool,
    /// Where it and its switch sit when the engine is not in front, if that differs.
    #[serde(default)]
    pub engine_behind: EngineBehind,
}

/// Places that differ when the engine is not in front.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct EngineBehind {
    /// Of the load. None: as ever.
    #[serde(default)]
    pub zone: Option<ZoneId>,
    /// Of its switch or relay. None: as ever.
    #[serde(default)]
    pub switch_zone: Option<ZoneId>,
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

/// Resistance at rest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct AtRest {
    /// Ω, cold.
    pub ohms: f64,
    /// Where that comes from.
    pub source: String,
}

/// Why a load is a usual suspect.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Trouble {
    /// In words.
    pub why: String,
    /// It holds only where it sits in this zone. None: wherever it sits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub only_at: Option<ZoneId>,
    /// What of it gives trouble.
    #[serde(default)]
    pub sits: TroubleIn,
    /// Where that comes from; mostly `common practice, no source`.
    pub source: String,
}

/// What of a load gives trouble.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TroubleIn {
    /// The wire that leads to it.
    #[default]
    Lead,
    /// The load itself, or what is plugged into it: no wire of the vehicle need be hurt.
    Load,
    /// Either.
    Both,
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

impl CautionClass {
    /// What to mind, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Airbag => {
                "Airbag or pretensioner wiring is here: never probe, press or unplug it live. Disconnect the battery and \
                 wait as long as the maker says."
            }
            Self::Fuel => {
                "Fuel vapour may be about: no sparks, so no press and no unplugging with the current on while any can be \
                 smelt. Follow the maker's instructions."
            }
            Self::Moves => "It can start by itself: keep hands, hair and sleeves clear.",
            Self::Hot => "It gets hot: let it cool down, or wear gloves that are made for it.",
        }
    }
}

/// The files, by system, in the order in which people work through a vehicle.
const FILES: [&str; 11] = [
    include_str!(concat!(env!("OUT_DIR"), "/loads/exterior_lighting.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/interior_lighting.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/wipers_washers.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/glass_mirrors.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/doors_locks.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/sockets_towing.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/information_audio.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/seats_safety.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/climate.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/engine.json")),
    include_str!(concat!(env!("OUT_DIR"), "/loads/brakes_chassis.json")),
];

/// One file of the catalogue, before `{side}` is filled in.
#[derive(Deserialize)]
struct File {
    items: Vec<serde_json::Value>,
}

/// All kinds of load, in the order of the files.
pub fn items() -> &'static [Item] {
    static ITEMS: OnceLock<Vec<Item>> = OnceLock::new();
    // Built into the program and read by the tests: no user can make it fail.
    #[allow(clippy::expect_used)]
    ITEMS.get_or_init(|| read(&FILES).expect("the shipped catalogue is sound"))
}

fn read(files: &[&str]) -> Result<Vec<Item>, serde_json::Error> {
    let mut items = Vec::new();
    for file in files {
        for entry in objects::from_str::<File>(file)?.items {
            let text = entry.to_string();
            if text.contains("{side}") {
                for (word, side) in [("left", Side::Left), ("right", Side::Right)] {
                    let item: Item = objects::from_str(&text.replace("{side}", word))?;
                    items.push(Item { side: Some(side), ..item });
                }
            } else {
                items.push(objects::from_str(&text)?);
            }
        }
    }
    Ok(items)
}

/// The entry of that id.
pub fn item(id: &ItemId) -> Option<&'static Item> {
    items().iter().find(|item| item.id == *id)
}

impl Item {
    /// Resistance at rest, Ω: a filament cold, a motor at a standstill, else as stated or as it runs.
    pub fn at_rest_ohms(&self) -> Ohms {
        let running = self.size.ohms();
        self.at_rest_by(running).unwrap_or_else(|| cold_resistance(self.kind, running))
    }

    /// Resistance at rest of one that has such a resistance as it runs. `None`: its class tells it.
    pub fn at_rest_by(&self, running: Ohms) -> Option<Ohms> {
        self.at_rest.as_ref().map(|at_rest| Ohms(running.0 * at_rest.ohms / self.size.ohms().0))
    }

    /// Where it sits in a body whose engine is in front and whose driver sits on the left.
    pub fn zone_for(&self, body: Body) -> &ZoneId {
        self.zone_in.get(&body).unwrap_or(&self.zone)
    }

    /// Why it is a usual suspect in a body, if it is.
    pub fn trouble_in(&self, body: Body) -> Option<&Trouble> {
        self.trouble_at(self.zone_for(body))
    }

    /// Why it is a usual suspect where it sits in that zone, if it is.
    pub fn trouble_at(&self, zone: &ZoneId) -> Option<&Trouble> {
        let holds = |trouble: &&Trouble| trouble.only_at.as_ref().is_none_or(|only| only == zone);
        self.trouble.as_ref().filter(holds)
    }

    /// Where it sits in a vehicle.
    pub fn zone_of(&self, vehicle: &Vehicle) -> ZoneId {
        let behind = self.engine_behind.zone.as_ref().filter(|_| engine_is_behind(vehicle));
        on_side(behind.unwrap_or(self.zone_for(vehicle.body)), self.follows_driver, vehicle)
    }

    /// Where its switch or relay sits in a vehicle.
    pub fn switch_zone_of(&self, vehicle: &Vehicle) -> Option<ZoneId> {
        let behind = self.engine_behind.switch_zone.as_ref().filter(|_| engine_is_behind(vehicle));
        let zone = behind.or(self.switch_zone.as_ref())?;
        Some(on_side(zone, self.switch_follows_driver, vehicle))
    }
}

/// The engine is not in front, as far as there is a map of that.
fn engine_is_behind(vehicle: &Vehicle) -> bool {
    vehicle.engine != EnginePlace::Front && engine_places(vehicle.body).contains(&vehicle.engine)
}

/// A place that is stated for a driver on the left.
fn on_side(zone: &ZoneId, follows_driver: bool, vehicle: &Vehicle) -> ZoneId {
    match vehicle.drive_side {
        Side::Right if follows_driver => other_side(zone.as_str()).map_or_else(|| zone.clone(), ZoneId),
        _ => zone.clone(),
    }
}

impl Size {
    /// Running resistance, as if it were the same at every voltage.
    pub fn ohms(self) -> Ohms {
        match self {
            Self::Watts { watts, at_volts } => Ohms(at_volts * at_volts / watts),
            Self::Amps(amps) => Ohms(12.0 / amps),
            Self::Ohms(ohms) => Ohms(ohms),
        }
    }
}
