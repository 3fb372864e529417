use rand_chacha::{
    ChaCha8Rng,
    rand_core::{Rng as _, SeedableRng as _},
};

/// Seeded chance, the same on every machine.
pub struct Chance {
    random: ChaCha8Rng,
    spare: Option<f64>,
}

impl Chance {
    /// The same seed gives the same chance.
    pub fn new(seed: u64) -> Self {
        Self { random: ChaCha8Rng::seed_from_u64(seed), spare: None }
    }

    /// Even between 0 and 1.
    pub fn unit(&mut self) -> f64 {
        (self.random.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Even between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Normal with mean 0 and deviation 1 (Box and Muller).
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let radius = libm::sqrt(-2.0 * libm::log(1.0 - self.unit()));
        let (sine, cosine) = libm::sincos(2.0 * std::f64::consts::PI * self.unit());
        self.spare = Some(radius * sine);
        radius * cosine
    }
}
