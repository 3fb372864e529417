//! A straight line through points that are unsure in both directions.

/// A point with its standard uncertainties.
#[derive(Debug, Clone, Copy)]
pub struct Point {
    /// Its place.
    pub x: f64,
    /// Standard uncertainty of the place.
    pub u_x: f64,
    /// Its value.
    pub y: f64,
    /// Standard uncertainty of the value, above 0.
    pub u_y: f64,
}

/// The line `y = at + slope · (x − from)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Where `at` is told.
    pub from: f64,
    /// The value there.
    pub at: f64,
    /// Value over place.
    pub slope: f64,
    /// Standard uncertainty of `at`.
    pub u_at: f64,
    /// Standard uncertainty of the slope.
    pub u_slope: f64,
    /// The covariance of `at` and `slope`.
    pub covariance: f64,
}

/// How often the slope is improved; it settles to the last digits long before.
const ROUNDS: usize = 50;

/// The line that fits best, with its value told at `from`; none of fewer than two points apart in `x`.
///
/// York, Evensen, Martínez and Delgado (2004), "Unified equations for the slope, intercept, and standard errors of the
/// best straight line", without correlation of a point's errors; every `u_y` above 0.
pub fn fit_line(points: &[Point], from: f64) -> Option<Line> {
    let spread = |pick: fn(&Point) -> f64| {
        let (least, most) = points
            .iter()
            .map(pick)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
        most - least
    };
    if points.len() < 2 || spread(|point| point.x) <= 0.0 {
        return None;
    }
    let mut slope = plain_slope(points);
    for _ in 0..ROUNDS {
        let weights: Vec<_> = points.iter().map(|point| weight(point, slope)).collect();
        let (mean_x, mean_y) = means(points, &weights);
        let (mut above, mut below) = (0.0, 0.0);
        for (point, weight) in points.iter().zip(&weights) {
            let (dx, dy) = (point.x - mean_x, point.y - mean_y);
            let beta = weight * (dx * point.u_y * point.u_y + slope * dy * point.u_x * point.u_x);
            above += weight * beta * dy;
            below += weight * beta * dx;
        }
        let better = above / below;
        if !better.is_finite() {
            return None;
        }
        let has_settled = (better - slope).abs() <= 1e-15 * better.abs();
        slope = better;
        if has_settled {
            break;
        }
    }
    let weights: Vec<_> = points.iter().map(|point| weight(point, slope)).collect();
    let (mean_x, mean_y) = means(points, &weights);
    let total: f64 = weights.iter().sum();
    // The adjusted points lie on the line.
    let adjusted: Vec<_> = points
        .iter()
        .zip(&weights)
        .map(|(point, weight)| {
            let (dx, dy) = (point.x - mean_x, point.y - mean_y);
            mean_x + weight * (dx * point.u_y * point.u_y + slope * dy * point.u_x * point.u_x)
        })
        .collect();
    let centre = adjusted.iter().zip(&weights).map(|(x, weight)| x * weight).sum::<f64>() / total;
    let inertia: f64 = adjusted.iter().zip(&weights).map(|(x, weight)| weight * (x - centre) * (x - centre)).sum();
    let u_slope = (1.0 / inertia).sqrt();
    let reach = from - centre;
    Some(Line {
        from,
        at: mean_y + slope * (from - mean_x),
        slope,
        u_at: (1.0 / total + reach * reach * u_slope * u_slope).sqrt(),
        u_slope,
        covariance: reach * u_slope * u_slope,
    })
}

fn weight(point: &Point, slope: f64) -> f64 {
    1.0 / (point.u_y * point.u_y + slope * slope * point.u_x * point.u_x)
}

fn means(points: &[Point], weights: &[f64]) -> (f64, f64) {
    let total: f64 = weights.iter().sum();
    let mean =
        |pick: fn(&Point) -> f64| points.iter().zip(weights).map(|(point, w)| pick(point) * w).sum::<f64>() / total;
    (mean(|point| point.x), mean(|point| point.y))
}

