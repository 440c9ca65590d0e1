//! Is the telltale still lit? A detector over a series of brightnesses, for the camera and, with a steady surround, for sound.
//!
//! What is compared is the spot against the middle of its surround, as logarithms: a camera that sets its exposure anew
//! changes both alike, and with the lamp out the ratio is the same in any daylight. The surround comes in sectors, because
//! a hand changes some of them more than others where daylight and the lamp's own glow change all alike. A lamp that is
//! dimmed by switching it fast looks unsteady to a camera: the brightest of a short while counts, and how unsteady that
//! is belongs to what is learned.

pub mod knock;
mod values;

pub use values::Values;

/// Sectors of the surround.
pub const SECTORS: usize = 8;

/// One frame: mean brightness of the spot and of each sector around it, 0 to 255.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// When it was taken, ms on any steady clock.
    pub at_ms: f64,
    /// The spot.
    pub spot: f64,
    /// What lies around it.
    pub around: [f64; SECTORS],
}

/// How many pixels the square around a spot is read as, each way: five cells of eight. The spot is the cell in the middle;
/// what lies right around it is left out, for a lamp glows into it and a finger never chooses it to the pixel; the outer
/// cells are the surround.
pub const GRID: usize = CELLS * CELL;
const CELLS: usize = 5;
const CELL: usize = 8;

/// The spot that is watched: its middle and its size in widths of the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Rightwards.
    pub x: f64,
    /// Downwards.
    pub y: f64,
    /// How wide, and how high.
    pub size: f64,
}

impl Window {
    /// The square with its surround, as left, top and side in pixels of a picture of that size: moved and made smaller so
    /// far that it lies within.
    pub fn pixels(self, width: f64, height: f64) -> (f64, f64, f64) {
        let side = (self.size * width * CELLS as f64).min(width).min(height);
        let within = |middle: f64, long: f64| (middle * width - side / 2.0).clamp(0.0, long - side);
        (within(self.x, width), within(self.y, height), side)
    }
}

impl Sample {
    /// Of a square of [`GRID`] by [`GRID`] pixels, red, green, blue and opacity of each.
    pub fn of_pixels(at_ms: f64, pixels: &[u8]) -> Self {
        let mut cells = [0.0; CELLS * CELLS];
        for (at, pixel) in pixels.chunks_exact(4).take(GRID * GRID).enumerate() {
            let cell = at / GRID / CELL * CELLS + at % GRID / CELL;
            // Luma by ITU-R BT.709, as cameras mean it.
            cells[cell] += 0.2126 * f64::from(pixel[0]) + 0.7152 * f64::from(pixel[1]) + 0.0722 * f64::from(pixel[2]);
        }
        let mean = |cell: usize| cells[cell] / (CELL * CELL) as f64;
        // Round the edge, two cells a sector, from the upper left corner.
        const ROUND: [[usize; 2]; SECTORS] = [[0, 1], [2, 3], [4, 9], [14, 19], [24, 23], [22, 21], [20, 15], [10, 5]];
        let around = ROUND.map(|[one, other]| f64::midpoint(mean(one), mean(other)));
        Self { at_ms, spot: mean(CELLS * CELLS / 2), around }
    }

    /// Of a sound so loud, root mean square of 1: its surround is steady, so that only its own fall counts.
    pub fn of_sound(at_ms: f64, loud: f64) -> Self {
        Self { at_ms, spot: (loud * LOUD).min(255.0), around: [LOUD / 100.0; SECTORS] }
    }
}

/// What full loudness counts as, so that a buzzer at arm's length, some hundredths of it, stands for a lit lamp. Common
/// practice, no source.
const LOUD: f64 = 5_000.0;

/// What the watch knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// It learns how the lit lamp looks.
    Learning,
    /// It is lit.
    Lit,
    /// It is out.
    Out,
    /// Something is before it: nothing can be told until it is gone.
    Covered,
    /// It cannot be told.
    Unsure(Doubt),
}

/// Why it cannot be told whether it is lit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    /// Lit and dark look too much alike in this light.
    TooBright,
    /// The lamp looks too unsteady to this camera.
    Flickers,
    /// The light changes just now.
    LightChanges,
}

/// Something that happened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// It went out; first seen dark then, ms.
    WentOut(f64),
    /// It came back; first seen lit then, ms.
    CameBack(f64),
}

