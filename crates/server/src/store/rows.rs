//! The rows of an office over any database of SQL: what a database has to do, and what every table says in words that all
//! of them understand.
//!
//! The statements are written once, for SQLite and PostgreSQL alike. So they keep to what both mean alike: `?1`, `?2` for
//! what is given, whole numbers, texts and bytes, `ON CONFLICT`, `RETURNING`, no function of one side alone.

use chrono::{DateTime, Utc};
use model::Sha256;

use super::{FirmId, StoreError};

/// The rows of an office in a database.
#[derive(Debug)]
pub struct Rows<D> {
    pub(crate) db: D,
}

/// A value that a statement is given. Its kind is known where there is none as well.
#[derive(Debug, Clone, Copy)]
pub enum Given<'a> {
    /// A whole number.
    Whole(Option<i64>),
    /// A text.
    Text(Option<&'a str>),
    /// Bytes.
    Bytes(Option<&'a [u8]>),
}

impl Given<'static> {
    /// A count or a number of the office's own.
    ///
    /// # Errors
    /// One beyond what a database keeps (2⁶³ − 1).
    pub fn count(number: u64) -> Result<Self, StoreError> {
        let fits = i64::try_from(number);
        fits.map(|number| Self::Whole(Some(number))).map_err(|_| StoreError::Failed(format!("{number} is too large")))
    }
}

impl<'a> From<&'a FirmId> for Given<'a> {
    fn from(firm: &'a FirmId) -> Self {
        Self::Text(Some(firm.as_str()))
    }
}

impl<'a> From<&'a str> for Given<'a> {
    fn from(text: &'a str) -> Self {
        Self::Text(Some(text))
    }
}

impl<'a> From<&'a [u8]> for Given<'a> {
    fn from(bytes: &'a [u8]) -> Self {
        Self::Bytes(Some(bytes))
    }
}

impl<'a> From<&'a [u8; 32]> for Given<'a> {
    fn from(bytes: &'a [u8; 32]) -> Self {
        Self::Bytes(Some(bytes))
    }
}

impl<'a> From<&'a Sha256> for Given<'a> {
    fn from(digest: &'a Sha256) -> Self {
        Self::Bytes(Some(digest.as_bytes()))
    }
}

impl From<DateTime<Utc>> for Given<'_> {
    fn from(time: DateTime<Utc>) -> Self {
        Self::Whole(Some(time.timestamp()))
    }
}

/// A value that a database has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// None.
    Nothing,
    /// A whole number.
    Whole(i64),
    /// A text.
    Text(String),
    /// Bytes.
    Bytes(Vec<u8>),
}

impl Value {
    /// It, to be given to another statement of a column of the same kind.
    pub(crate) fn give(&self, like: &'static str) -> Given<'_> {
        match self {
            Self::Whole(number) => Given::Whole(Some(*number)),
            Self::Text(text) => Given::Text(Some(text)),
            Self::Bytes(bytes) => Given::Bytes(Some(bytes)),
            Self::Nothing if like == WHOLE => Given::Whole(None),
            Self::Nothing if like == BYTES => Given::Bytes(None),
            Self::Nothing => Given::Text(None),
        }
    }
}

/// The kinds of columns, as the tables' own text spells them.
pub(super) const WHOLE: &str = "INTEGER";
pub(super) const TEXT: &str = "TEXT";
pub(super) const BYTES: &str = "BLOB";

/// A row that was read. Columns are taken in their order.
#[derive(Debug)]
pub struct Row {
    values: std::vec::IntoIter<Value>,
}

fn unreadable(what: &str) -> StoreError {
    StoreError::Failed(format!("a row is not as it was written: {what}"))
}

impl Row {
    pub(super) fn new(values: Vec<Value>) -> Self {
        Self { values: values.into_iter() }
    }

    /// All that is left of it.
    pub(crate) fn into_values(self) -> Vec<Value> {
        self.values.collect()
    }

    pub(super) fn next_value(&mut self) -> Result<Value, StoreError> {
        self.values.next().ok_or_else(|| unreadable("it has too few columns"))
    }

    pub(super) fn maybe_whole(&mut self) -> Result<Option<i64>, StoreError> {
        match self.next_value()? {
            Value::Nothing => Ok(None),
            Value::Whole(number) => Ok(Some(number)),
            other => Err(unreadable(&format!("{other:?}, expected a whole number"))),
        }
    }

    pub(super) fn maybe_text(&mut self) -> Result<Option<String>, StoreError> {
        match self.next_value()? {
            Value::Nothing => Ok(None),
            Value::Text(text) => Ok(Some(text)),
            other => Err(unreadable(&format!("{other:?}, expected a text"))),
        }
    }

    pub(super) fn whole(&mut self) -> Result<i64, StoreError> {
        self.maybe_whole()?.ok_or_else(|| unreadable("nothing, expected a whole number"))
    }

    pub(crate) fn count(&mut self) -> Result<u64, StoreError> {
        let number = self.whole()?;
        u64::try_from(number).map_err(|_| unreadable(&format!("{number}, expected a count")))
    }

    pub(super) fn text(&mut self) -> Result<String, StoreError> {
        self.maybe_text()?.ok_or_else(|| unreadable("nothing, expected a text"))
    }

    pub(super) fn bytes(&mut self) -> Result<Vec<u8>, StoreError> {
        match self.next_value()? {
            Value::Bytes(bytes) => Ok(bytes),
            other => Err(unreadable(&format!("{other:?}, expected bytes"))),
        }
    }

