//! Sets up each kind of shot: where the camera stands, what is lit how.

use image::RgbImage;
use model::{Axle, BellFinish, CornerName, FaceName, HowSeen, Side};

use super::{
    Shot, ShotKind,
    brake::{BellLook, Brake},
    develop::{Exposure, take},
    disc::Disc,
    light::Light,
    noise::{hash, unit, vary},
    odometer, pad,
    parts::Calliper,
    plate,
    surface::Face,
    vector::{Colour, Vec3, grey, smooth, vec3},
    view::Camera,
};
use crate::face;

pub(super) fn draw(shot: &Shot) -> RgbImage {
    let (width, height) = (shot.size.0.max(1), shot.size.1.max(1));
    let seed = hash(shot.seed as i32, (shot.seed >> 32) as i32, 1);
    let warm = unit(3, 3, seed);
    let exposure = Exposure {
        width,
        height,
        lattice: match shot.kind {
            ShotKind::Face { .. } | ShotKind::Bell { .. } => 4,
            _ => 2,
        },
        brightness: 1.0,
        noise: 1.0,
        cast: vec3(1.03, 1.0, 0.96).mix(vec3(0.98, 1.0, 1.03), warm),
        seed,
    };
    match &shot.kind {
        ShotKind::Face { corner, face, seen } => draw_face(shot, exposure, *corner, *face, *seen),
        ShotKind::Straight { .. } => straight(shot).picture,
        ShotKind::Bell { corner } => draw_bell(shot, exposure, *corner),
        ShotKind::Pad { corner, pad } => pad::draw(&shot.signs, exposure, *corner, *pad),
        ShotKind::Registration { letters } => plate::draw_registration(letters, exposure),
        ShotKind::Vin { letters } => plate::draw_vin(letters, exposure),
        ShotKind::Odometer { km } => odometer::draw(*km, exposure),
    }
}

/// A face straight before the camera, and where an inspector would mark its ring. It has a size of its own, which shows the
/// pattern.
pub(super) fn straight(shot: &Shot) -> face::Drawn {
    face::draw(&face::Face {
        seed: shot.seed,
        wear: shot.signs.wear,
        stain: shot.signs.chemical,
        tilt_deg: 12.0,
        blur_px: 0.6,
        size: (1300, 1000),
        ..face::Face::default()
    })
}

fn draw_face(shot: &Shot, exposure: Exposure, corner: CornerName, face: FaceName, seen: HowSeen) -> RgbImage {
    let jitter = |n: i32| unit(n, 11, exposure.seed) - 0.5;
    let mut brake = brake_of(shot, corner, face, exposure.seed);
    let mut exposure = exposure;
    if !brake.outside {
        exposure.noise = 2.0;
        let (camera, torch) = inside_camera(&brake, seen, jitter(1), jitter(2));
        brake.light = Light {
            sun_from: vec3(0.0, -0.6, 0.8).unit(),
            sun: grey(0.0),
            sky: 0.22,
            torch: Some((torch, vec3(1.0, 0.98, 0.93) * 7.0)),
        };
        brake.pixel = camera.pixel(exposure.height);
        let by_mirror = seen == HowSeen::Mirror;
        return take(&exposure, |x, y| {
            if by_mirror { through_mirror(&brake, &camera, x, y, exposure.seed) } else { brake.look(&camera.ray(x, y)) }
        });
    }
    let camera = if seen == HowSeen::ThroughWheel {
        exposure.brightness = 1.35;
        let away = core::f32::consts::PI + brake.calliper_angle + 0.5 * jitter(3);
        let middle = f32::midpoint(brake.disc.inner, brake.disc.outer);
        let target = vec3(middle * libm::cosf(away) * 0.96, middle * libm::sinf(away) * 0.5 + 62.0, 0.0);
        brake.wheel_turn = Some(0.9 - libm::atan2f(target.y, target.x) + 0.35 * jitter(4));
        let eye = vec3(target.x * 0.70 + 40.0 * jitter(5), target.y * 0.8 + 45.0, 520.0);
        Camera::new(eye, target, 0.30, 0.08 * jitter(6))
    } else {
        let side = if jitter(7) > 0.0 { 1.0 } else { -1.0 };
        let eye = vec3(side * (150.0 + 70.0 * jitter(8)), 95.0 + 60.0 * jitter(9), 640.0);
        Camera::new(eye, vec3(14.0 * jitter(10), 4.0, 0.0), 0.375, 0.05 * jitter(6))
    };
    brake.pixel = camera.pixel(exposure.height);
    take(&exposure, |x, y| brake.look(&camera.ray(x, y)))
}

