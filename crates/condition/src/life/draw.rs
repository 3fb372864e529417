//! Normal draws, the same on every machine: a seeded generator with its own stream for each quantity, and the polar
//! method with `libm`'s logarithm. (The usual library's sampler takes its logarithm from the platform.)

use rand_xoshiro::{
    Xoshiro256PlusPlus,
    rand_core::{Rng as _, SeedableRng as _},
};

/// Fixed, so that a reckoning can be repeated to the bit.
const SEED: u64 = 0x5249_4d53_4944_4531;

/// Standard normal values.
pub struct Normals {
    generator: Xoshiro256PlusPlus,
    spare: Option<f64>,
}

impl Normals {
    /// The stream of this number; other streams are not disturbed by how much is taken from it.
    pub fn stream(number: u64) -> Self {
        // Multiplied, so that neighbouring numbers do not lead to neighbouring seeds (Knuth's multiplicative constant).
        let seed = SEED ^ number.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        Self { generator: Xoshiro256PlusPlus::seed_from_u64(seed), spare: None }
    }

    /// A value between −1 and 1.
    fn side(&mut self) -> f64 {
        // 53 bits, as many as a double keeps.
        (self.generator.next_u64() >> 11) as f64 * (2.0 / (1_u64 << 53) as f64) - 1.0
    }

    /// The next value (Marsaglia's polar method, 1964).
    pub fn next(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let (x, y) = (self.side(), self.side());
            let square = x * x + y * y;
            if square < 1.0 && square > 0.0 {
                let scale = (-2.0 * libm::log(square) / square).sqrt();
                self.spare = Some(y * scale);
                return x * scale;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half the width of the 95 % interval of a sum of four values.
    fn half_width(mut value: impl FnMut() -> f64) -> f64 {
        let mut sums: Vec<f64> = (0..200_000).map(|_| (0..4).map(|_| value()).sum()).collect();
        sums.sort_by(f64::total_cmp);
        (sums[194_999] - sums[4_999]) / 2.0
    }

    #[test]
    fn the_additive_model_of_the_standard_comes_out() {
        // JCGM 101:2008, 9.2 (from memory): four standard normals give a 95 % interval of ±3.92, four rectangulars of unit
        // variance one of ±3.88.
        let mut normals = Normals::stream(1);
        assert!((half_width(|| normals.next()) - 3.92).abs() < 0.02);
        let mut sides = Normals::stream(2);
        assert!((half_width(|| sides.side() * 3.0_f64.sqrt()) - 3.88).abs() < 0.02);
    }

    #[test]
    fn streams_differ_and_repeat() {
        let three = |number| {
            let mut normals = Normals::stream(number);
            [normals.next(), normals.next(), normals.next()].map(f64::to_bits)
        };
        assert_eq!(three(7), three(7));
        assert_ne!(three(7), three(8));
    }
}
