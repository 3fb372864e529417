//! What the reader takes on; everything beyond is refused before it costs time or memory.

/// Bytes of a file: 512 MiB. A report with 500 photographs has about 200 MiB.
pub const FILE_BYTES: usize = 512 << 20;
/// Dictionaries and arrays inside each other. Reports need about ten; each level costs stack.
pub const NESTING: usize = 64;
/// Values of all objects together; bounds the memory that a file of small values takes.
pub const VALUES: usize = 2_000_000;
/// Bytes of a name (ISO 32000-1, annex C).
pub const NAME_BYTES: usize = 127;
/// Bytes that one compressed stream may grow to: 64 MiB.
pub const STREAM_BYTES: usize = 64 << 20;
/// Bytes that all compressed streams together may grow to: 256 MiB.
pub const ALL_STREAM_BYTES: usize = 256 << 20;
/// How many times its size a compressed stream may grow, beyond [`STREAM_ALLOWANCE`].
pub const STREAM_RATIO: usize = 200;
/// Bytes that a compressed stream may grow to whatever its size: 1 MiB.
pub const STREAM_ALLOWANCE: usize = 1 << 20;
