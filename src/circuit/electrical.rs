//! Which constants does the electrical model stand on, and where does each come from?
//!
//! Read once from `assets/values/electrical.json`, which is built into the program.

use std::sync::LazyLock;

use crate::table::entries;

use crate::circuit::file::{FuseStyle, LoadKind};

/// A figure and where it comes from.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Sourced {
    /// The figure, in the unit that its field's name or doc states.
    pub value: f64,
    /// A named source, `from memory`, or `common practice, no source`.
    pub source: String,
}

/// All constants of the electrical model.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Values {
    /// The metal of the wires.
    pub copper: Copper,
    /// Usual wire size by current.
    pub wire_size: WireSizes,
    /// How much heat a wire takes.
    pub wire_heating: WireHeating,
    /// Curves and resistances of fuses.
    pub fuses: Fuses,
    /// How a rubbing wire touches.
    pub touch: Touch,
    /// How much lower loads measure when they are not running.
    pub cold_loads: ColdLoads,
    /// A lamp in place of the fuse.
    pub limiting_lamp: LimitingLampValues,
    /// How far things are off what they should be.
    pub tolerance: Tolerances,
}

/// The metal of the wires.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Copper {
    /// Resistivity, Ω·mm²/m.
    pub ohm_mm2_per_m: Sourced,
    /// Temperature coefficient, 1/K.
    pub per_kelvin: Sourced,
    /// Temperature at which both hold, °C.
    pub reference_c: Sourced,
}

/// Usual wire size by current.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct WireSizes {
    /// Where the table comes from.
    pub source: String,
    /// By rising current.
    pub rows: Vec<WireSize>,
}

/// A row of the table of wire sizes.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct WireSize {
    /// Largest current, A.
    pub up_to_a: f64,
    /// Cross-section, mm².
    pub area_mm2: f64,
}

/// How much heat a wire takes before its insulation suffers.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct WireHeating {
    /// k of t = k²S²/I², A·s½/mm².
    pub k: Sourced,
    /// Longest time for which that formula stands, s.
    pub longest_s: Sourced,
    /// K of IEC 60949 for copper, A·s½/mm².
    pub iec60949_k: Sourced,
    /// β of IEC 60949 for copper, K.
    pub iec60949_beta_c: Sourced,
    /// How warm a wire is when a short begins, °C.
    pub start_c: Sourced,
    /// What its insulation takes for a short time, °C.
    pub limit_c: Sourced,
    /// What wires carry for good.
    pub carries: Carried,
}

/// What wires carry for good.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Carried {
    /// Where the table comes from.
    pub source: String,
    /// By rising size.
    pub rows: Vec<CarriedBy>,
}

/// What a wire of one size carries.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct CarriedBy {
    /// Cross-section, mm².
    pub area_mm2: f64,
    /// Current, A.
    pub amps: f64,
}

/// Fuses by style.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Fuses {
    /// ISO 8820-3 type C.
    pub blade: FuseValues,
    /// ISO 8820-3 type F.
    pub mini: FuseValues,
    /// ISO 8820-3 type E.
    pub maxi: FuseValues,
    /// ISO 8820-4 type A.
    pub cartridge: FuseValues,
    /// SAE J553 type I.
    pub breaker: FuseValues,
}

impl Fuses {
    /// What is known of a style.
    pub fn of(&self, style: FuseStyle) -> &FuseValues {
        match style {
            FuseStyle::Blade => &self.blade,
            FuseStyle::Mini => &self.mini,
            FuseStyle::Maxi => &self.maxi,
            FuseStyle::Cartridge => &self.cartridge,
            FuseStyle::Breaker => &self.breaker,
        }
    }
}

/// What is known of one style of fuse.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct FuseValues {
    /// Gates of the time-current curve by rising ratio. Sources that differ stand as rows of the same ratio.
    pub gates: Vec<GateRow>,
    /// Cold resistances by rising rating.
    pub cold: Vec<ColdFuse>,
    /// What happens in it when it opens.
    pub opens: Opens,
}

/// What happens in a fuse when it opens.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(rename_all = "snake_case"))]
pub enum Opens {
    /// A link melts: the I²t to melting in a hard short, by rising rating.
    ByMelting(Vec<MeltingFuse>),
    /// A bimetal bends and bends back. There is no I²t to melting.
    ByBimetal,
}

