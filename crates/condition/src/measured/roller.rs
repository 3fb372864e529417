//! The roller tester: imbalance of an axle, efficiency of the whole, the parking brake.

use model::{Axle, CornerName, Day, Inspection, Measurand, Measured, Reading, WhichBrake};

use super::{Held, Side, estimate};
use crate::explain::{Estimate, from_readings, published};

/// One wheel may not pull with less than this share of the axle's other wheel (Directive 2010/48/EU).
const LEAST_SHARE: f64 = 0.7;
/// Standard acceleration as the manual takes it, m/s².
const GRAVITY: f64 = 9.81;
/// From this day of first registration on, a passenger car has to reach 58 %; older ones 50 %.
const NEWER_FROM: Option<Day> = Day::from_ymd_opt(2012, 1, 1);
const LEAST_EFFICIENCY: f64 = 0.58;
const LEAST_EFFICIENCY_OLDER: f64 = 0.50;
/// The parking brake's least efficiency.
const LEAST_PARKING: f64 = 0.16;
/// One standard deviation of the mass that a car's papers give against the car as it stands (project assumption: a tank
/// of fuel, a person).
const MASS_SHARE: f64 = 0.03;

/// Which rule a figure of the roller tester is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RollerRule {
    /// The two wheels of an axle against each other; this one pulls with less.
    Imbalance { weaker: CornerName },
    /// The whole car's service brake.
    Efficiency,
    /// The parking brake.
    Parking,
}

/// Which efficiency a car of this first registration has to reach; one of which it is not known is held to the lower.
fn least_efficiency(inspection: &Inspection) -> f64 {
    let is_newer = inspection.car.first_registered.is_some_and(|day| Some(day) >= NEWER_FROM);
    if is_newer { LEAST_EFFICIENCY } else { LEAST_EFFICIENCY_OLDER }
}

/// An axle with its left and its right corner.
const fn axle_pairs() -> [(Axle, CornerName, CornerName); 2] {
    [
        (Axle::Front, CornerName::FrontLeft, CornerName::FrontRight),
        (Axle::Rear, CornerName::RearLeft, CornerName::RearRight),
    ]
}

/// The greatest force of a wheel in the last of its readings, with that reading; none where it was not measured.
fn force(inspection: &Inspection, corner: CornerName, brake: WhichBrake) -> Option<(&Reading, f64)> {
    let of = Measurand::BrakeForce { corner, brake };
    let last = inspection.readings_of(of).max_by(|a, b| a.taken_at.cmp(&b.taken_at).then_with(|| a.id.cmp(&b.id)))?;
    Some((last, last.base_values().fold(0.0, f64::max)))
}

pub fn list(inspection: &Inspection) -> Vec<Measured> {
    let ruled = figures(inspection).into_iter().map(|(_, measured)| measured);
    ruled.chain(axle_forces(inspection).into_iter().map(Held::judge)).collect()
}

/// Every figure that a rule speaks of.
pub fn figures(inspection: &Inspection) -> Vec<(RollerRule, Measured)> {
    let uneven = axle_pairs()
        .into_iter()
        .filter_map(|pair| imbalance(inspection, pair))
        .map(|(weaker, held)| (RollerRule::Imbalance { weaker }, held));
    let service = service(inspection).map(|held| (RollerRule::Efficiency, held));
    let parking = parking(inspection).map(|held| (RollerRule::Parking, held));
    uneven.chain(service).chain(parking).map(|(rule, held)| (rule, held.judge())).collect()
}

/// (higher − lower) / higher in per cent (UK MOT inspection manual 2012 §3.8).
fn imbalance_of(one: f64, other: f64) -> f64 {
    let (higher, lower) = (one.max(other), one.min(other));
    if higher > 0.0 { (higher - lower) / higher * 100.0 } else { 0.0 }
}

fn imbalance(
    inspection: &Inspection,
    (axle, left_corner, right_corner): (Axle, CornerName, CornerName),
) -> Option<(CornerName, Held)> {
    let (left, left_n) = force(inspection, left_corner, WhichBrake::Service)?;
    let (right, right_n) = force(inspection, right_corner, WhichBrake::Service)?;
    let weaker = if left_n < right_n { left_corner } else { right_corner };
    let value = imbalance_of(left_n, right_n);
    let higher = left_n.max(right_n);
    // Of 1 − lower/higher: u = √(u_lower² + (lower/higher)² u_higher²) / higher (JCGM 100:2008, 5.1.2).
    let share = if higher > 0.0 { left_n.min(right_n) / higher } else { 0.0 };
    let (u_left, u_right) = (left.base_uncertainty(), right.base_uncertainty());
    let (u_lower, u_higher) = if left_n < right_n { (u_left, u_right) } else { (u_right, u_left) };
    let uncertainty = libm::hypot(u_lower, share * u_higher) / higher.max(1.0) * 100.0;
    let text = format!("{left_n:.0} N left, {right_n:.0} N right: (higher − lower) / higher.");
    let held = Held {
        what: format!("Imbalance of the {} axle's service brake", axle.words()),
        estimate: estimate(value, uncertainty, from_readings(&[left, right], text, published(MANUAL))),
        unit: "%",
        limit: Some((Side::AtMost, (1.0 - LEAST_SHARE) * 100.0)),
        source: published("Directive 2010/48/EU: less than 70 % of the axle's other wheel fails; read in quotation"),
    };
    Some((weaker, held))
}

