//! Colours as an eye tells them apart.

use image::RgbImage;
use model::{GreyCardMark, Lab};

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

impl From<&GreyCardMark> for GreyCard {
    fn from(mark: &GreyCardMark) -> Self {
        Self { part: mark.part, reflects: mark.reflects }
    }
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
