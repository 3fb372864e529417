//! Second-order sections for the friction band.

/// A second-order section with a0 = 1, in transposed direct form II.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Biquad {
    b: [f64; 3],
    a: [f64; 2],
    state: [f64; 2],
}

impl Biquad {
    /// A Butterworth low-pass of second order, by the bilinear transform with the corner kept in place.
    pub fn low_pass(corner_hz: f64, rate_hz: f64) -> Self {
        let [k, norm, q] = Self::warp(corner_hz, rate_hz);
        let b = k * k * norm;
        Self { b: [b, 2.0 * b, b], a: Self::poles(k, norm, q), state: [0.0; 2] }
    }

    /// The high-pass of the same kind.
    pub fn high_pass(corner_hz: f64, rate_hz: f64) -> Self {
        let [k, norm, q] = Self::warp(corner_hz, rate_hz);
        Self { b: [norm, -2.0 * norm, norm], a: Self::poles(k, norm, q), state: [0.0; 2] }
    }

    fn warp(corner_hz: f64, rate_hz: f64) -> [f64; 3] {
        let k = libm::tan(std::f64::consts::PI * corner_hz / rate_hz);
        let q = std::f64::consts::FRAC_1_SQRT_2;
        [k, 1.0 / (1.0 + k / q + k * k), q]
    }

    fn poles(k: f64, norm: f64, q: f64) -> [f64; 2] {
        [2.0 * (k * k - 1.0) * norm, (1.0 - k / q + k * k) * norm]
    }

    /// The coefficients `b0 b1 b2 1 a1 a2`.
    pub const fn coefficients(&self) -> [f64; 6] {
        [self.b[0], self.b[1], self.b[2], 1.0, self.a[0], self.a[1]]
    }

    /// The next sample out for the next sample in.
    #[inline]
    pub fn step(&mut self, input: f64) -> f64 {
        let out = self.b[0] * input + self.state[0];
        self.state[0] = self.b[1] * input - self.a[0] * out + self.state[1];
        self.state[1] = self.b[2] * input - self.a[1] * out;
        out
    }
}
