//! The camera: where it stands, what it looks at, and the ray of light through each place of the picture.

use super::vector::{Vec3, vec3};

/// A line of sight.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ray {
    pub origin: Vec3,
    pub direction: Vec3,
}

impl Ray {
    pub fn at(&self, distance: f32) -> Vec3 {
        self.origin + self.direction * distance
    }

    /// Distance to the plane z = `height`, if it lies ahead.
    pub fn distance_to_height(&self, height: f32) -> Option<f32> {
        let distance = (height - self.origin.z) / self.direction.z;
        (distance.is_finite() && distance > 0.0).then_some(distance)
    }

    /// Distances at which the ray enters and leaves an endless cylinder about the z axis.
    pub fn through_cylinder(&self, radius: f32) -> Option<(f32, f32)> {
        let (from, along) = (self.origin, self.direction);
        let a = along.x * along.x + along.y * along.y;
        let b = from.x * along.x + from.y * along.y;
        let c = from.x * from.x + from.y * from.y - radius * radius;
        let root = b * b - a * c;
        if root < 0.0 || a < 1e-9 {
            return None;
        }
        let root = root.sqrt();
        Some(((-b - root) / a, (-b + root) / a))
    }
}

/// A pinhole camera.
#[derive(Debug, Clone, Copy)]
pub(super) struct Camera {
    eye: Vec3,
    right: Vec3,
    up: Vec3,
    forward: Vec3,
    half_height: f32,
}

impl Camera {
    /// Stands at `eye`, looks at `target`; `half_height` is the tangent of half the upright angle of view; `roll` leans
    /// the camera, in radians.
    pub fn new(eye: Vec3, target: Vec3, half_height: f32, roll: f32) -> Self {
        let forward = (target - eye).unit();
        let level = forward.cross(vec3(0.0, 1.0, 0.0)).unit();
        let upright = level.cross(forward);
        let (sin, cos) = (libm::sinf(roll), libm::cosf(roll));
        Self { eye, right: level * cos + upright * sin, up: upright * cos - level * sin, forward, half_height }
    }

    /// The line of sight through a place of the picture: x from −aspect to aspect, y from −1 (bottom) to 1.
    pub fn ray(&self, x: f32, y: f32) -> Ray {
        let direction = self.forward + self.right * (x * self.half_height) + self.up * (y * self.half_height);
        Ray { origin: self.eye, direction: direction.unit() }
    }

    /// Width of one pixel at a distance of 1, in a picture that is `height` pixels high.
    pub fn pixel(&self, height: u32) -> f32 {
        2.0 * self.half_height / height as f32
    }
}
