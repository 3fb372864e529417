//! Angles around the disc's axis, cheap enough for every step of every line of sight.
//!
//! Polynomials instead of the mathematics library: the error (some hundred-thousandths of a radian) is far below what a
//! pixel shows, and plain arithmetic is the same on every machine.

use core::f32::consts::{FRAC_PI_2, PI, TAU};

/// The angle of a direction, −π to π. Abramowitz and Stegun 4.4.49 (from memory); error below 2·10⁻⁵.
pub(super) fn angle_of(x: f32, y: f32) -> f32 {
    let (ax, ay) = (x.abs(), y.abs());
    let (low, high) = if ax < ay { (ax, ay) } else { (ay, ax) };
    if high < 1e-12 {
        return 0.0;
    }
    let t = low / high;
    let s = t * t;
    let small = t * (0.999_866 + s * (-0.330_299_5 + s * (0.180_141 + s * (-0.085_133 + s * 0.020_835_1))));
    let first = if ax < ay { FRAC_PI_2 - small } else { small };
    let upper = if x < 0.0 { PI - first } else { first };
    if y < 0.0 { -upper } else { upper }
}

/// A place turned about the axis by a whole number of `parts` of a turn so that it comes nearest to the angle
/// `from`: what is repeated around the axis is described once. Gives the way outwards and the way aside.
pub(super) fn fold(x: f32, y: f32, parts: f32, from: f32) -> (f32, f32) {
    let step = TAU / parts;
    let radius = (x * x + y * y).sqrt();
    let angle = angle_of(x, y) - from;
    let rest = angle - (angle / step).round() * step;
    let s = rest * rest;
    let sin = rest * (1.0 - s * (1.0 / 6.0 - s * (1.0 / 120.0 - s / 5040.0)));
    let cos = 1.0 - s * (0.5 - s * (1.0 / 24.0 - s / 720.0));
    (radius * cos, radius * sin)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_angle_is_that_of_the_mathematics_library() {
        for step in 0..720 {
            let angle = (step as f32 - 360.0) * PI / 360.0;
            let (x, y) = (37.0 * libm::cosf(angle), 37.0 * libm::sinf(angle));
            let off = angle_of(x, y) - libm::atan2f(y, x);
            assert!(off.abs() < 2e-5, "at {angle}: {off}");
        }
        assert!(angle_of(0.0, 0.0).abs() < 1e-9);
    }

    #[test]
    fn folding_keeps_the_distance_from_the_axis_and_repeats() {
        for step in 0..50 {
            let angle = step as f32 * 0.11;
            let at = |turn: f32| fold(80.0 * libm::cosf(turn), 80.0 * libm::sinf(turn), 10.0, 0.2);
            let (out, side) = at(angle);
            assert!((out.hypot(side) - 80.0).abs() < 1e-2);
            let (again_out, again_side) = at(angle + TAU / 10.0);
            // At the seam between two parts either side may be taken.
            assert!((out - again_out).abs() < 1e-2 && (side.abs() - again_side.abs()).abs() < 1e-2);
        }
    }
}
