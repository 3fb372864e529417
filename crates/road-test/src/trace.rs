//! A drive over time, thinned to what a page can show.

use model::{BrakeSound, DriveTrace};

use crate::{Motion, Sound, speed::Track};

/// Steps of a trace: a page is no wider.
const STEPS: usize = 480;
/// No recording is quieter, in dB under full scale.
const SILENCE_DB: f64 = -120.0;

/// Two digits after the point: finer than a page can show.
fn cut(value: f64) -> f64 {
    libm::round(value * 100.0) / 100.0
}

pub(crate) fn thin(
    motion: &Motion,
    track: &Track,
    acceleration: &[f64],
    heard: Option<(&Sound, &BrakeSound)>,
) -> DriveTrace {
    let (from, to) = (motion.time_s[0], motion.time_s[motion.time_s.len() - 1]);
    let count = STEPS.min(motion.time_s.len()).max(1);
    let step = (to - from) / count as f64;
    let mut trace = DriveTrace { from_s: cut(from), step_s: step, ..DriveTrace::default() };
    let mut row = 0;
    for nth in 0..count {
        let (begin, end) = (from + nth as f64 * step, from + (nth + 1) as f64 * step);
        trace.speed_km_h.push(cut(track.speed_at((begin + end) / 2.0).unwrap_or_default() * 3.6));
        let first = row;
        while row < motion.time_s.len() && motion.time_s[row] < end {
            row += 1;
        }
        // A step in a gap of the log has no row: it is drawn at rest.
        let rows = &acceleration[first.min(acceleration.len())..row.min(acceleration.len())];
        let least = rows.iter().map(|value| -value).min_by(f64::total_cmp).unwrap_or_default();
        let greatest = rows.iter().map(|value| -value).max_by(f64::total_cmp).unwrap_or_default();
        trace.least_m_per_s2.push(cut(least));
        trace.greatest_m_per_s2.push(cut(greatest));
    }
    if let Some((sound, seen)) = heard {
        trace.sound_db = (0..count)
            .map(|nth| {
                let at = |time: f64| libm::floor((time - seen.shift_s - sound.time_s(0)) / sound.hop_s);
                let (begin, end) = (at(from + nth as f64 * step), at(from + (nth + 1) as f64 * step));
                if end <= 0.0 || begin >= sound.frames.len() as f64 {
                    return None;
                }
                let begin = (begin.max(0.0) as usize).min(sound.frames.len() - 1);
                let frames = &sound.frames[begin..(end.max(0.0) as usize).clamp(begin + 1, sound.frames.len())];
                let power = frames.iter().map(|frame| f64::from(frame.friction)).sum::<f64>() / frames.len() as f64;
                Some(cut((10.0 * libm::log10(power.max(1e-12))).max(SILENCE_DB)))
            })
            .collect();
    }
    trace
}
