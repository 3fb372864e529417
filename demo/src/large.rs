//! The last visit with many large photographs, to measure with.

use image::RgbImage;
use model::{CornerName, FaceName, HowSeen, Inspection, PhotographTaken};
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{Rng, SeedableRng},
};
use rayon::prelude::*;

use crate::{
    photograph::{CameraFileError, Held, Shot, ShotKind, Signs, draw, encode_picture},
    scenario::{DrawnPhotograph, PlannedPhotograph, VisitError, list_shots, visits},
};

/// Different scenes that are drawn in full; the others are these with the camera held a little elsewhere.
const SCENES: usize = 4;

/// A large visit that could not be made.
#[derive(Debug, thiserror::Error)]
pub enum LargeError {
    /// Too few photographs for the findings that name some.
    #[error("got {got} photographs, expected at least {least}: the last visit's findings name that many")]
    TooFew {
        /// How many were asked for.
        got: usize,
        /// How many the visit has at least.
        least: usize,
    },
    /// A picture that no file of a camera holds.
    #[error("got {got} megapixels, expected 0.01 to 100")]
    Megapixels {
        /// How many were asked for.
        got: f64,
    },
    /// A picture that cannot be written.
    #[error(transparent)]
    Photograph(#[from] CameraFileError),
    /// The visit.
    #[error(transparent)]
    Visit(#[from] VisitError),
}

/// The last visit with so many photographs of so many megapixels, no two alike; the same every time.
///
/// # Errors
/// Fewer photographs than the visit's findings name, or a size that no camera's file has.
pub fn inspect_at_length(
    photographs: usize,
    megapixels: f64,
) -> Result<(Inspection, Vec<DrawnPhotograph>), LargeError> {
    if !(0.01..=100.0).contains(&megapixels) {
        return Err(LargeError::Megapixels { got: megapixels });
    }
    let width = (megapixels * 1e6 * 4.0 / 3.0).sqrt().round() as u32;
    let size = (width, width * 3 / 4);
    let [.., visit] = visits();
    let mut plans = list_shots(&visit, size)?;
    if photographs < plans.len() {
        return Err(LargeError::TooFew { got: photographs, least: plans.len() });
    }
    for number in plans.len()..photographs {
        plans.push(further(number, &plans[plans.len() - 1].shot));
    }
    let scenes: Vec<_> =
        (0..SCENES).into_par_iter().map(|number| grained(draw(&scene(number, &plans[0].shot)), number)).collect();
    let drawn = plans
        .into_par_iter()
        .enumerate()
        .map(|(number, plan)| {
            let picture = shift(&scenes[number % SCENES], number / SCENES);
            Ok(DrawnPhotograph { bytes: encode_picture(&plan.shot, &picture)?, plan })
        })
        .collect::<Result<Vec<_>, CameraFileError>>()?;
    Ok((visit.inspection(&drawn)?, drawn))
}

/// One more photograph than the visit has, of one face after the other.
fn further(number: usize, before: &Shot) -> PlannedPhotograph {
    let corner = CornerName::ALL[number % 4];
    let face = FaceName::ALL[number / 4 % 2];
    let shot = Shot {
        kind: ShotKind::Face { corner, face, seen: HowSeen::WheelOff },
        taken_at: before.taken_at + chrono::TimeDelta::seconds(20),
        held: if number.is_multiple_of(5) { Held::OnItsSide } else { Held::Level },
        ..before.clone()
    };
    PlannedPhotograph {
        id: format!("further-{number:04}"),
        subject: shot.kind.subject(),
        caption: format!("Further view, number {number}"),
        taken: PhotographTaken::InApp,
        shot,
    }
}

/// Faces are the richest pictures.
fn scene(number: usize, like: &Shot) -> Shot {
    let corner = CornerName::ALL[number % 4];
    Shot {
        kind: ShotKind::Face { corner, face: FaceName::Outer, seen: HowSeen::WheelOff },
        signs: Signs { wear: 0.2 + 0.2 * number as f64, ..Signs::default() },
        seed: number as u64,
        ..like.clone()
    }
}

/// The picture with the grain of a small sensor in a dim wheel arch, so that its file is as large as such a camera's.
fn grained(mut picture: RgbImage, number: usize) -> RgbImage {
    let mut random = ChaCha8Rng::seed_from_u64(number as u64);
    for pixel in picture.pixels_mut() {
        // The sum of four small rectangular steps is nearly normal.
        let steps = random.next_u32().to_le_bytes().map(|byte| i16::from(byte % 9) - 4);
        let grain: i16 = steps.iter().sum();
        for channel in &mut pixel.0 {
            *channel = (i16::from(*channel) + grain).clamp(0, 255) as u8;
        }
    }
    picture
}

/// The picture moved along both sides, what leaves on one coming back on the other: as rich as before, and other bytes.
fn shift(picture: &RgbImage, steps: usize) -> RgbImage {
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let (across, down) = (steps * 37 % width.max(1), steps * 11 % height.max(1));
    let mut moved = RgbImage::new(picture.width(), picture.height());
    for (y, row) in moved.chunks_exact_mut(3 * width).enumerate() {
        let from = (y + down) % height * 3 * width;
        let source = &picture.as_raw()[from..from + 3 * width];
        let (head, tail) = source.split_at(3 * across);
        row[..tail.len()].copy_from_slice(tail);
        row[tail.len()..].copy_from_slice(head);
    }
    moved
}
