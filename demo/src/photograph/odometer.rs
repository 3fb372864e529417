//! The odometer: a dot-matrix display behind glass, in a dark cabin.

use image::RgbImage;

use super::{
    develop::{Exposure, take},
    lettering::Lettering,
    noise::{cloud, smooth_noise, unit, vary},
    shape::rounded_rectangle,
    turn::angle_of,
    vector::{Colour, grey, smooth, vec3},
    view::{Camera, Ray},
};

/// Draws the display with that distance.
pub(super) fn draw(km: u32, mut exposure: Exposure) -> RgbImage {
    let jitter = |n: i32| unit(n, 16, exposure.seed) - 0.5;
    exposure.noise = 2.2;
    let total = format!("{km} km");
    let panel = Panel { total: Lettering::new(&total), head: Lettering::new("TOTAL"), seed: exposure.seed };
    let camera = Camera::new(vec3(22.0 * jitter(1), 34.0, 230.0), vec3(0.0, 2.0, 0.0), 0.30, 0.06 * jitter(2));
    take(&exposure, |x, y| panel.look(&camera.ray(x, y)))
}

struct Panel {
    total: Lettering,
    head: Lettering,
    seed: u32,
}

impl Panel {
    fn look(&self, ray: &Ray) -> Colour {
        let Some(distance) = ray.distance_to_height(0.0) else { return grey(0.0) };
        let p = ray.at(distance);
        let glass = rounded_rectangle(p.x, p.y, (66.0, 30.0), 7.0);
        if glass > 0.0 {
            return self.dash(p.x, p.y, glass);
        }
        // The display lies a few millimetres behind its glass.
        let behind = ray.distance_to_height(-4.0).map_or(p, |distance| ray.at(distance));
        let deep = rounded_rectangle(behind.x, behind.y, (63.0, 27.5), 5.0);
        let lit = vec3(0.62, 0.80, 0.86);
        let mut light = vec3(0.006, 0.008, 0.010) * smooth(1.0, -1.5, deep);
        light += lit * (0.95 * self.dots(&self.total, behind.x, behind.y + 4.0, 1.85));
        light += lit * (0.5 * self.dots(&self.head, behind.x, behind.y - 17.0, 0.72));
        let arc = {
            let (dx, dy) = (behind.x, behind.y + 92.0);
            let radius = (dx * dx + dy * dy).sqrt();
            let angle = angle_of(dy, dx);
            let tick = (angle / 0.035 - (angle / 0.035).round()).abs() * 0.035 * radius;
            smooth(0.45, 0.2, tick) * smooth(2.2, 1.9, (radius - 112.5).abs()) * smooth(0.5, 0.45, angle.abs())
        };
        light += vec3(0.75, 0.42, 0.20) * (0.35 * arc);
        // The windscreen mirrored in the glass, some dust, a fingerprint.
        let slant = p.y + 0.55 * p.x - 12.0;
        let window = smooth(-3.0, 6.0, slant) * smooth(46.0, 34.0, slant);
        light += vec3(0.055, 0.062, 0.070) * (window * (0.7 + 0.3 * smooth_noise(p.x / 11.0, p.y / 19.0, 3)));
        let dust = smooth(0.80, 0.97, smooth_noise(p.x * 2.3, p.y * 2.3, vary(self.seed, 4)).abs());
        light += grey(0.035 * dust * (0.4 + window));
        let (fx, fy) = (p.x - 41.0, p.y + 13.0);
        let print = smooth(11.0, 6.0, (fx * fx + fy * fy * 0.6).sqrt());
        let ridges =
            0.5 + 0.5 * libm::sinf(2.9 * (fx * fx + fy * fy * 0.5).sqrt() + 1.4 * cloud(fx / 4.0, fy / 4.0, 2, 5));
        light += grey(0.012 * print * ridges);
        light * (0.55 + 0.45 * smooth(0.0, -3.0, glass))
    }

    /// Square points with a dark gap between them, and their faint glow on their neighbours.
    fn dots(&self, lettering: &Lettering, x: f32, y: f32, cell: f32) -> f32 {
        let column = x / cell + lettering.width() / 2.0;
        let row = 3.0 - y / cell;
        let glow = smooth(2.6, 0.0, lettering.distance_to_stroke(column, row));
        let on = lettering.distance_to_point(column, row) < 1.0;
        let (dx, dy) = ((column - column.round()).abs(), (row - row.round()).abs());
        let square = smooth(0.47, 0.40, dx.max(dy));
        let uneven = 0.9 + 0.1 * smooth_noise(column.round() * 3.1, row.round() * 2.7, self.seed);
        let unlit = if (0.0..7.0).contains(&(row + 0.5)) && column.abs() < 300.0 { 0.012 * square } else { 0.0 };
        unlit + 0.05 * glow * glow + if on { square * uneven } else { 0.0 }
    }

    /// The grained plastic around.
    fn dash(&self, x: f32, y: f32, edge: f32) -> Colour {
        let leather = smooth_noise(x * 0.9, y * 0.9, 7) + 0.6 * smooth_noise(x * 1.9, y * 1.9, 8);
        let slope = smooth_noise(x * 0.9 + 0.4, y * 0.9 + 0.4, 7) - smooth_noise(x * 0.9, y * 0.9, 7);
        let from_above = smooth(-60.0, 75.0, y);
        let bezel = smooth(5.5, 3.5, edge);
        let ring = smooth(1.6, 0.0, (edge - 3.0).abs()) * (0.4 + 0.6 * from_above);
        let skin = vec3(0.020, 0.020, 0.021) * ((0.6 + 1.8 * from_above) * (1.0 + 0.16 * leather + 0.9 * slope));
        let dust = smooth(0.86, 0.98, smooth_noise(x * 2.0, y * 2.0, vary(self.seed, 9)).abs());
        (skin + grey(0.02 * dust * from_above)).mix(grey(0.007), bezel) + vec3(0.16, 0.165, 0.17) * (0.5 * ring)
    }
}
