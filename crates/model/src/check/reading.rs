//! The readings: their units, their ranges, linings against new ones.

use super::Problems;
use crate::{
    inspection::Inspection,
    reading::{Measurand, Reading},
};

const MOST_POINTS: usize = 64;

pub fn check(inspection: &Inspection, problems: &mut Problems) {
    list(inspection, &inspection.readings, "readings", problems);
    for (at, visit) in inspection.car.prior_visits.iter().enumerate() {
        list(inspection, &visit.readings, &format!("car.prior_visits[{at}].readings"), problems);
    }
}

fn list(inspection: &Inspection, readings: &[Reading], list: &str, problems: &mut Problems) {
    for (at, reading) in readings.iter().enumerate() {
        let field = format!("{list}[{at}]");
        if !reading.of.units().contains(&reading.unit) {
            let allowed: Vec<_> = reading.of.units().iter().map(|unit| unit.symbol()).collect();
            problems.add_if(true, format!("{field}.unit"), || {
                format!("got {} for {}, expected {}", reading.unit.symbol(), reading.of.words(), allowed.join(" or "))
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
            format!("got {value} {unit} for {}, expected {least} to {most} {unit}", reading.of.words())
        });
        let Some(new) = when_new(inspection, reading.of) else { continue };
        // Three standard uncertainties: what is new and reads a little much is no nonsense.
        let allowed = new.allowed + 3.0 * reading.base_uncertainty();
        problems.add_if(value > allowed, format!("{field}.points[{at}].value"), || {
            format!(
                "got a {} of {value} {unit}, expected at most the {} {unit} {}",
                reading.of.words(),
                new.value,
                new.words
            )
        });
    }
}

struct New {
    /// The value when new.
    value: f64,
    /// The most that is taken for possible.
    allowed: f64,
    words: &'static str,
}

/// What this was when new, where known: nothing grows thicker or heavier by wear. Discs differ among each other, so a
/// disc's value when new may be that of its kind: only a tenth above it is nonsense, a mistaken unit or disc.
fn when_new(inspection: &Inspection, of: Measurand) -> Option<New> {
    let car = &inspection.car;
    let disc = |value: f64| New { value, allowed: 1.1 * value, words: "of the new disc and a tenth" };
    match of {
        Measurand::Lining { corner, .. } => {
            let value = car.pads(corner.axle()).lining_new_mm?.value();
            Some(New { value, allowed: value, words: "of the new lining" })
        }
        Measurand::DiscMass { corner } => Some(disc(car.disc(corner).new_mass_g?.value())),
        Measurand::DiscThickness { corner } => Some(disc(car.disc(corner).new_thickness_mm?.value())),
        _ => None,
    }
}
