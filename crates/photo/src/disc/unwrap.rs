//! The ring rolled out: rows from the inner to the outer edge, columns around it, evenly lit, with holes and glare left
//! out.

use image::{GrayImage, Luma, RgbImage};

use super::{RingMark, colour::linear};

/// mm of the disc that a step of the unrolled ring is.
pub const STEP_MM: f64 = 0.4;
/// What is darker than this share of its surroundings is a hole or a slot.
const HOLE: f32 = 0.42;
/// What is brighter than this multiple of its surroundings is glare.
const GLARE: f32 = 2.4;
/// Reach of the surroundings, in mm.
const AROUND_MM: f64 = 14.0;
/// Reach of what counts as light and shade rather than pattern, in mm.
const LIGHT_MM: f64 = 7.0;
/// The rim of a hole belongs to it, in mm.
const RIM_MM: f64 = 1.2;
/// At both edges so much of the ring is left out, as its share: a mark is never exact.
const MARGIN: f64 = 0.05;

/// The unrolled ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// Steps around the ring.
    pub columns: usize,
    /// Steps from the inner to the outer edge.
    pub rows: usize,
    /// Linear light by red, green and blue, by a grey card where there was one.
    pub(super) colour: Vec<[f32; 3]>,
    /// Brightness relative to the light at that place: 1 where nothing stands out.
    pub(super) even: Vec<f32>,
    /// Where something is to be seen.
    pub(super) seen: Vec<bool>,
    /// Share of samples at the top of the camera's range, and at its bottom.
    pub(super) clipped: f64,
    pub(super) black: f64,
}

impl Ring {
    pub(super) fn unwrap(picture: &RgbImage, mark: &RingMark, gains: [f64; 3]) -> Self {
        let (inner, outer) = (mark.inner_radius_mm(), mark.outer_diameter_mm / 2.0);
        let columns = (std::f64::consts::PI * (inner + outer) / STEP_MM) as usize;
        let rows = (((outer - inner) * (1.0 - 2.0 * MARGIN) / STEP_MM) as usize).max(1);
        // A step of the ring covers several pixels: as many looks as it takes to meet each.
        let looks = libm::ceil(STEP_MM / mark.mm_per_pixel()).clamp(1.0, 6.0) as usize;
        let (width, height) = (picture.width() as usize, picture.height() as usize);
        let pixels = picture.as_raw();
        let gains = gains.map(|gain| gain as f32);
        let light: [f32; 256] = std::array::from_fn(|value| linear(value as u8) as f32);
        let mut colour = vec![[0.0_f32; 3]; columns * rows];
        let (mut clipped, mut black) = (0_usize, 0_usize);
        for column in 0..columns {
            for sub_column in 0..looks {
                let turn = (column as f64 + (sub_column as f64 + 0.5) / looks as f64) / columns as f64;
                let angle = turn * 2.0 * std::f64::consts::PI;
                let (from, to) = (mark.point(angle, MARGIN), mark.point(angle, 1.0 - MARGIN));
                let step = ((to.0 - from.0) / (rows * looks) as f64, (to.1 - from.1) / (rows * looks) as f64);
                for row in 0..rows {
                    let sum = &mut colour[row * columns + column];
                    for sub_row in 0..looks {
                        let along = (row * looks + sub_row) as f64 + 0.5;
                        let x = ((from.0 + step.0 * along) as usize).min(width - 1);
                        let y = ((from.1 + step.1 * along) as usize).min(height - 1);
                        let at = (y * width + x) * 3;
                        let raw = [pixels[at], pixels[at + 1], pixels[at + 2]];
                        clipped += usize::from(raw.iter().any(|&value| value >= 250));
                        black += usize::from(raw.iter().all(|&value| value <= 6));
                        for (sum, value) in sum.iter_mut().zip(raw) {
                            *sum += light[usize::from(value)];
                        }
                    }
                }
            }
        }
        let all = (looks * looks) as f32;
        for sample in &mut colour {
            for (value, gain) in sample.iter_mut().zip(gains) {
                *value *= gain / all;
            }
        }
        let samples = (columns * rows * looks * looks) as f64;
        let mut ring = Self {
            columns,
            rows,
            even: Vec::new(),
            seen: Vec::new(),
            clipped: clipped as f64 / samples,
            black: black as f64 / samples,
            colour,
        };
        ring.mask();
        ring
    }

