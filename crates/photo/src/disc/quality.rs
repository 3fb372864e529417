use image::{GrayImage, Luma, RgbImage};
use model::DiscQuality;

use super::{Ring, RingMark};

/// Blurred below this. The project's assumption, from pictures that were blurred on purpose.
const LEAST_SHARPNESS: f64 = 3.0;
const MOST_CLIPPED: f64 = 0.10;
const MOST_BLACK: f64 = 0.20;

pub(super) fn judge(picture: &RgbImage, mark: &RingMark, ring: &Ring) -> DiscQuality {
    let sharpness = ring_sharpness(picture, mark);
    DiscQuality {
        mm_per_pixel: mark.mm_per_pixel(),
        sharpness,
        clipped: ring.clipped,
        black: ring.black,
        passes: sharpness >= LEAST_SHARPNESS && ring.clipped <= MOST_CLIPPED && ring.black <= MOST_BLACK,
    }
}

/// The Laplacian's variance over samples of the ring, at the picture's own pixels.
fn ring_sharpness(picture: &RgbImage, mark: &RingMark) -> f64 {
    let grey = |x: u32, y: u32| {
        let [red, green, blue] = picture.get_pixel(x, y).0.map(f64::from);
        0.299 * red + 0.587 * green + 0.114 * blue
    };
    let (mut sum, mut square, mut count) = (0.0, 0.0, 0.0);
    for nth in 0..20_000_u32 {
        // The golden angle spreads the samples evenly.
        let angle = f64::from(nth) * 2.399_963_229_728_653;
        let share = 0.08 + 0.84 * (f64::from(nth % 211) / 211.0);
        let (x, y) = mark.point(angle, share);
        if x < 1.0 || y < 1.0 || x >= f64::from(picture.width()) - 2.0 || y >= f64::from(picture.height()) - 2.0 {
            continue;
        }
        let (x, y) = (x as u32, y as u32);
        let value = grey(x - 1, y) + grey(x + 1, y) + grey(x, y - 1) + grey(x, y + 1) - 4.0 * grey(x, y);
        sum += value;
        square += value * value;
        count += 1.0;
    }
    if count > 0.0 { square / count - sum / count * (sum / count) } else { 0.0 }
}

/// The variance of the 3 × 3 Laplacian (0 1 0, 1 −4 1, 0 1 0) of a whole picture, its edges mirrored without repeating
/// them, in squared grey levels.
pub fn laplacian_variance(picture: &GrayImage) -> f64 {
    let (width, height) = (picture.width() as i64, picture.height() as i64);
    let mirror = |at: i64, count: i64| {
        if at < 0 {
            -at
        } else if at >= count {
            2 * count - 2 - at
        } else {
            at
        }
    };
    let at = |x: i64, y: i64| {
        let Luma([value]) = picture.get_pixel(mirror(x, width).max(0) as u32, mirror(y, height).max(0) as u32);
        f64::from(*value)
    };
    let (mut sum, mut square) = (0.0, 0.0);
    for y in 0..height {
        for x in 0..width {
            let value = at(x - 1, y) + at(x + 1, y) + at(x, y - 1) + at(x, y + 1) - 4.0 * at(x, y);
            sum += value;
            square += value * value;
        }
    }
    let count = (width * height) as f64;
    square / count - sum / count * (sum / count)
}
