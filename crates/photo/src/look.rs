//! A first look at a photograph as it comes in: a small picture to be listed, and what speaks against it as evidence.

use image::{DynamicImage, GrayImage};

use crate::{
    PhotoError, TakenAt,
    copy::make_report_copy,
    jpeg::Jpeg,
    pixels::{decode_jpeg, encode, scale},
};

/// Longest side of the small picture, in pixels.
const SMALL_PX: u32 = 320;
/// Side of the picture that is looked at, in pixels: fine enough for a blur that a reader would notice on paper.
const LOOKED_PX: u32 = 800;

/// What speaks against a photograph.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flaw {
    /// Too dark to tell a colour or a fibre pattern.
    Dark,
    /// Washed out by light.
    Bright,
    /// Blurred by motion or focus.
    Blurred,
    /// Too few pixels to be printed 160 mm wide.
    Small,
}

impl Flaw {
    /// What is wrong and what to do.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Dark => "too dark to tell colour and fibre pattern: light it from the side with the torch",
            Self::Bright => "washed out by light: turn the torch aside or shade the disc",
            Self::Blurred => "blurred: hold still, tap on the disc to focus, take it again",
            Self::Small => "too few pixels for the report: go closer, or use the camera's full size",
        }
    }
}

/// A photograph at first look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Looked {
    /// A JPEG of at most 320 pixels, upright, without metadata.
    pub small: Vec<u8>,
    /// What a report carries of it.
    pub copy: Vec<u8>,
    /// Width and height of the original as it is looked at.
    pub size: (u32, u32),
    /// When it was taken, where the camera wrote it.
    pub taken_at: Option<TakenAt>,
    /// What speaks against it.
    pub flaws: Vec<Flaw>,
}

/// Looks at a photograph. The limits are the project's assumptions; a flaw is told and refuses nothing.
///
/// # Errors
/// [`PhotoError`], as for a report copy: what is refused there is better taken again at once.
pub fn look(original: &[u8]) -> Result<Looked, PhotoError> {
    let copy = make_report_copy(original)?;
    let picture = decode_jpeg(&Jpeg::parse(&copy.bytes)?)?;
    let (width, height) = within(picture.width(), picture.height(), SMALL_PX);
    let small = encode(&scale(picture.clone(), width, height)?)?;
    let mut flaws = Vec::new();
    let (width, height) = within(picture.width(), picture.height(), LOOKED_PX);
    let grey = scale(DynamicImage::ImageLuma8(picture.into_luma8()), width, height)?.into_luma8();
    let shares = Shares::of(&grey);
    if shares.dark > 0.9 {
        flaws.push(Flaw::Dark);
    } else if shares.bright > 0.6 {
        flaws.push(Flaw::Bright);
    } else if sharpness(&grey) < LEAST_SHARPNESS {
        flaws.push(Flaw::Blurred);
    }
    // 100 dots per inch over 160 mm.
    if copy.original_size.0.max(copy.original_size.1) < 640 {
        flaws.push(Flaw::Small);
    }
    Ok(Looked { small, size: copy.original_size, taken_at: copy.taken_at, flaws, copy: copy.bytes })
}

fn within(width: u32, height: u32, most: u32) -> (u32, u32) {
    let long = width.max(height).max(most);
    ((width * most / long).max(1), (height * most / long).max(1))
}

/// The least sharpness of a usable photograph.
const LEAST_SHARPNESS: f64 = 6.0;

/// The shares of nearly black and nearly white pixels.
struct Shares {
    dark: f64,
    bright: f64,
}

impl Shares {
    fn of(picture: &GrayImage) -> Self {
        let all = picture.as_raw().len().max(1) as f64;
        let share = |is: fn(u8) -> bool| picture.as_raw().iter().filter(|&&value| is(value)).count() as f64 / all;
        Self { dark: share(|value| value < 40), bright: share(|value| value > 245) }
    }
}

/// The 99.5th percentile of the absolute Laplacian, in grey levels: the sharpest edges that there are, whatever share
/// of the picture is smooth.
fn sharpness(picture: &GrayImage) -> f64 {
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let pixels = picture.as_raw();
    if width < 3 || height < 3 {
        return 0.0;
    }
    let mut counts = [0_usize; 1021];
    for y in 1..height - 1 {
        for x in 1..width - 1 {
            let at = |x: usize, y: usize| i32::from(pixels[y * width + x]);
            let edge = 4 * at(x, y) - at(x - 1, y) - at(x + 1, y) - at(x, y - 1) - at(x, y + 1);
            counts[edge.unsigned_abs() as usize] += 1;
        }
    }
    let above = (width - 2) * (height - 2) / 200;
    let mut seen = 0;
    counts
        .iter()
        .enumerate()
        .rev()
        .find(|(_, count)| {
            seen += **count;
            seen > above
        })
        .map_or(0.0, |(edge, _)| edge as f64)
}
