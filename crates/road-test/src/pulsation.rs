//! Pulsation: what comes with the wheel's turns. A disc of uneven thickness pulses once or twice a turn.

use model::{AxleFit, Braking, Order, Pulsation, TyreSize};

use crate::{signal::Signal, speed::Track};

/// Rolling circumference in m: 3.05 times the diameter (ETRTO, from memory); the free tyre has π times. The difference,
/// three percent, is its uncertainty.
pub fn rolling_circumference_m(tyre: &TyreSize) -> f64 {
    let side = f64::from(tyre.width_mm) * f64::from(tyre.aspect_percent) / 100.0;
    3.05 * (f64::from(tyre.rim_in) * 25.4 + 2.0 * side) / 1000.0
}

/// Circumferences that are tried, and the one that fits.
pub(crate) struct Turns {
    pub circumference_m: f64,
}

/// How far a circumference may be from its nominal one.
const TOLERANCE: f64 = 0.035;
/// Where no tyre size is known: those of cars with such brakes.
const WIDEST: (f64, f64) = (1.95, 2.30);
const ORDERS: u8 = 4;
const LEAST_TURNS: f64 = 5.0;
const SLOWEST_M_PER_S: f64 = 2.5;

/// A stretch of drive as acceleration over way.
struct Stretch {
    /// Way of each row in m, from the beginning.
    way: Vec<f64>,
    /// Acceleration without its slow part.
    value: Vec<f64>,
    /// Weight of each row: a Hann window over the way, times the way that the row stands for.
    weight: Vec<f64>,
    total: f64,
    length_m: f64,
    /// The fastest order that the rows can show with a circumference of one metre.
    most: f64,
}

impl Stretch {
    fn of(signal: &Signal<'_>, track: &Track, from: f64, to: f64, circumference: f64) -> Option<Self> {
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
        })
    }

    /// Amplitude and phase at so many periods a metre.
    fn amplitude(&self, per_metre: f64) -> (f64, f64) {
        let (mut cosine, mut sine) = (0.0, 0.0);
        for ((way, value), weight) in self.way.iter().zip(&self.value).zip(&self.weight) {
            let (s, c) = libm::sincos(2.0 * std::f64::consts::PI * per_metre * way);
            cosine += weight * value * c;
            sine += weight * value * s;
        }
        (2.0 * libm::hypot(cosine, sine) / self.total, libm::atan2(sine, cosine))
    }

    /// Independent looks within the window: a Hann window spreads a line over one and a half.
    fn resolution(&self) -> f64 {
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

/// Where a braking is steady and fast enough to look for orders.
fn steady(signal: &Signal<'_>, track: &Track, braking: &Braking) -> Option<(f64, f64)> {
    let from = braking.from_s + braking.rise_s.value.min(0.6);
    let peak = braking.peak_m_per_s2.value;
    let mut to = from;
    while to < braking.to_s - 0.05
        && track.speed_at(to).unwrap_or_default() > SLOWEST_M_PER_S
        && signal.braking(to, 0.3) > 0.45 * peak
    {
        to += 0.02;
    }
    (to - from > 0.5).then_some((from, to))
}

/// Amplitudes of all stretches together, in the mean of their squares weighted by their turns.
fn together(stretches: &[Stretch], per_metre: f64) -> f64 {
    let (mut power, mut length) = (0.0, 0.0);
    for stretch in stretches {
        let (amplitude, _) = stretch.amplitude(per_metre);
        power += amplitude * amplitude * stretch.length_m;
        length += stretch.length_m;
    }
    if length > 0.0 { libm::sqrt(power / length) } else { 0.0 }
}

/// Looks for what comes with the wheel's turns. None where no braking is long and steady enough.
pub(crate) fn find_pulsation(
    signal: &Signal<'_>,
    track: &Track,
    brakings: &[Braking],
    rolling: &[(f64, f64)],
    wheels: [Option<TyreSize>; 2],
) -> Option<Pulsation> {
    let nominal: Vec<f64> = wheels.iter().flatten().map(rolling_circumference_m).collect();
    let middle = if nominal.is_empty() {
        f64::midpoint(WIDEST.0, WIDEST.1)
    } else {
        nominal.iter().sum::<f64>() / nominal.len() as f64
    };
    let steady: Vec<(f64, f64)> = brakings
        .iter()
        .filter(|one| !track.has_gap(one.from_s, one.to_s))
        .filter_map(|one| steady(signal, track, one))
        .collect();
    let cut = |spans: &[(f64, f64)], circumference: f64| -> Vec<Stretch> {
        spans.iter().filter_map(|&(from, to)| Stretch::of(signal, track, from, to, circumference)).collect()
    };
    let stretches = cut(&steady, middle);
    if stretches.is_empty() {
        return None;
    }
    let length: f64 = stretches.iter().map(|one| one.length_m).sum();
    let longest = stretches.iter().max_by(|a, b| a.length_m.total_cmp(&b.length_m))?;
    let most = stretches.iter().map(|one| one.most).fold(f64::INFINITY, f64::min);
    let ranges: Vec<(f64, f64)> = if nominal.is_empty() {
        vec![WIDEST]
    } else {
        nominal.iter().map(|one| (one * (1.0 - TOLERANCE), one * (1.0 + TOLERANCE))).collect()
    };
    // The circumference at which the first two orders are strongest.
    let strength = |circumference: f64| {
        let one = together(&stretches, 1.0 / circumference);
        let two = together(&stretches, 2.0 / circumference);
        one * one + two * two
    };
    let step = (longest.resolution() * middle * middle / 12.0).clamp(0.0005, 0.01);
    let best = |&(low, high): &(f64, f64)| {
        let count = libm::ceil((high - low) / step) as usize;
        (0..=count)
            .map(|nth| low + (high - low) * nth as f64 / count.max(1) as f64)
            .map(|one| (strength(one), one))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .unwrap_or_default()
    };
    let found: Vec<(f64, f64)> = ranges.iter().map(best).collect();
    let (power, circumference) = found.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0))?;
    let axle = match (&found[..], &nominal[..]) {
        ([front, rear], [a, b]) if (a / b - 1.0).abs() > 0.02 && wheels.iter().all(Option::is_some) => {
            if front.0 > 2.0 * rear.0 && power > 0.0 {
                AxleFit::Front
            } else if rear.0 > 2.0 * front.0 {
                AxleFit::Rear
            } else {
                AxleFit::CannotTell
            }
        }
        _ => AxleFit::CannotTell,
    };
    // What is slow is taken out anew, over the turn that was found.
    let (stretches, coasting) = (cut(&steady, circumference), cut(rolling, circumference));
    let longest = stretches.iter().max_by(|a, b| a.length_m.total_cmp(&b.length_m))?;
    let between = [1.3, 1.4, 1.5, 1.6, 1.7, 2.3, 2.4, 2.5, 2.6, 2.7, 3.3, 3.4, 3.5, 3.6, 3.7];
    let squares = between.iter().filter(|&&order| order / circumference < most).map(|&order| {
        let amplitude = together(&stretches, order / circumference);
        amplitude * amplitude
    });
    let squares: Vec<f64> = squares.collect();
    let noise = libm::sqrt(squares.iter().sum::<f64>() / squares.len().max(1) as f64);
    let tried = ranges.iter().map(|(low, high)| (1.0 / low - 1.0 / high) / longest.resolution()).sum::<f64>().max(1.0);
    let looks = stretches.len() as f64;
    // The mean of several squares of noise is gamma-distributed; for one it is exponential.
    let chance = |amplitude: f64| {
        let single = gamma_tail(looks, looks * amplitude * amplitude / (noise * noise).max(1e-12));
        (1.0 - libm::pow(1.0 - single, tried)).clamp(0.0, 1.0)
    };
    let mut steps = (0..200).map(|nth| noise * libm::pow(1.02, f64::from(nth)));
    let floor = steps.find(|&floor| chance(floor) <= 0.01).unwrap_or(50.0 * noise);
    let orders = (1..=ORDERS)
        .filter(|&order| f64::from(order) / circumference < most)
        .map(|order| {
            let per_metre = f64::from(order) / circumference;
            let amplitude = together(&stretches, per_metre);
            let (_, phase) = longest.amplitude(per_metre);
            Order {
                order,
                braking_m_per_s2: libm::sqrt((amplitude * amplitude - noise * noise).max(0.0)),
                uncertainty_m_per_s2: noise / libm::sqrt(2.0 * looks),
                phase_deg: phase.to_degrees().rem_euclid(360.0),
                coasting_m_per_s2: together(&coasting, per_metre),
                floor_m_per_s2: floor,
                chance_of_noise: chance(amplitude),
            }
        })
        .collect();
    let top = (4.5_f64).min(most * circumference);
    let lines = (top / 0.02) as usize;
    Some(Pulsation {
        orders,
        circumference_m: circumference,
        axle,
        turns: length / circumference,
        spectrum: (25..lines)
            .map(|nth| nth as f64 * 0.02)
            .map(|order| (order, together(&stretches, order / circumference)))
            .collect(),
    })
}

