//! The two checks: of the signature alone, and of everything.

use seal::{
    check::{check_file, check_read_file},
    file::SealedFile,
    trust::Trust,
};

use crate::{
    assemble::{Inside, assemble},
    verdict::Verdict,
};
#[cfg(feature = "rerender")]
use crate::{
    gate::check_gate,
    kind::is_statement,
    statement_gate::{IS_INSIDE, check_statement},
};

/// Checks the signature, the signer, the time and the standing, and leaves the pages undrawn: quick, and never
/// `Genuine`, since nobody has compared the pages with the record.
///
/// Any bytes may be given. Nothing is taken from the file that decides on trust.
pub fn check_signature(bytes: &[u8], trust: &Trust) -> Verdict {
    let Ok(file) = SealedFile::read(bytes) else {
        return assemble(check_file(bytes, trust), Inside::NotDrawn, None, trust);
    };
    let report = check_read_file(&file, trust);
    let record = file.record().ok();
    assemble(report, Inside::NotDrawn, record.as_ref().map(|record| record.bytes.as_slice()), trust)
}

/// Checks all: the signature first; then the record inside is reckoned and drawn again, and every byte outside the
/// signature is compared. A condition statement's report is checked in the same way, against the same trust.
///
/// Any bytes may be given. Nothing is taken from the file that decides on trust.
#[cfg(feature = "rerender")]
pub fn check_fully(bytes: &[u8], trust: &Trust) -> Verdict {
    check_at(bytes, trust, !IS_INSIDE)
}

/// The same; `is_inside` tells of a report inside a statement, which may not be a statement itself.
#[cfg(feature = "rerender")]
pub(crate) fn check_at(bytes: &[u8], trust: &Trust, is_inside: bool) -> Verdict {
    let Ok(file) = SealedFile::read(bytes) else {
        return assemble(check_file(bytes, trust), Inside::NotDrawn, None, trust);
    };
    let report = check_read_file(&file, trust);
    let record = file.record().ok();
    let record = record.as_ref().map(|record| record.bytes.as_slice());
    // What was not signed is not worth drawing.
    let inside = match (report.unchanged.passed(), record) {
        (Some(_), Some(bytes)) if is_statement(bytes) && is_inside => Inside::Nested,
        (Some(_), Some(bytes)) if is_statement(bytes) => Inside::Stated(check_statement(&file, bytes, trust)),
        (Some(_), _) => Inside::Drawn(check_gate(&file)),
        (None, _) => Inside::NotDrawn,
    };
    assemble(report, inside, record, trust)
}
