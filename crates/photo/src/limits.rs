//! How much of a photograph is read, and how large and fine the copy is.

/// Largest side of a report copy in pixels: printed 160 mm wide that is 254 dots per inch.
pub const MAX_SIDE_PX: u32 = 1600;

/// JPEG quality of a copy that is encoded anew (scale of the Independent JPEG Group). The copy is evidence: a fine
/// crack beside a drilled hole must survive, and forty copies must still travel by mail (about 200 to 500 kB each).
pub const COPY_QUALITY: u8 = 88;

/// Largest original that is read: 64 MiB.
pub const MAX_ORIGINAL_BYTES: usize = 64 << 20;

/// Most pixels a photograph may claim. Baseline JPEG is decoded small and row by row, so this may be far more than
/// what would fit whole.
pub const MAX_PIXELS: u64 = 120_000_000;

/// Most bytes that decoding may hold at once where a picture must be held whole: progressive JPEG, PNG, WebP.
pub const MAX_HELD_BYTES: u64 = 96 << 20;

/// Most scans of a JPEG; cameras and editors write at most about a dozen.
pub const MAX_SCANS: usize = 64;

/// A small upright JPEG above this is encoded again rather than passed through.
pub const MAX_PASSED_BYTES: usize = 2 << 20;
