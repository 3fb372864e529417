//! Photographs: the copy that a report carries, its metadata, its quality. Pure.
//!
//! [`make_report_copy`] turns the bytes of an original into a small upright JPEG without metadata. It starts no thread
//! of its own and reads no clock or file; a caller that has many photographs spreads them over its cores. The JPEG
//! decoder hands the inverse transform of larger pictures to one thread of its own, except in a browser.

mod copy;
pub mod disc;
mod error;
mod facts;
mod jpeg;
mod limits;
mod look;
mod pixels;

pub use copy::{ReportCopy, find_copy_size, make_report_copy};
pub use error::PhotoError;
pub use facts::{TakenAt, find_place};
pub use limits::{
    COPY_QUALITY, MAX_HELD_BYTES, MAX_ORIGINAL_BYTES, MAX_PASSED_BYTES, MAX_PIXELS, MAX_SCANS, MAX_SIDE_PX,
};
pub use look::{Flaw, Looked, look};
