//! By which figures does the watch decide? Those of `assets/values/watch.json`.

use serde_json::Value;

/// The figures. Changes of brightness are differences of natural logarithms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Values {
    /// Brightness that is added before logarithms are taken, of 255: what a camera shows of nothing.
    pub floor: f64,
    /// How long it must look dark to be out, ms.
    pub hold_ms: f64,
    /// How long it learns, ms.
    pub learn_ms: f64,
    /// How long the surround must be itself again after a hand, ms.
    pub settle_ms: f64,
    /// After so long under cover the picture is learned anew, ms.
    pub covered_most_ms: f64,
    /// After so long without a frame likewise, ms.
    pub gap_ms: f64,
    /// The least fall that is dark.
    pub least_drop: f64,
    /// And the least, in multiples of what the lamp dips by its own flicker.
    pub ripple_times: f64,
    /// With more flicker than this nothing can be told.
    pub ripple_most: f64,
    /// A sector that changes more than this against the others is covered.
    pub pattern_moved: f64,
    /// A surround that brightens more than this is changing light.
    pub level_rush: f64,
    /// A surround that darkens at once by more than this is covered.
    pub level_fall: f64,
    /// Time constant of what is learned of the lit lamp as it brightens, ms.
    pub lit_rise_ms: f64,
    /// And as it weakens, ms.
    pub lit_fall_ms: f64,
    /// Time constant of the sectors, ms.
    pub pattern_ms: f64,
    /// Time constant of the surround, ms.
    pub level_ms: f64,
}

impl Values {
    /// As the program ships.
    pub fn shipped() -> Self {
        // Built in: it is read in the tests, and cannot change after.
        let all: Value =
            serde_json::from_str(include_str!(concat!(env!("OUT_DIR"), "/values/watch.json"))).unwrap_or_default();
        let of = |name: &str| all.get(name).and_then(Value::as_f64).unwrap_or_default();
        Self {
            floor: of("floor"),
            hold_ms: of("hold_ms"),
            learn_ms: of("learn_ms"),
            settle_ms: of("settle_ms"),
            covered_most_ms: of("covered_most_ms"),
            gap_ms: of("gap_ms"),
            least_drop: of("least_drop"),
            ripple_times: of("ripple_times"),
            ripple_most: of("ripple_most"),
            pattern_moved: of("pattern_moved"),
            level_rush: of("level_rush"),
            level_fall: of("level_fall"),
            lit_rise_ms: of("lit_rise_ms"),
            lit_fall_ms: of("lit_fall_ms"),
            pattern_ms: of("pattern_ms"),
            level_ms: of("level_ms"),
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_of_the_file_is_read() {
        let all: Value = serde_json::from_str(include_str!("../../assets/values/watch.json")).unwrap();
        let read = format!("{:?}", Values::shipped());
        for (name, figure) in all.as_object().unwrap().iter().filter(|(name, _)| *name != "source") {
            assert!(read.contains(&format!("{name}: {:?}", figure.as_f64().unwrap())), "{name}: {read}");
        }
        assert_eq!(all.as_object().unwrap().len() - 1, read.matches(": ").count());
    }
}
