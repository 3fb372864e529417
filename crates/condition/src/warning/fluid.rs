//! The brake fluid's boiling point.

use model::{DriveWarning, FluidClass, Inspection, Measurand};

use crate::explain::reading_of;
use crate::measured::{is_below_wet, wet_point};
use crate::number::beside;

pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    let class = inspection.car.fluid_class;
    let (limit, source) = wet_point(class);
    let of = match class {
        Some(class) => format!("the wet figure of {}, the class that the car asks for", FluidClass::words(class)),
        None => "the wet figure of every class".to_owned(),
    };
    inspection
        .readings_of(Measurand::FluidBoilingPoint)
        .filter_map(|reading| {
            let value = is_below_wet(inspection, reading)?;
            Some(DriveWarning {
                do_not_drive: true,
                text: format!("The brake fluid boils at {} °C, under {of} ({limit:.0} °C).", beside(value, limit, 0)),
                source: source.clone(),
                evidence: vec![reading_of(reading)],
            })
        })
        .collect()
}
