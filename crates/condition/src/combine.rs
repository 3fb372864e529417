//! Several estimates of one quantity: weighted by their certainty, widened only where they disagree too much.

/// What several estimates come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Combined {
    /// The weighted mean.
    pub value: f64,
    /// Its standard uncertainty, widened where they disagree.
    pub uncertainty: f64,
    /// The sum of squared normalised deviations.
    pub chi_squared: f64,
    /// √(χ²/ν); the factor of widening where χ² is beyond its 95 % point.
    pub birge_ratio: f64,
    /// The estimate that lies farthest from the others, with its distance in standard deviations; only where χ² is
    /// beyond its 95 % point.
    pub culprit: Option<(usize, f64)>,
}

/// The 95 % points of χ² for 1 to 10 degrees of freedom (NIST/SEMATECH e-Handbook 1.3.6.7.4; from memory).
const CHI_SQUARED_95: [f64; 10] = [3.841, 5.991, 7.815, 9.488, 11.070, 12.592, 14.067, 15.507, 16.919, 18.307];

/// The 95 % point of χ² with so many degrees of freedom, at least 1.
///
/// Beyond the table by Wilson and Hilferty (1931), which from there on is within 0.02 of it.
fn chi_squared_95(freedom: usize) -> f64 {
    /// The 95 % point of the standard normal distribution, one-sided.
    const NORMAL_95: f64 = 1.644_854;
    if let Some(&point) = freedom.checked_sub(1).and_then(|at| CHI_SQUARED_95.get(at)) {
        return point;
    }
    let freedom = freedom as f64;
    let share = 2.0 / (9.0 * freedom);
    let root = 1.0 - share + NORMAL_95 * share.sqrt();
    freedom * root * root * root
}

/// The inverse-variance mean of `(value, standard uncertainty)` pairs, every uncertainty above 0; nothing of nothing.
///
/// Birge, R. T. (1932): where χ² says that the estimates disagree, their uncertainties are too small by √(χ²/ν).
pub fn combine(estimates: &[(f64, f64)]) -> Option<Combined> {
    if estimates.is_empty() {
        return None;
    }
    let weights = estimates.iter().map(|&(_, u)| 1.0 / (u * u));
    let weight: f64 = weights.clone().sum();
    let value = estimates.iter().zip(weights).map(|(&(x, _), w)| x * w).sum::<f64>() / weight;
    let uncertainty = (1.0 / weight).sqrt();
    let deviation = |&(x, u): &(f64, f64)| (x - value) / u;
    let chi_squared: f64 = estimates.iter().map(|estimate| deviation(estimate) * deviation(estimate)).sum();
    let freedom = estimates.len() - 1;
    let birge_ratio = if freedom == 0 { 1.0 } else { (chi_squared / freedom as f64).sqrt() };
    if freedom == 0 || chi_squared <= chi_squared_95(freedom) {
        return Some(Combined { value, uncertainty, chi_squared, birge_ratio, culprit: None });
    }
    let farthest = estimates
        .iter()
        .enumerate()
        .map(|(at, estimate)| (at, deviation(estimate).abs()))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    Some(Combined { value, uncertainty: uncertainty * birge_ratio, chi_squared, birge_ratio, culprit: farthest })
}

/// The mean of a reading's points with its standard uncertainty: the scatter of the mean (JCGM 100:2008, 4.2.3) and the
/// instrument's share, which all points have in common (4.3). `points` is never empty.
///
/// Two or three points tell their scatter badly (JCGM 100:2008, G.3); this method does not widen for it.
pub fn mean_of_points(points: &[f64], instrument: f64) -> (f64, f64) {
    let count = points.len() as f64;
    let mean = points.iter().sum::<f64>() / count;
    let scatter = if points.len() < 2 {
        0.0
    } else {
        points.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / (count * (count - 1.0))
    };
    (mean, (scatter + instrument * instrument).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

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
        assert_eq!(combined.culprit.map(|culprit| culprit.0), Some(1));
    }

    #[test]
    fn estimates_that_agree_are_not_widened() {
        let combined = combine(&[(0.50, 0.05), (0.52, 0.05), (0.48, 0.05)]).unwrap();
        near(combined.uncertainty, 0.05 / 3.0_f64.sqrt(), 1e-12);
        assert_eq!(combined.culprit, None);
    }

    #[test]
    fn one_estimate_stays_as_it_is() {
        let combined = combine(&[(0.4, 0.1)]).unwrap();
        near(combined.value, 0.4, 1e-15);
        near(combined.uncertainty, 0.1, 1e-15);
        assert_eq!(combine(&[]), None);
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
        // s²/n of 1, 2, 3 is 1/3 (JCGM 100:2008, 4.2.3).
        let (mean, uncertainty) = mean_of_points(&[1.0, 2.0, 3.0], 2.0);
        near(mean, 2.0, 1e-15);
        near(uncertainty, (1.0_f64 / 3.0 + 4.0).sqrt(), 1e-12);
    }
}
