//! Letters of our own on a lattice of five by seven: for plates, displays and the mark.

/// Columns from one letter to the next.
pub(super) const ADVANCE: f32 = 6.0;
/// Rows of a letter.
pub(super) const HEIGHT: f32 = 7.0;

/// Seven rows of five points each, the leftmost point in bit 4; what is not drawn here is blank.
fn rows(letter: char) -> [u8; 7] {
    match letter {
        'A' => [0x04, 0x0a, 0x11, 0x11, 0x1f, 0x11, 0x11],
        'B' => [0x1e, 0x11, 0x11, 0x1e, 0x11, 0x11, 0x1e],
        'C' => [0x0e, 0x11, 0x10, 0x10, 0x10, 0x11, 0x0e],
        'D' => [0x1c, 0x12, 0x11, 0x11, 0x11, 0x12, 0x1c],
        'E' => [0x1f, 0x10, 0x10, 0x1e, 0x10, 0x10, 0x1f],
        'F' => [0x1f, 0x10, 0x10, 0x1e, 0x10, 0x10, 0x10],
        'G' => [0x0e, 0x11, 0x10, 0x17, 0x11, 0x11, 0x0e],
        'H' => [0x11, 0x11, 0x11, 0x1f, 0x11, 0x11, 0x11],
        'I' => [0x0e, 0x04, 0x04, 0x04, 0x04, 0x04, 0x0e],
        'J' => [0x07, 0x02, 0x02, 0x02, 0x02, 0x12, 0x0c],
        'K' => [0x11, 0x12, 0x14, 0x18, 0x14, 0x12, 0x11],
        'L' => [0x10, 0x10, 0x10, 0x10, 0x10, 0x10, 0x1f],
        'M' => [0x11, 0x1b, 0x15, 0x15, 0x11, 0x11, 0x11],
        'N' => [0x11, 0x19, 0x15, 0x13, 0x11, 0x11, 0x11],
        'O' => [0x0e, 0x11, 0x11, 0x11, 0x11, 0x11, 0x0e],
        'P' => [0x1e, 0x11, 0x11, 0x1e, 0x10, 0x10, 0x10],
        'Q' => [0x0e, 0x11, 0x11, 0x11, 0x15, 0x12, 0x0d],
        'R' => [0x1e, 0x11, 0x11, 0x1e, 0x14, 0x12, 0x11],
        'S' => [0x0f, 0x10, 0x10, 0x0e, 0x01, 0x01, 0x1e],
        'T' => [0x1f, 0x04, 0x04, 0x04, 0x04, 0x04, 0x04],
        'U' => [0x11, 0x11, 0x11, 0x11, 0x11, 0x11, 0x0e],
        'V' => [0x11, 0x11, 0x11, 0x11, 0x0a, 0x0a, 0x04],
        'W' => [0x11, 0x11, 0x11, 0x15, 0x15, 0x1b, 0x11],
        'X' => [0x11, 0x11, 0x0a, 0x04, 0x0a, 0x11, 0x11],
        'Y' => [0x11, 0x11, 0x0a, 0x04, 0x04, 0x04, 0x04],
        'Z' => [0x1f, 0x01, 0x02, 0x04, 0x08, 0x10, 0x1f],
        '0' => [0x0e, 0x11, 0x13, 0x15, 0x19, 0x11, 0x0e],
        '1' => [0x04, 0x0c, 0x04, 0x04, 0x04, 0x04, 0x0e],
        '2' => [0x0e, 0x11, 0x01, 0x02, 0x04, 0x08, 0x1f],
        '3' => [0x1f, 0x02, 0x04, 0x06, 0x01, 0x11, 0x0e],
        '4' => [0x02, 0x06, 0x0a, 0x12, 0x1f, 0x02, 0x02],
        '5' => [0x1f, 0x10, 0x1e, 0x01, 0x01, 0x11, 0x0e],
        '6' => [0x06, 0x08, 0x10, 0x1e, 0x11, 0x11, 0x0e],
        '7' => [0x1f, 0x01, 0x02, 0x04, 0x04, 0x08, 0x08],
        '8' => [0x0e, 0x11, 0x11, 0x0e, 0x11, 0x11, 0x0e],
        '9' => [0x0e, 0x11, 0x11, 0x0f, 0x01, 0x02, 0x0c],
        'k' => [0x08, 0x08, 0x09, 0x0a, 0x0c, 0x0a, 0x09],
        'm' => [0x00, 0x00, 0x1a, 0x15, 0x15, 0x15, 0x15],
        '-' => [0x00, 0x00, 0x00, 0x0e, 0x00, 0x00, 0x00],
        '.' => [0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x04],
        _ => [0; 7],
    }
}