    /// Leaves out holes and glare, and takes the light away from what is left.
    fn mask(&mut self) {
        let bright: Vec<f32> =
            self.colour.iter().map(|[red, green, blue]| 0.2127 * red + 0.7152 * green + 0.0721 * blue).collect();
        let all = vec![true; bright.len()];
        let around = self.smooth(&bright, &all, AROUND_MM);
        let is_odd: Vec<bool> = bright
            .iter()
            .zip(&around)
            .map(|(&bright, &around)| bright < HOLE * around || bright > GLARE * around || bright < 2e-4)
            .collect();
        self.seen = self.widen(&is_odd).into_iter().map(|odd| !odd).collect();
        let light = self.smooth(&bright, &self.seen, LIGHT_MM);
        self.even = bright.iter().zip(&light).map(|(&bright, &light)| bright / light.max(1e-6)).collect();
    }

    /// The ring as a picture.
    pub(super) fn draw(&self) -> GrayImage {
        GrayImage::from_fn(self.columns as u32, self.rows as u32, |column, row| {
            let place = row as usize * self.columns + column as usize;
            Luma([if self.seen[place] { (self.even[place] * 110.0).min(230.0) as u8 } else { 255 }])
        })
    }

    /// Share of the ring that is left out.
    pub fn masked(&self) -> f64 {
        self.seen.iter().filter(|&&seen| !seen).count() as f64 / self.seen.len().max(1) as f64
    }

    /// Share of the pattern's variance that goes with the radius alone: near 0 for fibres, near 1 for a tyre's ribs.
    pub(super) fn concentric(&self) -> f64 {
        let seen = |place: &usize| self.seen[*place];
        let of = |places: std::ops::Range<usize>| {
            let (mut sum, mut count) = (0.0, 0.0);
            for place in places.filter(seen) {
                sum += f64::from(self.even[place]);
                count += 1.0;
            }
            (sum, count)
        };
        let (sum, count) = of(0..self.even.len());
        let mean = sum / f64::max(count, 1.0);
        let rows = (0..self.rows).map(|row| of(row * self.columns..(row + 1) * self.columns));
        let with_radius: f64 = rows
            .filter(|(_, count)| *count > 0.0)
            .map(|(sum, count)| count * (sum / count - mean) * (sum / count - mean))
            .sum();
        let all: f64 = (0..self.even.len())
            .filter(seen)
            .map(|place| (f64::from(self.even[place]) - mean) * (f64::from(self.even[place]) - mean))
            .sum();
        if all > 0.0 { with_radius / all } else { 0.0 }
    }

    /// Samples within the rim of an odd one are odd.
    fn widen(&self, odd: &[bool]) -> Vec<bool> {
        let reach = (RIM_MM / STEP_MM) as usize;
        let near = self.blur(&odd.iter().map(|&odd| f32::from(u8::from(odd))).collect::<Vec<_>>(), reach);
        // A single dark fibre is no hole: half of what lies around must be odd as well.
        let core: Vec<f32> = near.iter().map(|&share| f32::from(u8::from(share > 0.6))).collect();
        self.blur(&core, 2 * reach).into_iter().map(|share| share > 1e-4).collect()
    }

    /// A mean over the surroundings, of what is seen alone.
    pub(super) fn smooth(&self, values: &[f32], seen: &[bool], reach_mm: f64) -> Vec<f32> {
        let reach = (reach_mm / STEP_MM / 2.0) as usize;
        let kept: Vec<f32> = values.iter().zip(seen).map(|(&value, &seen)| if seen { value } else { 0.0 }).collect();
        let share: Vec<f32> = seen.iter().map(|&seen| f32::from(u8::from(seen))).collect();
        // Twice a box is nearly a bell.
        let (sum, count) = (self.blur(&self.blur(&kept, reach), reach), self.blur(&self.blur(&share, reach), reach));
        sum.iter().zip(&count).map(|(sum, count)| sum / count.max(1e-6)).collect()
    }

