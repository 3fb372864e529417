//! Each braking of a drive: when, from which speed, how hard, and whether the stop is one that UN Regulation No. 13 would
//! take a mean fully developed deceleration from.

use model::{Braking, BrakingKind, Estimate, FullyDeveloped, NotEvaluable};

use crate::{
    figure::{combined, estimate},
    signal::Signal,
    speed::Track,
};

const BEGINS: f64 = 1.0;
const ENDS: f64 = 0.45;
const ONSET: f64 = 0.3;
const WINDOW_S: f64 = 0.3;
const FINE_S: f64 = 0.1;
const STEP_S: f64 = 0.02;
const SHORTEST_S: f64 = 0.25;
/// Below this first speed a braking is a dab: some 14 km/h.
const DAB_M_PER_S: f64 = 4.0;
const LEAST_ENTRY_M_PER_S: f64 = 5.0;

/// Finds the brakings. `prescribed_m_per_s` is the speed from which stops were to be made, where there is one.
pub(crate) fn find_brakings(signal: &Signal<'_>, track: &Track, prescribed_m_per_s: Option<f64>) -> Vec<Braking> {
    let (start, end) = (signal.time_s[0], signal.time_s[signal.time_s.len() - 1]);
    let mut found = Vec::new();
    let mut time = start;
    while time < end {
        if signal.braking(time, WINDOW_S) < BEGINS || moving(track, time) < 0.7 {
            time += STEP_S;
            continue;
        }
        let mut from = time;
        while from > start && signal.braking(from - STEP_S, FINE_S) > ONSET && time - from < 1.0 {
            from -= STEP_S;
        }
        let mut to = time;
        while to < end && signal.braking(to, WINDOW_S) > ENDS && moving(track, to) > 0.05 {
            to += STEP_S;
        }
        let is_gap_alone = signal.rows(from, to).len() < 8;
        if to - from >= SHORTEST_S && !is_gap_alone {
            found.push(describe(signal, track, (from, to), prescribed_m_per_s));
        }
        time = to.max(time) + STEP_S;
    }
    found
}

fn moving(track: &Track, time_s: f64) -> f64 {
    track.speed_at(time_s).unwrap_or_default()
}

fn describe(signal: &Signal<'_>, track: &Track, (from, to): (f64, f64), prescribed: Option<f64>) -> Braking {
    let speed = |time| estimate(track.speed_at(time).unwrap_or_default(), track.speed_u_at(time).unwrap_or(99.0));
    let (entry, exit) = (speed(from), speed(to));
    let way = |time| track.way_at(time).unwrap_or_default();
    let distance = way(to) - way(from);
    let times = || (0..=libm::ceil((to - from) / STEP_S) as usize).map(|nth| from + nth as f64 * STEP_S);
    let peak = times().map(|time| signal.braking(time, FINE_S)).fold(0.0, f64::max);
    let risen = times().find(|&time| signal.braking(time, FINE_S) >= 0.9 * peak).unwrap_or(to);
    let growth = |time: f64| {
        (signal.braking(time + FINE_S / 2.0, FINE_S) - signal.braking(time - FINE_S / 2.0, FINE_S)) / FINE_S
    };
    let jerk = times().take_while(|&time| time <= risen).map(growth).fold(0.0, f64::max);
    let noise = scatter(signal, from, to);
    Braking {
        kind: if entry.value < DAB_M_PER_S { BrakingKind::LowSpeedDab } else { BrakingKind::Stop },
        from_s: from,
        to_s: to,
        entry_m_per_s: entry,
        exit_m_per_s: exit,
        distance_m: combined(distance, &[entry.uncertainty * (to - from), 0.003 * distance]),
        fully_developed: develop(signal, track, (from, to), prescribed)
            .map_or_else(FullyDeveloped::NotEvaluable, FullyDeveloped::Mean),
        peak_m_per_s2: combined(peak, &[0.02 * peak, noise]),
        rise_s: combined(risen - from, &[STEP_S, FINE_S / 2.0]),
        jerk_m_per_s3: combined(jerk, &[0.03 * jerk, noise * std::f64::consts::SQRT_2 / FINE_S]),
        anti_lock: None,
    }
}

/// How much a mean over a tenth of a second scatters from noise: from the differences of neighbouring rows.
fn scatter(signal: &Signal<'_>, from: f64, to: f64) -> f64 {
    let rows = signal.rows(from, to);
    let values = &signal.acceleration[rows];
    if values.len() < 4 {
        return 0.5;
    }
    let square: f64 = values.windows(2).map(|pair| (pair[1] - pair[0]) * (pair[1] - pair[0])).sum();
    let row = libm::sqrt(square / (2.0 * (values.len() - 1) as f64));
    let in_window = (FINE_S * values.len() as f64 / (to - from)).max(1.0);
    row / libm::sqrt(in_window)
}

/// `dm = (vb² − ve²) / (25.92 (se − sb))` with v in km/h, which is `(vb² − ve²) / (2 (se − sb))` with v in m/s; vb is 0.8 and
/// ve 0.1 of the first speed, sb and se the ways from the first speed to each.
fn develop(
    signal: &Signal<'_>,
    track: &Track,
    (from, to): (f64, f64),
    prescribed: Option<f64>,
) -> Result<Estimate, NotEvaluable> {
    let first = moving(track, from);
    let u = track.speed_u_at(from).unwrap_or(99.0);
    if first < LEAST_ENTRY_M_PER_S {
        return Err(NotEvaluable::WalkingPace);
    }
    if let Some(prescribed_m_per_s) = prescribed
        && first < 0.98 * prescribed_m_per_s
    {
        return Err(NotEvaluable::TooSlow { prescribed_m_per_s });
    }
    let last = moving(track, to);
    if last > 0.1 * first {
        return Err(NotEvaluable::LetGo { at_m_per_s: last });
    }
    if track.has_gap(from, to) {
        return Err(NotEvaluable::Gap);
    }
    if u > 0.05 * first {
        return Err(NotEvaluable::SpeedUnknown { uncertainty_m_per_s: u });
    }
    let reach = |share: f64| {
        let mut time = from;
        while time < to && moving(track, time) > share * first {
            time += 0.005;
        }
        time
    };
    let (early, late) = (reach(0.8), reach(0.1));
    // With so much added to the speed at the beginning and at the end.
    let mean = |begin: f64, end: f64| {
        let speeds = (moving(track, early) + begin, moving(track, late) + end);
        let way = track.way_at(late).unwrap_or_default() - track.way_at(early).unwrap_or_default()
            + (begin + end) / 2.0 * (late - early);
        (speeds.0 * speeds.0 - speeds.1 * speeds.1) / (2.0 * way)
    };
    let middle = signal.rows(early, late);
    let held = -(moving(track, late) - moving(track, early)) / (late - early).max(1e-3);
    let mut eased_s = 0.0;
    let mut time = early;
    while time < late {
        if signal.braking(time, 0.2) < 0.35 * held {
            eased_s += STEP_S;
        }
        time += STEP_S;
    }
    if eased_s > 0.3 {
        return Err(NotEvaluable::Eased);
    }
    if middle.len() < 5 {
        return Err(NotEvaluable::Gap);
    }
    let value = mean(0.0, 0.0);
    // The speed's errors during a stop go together: as a whole, and from one end to the other.
    let u_at = |time: f64| track.speed_u_at(time).unwrap_or_default();
    let whole = mean(u_at(early), u_at(late)) - value;
    let tilted = mean(u_at(early), -u_at(late)) - value;
    Ok(combined(value, &[whole, tilted, 0.003 * value]))
}
