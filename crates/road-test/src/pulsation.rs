//! Pulsation: what comes with the wheel's turns. A disc of uneven thickness pulses once or twice a turn.

mod order;
mod stretch;

use model::{AxleFit, Braking, Pulsation, TyreSize};

use crate::{signal::Signal, speed::Track};
use order::tell;
use stretch::{Stretch, together};

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
/// Chance of noise under which an order is sure enough to measure the way by.
const SURE: f64 = 1e-6;
const ORDERS: u8 = 4;
const SLOWEST_M_PER_S: f64 = 2.5;

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
    let (mut stretches, coasting) = (cut(&steady, circumference), cut(rolling, circumference));
    let longest = stretches.iter().max_by(|a, b| a.length_m.total_cmp(&b.length_m))?;
    let tried = ranges.iter().map(|(low, high)| (1.0 / low - 1.0 / high) / longest.resolution()).sum::<f64>().max(1.0);
    // What is surely there may show how far each braking's way is off; noise would be sought out by it.
    let is_sure = |order| tell(order, circumference, tried, &stretches, &coasting).chance_of_noise < SURE;
    if (1..=2).any(is_sure) {
        for stretch in &mut stretches {
            stretch.fit_scale(circumference);
        }
    }
    let orders = (1..=ORDERS)
        .filter(|&order| f64::from(order) / circumference < most)
        .map(|order| tell(order, circumference, tried, &stretches, &coasting))
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
