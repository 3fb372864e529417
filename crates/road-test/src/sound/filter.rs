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

/// Four sections one after the other. Each works on what the one before gave a sample ago, so that the processor has four
/// independent sums at a time; what comes out is the same as of one after the other.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cascade {
    b: [[f64; 4]; 3],
    a: [[f64; 4]; 2],
    state: [[f64; 4]; 2],
}

impl Cascade {
    pub const fn new(sections: [Biquad; 4]) -> Self {
        let [p, q, r, s] = sections;
        Self {
            b: [[p.b[0], q.b[0], r.b[0], s.b[0]], [p.b[1], q.b[1], r.b[1], s.b[1]], [p.b[2], q.b[2], r.b[2], s.b[2]]],
            a: [[p.a[0], q.a[0], r.a[0], s.a[0]], [p.a[1], q.a[1], r.a[1], s.a[1]]],
            state: [[0.0; 4]; 2],
        }
    }

    /// Filters samples in their place.
    #[allow(clippy::needless_range_loop, reason = "the same lane of several arrays")]
    pub fn run(&mut self, samples: &mut [f64]) {
        let count = samples.len();
        let mut out = [0.0; 4];
        for turn in 0..count + 3 {
            let input = [if turn < count { samples[turn] } else { 0.0 }, out[0], out[1], out[2]];
            let mut next = [0.0; 4];
            let mut state = [[0.0; 4]; 2];
            for nth in 0..4 {
                next[nth] = self.b[0][nth] * input[nth] + self.state[0][nth];
                state[0][nth] = self.b[1][nth] * input[nth] - self.a[0][nth] * next[nth] + self.state[1][nth];
                state[1][nth] = self.b[2][nth] * input[nth] - self.a[1][nth] * next[nth];
            }
            if turn >= 3 && turn < count {
                self.state = state;
            } else {
                // At both ends some of the sections have nothing to work on.
                for nth in 0..4 {
                    if turn >= nth && turn - nth < count {
                        self.state[0][nth] = state[0][nth];
                        self.state[1][nth] = state[1][nth];
                    }
                }
            }
            out = next;
            if turn >= 3 {
                samples[turn - 3] = out[3];
            }
        }
    }
}
