//! The brake fluid's boiling point.

use model::{DriveWarning, Inspection, Measurand, Reading};

use crate::explain::{published, reading_of};
use crate::number::beside;

/// The lowest wet boiling point of any class, DOT 3's; the car's own class may ask for more, and is not known here.
pub const LOWEST_WET_C: f64 = 140.0;

pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    inspection.readings_of(Measurand::FluidBoilingPoint).filter_map(too_low).collect()
}

fn too_low(reading: &Reading) -> Option<DriveWarning> {
    let lowest = reading.base_values().fold(f64::INFINITY, f64::min);
    (lowest < LOWEST_WET_C).then(|| DriveWarning {
        do_not_drive: true,
        text: format!(
            "The brake fluid boils at {} °C, under the wet figure of every class ({LOWEST_WET_C:.0} °C, DOT 3).",
            beside(lowest, LOWEST_WET_C, 0)
        ),
        source: published("FMVSS 116: wet boiling points DOT 3 140, DOT 4 155, DOT 5.1 180 °C; second-hand"),
        evidence: vec![reading_of(reading)],
    })
}
