//! Grey-level co-occurrence (Haralick, Shanmugam and Dinstein 1973).

use model::Texture;

/// Counts neighbouring levels: `levels` is a picture of so many columns, none where nothing is to be seen; pairs are
/// taken at each of these steps (columns, rows), in both directions. The table is normalised; `count` levels a side.
pub fn co_occurrence(levels: &[Option<u8>], columns: usize, count: usize, steps: &[(isize, isize)]) -> Vec<f64> {
    let rows = levels.len() / columns.max(1);
    let mut table = vec![0_u64; count * count];
    for &(right, down) in steps {
        for row in 0..rows {
            let Some(other_row) = row.checked_add_signed(down).filter(|&other| other < rows) else { continue };
            let from = right.min(0).unsigned_abs();
            let to = columns.saturating_sub(right.max(0).unsigned_abs());
            let line = &levels[row * columns..(row + 1) * columns];
            let other = &levels[other_row * columns..(other_row + 1) * columns];
            for column in from..to {
                if let (Some(a), Some(b)) = (line[column], other[column.wrapping_add_signed(right)]) {
                    let (a, b) = (usize::from(a), usize::from(b));
                    table[a * count + b] += 1;
                    table[b * count + a] += 1;
                }
            }
        }
    }
    let all: u64 = table.iter().sum();
    table.iter().map(|&pairs| if all > 0 { pairs as f64 / all as f64 } else { 0.0 }).collect()
}

/// The texture of a table with so many levels a side.
pub fn texture_of(table: &[f64], count: usize) -> Texture {
    let mut texture = Texture::default();
    let (mut mean, mut square, mut cross) = (0.0, 0.0, 0.0);
    for (place, &share) in table.iter().enumerate() {
        let (i, j) = ((place / count) as f64, (place % count) as f64);
        let apart = (i - j) * (i - j);
        texture.contrast += share * apart;
        texture.dissimilarity += share * (i - j).abs();
        texture.homogeneity += share / (1.0 + apart);
        texture.energy += share * share;
        mean += share * i;
        square += share * i * i;
        cross += share * i * j;
    }
    texture.energy = libm::sqrt(texture.energy);
    let variance = square - mean * mean;
    texture.correlation = if variance > 1e-15 { (cross - mean * mean) / variance } else { 1.0 };
    texture
}
