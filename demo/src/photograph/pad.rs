//! A pad edge-on through the calliper's window: disc edge, lining, backing plate, pistons, a steel rule beside them.

use image::RgbImage;
use model::{CornerName, PadName, Side};

use super::{
    Signs,
    develop::{Exposure, take},
    lettering::Lettering,
    light::{Light, Surface},
    noise::{cloud, smooth_noise, unit, vary},
    shape::{Met, Near, drum, light_past, march, openness, rod, rounded_box},
    vector::{Colour, Vec3, grey, lerp, smooth, vec3},
    view::{Camera, Ray},
};

/// Half the disc's thickness as it is drawn here.
const HALF_DISC: f32 = 18.0;
const BACKING: f32 = 6.0;
/// The disc's outer radius: its edge is curved along the window.
const RADIUS: f32 = 200.0;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Edge,
    Lining,
    Backing,
    Piston,
    Body,
    Pin,
    Lead,
    Rule,
}

/// x runs across the disc, away from it on the side of the pad that is measured; y along the pad; z towards the camera.
struct Window {
    /// Lining of the measured pad: in the middle, and change along y.
    lining: f32,
    taper: f32,
    other: f32,
    seed: u32,
    light: Light,
    /// The picture is turned left to right: figures must be written the other way to be read.
    flipped: bool,
}

/// Draws the pad that is measured on the right of the disc, the other one on its left.
pub(super) fn draw(signs: &Signs, mut exposure: Exposure, corner: CornerName, pad: PadName) -> RgbImage {
    let jitter = |n: i32| unit(n, 13, exposure.seed) - 0.5;
    let flip = if (corner.side() == Side::Left) == (pad == PadName::Inner) { -1.0 } else { 1.0 };
    let lining = (signs.lining_mm as f32).max(0.3);
    let window = Window {
        lining,
        taper: signs.taper_mm as f32,
        // A pad that wears askew drags: its neighbour is spared.
        other: lining + 0.4 + 1.3 * (signs.taper_mm as f32).abs(),
        seed: exposure.seed,
        flipped: flip < 0.0,
        light: Light {
            sun_from: vec3(-0.3 * flip, 0.6, 0.75).unit(),
            sun: grey(0.5),
            sky: 0.55,
            torch: Some((vec3(-40.0, 95.0, 190.0), vec3(1.0, 0.985, 0.95) * 3.2)),
        },
    };
    exposure.noise = 1.5;
    let eye = vec3(26.0 + 14.0 * jitter(1), -28.0 + 12.0 * jitter(2), 205.0);
    let camera = Camera::new(eye, vec3(20.0, 1.0, -8.0), 0.30, 0.05 * jitter(3));
    take(&exposure, |x, y| window.look(&camera.ray(x * flip, y)))
}

impl Window {
    fn look(&self, ray: &Ray) -> Colour {
        let Some(from) = ray.distance_to_height(18.0) else { return grey(0.0) };
        let to = ray.distance_to_height(-48.0).unwrap_or(from);
        let Some(met) = march(ray, from, to, |p| self.near(p)) else {
            let p = ray.at(to);
            return grey(0.004) * (1.0 + 0.5 * cloud(p.x / 9.0, p.y / 9.0, 2, self.seed));
        };
        let lamp = self.light.torch.map_or(self.light.sun_from, |(place, _)| (place - met.point).unit());
        let lit = light_past(met.point + met.normal * 0.4, lamp, 70.0, |p| self.near(p));
        let open = openness(met.point, met.normal, 12.0, |p| self.near(p)) * smooth(-50.0, 8.0, met.point.z);
        self.light.shade(&self.finish(&met), ray, lit, open)
    }

    /// Lining left at a place along the pad.
    fn lining_at(&self, y: f32) -> f32 {
        (self.lining + self.taper * y / 110.0).max(0.2)
    }

