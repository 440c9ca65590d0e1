//! What is the whole plan? The output of `loomwalk plan` (03-formats §3) and what the walk shows.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::harness::Harness;
use crate::ids::{AccessId, PointId, RunId, ZoneId};
use crate::search::evidence::Observation;
use crate::vehicle::body::ZoneMap;

/// The value of `format` in a plan.
pub const FORMAT: &str = "loomwalk/plan";

/// The whole plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Plan {
    /// Always `loomwalk/plan`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// Every point with its chance given all evidence, in the order of the vehicle.
    pub points: Vec<PointChance>,
    /// Chance that the place is on none of the points.
    pub not_listed: f64,
    /// Σ chance × minutes elapsed at the end of that step ÷ Σ chance. `None` where no step has a chance.
    pub expected_minutes: Option<f64>,
    /// 1 − Σ chance: what the rest of this pass will not find.
    pub left_over: f64,
    /// What was assumed, and what contradicts itself, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Step {
    /// Position, from 1.
    pub n: usize,
    /// `access:…` or `point:…`.
    pub id: String,
    /// Opening something, or looking.
    pub kind: StepKind,
    /// The access step that must stand before it.
    pub after: Option<AccessId>,
    /// The zone; none for an access step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
    /// Minutes that it takes.
    pub minutes: f64,
    /// Chance that the place is here (0 for access).
    #[serde(default)]
    pub probability: f64,
    /// Chance that a look here sees it (0 for access).
    #[serde(default)]
    pub detect: f64,
    /// probability × detect.
    pub chance: f64,
    /// Running sum of `chance`.
    pub found_by: f64,
    /// What to do or where to look, in words.
    pub title: String,
    /// Runs that pass here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub runs: Vec<RunId>,
    /// Their colours.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub colours: Vec<String>,
    /// The strongest reasons, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub why: Vec<String>,
    /// What can hurt someone here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
}

/// Kinds of step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StepKind {
    /// Opens a part of the vehicle.
    Access,
    /// Looks at a point.
    Look,
}

/// A point and how likely it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PointChance {
    /// The point.
    pub id: PointId,
    /// Where it is.
    pub zone: ZoneId,
    /// Chance that the place is here, given all evidence.
    pub probability: f64,
}

/// What the person on the walk has said about it, beside the evidence.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Walk {
    /// Access steps that are done.
    pub open: BTreeSet<AccessId>,
    /// Points that cannot be reached now: they keep their chance and get no step.
    pub out_of_reach: BTreeSet<PointId>,
    /// "Do another first": this point, after the access steps it needs, leads the plan.
    pub first: Option<PointId>,
}

/// The list of points of a harness and how likely each is beforehand: made once a circuit, asked at each tap.
#[derive(Debug, Clone)]
pub struct Search {
    // Fields belong to the implementation.
}

impl Search {
    /// Lists and weighs the points.
    pub fn new(harness: &Harness, map: &ZoneMap) -> Self {
        let _ = (harness, map);
        todo!("skeleton")
    }

    /// The plan given what was observed and said so far.
    pub fn plan(&self, evidence: &[Observation], walk: &Walk) -> Plan {
        let _ = (evidence, walk);
        todo!("skeleton")
    }
}
