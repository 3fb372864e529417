//! How the phone was mounted and how the clocks go together, found from the data: where the car speeds up by the log of
//! position, the force along its axis must follow.

use nalgebra::Vector3;

use crate::{GAP_S, Motion, Position, RecordingError, speed::find_still};

/// Where the forward axis is known from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AxisFrom {
    /// The changes of speed in the log of position.
    Position,
    /// The direction in which the force changes most, braking being stronger than speeding up.
    StrongestMotion,
}

/// The mounting of the phone and the clock of the log of position.
#[derive(Debug, Clone, PartialEq)]
pub struct Mounting {
    /// The car's forward axis in the phone's, a unit vector.
    pub forward: [f64; 3],
    /// Upwards in the phone's axes, a unit vector.
    pub up: [f64; 3],
    /// The force at constant speed on the road's usual slope, in m/s².
    pub rest: [f64; 3],
    /// Where the axis is known from.
    pub from: AxisFrom,
    /// Standard uncertainty of the axis in degrees.
    pub uncertainty_deg: f64,
    /// Add this to a time of the log of position to have the time of the log of motion, in s.
    pub position_shift_s: f64,
    /// Standard uncertainty of it in s.
    pub shift_uncertainty_s: f64,
    /// How much of the force's change the changes of speed explain, 0 to 1.
    pub explained: f64,
}

/// Clocks that both count since 1970 are at most this far apart, in s; else the recordings began within [`APART_S`].
const CLOCKS_S: f64 = 8.0;
const APART_S: f64 = 120.0;
/// The phone turned by more than this in its mount, in degrees.
const MOVED_DEG: f64 = 12.0;

/// The running integral of the force, so that its mean over any stretch is two look-ups; in even steps, so that a look-up is
/// no search.
struct Integral {
    start: f64,
    end: f64,
    /// The integral, and the seconds without rows, up to each step.
    sums: Vec<(Vector3<f64>, f64)>,
}

/// Seconds from one step of the integral to the next.
const EVEN_S: f64 = 0.01;

impl Integral {
    fn new(motion: &Motion) -> Self {
        let (start, end) = (motion.time_s[0], motion.time_s[motion.time_s.len() - 1]);
        let steps = ((end - start) / EVEN_S) as usize + 1;
        let mut sums = Vec::with_capacity(steps);
        let (mut row, mut sum, mut gap) = (0, Vector3::zeros(), 0.0);
        for step in 0..steps {
            let time = start + step as f64 * EVEN_S;
            while row + 2 < motion.time_s.len() && motion.time_s[row + 1] <= time {
                let span = motion.time_s[row + 1] - motion.time_s[row];
                sum += (vector(motion.force[row + 1]) + vector(motion.force[row])) * (span / 2.0);
                gap += if span > GAP_S { span } else { 0.0 };
                row += 1;
            }
            let (from, span) = (motion.time_s[row], motion.time_s[row + 1] - motion.time_s[row]);
            let (before, after) = (vector(motion.force[row]), vector(motion.force[row + 1]));
            let into = (time - from).clamp(0.0, span);
            let at = before + (after - before) * (into / span);
            sums.push((sum + (before + at) * (into / 2.0), gap + if span > GAP_S { into } else { 0.0 }));
        }
        Self { start, end, sums }
    }

    fn at(&self, time_s: f64) -> Option<(Vector3<f64>, f64)> {
        if !(time_s > self.start && time_s < self.end) {
            return None;
        }
        let place = (time_s - self.start) / EVEN_S;
        let before = place as usize;
        let (from, to) = (self.sums.get(before)?, self.sums.get(before + 1)?);
        let share = place - before as f64;
        Some((from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share))
    }

    /// The mean force over a stretch; none where rows are missing.
    fn mean(&self, from: f64, to: f64) -> Option<Vector3<f64>> {
        let ((first, gaps_before), (last, gaps_after)) = (self.at(from)?, self.at(to)?);
        (gaps_after - gaps_before < 0.1 * (to - from)).then(|| (last - first) / (to - from))
    }
}

pub(crate) fn vector(force: [f32; 3]) -> Vector3<f64> {
    Vector3::new(f64::from(force[0]), f64::from(force[1]), f64::from(force[2]))
}

/// Stretches between fixes with the change of speed over each.
struct Stretch {
    from: f64,
    to: f64,
    change: f64,
}

/// Sums of a regression of the force on the change of speed.
#[derive(Default)]
struct Regression {
    count: f64,
    change: f64,
    change_square: f64,
    force: Vector3<f64>,
    cross: Vector3<f64>,
    force_square: f64,
}

