//! Between which resistances can each part of a circuit lie?
//!
//! What a network draws at its terminals never falls when any one of its resistances falls (Rayleigh's
//! monotonicity law). So the circuit with every resistance at its least, and the one with every resistance at its
//! most, bound what can be measured at the fuse: no other mixture lies outside.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::circuit::electrical::{ColdLoad, values};
use crate::circuit::file::LoadKind;
use crate::circuit::harness::{Harness, HarnessLoad};
use crate::units::Ohms;

/// A computed figure with the range that the tolerances leave.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Figure {
    /// With everything as stated.
    pub value: f64,
    /// The least it can be.
    pub least: f64,
    /// The most it can be.
    pub most: f64,
}

/// What a load is to an ohmmeter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AtRest {
    /// A filament is cold.
    ColdFilament,
    /// A motor stands still: the same resistance as when it is jammed.
    Standstill,
    /// It measures as it runs. Heating elements too: those of vehicles change little, but for some sensor heaters.
    AsRunning,
    /// Such a heater: it measures less while it is cold, and as it runs right after.
    ColdHeater,
    /// The meter's volt or so may not switch it on: it measures as it runs, or much more, or nothing at all.
    MayNotConduct,
}

impl AtRest {
    /// What a load is.
    pub fn of(load: &HarnessLoad) -> Self {
        if load.at_rest.is_some() { Self::ColdHeater } else { Self::of_class(load.kind) }
    }

    fn of_class(kind: LoadKind) -> Self {
        match kind {
            LoadKind::FilamentLamp => Self::ColdFilament,
            LoadKind::Motor => Self::Standstill,
            LoadKind::LedLamp | LoadKind::Module | LoadKind::Sensor => Self::MayNotConduct,
            LoadKind::Heater
            | LoadKind::RelayCoil
            | LoadKind::Solenoid
            | LoadKind::Sounder
            | LoadKind::Socket
            | LoadKind::Resistor => Self::AsRunning,
        }
    }

    fn ratio(self) -> Option<&'static ColdLoad> {
        let cold = &values().cold_loads;
        match self {
            Self::ColdFilament => Some(&cold.filament_lamp),
            Self::Standstill => Some(&cold.motor),
            Self::AsRunning | Self::ColdHeater | Self::MayNotConduct => None,
        }
    }
}

/// The resistance of a load as it runs, Ω.
pub fn running_ohms(kind: LoadKind, running: Ohms) -> Figure {
    around(running.0, values().tolerance.of(kind))
}

/// The resistance of a load at rest, Ω. One that is less while it is cold may still be warm.
pub fn at_rest_ohms(load: &HarnessLoad) -> Figure {
    let by_class = cold_ohms(load.kind, load.ohms);
    load.at_rest.map_or(by_class, |at_rest| {
        let cold = running_ohms(load.kind, at_rest);
        Figure { most: cold.most.max(by_class.most), ..cold }
    })
}

/// The resistance at rest of a class of load, Ω: a filament cold, a motor at a standstill, anything else as it runs.
pub fn cold_ohms(kind: LoadKind, running: Ohms) -> Figure {
    let Figure { value, least, most } = running_ohms(kind, running);
    match AtRest::of_class(kind).ratio() {
        Some(cold) => Figure { value: value / cold.value, least: least / cold.most, most: most / cold.least },
        None => Figure { value, least, most },
    }
}

/// The nominal resistance at rest of a class of load. See [`cold_ohms`].
pub fn cold_resistance(kind: LoadKind, running: Ohms) -> Ohms {
    Ohms(cold_ohms(kind, running).value)
}

fn around(value: f64, tolerance: f64) -> Figure {
    Figure { value, least: value * (1.0 - tolerance), most: value * (1.0 + tolerance) }
}

/// Which end of every tolerance is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Corner {
    Stated,
    Least,
    Most,
}

impl Corner {
    pub(super) fn of(self, figure: Figure) -> f64 {
        match self {
            Self::Stated => figure.value,
            Self::Least => figure.least,
            Self::Most => figure.most,
        }
    }

    /// The harness with its wires and contacts at that corner. The source counts as stated.
    fn wires(self, harness: &Harness) -> Harness {
        let tolerance = &values().tolerance;
        let mut at = harness.clone();
        at.runs.iter_mut().for_each(|run| run.ohms.0 = self.of(around(run.ohms.0, tolerance.wire.value)));
        at.switches
            .iter_mut()
            .for_each(|switch| switch.ohms.0 = self.of(around(switch.ohms.0, tolerance.contact.value)));
        at
    }

    /// The harness with its loads running.
    pub(super) fn running(self, harness: &Harness) -> Harness {
        let mut at = self.wires(harness);
        at.loads.iter_mut().for_each(|load| load.ohms.0 = self.of(running_ohms(load.kind, load.ohms)));
        at
    }

    /// The harness with its loads at rest, fed by a meter: it is on whatever the supply would do.
    pub(super) fn cold(self, harness: &Harness) -> Harness {
        let mut at = self.wires(harness);
        at.source.live_when.clear();
        if self == Self::Most {
            at.loads.retain(|load| AtRest::of(load) != AtRest::MayNotConduct);
        }
        at.loads.iter_mut().for_each(|load| load.ohms.0 = self.of(at_rest_ohms(load)));
        at
    }
}
