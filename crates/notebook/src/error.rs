use rusqlite::ErrorCode;

use crate::FieldError;

/// Why the notebook did not do something. Nothing was changed then.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum NotebookError {
    /// The database.
    #[error("the notebook's file: {0}")]
    Store(rusqlite::Error),
    /// The disk or the browser's storage takes no more.
    #[error("the storage is full, or the device refused to write: {0}")]
    Full(rusqlite::Error),
    /// A notebook of a later version of this program.
    #[error("the notebook has the form {got}, this program knows forms up to {known}")]
    Newer {
        /// Its form.
        got: u32,
        /// The newest that is known.
        known: u32,
    },
    /// Something else than a notebook.
    #[error("the file is no notebook")]
    Foreign,
    /// A field or its value.
    #[error(transparent)]
    Field(#[from] FieldError),
    /// No inspection of this name.
    #[error("there is no inspection {got:?} in this notebook")]
    NoInspection {
        /// What came.
        got: String,
    },
    /// What the inspection held was erased.
    #[error("what the inspection {id} held was erased on request")]
    Erased {
        /// Which.
        id: String,
    },
    /// There is nothing to take back, or to make again.
    #[error("there is nothing to {what}")]
    Nothing {
        /// What was wanted.
        what: &'static str,
    },
    /// No photograph, report or file of this name.
    #[error("there is no {what} {got:?} in this notebook")]
    Missing {
        /// What was wanted.
        what: &'static str,
        /// Its name.
        got: String,
    },
    /// A name that is none.
    #[error(transparent)]
    Name(#[from] model::IdError),
    /// An entry that does not say what it did when it was first taken in.
    #[error("entry {id} is in this notebook with other contents")]
    OtherContents {
        /// Which.
        id: String,
    },
    /// Entries of a device that do not follow each other.
    #[error("entries of {device} do not follow each other: got number {got}, expected {expected}")]
    OutOfRow {
        /// The device.
        device: String,
        /// What came.
        got: u64,
        /// What was expected.
        expected: u64,
    },
    /// An entry whose link does not fit.
    #[error("entry {id} does not fit the chain of its device")]
    Chain {
        /// Which.
        id: String,
    },
    /// Stored text that is not what it should be.
    #[error("the notebook holds something unreadable: {0}")]
    Unreadable(String),
}

impl NotebookError {
    /// Whether the file itself is spoilt, so that what can be read of it is better brought over into a new one.
    pub fn is_damage(&self) -> bool {
        let Self::Store(error) = self else { return false };
        matches!(error.sqlite_error_code(), Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase))
    }
}

impl From<rusqlite::Error> for NotebookError {
    fn from(error: rusqlite::Error) -> Self {
        // A browser tells of a full storage as a write that failed.
        let is_full = |code: &rusqlite::ffi::Error| {
            code.code == ErrorCode::DiskFull || code.extended_code == rusqlite::ffi::SQLITE_IOERR_WRITE
        };
        if error.sqlite_error().is_some_and(is_full) { Self::Full(error) } else { Self::Store(error) }
    }
}
