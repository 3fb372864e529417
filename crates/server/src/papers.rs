//! What a firm shows of itself beside its log, so that a reader can judge its reports: the root, the issuer, the list of what
//! is revoked, each statement that the log speaks of.

use log::EntryKind;
pub use log::{ISSUER, LOG_KEY, REVOKED, ROOT, STATEMENTS, statement_path};
use model::Sha256;
use seal::{
    certificate::{Certificate, CertificateError},
    revocation::{RevocationError, RevocationList},
    statement::SignedStatement,
};

use crate::store::{FirmId, Shelf, StoreError};

/// These change; all other files of a shelf stay as they are for ever.
pub const CHANGING: [&str; 4] = [ROOT, ISSUER, REVOKED, LOG_KEY];

/// Where the token over a report's signature lies (RFC 3161, DER), for everybody.
pub fn timestamp_path(identity: &Sha256) -> String {
    format!("timestamps/{identity}.tst")
}

/// Why a paper is not shown.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PaperError {
    /// A certificate that is none.
    #[error("{paper}: {cause}")]
    Certificate {
        /// Which.
        paper: &'static str,
        /// Why.
        #[source]
        cause: CertificateError,
    },
    /// A list that is none, or that another issuer signed.
    #[error("{REVOKED}: {0}")]
    List(#[from] RevocationError),
    /// The firm has another root already: reports under it would lose theirs.
    #[error("this office already shows the root {shown}, and was given {given}")]
    OtherRoot {
        /// The fingerprint of the one that is shown.
        shown: String,
        /// The fingerprint of the one that came.
        given: String,
    },
    /// The issuer is not this root's.
    #[error("{ISSUER} was not signed by {ROOT}")]
    OtherIssuer,
    /// A list that is older than the one that is shown: what was revoked since would stand again.
    #[error("{REVOKED}: list {given} is older than list {shown}, which is shown")]
    OlderList {
        /// The number of the one that is shown.
        shown: u64,
        /// The number of the one that came.
        given: u64,
    },
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// A paper as text; none where it is not shown.
///
/// # Errors
/// The store.
pub fn read_paper(shelf: &dyn Shelf, firm: &FirmId, paper: &str) -> Result<Option<String>, StoreError> {
    let bytes = shelf.read(firm, paper)?;
    Ok(bytes.and_then(|bytes| String::from_utf8(bytes).ok()))
}

/// Shows the firm's root, issuer and list. A root stays; a list is replaced by a later one alone.
///
/// # Errors
/// [`PaperError`]; nothing was shown then.
pub fn show_papers(
    shelf: &dyn Shelf,
    firm: &FirmId,
    [root, issuer, list]: [&str; 3],
) -> Result<RevocationList, PaperError> {
    let read = |paper, pem: &str| Certificate::parse_pem(pem).map_err(|cause| PaperError::Certificate { paper, cause });
    let (root_read, issuer_read) = (read(ROOT, root)?, read(ISSUER, issuer)?);
    if let Some(shown) = read_paper(shelf, firm, ROOT)? {
        let shown = read(ROOT, &shown)?.fingerprint();
        if shown != root_read.fingerprint() {
            return Err(PaperError::OtherRoot { shown: shown.to_string(), given: root_read.fingerprint().to_string() });
        }
    }
    if !issuer_read.is_signed_by(root_read.key()) {
        return Err(PaperError::OtherIssuer);
    }
    let given = RevocationList::parse_pem(list)?;
    given.check(&issuer_read)?;
    if let Some(shown) = read_paper(shelf, firm, REVOKED)?.map(|pem| RevocationList::parse_pem(&pem)).transpose()?
        && shown.number() > given.number()
    {
        return Err(PaperError::OlderList { shown: shown.number(), given: given.number() });
    }
    // The root last: with it the office begins to take reports.
    for (paper, pem) in [(ISSUER, issuer), (REVOKED, list), (ROOT, root)] {
        shelf.put(firm, paper, pem.as_bytes())?;
    }
    Ok(given)
}

/// Shows a statement, before the log speaks of it: what an entry names can be read. Nothing for an entry of another kind.
///
/// # Errors
/// The store.
pub fn show_statement(shelf: &dyn Shelf, firm: &FirmId, kind: &EntryKind, pem: &[u8]) -> Result<(), StoreError> {
    match kind {
        EntryKind::Withdrawn { statement, .. } | EntryKind::Superseded { statement, .. } => {
            // In the one spelling that the entry names.
            let signed = SignedStatement::parse_pem(&String::from_utf8_lossy(pem))
                .map_err(|error| StoreError::Failed(error.to_string()))?;
            shelf.put(firm, &statement_path(statement), signed.to_pem().as_bytes())
        }
        EntryKind::Issued { .. } | EntryKind::Revoked { .. } => Ok(()),
    }
}
