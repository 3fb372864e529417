//! One visit with many large photographs, to measure with.

use std::path::Path;

use anyhow::{Context as _, Result};
use demo::photograph::{Shot, draw};
use demo::scenario::{DrawnPhotograph, list_shots, visits};
use image::{RgbImage, imageops};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

/// Different scenes that are drawn in full; the rest are these with other light.
const SCENES: usize = 4;

/// Writes the last visit with so many photographs of so many megapixels.
pub fn write_large(folder: &Path, photographs: usize, megapixels: f64) -> Result<()> {
    let width = (megapixels * 1e6 * 4.0 / 3.0).sqrt().round() as u32;
    let [.., visit] = visits();
    let mut shots = list_shots(&visit, visit.began_at()?, (width, width * 3 / 4));
    let named = shots.len();
    for number in named..photographs {
        let (_, shot) = shots[number % named].clone();
        shots.push((format!("extra-{number}"), shot));
    }
    // Faces are the richest pictures; the papers come first in the list.
    let scenes: Vec<_> = shots.iter().skip(3).take(SCENES).map(|(_, shot)| draw(shot)).collect();
    let drawn = shots
        .iter()
        .enumerate()
        .map(|(number, (id, shot))| vary(number, id, shot, &scenes[number % scenes.len()]))
        .collect::<Result<Vec<_>>>()?;
    crate::write_visit(folder, &visit.inspection(&drawn)?, &drawn)?;
    let bytes: usize = drawn.iter().map(|photograph| photograph.bytes.len()).sum();
    eprintln!("{}: {} photographs, {bytes} bytes", folder.display(), drawn.len());
    Ok(())
}

fn vary(number: usize, id: &str, shot: &Shot, scene: &RgbImage) -> Result<DrawnPhotograph> {
    let mut picture = scene.clone();
    imageops::colorops::brighten_in_place(&mut picture, (number / SCENES) as i32 % 60 - 30);
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 92);
    encoder.set_sampling_factor(SamplingFactor::F_2_2);
    let side = |pixels: u32| u16::try_from(pixels).context("a side of a JPEG has at most 65535 pixels");
    encoder.encode(picture.as_raw(), side(picture.width())?, side(picture.height())?, ColorType::Rgb)?;
    Ok(DrawnPhotograph { id: id.to_owned(), subject: shot.kind.subject(), taken_at: shot.taken_at, bytes })
}