    /// The mean of a box of so many steps to each side; the ring closes on itself, its edges are mirrored by their end.
    pub(super) fn blur(&self, values: &[f32], reach: usize) -> Vec<f32> {
        if reach == 0 {
            return values.to_vec();
        }
        let (columns, rows) = (self.columns, self.rows);
        let width = (2 * reach + 1) as f32;
        let mut across = vec![0.0; values.len()];
        for row in 0..rows {
            let line = &values[row * columns..(row + 1) * columns];
            let at = |column: usize| line[column % columns];
            let mut sum: f32 = (0..=2 * reach).map(|nth| at(nth + columns * reach.div_ceil(columns) - reach)).sum();
            for column in 0..columns {
                across[row * columns + column] = sum / width;
                sum += at(column + reach + 1) - at(column + columns * reach.div_ceil(columns) - reach);
            }
        }
        let mut down = vec![0.0; values.len()];
        let mut sums = vec![0.0_f32; columns];
        let line = |row: isize| {
            let row = row.clamp(0, rows as isize - 1) as usize;
            &across[row * columns..(row + 1) * columns]
        };
        for row in -(reach as isize)..=reach as isize {
            for (sum, value) in sums.iter_mut().zip(line(row)) {
                *sum += value;
            }
        }
        for row in 0..rows as isize {
            let out = &mut down[row as usize * columns..(row as usize + 1) * columns];
            let (leaving, coming) = (line(row - reach as isize), line(row + reach as isize + 1));
            for column in 0..columns {
                out[column] = sums[column] / width;
                sums[column] += coming[column] - leaving[column];
            }
        }
        down
    }
}

/// The share of the marked outer edge at which the picture shows one: the step of brightness there stands out from those
/// inside the ring.
pub(super) fn find_edge_share(picture: &RgbImage, mark: &RingMark) -> f64 {
    const LOOKS: usize = 180;
    const LEAST_STEP: f64 = 0.12;
    const INSIDE: [f64; 5] = [0.30, 0.42, 0.54, 0.66, 0.78];
    let bright = |angle: f64, share: f64| {
        let (x, y) = mark.point(angle, share);
        let x = x.clamp(0.0, f64::from(picture.width()) - 1.0) as u32;
        let y = y.clamp(0.0, f64::from(picture.height()) - 1.0) as u32;
        let [red, green, blue] = picture.get_pixel(x, y).0.map(f64::from);
        0.2127 * red + 0.7152 * green + 0.0721 * blue
    };
    let mean = |angle: f64, from: f64, to: f64| {
        let mut sum = 0.0;
        for turn in -2..=2 {
            for nth in 0..6 {
                sum += bright(angle + f64::from(turn) * 0.006, from + (to - from) * (f64::from(nth) + 0.5) / 6.0);
            }
        }
        sum / 30.0
    };
    let step = |angle: f64, at: f64| {
        let (inside, outside) = (mean(angle, at - 0.16, at - 0.03), mean(angle, at + 0.03, at + 0.16));
        (inside - outside) / (inside + outside + 8.0)
    };
    let edge = |nth: usize| {
        let angle = nth as f64 / LOOKS as f64 * 2.0 * std::f64::consts::PI;
        let mut usual = INSIDE.map(|at| step(angle, at).abs());
        usual.sort_by(f64::total_cmp);
        let here = step(angle, 1.0);
        (here.abs() > LEAST_STEP && here.abs() > 2.0 * usual[INSIDE.len() / 2]).then_some(here > 0.0)
    };
    // A disc is all around brighter or all around darker than what lies behind it.
    let edges: Vec<bool> = (0..LOOKS).filter_map(edge).collect();
    let brighter = edges.iter().filter(|&&brighter| brighter).count();
    brighter.max(edges.len() - brighter) as f64 / LOOKS as f64
}
