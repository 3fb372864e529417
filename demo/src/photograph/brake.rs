//! A brake as a camera meets it: the disc with its bell or upright, calliper, wheel, and the arch behind.

use super::{
    disc::{Disc, HoleOffset, around},
    light::{Light, Surface},
    noise::{cloud, smooth_noise, vary},
    parts::{Calliper, Part, bell, upright, wheel},
    shape::{Met, Near, light_past, march, openness},
    surface::Face,
    turn::angle_of,
    vector::{Colour, Vec3, grey, lerp, smooth, vec3},
    view::Ray,
};

/// The bell's finish as it is drawn: shares of discolouring and of etching.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct BellLook {
    pub discoloured: f32,
    pub stained: f32,
    pub etched: f32,
}

/// Everything around one side of a disc.
#[derive(Debug, Clone)]
pub(super) struct Brake {
    pub disc: Disc,
    pub face: Face,
    pub calliper: Calliper,
    /// Where the calliper sits around the axis, in radians.
    pub calliper_angle: f32,
    /// Seen from outside with its bell; else from the car's side with the upright.
    pub outside: bool,
    pub driven: bool,
    /// Turn of the wheel in front, where it is still on.
    pub wheel_turn: Option<f32>,
    pub bell: BellLook,
    pub light: Light,
    /// What one pixel covers at a distance of 1.
    pub pixel: f32,
    pub seed: u32,
}

impl Brake {
    /// The light that comes along a line of sight.
    pub fn look(&self, ray: &Ray) -> Colour {
        if let Some(met) = self.meet_wheel(ray) {
            return self.shade_part(ray, &met, |p| self.wheel_near(p));
        }
        let part = self.meet_calliper(ray);
        let centre = self.meet_centre(ray);
        let nearest = match (part, centre) {
            (Some(a), Some(b)) => Some(if a.distance < b.distance { a } else { b }),
            (a, b) => a.or(b),
        };
        let disc = self.meet_disc(ray);
        match (nearest, disc) {
            (Some(met), Some(disc)) if met.distance < disc.distance() => {
                self.shade_part(ray, &met, |p| self.solids_near(p))
            }
            (_, Some(disc)) => self.shade_disc(ray, disc),
            (Some(met), None) => self.shade_part(ray, &met, |p| self.solids_near(p)),
            (None, None) => self.arch(ray),
        }
    }

    fn wheel_near(&self, point: Vec3) -> Near<Part> {
        wheel(point, self.wheel_turn.unwrap_or(0.0))
    }

    fn centre_near(&self, point: Vec3) -> Near<Part> {
        if self.outside { bell(point, self.disc.inner) } else { upright(point, self.driven) }
    }

    fn solids_near(&self, point: Vec3) -> Near<Part> {
        self.calliper.near(point).or(self.centre_near(point))
    }

    fn meet_wheel(&self, ray: &Ray) -> Option<Met<Part>> {
        self.wheel_turn?;
        let (from, to) = (ray.distance_to_height(156.0)?, ray.distance_to_height(36.0)?);
        march(ray, from, to, |p| self.wheel_near(p))
    }

    fn meet_calliper(&self, ray: &Ray) -> Option<Met<Part>> {
        let (from, to) = (ray.distance_to_height(80.0)?, ray.distance_to_height(-70.0)?);
        if !self.calliper.is_near_line(ray.origin, ray.direction) {
            return None;
        }
        march(ray, from, to, |p| self.calliper.near(p))
    }

    fn meet_centre(&self, ray: &Ray) -> Option<Met<Part>> {
        let (top, reach) = if self.outside { (42.0, self.disc.inner + 2.0) } else { (300.0, 330.0) };
        let (from, to) = (ray.distance_to_height(top)?, ray.distance_to_height(-60.0)?);
        let (enter, leave) = ray.through_cylinder(reach)?;
        march(ray, from.max(enter), to.min(leave), |p| self.centre_near(p))
    }

