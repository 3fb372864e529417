//! Carrying an office from its own folder to a database and a store of objects, and back.
//!
//! The place where it goes is marked from the beginning to the end and takes nothing meanwhile. Every row is written there in
//! one transaction, read back and compared while the rows where it was are locked, and before that lock is let go the old
//! place is marked for good. So at no time two of them take entries or sign heads: two histories under one key would make
//! every receipt worthless.

mod files;
mod rows;

use std::path::Path;

use chrono::{DateTime, Utc};
use log::{AuditFault, audit};
use model::Sha256;

use self::{
    files::{carry_blob, carry_shelf},
    rows::{carry_rows, find_taken, list_blobs, mark, unmark},
};
use crate::{
    office::{LogFolder, LogFolderError, read_key},
    store::{Blobs, Database, FirmId, PostgresRows, Rows, Shelf, SqliteRows, StoreError},
    stores::Stores,
};

/// Which way an office goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// From its folder to the stores.
    ToStores,
    /// From the stores to its folder.
    ToFolder,
}

/// What was carried, each of it compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MovedOffice {
    /// Rows, by table.
    pub rows: Vec<(&'static str, u64)>,
    /// Photographs, recordings and sealed reports.
    pub blobs: u64,
    /// Those that the office had lost before.
    pub lost: Vec<Sha256>,
    /// Public files.
    pub files: u64,
    /// Entries of the log, audited where they are now.
    pub logged: u64,
}

/// Why an office was not carried.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum MoveError {
    /// No database is named.
    #[error("no database is named to move to or from")]
    NoDatabase,
    /// There are rows of a firm of this name where it is to go.
    #[error("where it is to go, there are rows of {firm} already ({table}): nothing was changed")]
    Taken {
        /// Whose.
        firm: FirmId,
        /// In which table.
        table: &'static str,
    },
    /// It is not where it is to be taken from.
    #[error("it is not here any more: {whither}")]
    Gone {
        /// Where it went.
        whither: String,
    },
    /// The log does not hold where it was carried to.
    #[error("the log does not hold where it was carried to: {0}; the office stays where it was")]
    Log(#[source] AuditFault<std::io::Error>),
    /// The office's folder.
    #[error(transparent)]
    Folder(#[from] LogFolderError),
    /// A store.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// One end of the way.
struct End<'a, D> {
    rows: Rows<D>,
    blobs: &'a dyn Blobs,
    shelf: &'a dyn Shelf,
    /// What the other end says of it once the office is here.
    called: String,
}

/// Said of a place that an office is being carried to.
const COMING: &str = "it is being carried here, and `rimside office move` has not come to its end";

/// Carries an office. The one that is served must be closed first; what it would still take is refused.
///
/// # Errors
/// [`MoveError`]. The office stays where it was then, unless the very end failed: then `move` once more finishes it.
pub fn move_office(folder: &Path, stores: &Stores, way: Way, now: DateTime<Utc>) -> Result<MovedOffice, MoveError> {
    let address = stores.database.as_deref().ok_or(MoveError::NoDatabase)?;
    let (key, _) = read_key(folder)?;
    let firm = LogFolder::read_firm(folder)?;
    let (here, there) = (Stores::default().open_files(folder)?, stores.open_files(folder)?);
    let own = End {
        rows: SqliteRows::open(&folder.join("office.sqlite"))?,
        blobs: &*here.blobs,
        shelf: &*here.shelf,
        called: "its own folder".to_owned(),
    };
    let far = End {
        rows: PostgresRows::connect(address)?,
        blobs: &*there.blobs,
        shelf: &*there.shelf,
        called: stores.describe(),
    };
    // Where the files stay in the folder, there are none to carry.
    let files = stores.blobs.is_some();
    let check = |shelf: &dyn Shelf| {
        let read = |path: &str| match shelf.read(&firm, path) {
            Ok(Some(bytes)) => Ok(bytes),
            Ok(None) => Err(std::io::Error::from(std::io::ErrorKind::NotFound)),
            Err(error) => Err(std::io::Error::other(error)),
        };
        match audit(&key, None, read) {
            Ok(audited) => Ok(audited.checkpoint.size()),
            // A log that has shown nothing yet.
            Err(AuditFault::Read { cause, .. }) if cause.kind() == std::io::ErrorKind::NotFound => Ok(0),
            Err(fault) => Err(MoveError::Log(fault)),
        }
    };
    match way {
        Way::ToStores => carry(&own, &far, &firm, files, now, check),
        Way::ToFolder => carry(&far, &own, &firm, files, now, check),
    }
}

fn carry<A: Database, B: Database>(
    from: &End<'_, A>,
    to: &End<'_, B>,
    firm: &FirmId,
    files: bool,
    now: DateTime<Utc>,
    check: impl Fn(&dyn Shelf) -> Result<u64, MoveError>,
) -> Result<MovedOffice, MoveError> {
    let (left, expected) = (from.rows.whither(firm)?, to.rows.whither(firm)?);
    if let Some(whither) = left.filter(|_| expected.as_deref() != Some(COMING)) {
        return Err(MoveError::Gone { whither });
    }
    let taken = to.rows.db.each(|statements| find_taken(statements, firm))?;
    if let Some(table) = taken.filter(|_| expected.is_none()) {
        return Err(MoveError::Taken { firm: firm.clone(), table });
    }
    to.rows.db.together(firm, |statements| mark(statements, firm, COMING, now))?;
    // Most of the bytes, while nothing is held up.
    if files {
        for (sha256, length) in from.rows.db.each(|statements| list_blobs(statements, firm))? {
            carry_blob(from.blobs, to.blobs, firm, (&sha256, length))?;
        }
    }
    let mut done = None;
    let mut failed = None;
    from.rows
        .db
        .alone(firm, &mut || {
            let carried = from.rows.db.together(firm, |source| {
                let rows = to.rows.db.together(firm, |target| carry_rows(source, target, firm))?;
                let rows = to.rows.db.each(|target| rows::compare(source, target, firm, &rows))?;
                let (mut lost, all) = (Vec::new(), list_blobs(source, firm)?);
                for (sha256, length) in &all {
                    if files && !carry_blob(from.blobs, to.blobs, firm, (sha256, *length))? {
                        lost.push(*sha256);
                    }
                }
                let shelved = if files { carry_shelf(from.shelf, to.shelf, firm)? } else { 0 };
                let logged = match check(to.shelf) {
                    Ok(logged) => logged,
                    Err(error) => {
                        failed = Some(error);
                        return Err(StoreError::Failed("the log does not hold".to_owned()));
                    }
                };
                mark(source, firm, &format!("it is in {} now", to.called), now)?;
                let blobs = (all.len() - lost.len()) as u64;
                Ok(MovedOffice { rows, blobs, lost, files: shelved, logged })
            })?;
            done = Some(carried);
            Ok(())
        })
        .map_err(|error| failed.take().unwrap_or_else(|| error.into()))?;
    to.rows.db.together(firm, |statements| unmark(statements, firm))?;
    done.ok_or_else(|| StoreError::Failed("nothing was carried".to_owned()).into())
}
