//! The check of a report that lies on disk, with the reader's own files.

use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use seal::receipt::WitnessesError;
use verify::{Trust, TrustError, TrustTexts, Verdict, check_fully, check_signature};

use crate::{
    fault::Explained,
    showing::MOST_REPORT,
    whole_file::read_text,
    world::{World, WorldError},
};

/// What a reader brings along.
#[derive(Debug, Default, Clone, Copy)]
pub struct TrustRequest<'a> {
    /// Roots that the reader has compared with the firm.
    pub roots: &'a [PathBuf],
    /// Revocation lists.
    pub revocation_lists: &'a [PathBuf],
    /// Keys of the firm's logs; with them exactly one root is given.
    pub logs: &'a [PathBuf],
    /// Keys of witnesses whose word is taken for the time in those logs.
    pub witnesses: &'a [PathBuf],
    /// How many of the witnesses must have signed; all of them if not given.
    pub witnesses_needed: Option<usize>,
    /// Authorities for timestamps whose word is taken, or those above them.
    #[cfg(feature = "native")]
    pub authorities: &'a [PathBuf],
    /// Withdrawals and supersessions.
    pub statements: &'a [PathBuf],
    /// When the statements were gathered, if they are all that the firm had then.
    pub statements_complete_as_of: Option<DateTime<Utc>>,
}

/// What to check, and what the reader brings along.
#[derive(Debug)]
pub struct VerifyRequest<'a> {
    /// The report or statement.
    pub file: &'a Path,
    /// What the reader brings along.
    pub trust: TrustRequest<'a>,
    /// Leave the pages undrawn: quick, and never `Genuine`.
    pub signature_only: bool,
}

/// Why nothing could be said of a file. What is wrong with the file itself is no error but a verdict.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum VerifyError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// A file of the reader's.
    #[error("{file}: {cause}")]
    Trust {
        /// The file.
        file: String,
        /// Why it cannot be used.
        #[source]
        cause: TrustError,
    },
}

impl Explained for VerifyError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Trust { cause: TrustError::Root { .. }, .. } => "root-refused",
            #[cfg(feature = "native")]
            Self::Trust { cause: TrustError::Authority { .. }, .. } => "authority-refused",
            Self::Trust { cause: TrustError::RevocationList { .. }, .. } => "revocation-list-refused",
            Self::Trust { cause: TrustError::Log { .. } | TrustError::LogOfWhichFirm { .. }, .. } => "log-key-refused",
            Self::Trust {
                cause:
                    TrustError::Witness { .. }
                    | TrustError::Witnesses(_)
                    | TrustError::WitnessesOfNoLog
                    | TrustError::WitnessIsLog { .. },
                ..
            } => "witness-refused",
            Self::Trust { .. } => "statement-refused",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Trust { cause: TrustError::LogOfWhichFirm { .. }, .. } => {
                Some("give the root of the firm that keeps the log, and no other".to_owned())
            }
            Self::Trust { cause: TrustError::Witness { .. } | TrustError::WitnessIsLog { .. }, .. } => {
                Some("ask the witness, not the firm, for its key: name+id+key".to_owned())
            }
            Self::Trust { cause: TrustError::Witnesses(_), .. } => {
                Some("give each witness once, and ask for no more of them than there are".to_owned())
            }
            Self::Trust { cause: TrustError::WitnessesOfNoLog, .. } => {
                Some("give the key of the log that they witness as well".to_owned())
            }
            Self::Trust { .. } => Some("ask the firm for the file again".to_owned()),
        }
    }
}

/// Checks a report.
///
/// # Errors
/// [`VerifyError`]: a file that cannot be read, or one of the reader's own that is not what it should be.
pub fn verify_report(world: &dyn World, request: &VerifyRequest<'_>) -> Result<Verdict, VerifyError> {
    let trust = read_trust(world, &request.trust)?;
    let bytes = world.read(request.file, MOST_REPORT).map_err(WorldError::at("read", request.file))?;
    Ok(if request.signature_only { check_signature(&bytes, &trust) } else { check_fully(&bytes, &trust) })
}

pub(crate) fn read_trust(world: &dyn World, request: &TrustRequest<'_>) -> Result<Trust, VerifyError> {
    // The seal's readers have their own, lower limits.
    let read = |files: &[PathBuf]| -> Result<Vec<String>, WorldError> {
        files.iter().map(|file| read_text(world, file, 4 << 20)).collect()
    };
    let texts = TrustTexts {
        roots: read(request.roots)?,
        revocation_lists: read(request.revocation_lists)?,
        logs: read(request.logs)?,
        witnesses: read(request.witnesses)?,
        witnesses_needed: request.witnesses_needed,
        #[cfg(feature = "native")]
        authorities: read(request.authorities)?,
        statements: read(request.statements)?,
        statements_complete_as_of: request.statements_complete_as_of,
        at: world.now(),
    };
    texts.parse().map_err(|cause| {
        let file = match &cause {
            TrustError::Root { place, .. } => request.roots.get(*place),
            TrustError::RevocationList { place, .. } => request.revocation_lists.get(*place),
            TrustError::Log { place, .. } => request.logs.get(*place),
            TrustError::LogOfWhichFirm { .. } => request.logs.first(),
            TrustError::Witness { place, .. }
            | TrustError::WitnessIsLog { place }
            | TrustError::Witnesses(WitnessesError::Twice { place }) => request.witnesses.get(*place),
            TrustError::Witnesses(_) | TrustError::WitnessesOfNoLog => request.witnesses.first(),
            TrustError::Statement { place, .. } => request.statements.get(*place),
            #[cfg(feature = "native")]
            TrustError::Authority { place, .. } => request.authorities.get(*place),
            _ => None,
        };
        VerifyError::Trust { file: file.map(|file| file.display().to_string()).unwrap_or_default(), cause }
    })
}
