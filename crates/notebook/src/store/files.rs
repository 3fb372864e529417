//! Files inside the notebook: keys, certificates, the device's row of records, sealed reports.
//!
//! They are kept by path and change one at a time, so that what works in a folder works here.

use rusqlite::{OptionalExtension as _, params};

use super::Notebook;
use crate::NotebookError;

/// What can be done with the files, each as one step that is on the disk when it returns.
pub trait FileAccess {
    /// The bytes of a file, or none.
    ///
    /// # Errors
    /// The database.
    fn file(&self, path: &str) -> Result<Option<Vec<u8>>, NotebookError>;

    /// The paths that begin so, sorted.
    ///
    /// # Errors
    /// The database.
    fn files_below(&self, start: &str) -> Result<Vec<String>, NotebookError>;

    /// Writes a file that was not there; says whether it did.
    ///
    /// # Errors
    /// The database.
    fn write_file(&self, path: &str, bytes: &[u8]) -> Result<bool, NotebookError>;

    /// Moves a file, or all files below a path. A file of the new name is replaced if that is allowed; says whether
    /// anything was moved.
    ///
    /// # Errors
    /// The database.
    fn move_files(&mut self, from: &str, to: &str, replace: bool) -> Result<bool, NotebookError>;

    /// Removes a file, or all files below a path; says whether there was any.
    ///
    /// # Errors
    /// The database.
    fn remove_files(&self, path: &str) -> Result<bool, NotebookError>;
}

impl FileAccess for Notebook {
    fn file(&self, path: &str) -> Result<Option<Vec<u8>>, NotebookError> {
        let mut query = self.db.prepare_cached("SELECT bytes FROM files WHERE path = ?1")?;
        Ok(query.query_row(params![path], |row| row.get(0)).optional()?)
    }

    fn files_below(&self, start: &str) -> Result<Vec<String>, NotebookError> {
        let mut query =
            self.db.prepare_cached("SELECT path FROM files WHERE substr(path, 1, length(?1)) = ?1 ORDER BY path")?;
        Ok(query.query_map(params![start], |row| row.get(0))?.collect::<Result<_, _>>()?)
    }

    fn write_file(&self, path: &str, bytes: &[u8]) -> Result<bool, NotebookError> {
        let added = self.db.execute(
            "INSERT INTO files (path, bytes) VALUES (?1, ?2) ON CONFLICT (path) DO NOTHING",
            params![path, bytes],
        )?;
        Ok(added == 1)
    }

    fn move_files(&mut self, from: &str, to: &str, replace: bool) -> Result<bool, NotebookError> {
        let below = format!("{from}/");
        let change = self.db.transaction()?;
        if replace {
            let is_file: bool =
                change.query_row("SELECT EXISTS (SELECT 1 FROM files WHERE path = ?1)", params![from], |row| {
                    row.get(0)
                })?;
            if is_file {
                change.execute("DELETE FROM files WHERE path = ?1", params![to])?;
            }
        }
        let moved = change.execute(
            "UPDATE files SET path = ?2 || substr(path, length(?1) + 1)
             WHERE path = ?1 OR substr(path, 1, length(?3)) = ?3",
            params![from, to, below],
        )?;
        change.commit()?;
        Ok(moved > 0)
    }

    fn remove_files(&self, path: &str) -> Result<bool, NotebookError> {
        let below = format!("{path}/");
        let removed = self
            .db
            .execute("DELETE FROM files WHERE path = ?1 OR substr(path, 1, length(?2)) = ?2", params![path, below])?;
        Ok(removed > 0)
    }
}
