//! The distances that the trade and the papers name. They disagree; both are shown and never averaged.

use model::{LifeBasis, Source};

use crate::explain::published;

/// A distance that something lasts.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// What it rests on.
    pub basis: LifeBasis,
    /// From new to the mark, in kilometres.
    pub km: f64,
    /// One standard deviation of the logarithm of that distance from car to car (project assumption).
    pub spread: f64,
}

/// A disc: about three sets of pads, 45 000 miles (common practice, no source; 45 000 × 1.609 344).
pub const DISC_BY_THUMB: Rule = Rule { basis: LifeBasis::RuleOfThumb, km: 72_420.48, spread: 0.35 };
/// A disc: up to 300 000 km (Krenkel and Langhof, abstract). An upper end, so that its spread is all to one side.
pub const DISC_BY_PAPER: Rule = Rule { basis: LifeBasis::Paper, km: 300_000.0, spread: 0.0 };
/// A set of pads: about 15 000 miles (common practice, no source; 15 000 × 1.609 344).
pub const PADS_BY_THUMB: Rule = Rule { basis: LifeBasis::RuleOfThumb, km: 24_140.16, spread: 0.35 };

impl Rule {
    /// Where it comes from.
    pub fn source(self) -> Source {
        match self.basis {
            LifeBasis::Paper => {
                published("Krenkel and Langhof, on carbon-ceramic discs: life up to 300 000 km; read in its abstract")
            }
            LifeBasis::RuleOfThumb | LifeBasis::OwnVisits => Source::CommonPractice,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use model::{Odometer, OdometerUnit};

    #[test]
    fn the_rules_of_thumb_are_what_the_trade_says_in_miles() {
        let miles = |figure| Odometer { figure, unit: OdometerUnit::Mi }.km();
        assert!((DISC_BY_THUMB.km - miles(45_000)).abs() < 1e-6);
        assert!((PADS_BY_THUMB.km - miles(15_000)).abs() < 1e-6);
    }
}
