//! Points that lie evenly at any number: the first k of them are as even as k points can be.
//!
//! Farthest-point order (a greedy form of blue noise): each next point is the one of many candidates that lies
//! farthest from all points before it. Candidates come from a fixed seed and all arithmetic is on whole numbers, so
//! that the points are the same on every machine.

use std::sync::OnceLock;

/// One unit of length; the ring's radius.
const UNIT: i64 = 1 << 12;
/// How many points a half of the ring holds at most.
const HALF_POINTS: usize = 440;
/// How many points the bell holds at most.
const BELL_POINTS: usize = 90;

/// The ring's inner radius as a share of its outer one.
pub(super) const RING_INNER: f64 = 0.55;
/// The bell's radius.
pub(super) const BELL: f64 = 0.42;
/// The radius of a dot.
pub(super) const DOT: f64 = 0.021;
/// Half the gap between the two halves.
pub(super) const HALF_GAP: f64 = 0.035;

/// Points of the right half of the ring, x to the right and y down, the ring's radius being 1.
pub(super) fn half_points() -> &'static [(f64, f64)] {
    static POINTS: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    POINTS.get_or_init(|| {
        let (outer, inner, gap) =
            (scaled(1.0 - 1.4 * DOT), scaled(RING_INNER + 1.4 * DOT), scaled(HALF_GAP + 1.4 * DOT));
        spread(HALF_POINTS, |x, y| {
            let square = x * x + y * y;
            x >= gap && square <= outer * outer && square >= inner * inner
        })
    })
}

/// Points of the bell.
pub(super) fn bell_points() -> &'static [(f64, f64)] {
    static POINTS: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    POINTS.get_or_init(|| {
        let radius = scaled(BELL - 1.6 * DOT);
        spread(BELL_POINTS, |x, y| x * x + y * y <= radius * radius)
    })
}

fn scaled(length: f64) -> i64 {
    (length * UNIT as f64) as i64
}

fn spread(count: usize, inside: impl Fn(i64, i64) -> bool) -> Vec<(f64, f64)> {
    let candidates = draw_candidates(count * 14, inside);
    let mut nearest = vec![i64::MAX; candidates.len()];
    let mut points = Vec::with_capacity(count);
    // The first one is whichever came first; then always the farthest, of equals the earlier one.
    let mut chosen = 0;
    while points.len() < count {
        let (x, y) = candidates[chosen];
        points.push((x as f64 / UNIT as f64, y as f64 / UNIT as f64));
        let mut farthest = (0, 0);
        for (place, (near, (other_x, other_y))) in nearest.iter_mut().zip(&candidates).enumerate() {
            let (dx, dy) = (other_x - x, other_y - y);
            *near = (*near).min(dx * dx + dy * dy);
            if *near > farthest.0 {
                farthest = (*near, place);
            }
        }
        chosen = farthest.1;
    }
    points
}

fn draw_candidates(count: usize, inside: impl Fn(i64, i64) -> bool) -> Vec<(i64, i64)> {
    // Multiplier and increment of Knuth's MMIX generator.
    let mut state: u64 = 0x0052_494D_5349_4445;
    let mut draw = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        // The upper bits are the random ones.
        (state >> 40).cast_signed() % (2 * UNIT + 1) - UNIT
    };
    let mut candidates = Vec::with_capacity(count);
    while candidates.len() < count {
        let (x, y) = (draw(), draw());
        if inside(x, y) {
            candidates.push((x, y));
        }
    }
    candidates
}

#[cfg(test)]
mod tests {
    use super::*;

    fn least_distance(points: &[(f64, f64)]) -> f64 {
        let mut least = f64::MAX;
        for (place, a) in points.iter().enumerate() {
            for b in &points[..place] {
                least = least.min(libm::hypot(a.0 - b.0, a.1 - b.1));
            }
        }
        least
    }

    #[test]
    fn any_first_k_points_lie_even() {
        // Points on a hexagonal grid over the same area would be sqrt(2 / sqrt 3 * area / k) apart; a greedy order
        // keeps more than half of that, chance would keep about a tenth.
        let area = std::f64::consts::PI / 2.0 * (1.0 - RING_INNER * RING_INNER);
        for k in [20, 50, 100, 200, 440] {
            let hexagonal = libm::sqrt(2.0 / libm::sqrt(3.0) * area / k as f64);
            let least = least_distance(&half_points()[..k]);
            assert!(least > 0.55 * hexagonal, "{k} points: {least} of {hexagonal}");
        }
    }

    #[test]
    fn dots_hardly_touch_even_where_all_are_drawn() {
        assert!(least_distance(half_points()) > 1.5 * DOT);
        assert!(half_points().iter().all(|&(x, y)| x > HALF_GAP && libm::hypot(x, y) < 1.0));
    }
}
