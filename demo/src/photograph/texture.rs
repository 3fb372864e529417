//! One tile of the material: bundles of short carbon fibre in their ceramic, and the cells of a fine craze.
//!
//! Drawn once and laid out endlessly; every disc takes its own cut of it.

use std::sync::OnceLock;

use rand_chacha::{
    ChaCha8Rng,
    rand_core::{Rng, SeedableRng},
};

use super::vector::smooth;

/// Texels along a side of the tile.
const SIDE: usize = 1024;
/// Texels a millimetre: the tile is 256 mm wide.
const PER_MM: f32 = 4.0;
/// Bundles on the tile: they overlap about twice.
const BUNDLES: u32 = 6400;
/// Cells of the craze along a side: about 4.6 mm each.
const CELLS: i32 = 56;

/// What the tile holds at one place.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Texel {
    /// Tone of the bundle against its surroundings, −1 dark to 1 pale.
    pub tone: f32,
    /// How deep under the new surface the bundle lies, 0 to 1: wear uncovers it.
    pub depth: f32,
    /// Distance from the nearest edge of a craze cell in millimetres, at most 1.
    pub craze_mm: f32,
}

struct Level {
    side: usize,
    texels: Vec<[u8; 3]>,
}

/// The tile at a place in millimetres, averaged over about `width_mm`.
pub(super) fn sample(x_mm: f32, y_mm: f32, width_mm: f32) -> Texel {
    static LEVELS: OnceLock<Vec<Level>> = OnceLock::new();
    let levels = LEVELS.get_or_init(draw_levels);
    let mut level = 0;
    let mut texel_mm = 1.4 / PER_MM;
    while texel_mm < width_mm && level + 1 < levels.len() {
        texel_mm *= 2.0;
        level += 1;
    }
    let level = &levels[level];
    let scale = PER_MM * level.side as f32 / SIDE as f32;
    let (x, y) = (x_mm * scale - 0.5, y_mm * scale - 0.5);
    let (fx, fy) = (x.floor(), y.floor());
    let (tx, ty) = (x - fx, y - fy);
    let wrap = |value: f32| (value as i32).rem_euclid(level.side as i32) as usize;
    let (x0, x1, y0, y1) = (wrap(fx), wrap(fx + 1.0), wrap(fy), wrap(fy + 1.0));
    let channel = |c: usize| {
        let value = |x: usize, y: usize| f32::from(level.texels[y * level.side + x][c]);
        let top = value(x0, y0) * (1.0 - tx) + value(x1, y0) * tx;
        let bottom = value(x0, y1) * (1.0 - tx) + value(x1, y1) * tx;
        (top * (1.0 - ty) + bottom * ty) / 255.0
    };
    Texel { tone: 2.0 * channel(0) - 1.0, depth: channel(1), craze_mm: channel(2) }
}

fn draw_levels() -> Vec<Level> {
    let mut random = Random(ChaCha8Rng::seed_from_u64(2024));
    let mut texels = vec![[96_u8, 255, 255]; SIDE * SIDE];
    for _ in 0..BUNDLES {
        draw_bundle(&mut texels, &mut random);
    }
    draw_craze(&mut texels, &mut random);
    let mut levels = vec![Level { side: SIDE, texels }];
    while let Some(last) = levels.last().filter(|level| level.side > 32) {
        let halved = halve(last);
        levels.push(halved);
    }
    levels
}

struct Random(ChaCha8Rng);

impl Random {
    fn between(&mut self, low: f32, high: f32) -> f32 {
        low + (high - low) * (self.0.next_u32() >> 8) as f32 / 16_777_216.0
    }
}

/// A flat strand some millimetres long: parallel filaments, a dark seam around.
fn draw_bundle(texels: &mut [[u8; 3]], random: &mut Random) {
    let half_length = random.between(2.6, 7.5) * PER_MM;
    let half_width = random.between(0.45, 1.15) * PER_MM;
    let (x, y) = (random.between(0.0, SIDE as f32), random.between(0.0, SIDE as f32));
    let angle = random.between(0.0, core::f32::consts::PI);
    let (sin, cos) = (libm::sinf(angle), libm::cosf(angle));
    let tone = random.between(-0.75, 0.95);
    let depth = random.between(0.0, 1.0);
    let filaments: Vec<f32> = (0..16).map(|_| random.between(-0.22, 0.22)).collect();
    let reach = (half_length + half_width) as i32 + 1;
    for dy in -reach..=reach {
        for dx in -reach..=reach {
            let along = dx as f32 * cos + dy as f32 * sin;
            let over = dy as f32 * cos - dx as f32 * sin;
            let inside = (half_length - along.abs()).min(half_width - over.abs());
            if inside < 0.0 {
                continue;
            }
            let wrap = |centre: f32, offset: i32| (centre as i32 + offset).rem_euclid(SIDE as i32) as usize;
            let filament = filaments[((over / half_width + 1.0) * 7.99) as usize];
            let fade = 0.14 * (along / half_length);
            let seam = smooth(1.3, 0.0, inside) * 0.9;
            let value = ((tone + filament + fade) * (1.0 - seam) - seam).clamp(-1.0, 1.0);
            texels[wrap(y, dy) * SIDE + wrap(x, dx)] = [to_byte(value * 0.5 + 0.5), to_byte(depth), 255];
        }
    }
}

/// Cells around scattered middles; the craze runs where two middles are equally near.
fn draw_craze(texels: &mut [[u8; 3]], random: &mut Random) {
    let cell = SIDE as f32 / CELLS as f32;
    let middles: Vec<(f32, f32)> =
        (0..CELLS * CELLS).map(|_| (random.between(0.1, 0.9), random.between(0.1, 0.9))).collect();
    for (at, texel) in texels.iter_mut().enumerate() {
        let (x, y) = ((at % SIDE) as f32 / cell, (at / SIDE) as f32 / cell);
        let (cx, cy) = (x.floor() as i32, y.floor() as i32);
        let (mut first, mut second) = (f32::MAX, f32::MAX);
        for ny in cy - 1..=cy + 1 {
            for nx in cx - 1..=cx + 1 {
                let middle = middles[(ny.rem_euclid(CELLS) * CELLS + nx.rem_euclid(CELLS)) as usize];
                let (dx, dy) = (nx as f32 + middle.0 - x, ny as f32 + middle.1 - y);
                let distance = (dx * dx + dy * dy).sqrt();
                if distance < first {
                    second = first;
                    first = distance;
                } else if distance < second {
                    second = distance;
                }
            }
        }
        texel[2] = to_byte((second - first) * 0.5 * cell / PER_MM);
    }
}

fn halve(level: &Level) -> Level {
    let side = level.side / 2;
    let mut texels = Vec::with_capacity(side * side);
    for y in 0..side {
        for x in 0..side {
            let mut sum = [0_u16; 3];
            for (dx, dy) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                let texel = level.texels[(2 * y + dy) * level.side + 2 * x + dx];
                for (total, value) in sum.iter_mut().zip(texel) {
                    *total += u16::from(value);
                }
            }
            texels.push(sum.map(|total| (total / 4) as u8));
        }
    }
    Level { side, texels }
}

fn to_byte(value: f32) -> u8 {
    (value.clamp(0.0, 1.0) * 255.0 + 0.5) as u8
}
