//! The report copy: what of a photograph goes into a report.

use std::fmt;

use image::{DynamicImage, ImageFormat, metadata::Orientation};
use model::Sha256;

use crate::{
    PhotoError,
    facts::{Facts, TakenAt, read_facts},
    jpeg::Jpeg,
    limits::{MAX_ORIGINAL_BYTES, MAX_PASSED_BYTES, MAX_PIXELS, MAX_SIDE_PX},
    pixels::{decode_heic, decode_jpeg, decode_jpeg_whole, decode_picture, encode, fit, scale},
};

/// The copy of a photograph that a report carries, with the facts that its original told.
#[derive(Clone, PartialEq, Eq)]
pub struct ReportCopy {
    /// A JPEG, grey or YCbCr with 8 bits, upright, without any metadata.
    pub bytes: Vec<u8>,
    /// Its width in pixels.
    pub width: u32,
    /// Its height in pixels.
    pub height: u32,
    /// Digest of the original's bytes.
    pub original_sha256: Sha256,
    /// Digest of the copy's bytes.
    pub sha256: Sha256,
    /// When the photograph was taken, where the camera wrote it.
    pub taken_at: Option<TakenAt>,
    /// The original names the place where it was taken; the copy never does.
    pub had_position: bool,
    /// Width and height of the original as it is looked at, in pixels.
    pub original_size: (u32, u32),
    /// The coded picture is the original's own; only what surrounds it was removed.
    pub passed_through: bool,
}

impl fmt::Debug for ReportCopy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Half a megabyte of numbers helps nobody.
        f.debug_struct("ReportCopy")
            .field("bytes", &self.bytes.len())
            .field("size", &(self.width, self.height))
            .field("sha256", &self.sha256)
            .field("original_sha256", &self.original_sha256)
            .field("taken_at", &self.taken_at)
            .field("had_position", &self.had_position)
            .field("passed_through", &self.passed_through)
            .finish_non_exhaustive()
    }
}

/// Makes the copy of a photograph that goes into a report.
///
/// Takes JPEG, PNG and WebP, and HEIC with the feature `heic`. The copy is upright, its long side has at most [`MAX_SIDE_PX`] pixels (a smaller picture
/// is never enlarged), and it carries no metadata: no position, no camera, no thumbnail, no film behind the picture.
/// A JPEG that is already small and upright keeps its coded picture unchanged. The same original gives the same copy
/// on the same kind of processor; across kinds the last bit of a pixel may differ, so a copy is made once, before its
/// digest goes into a record.
///
/// # Errors
/// [`PhotoError`] for what is no photograph, is of an unread kind, damaged, cut off, or claims to be larger than
/// [`MAX_PIXELS`] or [`MAX_ORIGINAL_BYTES`] allow. Damaged metadata is no error: its facts are absent.
pub fn make_report_copy(original: &[u8]) -> Result<ReportCopy, PhotoError> {
    let kind = find_kind(original)?;
    let mut facts = read_facts(original);
    let (picture, stored_size) = match kind {
        Kind::Jpeg => {
            let jpeg = Jpeg::parse(original)?;
            facts.names_place |= jpeg.xmp_position;
            let picture = decode_jpeg(&jpeg)?;
            let size = (u32::from(jpeg.width), u32::from(jpeg.height));
            if let Some(bytes) = find_passable(&jpeg, facts.orientation) {
                return Ok(describe(original, bytes, size, size, facts, true));
            }
            (picture, size)
        }
        Kind::Heic => {
            // Its own turns are part of the picture; what EXIF says of them counts no more (ISO/IEC 23008-12).
            facts.orientation = Orientation::NoTransforms;
            let picture = decode_heic(original)?;
            let size = (picture.width(), picture.height());
            (picture, size)
        }
        Kind::Picture(format) => {
            let picture = decode_picture(original, format)?;
            let size = (picture.width(), picture.height());
            (picture, size)
        }
    };
    let (width, height) = fit(stored_size.0, stored_size.1);
    let mut picture: DynamicImage = scale(picture, width, height)?;
    picture.apply_orientation(facts.orientation);
    let bytes = encode(&picture)?;
    let original_size = if swaps_sides(facts.orientation) { (stored_size.1, stored_size.0) } else { stored_size };
    Ok(describe(original, bytes, (picture.width(), picture.height()), original_size, facts, false))
}