/// The I²t to melting of a fuse.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct MeltingFuse {
    /// Rating, A.
    pub rating_a: f64,
    /// I²t, A²s.
    pub a2s: f64,
    /// Where it comes from.
    pub source: String,
}

/// A gate as one source states it: at this current the fuse opens between these times.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct GateRow {
    /// Current over rating.
    pub ratio: f64,
    /// Shortest opening time, s, if the source states one.
    pub min_s: Option<f64>,
    /// Longest opening time, s, if the source states one.
    pub max_s: Option<f64>,
    /// The ratings that it is for, A. None: all.
    pub only_a: Option<Vec<f64>>,
    /// Where it comes from.
    pub source: String,
}

/// The cold resistance of a fuse.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct ColdFuse {
    /// Rating, A.
    pub rating_a: f64,
    /// Resistance, Ω.
    pub ohms: f64,
    /// Where it comes from.
    pub source: String,
}

/// How a rubbing wire touches: an assumption, not a measurement.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Touch {
    /// Shortest touch, s.
    pub shortest_s: Sourced,
    /// Longest touch, s.
    pub longest_s: Sourced,
    /// Resistance of the touch, Ω.
    pub ohms: Sourced,
}

/// Running resistance over resistance at rest, by class of load. Other classes measure as they run.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct ColdLoads {
    /// Filament lamps.
    pub filament_lamp: ColdLoad,
    /// Motors at a standstill.
    pub motor: ColdLoad,
}

/// Running resistance over resistance at rest, and between which bounds sources put it.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct ColdLoad {
    /// The ratio that is reckoned with.
    pub value: f64,
    /// The smallest stated.
    pub least: f64,
    /// The largest stated.
    pub most: f64,
    /// Where they come from.
    pub source: String,
}

/// A lamp in place of the fuse.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct LimitingLampValues {
    /// The exponent of the voltage's ratio that gives the current's.
    pub current_exponent: Sourced,
    /// From this share of its rated voltage on it is bright.
    pub bright_from: Sourced,
    /// From this share of its rated voltage on it glows.
    pub dim_from: Sourced,
}

/// How far resistances are off what they should be, as a fraction to either side.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Tolerances {
    /// A wire's resistance per metre.
    pub wire: Sourced,
    /// The last digit of a voltmeter, V, not a fraction.
    pub voltmeter_v: Sourced,
    /// What an ohmmeter can be off at low resistances, Ω, not a fraction.
    pub ohmmeter_ohms: Sourced,
    /// The contact of a switch or relay.
    pub contact: Sourced,
    /// Incandescent lamps.
    pub filament_lamp: Sourced,
    /// Light-emitting diodes.
    pub led_lamp: Sourced,
    /// Motors, running.
    pub motor: Sourced,
    /// Heating elements.
    pub heater: Sourced,
    /// Relay coils.
    pub relay_coil: Sourced,
    /// Solenoid valves, lock actuators.
    pub solenoid: Sourced,
    /// Control units.
    pub module: Sourced,
    /// Sensors.
    pub sensor: Sourced,
    /// Horns, buzzers.
    pub sounder: Sourced,
    /// Sockets that others plug into.
    pub socket: Sourced,
    /// Plain resistances.
    pub resistor: Sourced,
}

impl Tolerances {
    /// That of a class of load, running.
    pub fn of(&self, kind: LoadKind) -> f64 {
        let sourced = match kind {
            LoadKind::FilamentLamp => &self.filament_lamp,
            LoadKind::LedLamp => &self.led_lamp,
            LoadKind::Motor => &self.motor,
            LoadKind::Heater => &self.heater,
            LoadKind::RelayCoil => &self.relay_coil,
            LoadKind::Solenoid => &self.solenoid,
            LoadKind::Module => &self.module,
            LoadKind::Sensor => &self.sensor,
            LoadKind::Sounder => &self.sounder,
            LoadKind::Socket => &self.socket,
            LoadKind::Resistor => &self.resistor,
        };
        sourced.value
    }
}

/// The constants.
pub fn values() -> &'static Values {
    #[allow(clippy::expect_used, reason = "built into the program; a test reads it")]
    static VALUES: LazyLock<Values> = LazyLock::new(|| {
        crate::table::read(include_str!(concat!(env!("OUT_DIR"), "/values/electrical.json")))
            .expect("electrical.json is sound")
    });
    &VALUES
}

