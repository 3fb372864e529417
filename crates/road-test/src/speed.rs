//! The car's speed from the log of position and the force along its axis: a Kalman filter forwards, a smoother backwards
//! (Rauch, Tung, Striebel 1965).
//!
//! The state is the speed, what the force has too much (slope of the road, drift of the sensor), and the share that the
//! car's pitch adds to it: a nose that dives points the phone's axis downwards.

use nalgebra::{Matrix3, Vector3};

use crate::{
    GAP_S, Motion, Position,
    axis::{Mounting, vector},
};

/// Speed and corrected acceleration along the drive.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    /// Seconds by the clock of the log of motion, in steps of some [`STEP_S`].
    pub time_s: Vec<f64>,
    /// Speed in m/s.
    pub speed: Vec<f64>,
    /// Its standard uncertainty in m/s.
    pub speed_u: Vec<f64>,
    /// Way since the start in m.
    pub way_m: Vec<f64>,
    /// What the force has too much at each step, in m/s².
    offset: Vec<f64>,
    /// What pitch makes of the force at each step: its true share is 1 + this.
    scale: Vec<f64>,
    /// Where rows of motion are missing: from, to.
    pub gaps: Vec<(f64, f64)>,
}

/// Longest step of the filter in s; fixes make steps of their own.
const STEP_S: f64 = 0.04;
/// How the slope of the road changes, in m/s² per square root of a second. The project's assumption.
const OFFSET_WALK: f64 = 0.06;
/// How the pitch's share changes, per square root of a second.
const SCALE_WALK: f64 = 0.002;
/// Standard uncertainty of the pitch's share before anything is known.
const SCALE_U: f64 = 0.04;
/// Noise of the mean force over a step, in m/s² for a second.
const FORCE_NOISE: f64 = 0.03;
/// What a car may do while nothing is recorded, in m/s².
const UNKNOWN_ACCELERATION: f64 = 2.5;
/// Standing still: the force varies less than this over a second, in m/s².
const STILL: f64 = 0.045;

/// A speed that is known from elsewhere.
struct Known {
    time_s: f64,
    speed: f64,
    variance: f64,
}

struct Step {
    time_s: f64,
    /// Mean force along the axis since the step before, in m/s²; none in a gap.
    force: Option<f64>,
    known: Option<(f64, f64)>,
}

/// Smooths. Also refines the shift of the position's clock in `mounting`.
pub fn smooth_speed(motion: &Motion, mounting: &mut Mounting, position: Option<&Position>) -> Track {
    let along = along(motion, mounting);
    let still = find_still(motion);
    let mut spread = 1.0;
    let mut track = None;
    // Once as assumed; then with the clock and the receiver's noise as the first look found them.
    for turn in 0..3 {
        let known = know(&still, mounting, position, spread);
        let steps = steps(motion, &along, known);
        let smoothed = run(&steps);
        if let (Some(position), true) = (position, turn < 2) {
            let (shift, found) = refine(&smoothed, mounting, position);
            mounting.position_shift_s += shift;
            spread = found;
        }
        track = Some(smoothed);
    }
    let mut track = track.unwrap_or_else(|| run(&steps(motion, &along, Vec::new())));
    track.gaps =
        motion.time_s.windows(2).filter(|pair| pair[1] - pair[0] > GAP_S).map(|pair| (pair[0], pair[1])).collect();
    track
}

/// The force along the car's axis at each row, without what it is at rest.
pub fn along(motion: &Motion, mounting: &Mounting) -> Vec<f64> {
    let (forward, rest) = (Vector3::from(mounting.forward), Vector3::from(mounting.rest));
    let offset = forward.dot(&rest);
    motion.force.iter().map(|force| forward.dot(&vector(*force)) - offset).collect()
}

/// Times at which the car stood: the middles of seconds in which nothing moved.
pub fn find_still(motion: &Motion) -> Vec<f64> {
    let mut still = Vec::new();
    let (mut first, mut sum, mut squares, mut count) = (0, Vector3::zeros(), 0.0, 0.0);
    for (nth, (&time, force)) in motion.time_s.iter().zip(&motion.force).enumerate() {
        let force = vector(*force);
        sum += force;
        squares += force.norm_squared();
        count += 1.0;
        if time - motion.time_s[first] >= 1.0 {
            let variance: f64 = squares / count - (sum / count).norm_squared();
            if variance.max(0.0) < 3.0 * STILL * STILL && count > 15.0 {
                still.push((time + motion.time_s[first]) / 2.0);
            }
            (first, sum, squares, count) = (nth + 1, Vector3::zeros(), 0.0, 0.0);
            if first >= motion.time_s.len() {
                break;
            }
        }
    }
    still
}