impl Regression {
    fn of(integral: &Integral, stretches: &[Stretch], shift: f64) -> Self {
        let mut sums = Self::default();
        for stretch in stretches {
            let Some(force) = integral.mean(stretch.from + shift, stretch.to + shift) else { continue };
            sums.count += 1.0;
            sums.change += stretch.change;
            sums.change_square += stretch.change * stretch.change;
            sums.force += force;
            sums.cross += force * stretch.change;
            sums.force_square += force.norm_squared();
        }
        sums
    }

    fn variance(&self) -> f64 {
        self.change_square / self.count - (self.change / self.count) * (self.change / self.count)
    }

    /// m/s² of force for each m/s² of change of speed, along each axis.
    fn slope(&self) -> Vector3<f64> {
        (self.cross / self.count - self.force * (self.change / self.count / self.count)) / self.variance()
    }

    fn rest(&self) -> Vector3<f64> {
        self.force / self.count - self.slope() * (self.change / self.count)
    }

    fn force_variance(&self) -> f64 {
        self.force_square / self.count - (self.force / self.count).norm_squared()
    }

    /// The share of the force's change that is explained.
    fn explained(&self, needed: f64) -> f64 {
        if self.count < needed || self.variance() < 1e-6 {
            return 0.0;
        }
        (self.slope().norm_squared() * self.variance() / self.force_variance().max(1e-9)).min(1.0)
    }
}

/// Finds the mounting; with a log of position, its clock too.
///
/// # Errors
/// [`RecordingError::Implausible`] where the phone was moved in its mount, or where the logs do not belong together.
pub fn find_mounting(motion: &Motion, position: Option<&Position>) -> Result<Mounting, RecordingError> {
    let integral = Integral::new(motion);
    check_held(&integral)?;
    position.map_or_else(|| find_by_motion(motion), |position| find_by_position(motion, &integral, position))
}

fn find_by_position(motion: &Motion, integral: &Integral, position: &Position) -> Result<Mounting, RecordingError> {
    let stretches: Vec<Stretch> = position
        .fixes
        .windows(2)
        .filter(|pair| pair[1].time_s - pair[0].time_s < 3.5)
        .map(|pair| Stretch {
            from: pair[0].time_s,
            to: pair[1].time_s,
            change: (pair[1].speed_m_per_s - pair[0].speed_m_per_s) / (pair[1].time_s - pair[0].time_s),
        })
        .collect();
    let (first_motion, first_fix) = (motion.time_s[0], position.fixes[0].time_s);
    let is_one_clock = (first_motion - first_fix).abs() < 3600.0 * 12.0 && first_fix > 1e8;
    let (middle, reach) = if is_one_clock { (0.0, CLOCKS_S) } else { (first_motion - first_fix, APART_S) };
    let both_small = first_fix < 1e8;
    let middle = if both_small { 0.0 } else { middle };
    // Enough stretches must lie on both logs, or a shift with next to nothing in common would explain it best.
    let needed = (stretches.len() as f64 * 0.5).max(5.0);
    let explained = |shift: f64| Regression::of(integral, &stretches, shift).explained(needed);
    let best = |from: f64, to: f64, step: f64| {
        let count = libm::round((to - from) / step) as usize;
        let shifts = (0..=count).map(|nth| from + nth as f64 * step);
        shifts.map(|shift| (explained(shift), shift)).max_by(|one, other| one.0.total_cmp(&other.0)).unwrap_or_default()
    };
    let (_, coarse) = best(middle - reach, middle + reach, 0.1);
    let (share, shift) = best(coarse - 0.15, coarse + 0.15, 0.01);
    if share < 0.25 {
        return Err(RecordingError::Implausible {
            what: "the share of the force's change that the log of position explains",
            got: format!("{:.0} %", share * 100.0),
            expected: "most of it; do the two logs belong to one drive, and was the phone fixed?",
        });
    }
    let sums = Regression::of(integral, &stretches, shift);
    let (slope, rest) = (sums.slope(), sums.rest());
    let residual = (1.0 - share) * sums.force_variance();
    // The curve of the explained share at its top, in terms of the residual's size.
    let step = 0.1;
    let bend = (2.0 * share - explained(shift - step) - explained(shift + step)).max(1e-6) / (step * step);
    Ok(Mounting {
        forward: slope.normalize().into(),
        up: rest.normalize().into(),
        rest: rest.into(),
        from: AxisFrom::Position,
        uncertainty_deg: libm::atan(libm::sqrt(residual / (2.0 * sums.count * sums.variance())) / slope.norm())
            .to_degrees(),
        position_shift_s: shift,
        shift_uncertainty_s: libm::sqrt(2.0 * (1.0 - share).max(1e-4) / (bend * sums.count)),
        explained: share,
    })
}

