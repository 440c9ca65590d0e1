//! What is a plan held to for now? So many minutes, and only what can be reached from where one is.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ids::ZoneId;

/// What a plan is held to; without limits it is the whole pass.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Limits {
    /// It takes no more minutes than these.
    pub minutes: Option<f64>,
    /// It opens nothing more.
    pub reach: Option<Reach>,
}

/// Only what can be reached from here: what is open or in plain sight, and the zone where one is.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Reach {
    /// The zone where one is: what has to be opened for it is part of the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
}

/// What a plan was held to, and what it leaves for another time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Limited {
    /// All steps together take no more minutes than these.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within_minutes: Option<f64>,
    /// Only what can be reached from there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<Reach>,
    /// Looks that the whole plan would have beside these.
    pub set_aside: usize,
    /// Σ chance over them.
    pub set_aside_chance: f64,
}

impl Limits {
    /// Whether nothing is limited.
    pub fn is_none(&self) -> bool {
        self.minutes.is_none() && self.reach.is_none()
    }
}
