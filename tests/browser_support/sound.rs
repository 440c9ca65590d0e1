//! Sounds that Chromium takes for its microphone: WAV files.

use std::io::Write;
use std::path::Path;

/// Samples a second.
const RATE: u32 = 48_000;

/// Writes so many seconds of a sound. It is given by the time, s, and noise between -1 and 1 to be made of.
///
/// RIFF WAVE, 16 bit, one channel (Multimedia Programming Interface and Data Specifications 1.0).
pub fn wav(path: &Path, seconds: u32, sound: impl Fn(f64, f64) -> f64) {
    let samples = seconds * RATE;
    let mut file = std::io::BufWriter::new(std::fs::File::create(path).unwrap());
    file.write_all(b"RIFF").unwrap();
    file.write_all(&(36 + samples * 2).to_le_bytes()).unwrap();
    file.write_all(b"WAVEfmt ").unwrap();
    for word in [16_u32, 1 | 1 << 16, RATE, RATE * 2, 2 | 16 << 16] {
        file.write_all(&word.to_le_bytes()).unwrap();
    }
    file.write_all(b"data").unwrap();
    file.write_all(&(samples * 2).to_le_bytes()).unwrap();
    let mut chance = 12_345_u32;
    for at in 0..samples {
        chance = chance.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let noise = f64::from(chance >> 16) / 32_768.0 - 1.0;
        let loud = sound(f64::from(at) / f64::from(RATE), noise).clamp(-1.0, 1.0);
        file.write_all(&((loud * 32_000.0) as i16).to_le_bytes()).unwrap();
    }
    file.flush().unwrap();
}