    fn meet_disc(&self, ray: &Ray) -> Option<DiscPlace> {
        let disc = &self.disc;
        let distance = ray.distance_to_height(0.0)?;
        let point = ray.at(distance);
        let radius = (point.x * point.x + point.y * point.y).sqrt();
        if radius > disc.outer {
            let (enter, _) = ray.through_cylinder(disc.outer)?;
            let point = ray.at(enter);
            return (point.z < 0.0 && point.z > -disc.thick).then_some(DiscPlace::Edge { distance: enter, point });
        }
        if radius < disc.inner {
            let (_, leave) = ray.through_cylinder(disc.inner)?;
            let point = ray.at(leave);
            return (point.z < 0.0 && point.z > -disc.thick).then_some(DiscPlace::Bore { distance: leave, point });
        }
        let hole = disc.nearest_hole(point.x, point.y);
        if hole.distance > disc.hole {
            return Some(DiscPlace::Face { distance, point, hole });
        }
        Some(DiscPlace::Hole { distance, hole })
    }

    fn shade_disc(&self, ray: &Ray, place: DiscPlace) -> Colour {
        match place {
            DiscPlace::Face { distance, point, hole } => self.shade_face(ray, distance, point, hole),
            DiscPlace::Hole { distance, hole } => self.shade_hole(ray, distance, hole),
            DiscPlace::Edge { point, .. } => {
                let vent = self.disc.vent_depth(point);
                let normal = vec3(point.x, point.y, 0.0).unit();
                let sooty = 0.6 + 0.4 * cloud(angle_of(point.x, point.y) * 40.0, point.z / 6.0, 2, self.seed);
                let surface =
                    Surface { point, normal, albedo: grey(0.055) * sooty, gloss: grey(0.03), rough: 0.6, groove: None };
                let deep = smooth(-0.4, 2.5, vent);
                let open = self.open_at(point, normal) * (1.0 - 0.93 * deep);
                self.light.shade(&surface, ray, self.lit_at(point) * (1.0 - deep), open)
            }
            DiscPlace::Bore { point, .. } => {
                let normal = -vec3(point.x, point.y, 0.0).unit();
                let surface =
                    Surface { point, normal, albedo: grey(0.045), gloss: grey(0.02), rough: 0.7, groove: None };
                self.light.shade(&surface, ray, 0.25, 0.30 * smooth(-self.disc.thick, 0.0, point.z) + 0.05)
            }
        }
    }

    fn shade_face(&self, ray: &Ray, distance: f32, point: Vec3, hole: HoleOffset) -> Colour {
        let disc = &self.disc;
        let finish = self.face.finish(disc, point, hole, distance * self.pixel);
        let mut normal = vec3(finish.slope.0, finish.slope.1, 1.0);
        // Countersunk holes and broken edges turn towards the light.
        let sink = smooth(disc.hole + 1.1, disc.hole + 0.2, hole.distance);
        if sink > 0.0 {
            normal += vec3(-hole.x, -hole.y, 0.0) * (0.85 * sink / hole.distance.max(0.1));
        }
        let radius = (point.x * point.x + point.y * point.y).sqrt();
        let outward = vec3(point.x, point.y, 0.0) * (1.0 / radius);
        normal += outward * (0.9 * smooth(disc.outer - 1.6, disc.outer, radius));
        normal += outward * (-0.9 * smooth(disc.inner + 1.6, disc.inner, radius));
        let surface = Surface {
            point,
            normal: normal.unit(),
            albedo: finish.albedo * (1.0 - 0.25 * sink),
            gloss: finish.gloss,
            rough: finish.rough,
            groove: (sink < 0.05).then(|| around(point)),
        };
        let open = self.open_at(point, vec3(0.0, 0.0, 1.0));
        self.light.shade(&surface, ray, self.lit_at(point), open)
    }

