//! The brake fluid's boiling point.

use model::{DriveWarning, Evidence, Inspection, Measurand};

use crate::explain::published;

/// The lowest wet boiling point of any class; the car's own class may ask for more, and is not known here.
const LOWEST_WET_C: f64 = 140.0;

pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    inspection
        .readings_of(Measurand::FluidBoilingPoint)
        .filter_map(|reading| {
            let lowest = reading.base_values().fold(f64::INFINITY, f64::min);
            (lowest < LOWEST_WET_C).then(|| DriveWarning {
                do_not_drive: true,
                text: format!(
                    "The brake fluid boils at {lowest:.0} °C, under the wet figure of every class (140 °C, DOT 3)."
                ),
                source: published("FMVSS 116: wet boiling points DOT 3 140, DOT 4 155, DOT 5.1 180 °C; second-hand"),
                evidence: vec![Evidence::Reading { id: reading.id.clone() }],
            })
        })
        .collect()
}