const MANUAL: &str = "UK MOT inspection manual 2012 §3.8";

/// Sum of the efforts over the weight, in per cent (same manual), with its standard uncertainty.
fn efficiency_of(forces: &[(&Reading, f64)], mass_kg: f64) -> (f64, f64) {
    let sum: f64 = forces.iter().map(|force| force.1).sum();
    let squares: f64 = forces.iter().map(|(reading, _)| reading.base_uncertainty() * reading.base_uncertainty()).sum();
    let weight = mass_kg * GRAVITY;
    let value = sum / weight * 100.0;
    (value, libm::hypot(squares.sqrt() / weight * 100.0, value * MASS_SHARE))
}

fn efficiency(forces: &[(&Reading, f64)], mass_kg: f64) -> Estimate {
    let (value, uncertainty) = efficiency_of(forces, mass_kg);
    let each: Vec<_> = forces.iter().map(|force| format!("{:.0}", force.1)).collect();
    let text =
        format!("{} N over {mass_kg:.0} kg × {GRAVITY} m/s²; the mass is taken to be known to 3 %.", each.join(" + "));
    let readings: Vec<_> = forces.iter().map(|force| force.0).collect();
    estimate(value, uncertainty, from_readings(&readings, text, published(MANUAL)))
}

fn axle_forces(inspection: &Inspection) -> Vec<Held> {
    let Some(mass_kg) = inspection.car.mass_kg.map(model::Kilogram::value) else { return Vec::new() };
    let of = |corner| force(inspection, corner, WhichBrake::Service);
    let of_axle = |(axle, left, right): (Axle, CornerName, CornerName)| {
        Some(Held {
            what: format!("Service brake force of the {} axle, of the car's whole weight", axle.words()),
            estimate: efficiency(&[of(left)?, of(right)?], mass_kg),
            unit: "%",
            limit: None,
            source: published(MANUAL),
        })
    };
    axle_pairs().into_iter().filter_map(of_axle).collect()
}

fn service(inspection: &Inspection) -> Option<Held> {
    let mass_kg = inspection.car.mass_kg?.value();
    let of = |corner: &CornerName| force(inspection, *corner, WhichBrake::Service);
    let forces: Option<Vec<_>> = CornerName::ALL.iter().map(of).collect();
    Some(Held {
        what: "Service brake efficiency".to_owned(),
        estimate: efficiency(&forces?, mass_kg),
        unit: "%",
        limit: Some((Side::AtLeast, least_efficiency(inspection) * 100.0)),
        source: published(
            "Directive 2014/45/EU Annex I: 58 % for cars registered from 2012, else 50 %; not checked at the source",
        ),
    })
}

/// Of the wheels that it was measured at: it acts on one axle as a rule.
fn parking(inspection: &Inspection) -> Option<Held> {
    let mass_kg = inspection.car.mass_kg?.value();
    let of = |corner: &CornerName| force(inspection, *corner, WhichBrake::Parking);
    let forces: Vec<_> = CornerName::ALL.iter().filter_map(of).collect();
    (forces.len() >= 2).then(|| Held {
        what: "Parking brake efficiency".to_owned(),
        estimate: efficiency(&forces, mass_kg),
        unit: "%",
        limit: Some((Side::AtLeast, LEAST_PARKING * 100.0)),
        source: published("Directive 2014/45/EU Annex I: 16 % for the parking brake; not checked at the source"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worked_examples_of_the_manual() {
        // UK MOT inspection manual 2012 §3.8: 2400 N against 1800 N is 25.0 %; 10 200 N at 1700 kg is 61.16 %.
        assert!((imbalance_of(2400.0, 1800.0) - 25.0).abs() < 1e-12);
        let inspection = model::sample::inspection();
        let reading = &inspection.readings[0];
        let (value, _) = efficiency_of(&[(reading, 10_200.0)], 1_700.0);
        assert!((value - 61.16).abs() < 5e-3);
    }

    #[test]
    fn exactly_seventy_per_cent_is_still_even() {
        // Directive 2010/48/EU: less than 70 % of the axle's other wheel fails.
        let limit = (1.0 - LEAST_SHARE) * 100.0;
        assert!(imbalance_of(700.0, 1_000.0) <= limit + 1e-9);
        assert!(imbalance_of(699.0, 1_000.0) > limit);
        assert!(imbalance_of(1_000.0, 0.0) > limit && imbalance_of(0.0, 0.0) < limit);
    }
}
