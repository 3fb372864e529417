//! A timestamp of RFC 3161: the question to an authority, and its answer put into the room of a sealed report.

use std::path::Path;

use seal::{
    digest::Sha256Digest,
    file::SealedFile,
    sealing::{SealError, add_timestamp, ask_for_timestamp, has_timestamp},
    signature::AttachError,
};
use serde::Serialize;

use crate::{
    fault::Explained,
    showing::MOST_REPORT,
    whole_file::{Existing, write_whole},
    world::{Access, World, WorldError},
};

/// More than any answer that would fit into a report.
const MOST_ANSWER: u64 = 64 * 1024;

/// A report whose timestamp was asked for, or that carries it now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Timestamped {
    /// The report's file.
    pub file: String,
    /// The report's identity, which a timestamp does not change.
    pub identity: String,
}

/// Why there is no timestamp. The report is as it was.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TimestampError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// The authority gave no answer.
    #[error("{why}")]
    NoAnswer {
        /// Why.
        why: String,
    },
    /// The report, or the answer for it.
    #[error("{file} takes no timestamp: {cause}")]
    Report {
        /// The report's file.
        file: String,
        /// Why.
        #[source]
        cause: SealError,
    },
}

impl Explained for TimestampError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::NoAnswer { .. } => "timestamp-not-given",
            Self::Report { cause: SealError::Answer(_), .. } => "timestamp-refused",
            Self::Report { cause: SealError::OtherTimestamp(_), .. } => "timestamp-of-another-report",
            Self::Report { .. } => "timestamp-not-attached",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::NoAnswer { .. } => Some("ask again later, or another authority; the report is as it was".to_owned()),
            Self::Report { cause: SealError::Answer(_) | SealError::OtherTimestamp(_), .. } => {
                Some("ask again with the question of this very report: rimside timestamp request".to_owned())
            }
            Self::Report { .. } => None,
        }
    }
}

/// Writes the question for a timestamp over a sealed report's signature.
///
/// # Errors
/// [`TimestampError`]: also where something is in the place of the question already.
pub fn request_timestamp(world: &dyn World, report: &Path, out: &Path) -> Result<Timestamped, TimestampError> {
    let sealed = world.read(report, MOST_REPORT).map_err(WorldError::at("read", report))?;
    let refused = |cause| TimestampError::Report { file: report.display().to_string(), cause };
    let question = ask_for_timestamp(&sealed).map_err(refused)?;
    let told = identify(report, &sealed)?;
    write_whole(world, out, &question, Access::Shared, Existing::Refuse)?;
    Ok(told)
}

/// Puts the token of an authority's answer into a sealed report. No signed byte changes; who the authority is, is not judged.
///
/// # Errors
/// [`TimestampError`]: also for a second token, and for that of another report.
pub fn attach_timestamp(world: &dyn World, report: &Path, answer: &Path) -> Result<Timestamped, TimestampError> {
    let sealed = world.read(report, MOST_REPORT).map_err(WorldError::at("read", report))?;
    let answer = world.read(answer, MOST_ANSWER).map_err(WorldError::at("read", answer))?;
    put_in(world, report, &sealed, &answer)
}

/// The question to an authority, and its answer as it was given, or why there is none.
type Ask<'a> = dyn Fn(&[u8]) -> Result<Vec<u8>, String> + 'a;

/// Asks an authority for a timestamp over a sealed report's signature, and puts its answer in as [`attach_timestamp`] does.
///
/// # Errors
/// [`TimestampError`]: also where the authority gave no answer.
pub fn fetch_timestamp(world: &dyn World, report: &Path, ask: &Ask<'_>) -> Result<Timestamped, TimestampError> {
    let sealed = world.read(report, MOST_REPORT).map_err(WorldError::at("read", report))?;
    let refused = |cause| TimestampError::Report { file: report.display().to_string(), cause };
    if has_timestamp(&sealed) {
        return Err(refused(SealError::Attach(AttachError::AlreadyThere)));
    }
    let question = ask_for_timestamp(&sealed).map_err(refused)?;
    let answer = ask(&question).map_err(|why| TimestampError::NoAnswer { why })?;
    put_in(world, report, &sealed, &answer)
}

fn put_in(world: &dyn World, report: &Path, sealed: &[u8], answer: &[u8]) -> Result<Timestamped, TimestampError> {
    let refused = |cause| TimestampError::Report { file: report.display().to_string(), cause };
    let with_token = add_timestamp(sealed, answer).map_err(refused)?;
    let told = identify(report, &with_token)?;
    write_whole(world, report, &with_token, Access::Shared, Existing::Replace)?;
    Ok(told)
}

fn identify(report: &Path, sealed: &[u8]) -> Result<Timestamped, TimestampError> {
    let file = report.display().to_string();
    match SealedFile::read(sealed) {
        Ok(read) => Ok(Timestamped { file, identity: Sha256Digest::from_bytes(read.identity()).to_string() }),
        Err(fault) => Err(TimestampError::Report { file, cause: fault.into() }),
    }
}