    pub(crate) fn sha256(&mut self) -> Result<Sha256, StoreError> {
        let bytes = <[u8; 32]>::try_from(self.bytes()?);
        bytes.map(Sha256::new).map_err(|bytes| unreadable(&format!("{} bytes, expected 32", bytes.len())))
    }

    pub(super) fn time(&mut self) -> Result<DateTime<Utc>, StoreError> {
        self.whole().map(at)
    }

    pub(super) fn maybe_time(&mut self) -> Result<Option<DateTime<Utc>>, StoreError> {
        Ok(self.maybe_whole()?.map(at))
    }

    /// A text that is the name of something.
    pub(super) fn named<T: std::str::FromStr>(&mut self) -> Result<T, StoreError> {
        let text = self.text()?;
        text.parse().map_err(|_| unreadable(&format!("{text:?}")))
    }
}

/// A time as the rows keep it.
fn at(seconds: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(seconds, 0).unwrap_or_default()
}

/// Statements that are run one after another.
pub trait Statements {
    /// Runs a statement; how many rows it changed.
    fn run(&mut self, sql: &str, given: &[Given<'_>]) -> Result<u64, StoreError>;

    /// Runs a statement that has rows as its answer.
    fn read(&mut self, sql: &str, given: &[Given<'_>]) -> Result<Vec<Row>, StoreError>;

    /// Runs the same statement for each of these.
    fn run_each(&mut self, sql: &str, each: &[Vec<Given<'_>>]) -> Result<(), StoreError> {
        each.iter().try_for_each(|given| self.run(sql, given).map(|_| ()))
    }

    /// The first row of the answer.
    fn read_one(&mut self, sql: &str, given: &[Given<'_>]) -> Result<Option<Row>, StoreError> {
        Ok(self.read(sql, given)?.into_iter().next())
    }
}

pub(super) fn find_whither(statements: &mut dyn Statements, firm: &FirmId) -> Result<Option<String>, StoreError> {
    let row = statements.read_one("SELECT whither FROM moved WHERE firm = ?1", &[firm.into()])?;
    row.map(|mut row| row.text()).transpose()
}

fn check_stands(statements: &mut dyn Statements, firm: &FirmId) -> Result<(), StoreError> {
    let whither = find_whither(statements, firm)?;
    whither.map_or(Ok(()), |whither| Err(StoreError::Gone { firm: firm.to_string(), whither }))
}

/// A database that can stand behind an office.
pub trait Database: Send + Sync {
    /// Runs statements that each count by themselves.
    fn each<T>(&self, work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>) -> Result<T, StoreError>;

    /// Runs statements that count together or not at all, and while nobody else does so for this firm: numbers that are
    /// given meanwhile are seen in their order, and none is skipped. What was done is on the disk when this returns.
    fn together<T>(
        &self,
        firm: &FirmId,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError>;

    /// As `together`, for what can be made anew: everybody sees at once what was done, and it is on the disk with the next
    /// thing that is.
    fn together_soon<T>(
        &self,
        firm: &FirmId,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError>;

    /// Does something else while nobody else does so for this firm, in any process.
    fn alone(&self, firm: &FirmId, work: &mut dyn FnMut() -> Result<(), StoreError>) -> Result<(), StoreError>;
}

impl<D: Database> Rows<D> {
    /// Runs statements together, unless the firm's rows have moved: whoever still serves the place where they were must not
    /// put others behind them.
    pub(super) fn together<T>(
        &self,
        firm: &FirmId,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.db.together(firm, |statements| {
            check_stands(statements, firm)?;
            work(statements)
        })
    }

    /// Runs one statement that changes something, and does not wait for the disk.
    pub(super) fn change_soon(&self, firm: &FirmId, sql: &str, given: &[Given<'_>]) -> Result<u64, StoreError> {
        self.db.together_soon(firm, |statements| {
            check_stands(statements, firm)?;
            statements.run(sql, given)
        })
    }

    /// Runs one statement that changes something; how many rows.
    pub(super) fn change(&self, firm: &FirmId, sql: &str, given: &[Given<'_>]) -> Result<u64, StoreError> {
        self.together(firm, |statements| statements.run(sql, given))
    }

    /// Where a firm's rows have moved to, if they have.
    ///
    /// # Errors
    /// The database.
    pub fn whither(&self, firm: &FirmId) -> Result<Option<String>, StoreError> {
        self.db.each(|statements| find_whither(statements, firm))
    }

    /// The rows of the answer, each read.
    pub(super) fn list<T>(
        &self,
        sql: &str,
        given: &[Given<'_>],
        read: impl Fn(&mut Row) -> Result<T, StoreError>,
    ) -> Result<Vec<T>, StoreError> {
        let rows = self.db.each(|statements| statements.read(sql, given))?;
        rows.into_iter().map(|mut row| read(&mut row)).collect()
    }

    /// The first row of the answer, read.
    pub(super) fn find<T>(
        &self,
        sql: &str,
        given: &[Given<'_>],
        read: impl Fn(&mut Row) -> Result<T, StoreError>,
    ) -> Result<Option<T>, StoreError> {
        let row = self.db.each(|statements| statements.read_one(sql, given))?;
        row.map(|mut row| read(&mut row)).transpose()
    }

    /// Whether the answer has a row.
    pub(super) fn exists(&self, sql: &str, given: &[Given<'_>]) -> Result<bool, StoreError> {
        Ok(self.find(sql, given, |_| Ok(()))?.is_some())
    }
}
