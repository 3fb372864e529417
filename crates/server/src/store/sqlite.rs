//! The rows in SQLite: one file, one machine, any number of processes.

use std::{
    fs::File,
    path::{Path, PathBuf},
    sync::{Mutex, MutexGuard, PoisonError},
    time::Duration,
};

use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension as _, TransactionBehavior, params};

use super::{FirmId, LogRows, StoreError};

/// Each step leads from the form of its place to the next.
const STEPS: [&str; 4] =
    [include_str!("log.sql"), include_str!("office.sql"), include_str!("sync.sql"), include_str!("reports.sql")];
/// Marks a file as the office's ("rimo").
const APPLICATION: i32 = 0x7269_6d6f;
/// How long one process waits for another's transaction.
const PATIENCE: Duration = Duration::from_secs(30);

/// The office's database.
#[derive(Debug)]
pub struct SqliteRows {
    db: Mutex<Connection>,
    locks: PathBuf,
}

impl SqliteRows {
    /// Opens the database, which is made where it is missing, and brings its form up to date.
    ///
    /// # Errors
    /// A file that is no office's, or of a later form; a disk that refuses.
    pub fn open(file: &Path) -> Result<Self, StoreError> {
        let mut db = Connection::open(file)?;
        db.busy_timeout(PATIENCE)?;
        db.pragma_update(None, "journal_mode", "WAL")?;
        // What was committed is on the disk: a head is signed over nothing less.
        db.pragma_update(None, "synchronous", "FULL")?;
        prepare(&mut db)?;
        Ok(Self { db: Mutex::new(db), locks: file.with_extension("locks") })
    }

    pub(super) fn db(&self) -> MutexGuard<'_, Connection> {
        // Whoever died with the lock left a transaction that was rolled back.
        self.db.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A time as the rows keep it.
pub(super) fn at(seconds: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(seconds, 0).unwrap_or_default()
}

fn prepare(db: &mut Connection) -> Result<(), StoreError> {
    // Two processes may open a new file at once: the second one sees what the first has made.
    let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let form: u32 = change.pragma_query_value(None, "user_version", |row| row.get(0))?;
    let application: i32 = change.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let tables: u32 = change.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    if application != APPLICATION && (tables > 0 || form > 0) {
        return Err(StoreError::Failed("the file is no office's database".to_owned()));
    }
    let known = u32::try_from(STEPS.len()).unwrap_or(u32::MAX);
    if form > known {
        return Err(StoreError::Failed(format!("the database has form {form}, and this program knows up to {known}")));
    }
    for step in &STEPS[form as usize..] {
        change.execute_batch(step)?;
    }
    change.pragma_update(None, "user_version", known)?;
    change.pragma_update(None, "application_id", APPLICATION)?;
    Ok(change.commit()?)
}

fn count(db: &Connection, firm: &FirmId) -> Result<u64, StoreError> {
    let mut query = db.prepare_cached("SELECT max(number) + 1 FROM log_entries WHERE firm = ?1")?;
    Ok(query.query_row(params![firm.as_str()], |row| row.get::<_, Option<u64>>(0))?.unwrap_or(0))
}

impl LogRows for SqliteRows {
    fn count(&self, firm: &FirmId) -> Result<u64, StoreError> {
        count(&self.db(), firm)
    }

    fn entries(&self, firm: &FirmId, from: u64, most: u64) -> Result<Vec<Vec<u8>>, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached(
            "SELECT number, entry FROM log_entries WHERE firm = ?1 AND number >= ?2 ORDER BY number LIMIT ?3",
        )?;
        let rows =
            query.query_map(params![firm.as_str(), from, most], |row| Ok((row.get::<_, u64>(0)?, row.get(1)?)))?;
        let mut entries = Vec::new();
        for (row, expected) in rows.zip(from..) {
            let (number, entry) = row?;
            if number != expected {
                return Err(StoreError::Failed(format!("entry {expected} of {firm} is missing")));
            }
            entries.push(entry);
        }
        Ok(entries)
    }

    fn append(&self, firm: &FirmId, thought: u64, entries: &[Vec<u8>]) -> Result<(), StoreError> {
        let mut db = self.db();
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let now = count(&change, firm)?;
        if now != thought {
            return Err(StoreError::Moved { thought, now });
        }
        {
            let mut insert =
                change.prepare_cached("INSERT INTO log_entries (firm, number, entry) VALUES (?1, ?2, ?3)")?;
            for (entry, number) in entries.iter().zip(thought..) {
                insert.execute(params![firm.as_str(), number, entry])?;
            }
        }
        Ok(change.commit()?)
    }

    fn head(&self, firm: &FirmId) -> Result<Option<String>, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached("SELECT head FROM log_heads WHERE firm = ?1 ORDER BY size DESC LIMIT 1")?;
        Ok(query.query_row(params![firm.as_str()], |row| row.get(0)).optional()?)
    }

    fn keep_head(&self, firm: &FirmId, size: u64, text: &str) -> Result<(), StoreError> {
        self.db().execute(
            "INSERT INTO log_heads (firm, size, head) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
            params![firm.as_str(), size, text],
        )?;
        Ok(())
    }

    fn alone(&self, firm: &FirmId, work: &mut dyn FnMut() -> Result<(), StoreError>) -> Result<(), StoreError> {
        std::fs::create_dir_all(&self.locks)?;
        let file = File::create(self.locks.join(firm.as_str()))?;
        // The system lets go of it when the process ends, however it ends.
        file.lock()?;
        work()
    }
}
