//! The rows in PostgreSQL: any number of machines.

use std::{error::Error as _, fmt, time::Duration};

use bytes::BytesMut;
use postgres::{
    Config, GenericClient, IsolationLevel, Transaction,
    types::{IsNull, ToSql, Type, to_sql_checked},
};
use sha2::Digest as _;

use super::{
    FirmId, StoreError,
    connections::{Connection, Connections, Prepared},
    rows::{Database, Given, Row, Rows, Statements, Value},
    tables::{STEPS, spell_for_postgres},
};

/// Connections of one process for its statements.
const MOST_CONNECTIONS: usize = 16;
/// Connections besides, each of which holds a firm's log for whoever works on it alone: whoever holds one takes another one
/// for the statements, so these are not of the same pool.
const MOST_ALONE: usize = 8;
/// How long one process waits for another, or for a connection.
const PATIENCE: Duration = Duration::from_secs(30);
/// How each connection is set. What was committed is on the disk whatever the server's own usage is; whoever holds a lock and
/// does nothing, or is gone without a word, loses it.
const SETTINGS: &str = "-c synchronous_commit=on -c statement_timeout=60000 -c lock_timeout=30000 \
     -c idle_in_transaction_session_timeout=120000 -c tcp_keepalives_idle=20 -c tcp_keepalives_interval=5 \
     -c tcp_keepalives_count=3";

/// A database of PostgreSQL.
pub struct Postgres {
    usual: Connections,
    alone: Connections,
}

impl fmt::Debug for Postgres {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Postgres").finish_non_exhaustive()
    }
}

/// The rows of an office in PostgreSQL.
pub type PostgresRows = Rows<Postgres>;

impl Rows<Postgres> {
    /// Connects to the database of this address (`postgres://…`) and brings its form up to date. The address may demand TLS
    /// (`sslmode=require`): the server's certificate is then judged by the system's own roots.
    ///
    /// # Errors
    /// An address that is none, a database that does not answer, one of a later form.
    pub fn connect(address: &str) -> Result<Self, StoreError> {
        // Whatever is wrong with it, the address holds a password and is not repeated.
        let mut config: Config = address
            .parse()
            .map_err(|_| StoreError::Failed("the database's address is none of PostgreSQL".to_owned()))?;
        let options = config.get_options().map_or_else(|| SETTINGS.to_owned(), |own| format!("{own} {SETTINGS}"));
        config.options(&options).connect_timeout(PATIENCE).application_name("rimside");
        let make = |most| Connections::new(&config, most, PATIENCE);
        let db = Postgres { usual: make(MOST_CONNECTIONS), alone: make(MOST_ALONE) };
        db.prepare()?;
        Ok(Self { db })
    }
}

impl From<postgres::Error> for StoreError {
    fn from(error: postgres::Error) -> Self {
        // The error itself says no more than that there was one.
        let why = error.as_db_error().map(|error| error.message().to_owned());
        let why = why.or_else(|| error.source().map(ToString::to_string));
        Self::Failed(why.map_or_else(|| error.to_string(), |why| format!("PostgreSQL: {why}")))
    }
}

/// What is locked for a firm.
#[derive(Clone, Copy)]
enum Lock {
    /// The form of the database.
    Form,
    /// Giving numbers.
    Rows,
    /// The log.
    Log,
}

impl Lock {
    /// The number under which PostgreSQL knows it. Two firms that had the same one would only wait for each other.
    fn number(self, firm: &str) -> i64 {
        let what = match self {
            Self::Form => "form",
            Self::Rows => "rows",
            Self::Log => "log",
        };
        let digest = sha2::Sha256::digest(format!("rimside {what} {firm}"));
        digest.iter().take(8).fold(0, |number, &byte| (number << 8) | i64::from(byte))
    }
}

/// A transaction that nobody else has a like one of, until it ends, however it ends; and what is prepared on its connection.
fn begin<'a>(
    connection: &'a mut Connection,
    lock: Lock,
    firm: &str,
) -> Result<(Transaction<'a>, &'a mut Prepared), StoreError> {
    let Connection { client, prepared, .. } = connection;
    // Behind the lock, each statement sees what was committed before it.
    let mut change = client.build_transaction().isolation_level(IsolationLevel::ReadCommitted).start()?;
    let given = [Given::Whole(Some(lock.number(firm)))];
    Running(&mut change, prepared).run("SELECT pg_advisory_xact_lock(?1)", &given)?;
    Ok((change, prepared))
}

impl Postgres {
    fn change_together<T>(
        &self,
        firm: &FirmId,
        setting: &str,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.usual.with(|connection| {
            let (mut change, prepared) = begin(connection, Lock::Rows, firm.as_str())?;
            if !setting.is_empty() {
                change.batch_execute(setting)?;
            }
            let done = work(&mut Running(&mut change, prepared))?;
            change.commit()?;
            Ok(done)
        })
    }

    fn prepare(&self) -> Result<(), StoreError> {
        self.usual.with(|connection| {
            let (mut change, _) = begin(connection, Lock::Form, "")?;
            change.batch_execute("CREATE TABLE IF NOT EXISTS office_form (form BIGINT NOT NULL)")?;
            let row = change.query_opt("SELECT max(form) FROM office_form", &[])?;
            let form = row.and_then(|row| row.get::<_, Option<i64>>(0)).unwrap_or(0);
            let steps = usize::try_from(form).ok().and_then(|form| STEPS.get(form..));
            let Some(steps) = steps else {
                let known = STEPS.len();
                return Err(StoreError::Failed(format!(
                    "the database has form {form}, and this program knows up to {known}"
                )));
            };
            for step in steps {
                change.batch_execute(&spell_for_postgres(step))?;
            }
            if !steps.is_empty() {
                let known = i64::try_from(STEPS.len()).unwrap_or(i64::MAX);
                change.execute("INSERT INTO office_form (form) VALUES ($1)", &[&known])?;
            }
            Ok(change.commit()?)
        })
    }
}

