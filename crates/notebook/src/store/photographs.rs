use model::{InspectionId, Sha256};
use rusqlite::{OptionalExtension as _, params};

use super::Notebook;
use crate::NotebookError;

/// A photograph to be taken in.
#[derive(Debug, Clone, Copy)]
pub struct Photo<'a> {
    /// The original, as the camera wrote it.
    pub bytes: &'a [u8],
    /// A small picture of it, to be listed.
    pub small: Option<&'a [u8]>,
    /// What a report carries of it, where that was made already.
    pub copy: Option<&'a [u8]>,
}

/// What became of a photograph.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taken {
    /// The digest of its bytes.
    pub sha256: Sha256,
    /// Whether it was not in the notebook before.
    pub is_new: bool,
}

impl Notebook {
    /// Stores a photograph once, and that this inspection shows it.
    ///
    /// # Errors
    /// An inspection that there is not; the database (a full disk, say). Nothing is stored then.
    pub fn store_photograph(&mut self, id: &InspectionId, photo: Photo<'_>) -> Result<Taken, NotebookError> {
        super::list::expect(&self.db, id)?;
        let sha256 = Sha256::of(photo.bytes);
        let name = sha256.to_string();
        let change = self.db.transaction()?;
        change.execute(
            "INSERT INTO photographs (sha256, length, small) VALUES (?1, ?2, ?3) ON CONFLICT (sha256) DO NOTHING",
            params![name, photo.bytes.len() as u64, photo.small],
        )?;
        // One that is damaged here is mended by the same one from elsewhere.
        let is_here: Option<Vec<u8>> = change
            .prepare_cached("SELECT bytes FROM originals WHERE sha256 = ?1")?
            .query_row(params![name], |row| row.get(0))
            .optional()?;
        let is_new = is_here.is_none_or(|bytes| bytes != photo.bytes);
        if is_new {
            change.execute(
                "INSERT OR REPLACE INTO originals (sha256, bytes) VALUES (?1, ?2)",
                params![name, photo.bytes],
            )?;
        }
        if let Some(copy) = photo.copy {
            change.execute(
                "INSERT INTO copies (sha256, copy_sha256, bytes) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
                params![name, Sha256::of(copy).as_bytes(), copy],
            )?;
        }
        change.execute(
            "INSERT INTO shown_in (inspection, sha256) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
            params![id.as_str(), name],
        )?;
        change.commit()?;
        Ok(Taken { sha256, is_new })
    }

    /// A photograph's original bytes, held against their digest.
    ///
    /// # Errors
    /// [`NotebookError::Missing`]; [`NotebookError::Unreadable`] where the bytes are not those that were stored; the
    /// database.
    pub fn original(&self, sha256: &str) -> Result<Vec<u8>, NotebookError> {
        let bytes = self.original_unheld(sha256)?;
        if Sha256::of(&bytes).to_string() != sha256 {
            return Err(NotebookError::Unreadable(format!("photograph {sha256}")));
        }
        Ok(bytes)
    }

    /// The same, not held against its digest: for a caller who does that anyhow.
    ///
    /// # Errors
    /// [`NotebookError::Missing`]; the database.
    pub fn original_unheld(&self, sha256: &str) -> Result<Vec<u8>, NotebookError> {
        self.picture("SELECT bytes FROM originals WHERE sha256 = ?1", sha256)
    }

    /// The small picture of a photograph; the original where there is none.
    ///
    /// # Errors
    /// [`NotebookError::Missing`]; the database.
    pub fn small(&self, sha256: &str) -> Result<Vec<u8>, NotebookError> {
        match self.picture("SELECT small FROM photographs WHERE sha256 = ?1 AND small IS NOT NULL", sha256) {
            Err(NotebookError::Missing { .. }) => self.original(sha256),
            other => other,
        }
    }

    /// What a report carries of a photograph, where it was made when the photograph came in and is still as it was made.
    ///
    /// # Errors
    /// The database.
    pub fn copy_of(&self, sha256: &str) -> Result<Option<Vec<u8>>, NotebookError> {
        let mut query = self.db.prepare_cached("SELECT copy_sha256, bytes FROM copies WHERE sha256 = ?1")?;
        let found: Option<([u8; 32], Vec<u8>)> =
            query.query_row(params![sha256], |row| Ok((row.get(0)?, row.get(1)?))).optional()?;
        Ok(found.filter(|(digest, bytes)| Sha256::of(bytes).as_bytes() == digest).map(|(_, bytes)| bytes))
    }

    /// The digests of what an inspection shows.
    ///
    /// # Errors
    /// The database.
    pub fn photographs_of(&self, id: &str) -> Result<Vec<String>, NotebookError> {
        let mut query = self.db.prepare_cached("SELECT sha256 FROM shown_in WHERE inspection = ?1 ORDER BY sha256")?;
        Ok(query.query_map(params![id], |row| row.get(0))?.collect::<Result<_, _>>()?)
    }

    /// Every photograph with the inspections that show it.
    ///
    /// # Errors
    /// The database.
    pub fn photographs(&self) -> Result<Vec<(String, String)>, NotebookError> {
        let mut query =
            self.db.prepare_cached("SELECT inspection, sha256 FROM shown_in ORDER BY inspection, sha256")?;
        Ok(query.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?.collect::<Result<_, _>>()?)
    }

    /// How many entries and photographs there are.
    ///
    /// # Errors
    /// The database.
    pub fn size(&self) -> Result<(u64, u64), NotebookError> {
        Ok(self.db.query_row(
            "SELECT (SELECT count(*) FROM entries), (SELECT count(*) FROM photographs)",
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )?)
    }

    fn picture(&self, query: &str, sha256: &str) -> Result<Vec<u8>, NotebookError> {
        let bytes = self.db.prepare_cached(query)?.query_row(params![sha256], |row| row.get(0)).optional()?;
        bytes.ok_or_else(|| NotebookError::Missing { what: "photograph", got: sha256.chars().take(80).collect() })
    }
}
