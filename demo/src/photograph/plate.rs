//! Plates with letters: the registration on the car's tail, the identification number on its own little plate.

use image::RgbImage;

use super::{
    develop::{Exposure, take},
    lettering::{HEIGHT, Lettering},
    light::{Light, Surface},
    noise::{cloud, smooth_noise, unit, vary},
    scene::daylight,
    shape::rounded_rectangle,
    vector::{Colour, Vec3, grey, lerp, smooth, vec3},
    view::{Camera, Ray},
};

/// The registration: pale letters pressed into a dark blue-grey plate, in no country's format.
pub(super) fn draw_registration(letters: &str, exposure: Exposure) -> RgbImage {
    let jitter = |n: i32| unit(n, 14, exposure.seed) - 0.5;
    let lettering = Lettering::new(letters);
    let cell = (360.0 / lettering.width().max(20.0)).min(9.5);
    let tail = Tail { cell, lettering, light: daylight(exposure.seed), seed: exposure.seed };
    let camera =
        Camera::new(vec3(-150.0 + 160.0 * jitter(1), 150.0, 640.0), vec3(0.0, 0.0, 0.0), 0.28, 0.05 * jitter(2));
    take(&exposure, |x, y| tail.look(&camera.ray(x, y)))
}

struct Tail {
    lettering: Lettering,
    cell: f32,
    light: Light,
    seed: u32,
}

impl Tail {
    fn look(&self, ray: &Ray) -> Colour {
        let Some(distance) = ray.distance_to_height(0.0) else { return grey(0.0) };
        let p = ray.at(distance);
        let edge = rounded_rectangle(p.x, p.y, (235.0, 62.0), 9.0);
        if edge < 0.0 { self.plate(ray, p, edge) } else { self.panel(ray, p, edge) }
    }

    /// Height of the sheet at a place: letters and rim are pressed out.
    fn relief(&self, x: f32, y: f32) -> f32 {
        let column = x / self.cell + self.lettering.width() / 2.0;
        let row = (HEIGHT - 1.0) / 2.0 - y / (self.cell * 1.15);
        let stroke = self.lettering.distance_to_stroke(column, row) * self.cell;
        let rim = rounded_rectangle(x, y, (235.0, 62.0), 9.0);
        let band = smooth(2.6, 1.0, (rim + 6.0).abs());
        1.7 * smooth(self.cell * 0.50 + 1.2, self.cell * 0.50 - 1.0, stroke) + 1.2 * band
    }

    fn plate(&self, ray: &Ray, p: Vec3, edge: f32) -> Colour {
        let step = 0.5;
        let here = self.relief(p.x, p.y);
        let slope = ((self.relief(p.x + step, p.y) - here) / step, (self.relief(p.x, p.y + step) - here) / step);
        let wave = (0.02 * smooth_noise(p.x / 90.0, p.y / 60.0, 5), 0.02 * smooth_noise(p.x / 80.0, p.y / 50.0, 6));
        let mut normal = vec3(-slope.0 + wave.0, -slope.1 + wave.1, 1.0);
        normal += vec3(p.x.signum(), p.y.signum(), 0.0) * (0.2 * smooth(-2.0, 0.0, edge));
        let ink = smooth(0.6, 1.2, here);
        let road = smooth(0.25, 0.9, 0.5 + 0.5 * cloud(p.x / 40.0, p.y / 30.0, 4, self.seed) - p.y / 200.0);
        // The sheet is made of tiny beads: a faint honeycomb.
        let beads = 0.96 + 0.04 * smooth_noise(p.x * 1.4, p.y * 1.4, 7);
        let field = vec3(0.036, 0.062, 0.105);
        let mut albedo = field.mix(vec3(0.80, 0.79, 0.74), ink) * beads;
        albedo = albedo.mix(vec3(0.15, 0.135, 0.115), 0.28 * road);
        let mut gloss = grey(0.045);
        let mut rough = lerp(0.18, 0.5, road);
        for side in [-1.0, 1.0] {
            let (dx, dy) = (p.x - side * 205.0, p.y);
            let bolt = (dx * dx + dy * dy).sqrt();
            if bolt < 8.0 {
                normal = vec3(dx * 0.09, dy * 0.09, 1.0);
                let slot = smooth(1.1, 0.8, (dx * 0.8 + dy * 0.6).abs());
                albedo = grey(0.28) * (1.0 - 0.8 * slot);
                gloss = grey(0.4 * (1.0 - slot));
                rough = 0.3;
            }
            albedo = albedo * (1.0 - 0.5 * smooth(10.5, 8.0, bolt) * smooth(7.8, 8.2, bolt));
        }
        let surface = Surface { point: p, normal: normal.unit(), albedo, gloss, rough, groove: None };
        self.light.shade(&surface, ray, 1.0, 1.0)
    }

