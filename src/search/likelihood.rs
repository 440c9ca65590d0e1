//! How much does a thing speak for a place? The tables of `assets/values/likelihood.json`, typed.

use std::sync::LazyLock;

use crate::table::entries;

use crate::circuit::file::MarkKind;
use crate::ids::ZoneId;
use crate::search::electrics::Showed;
use crate::search::evidence::{Heat, Motion, Seen};
use crate::vehicle::body::{Exposures, PassageKind};

/// One factor for each exposure level, 0 (none) to 3 (most).
pub type ByLevel = [f64; 4];

/// The tables. Every section of the file names its source.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Likelihood {
    /// What the whole file rests on.
    pub source: String,
    /// What exposures do to a place.
    pub exposure: ByExposure,
    /// What a place counts before its exposures.
    pub base: Base,
    /// What a mark adds.
    pub mark: Marks,
    /// What a usual suspect adds.
    pub suspect: Suspicion,
    /// How a look goes where the zone map does not say.
    pub look: Looks,
    /// The chance that the place is on none of the points.
    pub not_listed: NotListed,
    /// What is likely wrong when the places no longer explain what was seen.
    pub doubt: Doubts,
    /// How often a true place opens the fuse.
    pub rate: Rate,
    /// What the vehicle's movement provokes.
    pub motion: Motions,
    /// What warmth provokes.
    pub warmth: Warmth,
    /// What a look says.
    pub seen: Looked,
    /// What a press says.
    pub press: Press,
    /// What an ohmmeter says.
    pub meter: Metered,
    /// What a bare place says of places close to it.
    pub second: Second,
    /// Bounds of the chance that a touch opens the fuse.
    pub touch: Touch,
    /// What tests take.
    pub test: TestTimes,
    /// What closed jobs change.
    pub learned: Learned,
}

/// Multipliers by exposure.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
#[expect(missing_docs, reason = "the fields are those of `Exposures`")]
pub struct ByExposure {
    pub source: String,
    pub heat: ByLevel,
    pub movement: ByLevel,
    pub vibration: ByLevel,
    pub edges: ByLevel,
    pub water: ByLevel,
    pub disturbance: ByLevel,
}

/// Weights before exposures; a metre of loom in a zone counts 1.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Base {
    /// Where the figures come from.
    pub source: String,
    /// For each metre of loom in a zone.
    pub zone_per_metre: f64,
    /// For a passage.
    pub passage: Passages,
    /// For a plug.
    pub plug: f64,
    /// For a mark, before its kind.
    pub mark: f64,
}

/// Weights of passages.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
#[expect(missing_docs, reason = "the fields are those of `PassageKind`")]
pub struct Passages {
    pub open: f64,
    pub grommet: f64,
    pub hinge_boot: f64,
    pub seat_loop: f64,
    pub frame_hole: f64,
    pub column_loop: f64,
    pub outside_plug: f64,
}

/// Multipliers of marks.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
#[expect(missing_docs, reason = "the fields are those of `MarkKind`")]
pub struct Marks {
    pub source: String,
    pub heat: f64,
    pub moves: f64,
    pub touches_metal: f64,
    pub edge: f64,
    pub no_grommet: f64,
    pub clip_missing: f64,
    pub repaired_before: f64,
    pub added_afterwards: f64,
    pub wet: f64,
    pub other: f64,
}

/// What a usual suspect adds.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Suspicion {
    /// Where the figure comes from.
    pub source: String,
    /// Multiplier of a wire that leads to nothing but a load whose lead often gives trouble.
    pub lead: f64,
}

/// How a look goes where the zone map does not say.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Looks {
    /// Where the figures come from.
    pub source: String,
    /// No look sees damage with a greater chance than this.
    pub detect_most: f64,
    /// Chance that a look aimed at one contact place sees damage there.
    pub directed: f64,
    /// Minutes to look at a mark.
    pub mark_minutes: f64,
    /// Minutes to look at a plug.
    pub plug_minutes: f64,
    /// Minutes to look at a place that the zone map does not know.
    pub unknown_minutes: f64,
    /// Chance that a look there sees damage.
    pub unknown_detect: f64,
}

/// The place is on none of the points.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct NotListed {
    /// Where the figure comes from.
    pub source: String,
    /// Chance beforehand, 0..1.
    pub share: f64,
}

