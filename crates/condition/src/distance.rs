//! The distance that the car has run beside what rules allow for: a comparison, never evidence of wear.

use model::{DistanceComparison, Evidence, Inspection, LifeBasis};

use crate::number::{distance, percent_alone};
use crate::rule::{DISC_BY_PAPER, DISC_BY_THUMB, Rule};

/// One comparison with each rule.
pub fn compare(inspection: &Inspection) -> Vec<DistanceComparison> {
    [DISC_BY_THUMB, DISC_BY_PAPER].into_iter().map(|rule| against(inspection, rule)).collect()
}

fn against(inspection: &Inspection, rule: Rule) -> DistanceComparison {
    let (run, unit) = (inspection.car.odometer.km(), inspection.car.odometer.unit);
    let share = run / rule.km;
    let words = match rule.basis {
        LifeBasis::Paper => "a published figure of up to",
        LifeBasis::RuleOfThumb | LifeBasis::OwnVisits => "a rule of thumb of about",
    };
    DistanceComparison {
        text: format!(
            "The car has run {}, {} % of {words} {} for a disc in normal road use. That is a comparison; it says nothing of these discs.",
            distance(run, unit),
            percent_alone(share),
            distance(rule.km, unit)
        ),
        share,
        source: rule.source(),
        evidence: vec![Evidence::Odometer],
    }
}