    /// The painted tail around the plate: a recess with a shadow along its upper edge.
    fn panel(&self, ray: &Ray, p: Vec3, edge: f32) -> Colour {
        let recess = rounded_rectangle(p.x, p.y, (262.0, 84.0), 22.0);
        let lip = smooth(10.0, 0.0, recess.abs());
        let normal = vec3(
            p.x / 2600.0 + 0.5 * lip * p.x.signum() * smooth(70.0, 90.0, p.x.abs() - 180.0),
            (p.y - 40.0) / 900.0 + 0.55 * lip * p.y.signum() * smooth(60.0, 90.0, p.y.abs()),
            1.0,
        );
        let flake = 1.0 + 0.10 * smooth_noise(p.x * 3.0, p.y * 3.0, 9);
        let splash = smooth(0.45, 1.2, 0.5 + 0.5 * cloud(p.x / 14.0, p.y / 14.0, 4, vary(self.seed, 2)) - p.y / 900.0);
        let surface = Surface {
            point: p,
            normal: normal.unit(),
            albedo: (vec3(0.0055, 0.017, 0.021) * flake).mix(vec3(0.12, 0.11, 0.095), 0.25 * splash),
            gloss: grey(0.055),
            rough: 0.10 + 0.3 * splash,
            groove: None,
        };
        // The plate stands off by a few millimetres.
        let side = rounded_rectangle(p.x + 5.0, p.y + 7.0, (235.0, 62.0), 9.0);
        let shadow = smooth(-2.0, 9.0, side);
        let inside = smooth(4.0, -3.0, recess);
        let under = 1.0 - 0.45 * inside * smooth(20.0, 84.0, p.y);
        let contact = 0.45 + 0.55 * smooth(0.0, 9.0, edge);
        self.light.shade(&surface, ray, shadow * under, contact * under)
    }
}

/// The identification number: dots struck into a small anodised plate, riveted to a painted beam.
pub(super) fn draw_vin(letters: &str, mut exposure: Exposure) -> RgbImage {
    let jitter = |n: i32| unit(n, 15, exposure.seed) - 0.5;
    exposure.noise = 1.6;
    exposure.brightness = 1.15;
    let lettering = Lettering::new(letters);
    let cell = (84.0 / lettering.width().max(20.0)).min(1.1);
    let tag = Tag {
        cell,
        lettering,
        head: Lettering::new("CHASSIS"),
        light: Light {
            sun_from: vec3(-0.55, 0.45, 0.55).unit(),
            sun: vec3(1.0, 0.96, 0.9) * 1.2,
            sky: 0.55,
            torch: None,
        },
        seed: exposure.seed,
    };
    let camera = Camera::new(vec3(26.0 + 30.0 * jitter(1), -30.0, 150.0), vec3(0.0, 0.0, 0.0), 0.30, 0.07 * jitter(2));
    take(&exposure, |x, y| tag.look(&camera.ray(x, y)))
}

struct Tag {
    lettering: Lettering,
    head: Lettering,
    cell: f32,
    light: Light,
    seed: u32,
}