impl ToSql for Given<'_> {
    fn to_sql(&self, kind: &Type, out: &mut BytesMut) -> Result<IsNull, Box<dyn std::error::Error + Sync + Send>> {
        match self {
            Self::Whole(value) => value.to_sql(kind, out),
            Self::Text(value) => value.to_sql(kind, out),
            Self::Bytes(value) => value.to_sql(kind, out),
        }
    }

    fn accepts(kind: &Type) -> bool {
        [Type::INT8, Type::TEXT, Type::BYTEA].contains(kind)
    }

    to_sql_checked!();
}

const fn kind(given: &Given<'_>) -> Type {
    match given {
        Given::Whole(_) => Type::INT8,
        Given::Text(_) => Type::TEXT,
        Given::Bytes(_) => Type::BYTEA,
    }
}

/// The kind of many of it.
const fn kind_of_many(given: &Given<'_>) -> Type {
    match given {
        Given::Whole(_) => Type::INT8_ARRAY,
        Given::Text(_) => Type::TEXT_ARRAY,
        Given::Bytes(_) => Type::BYTEA_ARRAY,
    }
}

/// Statements of a connection or of a transaction on it.
struct Running<'a, C>(&'a mut C, &'a mut Prepared);

fn as_params<T: ToSql + Sync>(given: &[T]) -> Vec<&(dyn ToSql + Sync)> {
    given.iter().map(|one| one as _).collect()
}

fn read(row: &postgres::Row) -> Result<Row, StoreError> {
    let values = row.columns().iter().enumerate().map(|(nth, column)| {
        let value = match *column.type_() {
            Type::INT8 => row.try_get::<_, Option<i64>>(nth)?.map(Value::Whole),
            Type::BYTEA => row.try_get::<_, Option<Vec<u8>>>(nth)?.map(Value::Bytes),
            _ => row.try_get::<_, Option<String>>(nth)?.map(Value::Text),
        };
        Ok(value.unwrap_or(Value::Nothing))
    });
    Ok(Row::new(values.collect::<Result<_, postgres::Error>>()?))
}

impl<C: GenericClient> Statements for Running<'_, C> {
    fn run(&mut self, sql: &str, given: &[Given<'_>]) -> Result<u64, StoreError> {
        let kinds: Vec<Type> = given.iter().map(kind).collect();
        let statement = self.1.find(self.0, sql, &kinds)?;
        Ok(self.0.execute(&statement, &as_params(given))?)
    }

    fn read(&mut self, sql: &str, given: &[Given<'_>]) -> Result<Vec<Row>, StoreError> {
        let kinds: Vec<Type> = given.iter().map(kind).collect();
        let statement = self.1.find(self.0, sql, &kinds)?;
        self.0.query(&statement, &as_params(given))?.iter().map(read).collect()
    }

    /// All rows go with one statement, as an array of each column.
    fn run_each(&mut self, sql: &str, each: &[Vec<Given<'_>>]) -> Result<(), StoreError> {
        let Some(first) = each.first() else { return Ok(()) };
        let Some(sql) = spell_for_many(sql, first.len()) else {
            return each.iter().try_for_each(|given| self.run(sql, given).map(|_| ()));
        };
        let kinds: Vec<Type> = first.iter().map(kind_of_many).collect();
        let statement = self.1.find(self.0, &sql, &kinds)?;
        let column = |nth: usize| each.iter().map(|row| row[nth]).collect();
        let columns: Vec<Vec<Given<'_>>> = (0..first.len()).map(column).collect();
        self.0.execute(&statement, &as_params(&columns))?;
        Ok(())
    }
}

/// The statement that does for any number of rows what this one does for one of so many columns; none where it does not
/// speak of a row.
fn spell_for_many(sql: &str, columns: usize) -> Option<String> {
    let (start, rest) = sql.split_once("VALUES (")?;
    let (_, end) = rest.split_once(')')?;
    let list = |name: &str| (1..=columns).map(|nth| format!("{name}{nth}")).collect::<Vec<_>>().join(", ");
    // The columns of a row that is spelled out have these names as well.
    Some(format!("{start}SELECT * FROM unnest({}) AS many ({}){end}", list("?"), list("column")))
}

impl Database for Postgres {
    fn each<T>(&self, work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>) -> Result<T, StoreError> {
        self.usual.with(|Connection { client, prepared, .. }| work(&mut Running(client, prepared)))
    }

    fn together<T>(
        &self,
        firm: &FirmId,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.change_together(firm, "", work)
    }

    fn together_soon<T>(
        &self,
        firm: &FirmId,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.change_together(firm, "SET LOCAL synchronous_commit TO off", work)
    }

    fn alone(&self, firm: &FirmId, work: &mut dyn FnMut() -> Result<(), StoreError>) -> Result<(), StoreError> {
        self.alone.with(|connection| {
            let (held, _) = begin(connection, Lock::Log, firm.as_str())?;
            let done = work();
            // It has changed nothing itself; whoever waits may begin.
            held.rollback()?;
            done
        })
    }
}