/// What is likely wrong when the places no longer explain what was seen. The weights order the doubts; they are no
/// chances.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Doubts {
    /// Where the figures come from.
    pub source: String,
    /// They are told once the chance of "not listed" is above this.
    pub from: f64,
    /// That much of the chance beforehand is most of it.
    pub most: f64,
    /// A sign multiplies a weight by this,
    pub sign: f64,
    /// a strong one by this.
    pub strong_sign: f64,
    /// Weight beforehand: the wrong circuit.
    pub wrong_fuse: f64,
    /// A load that is not on the list.
    pub load_missing: f64,
    /// A wire that goes another way.
    pub other_way: f64,
    /// Two faults.
    pub second_fault: f64,
    /// A load that is shorted inside.
    pub inside_load: f64,
    /// An observation that was noted wrong.
    pub noted_wrong: f64,
}

/// Gamma distribution of the rate at which a true place opens the fuse while provoked.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Rate {
    /// Where the figures come from.
    pub source: String,
    /// Shape: the weight of the assumption, in blows.
    pub shape: f64,
    /// Inverse scale: the minutes in which `shape` blows are expected.
    pub minutes: f64,
    /// Where a fresh fuse opens at once: how many minutes it counts that it held with something unplugged.
    pub at_once_minutes: f64,
}

/// What the vehicle's movement provokes.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
#[expect(missing_docs, reason = "the fields are those of `Motion`")]
pub struct Motions {
    pub source: String,
    pub still: Provoked,
    pub smooth: Provoked,
    pub rough: Provoked,
    pub turning: Provoked,
    pub door_moved: Provoked,
    /// Zones that swing on hinges.
    pub hinged_zones: Vec<ZoneId>,
}

/// Multipliers of the rate in one way of moving.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Provoked {
    /// By exposure to movement.
    pub movement: ByLevel,
    /// By exposure to vibration.
    pub vibration: ByLevel,
    /// For places that do not swing on a hinge, and for those that do.
    pub hinged: [f64; 2],
}

/// What warmth provokes, by exposure to heat.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
#[expect(missing_docs, reason = "the fields are those of `Heat`")]
pub struct Warmth {
    pub source: String,
    pub cold: ByLevel,
    pub warm: ByLevel,
    pub hot: ByLevel,
}

/// How many times likelier damage is seen at the place than elsewhere.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
#[expect(missing_docs, reason = "the fields are those of `Seen`")]
pub struct Looked {
    pub source: String,
    pub marked: f64,
    pub thinned: f64,
    pub bare: f64,
    pub severed: f64,
}

/// What a press says.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Press {
    /// Where the figures come from.
    pub source: String,
    /// Chance that one press at the true place opens the fuse.
    pub reproduces: f64,
    /// Chance that the fuse opens by chance during a press elsewhere.
    pub by_chance: f64,
    /// No more presses than this count in one place.
    pub counted_most: u32,
}

/// What an ohmmeter at the open fuse says.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Metered {
    /// Where the figures come from.
    pub source: String,
    /// Chance that the true place touches while it is measured.
    pub touches: f64,
    /// Chance that it shows less than it should though nothing else leads to ground there.
    pub misled: f64,
}

/// What a bare place says of places close to it: how many times likelier a second one is there.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Second {
    /// Where the figures come from.
    pub source: String,
    /// In the same part of the vehicle.
    pub same_part: f64,
    /// On one of its wires.
    pub same_wire: f64,
    /// Where the loom can touch the same edge.
    pub same_edge: f64,
}

/// What tests take.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct TestTimes {
    /// Where the figures come from.
    pub source: String,
    /// Minutes to pull a plug and put it back.
    pub plug_minutes: f64,
    /// Minutes for which the loom is then shaken.
    pub watch_minutes: f64,
    /// Minutes for a round of presses.
    pub press_minutes: f64,
    /// Presses in a round.
    pub presses: u32,
    /// A place less likely than this is not pressed again.
    pub press_from: f64,
    /// Minutes of a drive.
    pub drive_minutes: f64,
    /// Minutes until the vehicle is on the road and back.
    pub ready_minutes: f64,
}

/// What closed jobs change.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Learned {
    /// Where the figure comes from.
    pub source: String,
    /// The weight of the shipped tables, in faults found.
    pub weight: f64,
}

/// What stands in for a chance that cannot be computed, or rests on an assumption alone.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(deny_unknown_fields))]
pub struct Touch {
    /// Where the figures come from.
    pub source: String,
    /// The least chance that a touch opens the fuse where its current can.
    pub least: f64,
    /// Chance that a touch on a live wire opens the fuse.
    pub assumed: f64,
}

