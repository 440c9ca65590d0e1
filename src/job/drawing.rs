//! What is drawn on a photograph, and how long is what it shows? Rings, arrows and lengths, kept beside the picture: the
//! picture stays as it was taken.
//!
//! All places are in widths of the upright picture, rightwards and downwards from its upper left corner, so that a ring is
//! round on every picture. One known length makes others readable: they hold for what lies as far from the camera as the
//! known one, and are told with what the eye and the finger may be off.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::objects;

/// A place on a picture, in widths of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Spot {
    /// Rightwards.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Stroke {
    /// A ring around something.
    Ring {
        /// Its middle.
        at: Spot,
        /// Its radius, in widths.
        radius: f64,
    },
    /// An arrow to something.
    Arrow {
        /// Where its tail is.
        from: Spot,
        /// What it points at.
        to: Spot,
    },
    /// The two ends of something whose length is known.
    Known {
        /// One end.
        from: Spot,
        /// The other.
        to: Spot,
        /// How long that is, mm.
        mm: f64,
        /// What it is, in words. May be empty.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        what: String,
    },
    /// The two ends of something whose length is wanted.
    Length {
        /// One end.
        from: Spot,
        /// The other.
        to: Spot,
    },
}

/// How far off an end may be put, in widths: one step of the keys that move it. Common practice, no source.
pub const STEP: f64 = 0.005;
/// How large a new ring is, in widths.
const RING: f64 = 0.08;
/// How long a new arrow or length is, in widths.
const LONG: f64 = 0.2;
/// The head of an arrow and the bar across an end: how far back, and how far to either side, in widths.
const HEAD: (f64, f64) = (0.026, 0.014);
const BAR: (f64, f64) = (0.0, 0.03);
/// The thinnest and the widest ring, in widths.
const RADII: (f64, f64) = (0.01, 0.5);
/// What the longest known length may be, mm: no photograph of a chafe point shows more than a metre.
pub const MOST_MM: f64 = 1_000.0;

/// A length read off a picture, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// As drawn.
    pub mm: f64,
    /// By how much it may be off either way, should every end be one [`STEP`] off.
    pub off_mm: f64,
}

impl Spot {
    /// Within a picture so high.
    fn within(self, height: f64) -> Self {
        Self { x: rounded(self.x.clamp(0.0, 1.0)), y: rounded(self.y.clamp(0.0, height)) }
    }

    fn moved(self, x: f64, y: f64) -> Self {
        Self { x: self.x + x, y: self.y + y }
    }

