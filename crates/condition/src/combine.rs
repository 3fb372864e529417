//! Several estimates of one quantity: weighted by their certainty, widened only where they disagree too much, and not
//! led astray by a single bad one.

use crate::chance::{HALF_WIDTH_95, student_95};

/// What several estimates come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Combined {
    /// The weighted mean.
    pub value: f64,
    /// Its standard uncertainty, widened where they disagree.
    pub uncertainty: f64,
    /// The sum of squared normalised deviations, before anything was widened.
    pub chi_squared: f64,
    /// Its 95 % point.
    pub chi_squared_95: f64,
    /// √(χ²/ν), at least 1 where it widened.
    pub birge_ratio: f64,
    /// The estimate that lies farthest from the others; only where χ² is beyond its 95 % point.
    pub outlier: Option<Outlier>,
}

/// The estimate that lies farthest from the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlier {
    /// Its place in the list.
    pub at: usize,
    /// How far it lies from what the others come to, in standard deviations of that difference.
    pub deviations: f64,
}

/// The 95 % points of χ² for 1 to 10 degrees of freedom (NIST/SEMATECH e-Handbook 1.3.6.7.4; from memory).
const CHI_SQUARED_95: [f64; 10] = [3.841, 5.991, 7.815, 9.488, 11.070, 12.592, 14.067, 15.507, 16.919, 18.307];

/// The 95 % point of χ² with so many degrees of freedom; 0 for none.
///
/// Beyond the table by Wilson and Hilferty (1931), which from there on is within 0.02 of it.
pub fn chi_squared_95(freedom: usize) -> f64 {
    /// The 95 % point of the standard normal distribution, one-sided.
    const NORMAL_95: f64 = 1.644_854;
    let Some(at) = freedom.checked_sub(1) else { return 0.0 };
    if let Some(&point) = CHI_SQUARED_95.get(at) {
        return point;
    }
    let freedom = freedom as f64;
    let share = 2.0 / (9.0 * freedom);
    let root = 1.0 - share + NORMAL_95 * share.sqrt();
    freedom * root * root * root
}

/// From how many estimates on a single bad one can be told from the others.
pub const LEAST_TO_TELL: usize = 3;

/// The inverse-variance mean of `(value, standard uncertainty)` pairs, every uncertainty above 0; nothing of nothing.
/// The order of the pairs changes nothing, not even the last bit, and a greater value never makes a smaller mean.
///
/// Of three or more, none pulls harder than one that lies 1.96 of its standard deviations away (Huber 1964), so that one
/// bad reading neither vanishes nor leads; where none lies that far, this is the plain mean. Where χ² passes its 95 %
/// point, all are widened by √(χ²/ν) (Birge 1932), and the estimate farthest from the others is named.
pub fn combine(estimates: &[(f64, f64)]) -> Option<Combined> {
    let mut sorted = estimates.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let plain = weighted_mean(&sorted)?;
    let value = if sorted.len() < LEAST_TO_TELL { plain } else { bounded_mean(&sorted, plain) };
    let weight: f64 = sorted.iter().map(|&(_, u)| weight_of(u)).sum();
    let chi_squared: f64 = sorted.iter().map(|&(x, u)| (x - value) * (x - value) * weight_of(u)).sum();
    let freedom = sorted.len() - 1;
    let (limit, birge_ratio) = (chi_squared_95(freedom), (chi_squared / freedom.max(1) as f64).sqrt());
    let disagree = freedom > 0 && chi_squared > limit;
    Some(Combined {
        value,
        uncertainty: (1.0 / weight).sqrt() * if disagree { birge_ratio } else { 1.0 },
        chi_squared,
        chi_squared_95: limit,
        birge_ratio: if freedom == 0 { 1.0 } else { birge_ratio },
        outlier: if disagree { find_outlier(estimates) } else { None },
    })
}

/// The estimate farthest from the mean of the others, in standard deviations of that difference.
fn find_outlier(estimates: &[(f64, f64)]) -> Option<Outlier> {
    let of = |at: usize| {
        let mut others: Vec<_> = estimates[..at].iter().chain(&estimates[at + 1..]).copied().collect();
        others.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mean = weighted_mean(&others)?;
        let spread = (1.0 / others.iter().map(|&(_, u)| weight_of(u)).sum::<f64>()).sqrt();
        let (value, uncertainty) = estimates[at];
        Some(Outlier { at, deviations: (value - mean).abs() / libm::hypot(uncertainty, spread) })
    };
    (0..estimates.len()).filter_map(of).max_by(|a, b| {
        // Of two that lie equally far, the less sure one is named; never the one that happens to stand first.
        let ((value_a, u_a), (value_b, u_b)) = (estimates[a.at], estimates[b.at]);
        // Rounding alone decides nothing.
        let is_level = (a.deviations - b.deviations).abs() <= 1e-9 * a.deviations;
        let farther = if is_level { std::cmp::Ordering::Equal } else { a.deviations.total_cmp(&b.deviations) };
        farther.then(u_a.total_cmp(&u_b)).then(value_a.total_cmp(&value_b))
    })
}

