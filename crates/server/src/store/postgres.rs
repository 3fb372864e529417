//! The rows in PostgreSQL: any number of machines.

use std::{borrow::Cow, error::Error as _, fmt, time::Duration};

use bytes::BytesMut;
use deadpool_postgres::{
    Client, GenericClient, Manager, ManagerConfig, Pool, PoolError, RecyclingMethod, Runtime, Transaction,
};
use futures_util::future::try_join_all;
use sha2::Digest as _;
use tokio_postgres::{
    Config, IsolationLevel, Statement,
    config::SslMode,
    types::{IsNull, ToSql, Type, to_sql_checked},
};

use super::{
    FirmId, StoreError,
    remote::wait,
    rows::{Database, Given, Row, Rows, Statements, Value},
    tables::{STEPS, spell_for_postgres},
    trust::client_tls,
};

/// Connections of one process for its statements.
const MOST_CONNECTIONS: usize = 16;
/// Connections besides, each of which holds a firm's log for whoever works on it alone: whoever holds one takes another one
/// for the statements, so these are not of the same pool.
const MOST_ALONE: usize = 8;
/// So many rows are put with one statement.
const MOST_ROWS: usize = 64;
/// How long one process waits for another, or for a connection.
const PATIENCE: Duration = Duration::from_secs(30);
/// How each connection is set. What was committed is on the disk whatever the server's own usage is; whoever holds a lock and
/// does nothing, or is gone without a word, loses it.
const SETTINGS: &str = "-c synchronous_commit=on -c statement_timeout=60000 -c lock_timeout=30000 \
     -c idle_in_transaction_session_timeout=120000 -c tcp_keepalives_idle=20 -c tcp_keepalives_interval=5 \
     -c tcp_keepalives_count=3";

/// A database of PostgreSQL.
pub struct Postgres {
    pool: Pool,
    alone: Pool,
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
        config.options(options).connect_timeout(PATIENCE).application_name("rimside");
        let (pool, alone) = (make_pool(&config, MOST_CONNECTIONS)?, make_pool(&config, MOST_ALONE)?);
        let db = Postgres { pool, alone };
        wait(db.prepare())?;
        Ok(Self { db })
    }
}

fn make_pool(config: &Config, most: usize) -> Result<Pool, StoreError> {
    let usual = ManagerConfig { recycling_method: RecyclingMethod::Fast };
    let manager = if config.get_ssl_mode() == SslMode::Require {
        let tls = tokio_postgres_rustls::MakeRustlsConnect::new(client_tls()?);
        Manager::from_config(config.clone(), tls, usual)
    } else {
        Manager::from_config(config.clone(), tokio_postgres::NoTls, usual)
    };
    let pool = Pool::builder(manager).max_size(most).runtime(Runtime::Tokio1);
    let pool = pool.wait_timeout(Some(PATIENCE)).create_timeout(Some(PATIENCE)).build();
    pool.map_err(|error| StoreError::Failed(error.to_string()))
}

impl From<tokio_postgres::Error> for StoreError {
    fn from(error: tokio_postgres::Error) -> Self {
        // The error itself says no more than that there was one.
        let why = error.as_db_error().map(|error| error.message().to_owned());
        let why = why.or_else(|| error.source().map(ToString::to_string));
        Self::Failed(why.map_or_else(|| error.to_string(), |why| format!("PostgreSQL: {why}")))
    }
}

impl From<PoolError> for StoreError {
    fn from(error: PoolError) -> Self {
        match error {
            PoolError::Backend(error) => error.into(),
            PoolError::Timeout(_) => Self::Failed("PostgreSQL: no connection became free in time".to_owned()),
            other => Self::Failed(format!("PostgreSQL: {other}")),
        }
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

/// A transaction that nobody else has a like one of: until it ends, however it ends.
async fn begin<'a>(client: &'a mut Client, lock: Lock, firm: &str) -> Result<Transaction<'a>, StoreError> {
    // Behind the lock, each statement sees what was committed before it.
    let change = client.build_transaction().isolation_level(IsolationLevel::ReadCommitted).start().await?;
    let statement = change.prepare_cached("SELECT pg_advisory_xact_lock($1)").await?;
    change.query(&statement, &[&lock.number(firm)]).await?;
    Ok(change)
}

impl Postgres {
    fn change_together<T>(
        &self,
        firm: &FirmId,
        setting: &str,
        work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let mut client = wait(async { Ok(self.pool.get().await?) })?;
        let change = wait(begin(&mut client, Lock::Rows, firm.as_str()))?;
        if !setting.is_empty() {
            wait(async { Ok(change.batch_execute(setting).await?) })?;
        }
        let done = work(&mut Running(&change))?;
        wait(async { Ok(change.commit().await?) })?;
        Ok(done)
    }

