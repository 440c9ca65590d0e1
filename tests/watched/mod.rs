//! A made-up camera before a made-up dashboard: a lamp dimmed by switching, daylight, clouds, exposure, hands. Seeded.

#![allow(dead_code)]

pub mod tally;

pub use crate::dice::Dice as Chance;
use loomwalk::watch::{SECTORS, Sample};

/// A camera and what it sees.
pub struct Scene {
    pub chance: Chance,
    /// Frames a second.
    pub rate: f64,
    /// Exposure of a frame, ms.
    exposure: f64,
    /// Of the lamp's dimming, a second; how much of each period it is on.
    pwm: f64,
    duty: f64,
    lamp: f64,
    /// How much of the lamp falls onto its surround.
    glow: f64,
    spot_shine: f64,
    shine: [f64; SECTORS],
    daylight: f64,
    cloud_to: f64,
    gain: f64,
    gain_to: f64,
    hand: Option<Hand>,
    pub now: f64,
}

/// A hand that goes across the picture: an edge comes in, stays, and goes on.
struct Hand {
    began: f64,
    speed: f64,
    width: f64,
    angle: f64,
    bright: f64,
}

impl Scene {
    pub fn new(seed: u64) -> Self {
        let mut chance = Chance(seed);
        let rate = [10.5, 15.0, 24.0, 30.0, 60.0][(chance.share() * 5.0) as usize];
        let pwm = chance.between(100.0, 250.0);
        let duty = chance.between(0.3, 1.0);
        Self {
            rate,
            // At least most of a period, as indoors: a camera chooses long exposures there.
            exposure: chance.between(0.9, 2.5) * 1e3 / pwm,
            pwm,
            duty,
            // Averaged over its dimming: a lamp that someone would choose to watch.
            lamp: chance.between(60.0, 180.0) / duty,
            glow: chance.between(0.0, 0.01),
            spot_shine: chance.between(10.0, 40.0),
            shine: std::array::from_fn(|_| chance.between(20.0, 90.0)),
            daylight: chance.between(0.2, 1.0),
            cloud_to: 1.0,
            gain: 1.0,
            gain_to: 1.0,
            hand: None,
            now: chance.between(0.0, 1e3),
            chance,
        }
    }

    /// A hand goes by from now on.
    pub fn hand(&mut self) {
        let hand = Hand {
            began: self.now,
            // Spot radii a millisecond; the surround reaches three radii out.
            speed: self.chance.between(0.01, 0.05),
            width: self.chance.between(5.0, 30.0),
            angle: self.chance.between(0.0, std::f64::consts::TAU),
            bright: self.chance.between(20.0, 160.0),
        };
        self.hand = Some(hand);
    }

    /// The camera sets its exposure anew.
    pub fn expose_anew(&mut self) {
        self.gain_to = self.chance.between(0.75, 1.3);
    }

    /// A cloud comes or goes.
    pub fn cloud(&mut self) {
        self.cloud_to = self.chance.between(0.35, 1.0);
    }

    /// How much of the spot, or of the sector at that angle, is covered.
    fn covered(&self, angle: Option<f64>) -> f64 {
        let Some(hand) = &self.hand else { return 0.0 };
        let front = -4.0 + (self.now - hand.began) * hand.speed;
        let place = angle.map_or(0.0, |angle| 2.0 * (angle - hand.angle).cos());
        let into = |edge: f64| ((edge - place + 1.0) / 2.0).clamp(0.0, 1.0);
        into(front) - into(front - hand.width)
    }

    /// The share of an exposure in which the lamp is on.
    fn on_share(&self) -> f64 {
        let on_until = |ms: f64| {
            let periods = ms * self.pwm / 1e3;
            periods.floor() * self.duty + periods.fract().min(self.duty)
        };
        (on_until(self.now) - on_until(self.now - self.exposure)) / (self.exposure * self.pwm / 1e3)
    }

    /// What the camera makes of a place that throws back so much daylight and shines by itself.
    fn place(&mut self, shine: f64, own: f64, angle: Option<f64>) -> f64 {
        let covered = self.covered(angle);
        let hand = self.hand.as_ref().map_or(0.0, |hand| hand.bright) * self.daylight * covered;
        let light = (shine * self.daylight + own) * (1.0 - covered) + hand;
        (light * self.gain + self.chance.between(-0.5, 0.5)).clamp(0.0, 255.0)
    }

    /// The next frame, with the lamp lit or not.
    pub fn frame(&mut self, lit: bool) -> Sample {
        let past = 1e3 / self.rate * self.chance.between(0.94, 1.06);
        self.now += past;
        self.daylight += (self.cloud_to - self.daylight) * (past / 6e3);
        self.gain += (self.gain_to - self.gain) * (past / 200.0).min(1.0);
        let lamp = if lit { self.lamp * self.on_share() } else { 0.0 };
        let spot = self.place(self.spot_shine, lamp, None);
        let around = std::array::from_fn(|sector| {
            let angle = sector as f64 / SECTORS as f64 * std::f64::consts::TAU;
            self.place(self.shine[sector], lamp * self.glow, Some(angle))
        });
        Sample { at_ms: self.now, spot, around }
    }
}
