//! Drawn faces of a disc whose stage of wear is known, seen from an angle in uneven light. No photographs of brake discs are
//! to be had, so everything that uses these says that they are drawn.
//!
//! The drawing knows nothing of the analysis, and adds what no analysis assumes: perspective, drilled holes, streaks,
//! stains, a calliper's shadow, noise, blur.

use image::{Rgb, RgbImage};

use crate::drive::Chance;

/// A face to be drawn.
#[derive(Debug, Clone, Copy)]
pub struct Face {
    /// Seeds everything that is left to chance.
    pub seed: u64,
    /// 0 as new, 1 at its end: how crowded the fibres are and how grey.
    pub wear: f64,
    /// Angle between the camera's axis and the disc's, in degrees, and in which direction.
    pub tilt_deg: f64,
    /// Which way it leans, in radians.
    pub lean: f64,
    /// How much brighter one side is than the other: 0 for even light.
    pub uneven: f64,
    /// Exposure: 1 is right.
    pub exposure: f64,
    /// Blur in pixels.
    pub blur_px: f64,
    /// Noise in grey levels.
    pub noise: f64,
    /// A stain of a cleaner: 0 for none.
    pub stain: f64,
    /// Width and height in pixels.
    pub size: (u32, u32),
}

impl Default for Face {
    fn default() -> Self {
        Self {
            seed: 1,
            wear: 0.5,
            tilt_deg: 15.0,
            lean: 0.4,
            uneven: 0.3,
            exposure: 1.0,
            blur_px: 0.0,
            noise: 2.0,
            stain: 0.0,
            size: (1600, 1200),
        }
    }
}

/// Outer diameter of the drawn disc in mm.
pub const DIAMETER_MM: f64 = 390.0;
/// Where its ring begins, in mm from the centre.
pub const INNER_MM: f64 = 122.0;
const DISTANCE_MM: f64 = 900.0;

/// A drawn face with where an inspector would mark it.
pub struct Drawn {
    /// The picture.
    pub picture: RgbImage,
    /// The outer edge at the disc's right, below, left and above.
    pub outer: [(f64, f64); 4],
    /// The same of the inner edge.
    pub inner: [(f64, f64); 4],
}

/// Plane of the disc in steps of this many mm.
const FINE_MM: f64 = 0.25;

struct Camera {
    focal_px: f64,
    middle: (f64, f64),
    tilt: f64,
    lean: f64,
}

impl Camera {
    /// A point of the disc's plane in pixels.
    fn see(&self, x: f64, y: f64) -> (f64, f64) {
        let (sl, cl) = libm::sincos(self.lean);
        let (along, across) = (x * cl + y * sl, -x * sl + y * cl);
        let (st, ct) = libm::sincos(self.tilt);
        let (depth, along) = (DISTANCE_MM + along * st, along * ct);
        let (u, v) = (along * self.focal_px / depth, across * self.focal_px / depth);
        (self.middle.0 + u * cl - v * sl, self.middle.1 + u * sl + v * cl)
    }

    /// The point of the disc's plane behind a pixel.
    fn behind(&self, px: f64, py: f64) -> (f64, f64) {
        let (sl, cl) = libm::sincos(self.lean);
        let (dx, dy) = ((px - self.middle.0) / self.focal_px, (py - self.middle.1) / self.focal_px);
        let (u, v) = (dx * cl + dy * sl, -dx * sl + dy * cl);
        let (st, ct) = libm::sincos(self.tilt);
        let along = u * DISTANCE_MM / (ct - u * st);
        let across = v * (DISTANCE_MM + along * st);
        (along * cl - across * sl, along * sl + across * cl)
    }
}

