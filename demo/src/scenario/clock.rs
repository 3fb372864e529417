//! When what is done on a visit: papers, fluid, corner by corner, road, rollers.

use chrono::TimeDelta;
use model::{CornerName, Timestamp};

/// A visit's own time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Clock {
    began_at: Timestamp,
}

/// Times that follow each other.
#[derive(Debug, Clone, Copy)]
pub(super) struct Times {
    next: Timestamp,
    step: TimeDelta,
}

impl Times {
    /// The next of them.
    pub fn next_entry(&mut self) -> Timestamp {
        let at = self.next;
        self.next += self.step;
        at
    }
}

impl Clock {
    pub const fn new(began_at: Timestamp) -> Self {
        Self { began_at }
    }

    fn times_from(self, minute: i64, step_s: i64) -> Times {
        Times { next: self.began_at + TimeDelta::minutes(minute), step: TimeDelta::seconds(step_s) }
    }

    /// The papers are photographed first.
    pub fn papers(self) -> Times {
        self.times_from(2, 67)
    }

    pub fn fluid(self) -> Timestamp {
        self.times_from(9, 0).next
    }

    /// Each corner takes 40 minutes: first it is photographed,
    pub fn photographs_at(self, corner: CornerName) -> Times {
        self.times_from(15 + 40 * corner as i64, 73)
    }

    /// then measured.
    pub fn readings_at(self, corner: CornerName) -> Times {
        self.times_from(30 + 40 * corner as i64, 150)
    }

    /// The rollers come last.
    pub fn rollers_at(self, corner: CornerName) -> Times {
        self.times_from(210 + 2 * corner as i64, 45)
    }
}