impl Tag {
    fn look(&self, ray: &Ray) -> Colour {
        let Some(distance) = ray.distance_to_height(0.0) else { return grey(0.0) };
        let p = ray.at(distance);
        let edge = rounded_rectangle(p.x, p.y, (56.0, 17.0), 2.5);
        if edge > 0.0 {
            let orange_peel =
                vec3(0.012 * smooth_noise(p.x / 2.2, p.y / 2.2, 3), 0.012 * smooth_noise(p.x / 2.2, p.y / 2.2, 4), 1.0);
            let dust = smooth(0.2, 1.2, 0.5 + 0.5 * cloud(p.x / 16.0, p.y / 16.0, 5, self.seed));
            let surface = Surface {
                point: p,
                normal: orange_peel.unit(),
                albedo: vec3(0.0055, 0.017, 0.021).mix(vec3(0.16, 0.15, 0.13), 0.5 * dust),
                gloss: grey(0.05),
                rough: lerp(0.15, 0.7, dust),
                groove: None,
            };
            let shadow = smooth(-0.5, 1.6, rounded_rectangle(p.x - 0.9, p.y + 0.9, (56.0, 17.0), 2.5));
            return self.light.shade(&surface, ray, shadow, 0.5 + 0.5 * smooth(0.0, 2.5, edge));
        }
        self.light.shade(&self.metal(p, edge), ray, 1.0, 1.0)
    }

    /// Depth of the struck dots at a place.
    fn struck(&self, x: f32, y: f32) -> f32 {
        let column = x / self.cell + self.lettering.width() / 2.0;
        let row = 3.0 - (y + 1.5) / self.cell;
        // A hand-held striker never hits twice alike.
        let lean = 0.09 * smooth_noise(column * 0.8, row * 0.8, vary(self.seed, 5));
        let dot = self.lettering.distance_to_point(column + lean, row + lean);
        smooth(0.46, 0.12, dot)
    }

    fn metal(&self, p: Vec3, edge: f32) -> Surface {
        let step = 0.06;
        let here = self.struck(p.x, p.y);
        let slope = ((self.struck(p.x + step, p.y) - here) / step, (self.struck(p.x, p.y + step) - here) / step);
        let mut normal = vec3(slope.0 * 0.25, slope.1 * 0.25, 1.0);
        let brushed = smooth_noise(p.x * 0.25, p.y * 9.0, 6) * 0.6 + smooth_noise(p.x * 0.6, p.y * 22.0, 7) * 0.4;
        let scratch =
            smooth(0.93, 0.99, smooth_noise(p.x * 0.5 + p.y * 0.9, p.y * 0.3 - p.x * 0.1, vary(self.seed, 8)).abs());
        let mut albedo = grey(0.22 + 0.05 * brushed) * (1.0 - 0.8 * here);
        let mut gloss = vec3(0.42, 0.42, 0.41) * (1.0 + 0.15 * brushed) * (1.0 - 0.8 * here);
        let printed = self.head.distance_to_stroke((p.x + 46.0) / 0.42, 3.0 - (p.y - 10.5) / 0.42);
        let frame = smooth(0.35, 0.2, (rounded_rectangle(p.x, p.y, (52.0, 13.8), 1.5)).abs());
        let ink = smooth(0.8, 0.45, printed).max(frame) * (0.75 + 0.25 * smooth_noise(p.x * 2.0, p.y * 2.0, 9));
        albedo = albedo.mix(grey(0.015), ink);
        gloss = gloss.mix(grey(0.03), ink);
        let grime = smooth(0.5, 0.95, 0.5 + 0.5 * cloud(p.x / 9.0, p.y / 9.0, 4, vary(self.seed, 10))) * 0.4
            + 0.5 * smooth(-2.5, 0.0, edge);
        albedo = albedo.mix(vec3(0.10, 0.09, 0.075), grime);
        gloss = gloss * (1.0 - 0.85 * grime) + grey(0.1 * scratch);
        let mut rough = lerp(0.34, 0.7, grime);
        for side in [-1.0, 1.0] {
            let (dx, dy) = (p.x - side * 49.0, p.y - 1.0);
            let out = (dx * dx + dy * dy).sqrt();
            if out < 2.4 {
                let dome = if out < 0.6 { 0.0 } else { 0.55 };
                normal = vec3(dx * dome, dy * dome, 1.0);
                albedo = grey(if out < 0.6 { 0.03 } else { 0.22 });
                gloss = grey(if out < 0.6 { 0.02 } else { 0.5 });
                rough = 0.26;
            }
        }
        Surface { point: p, normal: normal.unit(), albedo, gloss, rough, groove: Some(vec3(1.0, 0.0, 0.0)) }
    }
}