    fn far(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

/// To the ten-thousandth of the width, less than a pixel of any preview: short in the log, and the same on every phone.
fn rounded(width: f64) -> f64 {
    (width * 10_000.0).round() / 10_000.0
}

impl Stroke {
    /// A ring around a place of a picture that is so many widths high.
    pub fn ring(at: Spot, height: f64) -> Self {
        Self::Ring { at: at.within(height), radius: RING }
    }

    /// An arrow to a place, from the side where there is more room.
    pub fn arrow(to: Spot, height: f64) -> Self {
        let to = to.within(height);
        let (x, y) = (if to.x < 0.5 { LONG } else { -LONG }, if to.y < height / 2.0 { LONG } else { -LONG });
        Self::Arrow { from: to.moved(x, y).within(height), to }
    }

    /// A known length from a place on; its other end is still to be put right.
    pub fn known(from: Spot, mm: f64, what: String, height: f64) -> Self {
        let (from, to) = ends(from, height);
        Self::Known { from, to, mm, what }
    }

    /// A wanted length from a place on; its other end is still to be put right.
    pub fn length(from: Spot, height: f64) -> Self {
        let (from, to) = ends(from, height);
        Self::Length { from, to }
    }

    /// Puts an end, or the middle of a ring, somewhere else. `second`: the other end.
    pub fn put(&mut self, second: bool, spot: Spot, height: f64) {
        match self {
            Self::Ring { at, .. } => *at = spot.within(height),
            // What an arrow points at is its first end: that is what a tap means.
            Self::Arrow { from, to } => *(if second { from } else { to }) = spot.within(height),
            Self::Known { from, to, .. } | Self::Length { from, to } => {
                *(if second { to } else { from }) = spot.within(height);
            }
        }
    }

    /// Where that end, or the middle of a ring, is.
    pub fn end(&self, second: bool) -> Spot {
        match self {
            Self::Ring { at, .. } => *at,
            Self::Arrow { from, to } => {
                if second {
                    *from
                } else {
                    *to
                }
            }
            Self::Known { from, to, .. } | Self::Length { from, to } => {
                if second {
                    *to
                } else {
                    *from
                }
            }
        }
    }

    /// Whether it has two ends.
    pub fn has_ends(&self) -> bool {
        !matches!(self, Self::Ring { .. })
    }

    /// A ring of another size; anything else stays as it is.
    pub fn grow(&mut self, times: f64) {
        if let Self::Ring { radius, .. } = self {
            *radius = rounded((*radius * times).clamp(RADII.0, RADII.1));
        }
    }

    /// Whether all of it is a number that can be drawn.
    pub fn is_sound(&self) -> bool {
        let near = |spot: &Spot| (-1.0..=10.0).contains(&spot.x) && (-1.0..=10.0).contains(&spot.y);
        match self {
            Self::Ring { at, radius } => near(at) && (0.0..=10.0).contains(radius),
            Self::Arrow { from, to } | Self::Length { from, to } => near(from) && near(to),
            Self::Known { from, to, mm, .. } => near(from) && near(to) && *mm > 0.0 && *mm <= MOST_MM,
        }
    }

    /// As an SVG path in a view box 1000 wide.
    pub fn path(&self) -> String {
        let at = |spot: Spot| format!("{:.0} {:.0}", spot.x * 1000.0, spot.y * 1000.0);
        match self {
            Self::Ring { at: middle, radius } => {
                let r = format!("{:.0}", radius * 1000.0);
                let left = at(middle.moved(-radius, 0.0));
                let right = at(middle.moved(*radius, 0.0));
                format!("M{left}A{r} {r} 0 1 1 {right}A{r} {r} 0 1 1 {left}Z")
            }
            Self::Arrow { from, to } => {
                let (one, other) = barbs(*from, *to, HEAD);
                format!("M{}L{}M{}L{}L{}", at(*from), at(*to), at(one), at(*to), at(other))
            }
            Self::Known { from, to, .. } | Self::Length { from, to } => {
                // A bar across each end, as on a drawing.
                let (a, b) = barbs(*to, *from, BAR);
                let (c, d) = barbs(*from, *to, BAR);
                format!("M{}L{}M{}L{}M{}L{}", at(*from), at(*to), at(a), at(b), at(c), at(d))
            }
        }
    }

    /// Where its number stands, in a view box 1000 wide and so high: beside what it is, and within the picture.
    pub fn number_at(&self, height: f64) -> (f64, f64) {
        let spot = match self {
            Self::Ring { at, radius } => at.moved(radius * 0.8, -radius * 0.8),
            Self::Arrow { from, .. } => *from,
            Self::Known { from, to, .. } | Self::Length { from, to } => {
                Spot { x: f64::midpoint(from.x, to.x), y: f64::midpoint(from.y, to.y) }
            }
        };
        let edge = 0.03;
        let inside = |at: f64, most: f64| (at.clamp(edge, (most - edge).max(edge)) * 1000.0).round();
        (inside(spot.x, 1.0), inside(spot.y, height))
    }
}

fn ends(from: Spot, height: f64) -> (Spot, Spot) {
    let from = from.within(height);
    let away = if from.x > 0.5 { -LONG } else { LONG };
    (from, from.moved(away, 0.0).within(height))
}

/// Two short strokes from `to`: so much of them back towards `from`, and so much to either side.
fn barbs(from: Spot, to: Spot, (back, aside): (f64, f64)) -> (Spot, Spot) {
    let far = from.far(to);
    // Two ends at one place: as if it came from the right.
    let (x, y) = if far > 0.0 { ((from.x - to.x) / far, (from.y - to.y) / far) } else { (1.0, 0.0) };
    let barb = |aside: f64| to.moved(back * x - aside * y, back * y + aside * x);
    (barb(aside), barb(-aside))
}

/// How long that stroke is, by the newest known length on the picture. `None`: nothing is known, it is no length, or
/// the known one is too short to tell.
pub fn measured(strokes: &[Stroke], stroke: &Stroke) -> Option<Measured> {
    let Stroke::Length { from, to } = stroke else { return None };
    let (known, mm) = strokes.iter().rev().find_map(|stroke| match stroke {
        Stroke::Known { from, to, mm, .. } => Some((from.far(*to), *mm)),
        _ => None,
    })?;
    let long = from.far(*to);
    // Both ends off by a step, outwards or inwards.
    if known <= 2.0 * STEP {
        return None;
    }
    let length = long / known * mm;
    let most = (long + 2.0 * STEP) / (known - 2.0 * STEP) * mm;
    Some(Measured { mm: length, off_mm: most - length })
}

impl Measured {
    /// `12 mm, give or take 2 mm`: never finer than it can be read.
    pub fn words(&self) -> String {
        let off = self.off_mm;
        if off < 1.0 {
            format!("{:.1} mm, give or take {:.1} mm", self.mm, (off * 10.0).ceil() / 10.0)
        } else {
            format!("{:.0} mm, give or take {:.0} mm", self.mm, off.ceil())
        }
    }
}

/// Each stroke in words, in order: what stands below the picture, and what a screen reader says of it.
pub fn told(strokes: &[Stroke]) -> Vec<String> {
    let say = |stroke: &Stroke| match stroke {
        Stroke::Ring { .. } => "Ring".to_owned(),
        Stroke::Arrow { .. } => "Arrow".to_owned(),
        Stroke::Known { mm, what, .. } if what.is_empty() => format!("Known length: {mm} mm"),
        Stroke::Known { mm, what, .. } => format!("Known length: {what}, {mm} mm"),
        Stroke::Length { .. } => match measured(strokes, stroke) {
            Some(measured) => format!("Length: {}", measured.words()),
            None => "Length: not known without something of known length beside it".to_owned(),
        },
    };
    strokes.iter().map(say).collect()
}

/// What the lengths on a picture mean.
pub const HOLDS_FOR: &str = "Lengths hold for what lies as far from the camera as the known one, seen square on.";

/// A length that many things have.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KnownLength {
    /// What it is.
    pub label: String,
    /// How long, mm.
    pub mm: f64,
}

/// Lengths that lie in every workshop, from `assets/values/known_lengths.json`.
pub fn known_lengths() -> Vec<KnownLength> {
    #[derive(Deserialize, Default)]
    struct All {
        lengths: Vec<KnownLength>,
    }
    // Built in: it is read in the tests, and cannot change after.
    let all: All =
        objects::from_str(include_str!(concat!(env!("OUT_DIR"), "/values/known_lengths.json"))).unwrap_or_default();
    all.lengths
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn spot(x: f64, y: f64) -> Spot {
        Spot { x, y }
    }

    #[test]
    fn a_length_is_read_off_by_the_newest_known_one() {
        // By hand: 19.1 mm over 0.382 widths is 50 mm a width; 0.24 widths are 12 mm.
        let length = Stroke::Length { from: spot(0.5, 0.2), to: spot(0.5, 0.44) };
        let known =
            |to: f64, mm: f64| Stroke::Known { from: spot(0.1, 0.1), to: spot(to, 0.1), mm, what: String::new() };
        let read = measured(&[known(0.9, 5.0), known(0.482, 19.1), length.clone()], &length).unwrap();
        assert!((read.mm - 12.0).abs() < 1e-9, "{read:?}");
        // Longest: (0.24 + 0.01) / (0.382 − 0.01) × 19.1 = 12.836.
        assert!((read.off_mm - (0.25 / 0.372 * 19.1 - 12.0)).abs() < 1e-9, "{read:?}");
        assert_eq!(read.words(), "12.0 mm, give or take 0.9 mm");
        assert_eq!(Measured { mm: 48.4, off_mm: 2.2 }.words(), "48 mm, give or take 3 mm");
    }

    #[test]
    fn without_a_known_length_or_with_one_that_is_a_point_nothing_is_told() {
        let length = Stroke::Length { from: spot(0.5, 0.2), to: spot(0.5, 0.44) };
        assert_eq!(measured(std::slice::from_ref(&length), &length), None);
        let point = Stroke::Known { from: spot(0.5, 0.5), to: spot(0.505, 0.5), mm: 19.1, what: String::new() };
        assert_eq!(measured(&[point.clone(), length.clone()], &length), None);
        assert_eq!(measured(std::slice::from_ref(&point), &point), None);
    }

    #[test]
    fn nothing_is_put_outside_of_the_picture() {
        for (x, y) in [(-3.0, 0.2), (0.99, 0.74), (0.5, 9.0), (0.0, 0.0)] {
            let height = 0.75;
            let all = [
                Stroke::ring(spot(x, y), height),
                Stroke::arrow(spot(x, y), height),
                Stroke::known(spot(x, y), 19.1, String::new(), height),
                Stroke::length(spot(x, y), height),
            ];
            for mut stroke in all {
                for second in [false, true] {
                    let end = stroke.end(second);
                    assert!((0.0..=1.0).contains(&end.x) && (0.0..=height).contains(&end.y), "{stroke:?}");
                    stroke.put(second, spot(2.0, -1.0), height);
                    assert_eq!(stroke.end(second), spot(1.0, 0.0));
                }
                assert!(stroke.is_sound());
            }
        }
    }

    #[test]
    fn a_new_arrow_points_at_what_was_tapped_and_a_new_length_has_two_ends() {
        let arrow = Stroke::arrow(spot(0.3, 0.2), 1.0);
        assert_eq!(arrow.end(false), spot(0.3, 0.2));
        assert!(arrow.end(true).far(arrow.end(false)) > 0.2);
        let length = Stroke::length(spot(0.9, 0.2), 1.0);
        assert!(length.end(true).far(length.end(false)) > 0.1, "also at the edge");
    }

    #[test]
    fn a_ring_grows_and_shrinks_within_bounds_and_is_round() {
        let mut ring = Stroke::ring(spot(0.5, 0.5), 1.0);
        ring.grow(1.5);
        assert_eq!(ring.path(), "M380 500A120 120 0 1 1 620 500A120 120 0 1 1 380 500Z");
        ring.grow(1e9);
        assert_eq!(ring, Stroke::Ring { at: spot(0.5, 0.5), radius: RADII.1 });
        ring.grow(1e-9);
        assert_eq!(ring, Stroke::Ring { at: spot(0.5, 0.5), radius: RADII.0 });
    }

    #[test]
    fn what_is_no_number_or_far_away_is_not_sound() {
        let ring = |x: f64, radius: f64| Stroke::Ring { at: spot(x, 0.5), radius };
        assert!(!ring(f64::NAN, 0.1).is_sound());
        assert!(!ring(1e9, 0.1).is_sound());
        assert!(!ring(0.5, f64::INFINITY).is_sound());
        let known = |mm: f64| Stroke::Known { from: spot(0.0, 0.0), to: spot(1.0, 0.0), mm, what: String::new() };
        assert!(known(19.1).is_sound());
        assert!(!known(0.0).is_sound());
        assert!(!known(1e9).is_sound());
    }

    #[test]
    fn the_lengths_that_ship_are_read() {
        let all = known_lengths();
        assert!(all.iter().any(|known| known.mm == 19.1), "{all:?}");
        assert!(all.iter().all(|known| known.mm > 0.0 && known.mm <= MOST_MM && !known.label.is_empty()));
    }
}