    /// Down a drilled hole: its wall, or the dark of the vent below.
    fn shade_hole(&self, ray: &Ray, distance: f32, hole: HoleOffset) -> Colour {
        let point = ray.at(distance);
        let slope = ray.direction * (1.0 / -ray.direction.z);
        // Where the line of sight meets the wall: solve for the depth at which it leaves the hole's circle.
        let (a, b) = (slope.x * slope.x + slope.y * slope.y, hole.x * slope.x + hole.y * slope.y);
        let c = hole.distance * hole.distance - self.disc.hole * self.disc.hole;
        let depth = if a > 1e-6 { (-b + (b * b - a * c).max(0.0).sqrt()) / a } else { 99.0 };
        let wall = self.disc.thick * 0.30;
        if depth > wall {
            return self.light.coming_from(vec3(0.0, 0.0, 1.0), 1.0) * 0.0025;
        }
        let normal = -vec3(hole.x + slope.x * depth, hole.y + slope.y * depth, 0.0).unit();
        let at = point + slope * depth;
        let grain = 0.7 + 0.5 * smooth_noise(at.x * 2.0 + at.y, at.z * 2.0, self.seed);
        let surface =
            Surface { point: at, normal, albedo: grey(0.06) * grain, gloss: grey(0.03), rough: 0.6, groove: None };
        let shade = smooth(wall, 0.0, depth);
        self.light.shade(&surface, ray, self.lit_at(point) * smooth(3.5, 0.0, depth), 0.08 + 0.45 * shade * shade)
    }

    /// Share of the lamp's light that reaches a place of the disc past calliper and wheel.
    fn lit_at(&self, point: Vec3) -> f32 {
        let lamp = self.light.torch.map_or(self.light.sun_from, |(place, _)| (place - point).unit());
        let mut share = 1.0_f32;
        if self.calliper.is_near_line(point, lamp) {
            share = light_past(point, lamp, 150.0, |p| self.calliper.near(p));
        }
        if self.outside && point.x.hypot(point.y) < self.disc.inner + 45.0 {
            share = share.min(light_past(point, lamp, 90.0, |p| bell(p, self.disc.inner)));
        }
        if self.wheel_turn.is_some() {
            share = share.min(light_past(point, lamp, 330.0, |p| self.wheel_near(p)));
        }
        share
    }

    fn open_at(&self, point: Vec3, normal: Vec3) -> f32 {
        let mut open = openness(point, normal, 60.0, |p| self.calliper.near(p));
        if self.outside && point.x.hypot(point.y) < self.disc.inner + 30.0 {
            open *= openness(point, normal, 26.0, |p| bell(p, self.disc.inner));
        }
        if self.wheel_turn.is_some() {
            // The arch and the wheel shut out most of the sky.
            open *= 0.62 * openness(point, normal, 160.0, |p| self.wheel_near(p)).max(0.25);
        }
        if !self.outside {
            open *= 0.55;
        }
        open
    }

    fn shade_part(&self, ray: &Ray, met: &Met<Part>, near: impl Fn(Vec3) -> Near<Part> + Copy) -> Colour {
        let mut surface = self.finish_of(met);
        let shadowless = met.material == Part::Wheel;
        let lamp = self.light.torch.map_or(self.light.sun_from, |(place, _)| (place - met.point).unit());
        let lit = light_past(met.point + met.normal * 0.5, lamp, 120.0, near);
        let mut open = openness(met.point, met.normal, 22.0, near);
        if !shadowless && self.wheel_turn.is_some() {
            open *= 0.5;
        }
        // Deep inside it is dark.
        if self.outside && met.point.z < 0.0 {
            open *= smooth(-60.0, 0.0, met.point.z);
        }
        if !self.outside {
            open *= 0.4 + 0.3 * smooth(-20.0, 120.0, met.point.z);
        }
        if met.material == Part::Bell {
            self.bell_finish(met.point, &mut surface);
        }
        let through_wheel =
            if !shadowless && self.wheel_turn.is_some() { self.lit_at(met.point).max(0.1) } else { 1.0 };
        self.light.shade(&surface, ray, lit.min(through_wheel), open)
    }

