//! From light to pixels: exposure, lens and sensor of a phone's camera, and the mark that the picture is made up.

use image::{Rgb, RgbImage};
use rayon::prelude::*;

use super::{
    lettering::{ADVANCE, HEIGHT, Lettering},
    noise::grain,
    vector::{Colour, grey, smooth, vec3},
};

const MARK: &str = "DEMONSTRATION";
/// One cell of the small picture from which highlights bleed.
const BLOOM_CELL: usize = 16;

/// How a picture is taken.
#[derive(Debug, Clone, Copy)]
pub(super) struct Exposure {
    pub width: u32,
    pub height: u32,
    /// Pixels between the first rays, a power of two: wide where nothing small must be missed.
    pub lattice: usize,
    /// Factor on the light.
    pub brightness: f32,
    /// Strength of the sensor's noise; 1 in daylight.
    pub noise: f32,
    /// Colour of the light as the camera's white balance leaves it.
    pub cast: Colour,
    pub seed: u32,
}

/// Takes the picture of a scene: `light_at(x, y)` is the light from a place, x from −aspect to aspect, y from −1
/// (bottom) to 1.
pub(super) fn take(exposure: &Exposure, light_at: impl Fn(f32, f32) -> Colour + Sync) -> RgbImage {
    let mut light = expose(exposure, light_at);
    bleed_highlights(&mut light, exposure);
    let mark = Mark::new(exposure);
    let mut picture = RgbImage::new(exposure.width, exposure.height);
    let curve = tone_curve();
    picture.par_chunks_exact_mut(3 * exposure.width as usize).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.chunks_exact_mut(3).enumerate() {
            let seen = light[y * exposure.width as usize + x];
            let colour = sense(exposure, &curve, seen, x as u32, y as u32);
            let Rgb(bytes) = mark.over(colour, x as f32, y as f32);
            pixel.copy_from_slice(&bytes);
        }
    });
    picture
}

/// Rays on a wide lattice first; between its points, rays only where the points differ, else their mean; and four more
/// rays for a pixel whose neighbours still differ much: at edges.
fn expose(exposure: &Exposure, light_at: impl Fn(f32, f32) -> Colour + Sync) -> Vec<Colour> {
    let (width, height) = (exposure.width as usize, exposure.height as usize);
    let half = height as f32 / 2.0;
    let through = |x: f32, y: f32| light_at((x - width as f32 / 2.0) / half, (half - y) / half) * exposure.brightness;
    let coarse = trace_lattice(exposure, &through);
    let mut fine = coarse.clone();
    fine.par_chunks_exact_mut(width).enumerate().for_each(|(y, line)| {
        for (x, pixel) in line.iter_mut().enumerate() {
            let at = |x: usize, y: usize| shade(coarse[y * width + x]);
            let own = at(x, y);
            let neighbours = [
                at(x.saturating_sub(1), y),
                at((x + 1).min(width - 1), y),
                at(x, y.saturating_sub(1)),
                at(x, (y + 1).min(height - 1)),
            ];
            if neighbours.iter().any(|other| (other - own).abs() > 0.12) {
                let mut sum = capped(coarse[y * width + x]);
                for (dx, dy) in [(0.125, 0.375), (0.375, 0.875), (0.625, 0.125), (0.875, 0.625)] {
                    sum += capped(through(x as f32 + dx, y as f32 + dy));
                }
                *pixel = uncapped(sum * 0.2);
            }
        }
    });
    fine
}

/// The light of every pixel's middle, traced or interpolated.
fn trace_lattice(exposure: &Exposure, through: &(impl Fn(f32, f32) -> Colour + Sync)) -> Vec<Colour> {
    let (width, height) = (exposure.width as usize, exposure.height as usize);
    let mut step = exposure.lattice.max(1);
    let mut columns = (width - 1).div_ceil(step) + 1;
    let rows = (height - 1).div_ceil(step) + 1;
    let at = |index: usize, step: usize| (index * step) as f32 + 0.5;
    let mut points = vec![grey(0.0); columns * rows];
    points.par_chunks_exact_mut(columns).enumerate().for_each(|(row, line)| {
        for (column, seen) in line.iter_mut().enumerate() {
            *seen = through(at(column, step), at(row, step));
        }
    });
    while step > 1 {
        step /= 2;
        let (wide, wide_columns) = (points, columns);
        columns = 2 * columns - 1;
        let rows = 2 * (wide.len() / wide_columns) - 1;
        points = vec![grey(0.0); columns * rows];
        points.par_chunks_exact_mut(columns).enumerate().for_each(|(row, line)| {
            for (column, seen) in line.iter_mut().enumerate() {
                let corner = |right: usize, below: usize| {
                    let (y, x) = (usize::midpoint(row, below), usize::midpoint(column, right));
                    wide[y * wide_columns + x]
                };
                let corners = [corner(0, 0), corner(1, 0), corner(0, 1), corner(1, 1)];
                let shades = corners.map(shade);
                let (low, high) = shades.iter().fold((f32::MAX, 0.0_f32), |(low, high), s| (low.min(*s), high.max(*s)));
                *seen = if column % 2 == 0 && row % 2 == 0 {
                    corners[0]
                } else if high - low < 0.026 {
                    (corners[0] + corners[1] + corners[2] + corners[3]) * 0.25
                } else {
                    through(at(column, step), at(row, step))
                };
            }
        });
    }
    let mut pixels = Vec::with_capacity(width * height);
    for line in points.chunks_exact(columns).take(height) {
        pixels.extend_from_slice(&line[..width]);
    }
    pixels
}

/// Brightness as the eye steps through it, roughly.
fn shade(light: Colour) -> f32 {
    light.luma().clamp(0.0, 2.0).sqrt()
}