fn weight_of(uncertainty: f64) -> f64 {
    1.0 / (uncertainty * uncertainty)
}

/// Summed in the order in which they are given.
fn weighted_mean(estimates: &[(f64, f64)]) -> Option<f64> {
    let weight: f64 = estimates.iter().map(|&(_, u)| weight_of(u)).sum();
    let sum: f64 = estimates.iter().map(|&(x, u)| x * weight_of(u)).sum();
    (!estimates.is_empty()).then(|| sum / weight)
}

/// Where the bounded pulls of all estimates balance (Huber 1964): the plain mean where it bounds none of them.
///
/// The pull is a falling broken line in the place; it is followed from corner to corner to where it crosses nothing.
fn bounded_mean(estimates: &[(f64, f64)], plain: f64) -> f64 {
    let pull = |place: f64| -> f64 {
        let of = |&(x, u): &(f64, f64)| ((x - place) / u).clamp(-HALF_WIDTH_95, HALF_WIDTH_95) / u;
        estimates.iter().map(of).sum()
    };
    if estimates.iter().all(|&(x, u)| ((x - plain) / u).abs() <= HALF_WIDTH_95) {
        return plain;
    }
    let bends = |&(x, u): &(f64, f64)| [x - HALF_WIDTH_95 * u, x + HALF_WIDTH_95 * u];
    let mut corners: Vec<f64> = estimates.iter().flat_map(bends).collect();
    corners.sort_by(f64::total_cmp);
    let pulls: Vec<f64> = corners.iter().map(|&corner| pull(corner)).collect();
    // Left of all corners every pull is upward, right of them downward: both ends exist.
    let above = pulls.iter().rposition(|&pull| pull >= 0.0).unwrap_or(0);
    let below = pulls.iter().position(|&pull| pull <= 0.0).unwrap_or(pulls.len() - 1);
    if below <= above {
        return f64::midpoint(corners[below], corners[above]);
    }
    let (left, right) = (corners[above], corners[below]);
    left + (right - left) * pulls[above] / (pulls[above] - pulls[below])
}

