//! When does a fuse open? The standard's window for a current, and what a short touch does to it.

use crate::circuit::electrical::{GateRow, Touch, values};
use crate::circuit::file::{FuseStyle, TouchLengths};
use crate::units::{Ohms, Seconds};

/// Between which times a fuse opens at a constant current. One that resets has opened for the first time by then.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenWindow {
    /// It does not open before this, s.
    pub min_s: f64,
    /// It has opened by this, s. `None`: it need not open at all.
    pub max_s: Option<f64>,
}

/// A gate of the curve: every source's window at one ratio, the widest taken.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Gate {
    ratio: f64,
    window: OpenWindow,
}

/// The time-current curve of a fuse: what the standard asks of its style and rating.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// By rising ratio; the first is the holding current and has no upper bound.
    gates: Vec<Gate>,
}

impl Curve {
    /// The curve of a style; some gates differ by rating.
    pub fn of(style: FuseStyle, rating_a: f64) -> Self {
        let applies = |row: &&GateRow| row.only_a.as_ref().is_none_or(|ratings| ratings.contains(&rating_a));
        let rows = values().fuses.of(style).gates.iter().filter(applies);
        let mut gates: Vec<Gate> = Vec::new();
        for row in rows {
            match gates.last_mut() {
                Some(gate) if gate.ratio == row.ratio => {
                    let window = &mut gate.window;
                    window.min_s = row.min_s.map_or(window.min_s, |min_s| min_s.min(window.min_s));
                    window.max_s = row.max_s.map_or(window.max_s, |max_s| Some(max_s.max(window.max_s?)));
                }
                _ => {
                    let window = OpenWindow { min_s: row.min_s.unwrap_or(0.0), max_s: row.max_s };
                    gates.push(Gate { ratio: row.ratio, window });
                }
            }
        }
        Self { gates }
    }

    /// The window at a current of `ratio` times the rating.
    ///
    /// Log-log between the gates, so it never rises with the current. Up to the holding current the fuse
    /// does not open in 100 hours; below the first gate with an upper bound it need not open; above the last gate
    /// the standard says only that it opens at least as soon as there.
    pub fn window(&self, ratio: f64) -> OpenWindow {
        let above = self.gates.partition_point(|gate| gate.ratio <= ratio);
        match (above.checked_sub(1).and_then(|at| self.gates.get(at)), self.gates.get(above)) {
            (Some(low), Some(high)) => {
                let share = (ratio / low.ratio).ln() / (high.ratio / low.ratio).ln();
                OpenWindow {
                    min_s: between(low.window.min_s, high.window.min_s, share),
                    max_s: low.window.max_s.zip(high.window.max_s).map(|(low, high)| between(low, high, share)),
                }
            }
            (Some(last), None) if ratio > last.ratio => OpenWindow { min_s: 0.0, max_s: last.window.max_s },
            (Some(only), None) | (None, Some(only)) => only.window,
            (None, None) => OpenWindow { min_s: 0.0, max_s: None },
        }
    }

    /// As [`Self::window`], but above the last gate both bounds go on falling with the square of the current.
    ///
    /// There the link melts, or the bimetal bends, before heat can leave it, so I²t is constant (textbook; the standard
    /// has no gate there).
    /// A touch of milliseconds needs this: without it, all currents above the last gate would be alike.
    pub fn adiabatic_window(&self, ratio: f64) -> OpenWindow {
        match self.gates.last() {
            Some(last) if ratio > last.ratio => {
                let shrink = (last.ratio / ratio).powi(2);
                let window = last.window;
                OpenWindow { min_s: window.min_s * shrink, max_s: window.max_s.map(|max_s| max_s * shrink) }
            }
            _ => self.window(ratio),
        }
    }

    /// Whether a current is at least that of the last gate, from which on no heat leaves the link or bimetal in time.
    pub fn is_past_last_gate(&self, ratio: f64) -> bool {
        self.gates.last().is_some_and(|gate| ratio >= gate.ratio)
    }

    /// The ratio up to which the fuse holds, and the one from which on it must open.
    pub fn bounds(&self) -> (f64, f64) {
        let must = self.gates.iter().find(|gate| gate.window.max_s.is_some());
        let ratio = |gate: Option<&Gate>, none| gate.map_or(none, |gate: &Gate| gate.ratio);
        (ratio(self.gates.first(), 0.0), ratio(must, f64::INFINITY))
    }

