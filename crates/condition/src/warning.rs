//! Reasons not to drive, or to have something seen to first. Each names its source; their absence is no clearance.

mod fluid;
mod part;
mod reading;
mod roller;

use model::{DriveWarning, Inspection};

/// Every warning that the findings call for, the gravest first.
pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    let mut warnings = Vec::new();
    warnings.extend(part::list(inspection));
    warnings.extend(reading::list(inspection));
    warnings.extend(roller::list(inspection));
    warnings.extend(fluid::list(inspection));
    // Stable, so that within a gravity the order stays that of the rules.
    warnings.sort_by_key(|warning| !warning.do_not_drive);
    warnings
}