    async fn prepare(&self) -> Result<(), StoreError> {
        let mut client = self.pool.get().await?;
        let change = begin(&mut client, Lock::Form, "").await?;
        change.batch_execute("CREATE TABLE IF NOT EXISTS office_form (form BIGINT NOT NULL)").await?;
        let row = change.query_opt("SELECT max(form) FROM office_form", &[]).await?;
        let form = row.and_then(|row| row.get::<_, Option<i64>>(0)).unwrap_or(0);
        let steps = usize::try_from(form).ok().and_then(|form| STEPS.get(form..));
        let Some(steps) = steps else {
            let known = STEPS.len();
            return Err(StoreError::Failed(format!(
                "the database has form {form}, and this program knows up to {known}"
            )));
        };
        for step in steps {
            change.batch_execute(&spell_for_postgres(step)).await?;
        }
        if !steps.is_empty() {
            let known = i64::try_from(STEPS.len()).unwrap_or(i64::MAX);
            change.execute("INSERT INTO office_form (form) VALUES ($1)", &[&known]).await?;
        }
        Ok(change.commit().await?)
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

/// Statements of a connection or of a transaction.
struct Running<'a, C>(&'a C);

impl<C: GenericClient> Running<'_, C> {
    async fn prepare(&self, sql: &str, given: &[Given<'_>]) -> Result<Statement, StoreError> {
        let kinds: Vec<Type> = given.iter().map(kind).collect();
        Ok(self.0.prepare_typed_cached(&sql.replace('?', "$"), &kinds).await?)
    }
}

fn as_params<'a>(given: &'a [Given<'a>]) -> Vec<&'a (dyn ToSql + Sync)> {
    given.iter().map(|one| one as _).collect()
}

fn read(row: &tokio_postgres::Row) -> Result<Row, StoreError> {
    let values = row.columns().iter().enumerate().map(|(nth, column)| {
        let value = match *column.type_() {
            Type::INT8 => row.try_get::<_, Option<i64>>(nth)?.map(Value::Whole),
            Type::BYTEA => row.try_get::<_, Option<Vec<u8>>>(nth)?.map(Value::Bytes),
            _ => row.try_get::<_, Option<String>>(nth)?.map(Value::Text),
        };
        Ok(value.unwrap_or(Value::Nothing))
    });
    Ok(Row::new(values.collect::<Result<_, tokio_postgres::Error>>()?))
}

impl<C: GenericClient> Statements for Running<'_, C> {
    fn run(&mut self, sql: &str, given: &[Given<'_>]) -> Result<u64, StoreError> {
        wait(async {
            let statement = self.prepare(sql, given).await?;
            Ok(self.0.execute(&statement, &as_params(given)).await?)
        })
    }

    fn read(&mut self, sql: &str, given: &[Given<'_>]) -> Result<Vec<Row>, StoreError> {
        wait(async {
            let statement = self.prepare(sql, given).await?;
            let rows = self.0.query(&statement, &as_params(given)).await?;
            rows.iter().map(read).collect()
        })
    }

    /// Rows are put many with a statement, and all are on their way before the first answer is back.
    fn run_each(&mut self, sql: &str, each: &[Vec<Given<'_>>]) -> Result<(), StoreError> {
        wait(async {
            let (mut left, mut runs) = (each, Vec::new());
            while let Some(first) = left.first() {
                let (sql, count) = spell_rows(sql, first.len(), left.len());
                let given: Vec<Given<'_>> = left[..count].iter().flatten().copied().collect();
                left = &left[count..];
                runs.push((self.prepare(&sql, &given).await?, given));
            }
            let client = self.0;
            let runs =
                runs.iter().map(|(statement, given)| async move { client.execute(statement, &as_params(given)).await });
            try_join_all(runs).await?;
            Ok(())
        })
    }
}

/// The statement for as many rows of so many as go with one, and how many these are. Few numbers of rows are told apart, so
/// that few statements have to be prepared.
fn spell_rows(sql: &str, columns: usize, rows: usize) -> (Cow<'_, str>, usize) {
    let Some((start, _)) = sql.rsplit_once("VALUES (").filter(|(_, end)| end.find(')') == Some(end.len() - 1)) else {
        return (sql.into(), 1);
    };
    let count = MOST_ROWS.min(1 << rows.ilog2());
    let row = |nth: usize| {
        let places: Vec<String> = (1..=columns).map(|column| format!("?{}", nth * columns + column)).collect();
        format!("({})", places.join(", "))
    };
    let all: Vec<String> = (0..count).map(row).collect();
    (format!("{start}VALUES {}", all.join(", ")).into(), count)
}

impl Database for Postgres {
    fn each<T>(&self, work: impl FnOnce(&mut dyn Statements) -> Result<T, StoreError>) -> Result<T, StoreError> {
        let client = wait(async { Ok(self.pool.get().await?) })?;
        work(&mut Running(&client))
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
        let mut client = wait(async { Ok(self.alone.get().await?) })?;
        let held = wait(begin(&mut client, Lock::Log, firm.as_str()))?;
        let done = work();
        // It has changed nothing itself; whoever waits may begin.
        wait(async { Ok(held.rollback().await?) })?;
        done
    }
}
