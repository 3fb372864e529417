//! What a microphone in the car would have heard.

use std::f64::consts::PI;

use super::{Chance, FINE_HZ, Generated};

/// How it sounds.
#[derive(Debug, Clone, Copy)]
pub struct Hearing {
    /// Samples a second.
    pub rate_hz: u32,
    /// How worn the discs are: 0 nearly silent, 1 coarse.
    pub worn: f64,
    /// Wind in dB relative to the rolling at 20 m/s; far below 0 for none.
    pub wind_db: f64,
    /// Loudness of everything: 1 is rolling at 20 m/s with a root mean square of 0.02 of full scale.
    pub gain: f64,
    /// Seconds by which the sound begins before the motion.
    pub early_s: f64,
    /// Seeds the noise.
    pub seed: u64,
    /// The wheel's circumference in m: grain flickers with its turns.
    pub circumference: f64,
}

/// A pole at this corner, for noise of a colour.
struct Pole {
    keep: f64,
    value: f64,
}

impl Pole {
    fn at(corner_hz: f64, rate_hz: f64) -> Self {
        Self { keep: libm::exp(-2.0 * PI * corner_hz / rate_hz), value: 0.0 }
    }

    fn low(&mut self, input: f64) -> f64 {
        self.value = self.value * self.keep + input * (1.0 - self.keep);
        self.value
    }

    fn high(&mut self, input: f64) -> f64 {
        input - self.low(input)
    }
}

/// One channel of samples between -1 and 1.
pub fn hear(drive: &Generated, hearing: &Hearing) -> Vec<f32> {
    let rate = f64::from(hearing.rate_hz);
    let mut chance = Chance::new(hearing.seed ^ 0x50_4e_44);
    let length = drive.moments.len() as f64 / FINE_HZ + hearing.early_s;
    let mut rolling = [Pole::at(500.0, rate), Pole::at(2500.0, rate)];
    let mut wind = [Pole::at(90.0, rate), Pole::at(400.0, rate)];
    let mut friction = [Pole::at(1200.0, rate), Pole::at(4500.0, rate)];
    let mut gust = Pole::at(0.6, rate);
    let mut samples = Vec::with_capacity((length * rate) as usize);
    let mut grit = 0.0;
    let wind_size = 0.02 * libm::pow(10.0, hearing.wind_db / 20.0);
    for nth in 0..(length * rate) as usize {
        let time = nth as f64 / rate - hearing.early_s;
        let at = ((time * FINE_HZ).max(0.0) as usize).min(drive.moments.len() - 1);
        let now = drive.moments[at];
        let white = chance.normal();
        // Tyres: mostly low, some high, growing with the speed.
        let loud = 0.02 * libm::pow(now.speed / 20.0, 1.3);
        let tyres = loud * (6.0 * rolling[0].low(white) + 0.35 * rolling[1].low(chance.normal()) * 2.0);
        let engine =
            0.004 * libm::sin(2.0 * PI * (35.0 + now.speed) * time.max(0.0)) * (1.0 + now.acceleration.max(0.0));
        let gusts = 1.0 + 25.0 * gust.low(chance.normal()).abs();
        let blow = {
            let noise = chance.normal();
            wind_size * gusts * (9.0 * wind[0].low(noise) + 0.25 * wind[1].low(noise))
        };
        let mut sound = tyres + engine + blow + 2e-4 * chance.normal();
        if now.brake > 0.2 && now.speed > 0.3 {
            let hissing = friction[0].high(chance.normal());
            let rub = friction[1].low(hissing);
            // Worn discs grate: louder, flickering with the turns, with single grains in it.
            let turn = 2.0 * PI * now.way / hearing.circumference;
            let flicker = 1.0 + 0.5 * hearing.worn * libm::cos(turn) + 0.6 * hearing.worn * libm::sin(23.0 * turn);
            if chance.unit() < 60.0 * hearing.worn / rate {
                grit = 3.0 + 3.0 * chance.unit();
            }
            grit *= 1.0 - 900.0 / rate;
            let size = 0.0015 + 0.02 * hearing.worn;
            let pressed = (now.brake / 4.0).min(2.0) * libm::pow(now.speed / 10.0, 0.4);
            sound += size * pressed * flicker.max(0.0) * rub * (1.0 + grit * hearing.worn);
        }
        samples.push((hearing.gain * sound).clamp(-1.0, 1.0) as f32);
    }
    samples
}