/// The tables that the program is built with.
#[allow(clippy::expect_used, reason = "part of the program: a test reads it")]
pub fn tables() -> &'static Likelihood {
    static TABLES: LazyLock<Likelihood> = LazyLock::new(|| {
        crate::table::read(include_str!(concat!(env!("OUT_DIR"), "/values/likelihood.json"))).expect("built-in tables")
    });
    &TABLES
}

fn level(table: &ByLevel, exposure: u8) -> f64 {
    table[usize::from(exposure.min(3))]
}

impl ByExposure {
    /// The multiplier of each exposure, in the order heat, movement, vibration, edges, water, disturbance.
    pub fn factors(&self, of: Exposures) -> [f64; 6] {
        [
            level(&self.heat, of.heat),
            level(&self.movement, of.movement),
            level(&self.vibration, of.vibration),
            level(&self.edges, of.edges),
            level(&self.water, of.water),
            level(&self.disturbance, of.disturbance),
        ]
    }
}

impl Passages {
    /// The weight of a passage of that kind.
    pub fn of(&self, kind: PassageKind) -> f64 {
        match kind {
            PassageKind::Open => self.open,
            PassageKind::Grommet => self.grommet,
            PassageKind::HingeBoot => self.hinge_boot,
            PassageKind::SeatLoop => self.seat_loop,
            PassageKind::FrameHole => self.frame_hole,
            PassageKind::ColumnLoop => self.column_loop,
            PassageKind::OutsidePlug => self.outside_plug,
        }
    }
}

impl Marks {
    /// The multiplier of a mark of that kind.
    pub fn of(&self, kind: MarkKind) -> f64 {
        match kind {
            MarkKind::Heat => self.heat,
            MarkKind::Moves => self.moves,
            MarkKind::TouchesMetal => self.touches_metal,
            MarkKind::Edge => self.edge,
            MarkKind::NoGrommet => self.no_grommet,
            MarkKind::ClipMissing => self.clip_missing,
            MarkKind::RepairedBefore => self.repaired_before,
            MarkKind::AddedAfterwards => self.added_afterwards,
            MarkKind::Wet => self.wet,
            MarkKind::Other => self.other,
        }
    }
}

impl Motions {
    /// How many times its usual rate a place reaches in this way of moving.
    pub fn factor(&self, motion: Motion, of: Exposures, hinged: bool) -> f64 {
        let provoked = match motion {
            Motion::Still => &self.still,
            Motion::Smooth => &self.smooth,
            Motion::Rough => &self.rough,
            Motion::Turning => &self.turning,
            Motion::DoorMoved => &self.door_moved,
        };
        level(&provoked.movement, of.movement)
            * level(&provoked.vibration, of.vibration)
            * provoked.hinged[usize::from(hinged)]
    }
}

impl Warmth {
    /// How many times its usual rate a place reaches at this warmth.
    pub fn factor(&self, heat: Heat, of: Exposures) -> f64 {
        let table = match heat {
            Heat::Cold => &self.cold,
            Heat::Warm => &self.warm,
            Heat::Hot => &self.hot,
        };
        level(table, of.heat)
    }
}

impl Looked {
    /// How many times likelier this is seen at the true place than elsewhere; `detect` is that of the look.
    pub fn factor(&self, seen: Seen, detect: f64) -> f64 {
        match seen {
            Seen::Sound => 1.0 - detect,
            Seen::Marked => self.marked,
            Seen::Thinned => self.thinned,
            Seen::Bare => self.bare,
            Seen::Severed => self.severed,
            Seen::NotSeen => 1.0,
        }
    }
}

impl Metered {
    /// How likely that is where the true place is tied to the fuse, or is not.
    pub fn factor(&self, showed: Showed, tied: bool) -> f64 {
        let less = if tied { self.touches + (1.0 - self.touches) * self.misled } else { self.misled };
        match showed {
            Showed::Less => less,
            Showed::AsExpected => 1.0 - less,
        }
    }
}

impl Press {
    /// The chance that the fuse does not open by chance during so many presses elsewhere.
    pub fn holds_by_chance(&self, presses: u32) -> f64 {
        (1.0 - self.by_chance).powf(f64::from(presses.min(self.counted_most)))
    }

    /// How many times likelier it is at the true place than elsewhere that `presses` presses end this way.
    pub fn factor(&self, opened: bool, presses: u32) -> f64 {
        let held = |chance: f64| (1.0 - chance).powf(f64::from(presses.min(self.counted_most)));
        if opened {
            let presses = presses.max(1);
            let opens = |chance: f64| 1.0 - (1.0 - chance).powf(f64::from(presses.min(self.counted_most)));
            opens(self.reproduces) / opens(self.by_chance)
        } else {
            held(self.reproduces) / held(self.by_chance)
        }
    }
}