    fn near(&self, p: Vec3) -> Near<Part> {
        // Left and right of the disc are alike but for the lining; the far side is never the nearest.
        let (side, lining) = if p.x >= 0.0 { (1.0, self.lining_at(p.y)) } else { (-1.0, self.other) };
        let out = vec3(side * p.x, p.y, p.z);
        let mut near = Self::disc_edge(out);
        let bridge = rounded_box(vec3(p.x, p.y.abs() - 104.0, p.z - 4.0), vec3(90.0, 22.0, 13.0), 6.0);
        near = near.or(Near::new(bridge, Part::Body));
        if out.x < HALF_DISC - 3.0 {
            // Over the disc: the pads are at least this far.
            near = near.or(Near::new(HALF_DISC + 0.5 - out.x, Part::Lining));
        } else {
            near = near.or(self.pad(out, HALF_DISC + 0.5, lining)).or(self.behind_pad(out, lining));
        }
        if p.z < -16.0 {
            // What lies on top is at least this far.
            return near.or(Near::new(-4.0 - p.z, Part::Pin));
        }
        near.or(self.on_top(p))
    }

    /// The disc's edge with the vents between its two halves.
    fn disc_edge(out: Vec3) -> Near<Part> {
        let aside = out.x - HALF_DISC;
        if aside > 3.0 {
            return Near::new(aside, Part::Edge);
        }
        let sag = out.y * out.y / (2.0 * RADIUS);
        let slab = aside.max(out.z + sag + 1.5);
        let pitch = 21.0;
        let along = (out.y / pitch - (out.y / pitch).round()) * pitch;
        let vent = rounded_box(vec3(out.x, along, out.z + sag + 8.0), vec3(6.0, 6.6, 18.0), 2.5);
        Near::new(slab.max(-vent), Part::Edge)
    }

    /// Pistons and the calliper's wall behind a pad.
    fn behind_pad(&self, out: Vec3, lining: f32) -> Near<Part> {
        let plate = HALF_DISC + 1.0 + lining + BACKING;
        let ahead = plate - 3.0 - out.x;
        if ahead > 0.0 {
            return Near::new(ahead + 3.0, Part::Piston);
        }
        let body_from = HALF_DISC + 1.0 + self.lining.max(self.other) + BACKING + 14.0;
        let wall = rounded_box(vec3(out.x - body_from - 26.0, out.y, out.z + 22.0), vec3(26.0, 120.0, 30.0), 6.0);
        let round = vec3(out.y.abs() - 38.0, out.z + 34.0, out.x);
        let piston = drum(round, 19.0, plate - 0.4, body_from + 4.0, 1.2);
        Near::new(wall, Part::Body).or(Near::new(piston, Part::Piston))
    }

    /// Pin, wear lead and rule.
    fn on_top(&self, p: Vec3) -> Near<Part> {
        let pin = rod(p, vec3(-80.0, 62.0, 3.0), vec3(80.0, 62.0, 3.0), 3.4);
        let start = vec3(HALF_DISC + 2.0 + self.lining_at(40.0).min(5.0), 40.0, -2.0);
        let bend = vec3(start.x + 13.0, 47.0, 7.0);
        let lead = rod(p, start, bend, 1.5).min(rod(p, bend, vec3(96.0, 76.0, 10.0), 1.5));
        let rule = rounded_box(vec3(p.x - HALF_DISC - 27.0, p.y + 34.0, p.z - 3.4), vec3(27.0, 9.0, 0.5), 0.3);
        Near::new(pin, Part::Pin).or(Near::new(lead, Part::Lead)).or(Near::new(rule, Part::Rule))
    }

    fn pad(&self, p: Vec3, face: f32, lining: f32) -> Near<Part> {
        let sag = p.y * p.y / (2.0 * RADIUS);
        let mut block = rounded_box(
            vec3(p.x - face - lining / 2.0, p.y, p.z + sag + 30.0),
            vec3(lining / 2.0, 68.0, 25.0),
            0.6_f32.min(lining * 0.4),
        );
        if block < 1.5 {
            block += 0.25 * smooth_noise(p.y * 0.9, p.x * 0.9 + p.z, self.seed);
        }
        let groove =
            rounded_box(vec3(p.x - face - lining / 2.0 + 1.5, p.y, p.z + sag), vec3(lining / 2.0, 1.6, 60.0), 0.3);
        let plate = rounded_box(
            vec3(p.x - face - lining - BACKING / 2.0 - 0.3, p.y, p.z + sag + 28.0),
            vec3(BACKING / 2.0, 76.0, 27.0),
            0.7,
        );
        Near::new(block.max(-groove), Part::Lining).or(Near::new(plate, Part::Backing))
    }

