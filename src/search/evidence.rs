//! What was observed? The file format `loomwalk/evidence`, version 1.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ids::{Condition, LoadId, NodeId, PointId};

/// The value of `format` in an evidence file.
pub const FORMAT: &str = "loomwalk/evidence";
/// The newest major version that this program reads and the one it writes.
pub const VERSION: u32 = 1;

/// Observations in order of time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct EvidenceFile {
    /// Always `loomwalk/evidence`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// The observations.
    pub items: Vec<Observation>,
}

/// One observation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Observation {
    /// The fuse opened.
    Blow {
        /// Conditions that held.
        #[serde(default)]
        state: Vec<Condition>,
        /// How the vehicle moved.
        #[serde(default)]
        motion: Motion,
        /// How warm it was.
        #[serde(default)]
        heat: Heat,
    },
    /// The fuse survived.
    Held {
        /// Conditions that held.
        #[serde(default)]
        state: Vec<Condition>,
        /// How the vehicle moved.
        #[serde(default)]
        motion: Motion,
        /// How warm it was.
        #[serde(default)]
        heat: Heat,
        /// For how long.
        minutes: f64,
    },
    /// Something was unplugged and the fuse was watched.
    Unplugged {
        /// The node where it was unplugged.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        node: Option<NodeId>,
        /// Or the load that was unplugged.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        load: Option<LoadId>,
        /// Whether the fuse opened all the same.
        blew: bool,
        /// Conditions that held.
        #[serde(default)]
        state: Vec<Condition>,
        /// For how long it was watched.
        #[serde(default)]
        minutes: f64,
    },
    /// Someone looked at a point.
    Look {
        /// The point.
        point: PointId,
        /// What was seen.
        seen: Seen,
    },
    /// Someone pressed at a point with a fresh fuse in.
    Press {
        /// The point.
        point: PointId,
        /// Whether the fuse opened meanwhile.
        opened: bool,
        /// How many presses.
        #[serde(default = "one")]
        presses: u32,
        /// Conditions that held.
        #[serde(default)]
        state: Vec<Condition>,
    },
}

fn one() -> u32 {
    1
}

/// How the vehicle moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Motion {
    /// It stood.
    #[default]
    Still,
    /// On a smooth road.
    Smooth,
    /// On a rough road.
    Rough,
    /// In a turn.
    Turning,
    /// A door, tailgate or lid was moved.
    DoorMoved,
}

/// How warm engine bay and exhaust were.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Heat {
    /// Just started, or not at all.
    #[default]
    Cold,
    /// Warmed up.
    Warm,
    /// After a long or hard drive.
    Hot,
}

/// What a look showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// Nothing wrong.
    Sound,
    /// Rubbed, polished or dented covering; insulation whole.
    Marked,
    /// Insulation thinner, conductor not seen.
    Thinned,
    /// Conductor seen.
    Bare,
    /// Conductor parted.
    Severed,
    /// The place could not be seen.
    NotSeen,
}
