//! Sealed reports.

use rusqlite::{Connection, OptionalExtension as _, Row, params};

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

/// How far a report has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// A log's receipt is in it.
    pub is_receipted: bool,
    /// The office has it.
    pub is_told: bool,
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

    /// How far a report has come; none where there is no such report.
    ///
    /// # Errors
    /// The database.
    pub fn report_standing(&self, identity: &str) -> Result<Option<Standing>, NotebookError> {
        let mut query = self.db.prepare_cached("SELECT is_receipted, is_told FROM reports WHERE identity = ?1")?;
        let read = |row: &Row<'_>| Ok(Standing { is_receipted: row.get(0)?, is_told: row.get(1)? });
        Ok(query.query_row(params![identity], read).optional()?)
    }

    /// The identities of the reports that lack their receipt or that the office is not known to have, the oldest first.
    ///
    /// # Errors
    /// The database.
    pub fn untold_reports(&self) -> Result<Vec<String>, NotebookError> {
        let mut query = self.db.prepare_cached(
            "SELECT identity FROM reports WHERE is_told = 0 OR is_receipted = 0 ORDER BY sealed_at, identity",
        )?;
        Ok(query.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?)
    }

    /// Puts the file of a report that has its receipt now in the place of the one that had none.
    ///
    /// # Errors
    /// [`NotebookError::Missing`]; the database. Nothing was changed then.
    pub fn keep_receipted(&mut self, identity: &str, bytes: &[u8]) -> Result<(), NotebookError> {
        let change = self.db.transaction()?;
        replace_file(&change, identity, bytes)?;
        change.execute("UPDATE reports SET is_receipted = 1 WHERE identity = ?1", params![identity])?;
        Ok(change.commit()?)
    }

    /// Puts the file of a report that has an authority's timestamp now in the place of the one that had none.
    ///
    /// # Errors
    /// [`NotebookError::Missing`]; the database. Nothing was changed then.
    pub fn keep_stamped(&mut self, identity: &str, bytes: &[u8]) -> Result<(), NotebookError> {
        replace_file(&self.db, identity, bytes)
    }

    /// The office has a report. Whether it is here as well.
    ///
    /// # Errors
    /// The database.
    pub fn keep_told(&self, identity: &str) -> Result<bool, NotebookError> {
        Ok(self.db.execute("UPDATE reports SET is_told = 1 WHERE identity = ?1", params![identity])? > 0)
    }

    /// No office has any report, as far as is known.
    ///
    /// # Errors
    /// The database.
    pub fn forget_told(&self) -> Result<(), NotebookError> {
        self.db.execute("UPDATE reports SET is_told = 0", [])?;
        Ok(())
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

/// Puts other bytes in the place of a report's file.
fn replace_file(db: &Connection, identity: &str, bytes: &[u8]) -> Result<(), NotebookError> {
    let changed = db.execute(
        "UPDATE files SET bytes = ?2 WHERE path = (SELECT path FROM reports WHERE identity = ?1)",
        params![identity, bytes],
    )?;
    if changed == 1 {
        return Ok(());
    }
    Err(NotebookError::Missing { what: "report", got: identity.chars().take(80).collect() })
}
