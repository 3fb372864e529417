//! The readings: their units, their ranges, linings against new ones.

use super::Problems;
use crate::{
    inspection::Inspection,
    reading::{Measurand, Reading},
};

const MOST_POINTS: usize = 64;

pub fn check(inspection: &Inspection, problems: &mut Problems) {
    for (at, reading) in inspection.readings.iter().enumerate() {
        let field = format!("readings[{at}]");
        if !reading.of.units().contains(&reading.unit) {
            let allowed: Vec<_> = reading.of.units().iter().map(|unit| unit.symbol()).collect();
            problems.add_if(true, format!("{field}.unit"), || {
                format!("got {} for a {}, expected {}", reading.unit.symbol(), reading.of.words(), allowed.join(" or "))
            });
            continue;
        }
        points(inspection, reading, &field, problems);
    }
}

fn points(inspection: &Inspection, reading: &Reading, field: &str, problems: &mut Problems) {
    let got = reading.points.len();
    problems.add_if(!(1..=MOST_POINTS).contains(&got), format!("{field}.points"), || {
        format!("got {got} points, expected 1 to {MOST_POINTS}")
    });
    let (least, most) = reading.of.range();
    let unit = reading.unit.to_base().0.symbol();
    for (at, value) in reading.base_values().enumerate() {
        // A comparison with NaN is false, so it lands here too.
        problems.add_if(!(least..=most).contains(&value), format!("{field}.points[{at}].value"), || {
            format!("got {value} {unit} for a {}, expected {least} to {most} {unit}", reading.of.words())
        });
        let Measurand::Lining { corner, .. } = reading.of else { continue };
        let Some(new) = inspection.car.pads(corner.axle()).lining_new_mm.map(crate::quantity::Millimetre::value) else {
            continue;
        };
        // Three standard uncertainties: a new lining that reads a little thick is no nonsense.
        let allowed = new + 3.0 * reading.base_uncertainty();
        problems.add_if(value > allowed, format!("{field}.points[{at}].value"), || {
            format!("got a lining of {value} mm, expected at most the new lining's {new} mm")
        });
    }
}
