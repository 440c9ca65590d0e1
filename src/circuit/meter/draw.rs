//! What should the fuse carry with everything of a state on, and what voltage is left at each load?

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::tolerance::{Corner, Figure};
use crate::circuit::harness::Harness;
use crate::circuit::network::{NetworkError, Solved, holds, solve};
use crate::ids::{Condition, LoadId};

/// What flows with everything of a state on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Draw {
    /// Through the fuse, A. Its range is exact.
    pub fuse_a: Figure,
    /// The loads that are on, in the order of the harness.
    pub loads: Vec<LoadDraw>,
}

/// A load that is on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LoadDraw {
    /// The load.
    pub id: LoadId,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub label: String,
    /// Its current, A.
    pub amps: Figure,
    /// The voltage across it, V.
    pub volts: Figure,
    /// Lost before it, V: from the battery's open-circuit voltage to its feed terminal.
    pub feed_drop_v: f64,
    /// Lost behind it, V: its return terminal to ground.
    pub return_drop_v: f64,
}

/// What flows with all loads of a state running.
///
/// The ranges of loads are exact where loads stand side by side: there the most voltage comes from the thickest wires
/// and the weakest other loads. For loads in series they are those of the two outermost circuits only.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed.
pub fn draw(harness: &Harness, state: &[Condition]) -> Result<Draw, NetworkError> {
    let stated = solve(harness, state)?;
    let fuse = |corner: Corner| Ok(solve(&corner.running(harness), state)?.fuse_current().0);
    let strong = solve(&weak_loads(harness, Corner::Least), state)?;
    let weak = solve(&weak_loads(harness, Corner::Most), state)?;
    let on = harness.loads.iter().filter(|load| holds(&load.live_when, state) && stated.is_live(load.feed));
    let loads = on.map(|load| {
        let volts = |solved: &Solved| solved.load_volts(load).0;
        let volts = ordered(volts(&stated), volts(&strong), volts(&weak));
        let ohms = super::running_ohms(load.kind, load.ohms);
        LoadDraw {
            id: load.id.clone(),
            label: load.label.clone(),
            amps: ordered(volts.value / ohms.value, volts.least / ohms.most, volts.most / ohms.least),
            volts,
            feed_drop_v: harness.source.volts - stated.volts(load.feed).0,
            return_drop_v: stated.volts(load.return_).0,
        }
    });
    Ok(Draw {
        fuse_a: ordered(stated.fuse_current().0, fuse(Corner::Most)?, fuse(Corner::Least)?),
        loads: loads.collect(),
    })
}

/// Wires at one corner and loads at the other.
fn weak_loads(harness: &Harness, wires: Corner) -> Harness {
    let loads = if wires == Corner::Least { Corner::Most } else { Corner::Least };
    let mut at = wires.running(harness);
    let other = loads.running(harness);
    at.loads.iter_mut().zip(other.loads).for_each(|(load, other)| load.ohms = other.ohms);
    at
}

pub(super) fn ordered(value: f64, one: f64, other: f64) -> Figure {
    Figure { value, least: one.min(other).min(value), most: one.max(other).max(value) }
}
