//! What has the technician noticed, and where? Marks: on a run, at a passage, or all over a zone.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::ids::{MarkId, PassageId, RunId, ZoneId};

/// Something that the technician has noticed about a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "WrittenMark", into = "WrittenMark")]
pub struct Mark {
    /// Its id.
    pub id: MarkId,
    /// Where.
    pub place: MarkPlace,
    /// What was noticed.
    pub kind: MarkKind,
    /// In words.
    pub note: String,
}

/// Where a mark is.
#[derive(Debug, Clone, PartialEq)]
pub enum MarkPlace {
    /// At one place on a run: a point of its own.
    Run {
        /// The run; `assumed:<load id>.feed` or `.return` for the wire of a load of which nothing was stated.
        run: RunId,
        /// Metres from the run's `from` end.
        at_m: f64,
    },
    /// Where the loom goes from one zone into another.
    Passage(PassageId),
    /// All over a zone: it counts once for each place in it.
    Zone(ZoneId),
}

/// A mark as it stands in a file: exactly one of `run` with `at_m`, `passage`, and `zone`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "Mark", extend("oneOf" = [
    { "required": ["run", "at_m"], "properties": { "passage": false, "zone": false } },
    { "required": ["passage"], "properties": { "run": false, "at_m": false, "zone": false } },
    { "required": ["zone"], "properties": { "run": false, "at_m": false, "passage": false } }
]))]
pub struct WrittenMark {
    /// Its id.
    pub id: MarkId,
    /// The run it is on; with `at_m`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<RunId>,
    /// Metres from the run's `from` end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_m: Option<f64>,
    /// Or the passage that it is at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub passage: Option<PassageId>,
    /// Or the zone all over which it holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<ZoneId>,
    /// What was noticed.
    pub kind: MarkKind,
    /// In words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Why what is written is not one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("`{field}`: {wrong}; {right}")]
pub struct NoPlace {
    /// The field that is missing or one too many.
    pub field: &'static str,
    /// What is wrong with it.
    pub wrong: &'static str,
    /// What would be right.
    pub right: &'static str,
}

impl NoPlace {
    const fn missing(field: &'static str, right: &'static str) -> Self {
        Self { field, wrong: "it is missing", right }
    }

    const fn too_many(field: &'static str) -> Self {
        let right = "a mark is on a run with `at_m`, at a `passage` or all over a `zone`: leave the others out";
        Self { field, wrong: "it is given beside another place", right }
    }
}

impl WrittenMark {
    /// The one place that it names.
    ///
    /// # Errors
    /// If it names none, or more than one.
    pub fn place(&self) -> Result<MarkPlace, NoPlace> {
        match (&self.run, self.at_m, &self.passage, &self.zone) {
            (Some(run), Some(at_m), None, None) => Ok(MarkPlace::Run { run: run.clone(), at_m }),
            (None, None, Some(passage), None) => Ok(MarkPlace::Passage(passage.clone())),
            (None, None, None, Some(zone)) => Ok(MarkPlace::Zone(zone.clone())),
            (_, _, _, Some(_)) => Err(NoPlace::too_many("zone")),
            (_, _, Some(_), None) => Err(NoPlace::too_many("passage")),
            (Some(_), None, None, None) => Err(NoPlace::missing("at_m", "say how far along the run it is")),
            (None, Some(_), None, None) => Err(NoPlace::missing("run", "name the run that `at_m` is on")),
            (None, None, None, None) => {
                Err(NoPlace::missing("run", "name a run and `at_m`, or a `passage`, or a `zone`"))
            }
        }
    }
}

impl TryFrom<WrittenMark> for Mark {
    type Error = NoPlace;

    fn try_from(written: WrittenMark) -> Result<Self, NoPlace> {
        let place = written.place()?;
        Ok(Self { id: written.id, place, kind: written.kind, note: written.note })
    }
}

impl From<Mark> for WrittenMark {
    fn from(Mark { id, place, kind, note }: Mark) -> Self {
        let (mut run, mut at, mut passage, mut zone) = (None, None, None, None);
        match place {
            MarkPlace::Run { run: on, at_m } => (run, at) = (Some(on), Some(at_m)),
            MarkPlace::Passage(of) => passage = Some(of),
            MarkPlace::Zone(of) => zone = Some(of),
        }
        Self { id, run, at_m: at, passage, zone, kind, note }
    }
}

impl Mark {
    /// The run that it is on.
    pub fn run(&self) -> Option<&RunId> {
        match &self.place {
            MarkPlace::Run { run, .. } => Some(run),
            MarkPlace::Passage(_) | MarkPlace::Zone(_) => None,
        }
    }
}

/// The id of the load whose assumed wire this run is, as expansion names such wires.
pub fn load_of_wire(run: &RunId) -> Option<&str> {
    let of = run.as_str().strip_prefix("assumed:")?;
    of.strip_suffix(".feed").or_else(|| of.strip_suffix(".return"))
}

/// What can be noticed about a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum MarkKind {
    /// Close to something hot.
    Heat,
    /// Moves with a door, seat, engine …
    Moves,
    /// Lies against metal.
    TouchesMetal,
    /// Crosses an edge.
    Edge,
    /// A grommet is missing.
    NoGrommet,
    /// A clip is missing.
    ClipMissing,
    /// Someone has repaired here before.
    RepairedBefore,
    /// Added after the vehicle was built.
    AddedAfterwards,
    /// Gets wet.
    Wet,
    /// Anything else.
    #[serde(other)]
    Other,
}
