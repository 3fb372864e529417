//! Windows of samples to figures.

use std::sync::Arc;

use rustfft::{Fft, FftPlanner, num_complex::Complex};

use super::{Biquad, ENVELOPE_HZ, Frame, filter::Cascade};

/// Bands of a sixth of an octave from 40 Hz to 10 240 Hz.
pub const BANDS: usize = 48;
const LOWEST_HZ: f64 = 40.0;
const PER_OCTAVE: f64 = 6.0;

/// The band in which pad and disc are heard: from 1 kHz to 6 kHz, or as high as the recording goes. The project's
/// assumption: rolling and wind lie lower, and phones hear well up to there.
pub fn friction_band(rate_hz: f64) -> (f64, f64) {
    (1000.0, f64::min(6000.0, 0.45 * rate_hz))
}

/// Lower edges of the bands in Hz, and the upper edge of the last.
pub fn band_edges() -> [f64; BANDS + 1] {
    std::array::from_fn(|nth| LOWEST_HZ * libm::exp2(nth as f64 / PER_OCTAVE))
}

/// A bin with less power counts as one with so much, which is far below any recorder's own noise (-300 dB of full scale).
const FAINTEST: f64 = 1e-30;

/// Samples in a window: some 43 ms.
pub(super) fn window_length(rate_hz: u32) -> usize {
    (f64::from(rate_hz) * 0.032).max(64.0) as usize
}

/// Turns samples into frames.
pub(super) struct Framer {
    length: usize,
    hop: usize,
    rate: f64,
    fft: Arc<dyn Fft<f64>>,
    window: Vec<f64>,
    /// Power of the window, so that levels do not depend on its length.
    norm: f64,
    buffer: Vec<Complex<f64>>,
    scratch: Vec<Complex<f64>>,
    spectrum: Vec<f64>,
    bands: [Band; BANDS],
    friction_bins: (usize, usize),
    rumble_bins: usize,
    filters: Cascade,
    heard: Vec<f64>,
    envelope_sum: f64,
    envelope_count: f64,
    per_envelope: f64,
}

/// The samples of a window, one list for each of at most two channels.
pub(super) struct Window<'a> {
    pub left: &'a [f32],
    pub right: Option<&'a [f32]>,
}

/// Sums over the newest hop of samples, by the time signal.
#[derive(Default, Clone, Copy)]
struct Moments {
    second: f64,
    fourth: f64,
    overloaded: f64,
}

impl Framer {
    pub fn new(rate_hz: u32) -> Self {
        let length = window_length(rate_hz).next_power_of_two();
        let rate = f64::from(rate_hz);
        let window: Vec<f64> = (0..length)
            .map(|nth| 0.5 - 0.5 * libm::cos(2.0 * std::f64::consts::PI * nth as f64 / length as f64))
            .collect();
        let fft = FftPlanner::new().plan_fft_forward(length);
        let bin = rate / length as f64;
        let (low, high) = friction_band(rate);
        let bins = length / 2 + 1;
        let at = |frequency: f64| (libm::ceil(frequency / bin) as usize).min(bins);
        Self {
            hop: length / 2,
            norm: 2.0 / (length as f64 * window.iter().map(|value| value * value).sum::<f64>()),
            scratch: vec![Complex::default(); fft.get_inplace_scratch_len()],
            buffer: vec![Complex::default(); length],
            spectrum: vec![0.0; bins],
            bands: bands(bin, bins),
            friction_bins: (at(low), at(high)),
            rumble_bins: at(100.0),
            filters: Cascade::new([
                Biquad::high_pass(low, rate),
                Biquad::high_pass(low, rate),
                Biquad::low_pass(high, rate),
                Biquad::low_pass(high, rate),
            ]),
            heard: Vec::new(),
            envelope_sum: 0.0,
            envelope_count: 0.0,
            per_envelope: rate / ENVELOPE_HZ,
            length,
            rate,
            fft,
            window,
        }
    }

    pub const fn length(&self) -> usize {
        self.length
    }

    pub const fn hop(&self) -> usize {
        self.hop
    }

    /// The frame of a window, of which the second half is new; the envelope goes on.
    pub fn frame(&mut self, samples: &Window<'_>, envelope: &mut Vec<f32>) -> Frame {
        let moments = self.hear(samples, self.length - self.hop, envelope);
        self.transform(samples);
        let count = self.hop as f64;
        let mut frame = Frame {
            bands: [0.0; BANDS],
            friction: 0.0,
            centroid_hz: 0.0,
            flatness: 0.0,
            second_moment: (moments.second / count) as f32,
            fourth_moment: (moments.fourth / count) as f32,
            rumble: self.spectrum[1..self.rumble_bins].iter().sum::<f64>() as f32,
            overloaded: (moments.overloaded / count) as f32,
        };
        for (kept, band) in frame.bands.iter_mut().zip(&self.bands) {
            *kept = band.power(&self.spectrum) as f32;
        }
        let (low, high) = self.friction_bins;
        let bin_hz = self.rate / self.length as f64;
        let (mut power, mut moment, mut logarithms) = (0.0, 0.0, 0.0);
        for (nth, eight) in self.spectrum[low..high].chunks(8).enumerate() {
            let first = (low + 8 * nth) as f64;
            let inside: f64 = eight.iter().sum();
            power += inside;
            moment += first * inside + eight.iter().zip(0..8).map(|(value, at)| value * f64::from(at)).sum::<f64>();
            // A logarithm for every eight bins: their product stays within a double's range.
            logarithms += libm::log(eight.iter().map(|value| value.max(FAINTEST)).product());
        }
        if high > low && power > 0.0 {
            let bins = (high - low) as f64;
            frame.friction = power as f32;
            frame.centroid_hz = (moment / power * bin_hz) as f32;
            frame.flatness = (libm::exp(logarithms / bins) / (power / bins + FAINTEST)) as f32;
        }
        frame
    }

