//! Two pictures of a page: how far apart.

use std::path::Path;

use anyhow::{Context as _, Result, bail};

/// How far two pictures of the same size are apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Mean distance of a pixel's grey, 0 to 255.
    pub mean: f64,
    /// Share of pixels that differ by more than a quarter of the scale.
    pub share: f64,
}

/// Compares two pictures in grey.
///
/// # Errors
/// One is missing or no picture, or they have other sizes.
pub fn compare_pictures(one: &Path, other: &Path) -> Result<Difference> {
    let open = |path: &Path| -> Result<image::GrayImage> {
        let bytes = std::fs::read(path).with_context(|| format!("{} is missing", path.display()))?;
        Ok(image::load_from_memory(&bytes).with_context(|| format!("{} is no picture", path.display()))?.to_luma8())
    };
    let (one, other) = (open(one)?, open(other)?);
    if one.dimensions() != other.dimensions() {
        bail!("the pictures have other sizes: {:?} and {:?}", one.dimensions(), other.dimensions());
    }
    let distances: Vec<_> = one.as_raw().iter().zip(other.as_raw()).map(|(a, b)| a.abs_diff(*b)).collect();
    let count = distances.len().max(1) as f64;
    Ok(Difference {
        mean: distances.iter().map(|&distance| f64::from(distance)).sum::<f64>() / count,
        share: distances.iter().filter(|&&distance| distance > 64).count() as f64 / count,
    })
}
