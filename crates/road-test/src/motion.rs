//! The log of a phone's motion: specific force along three axes of an unknown mounting.

use std::io::Read;

use crate::{RecordingError, line::Table};

/// Standard gravity in m/s² (ISO 80000-3:2019, 3-8.2; CGPM 1901).
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// A row later than this after the one before leaves a gap, in s.
pub const GAP_S: f64 = 0.25;

/// Two hours.
const MOST_S: u64 = 2 * 3600;
/// Two hours at 200 rows a second.
const MOST_ROWS: u64 = 1_440_000;
/// A hundred times gravity, in m/s²: phones feel up to 16 times.
const MOST_FORCE: f64 = 1000.0;

/// A log of motion. Rows are in order of time; the spacing may be uneven and have gaps.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Motion {
    /// Seconds of each row, by the recorder's clock.
    pub time_s: Vec<f64>,
    /// Specific force in m/s²: at rest it points up and has the size of gravity.
    pub force: Vec<[f32; 3]>,
}

const TIME: [&str; 5] = ["time_s", "time_ms", "time_ns", "t", "time"];
const TIME_SCALE: [f64; 5] = [1.0, 1e-3, 1e-9, 1.0, 1.0];
const AXES: [[&str; 4]; 3] =
    [["ax_m_s2", "ax_g", "ax", "x"], ["ay_m_s2", "ay_g", "ay", "y"], ["az_m_s2", "az_g", "az", "z"]];
const FORCE_SCALE: [f64; 4] = [1.0, STANDARD_GRAVITY, 1.0, 1.0];
const TURN: [[&str; 3]; 3] =
    [["gx_rad_s", "gx_deg_s", "gx"], ["gy_rad_s", "gy_deg_s", "gy"], ["gz_rad_s", "gz_deg_s", "gz"]];

/// Reads a table with the columns `time_s` (or `time_ms`, `time_ns`) and `ax_m_s2`, `ay_m_s2`, `az_m_s2` (or `ax_g` and so
/// on), gravity included; a column without a unit is in seconds and m/s². Rates of turn (`gx_rad_s` and so on) may stand
/// beside them and are checked, not used.
///
/// # Errors
/// [`RecordingError`] with the line: a column that is missing, what is no finite number, a force that no phone feels, a
/// clock that does not run forward, figures that hold no gravity, more than two hours.
pub fn read_motion(input: impl Read) -> Result<Motion, RecordingError> {
    let mut table = Table::open(input)?;
    let missing = "time_s, ax_m_s2, ay_m_s2, az_m_s2";
    let (time, unit) = table.find(&TIME).ok_or_else(|| table.columns_error(missing))?;
    let mut axes = [(0, 0); 3];
    for (axis, names) in axes.iter_mut().zip(&AXES) {
        *axis = table.find(names).ok_or_else(|| table.columns_error(missing))?;
    }
    let turn: Vec<usize> = TURN.iter().filter_map(|names| Some(table.find(names)?.0)).collect();
    let mut motion = Motion::default();
    let mut start = None;
    while table.next()? {
        let clock = table.number(time, "a time in seconds")? * TIME_SCALE[unit];
        // A clock that counts since 1970 keeps its fractions of a millisecond only without the years.
        let clock = clock - *start.get_or_insert(if clock.abs() > 1e8 { libm::floor(clock) } else { 0.0 });
        if let Some(&before) = motion.time_s.last()
            && clock <= before
        {
            return Err(RecordingError::Clock { line: table.line(), before, after: clock });
        }
        let mut force = [0.0_f32; 3];
        for (value, (column, unit)) in force.iter_mut().zip(axes) {
            let felt = table.number(column, "an acceleration")? * FORCE_SCALE[unit];
            if felt.abs() > MOST_FORCE {
                return Err(table.refuse(column, "an acceleration within 1000 m/s²"));
            }
            *value = felt as f32;
        }
        let first = motion.time_s.first().copied().unwrap_or(clock);
        if clock - first > MOST_S as f64 {
            return Err(RecordingError::TooLong { most: MOST_S, what: "seconds of motion" });
        }
        for &column in &turn {
            table.number(column, "a rate of turn")?;
        }
        if motion.time_s.len() as u64 == MOST_ROWS {
            return Err(RecordingError::TooLong { most: MOST_ROWS, what: "rows" });
        }
        motion.time_s.push(clock);
        motion.force.push(force);
    }
    check(&motion)?;
    Ok(motion)
}

/// Refuses what no phone in a car can have recorded.
fn check(motion: &Motion) -> Result<(), RecordingError> {
    let rows = motion.time_s.len();
    let expected = || "at least 5 s with 20 rows or more in each second".to_owned();
    let length = motion.time_s.last().zip(motion.time_s.first()).map_or(0.0, |(last, first)| last - first);
    if rows < 100 || length < 5.0 || typical_step(&motion.time_s) > 0.051 {
        return Err(RecordingError::TooShort {
            got: format!("{rows} rows of motion in {length:.1} s"),
            expected: expected(),
        });
    }
    let mut sizes: Vec<f64> = motion.force.iter().map(|force| size(*force)).collect();
    let middle = sizes.len() / 2;
    let median = *sizes.select_nth_unstable_by(middle, f64::total_cmp).1;
    if !(8.5..11.5).contains(&median) {
        return Err(RecordingError::Implausible {
            what: "the usual size of the acceleration in m/s²",
            got: format!("{median:.2}"),
            expected: "about 9.8, since gravity is part of it; are columns swapped, in other units, or was gravity taken out?",
        });
    }
    let bits = |force: [f32; 3]| force.map(f32::to_bits);
    let still = motion.force.iter().all(|force| bits(*force) == bits(motion.force[0]));
    if still {
        return Err(RecordingError::Implausible {
            what: "the acceleration",
            got: "the same in every row".to_owned(),
            expected: "a recording that moves; the sensor may have been off",
        });
    }
    Ok(())
}

fn size([x, y, z]: [f32; 3]) -> f64 {
    let square = |value: f32| f64::from(value) * f64::from(value);
    libm::sqrt(square(x) + square(y) + square(z))
}

/// The median step between rows, in s.
pub fn typical_step(time_s: &[f64]) -> f64 {
    let mut steps: Vec<f64> = time_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
    if steps.is_empty() {
        return f64::INFINITY;
    }
    let middle = steps.len() / 2;
    *steps.select_nth_unstable_by(middle, f64::total_cmp).1
}
