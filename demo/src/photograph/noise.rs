//! Irregularity that is the same every time: hashed lattices.

use super::vector::lerp;

/// A number without pattern from a place and a seed.
pub(super) fn hash(x: i32, y: i32, seed: u32) -> u32 {
    let mut h =
        (x as u32).wrapping_mul(0x9e37_79b1) ^ (y as u32).wrapping_mul(0x85eb_ca77) ^ seed.wrapping_mul(0xc2b2_ae3d);
    h ^= h >> 15;
    h = h.wrapping_mul(0x2c1b_3c6d);
    h ^= h >> 12;
    h = h.wrapping_mul(0x297a_2d39);
    h ^ (h >> 15)
}

/// Another seed for another use.
pub(super) fn vary(seed: u32, use_number: u32) -> u32 {
    seed ^ use_number.wrapping_mul(0x9e37)
}

/// A number from 0 to 1 without pattern.
pub(super) fn unit(x: i32, y: i32, seed: u32) -> f32 {
    (hash(x, y, seed) >> 8) as f32 / 16_777_216.0
}

/// Smooth noise from −1 to 1 with a lattice of 1.
pub(super) fn smooth_noise(x: f32, y: f32, seed: u32) -> f32 {
    let (fx, fy) = (x.floor(), y.floor());
    let (ix, iy) = (fx as i32, fy as i32);
    let (tx, ty) = (fade(x - fx), fade(y - fy));
    let top = lerp(unit(ix, iy, seed), unit(ix + 1, iy, seed), tx);
    let bottom = lerp(unit(ix, iy + 1, seed), unit(ix + 1, iy + 1, seed), tx);
    2.0 * lerp(top, bottom, ty) - 1.0
}

/// Several octaves of smooth noise, about −1 to 1.
pub(super) fn cloud(x: f32, y: f32, octaves: u32, seed: u32) -> f32 {
    let (mut sum, mut share, mut scale) = (0.0, 0.5, 1.0);
    for octave in 0..octaves {
        sum += share * smooth_noise(x * scale, y * scale, seed.wrapping_add(octave * 131));
        share *= 0.5;
        scale *= 2.03;
    }
    sum * 1.4
}

/// Bell-shaped noise of one pixel, standard deviation about 1.
pub(super) fn grain(x: u32, y: u32, seed: u32) -> f32 {
    let h = hash(x as i32, y as i32, seed);
    let sum = (h & 0xff) + (h >> 8 & 0xff) + (h >> 16 & 0xff) + (h >> 24);
    (sum as f32 - 510.0) / 148.0
}

fn fade(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}