/// The upper tail of a gamma distribution with a whole shape: `e^{-x} Σ x^k / k!`.
fn gamma_tail(shape: f64, x: f64) -> f64 {
    let (mut term, mut sum) = (1.0, 0.0);
    let mut k = 0.0;
    while k < shape {
        sum += term;
        k += 1.0;
        term *= x / k;
    }
    (libm::exp(-x) * sum).min(1.0)
}

impl Turns {
    /// The acceleration over a stretch without what comes with the wheel's turns: time and value of each row.
    pub fn without_orders(&self, signal: &Signal<'_>, track: &Track, (from, to): (f64, f64)) -> Vec<(f64, f64)> {
        let rows = signal.rows(from, to);
        let times = &signal.time_s[rows.clone()];
        let mut values = signal.acceleration[rows].to_vec();
        let turns: Vec<f64> =
            times.iter().map(|&time| track.way_at(time).unwrap_or_default() / self.circumference_m).collect();
        let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
        for order in 1..=2 {
            // Least squares for a sine of this order, its phase free.
            let (mut cc, mut ss, mut cs, mut cv, mut sv) = (0.0, 0.0, 0.0, 0.0, 0.0);
            for (turn, value) in turns.iter().zip(&values) {
                let (sine, cosine) = libm::sincos(2.0 * std::f64::consts::PI * f64::from(order) * turn);
                cc += cosine * cosine;
                ss += sine * sine;
                cs += cosine * sine;
                cv += cosine * (value - mean);
                sv += sine * (value - mean);
            }
            let determinant = cc * ss - cs * cs;
            if determinant.abs() < 1e-9 {
                continue;
            }
            let (a, b) = ((cv * ss - sv * cs) / determinant, (sv * cc - cv * cs) / determinant);
            for (turn, value) in turns.iter().zip(&mut values) {
                let (sine, cosine) = libm::sincos(2.0 * std::f64::consts::PI * f64::from(order) * turn);
                *value -= a * cosine + b * sine;
            }
        }
        times.iter().copied().zip(values).collect()
    }
}