entries! {
    Likelihood { source, exposure, base, mark, suspect, look, not_listed, doubt, rate, motion, warmth, seen, press, meter, second, touch, test, learned }
    ByExposure { source, heat, movement, vibration, edges, water, disturbance }
    Base { source, zone_per_metre, passage, plug, mark }
    Passages { open, grommet, hinge_boot, seat_loop, frame_hole, column_loop, outside_plug }
    Marks { source, heat, moves, touches_metal, edge, no_grommet, clip_missing, repaired_before, added_afterwards, wet, other }
    Suspicion { source, lead }
    Looks { source, detect_most, directed, mark_minutes, plug_minutes, unknown_minutes, unknown_detect }
    NotListed { source, share }
    Doubts { source, from, most, sign, strong_sign, wrong_fuse, load_missing, other_way, second_fault, inside_load, noted_wrong }
    Rate { source, shape, minutes, at_once_minutes }
    Motions { source, still, smooth, rough, turning, door_moved, hinged_zones }
    Provoked { movement, vibration, hinged }
    Warmth { source, cold, warm, hot }
    Looked { source, marked, thinned, bare, severed }
    Learned { source, weight }
    Metered { source, touches, misled }
    Second { source, same_part, same_wire, same_edge }
    Press { source, reproduces, by_chance, counted_most }
    TestTimes { source, plug_minutes, watch_minutes, press_minutes, presses, press_from, drive_minutes, ready_minutes }
    Touch { source, least, assumed }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_what_a_strict_reader_makes_of_the_file() {
        let strict: Likelihood = serde_json::from_str(include_str!("../../assets/values/likelihood.json")).unwrap();
        assert_eq!(*tables(), strict);
    }

    #[test]
    fn the_built_in_tables_are_chances_and_positive_factors() {
        let tables = tables();
        let chances = [
            tables.look.detect_most,
            tables.look.directed,
            tables.look.unknown_detect,
            tables.not_listed.share,
            tables.doubt.from,
            tables.doubt.most,
            tables.press.reproduces,
            tables.press.by_chance,
            tables.touch.assumed,
        ];
        assert!(chances.iter().all(|chance| (0.0..=1.0).contains(chance)));
        assert!(tables.suspect.lead >= 1.0);
        assert!(tables.doubt.sign > 1.0 && tables.doubt.strong_sign > tables.doubt.sign);
        assert!(tables.not_listed.share > 0.0 && tables.look.detect_most < 1.0 && tables.press.reproduces < 1.0);
        let most = Exposures { heat: 3, movement: 3, vibration: 3, edges: 3, water: 3, disturbance: 3 };
        for of in [Exposures::default(), most] {
            assert!(tables.exposure.factors(of).iter().all(|factor| *factor > 0.0));
            for motion in [Motion::Still, Motion::Smooth, Motion::Rough, Motion::Turning, Motion::DoorMoved] {
                assert!(tables.motion.factor(motion, of, true) > 0.0 && tables.motion.factor(motion, of, false) > 0.0);
            }
            for heat in [Heat::Cold, Heat::Warm, Heat::Hot] {
                assert!(tables.warmth.factor(heat, of) > 0.0);
            }
        }
    }

    #[test]
    fn more_exposure_never_makes_a_place_less_likely() {
        let table = &tables().exposure;
        for levels in [table.heat, table.movement, table.vibration, table.edges, table.water, table.disturbance] {
            assert!(levels.is_sorted(), "{levels:?}");
        }
    }

    #[test]
    fn worse_looks_and_more_presses_say_more() {
        let Likelihood { seen, press, .. } = tables();
        assert!(seen.factor(Seen::Sound, 0.7) < seen.factor(Seen::NotSeen, 0.7));
        assert!(seen.factor(Seen::Marked, 0.7) < seen.factor(Seen::Thinned, 0.7));
        assert!(seen.factor(Seen::Thinned, 0.7) < seen.factor(Seen::Bare, 0.7));
        assert!(press.factor(false, 3) < press.factor(false, 1) && press.factor(false, 0) == 1.0);
        assert!(press.factor(true, 1) > 1.0);
        assert_eq!(press.factor(false, u32::MAX), press.factor(false, press.counted_most));
    }
}
