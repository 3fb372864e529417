//! The roller tester: imbalance of an axle, efficiency of the whole.

use model::{Axle, CornerName, Day, DriveWarning, Inspection, Measurand, Reading, WhichBrake};

use crate::explain::{published, reading_of};
use crate::number::beside;

/// One wheel may not pull with less than this share of the axle's other wheel.
const LEAST_SHARE: f64 = 0.7;
/// Standard acceleration as the manual takes it, m/s².
const GRAVITY: f64 = 9.81;
/// From this day of first registration on, a passenger car has to reach 58 %; older ones 50 %.
const NEWER_FROM: Option<Day> = Day::from_ymd_opt(2012, 1, 1);
const LEAST_EFFICIENCY: f64 = 0.58;
const LEAST_EFFICIENCY_OLDER: f64 = 0.50;

pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    let force = |corner| {
        let of = Measurand::BrakeForce { corner, brake: WhichBrake::Service };
        inspection.readings_of(of).last().map(|reading| (reading, reading.base_values().fold(0.0, f64::max)))
    };
    let axles = [
        (Axle::Front, CornerName::FrontLeft, CornerName::FrontRight),
        (Axle::Rear, CornerName::RearLeft, CornerName::RearRight),
    ];
    let mut warnings: Vec<_> = axles
        .into_iter()
        .filter_map(|(axle, left, right)| imbalance(axle, (left, force(left)?), (right, force(right)?)))
        .collect();
    let forces: Option<Vec<_>> = CornerName::ALL.iter().map(|&corner| force(corner)).collect();
    warnings.extend(forces.and_then(|forces| efficiency(inspection, &forces)));
    warnings
}

/// (higher − lower) / higher, as a share (UK MOT inspection manual 2012 §3.8).
fn imbalance_of(one: f64, other: f64) -> f64 {
    let (higher, lower) = (one.max(other), one.min(other));
    if higher > 0.0 { (higher - lower) / higher } else { 0.0 }
}

/// Whether one wheel pulls with less than 70 % of the other (Directive 2010/48/EU).
fn is_uneven(one: f64, other: f64) -> bool {
    one.min(other) < LEAST_SHARE * one.max(other)
}

/// Sum of the efforts over the weight, as a share (same manual).
fn efficiency_of(forces_n: f64, mass_kg: f64) -> f64 {
    forces_n / (mass_kg * GRAVITY)
}

type Force<'a> = (CornerName, (&'a Reading, f64));

fn imbalance(
    axle: Axle,
    (left, (left_reading, left_n)): Force<'_>,
    (right, (right_reading, right_n)): Force<'_>,
) -> Option<DriveWarning> {
    if !is_uneven(left_n, right_n) {
        return None;
    }
    let share = imbalance_of(left_n, right_n);
    let weaker = if left_n < right_n { left } else { right };
    Some(DriveWarning {
        do_not_drive: false,
        text: format!(
            "The {} axle's brakes are uneven by {:.1} % ({left_n:.0} N left, {right_n:.0} N right); the {} wheel pulls with less than 70 % of the other.",
            axle.words(),
            share * 100.0,
            weaker.words()
        ),
        source: published("Directive 2010/48/EU: less than 70 % of the axle's other wheel fails; read in quotation"),
        evidence: [left_reading, right_reading].map(reading_of).into(),
    })
}

fn efficiency(inspection: &Inspection, forces: &[(&Reading, f64)]) -> Option<DriveWarning> {
    let mass_kg = inspection.car.mass_kg?.value();
    let share = efficiency_of(forces.iter().map(|force| force.1).sum(), mass_kg);
    // A car whose first registration is not known is held to the older, lower figure.
    let is_newer = inspection.car.first_registered.is_some_and(|day| Some(day) >= NEWER_FROM);
    let least = if is_newer { LEAST_EFFICIENCY } else { LEAST_EFFICIENCY_OLDER };
    (share < least).then(|| DriveWarning {
        do_not_drive: true,
        text: format!(
            "The roller tester shows {} % braking efficiency at {mass_kg:.0} kg, under the {:.0} % that the rule asks for.",
            beside(share * 100.0, least * 100.0, 0),
            least * 100.0
        ),
        source: published("Directive 2014/45/EU Annex I: 58 % for cars registered from 2012, else 50 %; from memory"),
        evidence: forces.iter().map(|(reading, _)| reading_of(reading)).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worked_examples_of_the_manual() {
        // UK MOT inspection manual 2012 §3.8: 2400 N against 1800 N is 25.0 %; 10 200 N at 1700 kg is 61.16 %.
        assert!((imbalance_of(2400.0, 1800.0) - 0.25).abs() < 1e-12);
        assert!((efficiency_of(10_200.0, 1_700.0) - 0.6116).abs() < 5e-5);
    }

    #[test]
    fn exactly_seventy_per_cent_is_still_even() {
        // Directive 2010/48/EU: less than 70 % of the axle's other wheel fails.
        assert!(!is_uneven(700.0, 1_000.0));
        assert!(is_uneven(699.0, 1_000.0));
        assert!(is_uneven(1_000.0, 0.0) && !is_uneven(0.0, 0.0));
    }
}
