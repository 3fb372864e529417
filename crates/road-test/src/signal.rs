//! The acceleration along the car at each row of the log of motion, and its running means.

use crate::{Motion, axis::Mounting, speed::Track};

/// The acceleration along the car, without slope and pitch.
pub(crate) struct Signal<'a> {
    pub time_s: &'a [f64],
    /// m/s² at each row, positive when the car speeds up.
    pub acceleration: Vec<f64>,
    /// The force along the car as the sensor has it: what is too fast for the body to pitch along.
    pub raw: Vec<f64>,
    sums: Vec<f64>,
}

impl<'a> Signal<'a> {
    pub fn new(motion: &'a Motion, mounting: &Mounting, track: &Track) -> Self {
        let along = crate::speed::along(motion, mounting);
        let acceleration: Vec<f64> =
            motion.time_s.iter().zip(&along).map(|(&time, &force)| track.acceleration(time, force)).collect();
        let mut sums = Vec::with_capacity(acceleration.len());
        let mut sum = 0.0;
        for nth in 0..acceleration.len() {
            if nth > 0 {
                let step = motion.time_s[nth] - motion.time_s[nth - 1];
                sum += (acceleration[nth] + acceleration[nth - 1]) / 2.0 * step;
            }
            sums.push(sum);
        }
        Self { time_s: &motion.time_s, acceleration, raw: along, sums }
    }

    /// The rows between two times.
    pub fn rows(&self, from: f64, to: f64) -> std::ops::Range<usize> {
        let start = self.time_s.partition_point(|&time| time < from);
        start..self.time_s.partition_point(|&time| time <= to).max(start)
    }

    fn sum_at(&self, time_s: f64) -> f64 {
        let last = self.time_s.len() - 1;
        let after = self.time_s.partition_point(|&time| time < time_s);
        if after == 0 {
            return self.sums[0] + (time_s - self.time_s[0]) * self.acceleration[0];
        }
        if after > last {
            return self.sums[last] + (time_s - self.time_s[last]) * self.acceleration[last];
        }
        let (start, end) = (self.time_s[after - 1], self.time_s[after]);
        let share = (time_s - start) / (end - start);
        let at = self.acceleration[after - 1] + (self.acceleration[after] - self.acceleration[after - 1]) * share;
        self.sums[after - 1] + (self.acceleration[after - 1] + at) / 2.0 * (time_s - start)
    }

    /// The mean acceleration over a window around a time.
    pub fn mean(&self, time_s: f64, window_s: f64) -> f64 {
        (self.sum_at(time_s + window_s / 2.0) - self.sum_at(time_s - window_s / 2.0)) / window_s
    }

    /// The mean deceleration over a window around a time.
    pub fn braking(&self, time_s: f64, window_s: f64) -> f64 {
        -self.mean(time_s, window_s)
    }
}
