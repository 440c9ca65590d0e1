//! What resistance has a wire, which wire suits a current, what heat does it take?

use crate::circuit::electrical::values;
use crate::units::{Amps, Metres, Ohms, Seconds, SquareMillimetres};

/// The resistance of a copper wire at a temperature in °C (03-formats §1).
///
/// ```
/// use loomwalk::circuit::wire;
/// use loomwalk::units::{Metres, SquareMillimetres};
/// let ohms = wire::resistance(Metres(1.0), SquareMillimetres(0.5), 20.0);
/// assert!((ohms.0 - 0.034482).abs() < 1e-9);
/// ```
pub fn resistance(length: Metres, area: SquareMillimetres, temp_c: f64) -> Ohms {
    let copper = &values().copper;
    let warm = 1.0 + copper.per_kelvin.value * (temp_c - copper.reference_c.value);
    Ohms(length.0 * copper.ohm_mm2_per_m.value / area.0 * warm)
}

/// The cross-section of an American wire gauge: diameter 0.127 mm × 92^((36 − n)/39) (ASTM B258).
///
/// 0 is 1/0, −1 is 2/0 and so on.
pub fn area_of_awg(gauge: f64) -> SquareMillimetres {
    let diameter_mm = 0.127 * 92_f64.powf((36.0 - gauge) / 39.0);
    SquareMillimetres(std::f64::consts::PI / 4.0 * diameter_mm * diameter_mm)
}

/// The usual cross-section for a current (common practice, no source). Above the table: its largest.
pub fn area_for(current: Amps) -> SquareMillimetres {
    let rows = &values().wire_size.rows;
    let row = rows.iter().find(|row| current.0 <= row.up_to_a).or(rows.last());
    SquareMillimetres(row.map_or(1.0, |row| row.area_mm2))
}

/// How long a wire takes a current before its insulation suffers, if all heat stays in it: t = k²S²/I².
///
/// `None` where that is longer than the formula stands for (5 s), because heat then leaves the wire.
pub fn withstands(area: SquareMillimetres, current: Amps) -> Option<Seconds> {
    let heating = &values().wire_heating;
    let seconds = (heating.k.value * area.0 / current.0).powi(2);
    (seconds <= heating.longest_s.value).then_some(Seconds(seconds))
}
