//! Points, directions and colours: three numbers with the arithmetic that drawing needs.

use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// A point or direction in millimetres, or a colour as linear light (red, green, blue).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Vec3 {
    pub x: f32,
    pub y: f32,
    pub z: f32,
}

/// The same, when it is meant as light.
pub(super) type Colour = Vec3;

pub(super) const fn vec3(x: f32, y: f32, z: f32) -> Vec3 {
    Vec3 { x, y, z }
}

pub(super) const fn grey(value: f32) -> Colour {
    vec3(value, value, value)
}

impl Vec3 {
    pub fn dot(self, other: Self) -> f32 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    pub fn cross(self, other: Self) -> Self {
        vec3(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    pub fn length(self) -> f32 {
        self.dot(self).sqrt()
    }

    pub fn unit(self) -> Self {
        self * (1.0 / self.length().max(1e-12))
    }

    /// Component by component: a colour seen through another.
    pub fn tint(self, other: Self) -> Self {
        vec3(self.x * other.x, self.y * other.y, self.z * other.z)
    }

    pub fn mix(self, other: Self, share: f32) -> Self {
        self + (other - self) * share
    }

    /// Mirrored at a surface with this normal.
    pub fn reflect(self, normal: Self) -> Self {
        self - normal * (2.0 * self.dot(normal))
    }

    /// Brightness of a colour (Rec. 709 weights).
    pub fn luma(self) -> f32 {
        0.2126 * self.x + 0.7152 * self.y + 0.0722 * self.z
    }
}

impl Add for Vec3 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        vec3(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl AddAssign for Vec3 {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Vec3 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        vec3(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f32> for Vec3 {
    type Output = Self;
    fn mul(self, factor: f32) -> Self {
        vec3(self.x * factor, self.y * factor, self.z * factor)
    }
}

impl Neg for Vec3 {
    type Output = Self;
    fn neg(self) -> Self {
        self * -1.0
    }
}

/// 0 below `low`, 1 above `high`, smooth between.
pub(super) fn smooth(low: f32, high: f32, value: f32) -> f32 {
    let t = ((value - low) / (high - low)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

pub(super) fn lerp(from: f32, to: f32, share: f32) -> f32 {
    from + (to - from) * share
}