fn know(still: &[f64], mounting: &Mounting, position: Option<&Position>, spread: f64) -> Vec<Known> {
    let mut known: Vec<Known> = Vec::new();
    if let Some(position) = position {
        known.extend(position.fixes.iter().map(|fix| Known {
            time_s: fix.time_s + mounting.position_shift_s,
            speed: fix.speed_m_per_s,
            variance: fix.uncertainty_m_per_s * fix.uncertainty_m_per_s * spread,
        }));
    }
    let stands = |&time: &f64| {
        let near = known.iter().min_by(|a, b| (a.time_s - time).abs().total_cmp(&(b.time_s - time).abs()));
        near.is_none_or(|fix| (fix.time_s - time).abs() > 2.0 || fix.speed < 0.8)
    };
    let standing: Vec<Known> = still
        .iter()
        .copied()
        .filter(|time| stands(time))
        .map(|time_s| Known { time_s, speed: 0.0, variance: 4e-4 })
        .collect();
    known.extend(standing);
    known.sort_by(|one, other| one.time_s.total_cmp(&other.time_s));
    known
}

fn steps(motion: &Motion, along: &[f64], known: Vec<Known>) -> Vec<Step> {
    let (start, end) = (motion.time_s[0], motion.time_s[motion.time_s.len() - 1]);
    let mut known = known.into_iter().filter(|one| one.time_s >= start && one.time_s <= end).peekable();
    let mut steps = vec![Step { time_s: start, force: None, known: None }];
    let (mut row, mut time, mut force) = (0, start, along[0]);
    let (mut sum, mut missing) = (0.0, 0.0);
    let mut next_grid = start + STEP_S;
    while time < end {
        let target = known.peek().map_or(next_grid, |one| one.time_s.min(next_grid)).min(end).max(time);
        // Goes along the rows up to the target, summing trapezoids.
        while time < target {
            let (Some(&later), Some(&value)) = (motion.time_s.get(row + 1), along.get(row + 1)) else { break };
            let until = later.min(target);
            let span = later - motion.time_s[row];
            let at = force + (value - force) * (until - time) / (later - time);
            sum += (force + at) / 2.0 * (until - time);
            if span > GAP_S {
                missing += until - time;
            }
            (time, force) = (until, at);
            if until >= later {
                row += 1;
            }
        }
        let before = steps[steps.len() - 1].time_s;
        let length = target - before;
        let mut measured = None;
        if known.peek().is_some_and(|one| one.time_s <= target) {
            measured = known.next().map(|one| (one.speed, one.variance));
        }
        if length > 0.0 {
            let mean = (missing < 0.5 * length).then_some(sum / length);
            steps.push(Step { time_s: target, force: mean, known: measured });
            (sum, missing) = (0.0, 0.0);
        } else if let Some(step) = steps.last_mut() {
            // Two speeds for one moment: the more certain one.
            if let Some((speed, variance)) = measured
                && step.known.is_none_or(|(_, other)| variance < other)
            {
                step.known = Some((speed, variance));
            }
        }
        if target >= next_grid {
            next_grid = target + STEP_S;
        }
    }
    steps
}

struct Moment {
    predicted: (Vector3<f64>, Matrix3<f64>),
    filtered: (Vector3<f64>, Matrix3<f64>),
    transition: Matrix3<f64>,
}

fn run(steps: &[Step]) -> Track {
    let first = steps.iter().find_map(|step| step.known);
    let mut state = Vector3::new(first.map_or(0.0, |(speed, _)| speed), 0.0, 0.0);
    let speed_u = if first.is_some() { 6.0 } else { 15.0 };
    let mut spread = Matrix3::from_diagonal(&Vector3::new(speed_u * speed_u, 0.25, SCALE_U * SCALE_U));
    let mut moments: Vec<Moment> = Vec::with_capacity(steps.len());
    for (nth, step) in steps.iter().enumerate() {
        let mut transition = Matrix3::identity();
        if nth > 0 {
            let dt = step.time_s - steps[nth - 1].time_s;
            let noise = if let Some(force) = step.force {
                transition[(0, 1)] = -dt;
                transition[(0, 2)] = dt * force;
                state = transition * state + Vector3::new(dt * force, 0.0, 0.0);
                FORCE_NOISE * FORCE_NOISE * dt
            } else {
                UNKNOWN_ACCELERATION * UNKNOWN_ACCELERATION * dt * dt
            };
            spread = transition * spread * transition.transpose();
            spread[(0, 0)] += noise;
            spread[(1, 1)] += OFFSET_WALK * OFFSET_WALK * dt;
            spread[(2, 2)] += SCALE_WALK * SCALE_WALK * dt;
        }
        let predicted = (state, spread);
        if let Some((speed, variance)) = step.known {
            let gain = spread.column(0) / (spread[(0, 0)] + variance);
            state += gain * (speed - state[0]);
            spread -= gain * spread.row(0);
            spread = (spread + spread.transpose()) / 2.0;
        }
        moments.push(Moment { predicted, filtered: (state, spread), transition });
    }
    back(steps, &moments)
}

