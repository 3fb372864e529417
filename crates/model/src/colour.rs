//! Colours as an eye tells them apart.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A colour in CIELAB under D65 for the 2° observer (ISO/CIE 11664-4:2019).
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Lab {
    /// Lightness, 0 to 100.
    pub l: f64,
    /// Green to red.
    pub a: f64,
    /// Blue to yellow.
    pub b: f64,
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
