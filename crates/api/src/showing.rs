//! The record inside a report, or a record's own file, for somebody who wants to read it. Nothing is checked here.

use std::path::Path;

use model::{ConditionStatement, MAX_DOCUMENT_BYTES, ParseError, Record};
use seal::file::{Fault as FileFault, SealedFile};

use crate::{
    fault::Explained,
    world::{World, WorldError},
};

/// As the seal's reader.
pub(crate) const MOST_REPORT: u64 = 512 << 20;

/// A record as it lies in its file.
#[derive(Clone, Debug)]
pub struct ShownRecord {
    /// Its bytes, unchanged.
    pub bytes: Vec<u8>,
    /// What they say.
    pub record: Record,
}

/// Why a record was not shown.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ShowError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// A PDF that is not one of our reports.
    #[error("{file} is not a report of the form that is read: {cause}")]
    Report {
        /// Its file.
        file: String,
        /// In what it departs.
        #[source]
        cause: FileFault,
    },
    /// What is inside is no record.
    #[error("{file} holds no record that can be read: {cause}")]
    Record {
        /// Its file.
        file: String,
        /// The field that is wrong.
        #[source]
        cause: ParseError,
    },
}

impl Explained for ShowError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Report { cause, .. } => cause.code.as_str(),
            Self::Record { .. } => "record-malformed",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Report { .. } | Self::Record { .. } => {
                Some("give a sealed report (PDF) or a record (JSON), as this program writes them".to_owned())
            }
        }
    }
}

/// Reads the record out of a report (PDF), or a record's own file (JSON).
///
/// # Errors
/// [`ShowError`]. That a record can be shown says nothing about whether it is genuine.
pub fn show_record(world: &dyn World, file: &Path) -> Result<ShownRecord, ShowError> {
    let bytes = read_inside(world, file)?;
    let record =
        model::parse_record(&bytes).map_err(|cause| ShowError::Record { file: file.display().to_string(), cause })?;
    Ok(ShownRecord { bytes, record })
}

/// Reads a condition statement's record out of its file; nothing where the file holds another kind of record.
///
/// # Errors
/// As [`show_record`].
pub fn find_statement(world: &dyn World, file: &Path) -> Result<Option<ConditionStatement>, ShowError> {
    Ok(model::parse_canonical_statement(&read_inside(world, file)?).ok())
}

/// The bytes of the record in a file, or of a record's own file.
fn read_inside(world: &dyn World, file: &Path) -> Result<Vec<u8>, ShowError> {
    let bytes = world.read(file, MOST_REPORT).map_err(WorldError::at("read", file))?;
    let name = || file.display().to_string();
    let bytes = if bytes.starts_with(b"%PDF-") {
        let record = SealedFile::read(&bytes).and_then(|file| file.record());
        record.map_err(|cause| ShowError::Report { file: name(), cause })?.bytes
    } else {
        bytes
    };
    if bytes.len() > MAX_DOCUMENT_BYTES {
        let cause = ParseError::TooLarge { got: bytes.len() };
        return Err(ShowError::Record { file: name(), cause });
    }
    Ok(bytes)
}
