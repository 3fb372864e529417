//! Wear: 0 as new, 1 at the mark. Bulk, faces and linings are different quantities and never averaged together.

mod bulk;
mod earlier;
mod lining;
mod sign;
mod surface;

pub use bulk::{bulk, bulk_then};
pub use earlier::first_visit_of_this_disc;
pub use lining::{lining, lining_then};
pub use surface::{face, face_then};

/// A part's value when new and at its mark, in the unit of its readings.
#[derive(Debug, Clone, Copy)]
struct Marks {
    new: f64,
    /// Half the last digit that the value when new is given with: how far the part itself may be from it.
    new_half_width: f64,
    /// The mark. It is what is printed, and so exact.
    limit: f64,
}

/// `(new − reading) / (new − limit)` with its standard uncertainty: the reading's, and that of the value when new, which
/// is rectangular within its last digit (JCGM 100:2008, 4.3.7).
///
/// Nothing where new and limit are the same, or so close that no share can be told.
fn share_used(marks: Marks, reading: f64, uncertainty: f64) -> Option<(f64, f64)> {
    let allowance = marks.new - marks.limit;
    let share = (marks.new - reading) / allowance;
    let of_new = (1.0 - share) * marks.new_half_width / 3.0_f64.sqrt();
    let spread = (uncertainty * uncertainty + of_new * of_new).sqrt() / allowance.abs();
    (share.is_finite() && spread.is_finite() && spread > 0.0).then_some((share, spread))
}

#[cfg(test)]
mod tests {
    use super::{Marks, share_used};

    fn exact(new: f64, limit: f64) -> Marks {
        Marks { new, new_half_width: 0.0, limit }
    }

    #[test]
    fn a_share_runs_from_new_to_the_mark() {
        // By hand: 150 g of allowance, 54 g gone, 3 g unsure.
        let (share, spread) = share_used(exact(6_231.0, 6_081.0), 6_177.0, 3.0).unwrap();
        assert!((share - 0.36).abs() < 1e-12 && (spread - 0.02).abs() < 1e-12);
        // A reading that rises with wear: new 33, limit 44, now 38.5.
        let (share, spread) = share_used(exact(33.0, 44.0), 38.5, 1.1).unwrap();
        assert!((share - 0.5).abs() < 1e-12 && (spread - 0.1).abs() < 1e-12);
    }

    #[test]
    fn the_value_when_new_counts_less_the_nearer_the_mark() {
        // By hand: half width 0.05 is 0.0289 standard; of an allowance of 1, at share 0, 0.5 and 1.
        for (reading, expected) in [(34.0, 0.028_867_5), (33.5, 0.014_433_8), (33.0, 0.0)] {
            let marks = Marks { new: 34.0, new_half_width: 0.05, limit: 33.0 };
            let (_, spread) = share_used(marks, reading, 0.001).unwrap();
            assert!((spread - f64::hypot(expected, 0.001)).abs() < 1e-6, "{reading}");
        }
    }

    #[test]
    fn without_an_allowance_there_is_no_share() {
        assert_eq!(share_used(exact(5.0, 5.0), 4.0, 1.0), None);
        assert_eq!(share_used(exact(1e-310, 0.0), 4.0, 1.0), None);
        assert_eq!(share_used(exact(1e-310, 0.0), 1e-310, 1.0), None, "nor one that is unsure without end");
    }
}