/// The detector.
#[derive(Debug)]
pub struct Watch {
    values: Values,
    state: State,
    /// Since when the state, or what is learned, holds, ms.
    since: f64,
    /// The frame before, ms.
    last: Option<f64>,
    /// Spot against surround with the lamp lit.
    lit: f64,
    /// The same with the lamp dark, once that was seen: the same in any daylight.
    dark: Option<f64>,
    /// How far the lit lamp dips by its own flicker.
    ripple: f64,
    /// Each sector against their middle.
    pattern: [f64; SECTORS],
    /// The middle of the sectors.
    level: f64,
    /// Since when the sectors lie as learned, ms.
    steady: Option<f64>,
    /// The newest frames, with their ratio of spot to surround.
    recent: Vec<(f64, f64)>,
}

impl Watch {
    /// Begins: the lamp is lit now.
    pub fn new(values: Values) -> Self {
        Self {
            values,
            state: State::Learning,
            since: f64::NEG_INFINITY,
            last: None,
            lit: 0.0,
            dark: None,
            ripple: 0.0,
            pattern: [0.0; SECTORS],
            level: 0.0,
            steady: None,
            recent: Vec::new(),
        }
    }

    /// What is known now.
    pub fn state(&self) -> State {
        self.state
    }

    /// Takes in the next frame. Says what happened, if something did.
    pub fn see(&mut self, sample: &Sample) -> Option<Change> {
        let now = sample.at_ms;
        let around = sample.around.map(|sector| (sector + self.values.floor).ln());
        let middle = middle(around);
        let pattern = around.map(|sector| sector - middle);
        let ratio = (sample.spot + self.values.floor).ln() - middle;
        let past = self.last.map_or(f64::INFINITY, |last| now - last);
        self.last = Some(now);
        if !(past > 0.0 && past < self.values.gap_ms) {
            // Frames were lost, as when the page was out of view: who knows what the camera shows now.
            self.learn(now, ratio, middle, pattern);
            return None;
        }
        self.recent.push((now, ratio));
        while self.recent.get(1).is_some_and(|(at, _)| now - at >= self.values.hold_ms) {
            self.recent.remove(0);
        }

        let moved = self.moved(&pattern) || middle < self.level - self.values.level_fall;
        let rushed = middle - self.level > self.values.level_rush;
        toward(&mut self.level, middle, past, if moved { self.values.covered_most_ms } else { self.values.level_ms });
        if moved {
            self.steady = None;
        } else if self.steady.is_none() {
            self.steady = Some(now);
            self.recent.clear();
            self.recent.push((now, ratio));
        }
        match self.state {
            State::Learning => self.go_on_learning(now, past, moved, middle, pattern),
            State::Covered => self.stay_covered(now, ratio, middle, pattern),
            State::Out => return self.stay_out(now, past, ratio, pattern),
            State::Lit | State::Unsure(_) if moved => self.turn(State::Covered, now),
            State::Lit | State::Unsure(_) => return self.stay_lit(past, rushed, pattern),
        }
        None
    }

    fn turn(&mut self, state: State, now: f64) {
        if self.state != state {
            self.state = state;
            self.since = now;
        }
    }

    fn learn(&mut self, now: f64, ratio: f64, middle: f64, pattern: [f64; SECTORS]) {
        self.state = State::Learning;
        self.since = now;
        self.lit = ratio;
        self.ripple = 0.0;
        self.level = middle;
        self.pattern = pattern;
        self.steady = Some(now);
        self.recent.clear();
        self.recent.push((now, ratio));
    }

    /// Whether two sectors or more look otherwise than learned.
    fn moved(&self, pattern: &[f64; SECTORS]) -> bool {
        let off =
            pattern.iter().zip(&self.pattern).filter(|(now, was)| (*now - *was).abs() > self.values.pattern_moved);
        off.count() >= 2
    }

    /// The brightest of the last short while, if there is as much.
    fn brightest(&self) -> Option<f64> {
        let (first, last) = (self.recent.first()?.0, self.recent.last()?.0);
        let enough = last - first >= self.values.hold_ms;
        enough.then(|| self.recent.iter().fold(f64::NEG_INFINITY, |most, (_, ratio)| most.max(*ratio)))
    }

    /// How far the brightest must lie below lit to be dark.
    fn drop(&self) -> f64 {
        let by_dark = self.dark.map_or(0.0, |dark| (self.lit - dark) / 2.0);
        self.values.least_drop.max(self.ripple * self.values.ripple_times).max(by_dark)
    }

