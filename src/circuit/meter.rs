//! What should an ohmmeter read from the fuse's load terminal to ground, with the fuse out?
//!
//! A lamp measures a tenth of what it takes when lit, so a low reading through lamps is no short. The reading is
//! computed with all loads connected and again without each of them.

use crate::circuit::electrical::values;
use crate::circuit::file::LoadKind;
use crate::circuit::harness::{Harness, HarnessLoad, NodeIx};
use crate::circuit::network::{NetworkError, solve};
use crate::ids::{Condition, LoadId};
use crate::units::Ohms;

/// What a meter at the open fuse should read.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// With everything connected. `None`: nothing leads to ground, the meter shows an open circuit.
    pub all: Option<Ohms>,
    /// With that load unplugged, in the order of the harness: only loads that take current in this state.
    pub without: Vec<(LoadId, Option<Ohms>)>,
}

/// The resistance of a load at rest: a filament cold, a motor at a standstill, anything else as it runs.
pub fn cold_resistance(kind: LoadKind, running: Ohms) -> Ohms {
    let cold = &values().cold_loads;
    match kind {
        LoadKind::FilamentLamp => Ohms(running.0 / cold.filament_lamp.value),
        LoadKind::Motor => Ohms(running.0 / cold.motor.value),
        _ => running,
    }
}

/// What a meter reads from the fuse's load terminal to ground, with switches as in that state and the fuse out.
///
/// # Errors
///
/// [`NetworkError`]: the circuit cannot be computed.
pub fn reading(harness: &Harness, state: &[Condition]) -> Result<Reading, NetworkError> {
    let mut cold = harness.clone();
    // The meter feeds the circuit itself, whatever the supply would do in this state.
    cold.source.live_when.clear();
    for load in &mut cold.loads {
        load.ohms = cold_resistance(load.kind, load.ohms);
    }
    let all = resistance(&cold, state)?;
    let takes_current = |load: &HarnessLoad| crate::circuit::network::holds(&load.live_when, state);
    let mut without = Vec::new();
    for at in (0..cold.loads.len()).filter(|&at| takes_current(&harness.loads[at])) {
        let load = cold.loads.remove(at);
        without.push((load.id.clone(), resistance(&cold, state)?));
        cold.loads.insert(at, load);
    }
    Ok(Reading { all, without })
}

/// Volts at the fuse over current through it: the source's own resistance has no part in it.
fn resistance(harness: &Harness, state: &[Condition]) -> Result<Option<Ohms>, NetworkError> {
    let solved = solve(harness, state)?;
    let current = solved.fuse_current().0;
    Ok((current > 0.0).then(|| Ohms(solved.volts(NodeIx::FUSE).0 / current)))
}
