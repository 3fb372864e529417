//! The rows in SQLite: one file, one machine, any number of processes.

use std::{
    fs::OpenOptions,
    io::ErrorKind,
    path::{Path, PathBuf},
    sync::{Mutex, MutexGuard, PoisonError},
    time::Duration,
};

use rusqlite::{
    Connection, Statement, TransactionBehavior, params_from_iter,
    types::{ToSql, ToSqlOutput, ValueRef},
};

use super::{
    FirmId, StoreError,
    rows::{Database, Given, Row, Rows, Statements, Value},
    tables::STEPS,
};

/// Marks a file as the office's ("rimo").
const APPLICATION: i32 = 0x7269_6d6f;
/// How long one process waits for another's transaction.
const PATIENCE: Duration = Duration::from_secs(30);

/// A database of SQLite.
#[derive(Debug)]
pub struct Sqlite {
    connection: Mutex<Connection>,
    /// One that does not wait for the disk.
    soon: Mutex<Connection>,
    locks: PathBuf,
}

/// The rows of an office in SQLite.
pub type SqliteRows = Rows<Sqlite>;

impl Rows<Sqlite> {
    /// Opens the database, which is made where it is missing, and brings its form up to date.
    ///
    /// # Errors
    /// A file that is no office's, or of a later form; a disk that refuses.
    pub fn open(file: &Path) -> Result<Self, StoreError> {
        // What was committed is on the disk: a head is signed over nothing less.
        let mut connection = connect(file, "FULL")?;
        prepare(&mut connection)?;
        let (connection, soon) = (Mutex::new(connection), Mutex::new(connect(file, "NORMAL")?));
        Ok(Self { db: Sqlite { connection, soon, locks: file.with_extension("locks") } })
    }
}

fn connect(file: &Path, synchronous: &str) -> Result<Connection, StoreError> {
    let connection = Connection::open(file)?;
    connection.busy_timeout(PATIENCE)?;
    connection.pragma_update(None, "journal_mode", "WAL")?;
    connection.pragma_update(None, "synchronous", synchronous)?;
    Ok(connection)
}

fn lock(connection: &Mutex<Connection>) -> MutexGuard<'_, Connection> {
    // Whoever died with the lock left a transaction that was rolled back.
    connection.lock().unwrap_or_else(PoisonError::into_inner)
}

fn change_together<T>(
    connection: &Mutex<Connection>,
    work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
) -> Result<T, StoreError> {
    let mut connection = lock(connection);
    // The database's one writing lock keeps everybody else from giving numbers.
    let change = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let done = work(&mut &*change)?;
    change.commit()?;
    Ok(done)
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

impl ToSql for Given<'_> {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        let value = match *self {
            Self::Whole(Some(number)) => ValueRef::Integer(number),
            Self::Text(Some(text)) => ValueRef::Text(text.as_bytes()),
            Self::Bytes(Some(bytes)) => ValueRef::Blob(bytes),
            Self::Whole(None) | Self::Text(None) | Self::Bytes(None) => ValueRef::Null,
        };
        Ok(ToSqlOutput::Borrowed(value))
    }
}

impl Statements for &Connection {
    fn run(&mut self, sql: &str, given: &[Given<'_>]) -> Result<u64, StoreError> {
        let mut statement = self.prepare_cached(sql)?;
        Ok(statement.execute(params_from_iter(given))? as u64)
    }

    fn run_each(&mut self, sql: &str, each: &[Vec<Given<'_>>]) -> Result<(), StoreError> {
        let mut statement = self.prepare_cached(sql)?;
        for given in each {
            statement.execute(params_from_iter(given))?;
        }
        Ok(())
    }

    fn read(&mut self, sql: &str, given: &[Given<'_>]) -> Result<Vec<Row>, StoreError> {
        let mut statement = self.prepare_cached(sql)?;
        let columns = statement.column_count();
        let mut found = Vec::new();
        let mut rows = query(&mut statement, given)?;
        while let Some(row) = rows.next()? {
            let values = (0..columns).map(|nth| {
                Ok(match row.get_ref(nth)? {
                    ValueRef::Null => Value::Nothing,
                    ValueRef::Integer(number) => Value::Whole(number),
                    ValueRef::Text(text) => Value::Text(String::from_utf8_lossy(text).into_owned()),
                    ValueRef::Blob(bytes) => Value::Bytes(bytes.to_vec()),
                    ValueRef::Real(number) => {
                        return Err(StoreError::Failed(format!("a row has {number}, which nobody wrote")));
                    }
                })
            });
            found.push(Row::new(values.collect::<Result<_, StoreError>>()?));
        }
        Ok(found)
    }
}

fn query<'a>(statement: &'a mut Statement<'_>, given: &[Given<'_>]) -> rusqlite::Result<rusqlite::Rows<'a>> {
    statement.query(params_from_iter(given))
}

impl Database for Sqlite {
    fn each<T>(&self, work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>) -> Result<T, StoreError> {
        work(&mut &*lock(&self.connection))
    }

    fn together<T>(
        &self,
        _firm: &FirmId,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        change_together(&self.connection, work)
    }

    fn together_soon<T>(
        &self,
        _firm: &FirmId,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        // SQLite has whoever comes second sleep; here he waits.
        let _turn = lock(&self.connection);
        change_together(&self.soon, work)
    }

    fn alone(&self, firm: &FirmId, work: &mut dyn FnMut() -> Result<(), StoreError>) -> Result<(), StoreError> {
        let mut options = OpenOptions::new();
        options.create(true).write(true).truncate(false);
        let name = self.locks.join(firm.as_str());
        let file = match options.open(&name) {
            Err(error) if error.kind() == ErrorKind::NotFound => {
                std::fs::create_dir_all(&self.locks)?;
                options.open(&name)?
            }
            opened => opened?,
        };
        // The system lets go of it when the process ends, however it ends.
        file.lock()?;
        work()
    }
}
