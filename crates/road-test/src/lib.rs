//! Recordings of a road test to figures: how fast and how hard each braking was, whether the anti-lock worked, what came
//! with the wheel's turns, and how braking sounds beside rolling. Pure: it reads streams and no clock or file.
//!
//! The inspector's hand, foot and ear stay the judge; these figures stand beside them, each with its uncertainty.

mod antilock;
mod axis;
mod braking;
mod error;
mod figure;
mod line;
mod motion;
mod noise;
mod picture;
mod position;
mod pulsation;
mod signal;
mod sound;
mod speed;
mod trace;

pub use axis::{AxisFrom, Mounting, find_mounting};
pub use error::RecordingError;
pub use motion::{GAP_S, Motion, STANDARD_GRAVITY, read_motion, typical_step};
pub use picture::spectrogram_png;
pub use position::{Fix, Position, read_gpx, read_nmea, read_position_table};
pub use pulsation::rolling_circumference_m;
pub use sound::{
    BANDS, Biquad, ENVELOPE_HZ, Frame, RATES_HZ, Sound, band_edges, friction_band, read_sound, wav_header,
};
pub use speed::{Track, smooth_speed};

use antilock::{find_anti_lock, roughness};
use figure::estimate;
use model::{BrakeSound, Braking, Line, MeasuredDrive, TyreSize};
use pulsation::Turns;
use signal::Signal;

/// The recordings of one drive.
#[derive(Debug, Clone, Copy, Default)]
pub struct Recordings<'a> {
    /// The phone's motion.
    pub motion: Option<&'a Motion>,
    /// Where the car was and how fast.
    pub position: Option<&'a Position>,
    /// What was to be heard.
    pub sound: Option<&'a Sound>,
    /// The tyres of the front and of the rear axle.
    pub wheels: [Option<TyreSize>; 2],
    /// The speed from which stops were to be made, in m/s.
    pub prescribed_m_per_s: Option<f64>,
}

/// A drive, analysed: what it shows, and the speed along it.
#[derive(Debug, Clone, PartialEq)]
pub struct Drive {
    /// What it shows. Which recordings it was measured from, their keeper knows.
    pub seen: MeasuredDrive,
    /// Speed along it.
    pub track: Track,
    /// Acceleration along the car at each row of the log of motion, in m/s².
    pub acceleration: Vec<f64>,
}

/// Analyses the recordings of a drive.
///
/// # Errors
/// [`RecordingError`]: no log of motion; logs that do not belong together; a phone that was moved.
pub fn analyse(recordings: Recordings<'_>) -> Result<Drive, RecordingError> {
    let motion = recordings.motion.ok_or_else(|| RecordingError::TooShort {
        got: "no log of motion".to_owned(),
        expected: "one; position and sound alone show no braking".to_owned(),
    })?;
    let mut mounting = find_mounting(motion, recordings.position)?;
    let track = smooth_speed(motion, &mut mounting, recordings.position);
    let signal = Signal::new(motion, &mounting, &track);
    let brakings = braking::find_brakings(&signal, &track, recordings.prescribed_m_per_s);
    let rolling = find_rolling(&signal, &track, &brakings);
    let rough = roughness(&signal, &rolling);
    let look = |brakings: &[Braking]| pulsation::find_pulsation(&signal, &track, brakings, &rolling, recordings.wheels);
    let pulsation = look(&brakings);
    let turns = Turns { circumference_m: pulsation.as_ref().map_or(2.1, |seen| seen.circumference_m) };
    let judge =
        |braking: Braking| Braking { anti_lock: find_anti_lock(&signal, &track, &turns, &braking, rough), ..braking };
    let seen: Vec<Braking> = brakings.into_iter().map(judge).collect();
    // An anti-lock's swing covers what comes with the turns: only the other stops are looked at.
    let calm: Vec<Braking> =
        seen.iter().filter(|one| !one.anti_lock.as_ref().is_some_and(|seen| seen.worked)).cloned().collect();
    let pulsation = if calm.len() < seen.len() { look(&calm) } else { pulsation };
    let sound = recordings.sound.and_then(|sound| noise::compare(sound, &track, &seen, &rolling));
    let limits = find_limits(&recordings, &mounting, &track, sound.as_ref());
    let trace = trace::thin(motion, &track, &signal.acceleration, recordings.sound.zip(sound.as_ref()));
    let seen = MeasuredDrive {
        recordings: Vec::new(),
        length_s: motion.time_s[motion.time_s.len() - 1] - motion.time_s[0],
        axis_from_position: mounting.from == AxisFrom::Position,
        axis_uncertainty_deg: mounting.uncertainty_deg,
        position_shift_s: recordings
            .position
            .map(|_| estimate(mounting.position_shift_s, mounting.shift_uncertainty_s)),
        brakings: seen,
        pulsation,
        sound,
        limits: limits.into_iter().filter_map(|limit| Line::try_from(limit).ok()).collect(),
        trace,
    };
    Ok(Drive { seen, acceleration: signal.acceleration, track })
}

/// Stretches in which the car rolls, neither braking nor speeding up much: at least a second each.
fn find_rolling(signal: &Signal<'_>, track: &Track, brakings: &[Braking]) -> Vec<(f64, f64)> {
    const STEP_S: f64 = 0.1;
    let (start, end) = (signal.time_s[0], signal.time_s[signal.time_s.len() - 1]);
    let rolls = |time: f64| {
        let braked = brakings.iter().any(|one| time > one.from_s - 0.3 && time < one.to_s + 0.3);
        let change = signal.mean(time, 0.8);
        !braked
            && (-1.0..0.6).contains(&change)
            && track.speed_at(time).is_some_and(|speed| speed > 2.0)
            && !track.has_gap(time - 0.1, time + 0.1)
    };
    let mut stretches = Vec::new();
    let mut from = None;
    for nth in 0..=((end - start) / STEP_S) as usize {
        let time = start + nth as f64 * STEP_S;
        match (rolls(time), from) {
            (true, None) => from = Some(time),
            (false, Some(begun)) => {
                stretches.push((begun, time - STEP_S));
                from = None;
            }
            _ => {}
        }
    }
    stretches.extend(from.map(|begun| (begun, end)));
    stretches.retain(|(from, to)| to - from >= 1.0);
    stretches
}

fn find_limits(
    recordings: &Recordings<'_>,
    mounting: &Mounting,
    track: &Track,
    sound: Option<&BrakeSound>,
) -> Vec<String> {
    let mut limits = Vec::new();
    match recordings.position {
        None => limits.push(
            "without a log of position, speeds rest on the times at which the car stood, and the axis on the strongest motion"
                .to_owned(),
        ),
        Some(position) if position.from_places => {
            limits.push("the log of position tells places and no speeds; speeds are the less certain".to_owned());
        }
        Some(position) if position.passed_over > 0 => {
            limits.push(format!("{} lines of the log of position were passed over as broken", position.passed_over));
        }
        Some(_) => {}
    }
    if mounting.uncertainty_deg > 8.0 {
        limits.push(format!("the car's axis is known to {:.0}° only", mounting.uncertainty_deg));
    }
    if !track.gaps.is_empty() {
        limits.push(format!("the log of motion has {} gaps", track.gaps.len()));
    }
    if let Some(sound) = sound {
        limits.extend(sound.flaws.iter().map(|flaw| flaw.words().to_owned()));
    } else if recordings.sound.is_some() {
        limits.push("the sound has no braking at a speed at which the car also rolled".to_owned());
    }
    limits
}
