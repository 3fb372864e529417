//! The friction face: what wear, heat, chemicals and the drive leave on it.

use super::{
    disc::{Disc, HoleOffset},
    noise::{cloud, smooth_noise, unit, vary},
    shape::blend,
    texture,
    turn::angle_of,
    vector::{Colour, Vec3, grey, lerp, smooth, vec3},
};

/// A face in its state.
#[derive(Debug, Clone)]
pub(super) struct Face {
    wear: f32,
    heat: f32,
    chemical: f32,
    /// This face's own cut of the material.
    cut: (f32, f32),
    seed: u32,
    /// Blotches and runs of a chemical.
    stains: Vec<Run>,
}

/// Where something ran down: from, to, and how wide.
#[derive(Debug, Clone, Copy)]
struct Run {
    from: (f32, f32),
    to: (f32, f32),
    radius: f32,
}

/// What a place of the face is like.
#[derive(Debug, Clone, Copy)]
pub(super) struct Finish {
    pub albedo: Colour,
    pub gloss: Colour,
    pub rough: f32,
    /// Slope of the surface along x and y.
    pub slope: (f32, f32),
}

impl Face {
    /// `identity` is the disc face's own; it fixes its fibre pattern and where it was splashed. `open_side` is 1 where the
    /// calliper leaves the right half open, −1 for the left.
    pub fn new(wear: f64, heat: f64, chemical: f64, identity: u32, disc: &Disc, open_side: f32) -> Self {
        let pick = |n: i32| unit(n, 7, identity);
        let mut stains = Vec::new();
        let splashes = if chemical > 0.0 { 1 + (chemical * 8.0 - 1.6).max(0.0) as i32 } else { 0 };
        for splash in 0..splashes {
            // The first splash is where a wheel cleaner runs to: the upper outer quarter, then down.
            let angle = 0.45 + pick(splash * 5) * 0.7 + splash as f32 * 2.4;
            let radius = lerp(disc.inner + 26.0, disc.outer - 18.0, pick(splash * 5 + 1));
            let size = lerp(10.0, 19.0, pick(splash * 5 + 2)) * (0.75 + 0.5 * chemical as f32);
            let (x, y) = (open_side * radius * libm::cosf(angle), radius * libm::sinf(angle));
            stains.push(Run { from: (x - 0.8 * size, y + 0.2 * size), to: (x + size, y - 0.4 * size), radius: size });
            for run in 0..5 {
                let across = x + size * (0.62 * run as f32 - 1.25 + 0.5 * pick(run + splash * 9 + 60));
                let length = lerp(16.0, 105.0, unit(splash, run, vary(identity, 5)));
                let to = (across + 0.16 * length * (pick(run + 40) - 0.5), y - length);
                let radius = lerp(1.6, 4.2, unit(splash, run, vary(identity, 6)));
                stains.push(Run { from: (across, y), to, radius });
            }
        }
        Self {
            wear: wear as f32,
            heat: heat as f32,
            chemical: chemical as f32,
            cut: (256.0 * pick(1), 256.0 * pick(2)),
            seed: identity,
            stains,
        }
    }

    /// The finish at a place of the disc; `width_mm` is about what one pixel covers.
    pub fn finish(&self, disc: &Disc, point: Vec3, hole: HoleOffset, width_mm: f32) -> Finish {
        let (x, y) = (point.x, point.y);
        let radius = (x * x + y * y).sqrt();
        let wear = self.wear;
        let texel = texture::sample(x + self.cut.0, y + self.cut.1, width_mm);
        // Wear differs a little from place to place, and a pad wears the middle of its track most.
        let track =
            smooth(disc.inner + 3.0, disc.inner + 12.0, radius) * smooth(disc.outer - 2.0, disc.outer - 9.0, radius);
        let local = (wear * (0.80 + 0.20 * track) + 0.06 * cloud(x / 34.0, y / 34.0, 2, self.seed)).clamp(0.0, 1.1);

        let base = lerp(0.011, 0.125, local.powi(2) * 0.55 + local * 0.45);
        // New, the fibre shows faintly under the polish; worn, more of it lies bare and stands off more.
        let shows = smooth(texel.depth - 0.22, texel.depth + 0.22, 0.22 + 0.95 * local);
        let contrast = shows * lerp(0.30, 0.78, smooth(0.0, 0.75, local));
        let mut albedo = base * (1.0 + contrast * texel.tone * 1.15);
        let mut rough = lerp(0.26, 0.58, local) - 0.10 * contrast * texel.tone;

        // Fine tracks around the axis.
        let fine = smooth_noise(radius * 1.9, angle_of(x, y) * 1.5, vary(self.seed, 21));
        let broad = smooth_noise(radius * 0.31, 3.0, vary(self.seed, 22));
        albedo *= 1.0 + (0.05 + 0.16 * local) * fine + 0.10 * broad;
        rough += 0.04 * fine;

        // Spent: torn-out fibre leaves pits, and scoring runs around.
        let torn = smooth(0.72, 1.0, local);
        let pits =
            smooth(0.30, 0.62, cloud(x / 1.7, y / 1.7, 2, vary(self.seed, 31))) * torn * smooth(0.1, -0.5, texel.tone);
        let score = smooth(0.55, 0.85, smooth_noise(radius * 0.55, 9.0, vary(self.seed, 32))) * torn;
        albedo *= (1.0 - 0.72 * pits) * (1.0 + 0.35 * score);
        rough = (rough + 0.2 * pits).clamp(0.12, 0.9);
        let rise = (0.10 + 0.30 * local) * contrast;
        let slope = (
            rise * 0.22 * smooth_noise(x * 1.3, y * 1.3, vary(self.seed, 41)) + 0.5 * pits * smooth_noise(x, y, 42),
            rise * 0.22 * smooth_noise(x * 1.3, y * 1.3, vary(self.seed, 43)) + 0.5 * pits * smooth_noise(x, y, 44),
        );

        let warmth = vec3(1.0, 0.985, 0.965).mix(vec3(0.97, 1.0, 1.035), 0.5 + 0.5 * texel.tone);
        let mut colour = warmth * albedo;
        let mut gloss = grey(lerp(0.050, 0.030, local) * (1.0 + 0.5 * contrast * texel.tone).max(0.2));

        // What a pad never sweeps keeps its first skin and gathers dust.
        let unswept = 1.0 - track;
        let dust = unswept * (0.35 + 0.25 * cloud(x / 6.0, y / 6.0, 3, vary(self.seed, 51)));
        colour = colour.mix(vec3(0.075, 0.068, 0.060), dust.clamp(0.0, 1.0));
        rough = lerp(rough, 0.8, dust.clamp(0.0, 1.0));
        // Dust also lies in the lee of each hole.
        if hole.distance < 16.0 {
            let (ax, ay) = (-y / radius, x / radius);
            let behind = (hole.x * ax + hole.y * ay) * disc.lean;
            let beside = (hole.x * ay - hole.y * ax).abs();
            let lee = smooth(0.0, 4.0, behind) * smooth(15.0, 4.0, behind) * smooth(disc.hole, disc.hole * 0.3, beside);
            colour = colour.mix(vec3(0.10, 0.095, 0.088), 0.22 * lee * (0.4 + local));
        }
        if self.heat > 0.0 {
            (colour, gloss, rough) =
                self.heated(disc, (x, y, radius), texel.craze_mm, width_mm, (colour, gloss, rough));
        }
        if self.chemical > 0.0 {
            let attack = self.stain_at(x, y);
            let pale = vec3(0.235, 0.238, 0.225) * (1.0 + 0.55 * texel.tone * shows);
            let patchy = (0.55 + 0.45 * cloud(x / 9.0, y / 9.0, 4, vary(self.seed, 61))).clamp(0.1, 0.9);
            colour = colour.mix(pale, attack.body * patchy).mix(pale * 1.15, attack.rim * 0.45);
            gloss = gloss * (1.0 - 0.75 * attack.body.max(attack.rim));
            rough = lerp(rough, 0.8, attack.body);
        }
        Finish { albedo: colour, gloss, rough, slope }
    }

