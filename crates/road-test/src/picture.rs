//! The sound of a drive as a picture.

use image::{GrayImage, ImageFormat, Luma};

use crate::{BANDS, Sound};

/// Rows of the picture for each band.
const ROWS: u32 = 6;
const MOST_COLUMNS: usize = 1200;
/// Loudest and quietest that are told apart, in dB under full scale.
const RANGE_DB: (f64, f64) = (-20.0, -95.0);

/// The spectrogram as a picture (PNG): time to the right, a sixth of an octave for every six rows with the lowest at the
/// bottom, dark where it is loud.
///
/// # Panics
/// Never: a picture in memory can be written.
pub fn spectrogram_png(sound: &Sound) -> Vec<u8> {
    let columns = sound.frames.len().min(MOST_COLUMNS);
    let mut picture = GrayImage::new(columns as u32, BANDS as u32 * ROWS);
    for column in 0..columns {
        let from = column * sound.frames.len() / columns;
        let to = ((column + 1) * sound.frames.len() / columns).max(from + 1);
        for band in 0..BANDS {
            let power = sound.frames[from..to].iter().map(|frame| f64::from(frame.bands[band])).sum::<f64>()
                / (to - from) as f64;
            let share = (10.0 * libm::log10(power.max(1e-12)) - RANGE_DB.1) / (RANGE_DB.0 - RANGE_DB.1);
            let shade = Luma([(255.0 * (1.0 - share.clamp(0.0, 1.0))) as u8]);
            for row in 0..ROWS {
                picture.put_pixel(column as u32, (BANDS - 1 - band) as u32 * ROWS + row, shade);
            }
        }
    }
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, ImageFormat::Png).expect("a picture in memory can be written");
    bytes.into_inner()
}