    /// The first half window, which no frame has as its new half.
    pub fn begin(&mut self, samples: &Window<'_>, envelope: &mut Vec<f32>) {
        self.hear(samples, 0, envelope);
    }

    /// The friction band in the time signal of the samples from `new` on.
    fn hear(&mut self, samples: &Window<'_>, new: usize, envelope: &mut Vec<f32>) -> Moments {
        self.heard.clear();
        let left = &samples.left[new..];
        let full = |level: f32| level.abs() >= 0.999;
        let overloaded: u32 = match samples.right.map(|right| &right[new..]) {
            None => {
                self.heard.extend(left.iter().map(|&left| f64::from(left)));
                left.iter().map(|&left| u32::from(full(left))).sum()
            }
            Some(right) => {
                let both = || left.iter().zip(right);
                self.heard.extend(both().map(|(&left, &right)| f64::from(f32::midpoint(left, right))));
                both().map(|(&left, &right)| u32::from(full(left) | full(right))).sum()
            }
        };
        self.filters.run(&mut self.heard);
        let mut moments = Moments { overloaded: f64::from(overloaded), ..Moments::default() };
        let mut rest = &self.heard[..];
        while !rest.is_empty() {
            let missing = libm::ceil(self.per_envelope - self.envelope_count).max(1.0) as usize;
            let (step, later) = rest.split_at(missing.min(rest.len()));
            rest = later;
            let [second, fourth] = sum_powers(step);
            moments.second += second;
            moments.fourth += fourth;
            self.envelope_sum += second;
            self.envelope_count += step.len() as f64;
            if self.envelope_count >= self.per_envelope {
                envelope.push((self.envelope_sum / self.envelope_count) as f32);
                // What is left over of a step goes into the next one, so that the rate is kept.
                self.envelope_count -= self.per_envelope;
                self.envelope_sum = 0.0;
            }
        }
        moments
    }

    /// The power spectrum, averaged over the channels: two real signals go through one complex transform.
    fn transform(&mut self, samples: &Window<'_>) {
        for (nth, value) in self.buffer.iter_mut().enumerate() {
            let window = self.window[nth];
            let right = samples.right.map_or(0.0, |right| f64::from(right[nth]));
            *value = Complex::new(f64::from(samples.left[nth]) * window, right * window);
        }
        self.fft.process_with_scratch(&mut self.buffer, &mut self.scratch);
        // |L|² + |R|² of both spectra: (|Z(k)|² + |Z(N−k)|²) / 2.
        let half = if samples.right.is_some() { 0.25 } else { 0.5 };
        let last = self.length;
        for (nth, power) in self.spectrum.iter_mut().enumerate() {
            let mirrored = if nth == 0 { 0 } else { last - nth };
            *power = (self.buffer[nth].norm_sqr() + self.buffer[mirrored].norm_sqr()) * half * self.norm;
        }
    }
}

/// The sums of the second and fourth powers. Four sums at a time, so that none waits for the one before.
fn sum_powers(samples: &[f64]) -> [f64; 2] {
    let mut sums = [[0.0; 4]; 2];
    let fours = samples.chunks_exact(4);
    let rest = fours.remainder();
    for four in fours {
        for nth in 0..4 {
            let square = four[nth] * four[nth];
            sums[0][nth] += square;
            sums[1][nth] += square * square;
        }
    }
    for (nth, value) in rest.iter().enumerate() {
        let square = value * value;
        sums[0][nth] += square;
        sums[1][nth] += square * square;
    }
    sums.map(|[one, two, three, four]| (one + two) + (three + four))
}

/// The bins of a band, of which the first and the last one may belong to it in part.
#[derive(Debug, Clone, Copy, Default)]
struct Band {
    first: usize,
    share_of_first: f64,
    /// Beyond the bins that are its own whole.
    last: usize,
    share_of_last: f64,
}

impl Band {
    fn power(&self, spectrum: &[f64]) -> f64 {
        let whole: f64 = spectrum.get(self.first + 1..self.last).map_or(0.0, |inside| inside.iter().sum());
        self.share_of_first * spectrum[self.first] + whole + self.share_of_last * spectrum[self.last]
    }
}

/// The bands in a spectrum of bins of so many Hz.
fn bands(bin: f64, bins: usize) -> [Band; BANDS] {
    let edges = band_edges();
    std::array::from_fn(|nth| {
        let share = |at: usize| {
            let (low, high) = ((at as f64 - 0.5) * bin, (at as f64 + 0.5) * bin);
            ((high.min(edges[nth + 1]) - low.max(edges[nth])) / bin).max(0.0)
        };
        let mut inside = (1..bins).filter(|&at| share(at) > 0.0);
        let Some(first) = inside.next() else { return Band::default() };
        let band = Band { first, share_of_first: share(first), ..Band::default() };
        inside.next_back().map_or(band, |last| Band { last, share_of_last: share(last), ..band })
    })
}
