//! What should a technician's meter show on this circuit?
//!
//! - [`reading`], [`in_turn`]: ohms at the open fuse, with everything connected and as things are unplugged.
//! - [`draw`]: amperes and volts with everything of a state on, all loads running.
//! - [`stalled`]: the same with one motor jammed, and whether that opens the fuse.
//! - [`distance`]: metres to a hard short, by the voltage that is lost on the wire.
//! - [`compare`]: what it means when an ohmmeter shows something else.
//! - [`meter`]: all of it, the output of `loomwalk meter`.

mod compare;
mod distance;
mod draw;
mod reading;
mod stalled;
mod tolerance;

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::file::LoadKind;
use crate::circuit::harness::{Harness, HarnessLoad};
use crate::circuit::network::NetworkError;
use crate::circuit::unplug::{UnplugError, Unplugged, without};
use crate::ids::{Condition, LoadId};

pub use compare::{Beyond, CompareError, Compared, Shown, compare, explained_by, is_a_short, would_show_a_short};
pub use distance::{Distance, DistanceError, End, distance, fed_end, measurable, usual_resolution};
pub use draw::{Draw, LoadDraw, draw};
pub use reading::{MeterOhms, Reading, Without, but, connected, in_turn, leading_on, ohms_text, reading};
pub use stalled::{FuseDoes, Jams, Stalled, stalled, stalled_alone};
pub use tolerance::{AtRest, Figure, at_rest_ohms, cold_ohms, cold_resistance, running_ohms};

/// The value of `format` in the output.
pub const FORMAT: &str = "loomwalk/meter";
/// Its version.
pub const VERSION: u32 = 1;

/// Why a meter's figures cannot be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeterError {
    /// The circuit cannot be computed.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// Something cannot be unplugged.
    #[error(transparent)]
    Unplug(#[from] UnplugError),
}

/// What a meter should show, in one operating state.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Meter {
    /// Always `loomwalk/meter`.
    pub format: String,
    /// 1.
    pub version: u32,
    /// Conditions that hold.
    pub state: Vec<Condition>,
    /// Airbag and belt-tensioner loads: where there are any, no ohmmeter goes on this circuit, and `reading` and
    /// `unplugged` are not to be shown to anyone who could measure them.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub never_live: BTreeSet<LoadId>,
    /// The loads, running and at rest, in the order of the harness.
    pub loads: Vec<LoadOhms>,
    /// Ohms from the open fuse's load terminal to ground, loads at rest.
    pub reading: Reading,
    /// The same after each of these was unplugged in turn, and stays so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unplugged: Vec<Without>,
    /// Amperes with everything of the state on, but what was unplugged in turn.
    pub draw: Draw,
    /// What the fuse carries with one motor jammed and all else of the state running, where it was asked for. Without
    /// what was unplugged in turn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stalled: Option<Jams>,
    /// How far along a run a hard short is, if a measured voltage was handed in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<Distance>,
}

/// A load's resistances.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LoadOhms {
    /// The load.
    pub id: LoadId,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// Its class.
    pub kind: LoadKind,
    /// As it runs, Ω: what the draw is computed with.
    pub running_ohms: Figure,
    /// At rest, Ω: what the reading is computed with.
    pub cold_ohms: Figure,
    /// What it is to an ohmmeter.
    pub at_rest: AtRest,
}

/// All that a meter should show in a state, while those things are unplugged in turn.
///
/// # Errors
///
/// [`MeterError`]: something is not there to be unplugged, or the circuit cannot be computed.
pub fn meter(harness: &Harness, state: &[Condition], unplugged: &[Unplugged]) -> Result<Meter, MeterError> {
    let left = unplugged.iter().try_fold(harness.clone(), |left, what| without(&left, what))?;
    let of_load = |load: &HarnessLoad| LoadOhms {
        id: load.id.clone(),
        label: load.label.clone(),
        kind: load.kind,
        running_ohms: running_ohms(load.kind, load.ohms),
        cold_ohms: at_rest_ohms(load),
        at_rest: AtRest::of(load),
    };
    Ok(Meter {
        format: FORMAT.to_owned(),
        version: VERSION,
        state: state.to_vec(),
        never_live: BTreeSet::new(),
        loads: harness.loads.iter().map(of_load).collect(),
        reading: reading(harness, state)?,
        unplugged: in_turn(harness, state, unplugged)?,
        draw: draw(&left, state)?,
        stalled: None,
        distance: None,
    })
}
