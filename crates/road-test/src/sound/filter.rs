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
    pub fn run(&mut self, samples: &mut [f64]) {
        let count = samples.len();
        let mut out = [0.0; 4];
        // At both ends some of the sections have nothing to work on.
        let whole = 3..count.max(3);
        for turn in 0..whole.start {
            self.turn_some(samples, turn, &mut out);
        }
        let (b, a, mut state) = (self.b, self.a, self.state);
        for turn in whole.clone() {
            let input = [samples[turn], out[0], out[1], out[2]];
            out = std::array::from_fn(|nth| b[0][nth] * input[nth] + state[0][nth]);
            // What does not wait for the newest value is summed first.
            state[0] = std::array::from_fn(|nth| (b[1][nth] * input[nth] + state[1][nth]) - a[0][nth] * out[nth]);
            state[1] = std::array::from_fn(|nth| b[2][nth] * input[nth] - a[1][nth] * out[nth]);
            samples[turn - 3] = out[3];
        }
        self.state = state;
        for turn in whole.end..count + 3 {
            self.turn_some(samples, turn, &mut out);
        }
    }

    /// A turn in which only those sections work that have a sample.
    fn turn_some(&mut self, samples: &mut [f64], turn: usize, out: &mut [f64; 4]) {
        let input = [samples.get(turn).copied().unwrap_or_default(), out[0], out[1], out[2]];
        for nth in (0..4).filter(|nth| (*nth..*nth + samples.len()).contains(&turn)) {
            let (b, a) = (self.b.map(|b| b[nth]), self.a.map(|a| a[nth]));
            out[nth] = b[0] * input[nth] + self.state[0][nth];
            self.state[0][nth] = (b[1] * input[nth] + self.state[1][nth]) - a[0] * out[nth];
            self.state[1][nth] = b[2] * input[nth] - a[1] * out[nth];
        }
        if let Some(sample) = turn.checked_sub(3).and_then(|nth| samples.get_mut(nth)) {
            *sample = out[3];
        }
    }
}