/// The mean of a reading's points with its standard uncertainty: the scatter of the mean (type A, JCGM 100:2008, 4.2.3)
/// and the instrument's share, which all points have in common (type B, 4.3). `points` is never empty.
///
/// Few points tell their scatter badly: it is widened so that 1.96 of it are what Student's t asks for (G.3).
pub fn mean_of_points(points: &[f64], instrument: f64) -> (f64, f64) {
    let mut sorted = points.to_vec();
    sorted.sort_by(f64::total_cmp);
    let count = sorted.len() as f64;
    let mean = sorted.iter().sum::<f64>() / count;
    let scatter = if sorted.len() < 2 {
        0.0
    } else {
        let squares: f64 = sorted.iter().map(|x| (x - mean) * (x - mean)).sum();
        let wider = student_95(sorted.len() - 1) / HALF_WIDTH_95;
        squares / (count * (count - 1.0)) * wider * wider
    };
    (mean, (scatter + instrument * instrument).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[track_caller]
    fn near(got: f64, expected: f64, by: f64) {
        assert!((got - expected).abs() <= by, "got {got}, expected {expected}");
    }

    #[test]
    fn two_published_values_combine_as_published() {
        // 10 ± 4 and 30 ± 5 give 17.80 ± 3.12 (published weighted mean; χ² and the scaled value computed from it).
        let combined = combine(&[(10.0, 4.0), (30.0, 5.0)]).unwrap();
        near(combined.value, 17.805, 0.001);
        near(combined.uncertainty / combined.birge_ratio, 3.123, 0.001);
        near(combined.chi_squared, 9.756, 0.001);
        near(combined.birge_ratio, 3.123, 0.001);
        near(combined.uncertainty, 9.756, 0.001);
        // Of two, each is as far from the other; the less sure one is named.
        assert_eq!(combined.outlier.map(|outlier| outlier.at), Some(1));
    }

    #[test]
    fn estimates_that_agree_are_not_widened() {
        let combined = combine(&[(0.50, 0.05), (0.52, 0.05), (0.48, 0.05)]).unwrap();
        near(combined.uncertainty, 0.05 / 3.0_f64.sqrt(), 1e-12);
        assert_eq!(combined.outlier, None);
    }

    #[test]
    fn one_estimate_stays_as_it_is() {
        let combined = combine(&[(0.4, 0.1)]).unwrap();
        near(combined.value, 0.4, 1e-15);
        near(combined.uncertainty, 0.1, 1e-15);
        assert_eq!(combine(&[]), None);
    }

    #[test]
    fn one_bad_reading_of_four_is_named_and_does_not_lead() {
        let combined = combine(&[(0.50, 0.03), (0.90, 0.03), (0.52, 0.03), (0.49, 0.03)]).unwrap();
        let outlier = combined.outlier.unwrap();
        assert_eq!(outlier.at, 1);
        // The others come to 0.503 ± 0.017; the difference of 0.397 is 11.5 of its standard deviations (computed).
        near(outlier.deviations, 11.45, 0.01);
        // Three pull towards their mean, and the fourth with 1.96/0.03: 0.503 + 1.96 × 0.03 / 3 (by hand).
        near(combined.value, 0.5229, 0.0002);
        near(combined.uncertainty, 0.015 * combined.birge_ratio, 1e-12);
    }

    #[test]
    fn of_two_that_are_equally_far_the_less_sure_one_is_named_whatever_is_rounded() {
        for (apart, one, other) in
            [3.0, 1e7].into_iter().flat_map(|apart| (1..60).flat_map(move |a| (1..60).map(move |b| (apart, a, b))))
        {
            let (a, b) = (0.01 * f64::from(one), 0.01 * f64::from(other));
            let combined = combine(&[(apart, a), (2.0 * apart, b)]).unwrap();
            let less_sure = usize::from(other >= one);
            assert_eq!(combined.outlier.map(|outlier| outlier.at), Some(less_sure), "{apart}: {one} and {other}");
        }
    }

    #[test]
    fn the_95_percent_points_beyond_the_table_are_the_handbook_s() {
        // NIST/SEMATECH e-Handbook 1.3.6.7.4, from memory: ν = 11, 20, 30, 100.
        for (freedom, point) in [(11, 19.675), (20, 31.410), (30, 43.773), (100, 124.342)] {
            near(chi_squared_95(freedom), point, 0.02);
        }
    }

    #[test]
    fn scatter_and_instrument_add_in_squares() {
        // s²/n of 1, 2, 3 is 1/3 (JCGM 100:2008, 4.2.3); t of 2 degrees of freedom is 4.303 (table G.2).
        let (mean, uncertainty) = mean_of_points(&[1.0, 2.0, 3.0], 2.0);
        near(mean, 2.0, 1e-15);
        near(uncertainty, (1.0_f64 / 3.0 * (4.303_f64 / 1.96).powi(2) + 4.0).sqrt(), 1e-12);
    }

    fn estimates() -> impl Strategy<Value = Vec<(f64, f64)>> {
        prop::collection::vec((0.0..1.0_f64, 0.01..0.3_f64), 1..7)
    }

    proptest! {
        #[test]
        fn the_order_changes_nothing_to_the_bit(given in estimates(), turn in 0_usize..7) {
            let mut turned = given.clone();
            turned.rotate_left(turn % given.len());
            turned.reverse();
            let (one, other) = (combine(&given).unwrap(), combine(&turned).unwrap());
            prop_assert_eq!(one.value.to_bits(), other.value.to_bits());
            prop_assert_eq!(one.uncertainty.to_bits(), other.uncertainty.to_bits());
            prop_assert_eq!(one.chi_squared.to_bits(), other.chi_squared.to_bits());
        }

        #[test]
        fn a_greater_value_never_makes_a_smaller_mean(given in estimates(), at in 0_usize..7, by in 0.0..2.0_f64) {
            let mut more = given.clone();
            more[at % given.len()].0 += by;
            prop_assert!(combine(&more).unwrap().value >= combine(&given).unwrap().value - 1e-12);
        }

        #[test]
        fn evidence_that_agrees_never_widens(given in estimates(), uncertainty in 0.01..0.3_f64) {
            let before = combine(&given).unwrap();
            let more: Vec<_> = given.iter().copied().chain([(before.value, uncertainty)]).collect();
            prop_assert!(combine(&more).unwrap().uncertainty <= before.uncertainty * (1.0 + 1e-12));
        }
    }
}
