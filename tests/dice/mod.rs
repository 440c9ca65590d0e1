//! Numbers that look random and are the same for each seed, wherever a test draws.
#![allow(dead_code)]

/// SplitMix64 (G. L. Steele, D. Lea & C. H. Flood, OOPSLA 2014).
pub struct Dice(pub u64);

impl Dice {
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From 0 up to but not including 1.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// One of `0..count`.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count - 1)
    }

    /// Uniform between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// Log-uniform between two positive numbers.
    pub fn spread(&mut self, least: f64, most: f64) -> f64 {
        least * (most / least).powf(self.share())
    }
}
