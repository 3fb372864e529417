use serde::Serialize;

/// A figure with its standard uncertainty, in the same unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Measured {
    /// The best estimate.
    pub value: f64,
    /// Its standard uncertainty (JCGM 100:2008, 2.3.1).
    pub uncertainty: f64,
}

impl Measured {
    pub(crate) const fn new(value: f64, uncertainty: f64) -> Self {
        Self { value, uncertainty }
    }

    /// Independent contributions to an uncertainty, summed as their squares are.
    pub(crate) fn combined(value: f64, parts: &[f64]) -> Self {
        Self { value, uncertainty: libm::sqrt(parts.iter().map(|part| part * part).sum()) }
    }
}