/// The whole picture, upright, in the camera's own resolution: for what is measured in it.
///
/// # Errors
/// As [`make_report_copy`].
pub fn decode_whole(original: &[u8]) -> Result<image::RgbImage, PhotoError> {
    let kind = find_kind(original)?;
    let facts = read_facts(original);
    let mut picture = match kind {
        Kind::Jpeg => decode_jpeg_whole(&Jpeg::parse(original)?)?,
        // It is upright as it is decoded.
        Kind::Heic => return Ok(decode_heic(original)?.into_rgb8()),
        Kind::Picture(format) => decode_picture(original, format)?,
    };
    picture.apply_orientation(facts.orientation);
    Ok(picture.into_rgb8())
}

/// Width and height in pixels of a copy that [`make_report_copy`] made earlier.
///
/// # Errors
/// [`PhotoError`] where the bytes are no whole JPEG any more.
pub fn find_copy_size(copy: &[u8]) -> Result<(u32, u32), PhotoError> {
    let jpeg = Jpeg::parse(copy)?;
    Ok((u32::from(jpeg.width), u32::from(jpeg.height)))
}

/// The stripped picture where it may stand in a report as it is.
fn find_passable(jpeg: &Jpeg, orientation: Orientation) -> Option<Vec<u8>> {
    let small = u32::from(jpeg.width.max(jpeg.height)) <= MAX_SIDE_PX;
    if !small || orientation != Orientation::NoTransforms || !jpeg.stands_alone() {
        return None;
    }
    Some(jpeg.strip()).filter(|bytes| bytes.len() <= MAX_PASSED_BYTES)
}

fn describe(
    original: &[u8],
    bytes: Vec<u8>,
    (width, height): (u32, u32),
    original_size: (u32, u32),
    facts: Facts,
    passed_through: bool,
) -> ReportCopy {
    ReportCopy {
        width,
        height,
        original_sha256: Sha256::of(original),
        sha256: Sha256::of(&bytes),
        taken_at: facts.taken_at,
        had_position: facts.names_place,
        original_size,
        passed_through,
        bytes,
    }
}

/// What a photograph is coded as.
enum Kind {
    Jpeg,
    Heic,
    Picture(ImageFormat),
}

/// Brands of files whose picture is coded by HEVC (ISO/IEC 23008-12, annex B).
const HEIC: [&[u8]; 6] = [b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1"];

fn find_kind(original: &[u8]) -> Result<Kind, PhotoError> {
    if original.is_empty() {
        return Err(PhotoError::Empty);
    }
    if original.len() > MAX_ORIGINAL_BYTES {
        return Err(PhotoError::TooManyBytes { got: original.len() });
    }
    if original.starts_with(&[0xff, 0xd8, 0xff]) {
        Ok(Kind::Jpeg)
    } else if original.starts_with(b"\x89PNG\r\n\x1a\n") {
        Ok(Kind::Picture(ImageFormat::Png))
    } else if original.starts_with(b"RIFF") && original.get(8..12) == Some(b"WEBP") {
        Ok(Kind::Picture(ImageFormat::WebP))
    } else if original.get(4..8) == Some(b"ftyp") {
        match original.get(8..12) {
            Some(brand) if cfg!(feature = "heic") && HEIC.contains(&brand) => Ok(Kind::Heic),
            _ => Err(PhotoError::Heif),
        }
    } else {
        let begins: Vec<String> = original.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
        Err(PhotoError::NotAPhotograph { begins: begins.join(" ") })
    }
}

/// Refuses a claimed size that is nothing or beyond what is read.
pub(crate) fn check_pixels(width: u32, height: u32) -> Result<(), PhotoError> {
    let pixels = u64::from(width) * u64::from(height);
    // The encoder and the report count a side in 16 bits.
    let sides = u32::from(u16::MAX);
    if pixels == 0 || pixels > MAX_PIXELS || width > sides || height > sides {
        return Err(PhotoError::TooManyPixels { width, height });
    }
    Ok(())
}

fn swaps_sides(orientation: Orientation) -> bool {
    use Orientation::{Rotate90, Rotate90FlipH, Rotate270, Rotate270FlipH};
    matches!(orientation, Rotate90 | Rotate270 | Rotate90FlipH | Rotate270FlipH)
}
