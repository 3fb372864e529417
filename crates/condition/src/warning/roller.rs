//! The roller tester: imbalance of an axle, efficiency of the whole, the parking brake.

use model::{DriveWarning, Inspection, Measured};

use crate::explain::evidence_of;
use crate::measured;
use crate::number::beside;

/// A warning for each measurement on the roller tester that lies beyond its limit.
pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    let mass = inspection.car.mass_kg.map(model::Kilogram::value);
    let at = mass.map_or_else(String::new, |kg| format!(" at {kg:.0} kg"));
    measured::roller_figures(inspection).iter().filter_map(|figure| warn(figure, &at)).collect()
}

fn warn((rule, measured): &(measured::RollerRule, Measured), at: &str) -> Option<DriveWarning> {
    use measured::RollerRule::{Efficiency, Imbalance, Parking};
    let (value, limit) = (measured.value.value, measured.limit?);
    let (do_not_drive, text) = match rule {
        Imbalance { weaker } if value > limit => (
            false,
            format!(
                "The {} axle's brakes are uneven by {} %; the {} wheel pulls with less than 70 % of the other.",
                weaker.axle().words(),
                beside(value, limit, 1),
                weaker.words()
            ),
        ),
        Efficiency if value < limit => (
            true,
            format!(
                "The roller tester shows {} % braking efficiency{at}, under the {limit:.0} % that the rule asks for.",
                beside(value, limit, 0)
            ),
        ),
        Parking if value < limit => (
            false,
            format!(
                "The roller tester shows {} % for the parking brake, under the {limit:.0} % that the rule asks for.",
                beside(value, limit, 0)
            ),
        ),
        Imbalance { .. } | Efficiency | Parking => return None,
    };
    Some(DriveWarning { do_not_drive, text, source: measured.source.clone(), evidence: evidence_of(&measured.value) })
}