fn lit(rows: [u8; 7], column: i32, row: i32) -> bool {
    (0..5).contains(&column) && (0..7).contains(&row) && rows[row as usize] >> (4 - column) & 1 == 1
}

/// A line of lettering; points of letter `n` lie at columns 6n to 6n + 4, rows 0 (top) to 6.
#[derive(Debug, Clone)]
pub(super) struct Lettering {
    letters: Vec<[u8; 7]>,
}

impl Lettering {
    pub fn new(text: &str) -> Self {
        Self { letters: text.chars().map(rows).collect() }
    }

    /// Width in columns, from the first point's middle to the last one's.
    pub fn width(&self) -> f32 {
        (ADVANCE * self.letters.len() as f32 - 2.0).max(0.0)
    }

    /// Distance in columns from a place to the nearest lit point's middle; large where none is near.
    pub fn distance_to_point(&self, x: f32, y: f32) -> f32 {
        let (column, row) = (x.round() as i32, y.round() as i32);
        let Some(rows) = self.letter_at(column) else { return 9.0 };
        if !lit(rows, column.rem_euclid(6), row) {
            return 9.0;
        }
        let (dx, dy) = (x - column as f32, y - row as f32);
        (dx * dx + dy * dy).sqrt()
    }

    /// Distance in columns to the nearest stroke: neighbouring points are joined.
    pub fn distance_to_stroke(&self, x: f32, y: f32) -> f32 {
        let (column, row) = (x.floor() as i32, y.floor() as i32);
        let mut nearest = 9.0_f32;
        for c in column - 1..=column + 2 {
            let Some(rows) = self.letter_at(c) else { continue };
            let (start, local) = (c - c.rem_euclid(6), c.rem_euclid(6));
            for r in row - 1..=row + 2 {
                if !lit(rows, local, r) {
                    continue;
                }
                let middle = ((start + local) as f32, r as f32);
                nearest = nearest.min(to_segment(x, y, middle, middle));
                for (dc, dr) in [(1, 0), (0, 1), (1, 1), (-1, 1)] {
                    let round_a_corner = dc != 0 && dr != 0 && (lit(rows, local + dc, r) || lit(rows, local, r + dr));
                    if lit(rows, local + dc, r + dr) && !round_a_corner {
                        let end = (middle.0 + dc as f32, middle.1 + dr as f32);
                        nearest = nearest.min(to_segment(x, y, middle, end));
                    }
                }
            }
        }
        nearest
    }

    fn letter_at(&self, column: i32) -> Option<[u8; 7]> {
        self.letters.get(usize::try_from(column.div_euclid(6)).ok()?).copied()
    }
}

fn to_segment(x: f32, y: f32, from: (f32, f32), to: (f32, f32)) -> f32 {
    let (vx, vy) = (to.0 - from.0, to.1 - from.1);
    let (px, py) = (x - from.0, y - from.1);
    let length = vx * vx + vy * vy;
    let t = if length > 0.0 { ((px * vx + py * vy) / length).clamp(0.0, 1.0) } else { 0.0 };
    let (dx, dy) = (px - t * vx, py - t * vy);
    (dx * dx + dy * dy).sqrt()
}
