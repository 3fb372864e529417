//! Why no report copy could be made.

use crate::limits::{MAX_HELD_BYTES, MAX_ORIGINAL_BYTES, MAX_PIXELS, MAX_SCANS};

/// Why no report copy could be made of a photograph.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PhotoError {
    /// The file has no bytes.
    #[error("the photograph is empty: got 0 bytes")]
    Empty,
    /// The file is larger than any photograph this room reads.
    #[error("the photograph is too large: got {got} bytes, expected at most {MAX_ORIGINAL_BYTES}")]
    TooManyBytes {
        /// Bytes of the file.
        got: usize,
    },
    /// The picture claims more pixels than are read; refused before any of them is decoded.
    #[error("the photograph claims {width} × {height} pixels, expected at most {MAX_PIXELS} in all and at least 1 × 1")]
    TooManyPixels {
        /// Claimed width.
        width: u32,
        /// Claimed height.
        height: u32,
    },
    /// The picture's coding would need it whole in memory, and it is too large for that.
    #[error(
        "the photograph would need {got} bytes of memory at once, expected at most {MAX_HELD_BYTES}; save it as an ordinary JPEG"
    )]
    TooMuchMemory {
        /// Bytes that decoding would hold.
        got: u64,
    },
    /// The picture data is far too short for the claimed size.
    #[error("the JPEG holds {got} bytes of picture, expected at least {expected} for the size it claims")]
    PictureMissing {
        /// Coded bytes found.
        got: u64,
        /// Fewest bytes that a picture of that size can have.
        expected: u64,
    },
    /// A JPEG made of more scans than any camera writes.
    #[error("the JPEG has {got} scans, expected at most {MAX_SCANS}; save it again as an ordinary JPEG")]
    TooManyScans {
        /// Scans found.
        got: usize,
    },
    /// The HEIC cannot be decoded.
    #[cfg(feature = "heic")]
    #[error("the HEIC file cannot be decoded ({0}): export the photograph as JPEG")]
    Heic(#[source] heifer::Error),
    /// A HEIC where it is not read, or AVIF.
    #[error("this is a HEIC or AVIF file; set the camera to save JPEG, or export the photograph as JPEG")]
    Heif,
    /// Not a picture of a kind that is read.
    #[error("this is not a photograph: expected JPEG, PNG or WebP, got a file that begins with {begins}")]
    NotAPhotograph {
        /// The first bytes, in hexadecimal.
        begins: String,
    },
    /// A JPEG for a printing press (CMYK or YCCK).
    #[error("the JPEG has four colours (CMYK), expected grey or three; save it as RGB")]
    FourColours,
    /// A rare coding of JPEG.
    #[error("the JPEG is coded as {got}, expected baseline, extended or progressive Huffman coding with 8 bits")]
    UnsupportedJpeg {
        /// What it is.
        got: String,
    },
    /// The file ends inside the picture.
    #[error("the photograph is cut off after {got} bytes: its end is missing; copy it again from the camera")]
    Truncated {
        /// Bytes of the file.
        got: usize,
    },
    /// The JPEG's structure is broken.
    #[error("the JPEG is damaged at byte {at}: {what}")]
    Damaged {
        /// Offset in the file.
        at: usize,
        /// What came and what was expected.
        what: String,
    },
    /// The JPEG's picture data cannot be decoded.
    #[error("the JPEG's picture cannot be decoded")]
    Jpeg(#[source] jpeg_decoder::Error),
    /// The PNG or WebP cannot be decoded.
    #[error("the picture cannot be decoded")]
    Picture(#[source] image::ImageError),
    /// The scaler refused the picture.
    #[error("the picture cannot be scaled")]
    Scale(#[source] fast_image_resize::ResizeError),
    /// The scaler was given pixels that do not fit the picture's size.
    #[error("the picture's pixels do not fit its size")]
    Buffer(#[source] fast_image_resize::ImageBufferError),
    /// The copy cannot be written.
    #[error("the copy cannot be encoded")]
    Encode(#[source] jpeg_encoder::EncodingError),
}