/// By least squares with the errors of `y` alone; where the improvement starts.
fn plain_slope(points: &[Point]) -> f64 {
    let weights: Vec<_> = points.iter().map(|point| weight(point, 0.0)).collect();
    let (mean_x, mean_y) = means(points, &weights);
    let both = points.iter().zip(&weights);
    let above: f64 = both.clone().map(|(point, w)| w * (point.x - mean_x) * (point.y - mean_y)).sum();
    let below: f64 = both.map(|(point, w)| w * (point.x - mean_x) * (point.x - mean_x)).sum();
    above / below
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn near(got: f64, expected: f64, by: f64) {
        assert!((got - expected).abs() <= by, "got {got}, expected {expected}");
    }

    /// JCGM 100:2008, H.3, table H.6: corrections of a thermometer (from memory, checked against the published results).
    const THERMOMETER: [(f64, f64); 11] = [
        (21.521, -0.171),
        (22.012, -0.169),
        (22.512, -0.166),
        (23.003, -0.159),
        (23.507, -0.164),
        (23.999, -0.165),
        (24.513, -0.156),
        (25.002, -0.157),
        (25.503, -0.159),
        (26.010, -0.161),
        (26.511, -0.160),
    ];

    fn thermometer(from: f64) -> Line {
        // The scatter of the published fit, 0.0035 °C, is each point's uncertainty; the reference is exact.
        let points: Vec<_> = THERMOMETER.iter().map(|&(x, y)| Point { x, u_x: 0.0, y, u_y: 0.003_497_6 }).collect();
        fit_line(&points, from).unwrap()
    }

    #[test]
    fn the_guide_s_calibration_line_comes_out() {
        // JCGM 100:2008, H.3.3: intercept at 20 °C −0.1712(29), slope 0.00218(67), correlation −0.930.
        let line = thermometer(20.0);
        near(line.at, -0.1712, 0.000_05);
        near(line.u_at, 0.0029, 0.000_05);
        near(line.slope, 0.002_18, 0.000_005);
        near(line.u_slope, 0.000_67, 0.000_005);
        near(line.covariance / (line.u_at * line.u_slope), -0.930, 0.001);
    }

    #[test]
    fn extrapolated_it_is_as_unsure_as_the_guide_says() {
        // JCGM 100:2008, H.3.4: at 30 °C −0.1494(41).
        let line = thermometer(30.0);
        near(line.at, -0.1494, 0.000_05);
        near(line.u_at, 0.0041, 0.000_05);
    }

    #[test]
    fn errors_in_both_directions_give_the_published_line() {
        // Pearson's data with York's weights; York (1966), as in York et al. (2004), table II: intercept 5.4799, slope
        // −0.4805, standard errors 0.2950 and 0.0580 (from memory).
        let x = [0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4];
        let y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5];
        let w_x = [1000.0, 1000.0, 500.0, 800.0, 200.0, 80.0, 60.0, 20.0, 1.8, 1.0_f64];
        let w_y = [1.0, 1.8, 4.0, 8.0, 20.0, 20.0, 70.0, 70.0, 100.0, 500.0_f64];
        let points: Vec<_> = (0..10)
            .map(|at| Point { x: x[at], u_x: 1.0 / w_x[at].sqrt(), y: y[at], u_y: 1.0 / w_y[at].sqrt() })
            .collect();
        let line = fit_line(&points, 0.0).unwrap();
        near(line.at, 5.4799, 0.0001);
        near(line.slope, -0.4805, 0.0001);
        near(line.u_at, 0.2950, 0.0001);
        near(line.u_slope, 0.0580, 0.0001);
    }

    #[test]
    fn in_other_units_and_from_another_place_it_is_the_same_line() {
        let points: Vec<_> = [(-2.0, 1.0), (-1.0, 2.2), (0.5, 2.9), (1.0, 4.1)]
            .map(|(x, y)| Point { x, u_x: 0.3, y, u_y: 0.1 + 0.05 * f64::abs(x) })
            .into();
        let line = fit_line(&points, 0.0).unwrap();
        let in_millionths: Vec<_> =
            points.iter().map(|point| Point { x: point.x * 1e6, u_x: point.u_x * 1e6, ..*point }).collect();
        let scaled = fit_line(&in_millionths, 0.0).unwrap();
        near(scaled.slope * 1e6, line.slope, 1e-9);
        near(scaled.at, line.at, 1e-9);
        near(scaled.u_slope * 1e6, line.u_slope, 1e-9);
        let moved: Vec<_> = points.iter().map(|point| Point { x: point.x + 7.0, ..*point }).collect();
        let moved = fit_line(&moved, 7.0).unwrap();
        near(moved.slope, line.slope, 1e-9);
        near(moved.u_at, line.u_at, 1e-9);
    }

    #[test]
    fn no_line_goes_through_one_place() {
        let point = Point { x: 1.0, u_x: 0.1, y: 2.0, u_y: 0.1 };
        assert_eq!(fit_line(&[point, Point { y: 3.0, ..point }], 1.0), None);
        assert_eq!(fit_line(&[point], 1.0), None);
    }
}