/// Without a log of position: the direction in the road's plane in which the force varies most, so turned that the car
/// drives forwards between the times at which it stood; where it never stood, that the stronger changes are brakings.
fn find_by_motion(motion: &Motion) -> Result<Mounting, RecordingError> {
    let rest = median(motion);
    let up = rest.normalize();
    let flat: Vec<Vector3<f64>> =
        smooth(motion).into_iter().map(|force| force - rest).map(|force| force - up * up.dot(&force)).collect();
    let spread = flat.iter().map(|force| force * force.transpose()).sum::<nalgebra::Matrix3<f64>>() / flat.len() as f64;
    let eigen = spread.symmetric_eigen();
    let largest = eigen.eigenvalues.imax();
    let mut forward: Vector3<f64> = eigen.eigenvectors.column(largest).into();
    let mut values: Vec<f64> = eigen.eigenvalues.iter().copied().collect();
    values.sort_by(f64::total_cmp);
    let lean: f64 = flat.iter().map(|force| forward.dot(force)).map(|along| along * along * along).sum();
    let way = way_between_stands(motion, &forward, &rest);
    if way.map_or(lean > 0.0, |way| way < 0.0) {
        forward = -forward;
    }
    if values[2] < 0.02 {
        return Err(RecordingError::Implausible {
            what: "the change of the acceleration along the road in m/s²",
            got: format!("{:.2}", libm::sqrt(values[2])),
            expected: "a drive with brakings, or a log of position beside it",
        });
    }
    let ratio = libm::sqrt(values[1].max(0.0) / values[2]);
    Ok(Mounting {
        forward: forward.into(),
        up: up.into(),
        rest: rest.into(),
        from: AxisFrom::StrongestMotion,
        uncertainty_deg: libm::atan(ratio).to_degrees() / 2.0,
        position_shift_s: 0.0,
        shift_uncertainty_s: 0.0,
        explained: 1.0 - ratio * ratio,
    })
}

/// The way in m that the force along this axis makes between the times at which the car stood, at which its speed is nothing
/// whatever the force adds up to; none where it did not stand twice with a drive between.
fn way_between_stands(motion: &Motion, forward: &Vector3<f64>, rest: &Vector3<f64>) -> Option<f64> {
    /// The car moved between two stands that are farther apart, in s.
    const DROVE_S: f64 = 3.0;
    let still = find_still(motion);
    let drives: Vec<(f64, f64)> =
        still.windows(2).map(|pair| (pair[0], pair[1])).filter(|(from, to)| to - from > DROVE_S).collect();
    let way = |&(from, to): &(f64, f64)| {
        let (mut speed, mut way) = (0.0, 0.0);
        for (times, force) in motion.time_s.windows(2).zip(&motion.force) {
            if times[0] < from || times[1] > to {
                continue;
            }
            let step = times[1] - times[0];
            way += speed * step;
            speed += forward.dot(&(vector(*force) - rest)) * step;
        }
        // What is left of the speed at the end crept in on the way, evenly.
        way - speed * (to - from) / 2.0
    };
    (!drives.is_empty()).then(|| drives.iter().map(way).sum())
}

/// The force in steps of a tenth of a second.
fn smooth(motion: &Motion) -> Vec<Vector3<f64>> {
    let mut steps = Vec::new();
    let (mut sum, mut count, mut end) = (Vector3::zeros(), 0.0, motion.time_s[0] + 0.1);
    for (time, force) in motion.time_s.iter().zip(&motion.force) {
        if *time >= end && count > 0.0 {
            steps.push(sum / count);
            (sum, count, end) = (Vector3::zeros(), 0.0, time + 0.1);
        }
        sum += vector(*force);
        count += 1.0;
    }
    steps
}

fn median(motion: &Motion) -> Vector3<f64> {
    let middle = motion.force.len() / 2;
    Vector3::from_fn(|axis, _| {
        let mut values: Vec<f32> = motion.force.iter().map(|force| force[axis]).collect();
        f64::from(*values.select_nth_unstable_by(middle, f32::total_cmp).1)
    })
}

/// The phone must keep its place: where the mean force turns from one part of the drive to another, it was moved.
fn check_held(integral: &Integral) -> Result<(), RecordingError> {
    const PARTS: usize = 5;
    let (start, end) = (integral.start, integral.end);
    let length = (end - start) / PARTS as f64;
    if length < 40.0 {
        // Too short: a braking alone turns the mean as far.
        return Ok(());
    }
    let means: Vec<Option<Vector3<f64>>> = (0..PARTS)
        .map(|part| {
            let from = (start + part as f64 * length).max(start + 1e-9);
            integral.mean(from, (from + length).min(end))
        })
        .collect();
    for part in 1..PARTS {
        let (Some(before), Some(now)) = (means[part - 1], means[part]) else { continue };
        let turned = before.angle(&now).to_degrees();
        if turned > MOVED_DEG {
            return Err(RecordingError::Implausible {
                what: "the turn of the phone in its mount in degrees",
                got: format!("{turned:.0}, about {:.0} s after the start", part as f64 * length),
                expected: "none; fix the phone, and record again",
            });
        }
    }
    Ok(())
}
