//! What the office keeps, as traits: rows, and files that everybody may read.

mod blobs;
mod certificates;
mod connections;
mod devices;
mod entries;
mod folder;
mod letters;
mod links;
mod log_rows;
mod object_blobs;
mod object_shelf;
mod objects;
mod postgres;
mod remote;
mod reports;
mod rows;
mod running;
mod sqlite;
mod tables;
mod trust;

pub use blobs::{Blobs, Digested, FolderBlobs, Joined};
pub use certificates::{CertificateRow, Certificates};
pub use devices::{Device, Devices, SecretDigest};
pub use entries::{EntryRows, Fork, NewEntries, Part, RowEnd};
pub use folder::FolderShelf;
pub use letters::{LetterRow, Letters};
pub use links::{Link, Links, NewLink};
pub use log_rows::LogRows;
pub use object_blobs::ObjectBlobs;
pub use object_shelf::ObjectShelf;
pub use objects::Objects;
pub use postgres::{Postgres, PostgresRows};
pub use reports::{NewReport, ReportRow, ReportRows};
pub use rows::{Database, Given, Row, Rows, Statements, Value};
pub use sqlite::{Sqlite, SqliteRows};
pub(crate) use tables::{TABLES, Table};

use std::fmt;

/// A firm, the first part of every key.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FirmId(String);

/// A firm's name that is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("got {got:?} for a firm, expected 1 to 40 of a-z, 0-9 and -, beginning with a letter or digit")]
pub struct FirmIdError {
    /// What came.
    pub got: String,
}

impl FirmId {
    /// The name as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::str::FromStr for FirmId {
    type Err = FirmIdError;

    fn from_str(text: &str) -> Result<Self, FirmIdError> {
        let fits =
            |(at, byte): (usize, u8)| byte.is_ascii_lowercase() || byte.is_ascii_digit() || (at > 0 && byte == b'-');
        if (1..=40).contains(&text.len()) && text.bytes().enumerate().all(fits) {
            Ok(Self(text.to_owned()))
        } else {
            Err(FirmIdError { got: text.chars().take(60).collect() })
        }
    }
}

impl fmt::Display for FirmId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Why a store did not do what it was asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// Somebody else was faster: the log has other entries at its end than the caller thought.
    #[error("the log has {now} entries, and was thought to have {thought}")]
    Moved {
        /// What the caller thought.
        thought: u64,
        /// What there is.
        now: u64,
    },
    /// The firm's rows are kept elsewhere now: here they are only read.
    #[error("the office of {firm} has moved: {whither}")]
    Gone {
        /// Whose.
        firm: String,
        /// Where to.
        whither: String,
    },
    /// The store failed. Whether its effect came about all the same is not known.
    #[error("the store: {0}")]
    Failed(String),
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        Self::Failed(error.to_string())
    }
}

impl From<std::io::Error> for StoreError {
    fn from(error: std::io::Error) -> Self {
        Self::Failed(error.to_string())
    }
}

/// All rows of an office but those of its logs: what a database has to do to stand behind one.
pub trait OfficeRows: Devices + EntryRows + ReportRows + Links + Letters + Certificates {}

impl<T: Devices + EntryRows + ReportRows + Links + Letters + Certificates> OfficeRows for T {}

/// All rows of an office.
pub trait AllRows: OfficeRows + LogRows {}

impl<T: OfficeRows + LogRows> AllRows for T {}

/// Files that everybody may read, below a firm's own path.
pub trait Shelf: Send + Sync {
    /// Puts a file in its place, whole or not at all; it is on the disk when this returns. One that is there is replaced.
    fn put(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError>;

    /// Puts several files in their places, each whole or not at all, the last of them once the others are there. Where the
    /// shelf [may lose](Self::may_lose) them, this is for what whoever opens it next makes anew.
    fn put_again(&self, firm: &FirmId, files: &[(&str, &[u8])]) -> Result<(), StoreError>;

    /// Whether some of what was put again may be gone, and some not, after the machine fell over.
    fn may_lose(&self) -> bool;

    /// The paths of all of a firm's files, in their order.
    fn list(&self, firm: &FirmId) -> Result<Vec<String>, StoreError>;

    /// A file; none where there is none.
    fn read(&self, firm: &FirmId, path: &str) -> Result<Option<Vec<u8>>, StoreError>;
}
