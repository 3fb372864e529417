//! The database's form and the way from every earlier one.

use rusqlite::Connection;

use crate::NotebookError;

/// Marks a file as a notebook ("rims").
const APPLICATION: i32 = 0x7269_6d73;

/// Each step leads from the form of its place to the next; `tests/forms` holds a notebook of every earlier form.
const STEPS: &[&str] =
    &[include_str!("form-1.sql"), include_str!("form-2.sql"), include_str!("form-3.sql"), include_str!("form-4.sql")];

pub(super) fn prepare(db: &mut Connection) -> Result<(), NotebookError> {
    // A phone may die at any moment: a commit that returned is on the disk.
    db.pragma_update(None, "journal_mode", "WAL")?;
    db.pragma_update(None, "synchronous", "FULL")?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "secure_delete", true)?;
    let form: u32 = db.pragma_query_value(None, "user_version", |row| row.get(0))?;
    let application: i32 = db.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let tables: u32 = db.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    if application != APPLICATION && (tables > 0 || form > 0) {
        return Err(NotebookError::Foreign);
    }
    let known = u32::try_from(STEPS.len()).unwrap_or(u32::MAX);
    if form > known {
        return Err(NotebookError::Newer { got: form, known });
    }
    for (step, next) in STEPS.iter().zip(1_u32..).skip(form as usize) {
        let change = db.transaction()?;
        change.execute_batch(step)?;
        change.pragma_update(None, "user_version", next)?;
        change.pragma_update(None, "application_id", APPLICATION)?;
        change.commit()?;
    }
    Ok(())
}
