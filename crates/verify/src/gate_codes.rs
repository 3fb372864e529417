//! The codes of the gate: what can be wrong or missing in a file whose signature fits.

/// The record cannot be read out of the file.
pub(crate) const RECORD_UNREADABLE: &str = "record-unreadable";
/// The record is not what the form asks for.
pub(crate) const RECORD_MALFORMED: &str = "record-malformed";
/// The record is not spelt canonically.
pub(crate) const RECORD_NOT_CANONICAL: &str = "record-not-canonical";
/// The reckoning does not follow from the findings.
pub(crate) const RECKONING_DIFFERS: &str = "reckoning-differs";
/// A photograph is another one.
pub(crate) const PHOTOGRAPH_DIFFERS: &str = "photograph-differs";
/// A photograph is not in the record.
pub(crate) const PHOTOGRAPH_UNLISTED: &str = "photograph-unlisted";
/// The record cannot be drawn.
pub(crate) const NOT_RENDERABLE: &str = "record-not-renderable";
/// The pages, or anything else outside the signature, are not what the record gives.
pub(crate) const PAGES_DIFFER: &str = "pages-differ";
/// The report that a statement rests on fails.
pub(crate) const REPORT_FAILS: &str = "report-fails";
/// The report inside is not the one that the statement names.
pub(crate) const REPORT_DIFFERS: &str = "report-differs";
/// A statement inside a statement.
pub(crate) const STATEMENT_INSIDE: &str = "statement-inside";

/// All of them that fail a file.
pub(crate) const ALL: [&str; 11] = [
    RECORD_UNREADABLE,
    RECORD_MALFORMED,
    RECORD_NOT_CANONICAL,
    RECKONING_DIFFERS,
    PHOTOGRAPH_DIFFERS,
    PHOTOGRAPH_UNLISTED,
    NOT_RENDERABLE,
    PAGES_DIFFER,
    REPORT_FAILS,
    REPORT_DIFFERS,
    STATEMENT_INSIDE,
];