    fn finish(&self, met: &Met<Part>) -> Surface {
        let p = met.point;
        let dirt = 0.5 + 0.5 * cloud(p.x / 11.0, p.y / 11.0, 4, vary(self.seed, 3));
        let fine = cloud(p.x * 1.1, p.y * 1.1 + p.z, 3, vary(self.seed, 4));
        let (albedo, gloss, rough) = match met.material {
            Part::Edge => {
                let chip = smooth(0.2, 0.6, cloud(p.x / 2.0, p.y / 2.0, 2, vary(self.seed, 5)));
                (grey(0.050) * (0.8 + 0.5 * chip + 0.3 * fine), grey(0.04), 0.5)
            }
            Part::Lining => {
                let speck = smooth(0.45, 0.75, smooth_noise(p.x * 2.6, p.y * 2.6 + p.z * 2.0, vary(self.seed, 6)));
                let copper = vec3(0.36, 0.20, 0.11) * speck;
                (vec3(0.150, 0.140, 0.130) * (0.75 + 0.55 * fine) + copper * 0.45, grey(0.02 + 0.15 * speck), 0.78)
            }
            Part::Backing => {
                let rust = smooth(0.55, 0.85, dirt + 0.15 * fine);
                (
                    vec3(0.045, 0.046, 0.050).mix(vec3(0.19, 0.085, 0.04), 0.75 * rust),
                    grey(0.05),
                    lerp(0.42, 0.85, rust),
                )
            }
            Part::Piston => (vec3(0.28, 0.28, 0.27) * (0.7 + 0.4 * dirt), grey(0.35), 0.28),
            Part::Body => {
                let dust = smooth(0.1, 1.1, dirt);
                (
                    vec3(0.052, 0.058, 0.066).mix(vec3(0.12, 0.11, 0.095), 0.25 * dust),
                    grey(0.05),
                    lerp(0.28, 0.75, dust),
                )
            }
            Part::Pin => (vec3(0.22, 0.22, 0.21) * (0.7 + 0.4 * dirt), grey(0.4), 0.3),
            Part::Lead => (grey(0.018), grey(0.04), 0.4),
            Part::Rule => return self.rule(met),
        };
        Surface { point: p, normal: met.normal, albedo: albedo * (0.75 + 0.35 * dirt), gloss, rough, groove: None }
    }

    /// A satin steel rule that starts at the lining's face: a stroke every millimetre, longer at five and ten.
    fn rule(&self, met: &Met<Part>) -> Surface {
        let p = met.point;
        let from_face = p.x - HALF_DISC - 0.5;
        let down = -25.0 - p.y;
        let nearest = from_face.round();
        let length = match nearest as i32 % 10 {
            0 => 6.5,
            5 => 5.0,
            _ => 3.4,
        };
        let stroke = smooth(0.17, 0.09, (from_face - nearest).abs()) * smooth(length, length - 0.2, down);
        let inside = smooth(-0.6, 0.0, from_face) * smooth(50.4, 50.2, from_face);
        let mut ink = stroke * inside;
        // Figures under the tens.
        let cell = 0.42;
        for ten in 1..=5 {
            let figure = Lettering::new(&format!("{}", 10 * ten));
            let aside = (from_face - 10.0 * ten as f32) / cell;
            let (column, row) = (if self.flipped { 5.0 - aside } else { 5.0 + aside }, (down - 8.4) / cell);
            let nearest = figure.distance_to_stroke(column, row);
            ink = ink.max(smooth(0.75, 0.45, nearest));
        }
        let satin = smooth_noise(p.x * 0.4, p.y * 30.0, 8) * 0.05;
        Surface {
            point: p,
            normal: met.normal,
            albedo: grey(0.30 + satin).mix(grey(0.012), ink),
            gloss: grey(0.32).mix(grey(0.03), ink),
            rough: 0.42,
            groove: None,
        }
    }
}
