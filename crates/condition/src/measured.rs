//! What was measured on the whole car, or of a disc's shape, held against its limit.

mod fluid;
mod heat;
mod road;
mod roller;
mod shape;

pub use fluid::{is_below_wet, wet_point};
pub use roller::{RollerRule, figures as roller_figures};

use model::{Explanation, Inspection, Measured, Outcome, Source};

use crate::chance::HALF_WIDTH_95;
use crate::explain::Estimate;

/// Everything of it, the roller tester first.
pub fn list(inspection: &Inspection) -> Vec<Measured> {
    let mut all = roller::list(inspection);
    all.extend(fluid::list(inspection));
    all.extend(shape::list(inspection));
    all.extend(heat::list(inspection));
    all.extend(road::list(inspection));
    all
}

/// Which side of its limit a value must stay on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    AtLeast,
    AtMost,
}

/// A value with its limit, and how it stands against it.
struct Held {
    what: String,
    estimate: Estimate,
    unit: &'static str,
    limit: Option<(Side, f64)>,
    source: Source,
}

impl Held {
    fn judge(self) -> Measured {
        let (value, reach) = (self.estimate.value, HALF_WIDTH_95 * self.estimate.uncertainty);
        let outcome = match self.limit {
            None => Outcome::NoLimit,
            Some((_, limit)) if (value - limit).abs() < reach => Outcome::TooClose,
            Some((Side::AtLeast, limit)) if value < limit => Outcome::Beyond,
            Some((Side::AtMost, limit)) if value > limit => Outcome::Beyond,
            Some(_) => Outcome::Within,
        };
        Measured {
            what: self.what,
            value: self.estimate.into_figure(),
            unit: self.unit.to_owned(),
            limit: self.limit.map(|(_, limit)| limit),
            outcome,
            source: self.source,
        }
    }
}

fn estimate(value: f64, uncertainty: f64, because: Explanation) -> Estimate {
    Estimate { value, uncertainty, because }
}
