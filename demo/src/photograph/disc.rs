//! The shape of a disc: ring, drilled holes, vents at its edge.

use model::Axle;

use super::turn::angle_of;
use super::vector::{Vec3, vec3};

/// Holes drilled along each curved row.
const ROWS: i32 = 6;
/// Curved rows around the disc.
const ARMS: f32 = 20.0;

/// A ventilated, drilled ring about the z axis; its visible face lies in the plane z = 0, its body behind.
#[derive(Debug, Clone, Copy)]
pub(super) struct Disc {
    /// Inner radius in millimetres.
    pub inner: f32,
    /// Outer radius.
    pub outer: f32,
    /// Thickness.
    pub thick: f32,
    /// Radius of a drilled hole.
    pub hole: f32,
    /// 1 or −1: which way the rows of holes lean.
    pub lean: f32,
}

/// The way from the nearest hole's axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct HoleOffset {
    pub x: f32,
    pub y: f32,
    pub distance: f32,
}

impl Disc {
    /// The invented car's discs: larger in front; rows of holes mirror each other from left to right.
    pub fn of(axle: Axle, lean: f32) -> Self {
        match axle {
            Axle::Front => Self { inner: 126.0, outer: 205.0, thick: 38.0, hole: 4.1, lean },
            Axle::Rear => Self { inner: 124.0, outer: 195.0, thick: 32.0, hole: 4.1, lean },
        }
    }

    /// The nearest drilled hole to a place of the face.
    pub fn nearest_hole(&self, x: f32, y: f32) -> HoleOffset {
        let radius = (x * x + y * y).sqrt();
        let angle = angle_of(x, y);
        let pitch = (self.outer - self.inner - 26.0) / (ROWS - 1) as f32;
        let row = ((radius - self.inner - 13.0) / pitch).round() as i32;
        let mut nearest = HoleOffset { x: 99.0, y: 99.0, distance: 99.0 };
        for row in [row - 1, row, row + 1] {
            if !(0..ROWS).contains(&row) {
                continue;
            }
            let at = self.inner + 13.0 + pitch * row as f32;
            let step = core::f32::consts::TAU / ARMS;
            let shift = self.lean * step * (0.23 * row as f32 + if row % 2 == 0 { 0.0 } else { 0.5 });
            let around = ((angle - shift) / step).round() * step + shift;
            let (cx, cy) = (at * libm::cosf(around), at * libm::sinf(around));
            let (dx, dy) = (x - cx, y - cy);
            let distance = (dx * dx + dy * dy).sqrt();
            if distance < nearest.distance {
                nearest = HoleOffset { x: dx, y: dy, distance };
            }
        }
        nearest
    }

    /// The outer edge: whether a place of it opens into a vent, and how deep in from the vent's rim, in millimetres.
    pub fn vent_depth(&self, point: Vec3) -> f32 {
        let angle = angle_of(point.x, point.y);
        let step = core::f32::consts::TAU / 60.0;
        let across = ((angle / step).fract().abs() - 0.5).abs() * step * self.outer;
        let along = (point.z + self.thick / 2.0).abs();
        let half = (step * self.outer * 0.33, self.thick * 0.17);
        -super::shape::rounded_rectangle(across, along, half, 2.0)
    }
}

/// The direction around the axis at a place: along the grooves that braking leaves.
pub(super) fn around(point: Vec3) -> Vec3 {
    vec3(-point.y, point.x, 0.0).unit()
}
