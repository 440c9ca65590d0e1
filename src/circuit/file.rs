//! How is a circuit written down? The file format `loomwalk/circuit`, version 1.
//!
//! These types hold what was written, as it was written; [`super::check`] says whether it makes
//! sense. Only the fuse and the loads are required: what is missing is filled in by expansion.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use super::mark::{Mark, MarkKind, MarkPlace};
use crate::catalogue;
use crate::circuit::harness::Place;
use crate::ids::{Condition, ItemId, JointId, LoadId, NodeId, OptionId, RunId, SwitchId, ZoneId};

/// The value of `format` in a circuit file.
pub const FORMAT: &str = "loomwalk/circuit";
/// The newest major version that this program reads and the one it writes.
pub const VERSION: u32 = 1;

/// A protected circuit on one vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CircuitFile {
    /// Always `loomwalk/circuit`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// What people call it, such as `F23 load-area services`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// The vehicle it is on.
    #[serde(default)]
    pub vehicle: Vehicle,
    /// What feeds the fuse.
    #[serde(default)]
    pub supply: Supply,
    /// The fuse that opens.
    pub fuse: Fuse,
    /// Splices, connectors and the like.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub joints: Vec<Joint>,
    /// Switches and relay contacts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub switches: Vec<Switch>,
    /// Wires.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub runs: Vec<Run>,
    /// Everything that the fuse feeds.
    pub loads: Vec<Load>,
    /// Places that the technician has marked.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<Mark>,
    /// How long a rubbing wire is taken to touch. Without it: the assumption that ships with the program.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub touch: Option<TouchLengths>,
}

impl CircuitFile {
    /// Whether this vehicle has a load: by the option that it belongs to.
    pub fn state_of(&self, load: &Load) -> OptionState {
        load.of_option().and_then(|option| self.vehicle.options.get(option)).copied().unwrap_or_default()
    }
}

/// Between which lengths a rubbing wire touches, any between as likely on a logarithmic scale. An assumption.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct TouchLengths {
    /// Shortest touch, s.
    pub shortest_s: f64,
    /// Longest touch, s; longer than the shortest.
    pub longest_s: f64,
}

/// The vehicle, as far as the search needs it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Vehicle {
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// Vehicle identification number, if it was entered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vin: Option<String>,
    /// The body style, which chooses the zone map.
    #[serde(default)]
    pub body: Body,
    /// The side on which the driver sits.
    #[serde(default)]
    pub drive_side: Side,
    /// Where the engine sits. A body of which there is no such map is taken to have it in front, which is noted.
    #[serde(default, skip_serializing_if = "is_default")]
    pub engine: EnginePlace,
    /// How long the vehicle is among those of its body style: it scales the looms that lie along it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub size: SizeClass,
    /// What this vehicle has or does not have.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub options: BTreeMap<OptionId, OptionState>,
}

/// Body styles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Body {
    /// Three boxes, closed boot.
    Saloon,
    /// Two boxes, rear hatch.
    #[default]
    Hatchback,
    /// Two boxes, long roof, rear hatch.
    Estate,
    /// Cab and open load bed.
    Pickup,
    /// Cab and closed load area.
    PanelVan,
    /// Folding roof.
    Convertible,
}

impl Body {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Saloon => "Saloon",
            Self::Hatchback => "Hatchback",
            Self::Estate => "Estate",
            Self::Pickup => "Pickup",
            Self::PanelVan => "Panel van",
            Self::Convertible => "Convertible",
        }
    }
}

/// Where the engine sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EnginePlace {
    /// Before the bulkhead.
    #[default]
    Front,
    /// Between the axles, under or behind the front seats.
    Mid,
    /// At the rear axle or behind it.
    Rear,
}

/// How long a vehicle is among those of its body style.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SizeClass {
    /// Short wheelbase.
    Short,
    /// The usual one.
    #[default]
    Medium,
    /// Long wheelbase.
    Long,
}

fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// Left or right, as seen by someone who sits in the vehicle and looks forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Left.
    #[default]
    Left,
    /// Right.
    Right,
}

/// Whether this vehicle has an option.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum OptionState {
    /// It is there.
    #[default]
    Fitted,
    /// It never was: neither the load nor its private wiring exists.
    Absent,
    /// The load was taken out, but its wiring is still there and can still short.
    RemovedWiringLeft,
}

/// What feeds the fuse: a source with an inner resistance, in series with the fuse.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Supply {
    /// Open-circuit voltage, V. Default 12.6.
    #[serde(default = "Supply::default_volts")]
    pub volts: f64,
    /// Battery and feed up to the fuse, Ω. Default 0.02.
    #[serde(default = "Supply::default_ohms")]
    pub ohms: f64,
}

impl Supply {
    fn default_volts() -> f64 {
        12.6
    }
    fn default_ohms() -> f64 {
        0.02
    }
}

impl Default for Supply {
    fn default() -> Self {
        Self { volts: Self::default_volts(), ohms: Self::default_ohms() }
    }
}

/// The fuse.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Fuse {
    /// Its name in the fuse box.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// Rated current, A.
    pub rating_a: f64,
    /// How it is built.
    #[serde(default)]
    pub style: FuseStyle,
    /// Where the fuse box is. Without one: `dash_left`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
    /// Cold resistance, Ω. Default by rating.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohms: Option<f64>,
    /// Conditions that must all hold for the fuse to be fed. Empty: always.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub live_when: Vec<Condition>,
}

