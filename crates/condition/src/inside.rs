//! The computations one by one, for checks against other people's libraries. Behind the feature `inside`, and no part of
//! what the crate promises.

use model::Cause;

pub use crate::chance::{below, student_95};
pub use crate::combine::{Combined, Outlier, chi_squared_95, combine};
pub use crate::life::line::{Line, Point, fit_line};

use crate::cause::{
    belief::Belief,
    table::{PRIORS, SIGNS},
};

/// The causes' chances before any sign, in their order.
pub fn list_priors() -> Vec<f64> {
    PRIORS.iter().map(|(_, chance)| *chance).collect()
}

/// Each sign's share with ordinary wear alone, and its likelihood ratio for each cause.
pub fn list_signs() -> Vec<(f64, [f64; 5])> {
    SIGNS.iter().map(|row| (row.alone, row.ratios)).collect()
}

/// The chance that ordinary wear is the only cause, that of each cause, and what is not known in bits, where the signs at
/// these places of the table show or are absent.
pub fn believe(signs: &[(usize, bool)]) -> (f64, Vec<f64>, f64) {
    let mut belief = Belief::before();
    for &(at, shows) in signs {
        belief.learn(&SIGNS[at], shows);
    }
    (belief.none(), Cause::ALL.iter().map(|&cause| belief.of_cause(cause)).collect(), belief.entropy_bits())
}
