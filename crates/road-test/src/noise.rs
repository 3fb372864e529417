//! The sound of braking against the sound of rolling at the same speed.

use model::{BrakeSound, Braking, Character, SoundFlaw};
use nalgebra::{Matrix3, Vector3};

use crate::{
    figure::estimate,
    sound::{ENVELOPE_HZ, Frame, Sound},
    speed::Track,
};

/// Width of a class of speed in m/s.
const CLASS_M_PER_S: f64 = 2.0;
const SLOWEST_M_PER_S: f64 = 2.0;
/// Frames that a class needs on either side.
const LEAST_FRAMES: usize = 8;
/// Neighbouring frames of noise are alike: so many make one independent look.
const ALIKE: f64 = 3.0;
const REACH_S: f64 = 6.0;

#[derive(Default, Clone)]
struct Class {
    braking: Vec<usize>,
    rolling: Vec<usize>,
}

/// Compares. None where there is no braking at a speed at which the car also rolled.
pub(crate) fn compare(
    sound: &Sound,
    track: &Track,
    brakings: &[Braking],
    rolling: &[(f64, f64)],
) -> Option<BrakeSound> {
    let (shift, is_aligned) = align(sound, track, brakings);
    let frames_in = |from: f64, to: f64| {
        let start = libm::ceil((from - shift) / sound.hop_s - 1.0).max(0.0) as usize;
        let end = (libm::floor((to - shift) / sound.hop_s - 1.0) + 1.0).max(0.0) as usize;
        start.min(sound.frames.len())..end.min(sound.frames.len()).max(start.min(sound.frames.len()))
    };
    let mut classes: Vec<Class> = vec![Class::default(); 64];
    let class_of = |frame: usize| {
        let speed = track.speed_at(sound.time_s(frame) + shift)?;
        let class = (speed / CLASS_M_PER_S) as usize;
        (speed > SLOWEST_M_PER_S && class < 64).then_some(class)
    };
    for braking in brakings {
        for frame in frames_in(braking.from_s + 0.15, braking.to_s - 0.1) {
            if let Some(class) = class_of(frame) {
                classes[class].braking.push(frame);
            }
        }
    }
    for &(from, to) in rolling {
        for frame in frames_in(from + 0.1, to - 0.1) {
            if let Some(class) = class_of(frame) {
                classes[class].rolling.push(frame);
            }
        }
    }
    // Rolling noise changes little between neighbouring classes: each is compared with both sides as well.
    let near = |class: usize| -> Vec<usize> {
        (class.saturating_sub(1)..=(class + 1).min(63)).flat_map(|one| classes[one].rolling.clone()).collect()
    };
    let mut ratios: Vec<(f64, f64)> = Vec::new();
    let (mut all_braking, mut all_rolling) = (Vec::new(), Vec::new());
    for (class, Class { braking: loud, .. }) in classes.iter().enumerate() {
        let quiet = near(class);
        if loud.len() < LEAST_FRAMES || quiet.len() < LEAST_FRAMES {
            continue;
        }
        let friction = |frames: &[usize]| {
            let powers: Vec<f64> = frames.iter().map(|&frame| f64::from(sound.frames[frame].friction)).collect();
            robust(powers)
        };
        let ((above, above_spread), (below, below_spread)) = (friction(loud), friction(&quiet));
        if below <= 0.0 {
            continue;
        }
        let db = 10.0 * libm::log10((above / below).max(1e-6));
        let independent = |count: usize| (count as f64 / ALIKE).max(1.0);
        let relative = above_spread * above_spread / independent(loud.len())
            + below_spread * below_spread / independent(quiet.len());
        let variance = 18.86 * relative + 0.25;
        ratios.push((db, variance / loud.len() as f64 * LEAST_FRAMES as f64));
        all_braking.extend(loud.iter().copied());
        all_rolling.extend(quiet);
    }
    if ratios.is_empty() {
        return None;
    }
    all_rolling.sort_unstable();
    all_rolling.dedup();
    let weights: f64 = ratios.iter().map(|(_, variance)| 1.0 / variance).sum();
    let mean = ratios.iter().map(|(db, variance)| db / variance).sum::<f64>() / weights;
    let scatter = ratios.iter().map(|(db, variance)| (db - mean) * (db - mean) / variance).sum::<f64>()
        / (ratios.len().max(2) - 1) as f64;
    let uncertainty = libm::sqrt(scatter.max(1.0) / weights);
    let mut flaws = find_flaws(sound, &all_braking, &all_rolling);
    if !is_aligned {
        flaws.push(SoundFlaw::NotAligned);
    }
    Some(BrakeSound {
        braking: character(sound, &all_braking),
        rolling: character(sound, &all_rolling),
        grain_db: estimate(mean, uncertainty),
        braking_s: all_braking.len() as f64 * sound.hop_s,
        rolling_s: all_rolling.len() as f64 * sound.hop_s,
        shift_s: shift,
        flaws,
    })
}

