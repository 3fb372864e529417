//! Figures with their standard uncertainty (JCGM 100:2008, 2.3.1), in the same unit.

use model::Estimate;

pub(crate) const fn estimate(value: f64, uncertainty: f64) -> Estimate {
    Estimate { value, uncertainty }
}

/// Independent contributions to an uncertainty, summed as their squares are.
pub(crate) fn combined(value: f64, parts: &[f64]) -> Estimate {
    estimate(value, libm::sqrt(parts.iter().map(|part| part * part).sum()))
}
