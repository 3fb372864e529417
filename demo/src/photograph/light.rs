//! Light and how surfaces send it back.

use super::{
    noise::smooth_noise,
    turn::angle_of,
    vector::{Colour, Vec3, grey, smooth, vec3},
    view::Ray,
};

/// What shines: the sun, the sky over a driveway, and a torch where there is one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Light {
    /// Direction towards the sun.
    pub sun_from: Vec3,
    pub sun: Colour,
    /// Brightness of the sky.
    pub sky: f32,
    /// Place and strength of a torch (light at a distance of 300 mm).
    pub torch: Option<(Vec3, Colour)>,
}

/// A place of a surface that is looked at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Surface {
    pub point: Vec3,
    pub normal: Vec3,
    /// What it scatters.
    pub albedo: Colour,
    /// What it mirrors when looked at straight.
    pub gloss: Colour,
    /// 0.05 polished to 1 matt.
    pub rough: f32,
    /// Direction of fine grooves, as grinding and braking leave them.
    pub groove: Option<Vec3>,
}

impl Light {
    /// What comes from a direction: sky, the row of houses across the road, the ground; blurred by roughness.
    pub fn coming_from(&self, direction: Vec3, rough: f32) -> Colour {
        let blur = 0.03 + 0.8 * rough * rough;
        let azimuth = angle_of(direction.z, direction.x);
        let roofs = 0.10 + 0.09 * smooth_noise(azimuth * 3.0, 0.5, 77);
        let zenith = vec3(0.62, 0.78, 1.0).mix(vec3(0.95, 0.97, 1.0), smooth(0.9, 0.1, direction.y));
        let house = vec3(0.16, 0.14, 0.13);
        let ground = vec3(0.20, 0.19, 0.18);
        let above = smooth(roofs - blur, roofs + blur, direction.y);
        let below = smooth(-0.02 - blur, -0.02 + blur, direction.y);
        // A bright gap between two houses gives gloss something to mirror.
        let gap = 1.0 / (1.0 + (azimuth - 0.7) * (azimuth - 0.7) / (0.02 + 0.3 * rough * rough));
        let far = house.mix(vec3(0.9, 0.92, 0.95), 0.7 * gap);
        ground.mix(far.mix(zenith, above), below) * self.sky
    }

    /// Light scattered onto a surface from everywhere but sun and torch.
    fn around(&self, normal: Vec3) -> Colour {
        let up = 0.5 + 0.5 * normal.y;
        vec3(0.17, 0.16, 0.15).mix(vec3(0.68, 0.76, 0.88), up) * self.sky
    }

    /// What the eye sees of a surface. `lit` is the share of sun and torch that reaches it, `open` the share of its
    /// surroundings that it sees.
    pub fn shade(&self, surface: &Surface, ray: &Ray, lit: f32, open: f32) -> Colour {
        let eye = -ray.direction;
        let normal = surface.normal;
        let facing = normal.dot(eye).max(0.02);
        let fresnel =
            surface.gloss + (grey(1.0) - surface.gloss) * ((1.0 - facing).powi(5) * (1.0 - 0.7 * surface.rough));
        let mut seen = surface.albedo.tint(self.around(normal)) * open;
        seen += fresnel.tint(self.mirrored(surface, ray)) * open;
        seen += lamp_share(surface, eye, self.sun_from, fresnel).tint(self.sun) * lit;
        if let Some((place, strength)) = self.torch {
            let way = place - surface.point;
            let falloff = 300.0 * 300.0 / way.dot(way).max(400.0);
            seen += lamp_share(surface, eye, way.unit(), fresnel).tint(strength) * (falloff * lit.max(0.25 * open));
        }
        seen
    }

    fn mirrored(&self, surface: &Surface, ray: &Ray) -> Colour {
        let Some(groove) = surface.groove else {
            return self.coming_from(ray.direction.reflect(surface.normal), surface.rough);
        };
        // Grooves spread the mirror image across themselves.
        let across = groove.cross(surface.normal);
        let mut sum = grey(0.0);
        for lean in [-0.30_f32, -0.1, 0.1, 0.30] {
            let normal = (surface.normal + across * lean).unit();
            sum += self.coming_from(ray.direction.reflect(normal), surface.rough);
        }
        sum * 0.25
    }
}

/// Share of a lamp's light that goes to the eye.
fn lamp_share(surface: &Surface, eye: Vec3, lamp: Vec3, fresnel: Colour) -> Colour {
    let normal = surface.normal;
    let towards = normal.dot(lamp);
    if towards <= 0.0 {
        return grey(0.0);
    }
    let half = (eye + lamp).unit();
    let upright = normal.dot(half).max(1e-3);
    let spread = (surface.rough * surface.rough).max(0.004);
    let peak = if let Some(groove) = surface.groove {
        let across = groove.cross(normal);
        let (along, over) = (spread.max(0.03), (spread + 0.16).min(0.6));
        let (a, b) = (half.dot(groove) / along, half.dot(across) / over);
        libm::expf(-(a * a + b * b) / (upright * upright)) / (12.566 * along * over)
    } else {
        let square = spread * spread;
        let shape = upright * upright * (square - 1.0) + 1.0;
        square / (12.566 * shape * shape)
    };
    let mirror = peak / (0.1 + half.dot(lamp) * half.dot(lamp));
    (surface.albedo * 0.32 + fresnel * mirror.min(40.0)) * towards
}