    fn doubt(&self) -> Option<Doubt> {
        if self.dark.is_some_and(|dark| self.lit - dark < self.values.least_drop) {
            return Some(Doubt::TooBright);
        }
        (self.ripple > self.values.ripple_most).then_some(Doubt::Flickers)
    }

    fn go_on_learning(&mut self, now: f64, past: f64, moved: bool, middle: f64, pattern: [f64; SECTORS]) {
        let newest = self.recent.last().map_or(self.lit, |(_, ratio)| *ratio);
        if moved {
            self.learn(now, newest, middle, pattern);
            return;
        }
        for (kept, sector) in self.pattern.iter_mut().zip(pattern) {
            toward(kept, sector, past, self.values.settle_ms);
        }
        let Some(brightest) = self.brightest() else { return };
        let learned = now - self.since;
        if learned < self.values.learn_ms * 0.4 {
            self.lit = self.lit.max(brightest);
            return;
        }
        self.lit = self.lit.max(brightest);
        self.ripple = self.ripple.max(self.lit - brightest);
        if learned >= self.values.learn_ms {
            self.turn(self.doubt().map_or(State::Lit, State::Unsure), now);
        }
    }

    fn stay_covered(&mut self, now: f64, ratio: f64, middle: f64, pattern: [f64; SECTORS]) {
        if self.steady.is_some_and(|steady| now - steady >= self.values.settle_ms) {
            self.turn(State::Lit, now);
        } else if now - self.since > self.values.covered_most_ms {
            // The phone was moved, or what covers it stays: this is the picture from now on.
            self.learn(now, ratio, middle, pattern);
        }
    }

    fn stay_lit(&mut self, past: f64, rushed: bool, pattern: [f64; SECTORS]) -> Option<Change> {
        let now = self.last?;
        let brightest = self.brightest()?;
        let doubt = self.doubt();
        if brightest < self.lit - self.drop() && doubt.is_none() {
            if rushed {
                // Daylight that comes up makes the lamp look weaker.
                self.turn(State::Unsure(Doubt::LightChanges), now);
                return None;
            }
            self.dark = Some(brightest);
            self.turn(State::Out, now);
            return Some(Change::WentOut(self.recent.first()?.0));
        }
        self.turn(doubt.map_or(State::Lit, State::Unsure), now);
        let slow = if brightest > self.lit { self.values.lit_rise_ms } else { self.values.lit_fall_ms };
        toward(&mut self.lit, brightest, past, slow);
        let dip = (self.lit - brightest).max(0.0);
        let slow = if dip > self.ripple { self.values.lit_rise_ms } else { self.values.covered_most_ms * 5.0 };
        toward(&mut self.ripple, dip, past, slow);
        self.follow(past, pattern);
        None
    }

    fn stay_out(&mut self, now: f64, past: f64, ratio: f64, pattern: [f64; SECTORS]) -> Option<Change> {
        let Some(steady) = self.steady else {
            self.follow(past, pattern);
            return None;
        };
        let dark = self.dark?;
        let brightest = self.brightest().filter(|_| now - steady >= self.values.hold_ms)?;
        if brightest > dark + self.values.least_drop.max((self.lit - dark) / 2.0) {
            let first = self.recent.iter().find(|(_, ratio)| *ratio > dark + self.values.least_drop);
            let first = first.map_or(now, |(at, _)| *at);
            self.turn(State::Lit, now);
            return Some(Change::CameBack(first));
        }
        self.dark = Some(dark + (ratio - dark) * share(past, self.values.lit_fall_ms));
        self.follow(past, pattern);
        None
    }

    fn follow(&mut self, past: f64, pattern: [f64; SECTORS]) {
        for (kept, sector) in self.pattern.iter_mut().zip(pattern) {
            toward(kept, sector, past, self.values.pattern_ms);
        }
    }
}

/// What of a distance is gone after so long, with that time constant, both ms.
fn share(past: f64, slow: f64) -> f64 {
    1.0 - (-past / slow).exp()
}

fn toward(kept: &mut f64, now: f64, past: f64, slow: f64) {
    *kept += (now - *kept) * share(past, slow);
}

/// The median: two sectors under a hand do not move it.
fn middle(mut of: [f64; SECTORS]) -> f64 {
    of.sort_unstable_by(f64::total_cmp);
    f64::midpoint(of[SECTORS / 2 - 1], of[SECTORS / 2])
}
