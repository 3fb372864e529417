//! Chances that repeat.

use rand_chacha::{
    ChaCha8Rng,
    rand_core::{Rng as _, SeedableRng as _},
};

/// A source of chances.
pub struct Chance(ChaCha8Rng);

impl Chance {
    /// The chances of this car.
    pub fn of_car(number: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(0x7472_7574 + number))
    }

    /// From 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// True in this share of all cases.
    pub fn is(&mut self, share: f64) -> bool {
        self.share() < share
    }

    /// A place in a list of so many.
    pub fn place(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count - 1)
    }

    /// A normal value (Box and Muller 1958).
    pub fn normal(&mut self, mean: f64, deviation: f64) -> f64 {
        let (radius, turn) = ((-2.0 * libm::log(1.0 - self.share())).sqrt(), std::f64::consts::TAU * self.share());
        mean + deviation * radius * libm::cos(turn)
    }

    /// A value with Student's t distribution of 4 degrees of freedom, whose tails are heavy; unit scale, variance 2.
    pub fn heavy(&mut self) -> f64 {
        let squares: f64 = (0..4).map(|_| self.normal(0.0, 1.0).powi(2)).sum();
        self.normal(0.0, 1.0) / (squares / 4.0).sqrt()
    }
}
