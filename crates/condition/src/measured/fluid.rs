//! The brake fluid's boiling point against the wet figure of its class.

use model::{FluidClass, Inspection, Measurand, Measured, Reading, Source};

use super::{Held, Side, estimate};
use crate::explain::{from_readings, published};

/// The wet boiling point of a class in °C, at 3.7 % of water, and where it comes from. Where the class is not known, the
/// lowest of any class, DOT 3's; the car's own may ask for more.
pub fn wet_point(class: Option<FluidClass>) -> (f64, Source) {
    const FMVSS: &str = "FMVSS 116: wet boiling points DOT 3 140, DOT 4 155, DOT 5.1 180 °C; not checked at the source";
    match class {
        None | Some(FluidClass::Dot3) => (140.0, published(FMVSS)),
        Some(FluidClass::Dot4) => (155.0, published(FMVSS)),
        Some(FluidClass::Dot51) => (180.0, published(FMVSS)),
        Some(FluidClass::Iso6) => {
            (165.0, published("ISO 4925 class 6: wet boiling point 165 °C; not checked at the source"))
        }
    }
}

/// The lowest of a reading's points, in °C.
fn lowest(reading: &Reading) -> f64 {
    reading.base_values().fold(f64::INFINITY, f64::min)
}

/// The lowest value of this reading where it lies under the wet figure.
pub fn is_below_wet(inspection: &Inspection, reading: &Reading) -> Option<f64> {
    let (limit, _) = wet_point(inspection.car.fluid_class);
    Some(lowest(reading)).filter(|value| *value < limit)
}

pub fn list(inspection: &Inspection) -> Vec<Measured> {
    let class = inspection.car.fluid_class;
    let (limit, source) = wet_point(class);
    let of_class = class.map_or("the lowest of any class", FluidClass::words);
    inspection
        .readings_of(Measurand::FluidBoilingPoint)
        .map(|reading| {
            let value = lowest(reading);
            let text =
                format!("The lowest of {} point(s); wet figure of {of_class}: {limit:.0} °C.", reading.points.len());
            Held {
                what: "Boiling point of the brake fluid".to_owned(),
                estimate: estimate(value, reading.base_uncertainty(), from_readings(&[reading], text, source.clone())),
                unit: "°C",
                limit: Some((Side::AtLeast, limit)),
                source: source.clone(),
            }
            .judge()
        })
        .collect()
}