    /// Temper colours over the middle of the track, and a craze of fine cracks.
    fn heated(
        &self,
        disc: &Disc,
        (x, y, radius): (f32, f32, f32),
        craze_mm: f32,
        width_mm: f32,
        (colour, gloss, rough): (Colour, Colour, f32),
    ) -> (Colour, Colour, f32) {
        let middle = f32::midpoint(disc.inner, disc.outer);
        let band = smooth((disc.outer - disc.inner) * 0.52, 4.0, (radius - middle).abs());
        let drift = cloud(x / 55.0, y / 55.0, 3, vary(self.seed, 71));
        let hot = (self.heat * (0.25 + 0.65 * band) + 0.45 * self.heat * drift).clamp(0.0, 1.0);
        let straw = vec3(1.16, 1.0, 0.80);
        let brown = vec3(1.14, 0.93, 0.86);
        let blue = vec3(0.84, 0.96, 1.19);
        let film = straw.mix(brown, smooth(0.15, 0.45, hot)).mix(blue, smooth(0.48, 0.80, hot));
        let share = smooth(0.04, 0.45, hot);
        let colour = colour.tint(grey(1.0).mix(film * 1.12, share));
        let gloss = (gloss + grey(0.03 * share)).tint(grey(1.0).mix(film * 1.3, share));
        // A crack is a tenth of a millimetre wide: farther away it only darkens its surroundings.
        let half = 0.10_f32.max(width_mm * 0.55);
        let strength = (0.17 / half).min(1.0)
            * smooth(0.35, 0.75, hot)
            * smooth(-0.2, 0.5, drift + 0.2)
            * (0.55 + 0.45 * cloud(x / 7.0, y / 7.0, 2, vary(self.seed, 72)));
        let crack = smooth(half * 1.5, half * 0.3, craze_mm) * strength;
        (colour * (1.0 - 0.82 * crack), gloss * (1.0 - 0.8 * crack), lerp(rough, 0.85, crack))
    }

    fn stain_at(&self, x: f32, y: f32) -> Attack {
        let mut distance = 99.0_f32;
        let (x, y) = (
            x + 5.0 * cloud(x / 21.0, y / 21.0, 2, vary(self.seed, 82)),
            y + 5.0 * cloud(x / 21.0, y / 21.0, 2, vary(self.seed, 83)),
        );
        for run in &self.stains {
            let (vx, vy) = (run.to.0 - run.from.0, run.to.1 - run.from.1);
            let (px, py) = (x - run.from.0, y - run.from.1);
            let along = ((px * vx + py * vy) / (vx * vx + vy * vy)).clamp(0.0, 1.0);
            let (dx, dy) = (px - along * vx, py - along * vy);
            // Thin runs narrow on their way and end in a drop.
            let thin = smooth(8.0, 5.0, run.radius);
            let width = 1.0 - thin * (0.35 * along - 0.6 * smooth(0.9, 1.0, along));
            distance = blend(distance, (dx * dx + dy * dy).sqrt() - run.radius * width, 5.0);
        }
        distance += 2.4 * cloud(x / 4.0, y / 4.0, 3, vary(self.seed, 81));
        Attack { body: smooth(1.5, -6.0, distance), rim: smooth(2.2, 0.6, distance) * smooth(-2.2, -0.2, distance) }
    }
}

struct Attack {
    body: f32,
    rim: f32,
}