    fn finish_of(&self, met: &Met<Part>) -> Surface {
        let p = met.point;
        let dirt = 0.5 + 0.5 * cloud(p.x / 23.0, (p.y + p.z * 0.7) / 23.0, 4, vary(self.seed, 3));
        let fine = cloud(p.x * 0.9 + p.z, p.y * 0.9, 2, vary(self.seed, 4));
        let (albedo, gloss, rough) = match met.material {
            Part::Calliper => {
                let dust = smooth(0.2, 1.25, dirt + 0.25 * met.normal.y);
                (
                    vec3(0.060, 0.066, 0.074).mix(vec3(0.10, 0.093, 0.082), 0.55 * dust),
                    grey(0.05),
                    lerp(0.24, 0.7, dust),
                )
            }
            Part::Steel => {
                let rust = smooth(0.66, 0.9, dirt) * 0.7;
                (
                    vec3(0.20, 0.20, 0.19).mix(vec3(0.17, 0.085, 0.045), rust),
                    grey(0.34 * (1.0 - 0.8 * rust)),
                    0.36 + 0.3 * rust,
                )
            }
            Part::Backing => (vec3(0.075, 0.070, 0.066) * (0.8 + 0.5 * dirt), grey(0.05), 0.6),
            Part::Lining => (vec3(0.115, 0.105, 0.098) * (0.75 + 0.6 * fine.abs()), grey(0.03), 0.8),
            Part::Bell => (grey(0.1), grey(0.1), 0.4),
            Part::Wheel => (vec3(0.050, 0.052, 0.056), vec3(0.11, 0.11, 0.112), 0.26 + 0.1 * smooth(0.5, 0.9, dirt)),
            Part::Casting => {
                let soil = smooth(0.35, 0.8, dirt);
                (vec3(0.17, 0.165, 0.155).mix(vec3(0.062, 0.054, 0.046), soil) * (1.0 + 0.14 * fine), grey(0.06), 0.62)
            }
            Part::Rubber => (grey(0.022) + vec3(0.03, 0.027, 0.023) * smooth(0.5, 0.9, dirt), grey(0.035), 0.55),
        };
        Surface { point: p, normal: met.normal, albedo, gloss, rough, groove: None }
    }

    /// Anodised aluminium, and what a chemical does to it.
    fn bell_finish(&self, p: Vec3, surface: &mut Surface) {
        let look = self.bell;
        let radius = (p.x * p.x + p.y * p.y).sqrt();
        let turned = smooth_noise(radius * 2.2, 1.0, 91);
        let wash = cloud(p.x / 26.0, p.y / 26.0, 4, vary(self.seed, 92));
        let runs = cloud(p.x / 5.5, p.y / 60.0, 3, vary(self.seed, 93));
        let anodised = vec3(0.105, 0.108, 0.114) * (1.0 + 0.05 * turned);
        let mut albedo = anodised;
        let mut gloss = vec3(0.155, 0.158, 0.165);
        let mut rough = 0.36 + 0.03 * turned;
        let faded = look.discoloured * (0.35 + 0.65 * smooth(-0.35, 0.35, wash));
        albedo = albedo.mix(vec3(0.185, 0.155, 0.118), faded * 0.85);
        gloss = gloss.mix(vec3(0.15, 0.12, 0.09), faded * 0.7);
        let stain = look.stained * smooth(-0.12, 0.62, wash * 0.5 + runs * 0.8);
        albedo = albedo.mix(vec3(0.30, 0.29, 0.265), stain * 0.75);
        rough = lerp(rough, 0.75, stain);
        let pitted = look.etched * smooth(-0.05, 0.35, wash * 0.6 + runs * 0.5);
        let bite = cloud(p.x / 1.5, p.y / 1.5, 2, vary(self.seed, 94));
        albedo = albedo.mix(grey(0.36 + 0.10 * bite), pitted * 0.9);
        gloss = gloss * (1.0 - 0.7 * pitted);
        rough = lerp(rough, 0.82, pitted);
        if pitted > 0.02 {
            let other = smooth_noise(p.x / 0.9, p.y / 0.9, vary(self.seed, 95));
            surface.normal = (surface.normal + vec3(bite, other, 0.0) * (0.45 * pitted)).unit();
        }
        let dust = smooth(0.1, 0.7, cloud(p.x / 40.0, p.y / 40.0, 3, vary(self.seed, 96))) * 0.35;
        surface.albedo = albedo.mix(vec3(0.085, 0.078, 0.07), dust);
        surface.gloss = gloss * (1.0 - dust);
        surface.rough = lerp(rough, 0.8, dust);
        if pitted < 0.3 && surface.normal.z > 0.9 {
            surface.groove = Some(around(p));
        }
    }

