//! A record to the bytes of a PDF: pages, the disc glyph, attachments, the empty room for the seal.
//!
//! [`render`] is pure: the same record and photographs give the same bytes, today and later, here and in a browser.
//! The form of the pages is versioned; a record names the version that made its pages, and every version that was
//! ever given out stays here, so that a reader can make the pages again and compare.

mod copies;
pub mod document;
#[cfg(test)]
mod fixture;
mod jpeg;
mod svg;
#[cfg(test)]
mod tests;
mod v1;

use std::ops::Range;

use model::{ConditionStatement, Label, Record, RendererVersion, Sha256};

pub use copies::Copies;
pub use svg::draw_drive;
pub use v1::{glyph, square_code};

/// The version that new records name.
pub const RENDERER: RendererVersion = RendererVersion(1);

/// Bytes of DER that the room for the signature holds.
pub const ROOM_BYTES: usize = 16_384;

/// A report that is ready to be sealed: complete but for the signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prepared {
    /// The file.
    pub bytes: Vec<u8>,
    /// Where the signature's hexadecimal digits stand, all zeros; the brackets around them not included. The file's
    /// byte range is filled in and covers everything but these digits and their brackets.
    pub room: Range<usize>,
}

/// Why a record was not rendered.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum RenderError {
    /// A record of a version that is not known here.
    #[error("got a record for report form {got}, expected {}; use a newer release", RENDERER.0)]
    RendererUnknown {
        /// The version in the record.
        got: u32,
    },
    /// The bytes to attach are not the record.
    #[error("got record bytes that are not the record's canonical JSON")]
    RecordBytes,
    /// A photograph of the report is none of the inspection's, or the other way round.
    #[error("got {got} report photographs for {expected} photographs, or in another order")]
    PhotographsDiffer {
        /// Photographs for the report.
        got: usize,
        /// Photographs of the inspection.
        expected: usize,
    },
    /// A copy did not come.
    #[error("got no copy of photograph {photograph}, expected the bytes with SHA-256 {sha256}")]
    CopyMissing {
        /// The photograph.
        photograph: Label,
        /// The copy's digest.
        sha256: Sha256,
    },
    /// A copy cannot stand in the file.
    #[error("got a copy of photograph {photograph} that is no JPEG for a report: {reason}")]
    CopyNotJpeg {
        /// The photograph.
        photograph: Label,
        /// What is wrong.
        reason: &'static str,
    },
    /// A copy has another size than the record says.
    #[error("got a copy of photograph {photograph} of {}×{} pixels, expected {}×{}", got.0, got.1, expected.0, expected.1)]
    CopySize {
        /// The photograph.
        photograph: Label,
        /// What the record says: width, height.
        expected: (u32, u32),
        /// What the picture has.
        got: (u32, u32),
    },
    /// A statement names a report and none came, or the other way round.
    #[error("got {} for a statement that {}", if *named { "no report" } else { "a report" }, if *named { "rests on one" } else { "rests on none" })]
    ReportDiffers {
        /// Whether the statement names one.
        named: bool,
    },
    /// The pages could not be written.
    #[error("the pages could not be written: {0}")]
    Pages(String),
}

/// Renders a record: a PDF 2.0 file with its pages, the record as an attachment, the photographs' copies unchanged,
/// and an empty room for the signature.
///
/// `record_bytes` is the record's canonical JSON ([`model::canonical_json`]); `copies` holds each report photograph, and
/// may hold more. The bytes returned depend on nothing else.
///
/// # Errors
/// [`RenderError`], naming the photograph where one is at fault.
pub fn render(record: &Record, record_bytes: &[u8], copies: &Copies<'_>) -> Result<Prepared, RenderError> {
    match record.renderer {
        RendererVersion(1) => v1::render(record, record_bytes, copies),
        RendererVersion(got) => Err(RenderError::RendererUnknown { got }),
    }
}

/// Renders a dealer's condition statement: a PDF 2.0 file with its pages, its record as an attachment, the report that it
/// rests on unaltered as a second one, and an empty room for the signature.
///
/// `record_bytes` is the statement's canonical JSON. The bytes returned depend on nothing else.
///
/// # Errors
/// [`RenderError`].
pub fn render_statement(
    statement: &ConditionStatement,
    record_bytes: &[u8],
    report: Option<&[u8]>,
) -> Result<Prepared, RenderError> {
    match statement.renderer {
        RendererVersion(1) => v1::render_statement(statement, record_bytes, report),
        RendererVersion(got) => Err(RenderError::RendererUnknown { got }),
    }
}