fn draw_bell(shot: &Shot, exposure: Exposure, corner: CornerName) -> RgbImage {
    let jitter = |n: i32| unit(n, 12, exposure.seed) - 0.5;
    let mut brake = brake_of(shot, corner, FaceName::Outer, exposure.seed);
    let eye = vec3(-130.0 + 80.0 * jitter(1), 120.0 + 40.0 * jitter(2), 330.0);
    let camera = Camera::new(eye, vec3(6.0 * jitter(3), -4.0, 10.0), 0.40, 0.08 * jitter(4));
    brake.pixel = camera.pixel(exposure.height);
    take(&exposure, |x, y| brake.look(&camera.ray(x, y)))
}

fn brake_of(shot: &Shot, corner: CornerName, face: FaceName, seed: u32) -> Brake {
    let outside = face == FaceName::Outer;
    // Left and right mirror each other, and so do the two sides of one disc.
    let right = (corner.side() == Side::Right) == outside;
    let mirror = if right { -1.0 } else { 1.0 };
    let disc = Disc::of(corner.axle(), mirror);
    let identity = hash(corner as i32, face as i32, 97);
    let signs = &shot.signs;
    // Front callipers sit behind the axle, rear ones before it; forwards is left on the car's left side.
    let behind = corner.axle() == Axle::Front;
    let angle = if behind == (mirror > 0.0) { 0.16 } else { core::f32::consts::PI - 0.16 };
    Brake {
        face: Face::new(signs.wear, signs.heat, signs.chemical, identity, &disc, -libm::cosf(angle).signum()),
        calliper: Calliper::new(angle, f32::midpoint(disc.inner, disc.outer), disc.outer),
        calliper_angle: angle,
        outside,
        driven: corner.axle() == Axle::Rear,
        wheel_turn: None,
        bell: bell_look(signs.bell),
        light: daylight(seed),
        pixel: 0.001,
        seed: vary(identity, 23),
        disc,
    }
}

fn bell_look(finish: BellFinish) -> BellLook {
    let look = BellLook::default();
    match finish {
        BellFinish::Even => look,
        BellFinish::Discoloured => BellLook { discoloured: 1.0, ..look },
        BellFinish::Stained => BellLook { discoloured: 0.5, stained: 1.0, ..look },
        BellFinish::Etched => BellLook { discoloured: 0.6, stained: 0.7, etched: 1.0 },
    }
}

/// A bright day on a driveway, the sun high on one side.
pub(super) fn daylight(seed: u32) -> Light {
    let side = if unit(1, 1, seed) > 0.5 { 1.0 } else { -1.0 };
    let from = vec3(side * (0.35 + 0.3 * unit(2, 1, seed)), 0.55 + 0.2 * unit(3, 1, seed), 0.62);
    Light { sun_from: from.unit(), sun: vec3(1.0, 0.95, 0.86) * 3.6, sky: 1.0, torch: None }
}

/// Crouched behind the wheel with a torch beside the camera, or with a mirror held to the face.
fn inside_camera(brake: &Brake, seen: HowSeen, a: f32, b: f32) -> (Camera, Vec3) {
    let away = core::f32::consts::PI + brake.calliper_angle;
    let middle = f32::midpoint(brake.disc.inner, brake.disc.outer);
    let target = vec3(middle * libm::cosf(away) * 0.95, -36.0 + 30.0 * a, 0.0);
    let eye = if seen == HowSeen::Mirror {
        vec3(target.x * 1.15 + 40.0 * b, -130.0, 260.0)
    } else {
        vec3(target.x * 1.25 + 60.0 * b, -70.0, 400.0)
    };
    let wide = if seen == HowSeen::Mirror { 0.44 } else { 0.36 };
    (Camera::new(eye, target, wide, 0.16 * a), eye + vec3(70.0, 55.0, 10.0))
}

/// The picture in a round inspection mirror, with its frame and the dark behind it.
fn through_mirror(brake: &Brake, camera: &Camera, x: f32, y: f32, seed: u32) -> Colour {
    let (mx, my) = (x / 1.03, (y - 0.02) / 0.93);
    let radius = (mx * mx + my * my).sqrt();
    if radius < 0.93 {
        // A mirror turns left and right, takes a little light and is never quite clean.
        let haze = 0.012 + 0.02 * smooth(0.3, 0.8, super::noise::cloud(x * 3.0, y * 3.0, 4, seed));
        return brake.look(&camera.ray(-x, y)) * 0.9 + grey(haze);
    }
    if radius < 1.0 {
        let across = (radius - 0.965) / 0.035;
        let light = 0.05 + 0.9 * smooth(0.5, 0.0, (across + 0.35).abs()) * smooth(-0.6, 0.9, (my + mx * 0.4) / radius);
        return vec3(0.55, 0.56, 0.58) * light;
    }
    let dark = 0.5 + 0.5 * super::noise::cloud(x * 1.6, y * 1.6, 4, vary(seed, 2));
    let lower = smooth(0.9, -1.0, y);
    vec3(0.030, 0.028, 0.026) * (0.4 + dark) + vec3(0.05, 0.047, 0.043) * (lower * lower * dark)
}