fn back(steps: &[Step], moments: &[Moment]) -> Track {
    let count = moments.len();
    let mut smoothed = vec![(Vector3::zeros(), Matrix3::zeros()); count];
    smoothed[count - 1] = moments[count - 1].filtered;
    for nth in (0..count - 1).rev() {
        let (state, spread) = moments[nth].filtered;
        let (ahead, ahead_spread) = moments[nth + 1].predicted;
        let gain = ahead_spread
            .try_inverse()
            .map_or_else(Matrix3::zeros, |inverse| spread * moments[nth + 1].transition.transpose() * inverse);
        let (later, later_spread) = smoothed[nth + 1];
        smoothed[nth] =
            (state + gain * (later - ahead), spread + gain * (later_spread - ahead_spread) * gain.transpose());
    }
    let mut way_m = Vec::with_capacity(count);
    let mut way = 0.0;
    for nth in 0..count {
        if nth > 0 {
            let dt = steps[nth].time_s - steps[nth - 1].time_s;
            way += (smoothed[nth].0[0].max(0.0) + smoothed[nth - 1].0[0].max(0.0)) / 2.0 * dt;
        }
        way_m.push(way);
    }
    Track {
        time_s: steps.iter().map(|step| step.time_s).collect(),
        speed: smoothed.iter().map(|(state, _)| state[0].max(0.0)).collect(),
        speed_u: smoothed.iter().map(|(_, spread)| libm::sqrt(spread[(0, 0)].max(0.0))).collect(),
        way_m,
        offset: smoothed.iter().map(|(state, _)| state[1]).collect(),
        scale: smoothed.iter().map(|(state, _)| state[2]).collect(),
        gaps: Vec::new(),
    }
}

/// How much later the log of position runs than assumed, and how much its speeds scatter for what was assumed of them.
fn refine(track: &Track, mounting: &Mounting, position: &Position) -> (f64, f64) {
    let (mut cross, mut square, mut scatter, mut count) = (0.0, 0.0, 0.0, 0.0);
    for fix in &position.fixes {
        let time = fix.time_s + mounting.position_shift_s;
        let (Some(speed), Some(before), Some(after)) =
            (track.speed_at(time), track.speed_at(time - 0.1), track.speed_at(time + 0.1))
        else {
            continue;
        };
        let slope = (after - before) / 0.2;
        let off = fix.speed_m_per_s - speed;
        cross += off * slope;
        square += slope * slope;
        scatter += off * off / (fix.uncertainty_m_per_s * fix.uncertainty_m_per_s);
        count += 1.0;
    }
    if count < 5.0 || square < 1.0 {
        return (0.0, 1.0);
    }
    // A fix that shows the speed of a later moment belongs to that moment.
    let shift = (cross / square).clamp(-0.1, 0.1);
    (shift, (scatter / count).clamp(0.5, 16.0))
}

impl Track {
    fn place(&self, time_s: f64) -> Option<(usize, f64)> {
        let after = self.time_s.partition_point(|&time| time < time_s);
        if after == 0 {
            return (self.time_s.first() == Some(&time_s)).then_some((1, 0.0));
        }
        if after == self.time_s.len() {
            return None;
        }
        let share = (time_s - self.time_s[after - 1]) / (self.time_s[after] - self.time_s[after - 1]);
        Some((after, share))
    }

    fn mix(&self, values: &[f64], time_s: f64) -> Option<f64> {
        self.place(time_s).map(|place| mix_at(values, place))
    }

    /// Speed at a time in m/s.
    pub fn speed_at(&self, time_s: f64) -> Option<f64> {
        self.mix(&self.speed, time_s)
    }

    /// Standard uncertainty of it in m/s.
    pub fn speed_u_at(&self, time_s: f64) -> Option<f64> {
        self.mix(&self.speed_u, time_s)
    }

    /// Way since the start in m.
    pub fn way_at(&self, time_s: f64) -> Option<f64> {
        self.mix(&self.way_m, time_s)
    }

    /// The acceleration in m/s² that a force along the axis stands for: without slope and pitch.
    pub fn acceleration(&self, time_s: f64, along: f64) -> f64 {
        self.place(time_s)
            .map_or(along, |place| along * (1.0 + mix_at(&self.scale, place)) - mix_at(&self.offset, place))
    }

    /// Whether rows are missing between two times.
    pub fn has_gap(&self, from: f64, to: f64) -> bool {
        self.gaps.iter().any(|&(start, end)| start < to && end > from)
    }
}

fn mix_at(values: &[f64], (after, share): (usize, f64)) -> f64 {
    values[after - 1] + (values[after] - values[after - 1]) * share
}
