//! Whether the anti-lock worked: it lets the brake go and takes hold again some three to twelve times a second, whatever
//! the speed, while what a wheel does comes with its turns.

use model::{AntiLockSeen, Braking, BrakingKind};

use crate::{STANDARD_GRAVITY, figure::combined, pulsation::Turns, signal::Signal, speed::Track};

const LOW_HZ: f64 = 2.6;
const HIGH_HZ: f64 = 13.0;
/// Least modulation that is called one, in m/s². The project's assumption.
const LEAST: f64 = 0.26;
const WINDOW_S: f64 = 0.5;
const SLOWEST_M_PER_S: f64 = 2.5;

/// Looks at a braking; none where it is too short or too slow to tell. `rough` is what the road does in the same band
/// while nothing brakes, in m/s².
pub(crate) fn find_anti_lock(
    signal: &Signal<'_>,
    track: &Track,
    turns: &Turns,
    braking: &Braking,
    rough: f64,
) -> Option<AntiLockSeen> {
    if braking.kind == BrakingKind::LowSpeedDab {
        return None;
    }
    let peak = braking.peak_m_per_s2.value;
    let from = braking.from_s + (braking.rise_s.value + 0.1).min(0.6);
    let mut to = from;
    while to < braking.to_s - 0.1
        && track.speed_at(to).unwrap_or_default() > SLOWEST_M_PER_S
        && signal.braking(to, 0.4) > 0.4 * peak
    {
        to += 0.02;
    }
    if to - from < 2.0 * WINDOW_S {
        return None;
    }
    let rest = turns.without_orders(signal, track, (from, to));
    let mut windows = Vec::new();
    let mut time = from;
    while time + WINDOW_S <= to + 1e-9 {
        windows.push(modulation(&rest, time, time + WINDOW_S));
        time += WINDOW_S / 2.0;
    }
    windows.sort_by(f64::total_cmp);
    // A pothole shakes one window; an anti-lock most of them.
    let persistent = windows[windows.len() * 2 / 5];
    let threshold = LEAST.max(2.5 * rough);
    let worked = persistent > threshold && peak > 1.5;
    let mean = -(track.speed_at(to)? - track.speed_at(from)?) / (to - from);
    let adhesion = worked.then(|| {
        let value = mean / STANDARD_GRAVITY;
        combined(value, &[0.02 * value, 0.03])
    });
    Some(AntiLockSeen { worked, modulation_m_per_s2: persistent, threshold_m_per_s2: threshold, adhesion })
}

/// What the road does in the band while the car rolls, in m/s²: the median over its stretches.
pub(crate) fn roughness(signal: &Signal<'_>, stretches: &[(f64, f64)]) -> f64 {
    let mut windows = Vec::new();
    for &(from, to) in stretches {
        let rows = signal.rows(from, to);
        let samples: Vec<(f64, f64)> =
            signal.time_s[rows.clone()].iter().copied().zip(signal.acceleration[rows].iter().copied()).collect();
        let mut time = from;
        while time + WINDOW_S <= to {
            windows.push(modulation(&samples, time, time + WINDOW_S));
            time += WINDOW_S;
        }
    }
    if windows.is_empty() {
        return 0.0;
    }
    let middle = windows.len() / 2;
    *windows.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// Root mean square of the part of the samples that has a frequency of the band, over a window.
fn modulation(samples: &[(f64, f64)], from: f64, to: f64) -> f64 {
    let start = samples.partition_point(|&(time, _)| time < from);
    let end = samples.partition_point(|&(time, _)| time < to);
    let window = &samples[start..end];
    if window.len() < 8 {
        return 0.0;
    }
    let length = to - from;
    let count = window.len() as f64;
    // A straight line is no modulation.
    let (mut time_mean, mut value_mean) = (0.0, 0.0);
    for (time, value) in window {
        time_mean += time / count;
        value_mean += value / count;
    }
    let (mut cross, mut square) = (0.0, 0.0);
    for (time, value) in window {
        cross += (time - time_mean) * (value - value_mean);
        square += (time - time_mean) * (time - time_mean);
    }
    let slope = cross / square.max(1e-12);
    let mut power = 0.0;
    let mut nth = libm::ceil(LOW_HZ * length);
    while nth / length <= HIGH_HZ {
        let (mut cosine, mut sine) = (0.0, 0.0);
        for (time, value) in window {
            let angle = 2.0 * std::f64::consts::PI * nth * (time - from) / length;
            let value = value - value_mean - slope * (time - time_mean);
            cosine += value * libm::cos(angle);
            sine += value * libm::sin(angle);
        }
        power += 2.0 * (cosine * cosine + sine * sine) / (count * count);
        nth += 1.0;
    }
    libm::sqrt(power)
}
