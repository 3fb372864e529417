//! Solids as distance fields, and finding where a line of sight meets one.

use super::{
    vector::{Vec3, vec3},
    view::Ray,
};

/// Distance to a solid and what it is made of.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near<M> {
    pub distance: f32,
    pub material: M,
}

impl<M> Near<M> {
    pub const fn new(distance: f32, material: M) -> Self {
        Self { distance, material }
    }

    /// The nearer of two.
    pub fn or(self, other: Self) -> Self {
        if other.distance < self.distance { other } else { self }
    }
}

/// Where a ray met a solid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Met<M> {
    pub distance: f32,
    pub point: Vec3,
    pub normal: Vec3,
    pub material: M,
}

/// Follows a ray from `from` to `to` until it meets the solid.
pub(super) fn march<M>(ray: &Ray, from: f32, to: f32, solid: impl Fn(Vec3) -> Near<M>) -> Option<Met<M>> {
    let mut distance = from.max(0.0);
    for _ in 0..72 {
        if distance > to {
            return None;
        }
        let point = ray.at(distance);
        let near = solid(point);
        if near.distance < 0.06 {
            return Some(Met { distance, point, normal: normal(point, &solid), material: near.material });
        }
        distance += near.distance * 0.92;
    }
    None
}

fn normal<M>(point: Vec3, solid: &impl Fn(Vec3) -> Near<M>) -> Vec3 {
    const STEP: f32 = 0.18;
    let mut sum = vec3(0.0, 0.0, 0.0);
    for corner in [vec3(1.0, -1.0, -1.0), vec3(-1.0, -1.0, 1.0), vec3(-1.0, 1.0, -1.0), vec3(1.0, 1.0, 1.0)] {
        sum += corner * solid(point + corner * STEP).distance;
    }
    sum.unit()
}

/// How open a place is to its surroundings, 0 to 1, from the solid's distances along the normal.
pub(super) fn openness<M>(point: Vec3, normal: Vec3, reach: f32, solid: impl Fn(Vec3) -> Near<M>) -> f32 {
    let mut closed = 0.0;
    for (step, weight) in [(0.15, 0.9), (0.45, 0.55), (1.0, 0.3)] {
        let out = reach * step;
        closed += weight * (1.0 - (solid(point + normal * out).distance / out).clamp(0.0, 1.0));
    }
    (1.0 - 0.6 * closed).clamp(0.08, 1.0)
}

/// Share of a lamp's light that passes the solid on the way from a place.
pub(super) fn light_past<M>(point: Vec3, lamp: Vec3, reach: f32, solid: impl Fn(Vec3) -> Near<M>) -> f32 {
    let mut share = 1.0_f32;
    let mut way = 3.0;
    for _ in 0..9 {
        let distance = solid(point + lamp * way).distance;
        share = share.min(0.5 + 7.0 * distance / way);
        way += distance.clamp(3.0, 40.0);
        if share <= 0.0 || way > reach || distance > 40.0 {
            break;
        }
    }
    share.clamp(0.0, 1.0)
}

/// A box with rounded edges about the origin.
pub(super) fn rounded_box(point: Vec3, half: Vec3, radius: f32) -> f32 {
    let (x, y, z) = (point.x.abs() - half.x + radius, point.y.abs() - half.y + radius, point.z.abs() - half.z + radius);
    vec3(x.max(0.0), y.max(0.0), z.max(0.0)).length() + x.max(y).max(z).min(0.0) - radius
}

/// A rectangle with rounded corners, in two dimensions.
pub(super) fn rounded_rectangle(x: f32, y: f32, half: (f32, f32), radius: f32) -> f32 {
    let (x, y) = (x.abs() - half.0 + radius, y.abs() - half.1 + radius);
    let (ox, oy) = (x.max(0.0), y.max(0.0));
    (ox * ox + oy * oy).sqrt() + x.max(y).min(0.0) - radius
}

/// A rod with round ends.
pub(super) fn rod(point: Vec3, from: Vec3, to: Vec3, radius: f32) -> f32 {
    let (along, out) = (to - from, point - from);
    let share = (out.dot(along) / along.dot(along)).clamp(0.0, 1.0);
    (out - along * share).length() - radius
}

/// An upright cylinder along z from `low` to `high`, edges rounded.
pub(super) fn drum(point: Vec3, radius: f32, low: f32, high: f32, edge: f32) -> f32 {
    let out = (point.x * point.x + point.y * point.y).sqrt() - radius + edge;
    let over = (point.z - f32::midpoint(low, high)).abs() - (high - low) / 2.0 + edge;
    let (x, y) = (out.max(0.0), over.max(0.0));
    (x * x + y * y).sqrt() + out.max(over).min(0.0) - edge
}

/// A six-sided head along z, `across` its flats.
pub(super) fn hexagon(point: Vec3, across: f32, low: f32, high: f32) -> f32 {
    let (x, y) = (point.x.abs(), point.y.abs());
    let flat = (x * 0.866 + y * 0.5).max(y) - across / 2.0;
    let over = (point.z - f32::midpoint(low, high)).abs() - (high - low) / 2.0;
    flat.max(over)
}

/// Two solids joined with a fillet.
pub(super) fn blend(a: f32, b: f32, fillet: f32) -> f32 {
    let share = (fillet - (a - b).abs()).max(0.0) / fillet;
    a.min(b) - share * share * fillet * 0.25
}
