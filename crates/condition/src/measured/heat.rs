//! The heat of a stop: what it puts into the discs.

use model::{Axle, CornerName, Evidence, Explanation, Inspection, Measurand, Measured, Source, StepKind};

use super::{Held, estimate};
use crate::explain::{from_evidence, published};

/// The share of the front axle in a hard stop, with one standard deviation (project assumption).
const FRONT_SHARE: (f64, f64) = (0.65, 0.07);
/// The specific heat of C/SiC in J/(kg·K), with one standard deviation (from memory).
const SPECIFIC_HEAT: (f64, f64) = (800.0, 100.0);
/// One standard deviation of the speed that a stop began at, as a share (project assumption: a speedometer).
const SPEED_SHARE: f64 = 0.05;

/// The kinetic energy of a mass in kilograms at a speed in km/h, in joules: m v² / 2.
fn energy(mass_kg: f64, km_h: f64) -> f64 {
    let v = km_h / 3.6;
    0.5 * mass_kg * v * v
}

/// The rise of a mass in kilograms that takes up an energy in joules, in kelvin: ΔT = E / (m c).
fn rise(energy_j: f64, mass_kg: f64) -> f64 {
    energy_j / (mass_kg * SPECIFIC_HEAT.0)
}

/// The hardest stop of the road test: its energy, and what it adds to the discs' temperature, axle by axle.
pub fn list(inspection: &Inspection) -> Vec<Measured> {
    let Some((index, km_h, mass_kg)) = hardest_stop(inspection) else { return Vec::new() };
    let energy_j = energy(mass_kg, km_h);
    let text = format!("m v² / 2 of {mass_kg:.0} kg at {km_h:.0} km/h.");
    let step = vec![Evidence::RoadTestStep { index: index as u32 }];
    let mut all = vec![
        Held {
            what: format!("Energy of the stop from {km_h:.0} km/h"),
            estimate: estimate(
                energy_j / 1e6,
                energy_j / 1e6 * 2.0 * SPEED_SHARE,
                from_evidence(text, Source::Arithmetic, step.clone()),
            ),
            unit: "MJ",
            limit: None,
            source: Source::Arithmetic,
        }
        .judge(),
    ];
    for &axle in Axle::ALL {
        let share = if axle == Axle::Front { FRONT_SHARE.0 } else { 1.0 - FRONT_SHARE.0 };
        let Some((disc_kg, marks)) = mass_of_discs(inspection, axle) else { continue };
        let value = rise(energy_j * share, disc_kg);
        let relative = [2.0 * SPEED_SHARE, FRONT_SHARE.1 / share, SPECIFIC_HEAT.1 / SPECIFIC_HEAT.0];
        let uncertainty = value * relative.iter().map(|part| part * part).sum::<f64>().sqrt();
        let text = format!(
            "E · p / (m · c) with {:.2} MJ, {:.0} % of it at this axle, {disc_kg:.1} kg of discs and {:.0} J/(kg·K); nothing is lost to the air, so that it is the most.",
            energy_j / 1e6,
            share * 100.0,
            SPECIFIC_HEAT.0
        );
        let because = Explanation {
            evidence: step.iter().cloned().chain(marks).collect(),
            ..from_evidence(
                text,
                published("specific heat of C/SiC about 0.8 kJ/(kg K); not checked at the source"),
                Vec::new(),
            )
        };
        all.push(
            Held {
                what: format!("Rise of the {} discs in that stop", axle.words()),
                estimate: estimate(value, uncertainty, because),
                unit: "K",
                limit: None,
                source: Source::ProjectAssumption,
            }
            .judge(),
        );
    }
    all
}

fn hardest_stop(inspection: &Inspection) -> Option<(usize, f64, f64)> {
    let mass_kg = inspection.car.mass_kg?.value();
    let steps = inspection.road_test.seen()?.steps.iter().enumerate();
    let stops = steps.filter(|(_, step)| step.kind == StepKind::FullEffort);
    let (index, km_h) = stops
        .filter_map(|(index, step)| Some((index, step.from_km_h?.value())))
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))?;
    (km_h > 0.0).then_some((index, km_h, mass_kg))
}

/// The mass of an axle's discs in kilograms: weighed, else as new.
fn mass_of_discs(inspection: &Inspection, axle: Axle) -> Option<(f64, Vec<Evidence>)> {
    let mut evidence = Vec::new();
    let mut sum = 0.0;
    for &corner in CornerName::ALL.iter().filter(|corner| corner.axle() == axle) {
        let weighed = inspection.readings_of(Measurand::DiscMass { corner }).flat_map(model::Reading::base_values);
        let grams =
            weighed.reduce(f64::min).or_else(|| inspection.car.disc(corner).new_mass_g.map(model::Gram::value))?;
        sum += grams / 1e3;
        evidence.push(Evidence::Mark { corner });
    }
    (sum > 0.0).then_some((sum, evidence))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_energy_of_a_heavy_car_comes_out() {
        // 6400 lb at 60 mph: 989.8 BTU, 1.0443 MJ (computed from the figures of a trade article, which prints 988 BTU).
        let joules = energy(6_400.0 * 0.453_592_37, 60.0 * 1.609_344);
        assert!((joules - 1.0443e6).abs() < 50.0, "{joules}");
        assert!((joules / 1_055.056 - 989.8).abs() < 0.05);
    }
}