/// Mean of the middle eight tenths and the relative spread of them: a gust or a stone is not the brake.
fn robust(mut values: Vec<f64>) -> (f64, f64) {
    values.sort_by(f64::total_cmp);
    let cut = values.len() / 10;
    let kept = &values[cut..values.len() - cut];
    let count = kept.len() as f64;
    let mean = kept.iter().sum::<f64>() / count;
    let square = kept.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / count;
    (mean, if mean > 0.0 { libm::sqrt(square) / mean } else { 0.0 })
}

fn character(sound: &Sound, frames: &[usize]) -> Character {
    let mean = |of: fn(&Frame) -> f32| {
        frames.iter().map(|&frame| f64::from(of(&sound.frames[frame]))).sum::<f64>() / frames.len().max(1) as f64
    };
    let (second, fourth) = (mean(|frame| frame.second_moment), mean(|frame| frame.fourth_moment));
    let kurtosis = {
        // By frame, so that loudness that changes with speed is not taken for grating.
        let ratios = frames.iter().filter_map(|&frame| {
            let Frame { second_moment, fourth_moment, .. } = sound.frames[frame];
            (second_moment > 0.0)
                .then(|| f64::from(fourth_moment) / (f64::from(second_moment) * f64::from(second_moment)))
        });
        let ratios: Vec<f64> = ratios.collect();
        if ratios.is_empty() {
            fourth / (second * second).max(1e-30)
        } else {
            ratios.iter().sum::<f64>() / ratios.len() as f64
        }
    };
    Character {
        level_db: 10.0 * libm::log10(mean(|frame| frame.friction).max(1e-20)),
        centroid_hz: mean(|frame| frame.centroid_hz),
        flatness: mean(|frame| frame.flatness),
        kurtosis,
        roughness: roughness(sound, frames),
    }
}

/// Flicker of the envelope between 15 and 90 Hz over runs of frames: root mean square by the mean.
fn roughness(sound: &Sound, frames: &[usize]) -> f64 {
    const RUN: usize = 80;
    let mut sorted = frames.to_vec();
    sorted.sort_unstable();
    let (mut sum, mut count) = (0.0, 0.0);
    let mut nth = 0;
    while nth < sorted.len() {
        let start = (sound.time_s(sorted[nth]) * ENVELOPE_HZ) as usize;
        let end_time = start as f64 / ENVELOPE_HZ + RUN as f64 / ENVELOPE_HZ;
        let mut last = nth;
        while last + 1 < sorted.len()
            && sorted[last + 1] - sorted[last] == 1
            && sound.time_s(sorted[last + 1]) <= end_time
        {
            last += 1;
        }
        if let Some(run) = sound.envelope.get(start..start + RUN)
            && sound.time_s(sorted[last]) + sound.hop_s >= end_time
        {
            sum += flicker(run);
            count += 1.0;
        }
        nth = last + 1;
    }
    if count > 0.0 { sum / count } else { 0.0 }
}

fn flicker(run: &[f32]) -> f64 {
    let mean = run.iter().map(|&value| f64::from(value)).sum::<f64>() / run.len() as f64;
    if mean <= 0.0 {
        return 0.0;
    }
    let length = run.len() as f64 / ENVELOPE_HZ;
    let turn: Vec<(f64, f64)> =
        (0..run.len()).map(|at| libm::sincos(2.0 * std::f64::consts::PI * at as f64 / run.len() as f64)).collect();
    let mut power = 0.0;
    for nth in libm::ceil(15.0 * length) as usize..=libm::floor(90.0 * length) as usize {
        let (mut cosine, mut sine) = (0.0, 0.0);
        for (at, &value) in run.iter().enumerate() {
            let (s, c) = turn[nth * at % run.len()];
            cosine += f64::from(value) * c;
            sine += f64::from(value) * s;
        }
        power += 2.0 * (cosine * cosine + sine * sine) / (run.len() * run.len()) as f64;
    }
    libm::sqrt(power) / mean
}

