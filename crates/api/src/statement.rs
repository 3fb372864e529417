//! Signed statements: a report is withdrawn, or superseded by another.

use std::path::Path;

use seal::{
    digest::{ReportIdentity, Sha256Digest},
    file::SealedFile,
    key_file::Passphrase,
    statement::{SignedStatement, StatementError, StatementKind, sign_statement},
};
use serde::Serialize;
use verify::{Answer, Trust, check_signature};

use crate::{
    fault::Explained,
    firm::{FirmError, FirmFolder, PersonId},
    showing::MOST_REPORT,
    whole_file::{Existing, write_whole},
    world::{Access, World, WorldError},
};

/// Which report to take back, as whom, why, and where the statement goes.
#[derive(Debug)]
pub struct StatementRequest<'a> {
    /// The report.
    pub report: &'a Path,
    /// The report in its place; without one the report is withdrawn.
    pub superseded_by: Option<&'a Path>,
    /// Why, in words for a reader.
    pub reason: &'a str,
    /// The firm's folder.
    pub firm: &'a Path,
    /// Who says so: the report's signer or somebody of the office.
    pub person: &'a PersonId,
    /// Opens the person's key.
    pub passphrase: &'a Passphrase,
    /// Where the statement goes.
    pub out: &'a Path,
    /// What to do with a file that is there.
    pub existing: Existing,
}

/// A statement that was signed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Stated {
    /// Where it lies.
    pub file: String,
    /// The report that it speaks of.
    pub report: String,
    /// The report in its place.
    pub superseded_by: Option<String>,
    /// Who says so.
    pub by: String,
    /// What a reader will be told.
    pub sentence: String,
}

/// Why no statement was made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StateError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// The firm, the person or the key.
    #[error(transparent)]
    Firm(#[from] FirmError),
    /// A report that is not sound.
    #[error("{file} is not a sound sealed report: {reason}")]
    Report {
        /// Its file.
        file: String,
        /// What is wrong.
        reason: String,
    },
    /// The report is another firm's.
    #[error("{file} was not sealed under this firm's root")]
    OfAnotherFirm {
        /// Its file.
        file: String,
    },
    /// The statement could not be signed.
    #[error(transparent)]
    Statement(#[from] StatementError),
    /// Readers would set it aside.
    #[error("readers would set the statement aside: {reason}")]
    WithoutEffect {
        /// Why.
        reason: String,
    },
}

impl Explained for StateError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Firm(error) => error.code(),
            Self::Report { .. } => "report-refused",
            Self::OfAnotherFirm { .. } => "report-of-another-firm",
            Self::Statement(_) => "statement-not-made",
            Self::WithoutEffect { .. } => "statement-without-effect",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Firm(error) => error.hint(),
            Self::Report { .. } => Some("name the report as it was sealed".to_owned()),
            Self::WithoutEffect { .. } => {
                Some("let the report's signer or somebody certified for the office say so".to_owned())
            }
            Self::OfAnotherFirm { .. } | Self::Statement(_) => None,
        }
    }
}

/// Signs and writes the statement that a report is withdrawn, or superseded by another. Neither report is changed;
/// readers are given the statement beside it.
///
/// # Errors
/// [`StateError`]; a statement that readers would set aside is not written.
pub fn state_withdrawal(world: &dyn World, request: &StatementRequest<'_>) -> Result<Stated, StateError> {
    let firm = FirmFolder::open(world, request.firm)?;
    let report = world.read(request.report, MOST_REPORT).map_err(WorldError::at("read", request.report))?;
    let trust = Trust { roots: vec![firm.root.clone()], ..Trust::at(world.now()) };
    let identity = identify(&report, request.report, &trust)?;
    let kind = match request.superseded_by {
        None => StatementKind::Withdrawn,
        Some(file) => {
            let other = world.read(file, MOST_REPORT).map_err(WorldError::at("read", file))?;
            StatementKind::Superseded { by: identify(&other, file, &trust)? }
        }
    };
    let signer = firm.open_signer(world, request.person, request.passphrase)?;
    let signed = sign_statement(identity, kind, request.reason, world.now(), &signer)?;
    let sentence = try_out(&report, &signed, trust)?;
    write_whole(world, request.out, signed.to_pem().as_bytes(), Access::Shared, request.existing)?;
    Ok(Stated {
        file: request.out.display().to_string(),
        report: identity.to_string(),
        superseded_by: match kind {
            StatementKind::Superseded { by } => Some(by.to_string()),
            StatementKind::Withdrawn => None,
        },
        by: signed.statement().by.clone(),
        sentence,
    })
}

/// The identity of a report of this firm whose signature fits.
fn identify(report: &[u8], file: &Path, trust: &Trust) -> Result<ReportIdentity, StateError> {
    let refused = |reason: String| StateError::Report { file: file.display().to_string(), reason };
    let verdict = check_signature(report, trust);
    if let Answer::Failed { reason, .. } = &verdict.questions.unchanged {
        return Err(refused(reason.clone()));
    }
    // A key that is revoked or expired by now does not keep a report from being taken back.
    if verdict.root.as_ref().is_none_or(|root| !root.given_by_reader) {
        return Err(StateError::OfAnotherFirm { file: file.display().to_string() });
    }
    let read = SealedFile::read(report).map_err(|fault| refused(fault.to_string()))?;
    Ok(ReportIdentity(Sha256Digest::from_bytes(read.identity())))
}

/// What a reader who is given the statement will be told.
fn try_out(report: &[u8], signed: &SignedStatement, trust: Trust) -> Result<String, StateError> {
    let verdict = check_signature(report, &Trust { statements: vec![signed.clone()], ..trust });
    match verdict.questions.still_stands {
        Answer::Failed { reason, .. } => Ok(reason),
        Answer::Passed { .. } | Answer::NotChecked { .. } => {
            let remarks = verdict.details.remarks.into_iter().map(|remark| remark.reason);
            Err(StateError::WithoutEffect { reason: remarks.collect::<Vec<_>>().join(" ") })
        }
    }
}
