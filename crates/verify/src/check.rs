//! The two checks: of the signature alone, and of everything.

use seal::{
    check::{check_file, check_read_file},
    file::SealedFile,
    trust::Trust,
};

#[cfg(feature = "rerender")]
use crate::gate::check_gate;
use crate::{
    assemble::{Inside, assemble},
    verdict::Verdict,
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
/// signature is compared.
///
/// Any bytes may be given. Nothing is taken from the file that decides on trust.
#[cfg(feature = "rerender")]
pub fn check_fully(bytes: &[u8], trust: &Trust) -> Verdict {
    let Ok(file) = SealedFile::read(bytes) else {
        return assemble(check_file(bytes, trust), Inside::NotDrawn, None, trust);
    };
    let report = check_read_file(&file, trust);
    // What was not signed is not worth drawing.
    let inside = match report.unchanged.passed() {
        Some(_) => Inside::Drawn(check_gate(&file)),
        None => Inside::NotDrawn,
    };
    let record = file.record().ok();
    assemble(report, inside, record.as_ref().map(|record| record.bytes.as_slice()), trust)
}