/// Draws a face.
pub fn draw(face: &Face) -> Drawn {
    let mut chance = Chance::new(face.seed);
    let plane = lay_fibres(face, &mut chance);
    let (width, height) = face.size;
    let reach = f64::from(width.min(height));
    let camera = Camera {
        focal_px: reach * 0.44 / (DIAMETER_MM / 2.0) * DISTANCE_MM,
        middle: (f64::from(width) / 2.0 + chance.between(-0.01, 0.01) * reach, f64::from(height) / 2.0),
        tilt: face.tilt_deg.to_radians(),
        lean: face.lean,
    };
    let towards = chance.unit() * std::f64::consts::TAU;
    let mut light = vec![[0.0_f64; 3]; (width * height) as usize];
    for y in 0..height {
        for x in 0..width {
            let (mx, my) = camera.behind(f64::from(x) + 0.5, f64::from(y) + 0.5);
            let slope = (mx * libm::cos(towards) + my * libm::sin(towards)) / (DIAMETER_MM / 2.0);
            let lit = face.exposure * (1.0 + face.uneven * slope).max(0.05);
            light[(y * width + x) as usize] = look(&plane, mx, my, face).map(|value| value * lit);
        }
    }
    if face.blur_px > 0.0 {
        light = blur(&light, width as usize, height as usize, face.blur_px);
    }
    let picture = RgbImage::from_fn(width, height, |x, y| {
        let value = light[(y * width + x) as usize];
        Rgb(value.map(|value| {
            let coded = if value <= 0.003_130_8 { 12.92 * value } else { 1.055 * libm::pow(value, 1.0 / 2.4) - 0.055 };
            (coded * 255.0 + face.noise * chance.normal()).clamp(0.0, 255.0) as u8
        }))
    });
    let four =
        |radius: f64| [(radius, 0.0), (0.0, radius), (-radius, 0.0), (0.0, -radius)].map(|(x, y)| camera.see(x, y));
    Drawn { picture, outer: four(DIAMETER_MM / 2.0), inner: four(INNER_MM) }
}

/// How much of a fibre lies at each place of the ring's plane.
struct Plane {
    side: usize,
    fibre: Vec<f32>,
    stain: (f64, f64, f64),
}

fn lay_fibres(face: &Face, chance: &mut Chance) -> Plane {
    let side = (DIAMETER_MM / FINE_MM) as usize;
    let mut fibre = vec![0.0_f32; side * side];
    // New discs show few bundles, worn ones are crowded with them.
    let area = DIAMETER_MM * DIAMETER_MM;
    let per_mm2 = 0.006 + 0.075 * face.wear;
    for _ in 0..(area * per_mm2) as usize {
        let (x, y) = (chance.between(0.0, DIAMETER_MM), chance.between(0.0, DIAMETER_MM));
        let angle = chance.unit() * std::f64::consts::PI;
        let (length, width) = (chance.between(5.0, 14.0), chance.between(0.7, 1.5));
        let strength = chance.between(0.5, 1.0) as f32;
        let (sine, cosine) = libm::sincos(angle);
        let mut along = 0.0;
        while along < length {
            let mut across = -width / 2.0;
            while across < width / 2.0 {
                let (px, py) = (x + along * cosine - across * sine, y + along * sine + across * cosine);
                let (column, row) = ((px / FINE_MM) as usize, (py / FINE_MM) as usize);
                if px >= 0.0 && py >= 0.0 && column < side && row < side {
                    let place = &mut fibre[row * side + column];
                    *place = place.max(strength);
                }
                across += FINE_MM * 0.8;
            }
            along += FINE_MM * 0.8;
        }
    }
    let angle = chance.unit() * std::f64::consts::TAU;
    Plane { side, fibre, stain: (150.0 * libm::cos(angle), 150.0 * libm::sin(angle), 30.0 + 20.0 * chance.unit()) }
}

/// Linear light of a place of the plane.
fn look(plane: &Plane, x: f64, y: f64, face: &Face) -> [f64; 3] {
    let radius = libm::hypot(x, y);
    if radius > DIAMETER_MM / 2.0 {
        // Behind the disc: a wheel arch, dark and without a pattern, and a light edge of a shield.
        let shade = 0.012 + 0.006 * libm::sin(x / 37.0) * libm::cos(y / 23.0);
        return [shade, shade, shade * 1.1];
    }
    if radius < INNER_MM {
        // The bell.
        let ring = 0.30 + 0.04 * libm::sin(radius / 6.0);
        return if radius < 35.0 { [0.02, 0.02, 0.022] } else { [ring, ring * 0.99, ring * 0.97] };
    }
    // Drilled holes in spirals.
    let turn = libm::atan2(y, x);
    for row in 0..5_i32 {
        let at = INNER_MM + 12.0 + f64::from(row) * 12.0;
        if (radius - at).abs() < 4.0 {
            let pitch = std::f64::consts::TAU / 18.0;
            let offset = (turn - f64::from(row) * 0.12).rem_euclid(pitch) - pitch / 2.0;
            if libm::hypot(offset * radius, radius - at) < 3.2 {
                return [0.003, 0.003, 0.003];
            }
        }
    }
    let (column, row) = ((x + DIAMETER_MM / 2.0) / FINE_MM, (y + DIAMETER_MM / 2.0) / FINE_MM);
    let (column, row) = ((column as usize).min(plane.side - 1), (row as usize).min(plane.side - 1));
    let fibre = f64::from(plane.fibre[row * plane.side + column]);
    // Near-black as new, greyed when spent; fibres a little lighter than what lies between them.
    let ground = 0.040 + 0.075 * face.wear;
    let streak = 1.0 + 0.05 * libm::sin(radius * 1.9) + 0.03 * libm::sin(radius * 0.6);
    let value = ground * streak * (1.0 + fibre * (0.22 + 0.45 * face.wear));
    let stained = face.stain
        * libm::exp(
            -((x - plane.stain.0) * (x - plane.stain.0) + (y - plane.stain.1) * (y - plane.stain.1))
                / (2.0 * plane.stain.2 * plane.stain.2),
        );
    [value * (1.0 + 1.1 * stained), value * (1.0 + 0.75 * stained), value * (1.0 + 0.1 * stained)]
}