/// How a fuse is built; chooses its curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FuseStyle {
    /// Standard blade (ISO 8820-3 type C).
    #[default]
    Blade,
    /// Mini blade (ISO 8820-3 type F).
    Mini,
    /// Maxi blade (ISO 8820-3 type E).
    Maxi,
    /// Slow cartridge with female contacts (ISO 8820-4 type A).
    Cartridge,
    /// Bimetal circuit breaker that resets by itself (SAE J553 type I): nothing melts, it closes again once it has cooled.
    Breaker,
}

impl FuseStyle {
    /// All styles, in the order in which they are offered.
    pub const ALL: [Self; 5] = [Self::Blade, Self::Mini, Self::Maxi, Self::Cartridge, Self::Breaker];

    /// Whether it closes again by itself after it has opened, so that a fault is fed again and again.
    pub fn resets(self) -> bool {
        match self {
            Self::Blade | Self::Mini | Self::Maxi | Self::Cartridge => false,
            Self::Breaker => true,
        }
    }
}

/// A place where wires meet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Joint {
    /// Its node.
    pub id: JointId,
    /// What it is.
    #[serde(default)]
    pub kind: JointKind,
    /// Where it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
}

/// Kinds of joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum JointKind {
    /// Wires joined for good inside the harness.
    #[default]
    Splice,
    /// Can be unplugged.
    Connector,
    /// A screw or stud terminal.
    Terminal,
    /// Where a wire is screwed to the body. Still a node of its own unless a run leads to `ground`.
    GroundPoint,
    /// A kind that this version does not know: only its id and zone count.
    #[serde(other)]
    Other,
}

/// A switch or a relay's contact between two nodes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Switch {
    /// Its id.
    pub id: SwitchId,
    /// One end.
    pub from: NodeId,
    /// The other end.
    pub to: NodeId,
    /// Conditions that must all hold for it to be closed. Empty: always closed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub closed_when: Vec<Condition>,
    /// Contact resistance, Ω. Default 0.005.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohms: Option<f64>,
    /// Where it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
}

/// One wire between two ends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Run {
    /// Its id.
    pub id: RunId,
    /// The end nearer the fuse, if there is one.
    pub from: NodeId,
    /// The other end.
    pub to: NodeId,
    /// IEC 60757 codes, base/stripe: `BK/YE`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    /// Cross-section, mm².
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_mm2: Option<f64>,
    /// American wire gauge, in place of `area_mm2`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub awg: Option<f64>,
    /// Length, m. Without one: the sum of `path`, else from the zone map.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
    /// Temperature, °C. Default 20.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temp_c: Option<f64>,
    /// The zones it goes through, from `from` to `to`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub path: Vec<PathPart>,
}

/// A stretch of a run inside one zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PathPart {
    /// The zone.
    pub zone: ZoneId,
    /// Metres of the run in it.
    pub m: f64,
}

/// Something that the fuse feeds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Load {
    /// Its id; its terminals are the nodes `<id>.feed` and `<id>.return`.
    pub id: LoadId,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// Electrical class.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<LoadKind>,
    /// The catalogue entry that supplies what is missing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<ItemId>,
    /// Resistance, Ω. At most one of `ohms`, `watts`, `amps`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ohms: Option<f64>,
    /// Power at `rated_volts`, W.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub watts: Option<f64>,
    /// Current at `rated_volts`, A.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amps: Option<f64>,
    /// The voltage at which `watts` or `amps` is stated, V. Default 12.0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated_volts: Option<f64>,
    /// Where it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
    /// The node its feed terminal is wired to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feed: Option<NodeId>,
    /// Zones and passages that its feed goes through, in order from the fuse on (or from its switch). Only where
    /// nothing is said about how its feed is wired. Empty: the way of the loom.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub via: Vec<Place>,
    /// The node its return terminal is wired to.
    #[serde(default, rename = "return", skip_serializing_if = "Option::is_none")]
    pub return_: Option<NodeId>,
    /// What is known of the wire at its feed terminal, where no run says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wire: Option<OwnWire>,
    /// The option that it belongs to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub option: Option<OptionId>,
    /// Conditions that must all hold for it to take current. Empty: always.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub live_when: Vec<Condition>,
}

impl Load {
    /// The option that it belongs to: the one that is stated, else its catalogue entry's.
    pub fn of_option(&self) -> Option<&OptionId> {
        self.option.as_ref().or_else(|| catalogue::item(self.item.as_ref()?)?.option.as_ref())
    }
}

/// What is known of the wire of a load's own whose way is assumed.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct OwnWire {
    /// IEC 60757 codes, base/stripe: `BK/YE`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    /// Cross-section, mm².
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_mm2: Option<f64>,
}

/// Electrical classes of load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LoadKind {
    /// Incandescent lamp: cold about a tenth of its running resistance.
    FilamentLamp,
    /// Light-emitting diodes.
    LedLamp,
    /// Motor: stalled, several times its running current.
    Motor,
    /// Heating element.
    Heater,
    /// Relay coil.
    RelayCoil,
    /// Solenoid valve, lock actuator.
    Solenoid,
    /// Control unit.
    Module,
    /// Sensor.
    Sensor,
    /// Horn, buzzer.
    Sounder,
    /// Socket that others plug into.
    Socket,
    /// Anything that is a plain resistance.
    Resistor,
}
