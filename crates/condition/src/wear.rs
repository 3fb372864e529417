//! Wear: 0 as new, 1 at the mark. Bulk, faces and linings are different quantities and never averaged together.

mod bulk;
mod lining;
mod surface;

pub use bulk::bulk;
pub use lining::lining;
pub use surface::face;

/// `(new − reading) / (new − limit)` with its standard uncertainty; the marks count as exact.
///
/// Nothing where new and limit are the same, which leaves nothing to wear.
fn share_used(new: f64, limit: f64, reading: f64, uncertainty: f64) -> Option<(f64, f64)> {
    let allowance = new - limit;
    (allowance != 0.0).then(|| ((new - reading) / allowance, (uncertainty / allowance).abs()))
}