/// A blur like a lens out of focus: three boxes for a bell.
fn blur(light: &[[f64; 3]], width: usize, height: usize, sigma: f64) -> Vec<[f64; 3]> {
    let reach = libm::ceil(3.0 * sigma) as isize;
    let kernel: Vec<f64> = (-reach..=reach).map(|at| libm::exp(-(at * at) as f64 / (2.0 * sigma * sigma))).collect();
    let sum: f64 = kernel.iter().sum();
    let pass = |from: &[[f64; 3]], is_across: bool| -> Vec<[f64; 3]> {
        (0..width * height)
            .map(|place| {
                let (x, y) = ((place % width) as isize, (place / width) as isize);
                let mut out = [0.0; 3];
                for (nth, weight) in kernel.iter().enumerate() {
                    let at = nth as isize - reach;
                    let (x, y) = if is_across { (x + at, y) } else { (x, y + at) };
                    let (x, y) = (x.clamp(0, width as isize - 1) as usize, y.clamp(0, height as isize - 1) as usize);
                    for (out, value) in out.iter_mut().zip(from[y * width + x]) {
                        *out += weight / sum * value;
                    }
                }
                out
            })
            .collect()
    };
    pass(&pass(light, true), false)
}

impl Drawn {
    /// The mark as the file beside the photograph has it.
    pub fn mark_json(&self) -> String {
        serde_json::json!({
            "outer": self.outer,
            "inner": self.inner,
            "outer_diameter_mm": DIAMETER_MM,
            "grey_card": null,
        })
        .to_string()
    }

    /// The picture as a JPEG.
    ///
    /// # Errors
    /// None that a picture of this size can meet.
    pub fn jpeg(&self) -> Result<Vec<u8>, jpeg_encoder::EncodingError> {
        let mut bytes = Vec::new();
        let (width, height) = (self.picture.width() as u16, self.picture.height() as u16);
        jpeg_encoder::Encoder::new(&mut bytes, 92).encode(
            self.picture.as_raw(),
            width,
            height,
            jpeg_encoder::ColorType::Rgb,
        )?;
        Ok(bytes)
    }
}

/// The generated set of references that comes with the demonstration: a stage, a name, and how the face is drawn.
pub fn references() -> Vec<(&'static str, String, Face)> {
    let stages = [("start", 0.06), ("middle", 0.5), ("end", 0.94)];
    let all = stages.iter().flat_map(|&(stage, wear)| (0..4_u32).map(move |nth| (stage, wear, nth)));
    all.map(|(stage, wear, nth)| {
        let step = f64::from(nth);
        let face = Face {
            seed: 40 + u64::from(nth) + (wear * 100.0) as u64,
            wear: wear + 0.03 * (step - 1.5),
            tilt_deg: 5.0 + 7.0 * step,
            lean: 1.3 * step,
            uneven: 0.1 + 0.12 * step,
            exposure: 0.85 + 0.13 * step,
            blur_px: 0.5 + 0.25 * step,
            noise: 1.5 + 0.5 * step,
            stain: 0.0,
            size: (1300, 1000),
        };
        (stage, format!("{stage}-{}.jpg", nth + 1), face)
    })
    .collect()
}
