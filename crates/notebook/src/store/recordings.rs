//! Recordings of a road test: they grow while the car drives, and end with their digest.

use std::io::{self, Read};

use model::{InspectionId, Sha256, Timestamp};
use rusqlite::{Connection, OptionalExtension as _, Row, params};
use sha2::Digest as _;

use super::{Notebook, list};
use crate::NotebookError;

/// A recording as the notebook keeps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    /// Its number in this notebook.
    pub id: i64,
    /// Whose road test it is of.
    pub inspection: String,
    /// What it holds, as whoever began it said.
    pub kind: String,
    /// When it began.
    pub begun_at: String,
    /// Its digest; none while it grows.
    pub sha256: Option<String>,
    /// Its bytes so far.
    pub length: u64,
}

const COLUMNS: &str = "id, inspection, kind, begun_at, sha256,
    (SELECT coalesce(sum(length(bytes)), 0) FROM pieces WHERE recording = recordings.id)";

/// Bytes of a piece of what comes whole.
const PIECE: usize = 1 << 20;

impl Notebook {
    /// Begins a recording.
    ///
    /// # Errors
    /// An inspection that there is not; the database.
    pub fn begin_recording(&self, id: &InspectionId, kind: &str, at: &Timestamp) -> Result<i64, NotebookError> {
        list::expect(&self.db, id)?;
        self.db.execute(
            "INSERT INTO recordings (inspection, kind, begun_at) VALUES (?1, ?2, ?3)",
            params![id.as_str(), kind, at.to_rfc3339()],
        )?;
        Ok(self.db.last_insert_rowid())
    }

    /// Adds a piece; the same number again replaces it, so that it can be sent twice.
    ///
    /// # Errors
    /// [`NotebookError::Missing`] where the recording is none that grows; the database.
    pub fn add_piece(&self, recording: i64, nth: u32, bytes: &[u8]) -> Result<(), NotebookError> {
        self.growing(recording)?;
        self.db.execute(
            "INSERT OR REPLACE INTO pieces (recording, nth, bytes) VALUES (?1, ?2, ?3)",
            params![recording, nth, bytes],
        )?;
        Ok(())
    }

    /// Ends a recording; what stands before all its pieces is given now. Its digest comes back.
    ///
    /// # Errors
    /// As [`Self::add_piece`].
    pub fn end_recording(&mut self, recording: i64, first: &[u8]) -> Result<Sha256, NotebookError> {
        self.add_piece(recording, 0, first)?;
        let sha256 = digest(&self.db, recording)?;
        self.db.execute("UPDATE recordings SET sha256 = ?2 WHERE id = ?1", params![recording, sha256.to_string()])?;
        Ok(sha256)
    }

    /// Stores a recording that comes whole. One that the inspection has already is not stored twice.
    ///
    /// # Errors
    /// An inspection that there is not; the database. Nothing is stored then.
    pub fn store_recording(
        &mut self,
        id: &InspectionId,
        kind: &str,
        at: &Timestamp,
        bytes: &[u8],
    ) -> Result<(Sha256, bool), NotebookError> {
        let sha256 = Sha256::of(bytes);
        let known = self.recordings_of(id.as_str())?.into_iter().any(|kept| kept.sha256 == Some(sha256.to_string()));
        if known {
            return Ok((sha256, false));
        }
        list::expect(&self.db, id)?;
        let change = self.db.transaction()?;
        change.execute(
            "INSERT INTO recordings (inspection, kind, begun_at, sha256) VALUES (?1, ?2, ?3, ?4)",
            params![id.as_str(), kind, at.to_rfc3339(), sha256.to_string()],
        )?;
        let recording = change.last_insert_rowid();
        for (nth, piece) in bytes.chunks(PIECE).enumerate() {
            change.execute(
                "INSERT INTO pieces (recording, nth, bytes) VALUES (?1, ?2, ?3)",
                params![recording, nth as u64, piece],
            )?;
        }
        change.commit()?;
        Ok((sha256, true))
    }

    /// Throws away a recording that grows still.
    ///
    /// # Errors
    /// As [`Self::add_piece`].
    pub fn drop_recording(&self, recording: i64) -> Result<(), NotebookError> {
        self.growing(recording)?;
        self.db.execute("DELETE FROM recordings WHERE id = ?1", params![recording])?;
        Ok(())
    }

