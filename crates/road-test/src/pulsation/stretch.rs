//! A stretch of braking or rolling as acceleration over way, and what of it comes so many times a metre.

use crate::{signal::Signal, speed::Track};

const LEAST_TURNS: f64 = 5.0;
/// How far one braking's way may be off against the others': the error of a receiver's speed that stays for some fixes.
const SCALE: f64 = 0.01;

/// A stretch of drive as acceleration over way.
pub(super) struct Stretch {
    /// Way of each row in m, from the beginning.
    way: Vec<f64>,
    /// Acceleration without its slow part.
    value: Vec<f64>,
    /// Weight of each row: a Hann window over the way, times the way that the row stands for.
    weight: Vec<f64>,
    total: f64,
    pub length_m: f64,
    /// The fastest order that the rows can show with a circumference of one metre.
    pub most: f64,
    /// What this stretch's way is too long by, as a factor: its speeds have an error of their own.
    scale: f64,
}

impl Stretch {
    pub fn of(signal: &Signal<'_>, track: &Track, from: f64, to: f64, circumference: f64) -> Option<Self> {
        let rows = signal.rows(from, to);
        let times = &signal.time_s[rows.clone()];
        let mut way = Vec::with_capacity(times.len());
        for &time in times {
            way.push(track.way_at(time)?);
        }
        let (first, last) = (*way.first()?, *way.last()?);
        if last - first < (LEAST_TURNS + 1.0) * circumference {
            return None;
        }
        let raw = &signal.raw[rows];
        let trend = Trend::new(&way, raw);
        let half = circumference / 2.0;
        let (begin, end) = (first + half, last - half);
        let length = end - begin;
        let (mut kept_way, mut value, mut weight) = (Vec::new(), Vec::new(), Vec::new());
        for nth in 1..way.len() - 1 {
            if way[nth] <= begin || way[nth] >= end {
                continue;
            }
            // The mean over one turn holds no order at all.
            value.push(raw[nth] - trend.mean(way[nth] - half, way[nth] + half));
            let hann = 0.5 - 0.5 * libm::cos(2.0 * std::f64::consts::PI * (way[nth] - begin) / length);
            weight.push(hann * (way[nth + 1] - way[nth - 1]) / 2.0);
            kept_way.push(way[nth] - begin);
        }
        let total: f64 = weight.iter().sum();
        let duration = times[times.len() - 1] - times[0];
        let fastest = track.speed_at(times[0])?.max(track.speed_at(times[times.len() - 1])?);
        let rate = times.len() as f64 / duration;
        (total > 0.0).then_some(Self {
            way: kept_way,
            value,
            weight,
            total,
            length_m: length,
            most: 0.4 * rate / fastest,
            scale: 1.0,
        })
    }

    /// Amplitude and phase at so many periods a metre.
    pub fn amplitude(&self, per_metre: f64) -> (f64, f64) {
        let (mut cosine, mut sine) = (0.0, 0.0);
        for ((way, value), weight) in self.way.iter().zip(&self.value).zip(&self.weight) {
            let (s, c) = libm::sincos(2.0 * std::f64::consts::PI * self.scale * per_metre * way);
            cosine += weight * value * c;
            sine += weight * value * s;
        }
        (2.0 * libm::hypot(cosine, sine) / self.total, libm::atan2(sine, cosine))
    }

    /// What the first two orders come to together at a circumference.
    fn strength(&self, circumference: f64) -> f64 {
        let (one, _) = self.amplitude(1.0 / circumference);
        let (two, _) = self.amplitude(2.0 / circumference);
        one * one + two * two
    }

    /// Finds the scale at which the orders are strongest, near one.
    pub fn fit_scale(&mut self, circumference: f64) {
        let reach = (0.5 * self.resolution() * circumference).min(SCALE);
        let tried = (-6..=6).map(|nth| 1.0 + reach * f64::from(nth) / 6.0);
        let strengths = tried.map(|scale| (self.strength(circumference / scale), scale));
        self.scale = strengths.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(1.0, |(_, scale)| scale);
    }

    /// Independent looks within the window: a Hann window spreads a line over one and a half.
    pub fn resolution(&self) -> f64 {
        1.5 / self.length_m
    }
}

/// The running integral of a signal over the way.
struct Trend<'a> {
    way: &'a [f64],
    sums: Vec<f64>,
    values: &'a [f64],
}

impl<'a> Trend<'a> {
    fn new(way: &'a [f64], values: &'a [f64]) -> Self {
        let mut sums = vec![0.0; way.len()];
        for nth in 1..way.len() {
            sums[nth] = sums[nth - 1] + (values[nth] + values[nth - 1]) / 2.0 * (way[nth] - way[nth - 1]);
        }
        Self { way, sums, values }
    }

    fn at(&self, way: f64) -> f64 {
        let after = self.way.partition_point(|&one| one < way).clamp(1, self.way.len() - 1);
        let span = self.way[after] - self.way[after - 1];
        let share = if span > 0.0 { ((way - self.way[after - 1]) / span).clamp(0.0, 1.0) } else { 0.0 };
        let value = self.values[after - 1] + (self.values[after] - self.values[after - 1]) * share;
        self.sums[after - 1] + (self.values[after - 1] + value) / 2.0 * span * share
    }

    fn mean(&self, from: f64, to: f64) -> f64 {
        (self.at(to) - self.at(from)) / (to - from)
    }
}

/// Amplitudes of all stretches together, in the mean of their squares weighted by their turns.
pub(super) fn together(stretches: &[Stretch], per_metre: f64) -> f64 {
    let (mut power, mut length) = (0.0, 0.0);
    for stretch in stretches {
        let (amplitude, _) = stretch.amplitude(per_metre);
        power += amplitude * amplitude * stretch.length_m;
        length += stretch.length_m;
    }
    if length > 0.0 { libm::sqrt(power / length) } else { 0.0 }
}