/// Rolling grows louder with speed, and braking adds to it: the clocks go together where both explain the loudness best.
fn align(sound: &Sound, track: &Track, brakings: &[Braking]) -> (f64, bool) {
    const STEP_S: f64 = 0.1;
    let start = track.time_s[0];
    // A frame is shorter than a step at every rate that is read.
    let per_step = STEP_S / sound.hop_s;
    let count = (sound.frames.len() as f64 / per_step) as usize;
    let loudness: Vec<f64> = (0..count)
        .map(|nth| {
            let range = (nth as f64 * per_step) as usize..((nth + 1) as f64 * per_step) as usize;
            let power: f64 = sound.frames[range.clone()].iter().map(|frame| f64::from(frame.friction)).sum();
            power / range.len() as f64
        })
        .collect();
    let steps = (2.0 * REACH_S / STEP_S) as usize;
    let first = start - REACH_S;
    // A shift by a step moves every moment to the next one's place: what could make it loud is asked for once.
    let causes: Vec<Option<Vector3<f64>>> = (0..steps + count)
        .map(|nth| {
            let now = first + (nth as f64 + 0.5) * STEP_S;
            let speed = track.speed_at(now)?;
            let brakes = brakings.iter().any(|one| (one.from_s..one.to_s).contains(&now));
            let rubbing = if brakes { speed } else { 0.0 };
            // Rolling grows with some 2.5th power of the speed.
            Some(Vector3::new(1.0, speed * speed * libm::sqrt(speed), rubbing))
        })
        .collect();
    let explained = |nth: usize| {
        let seen: Vec<(Vector3<f64>, f64)> =
            causes[nth..].iter().zip(&loudness).filter_map(|(cause, &loud)| Some(((*cause)?, loud))).collect();
        if seen.len() < 50 { 0.0 } else { explain(&seen) }
    };
    let best = (0..=steps).map(|nth| (explained(nth), first + nth as f64 * STEP_S)).max_by(|a, b| a.0.total_cmp(&b.0));
    match best {
        Some((share, shift)) if share > 0.4 => (shift, true),
        _ => (start, false),
    }
}

/// The share of the loudness that its causes explain; neither speed nor braking makes it quieter.
fn explain(seen: &[(Vector3<f64>, f64)]) -> f64 {
    let (mut sums, mut cross) = (Matrix3::<f64>::zeros(), Vector3::<f64>::zeros());
    let (mut square, mut mean) = (0.0, 0.0);
    for (known, loud) in seen {
        sums += known * known.transpose();
        cross += known * *loud;
        square += loud * loud;
        mean += loud / seen.len() as f64;
    }
    let spread = square - mean * mean * seen.len() as f64;
    for without in [None, Some(2), Some(1)] {
        let (mut sums, mut cross) = (sums, cross);
        if let Some(cause) = without {
            // A cause that is left out has nothing to do with the others and explains nothing.
            for other in 0..3 {
                sums[(cause, other)] = 0.0;
                sums[(other, cause)] = 0.0;
            }
            (sums[(cause, cause)], cross[cause]) = (1.0, 0.0);
        }
        let Some(inverse) = sums.try_inverse() else { continue };
        let share = inverse * cross;
        if share[1] >= 0.0 && share[2] >= 0.0 {
            return ((cross.dot(&share) - mean * mean * seen.len() as f64) / spread.max(1e-30)).clamp(0.0, 1.0);
        }
    }
    0.0
}

fn find_flaws(sound: &Sound, braking: &[usize], rolling: &[usize]) -> Vec<SoundFlaw> {
    let mut flaws = Vec::new();
    let share = |frames: &[usize], is: &dyn Fn(&Frame) -> bool| {
        frames.iter().filter(|&&frame| is(&sound.frames[frame])).count() as f64 / frames.len().max(1) as f64
    };
    if share(braking, &|frame| frame.overloaded > 0.002) > 0.05 {
        flaws.push(SoundFlaw::Overloaded);
    }
    // Wind is far stronger under 100 Hz than rolling, and comes in gusts.
    let rumble =
        |frame: &Frame| f64::from(frame.rumble) / f64::from(frame.bands.iter().sum::<f32>() + frame.rumble).max(1e-20);
    let all: Vec<usize> = braking.iter().chain(rolling).copied().collect();
    if share(&all, &|frame| rumble(frame) > 0.9) > 0.3 {
        flaws.push(SoundFlaw::Windy);
    }
    // Between 100 and 300 Hz a brake adds nothing: where that falls while the friction band rises, the gain fell.
    let low = |frames: &[usize]| {
        let powers: Vec<f64> = frames
            .iter()
            .map(|&frame| sound.frames[frame].bands[8..17].iter().map(|&band| f64::from(band)).sum())
            .collect();
        10.0 * libm::log10(robust(powers).0.max(1e-20))
    };
    let friction = |frames: &[usize]| {
        let powers: Vec<f64> = frames.iter().map(|&frame| f64::from(sound.frames[frame].friction)).collect();
        10.0 * libm::log10(robust(powers).0.max(1e-20))
    };
    if braking.len() > 20
        && rolling.len() > 20
        && low(braking) - low(rolling) < -4.0
        && friction(braking) > friction(rolling)
    {
        flaws.push(SoundFlaw::GainControlled);
    }
    flaws
}