    /// Whether the fuse cannot open at that current: it is not above the holding current.
    pub fn holds(&self, ratio: f64) -> bool {
        self.gates.first().is_some_and(|gate| ratio <= gate.ratio)
    }
}

/// Geometric interpolation, exact at `share` 0 and never beyond either end.
fn between(from: f64, to: f64, share: f64) -> f64 {
    (from * (to / from).powf(share)).clamp(from.min(to), from.max(to))
}

/// The window of opening times of a fuse at `ratio` times its rating. See [`Curve::window`].
///
/// ```
/// use loomwalk::circuit::{file::FuseStyle, fuse};
/// let window = fuse::window(FuseStyle::Blade, 15.0, 2.0);
/// assert_eq!((window.min_s, window.max_s), (0.15, Some(5.0)));
/// ```
pub fn window(style: FuseStyle, rating_a: f64, ratio: f64) -> OpenWindow {
    Curve::of(style, rating_a).window(ratio)
}

/// The cold resistance of a fuse by its rating: log-log between listed ratings, and on past both ends.
pub fn cold_resistance(style: FuseStyle, rating_a: f64) -> Ohms {
    let rows = &values().fuses.of(style).cold;
    let above = rows.partition_point(|row| row.rating_a <= rating_a).clamp(1, rows.len() - 1);
    let (low, high) = (&rows[above - 1], &rows[above]);
    let slope = (high.ohms / low.ohms).ln() / (high.rating_a / low.rating_a).ln();
    Ohms(low.ohms * (rating_a / low.rating_a).powf(slope))
}

/// How long a rubbing wire touches: log-uniform between two times. An assumption, not a measurement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TouchModel {
    /// Shortest touch.
    pub shortest: Seconds,
    /// Longest touch; longer than the shortest.
    pub longest: Seconds,
}

impl TouchModel {
    /// The assumption that ships with the program.
    pub fn stated() -> Self {
        let Touch { shortest_s, longest_s, .. } = &values().touch;
        Self { shortest: Seconds(shortest_s.value), longest: Seconds(longest_s.value) }
    }

    /// What a circuit states, else the assumption that ships.
    pub fn of(stated: Option<TouchLengths>) -> Self {
        stated.map_or_else(Self::stated, |TouchLengths { shortest_s, longest_s }| Self {
            shortest: Seconds(shortest_s),
            longest: Seconds(longest_s),
        })
    }
}

/// Where a window without an upper bound ends for [`touch_of`]: the standard's holding time, 100 hours.
const NEED_NOT_OPEN_S: f64 = 360_000.0;

impl OpenWindow {
    /// The window's bounds as logarithms. A lower bound of 0 becomes −∞: any touch then opens the fuse.
    fn logs(self) -> (f64, f64) {
        let max_s = self.max_s.unwrap_or(NEED_NOT_OPEN_S);
        (self.min_s.ln(), max_s.max(self.min_s).ln())
    }
}

/// Chance that one touch of that length opens the fuse: none before the window, certain after it, and inside it
/// the opening time is log-uniform.
pub fn touch_of(window: OpenWindow, touch: Seconds) -> f64 {
    let (from, to) = window.logs();
    let at = touch.0.ln();
    if at < from {
        0.0
    } else if at >= to || from == f64::NEG_INFINITY {
        1.0
    } else {
        (at - from) / (to - from)
    }
}

/// Chance that one touch opens the fuse, over all lengths of touch: the mean of [`touch_of`].
pub fn touch_opens(window: OpenWindow, touches: &TouchModel) -> f64 {
    let (from, to) = window.logs();
    if from == f64::NEG_INFINITY {
        return 1.0;
    }
    // The area under `touch_of` from −∞ to a length of touch, over its logarithm.
    let area = |at: f64| {
        if at <= from {
            0.0
        } else if at >= to {
            at - to + (to - from) / 2.0
        } else {
            (at - from).powi(2) / (2.0 * (to - from))
        }
    };
    let (shortest, longest) = (touches.shortest.0.ln(), touches.longest.0.ln());
    ((area(longest) - area(shortest)) / (longest - shortest)).clamp(0.0, 1.0)
}