impl crate::table::Entry for Opens {
    fn read(value: &serde_json::Value) -> Option<Self> {
        match value.get("by_melting") {
            Some(rows) => Some(Self::ByMelting(crate::table::Entry::read(rows)?)),
            None => (value.as_str()? == "by_bimetal").then_some(Self::ByBimetal),
        }
    }
}

entries! {
    Sourced { value, source }
    Values { copper, wire_size, wire_heating, fuses, touch, cold_loads, limiting_lamp, tolerance }
    Copper { ohm_mm2_per_m, per_kelvin, reference_c }
    WireSizes { source, rows }
    WireSize { up_to_a, area_mm2 }
    WireHeating { k, longest_s, iec60949_k, iec60949_beta_c, start_c, limit_c, carries }
    Carried { source, rows }
    CarriedBy { area_mm2, amps }
    Fuses { blade, mini, maxi, cartridge, breaker }
    FuseValues { gates, cold, opens }
    MeltingFuse { rating_a, a2s, source }
    GateRow { ratio, min_s, max_s, only_a, source }
    ColdFuse { rating_a, ohms, source }
    Touch { shortest_s, longest_s, ohms }
    ColdLoads { filament_lamp, motor }
    ColdLoad { value, least, most, source }
    LimitingLampValues { current_exponent, bright_from, dim_from }
    Tolerances { wire, voltmeter_v, ohmmeter_ohms, contact, filament_lamp, led_lamp, motor, heater, relay_coil, solenoid, module, sensor, sounder, socket, resistor }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn tables_rise_and_every_figure_is_positive() {
        let values = values();
        assert!(values.wire_size.rows.is_sorted_by(|a, b| a.up_to_a < b.up_to_a && a.area_mm2 < b.area_mm2));
        for style in FuseStyle::ALL {
            let fuse = values.fuses.of(style);
            assert!(fuse.gates.is_sorted_by(|a, b| a.ratio <= b.ratio), "{style:?}");
            assert!(fuse.cold.is_sorted_by(|a, b| a.rating_a < b.rating_a && a.ohms > b.ohms), "{style:?}");
            match &fuse.opens {
                Opens::ByMelting(rows) => {
                    assert!(!rows.is_empty() && !style.resets(), "{style:?}");
                    assert!(rows.is_sorted_by(|a, b| a.rating_a < b.rating_a && a.a2s < b.a2s), "{style:?}");
                }
                Opens::ByBimetal => assert!(style.resets(), "{style:?}"),
            }
            assert!(fuse.cold.len() >= 2, "interpolation needs two ratings: {style:?}");
            assert!(fuse.gates.iter().all(|gate| gate.min_s.or(gate.max_s).is_some_and(|time| time > 0.0)));
            assert!(
                fuse.gates[0].only_a.is_none() && fuse.gates[0].max_s.is_none(),
                "the first gate is the holding current"
            );
        }
        let carries = &values.wire_heating.carries.rows;
        assert!(carries.len() >= 2 && carries.is_sorted_by(|a, b| a.area_mm2 < b.area_mm2 && a.amps < b.amps));
        for cold in [&values.cold_loads.filament_lamp, &values.cold_loads.motor] {
            assert!(1.0 < cold.least && cold.least <= cold.value && cold.value <= cold.most, "{cold:?}");
        }
        assert!(0.0 < values.touch.shortest_s.value && values.touch.shortest_s.value < values.touch.longest_s.value);
    }

    #[test]
    fn the_table_is_what_a_strict_reader_makes_of_the_file() {
        let strict: Values = serde_json::from_str(include_str!("../../assets/values/electrical.json")).unwrap();
        assert_eq!(*values(), strict);
    }

    #[test]
    fn nothing_is_without_a_source() {
        let text = include_str!("../../assets/values/electrical.json");
        let tree: serde_json::Value = serde_json::from_str(text).unwrap();
        fn empty_sources(tree: &serde_json::Value) -> usize {
            match tree {
                serde_json::Value::Object(map) => {
                    let own = map.get("source").is_some_and(|source| source.as_str().is_none_or(str::is_empty));
                    usize::from(own) + map.values().map(empty_sources).sum::<usize>()
                }
                serde_json::Value::Array(rows) => rows.iter().map(empty_sources).sum(),
                _ => 0,
            }
        }
        assert_eq!(empty_sources(&tree), 0);
    }
}
