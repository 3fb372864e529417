//! Sealed reports.

use rusqlite::{OptionalExtension as _, Row, params};

use super::{Notebook, files::FileAccess as _};
use crate::NotebookError;

/// A sealed report in the notebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// Its identity.
    pub identity: String,
    /// The inspection; none for a condition statement.
    pub inspection: Option<String>,
    /// What is told of it, as JSON.
    pub facts: String,
    /// When it was sealed.
    pub sealed_at: String,
    /// Where its file lies.
    pub path: String,
}

impl Notebook {
    /// Notes a report whose file is there.
    ///
    /// # Errors
    /// The database.
    pub fn note_report(&self, report: &Report) -> Result<(), NotebookError> {
        self.db.execute(
            "INSERT INTO reports (identity, inspection, facts, sealed_at, path) VALUES (?1, ?2, ?3, ?4, ?5)
             ON CONFLICT (identity) DO NOTHING",
            params![report.identity, report.inspection, report.facts, report.sealed_at, report.path],
        )?;
        Ok(())
    }

    /// All reports, the latest first.
    ///
    /// # Errors
    /// The database.
    pub fn reports(&self) -> Result<Vec<Report>, NotebookError> {
        let mut query = self.db.prepare_cached(
            "SELECT identity, inspection, facts, sealed_at, path FROM reports ORDER BY sealed_at DESC, identity",
        )?;
        Ok(query.query_map([], read)?.collect::<Result<_, _>>()?)
    }

    /// The bytes of a report.
    ///
    /// # Errors
    /// [`NotebookError::Missing`]; the database.
    pub fn report(&self, identity: &str) -> Result<Vec<u8>, NotebookError> {
        let missing = || NotebookError::Missing { what: "report", got: identity.chars().take(80).collect() };
        let path: Option<String> = self
            .db
            .prepare_cached("SELECT path FROM reports WHERE identity = ?1")?
            .query_row(params![identity], |row| row.get(0))
            .optional()?;
        self.file(&path.ok_or_else(missing)?)?.ok_or_else(missing)
    }
}

fn read(row: &Row<'_>) -> rusqlite::Result<Report> {
    Ok(Report {
        identity: row.get(0)?,
        inspection: row.get(1)?,
        facts: row.get(2)?,
        sealed_at: row.get(3)?,
        path: row.get(4)?,
    })
}
