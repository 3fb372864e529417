//! The list of inspections: what is shown of each without folding it.

use model::{InspectionId, Timestamp};
use rusqlite::{Connection, OptionalExtension as _, Row, params};
use serde_json::Value;

use super::{Notebook, entries::read_entries};
use crate::{Draft, Entry, NotebookError, Stamp};

/// One inspection in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Its name.
    pub id: String,
    /// As far as known.
    pub vin: Option<String>,
    /// As far as known.
    pub registration: Option<String>,
    /// As far as known.
    pub description: Option<String>,
    /// As far as known.
    pub place: Option<String>,
    /// When the visit began.
    pub visited_at: Option<String>,
    /// When something was last written.
    pub changed_at: String,
    /// How many reports of it were sealed.
    pub sealed: u32,
    /// Whether what it held was erased.
    pub erased: bool,
}

const COLUMNS: &str = "id, vin, registration, description, place, visited_at, changed_at,
    (SELECT count(*) FROM reports WHERE inspection = inspections.id), erased_at IS NOT NULL";

impl Notebook {
    /// The inspections that have this text in VIN, registration, description or place; the latest visit first.
    ///
    /// # Errors
    /// The database.
    pub fn list(&self, search: &str) -> Result<Vec<Line>, NotebookError> {
        let pattern = format!("%{}%", search.trim().replace('\\', r"\\").replace('%', r"\%").replace('_', r"\_"));
        let mut query = self.db.prepare_cached(&format!(
            r"SELECT {COLUMNS} FROM inspections
              WHERE concat_ws(char(10), vin, registration, description, place) LIKE ?1 ESCAPE '\'
              ORDER BY coalesce(visited_at, changed_at) DESC, id"
        ))?;
        Ok(query.query_map(params![pattern], read)?.collect::<Result<_, _>>()?)
    }

    /// The inspections of the same car, the latest visit first.
    ///
    /// # Errors
    /// The database.
    pub fn visits_of(&self, vin: Option<&str>, registration: Option<&str>) -> Result<Vec<Line>, NotebookError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM inspections WHERE erased_at IS NULL AND (vin = ?1 OR registration = ?2)
             ORDER BY coalesce(visited_at, changed_at) DESC, id"
        ))?;
        Ok(query.query_map(params![vin, registration], read)?.collect::<Result<_, _>>()?)
    }
}

fn read(row: &Row<'_>) -> rusqlite::Result<Line> {
    Ok(Line {
        id: row.get(0)?,
        vin: row.get(1)?,
        registration: row.get(2)?,
        description: row.get(3)?,
        place: row.get(4)?,
        visited_at: row.get(5)?,
        changed_at: row.get(6)?,
        sealed: row.get(7)?,
        erased: row.get(8)?,
    })
}

pub(super) fn begin(db: &Connection, id: &InspectionId, stamp: &Stamp) -> Result<(), NotebookError> {
    db.execute(
        "INSERT INTO inspections (id, changed_at) VALUES (?1, ?2)",
        params![id.as_str(), stamp.at.to_rfc3339()],
    )?;
    Ok(())
}

/// Puts an inspection in the list that comes from elsewhere.
pub(super) fn meet(db: &Connection, id: &InspectionId, entry: Option<&Entry>) -> Result<(), NotebookError> {
    let at = entry.map_or_else(String::new, |entry| entry.written_at.to_rfc3339());
    db.execute(
        "INSERT INTO inspections (id, changed_at) VALUES (?1, ?2) ON CONFLICT (id) DO NOTHING",
        params![id.as_str(), at],
    )?;
    Ok(())
}

enum Standing {
    Unknown,
    Kept,
    Erased,
}

pub(super) fn expect(db: &Connection, id: &InspectionId) -> Result<(), NotebookError> {
    match standing(db, id)? {
        Standing::Kept => Ok(()),
        Standing::Erased => Err(NotebookError::Erased { id: id.to_string() }),
        Standing::Unknown => Err(NotebookError::NoInspection { got: id.to_string() }),
    }
}

pub(super) fn is_erased(db: &Connection, id: &InspectionId) -> Result<bool, NotebookError> {
    Ok(matches!(standing(db, id)?, Standing::Erased))
}

fn standing(db: &Connection, id: &InspectionId) -> Result<Standing, NotebookError> {
    let mut query = db.prepare_cached("SELECT erased_at IS NOT NULL FROM inspections WHERE id = ?1")?;
    Ok(match query.query_row(params![id.as_str()], |row| row.get(0)).optional()? {
        None => Standing::Unknown,
        Some(false) => Standing::Kept,
        Some(true) => Standing::Erased,
    })
}

pub(super) fn erase(db: &Connection, id: &InspectionId, at: &Timestamp) -> Result<(), NotebookError> {
    expect(db, id)?;
    db.execute(
        "UPDATE inspections SET vin = NULL, registration = NULL, description = NULL, place = NULL, visited_at = NULL,
         erased_at = ?2 WHERE id = ?1",
        params![id.as_str(), at.to_rfc3339()],
    )?;
    Ok(())
}

/// Writes into the list what the entries say now.
pub(super) fn note(db: &Connection, id: &InspectionId) -> Result<(), NotebookError> {
    if is_erased(db, id)? {
        return Ok(());
    }
    let draft = Draft::of(id.clone(), read_entries(db, id)?.0);
    let text = |path: &str| draft.values.get(path).and_then(Value::as_str);
    let changed = draft.entries().iter().map(|entry| entry.written_at).max();
    db.execute(
        "UPDATE inspections SET vin = ?2, registration = ?3, description = ?4, place = ?5, visited_at = ?6,
         changed_at = coalesce(?7, changed_at) WHERE id = ?1",
        params![
            id.as_str(),
            text("car.vin"),
            text("car.registration"),
            text("car.description"),
            text("place"),
            text("visited_at"),
            changed.map(|at| at.to_rfc3339()),
        ],
    )?;
    Ok(())
}