    /// What is behind and around: the dark arch, the painted body above, the ground below.
    fn arch(&self, ray: &Ray) -> Colour {
        let ground = -335.0;
        let to_ground = (ground - ray.origin.y) / ray.direction.y;
        let wall = ray.distance_to_height(-210.0);
        if ray.direction.y < 0.0 && wall.is_none_or(|wall| to_ground < wall) {
            let p = ray.at(to_ground);
            let stone = 0.5 + 0.5 * cloud(p.x / 3.0, p.z / 3.0, 4, vary(self.seed, 5));
            let patch = cloud(p.x / 160.0, p.z / 160.0, 3, vary(self.seed, 6));
            let surface = Surface {
                point: p,
                normal: vec3(0.0, 1.0, 0.0),
                albedo: vec3(0.19, 0.18, 0.17) * (0.55 + 0.5 * stone + 0.2 * patch),
                gloss: grey(0.02),
                rough: 0.9,
                groove: None,
            };
            // Under the car it is dark.
            let outside = smooth(-190.0, 40.0, p.z);
            return self.light.shade(&surface, ray, outside * outside, 0.06 + 0.9 * outside);
        }
        let Some(distance) = wall else { return grey(0.01) };
        let p = ray.at(distance);
        let from_axis = (p.x * p.x + (p.y - 20.0) * (p.y - 20.0)).sqrt();
        let lip = smooth(349.0, 355.0, from_axis);
        let felt =
            0.7 + 0.22 * cloud(p.x / 9.0, p.y / 9.0, 3, vary(self.seed, 8)) + 0.4 * cloud(p.x / 90.0, p.y / 90.0, 2, 9);
        let torch = if self.light.torch.is_some() { 3.5 } else { 1.0 };
        let liner =
            vec3(0.017, 0.017, 0.018) * felt * (0.5 + 1.1 * smooth(-300.0, 250.0, -p.y)) * (self.light.sky * torch);
        if lip <= 0.0 || !self.outside {
            return liner;
        }
        let bulge = ((from_axis - 355.0) / 500.0).min(0.5);
        let normal = vec3(-p.x / 900.0, 0.15 + bulge, 1.0).unit();
        let surface = Surface {
            point: p,
            normal,
            albedo: vec3(0.0055, 0.017, 0.021),
            gloss: grey(0.055),
            rough: 0.09,
            groove: None,
        };
        liner.mix(self.light.shade(&surface, ray, 1.0, 0.95), lip)
    }
}

/// Where a line of sight meets the disc.
#[derive(Debug, Clone, Copy)]
enum DiscPlace {
    Face { distance: f32, point: Vec3, hole: HoleOffset },
    Hole { distance: f32, hole: HoleOffset },
    Edge { distance: f32, point: Vec3 },
    Bore { distance: f32, point: Vec3 },
}

impl DiscPlace {
    const fn distance(&self) -> f32 {
        match self {
            Self::Face { distance, .. }
            | Self::Hole { distance, .. }
            | Self::Edge { distance, .. }
            | Self::Bore { distance, .. } => *distance,
        }
    }
}
