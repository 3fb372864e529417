//! What may be entered into a firm's log: its own sealed reports and its own signed statements, and nothing else.

use chrono::{DateTime, Utc};
use log::EntryKind;
use seal::{
    certificate::{Certificate, CertificateError},
    digest::Sha256Digest,
    sealing::{SealError, log_entry},
    signature::LoneSignature,
    statement::{SignedStatement, StatementError, StatementKind},
    verdict::Check,
};
use verify::{TrustTexts, check_signature};

/// Why something is not entered.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum EnterError {
    /// The firm's root is none.
    #[error("the root is no certificate: {0}")]
    Root(#[from] CertificateError),
    /// It is not sealed as a report is.
    #[error("it is no sealed report: {0}")]
    Report(#[from] SealError),
    /// It is no statement.
    #[error("it is no signed statement: {0}")]
    Statement(#[from] StatementError),
    /// It is another firm's, or does not stand.
    #[error("it was not signed under this firm's root, or its signature does not stand: {0}")]
    Foreign(String),
}

/// What a file is to the log: a sealed report (PDF) or a signed statement (PEM), made under this root.
///
/// # Errors
/// [`EnterError`].
pub fn read_kind(bytes: &[u8], root_pem: &str, now: DateTime<Utc>) -> Result<EntryKind, EnterError> {
    if !bytes.starts_with(b"%PDF") {
        return Ok(read_statement(&String::from_utf8_lossy(bytes), root_pem, None, now)?.0);
    }
    let entry = log_entry(bytes, now)?;
    let texts = TrustTexts { roots: vec![root_pem.to_owned()], ..TrustTexts::at(now) };
    let trust = texts.parse().map_err(|error| EnterError::Foreign(error.to_string()))?;
    let verdict = check_signature(bytes, &trust);
    let is_ours = verdict.root.as_ref().is_some_and(|root| root.given_by_reader);
    if !is_ours || verdict.headline == verify::Headline::DoNotRely {
        return Err(EnterError::Foreign(verdict.because));
    }
    Ok(EntryKind::Issued { report: entry.report, signature: entry.signature })
}

/// Whether somebody who may sign for this root at this time made the signature, so that its report may be entered. Where the
/// firm's list of what is revoked is given, it is looked at: the log does not speak for a key that was lost. A certificate that
/// has expired since may have been good when the report was sealed; the log says when it came, and whoever checks judges.
///
/// Who brings it is not asked: the signature itself shows that one of the firm's people sealed the report, and a colleague's
/// phone may carry what a lost one had not told yet.
///
/// # Errors
/// [`EnterError`].
pub fn may_enter(
    signature: &LoneSignature,
    root_pem: &str,
    revoked: Option<&str>,
    now: DateTime<Utc>,
) -> Result<(), EnterError> {
    let texts = TrustTexts {
        roots: vec![root_pem.to_owned()],
        revocation_lists: revoked.iter().map(|list| (*list).to_owned()).collect(),
        ..TrustTexts::at(now)
    };
    let trust = texts.parse().map_err(|error| EnterError::Foreign(error.to_string()))?;
    match trust.judge(signature.chain(), None) {
        Check::Passed(_) => Ok(()),
        Check::NotChecked(finding) if finding.code == "expired" => Ok(()),
        Check::Failed(finding) | Check::NotChecked(finding) => Err(EnterError::Foreign(finding.reason)),
    }
}

/// A signed statement (PEM) that was made under this root by somebody who may sign at this time, and what it is to the log.
/// Where the firm's list of what is revoked is given, it is looked at.
///
/// # Errors
/// [`EnterError`].
pub fn read_statement(
    pem: &str,
    root_pem: &str,
    revoked: Option<&str>,
    now: DateTime<Utc>,
) -> Result<(EntryKind, SignedStatement), EnterError> {
    let root = Certificate::parse_pem(root_pem)?;
    let signed = SignedStatement::parse_pem(pem)?;
    if signed.chain().root() != &root {
        return Err(EnterError::Foreign("another root".to_owned()));
    }
    let texts = TrustTexts {
        roots: vec![root_pem.to_owned()],
        revocation_lists: revoked.iter().map(|list| (*list).to_owned()).collect(),
        ..TrustTexts::at(now)
    };
    let trust = texts.parse().map_err(|error| EnterError::Foreign(error.to_string()))?;
    if let Check::Failed(finding) = trust.judge(signed.chain(), None) {
        return Err(EnterError::Foreign(finding.reason));
    }
    let statement = Sha256Digest::of(signed.to_pem().as_bytes());
    let said = signed.statement();
    let kind = match said.kind {
        StatementKind::Withdrawn => EntryKind::Withdrawn { report: said.report, statement },
        StatementKind::Superseded { by } => EntryKind::Superseded { report: said.report, by, statement },
    };
    Ok((kind, signed))
}