/// A single glint must not outshine its pixel.
fn capped(light: Colour) -> Colour {
    light * (1.0 / (1.0 + 0.25 * light.luma()))
}

fn uncapped(light: Colour) -> Colour {
    light * (1.0 / (1.0 - 0.25 * light.luma()).max(0.1))
}

/// Bright places spread a little over their surroundings, as in a small lens that has been touched.
fn bleed_highlights(light: &mut [Colour], exposure: &Exposure) {
    let (width, height) = (exposure.width as usize, exposure.height as usize);
    let (columns, rows) = (width.div_ceil(BLOOM_CELL), height.div_ceil(BLOOM_CELL));
    let mut small = vec![grey(0.0); columns * rows];
    for y in 0..height {
        for x in 0..width {
            let seen = light[y * width + x];
            let capped = seen * (1.0 / (1.0 + 0.1 * seen.luma()));
            small[y / BLOOM_CELL * columns + x / BLOOM_CELL] += capped * (1.0 / (BLOOM_CELL * BLOOM_CELL) as f32);
        }
    }
    for _ in 0..2 {
        small = blur_lines(&small, columns, rows, 1, columns);
        small = blur_lines(&small, rows, columns, columns, 1);
    }
    light.par_chunks_exact_mut(width).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.iter_mut().enumerate() {
            let (cx, cy) = (x as f32 / BLOOM_CELL as f32 - 0.5, y as f32 / BLOOM_CELL as f32 - 0.5);
            let (x0, y0) = (cx.max(0.0) as usize, cy.max(0.0) as usize);
            let (x1, y1) = ((x0 + 1).min(columns - 1), (y0 + 1).min(rows - 1));
            let (tx, ty) = ((cx - x0 as f32).clamp(0.0, 1.0), (cy - y0 as f32).clamp(0.0, 1.0));
            let top = small[y0 * columns + x0].mix(small[y0 * columns + x1], tx);
            let bottom = small[y1 * columns + x0].mix(small[y1 * columns + x1], tx);
            *pixel = pixel.mix(top.mix(bottom, ty), 0.07);
        }
    });
}

/// Mean over five cells along lines of `length` cells, `step` apart; lines are `pitch` apart.
fn blur_lines(cells: &[Colour], length: usize, lines: usize, step: usize, pitch: usize) -> Vec<Colour> {
    let mut out = cells.to_vec();
    for line in 0..lines {
        for at in 0..length {
            let mut sum = grey(0.0);
            for offset in 0..5 {
                let near = (at + offset).saturating_sub(2).min(length - 1);
                sum += cells[line * pitch + near * step];
            }
            out[line * pitch + at * step] = sum * 0.2;
        }
    }
    out
}

/// Linear light 0 to 1 in 4096 steps to the sRGB curve (IEC 61966-2-1).
fn tone_curve() -> Vec<f32> {
    (0..4096)
        .map(|step| {
            let light = step as f32 / 4095.0;
            if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * libm::powf(light, 1.0 / 2.4) - 0.055 }
        })
        .collect()
}

fn sense(exposure: &Exposure, curve: &[f32], light: Colour, x: u32, y: u32) -> Colour {
    let half = vec3(exposure.width as f32, exposure.height as f32, 0.0) * 0.5;
    let (dx, dy) = ((x as f32 - half.x) / half.x, (y as f32 - half.y) / half.y);
    let corner = 1.0 - 0.30 * smooth(0.2, 1.5, (dx * dx + dy * dy) * 0.75);
    let light = light.tint(exposure.cast) * corner;
    // Shoulder and toe of a film, from a rational curve.
    let film = |value: f32| {
        let value = value.max(0.0);
        let toned = value * (2.51 * value + 0.03) / (value * (2.43 * value + 0.59) + 0.14);
        curve[(toned.min(1.0) * 4095.0) as usize]
    };
    let (red, green, blue) = (film(light.x), film(light.y), film(light.z));
    let dark = 1.0 - 0.5 * (red + green + blue) / 3.0;
    let strength = 0.011 * exposure.noise * dark;
    let luma = grain(x, y, exposure.seed) * strength;
    let chroma = |channel: u32| grain(x / 2, y / 2, exposure.seed ^ channel) * strength * 0.6;
    vec3(red + luma + chroma(11), green + luma + chroma(12) * 0.5, blue + luma + chroma(13))
}

/// The small mark in the lower right corner.
struct Mark {
    lettering: Lettering,
    cell: f32,
    left: f32,
    top: f32,
}

impl Mark {
    fn new(exposure: &Exposure) -> Self {
        let lettering = Lettering::new(MARK);
        let cell = (exposure.height as f32 / 330.0).max(1.0);
        let left = exposure.width as f32 - (lettering.width() + 5.0) * cell;
        let top = exposure.height as f32 - (HEIGHT + 4.0) * cell;
        Self { lettering, cell, left, top }
    }

    fn over(&self, colour: Colour, x: f32, y: f32) -> Rgb<u8> {
        let (column, row) = ((x + 0.5 - self.left) / self.cell, (y + 0.5 - self.top) / self.cell);
        let mut colour = colour;
        if column > -ADVANCE / 2.0 && row > -2.5 {
            colour = colour.mix(grey(0.05), 0.55);
            let stroke = self.lettering.distance_to_stroke(column, row);
            colour = colour.mix(grey(0.93), smooth(0.75, 0.35, stroke));
        }
        let byte = |value: f32| (value.clamp(0.0, 1.0) * 255.0 + 0.5) as u8;
        Rgb([byte(colour.x), byte(colour.y), byte(colour.z)])
    }
}
