//! Colours as an eye tells them apart.

use image::RgbImage;
use serde::Serialize;

/// A colour in CIELAB under D65 for the 2° observer (ISO/CIE 11664-4:2019).
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Lab {
    /// Lightness, 0 to 100.
    pub l: f64,
    /// Green to red.
    pub a: f64,
    /// Blue to yellow.
    pub b: f64,
}

/// The white of D65 for the 2° observer (ASTM E308-01, as colour libraries have it), Y being 1.
const WHITE: [f64; 3] = [0.950_47, 1.0, 1.088_83];

/// Linear light of an sRGB value (IEC 61966-2-1:1999).
pub(super) fn linear(value: u8) -> f64 {
    LINEAR[usize::from(value)]
}

static LINEAR: std::sync::LazyLock<[f64; 256]> = std::sync::LazyLock::new(|| {
    std::array::from_fn(|value| {
        let share = value as f64 / 255.0;
        if share <= 0.040_45 { share / 12.92 } else { libm::pow((share + 0.055) / 1.055, 2.4) }
    })
});

/// Linear sRGB to CIELAB.
pub(super) fn linear_to_lab([red, green, blue]: [f64; 3]) -> Lab {
    let xyz = [
        0.412_453 * red + 0.357_580 * green + 0.180_423 * blue,
        0.212_671 * red + 0.715_160 * green + 0.072_169 * blue,
        0.019_334 * red + 0.119_193 * green + 0.950_227 * blue,
    ];
    let [x, y, z] = [0, 1, 2].map(|axis| {
        let share = xyz[axis] / WHITE[axis];
        if share > 0.008_856 { libm::cbrt(share) } else { 7.787 * share + 16.0 / 116.0 }
    });
    Lab { l: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
}

/// An sRGB value to CIELAB.
pub fn srgb_to_lab(value: [u8; 3]) -> Lab {
    linear_to_lab(value.map(linear))
}

/// A grey card in the picture: what it shows there is grey in truth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GreyCard {
    /// Left, upper, width and height of a part of the card in pixels.
    pub part: (u32, u32, u32, u32),
    /// The card's share of reflected light: 0.18 for the usual one.
    pub reflects: f64,
}

impl GreyCard {
    /// By what the picture's linear light is to be multiplied; ones where the card lies outside or is dark.
    pub(super) fn gains(&self, picture: &RgbImage) -> [f64; 3] {
        let (left, upper, width, height) = self.part;
        let (mut sum, mut count) = ([0.0; 3], 0.0);
        for y in upper..upper.saturating_add(height).min(picture.height()) {
            for x in left..left.saturating_add(width).min(picture.width()) {
                for (sum, value) in sum.iter_mut().zip(picture.get_pixel(x, y).0) {
                    *sum += linear(value);
                }
                count += 1.0;
            }
        }
        sum.map(|sum| if count > 0.0 && sum / count > 0.005 { self.reflects / (sum / count) } else { 1.0 })
    }
}

/// The CIEDE2000 colour difference with all weights 1 (ISO/CIE 11664-6:2014; Sharma, Wu and Dalal 2005, whose test data
/// this meets).
pub fn ciede2000(one: Lab, other: Lab) -> f64 {
    const DEGREE: f64 = std::f64::consts::PI / 180.0;
    let seven = |value: f64| {
        let square = value * value;
        square * square * square * value
    };
    let far = seven(25.0);
    let chroma = |lab: Lab| libm::hypot(lab.a, lab.b);
    let mean_chroma = f64::midpoint(chroma(one), chroma(other));
    let stretch = 0.5 * (1.0 - libm::sqrt(seven(mean_chroma) / (seven(mean_chroma) + far)));
    let [(c1, h1), (c2, h2)] = [one, other].map(|lab| {
        let a = lab.a * (1.0 + stretch);
        let hue = if a == 0.0 && lab.b == 0.0 { 0.0 } else { libm::atan2(lab.b, a) / DEGREE };
        (libm::hypot(a, lab.b), hue.rem_euclid(360.0))
    });
    let (dl, dc) = (other.l - one.l, c2 - c1);
    let is_grey = c1 * c2 == 0.0;
    let turned = h2 - h1;
    let dh = if is_grey {
        0.0
    } else if turned > 180.0 {
        turned - 360.0
    } else if turned < -180.0 {
        turned + 360.0
    } else {
        turned
    };
    let big_dh = 2.0 * libm::sqrt(c1 * c2) * libm::sin(dh / 2.0 * DEGREE);
    let (l, c) = (f64::midpoint(one.l, other.l), f64::midpoint(c1, c2));
    let h = if is_grey {
        h1 + h2
    } else if turned.abs() <= 180.0 {
        (h1 + h2) / 2.0
    } else if h1 + h2 < 360.0 {
        (h1 + h2 + 360.0) / 2.0
    } else {
        (h1 + h2 - 360.0) / 2.0
    };
    let cos = |degrees: f64| libm::cos(degrees * DEGREE);
    let t = 1.0 - 0.17 * cos(h - 30.0) + 0.24 * cos(2.0 * h) + 0.32 * cos(3.0 * h + 6.0) - 0.20 * cos(4.0 * h - 63.0);
    let away = (h - 275.0) / 25.0;
    let rotation = 30.0 * libm::exp(-away * away);
    let rc = 2.0 * libm::sqrt(seven(c) / (seven(c) + far));
    let l50 = (l - 50.0) * (l - 50.0);
    let sl = 1.0 + 0.015 * l50 / libm::sqrt(20.0 + l50);
    let sc = 1.0 + 0.045 * c;
    let sh = 1.0 + 0.015 * c * t;
    let rt = -libm::sin(2.0 * rotation * DEGREE) * rc;
    let (l, c, h) = (dl / sl, dc / sc, big_dh / sh);
    libm::sqrt(l * l + c * c + h * h + rt * c * h)
}
