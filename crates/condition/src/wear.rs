//! Wear: 0 as new, 1 at the mark. Bulk, faces and linings are different quantities and never averaged together.

mod bulk;
mod lining;
mod sign;
mod surface;

pub use bulk::bulk;
pub use lining::lining;
pub use surface::face;

/// `(new − reading) / (new − limit)` with its standard uncertainty; the marks count as exact.
///
/// Nothing where new and limit are the same, or so close that no share can be told.
fn share_used(new: f64, limit: f64, reading: f64, uncertainty: f64) -> Option<(f64, f64)> {
    let allowance = new - limit;
    let (share, spread) = ((new - reading) / allowance, (uncertainty / allowance).abs());
    (share.is_finite() && spread.is_finite() && spread > 0.0).then_some((share, spread))
}

#[cfg(test)]
mod tests {
    use super::share_used;

    #[test]
    fn a_share_runs_from_new_to_the_mark() {
        // By hand: 150 g of allowance, 54 g gone, 3 g unsure.
        let (share, spread) = share_used(6_231.0, 6_081.0, 6_177.0, 3.0).unwrap();
        assert!((share - 0.36).abs() < 1e-12 && (spread - 0.02).abs() < 1e-12);
        // A reading that rises with wear: new 33, limit 44, now 38.5.
        let (share, spread) = share_used(33.0, 44.0, 38.5, 1.1).unwrap();
        assert!((share - 0.5).abs() < 1e-12 && (spread - 0.1).abs() < 1e-12);
    }

    #[test]
    fn without_an_allowance_there_is_no_share() {
        assert_eq!(share_used(5.0, 5.0, 4.0, 1.0), None);
        assert_eq!(share_used(1e-310, 0.0, 4.0, 1.0), None);
    }
}
