//! Runout and thickness variation of the discs against what is allowed.

use model::{CornerName, FaceName, Inspection, Measurand, Measured, Source};

use super::{Held, Side, estimate};
use crate::explain::from_readings;

pub fn list(inspection: &Inspection) -> Vec<Measured> {
    let mut all = Vec::new();
    for &corner in CornerName::ALL {
        let disc = inspection.car.disc(corner);
        let runout = FaceName::ALL.iter().map(|&face| (Measurand::Runout { corner, face }, disc.most_runout_mm));
        let variation = (Measurand::ThicknessVariation { corner }, disc.most_thickness_variation_mm);
        for (of, limit) in runout.chain([variation]) {
            for reading in inspection.readings_of(of) {
                let value = reading.base_values().fold(0.0, f64::max);
                let place = match of {
                    Measurand::Runout { face, .. } => format!(", {} face", face.words()),
                    _ => String::new(),
                };
                let text =
                    format!("The greatest of {} point(s) with {}.", reading.points.len(), reading.instrument.name);
                let held = Held {
                    what: format!("{} of the {} disc{place}", crate::answer::capital(of.words()), corner.words()),
                    estimate: estimate(
                        value,
                        reading.base_uncertainty(),
                        from_readings(&[reading], text, Source::Inspection),
                    ),
                    unit: "mm",
                    limit: limit.map(|most| (Side::AtMost, most.value())),
                    source: Source::PartMark,
                };
                all.push(held.judge());
            }
        }
    }
    all
}