    /// The recordings of an inspection, in the order in which they began.
    ///
    /// # Errors
    /// The database.
    pub fn recordings_of(&self, id: &str) -> Result<Vec<Kept>, NotebookError> {
        let mut query =
            self.db.prepare_cached(&format!("SELECT {COLUMNS} FROM recordings WHERE inspection = ?1 ORDER BY id"))?;
        Ok(query.query_map(params![id], read)?.collect::<Result<_, _>>()?)
    }

    /// Every recording.
    ///
    /// # Errors
    /// The database.
    pub fn recordings(&self) -> Result<Vec<Kept>, NotebookError> {
        let mut query = self.db.prepare_cached(&format!("SELECT {COLUMNS} FROM recordings ORDER BY id"))?;
        Ok(query.query_map([], read)?.collect::<Result<_, _>>()?)
    }

    /// A recording as a stream, piece by piece, held against its digest before.
    ///
    /// # Errors
    /// [`NotebookError::Missing`]; [`NotebookError::Unreadable`] where the bytes are not those that were recorded; the
    /// database.
    pub fn recording(&self, sha256: &str) -> Result<impl Read + use<'_>, NotebookError> {
        let id: Option<i64> = self
            .db
            .prepare_cached("SELECT id FROM recordings WHERE sha256 = ?1")?
            .query_row(params![sha256], |row| row.get(0))
            .optional()?;
        let id =
            id.ok_or_else(|| NotebookError::Missing { what: "recording", got: sha256.chars().take(80).collect() })?;
        if digest(&self.db, id)?.to_string() != sha256 {
            return Err(NotebookError::Unreadable(format!("recording {sha256}")));
        }
        Ok(Pieces::new(&self.db, id))
    }

    fn growing(&self, recording: i64) -> Result<(), NotebookError> {
        let mut query = self.db.prepare_cached("SELECT sha256 IS NULL FROM recordings WHERE id = ?1")?;
        match query.query_row(params![recording], |row| row.get(0)).optional()? {
            Some(true) => Ok(()),
            _ => Err(NotebookError::Missing { what: "recording that is running", got: recording.to_string() }),
        }
    }
}

fn read(row: &Row<'_>) -> rusqlite::Result<Kept> {
    Ok(Kept {
        id: row.get(0)?,
        inspection: row.get(1)?,
        kind: row.get(2)?,
        begun_at: row.get(3)?,
        sha256: row.get(4)?,
        length: row.get(5)?,
    })
}

fn digest(db: &Connection, recording: i64) -> Result<Sha256, NotebookError> {
    let mut query = db.prepare_cached("SELECT bytes FROM pieces WHERE recording = ?1 ORDER BY nth")?;
    let mut rows = query.query(params![recording])?;
    let mut hasher = sha2::Sha256::new();
    while let Some(row) = rows.next()? {
        hasher.update(row.get_ref(0)?.as_blob().map_err(rusqlite::Error::from)?);
    }
    Ok(Sha256::new(hasher.finalize().into()))
}

/// The pieces of a recording one after the other; one is in memory at a time.
struct Pieces<'a> {
    db: &'a Connection,
    recording: i64,
    last: i64,
    piece: io::Cursor<Vec<u8>>,
}

impl<'a> Pieces<'a> {
    fn new(db: &'a Connection, recording: i64) -> Self {
        Self { db, recording, last: -1, piece: io::Cursor::default() }
    }
}

impl Read for Pieces<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        loop {
            let count = self.piece.read(into)?;
            if count > 0 || into.is_empty() {
                return Ok(count);
            }
            let next: Option<(i64, Vec<u8>)> = self
                .db
                .prepare_cached("SELECT nth, bytes FROM pieces WHERE recording = ?1 AND nth > ?2 ORDER BY nth LIMIT 1")
                .and_then(|mut query| {
                    query.query_row(params![self.recording, self.last], |row| Ok((row.get(0)?, row.get(1)?))).optional()
                })
                .map_err(io::Error::other)?;
            let Some((nth, bytes)) = next else { return Ok(0) };
            self.last = nth;
            self.piece = io::Cursor::new(bytes);
        }
    }
}
