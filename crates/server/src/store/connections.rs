//! Connections to PostgreSQL, used again by whoever comes next: so many at most, and none that is gone.

use std::{
    collections::HashMap,
    sync::{Condvar, Mutex, MutexGuard, PoisonError},
    time::{Duration, Instant},
};

use postgres::{Client, Config, GenericClient, NoTls, Statement, config::SslMode, types::Type};
use tokio_postgres_rustls::MakeRustlsConnect;

use super::{StoreError, trust::client_tls};

/// A connection that was used so lately is taken to stand: asking it each time would cost a way there and back.
const LATELY: Duration = Duration::from_secs(1);
/// How long one that is asked whether it stands has for its answer.
const ANSWER: Duration = Duration::from_secs(5);

/// Statements that a connection has prepared, each under its text. A place in a text is always given the same kind of value.
#[derive(Default)]
pub(super) struct Prepared(HashMap<String, Statement>);

impl Prepared {
    /// The statement of this text, whose places are given these kinds.
    ///
    /// # Errors
    /// The database.
    pub fn find(
        &mut self,
        client: &mut impl GenericClient,
        sql: &str,
        kinds: &[Type],
    ) -> Result<Statement, StoreError> {
        if let Some(known) = self.0.get(sql) {
            return Ok(known.clone());
        }
        let made = client.prepare_typed(&sql.replace('?', "$"), kinds)?;
        self.0.insert(sql.to_owned(), made.clone());
        Ok(made)
    }
}

/// A connection.
pub(super) struct Connection {
    /// It.
    pub client: Client,
    /// What was prepared on it.
    pub prepared: Prepared,
    used: Instant,
}

impl Connection {
    fn stands(&mut self) -> bool {
        !self.client.is_closed() && (self.used.elapsed() < LATELY || self.client.is_valid(ANSWER).is_ok())
    }
}

/// The connections of a process.
pub(super) struct Connections {
    config: Config,
    patience: Duration,
    spare: Mutex<Spare>,
    freed: Condvar,
}

struct Spare {
    /// Those that nobody uses, the one that was used last at the end.
    idle: Vec<Connection>,
    /// So many more may be in use.
    left: usize,
}

impl Connections {
    /// None yet, of so many at most.
    pub fn new(config: &Config, most: usize, patience: Duration) -> Self {
        let spare = Mutex::new(Spare { idle: Vec::new(), left: most });
        Self { config: config.clone(), patience, spare, freed: Condvar::new() }
    }

    /// Works with a connection, which nobody else uses meanwhile.
    ///
    /// # Errors
    /// A database that does not answer, none that becomes free in time, and what the work itself fails with.
    pub fn with<T>(&self, work: impl FnOnce(&mut Connection) -> Result<T, StoreError>) -> Result<T, StoreError> {
        // The place is given back even where the work panics.
        let mut taken = self.take()?;
        let connection = match &mut taken.connection {
            Some(connection) => connection,
            none => none.insert(self.connect()?),
        };
        work(connection)
    }

    /// A place, with a connection that stands where there is one.
    fn take(&self) -> Result<Taken<'_>, StoreError> {
        let (mut spare, waited) = self
            .freed
            .wait_timeout_while(self.spare(), self.patience, |spare| spare.left == 0)
            .unwrap_or_else(PoisonError::into_inner);
        if waited.timed_out() {
            return Err(StoreError::Failed("PostgreSQL: no connection became free in time".to_owned()));
        }
        spare.left -= 1;
        drop(spare);
        let mut taken = Taken { all: self, connection: None };
        // Whether one stands is asked while others may take theirs.
        while let Some(mut idle) = self.pop() {
            if idle.stands() {
                taken.connection = Some(idle);
                break;
            }
        }
        Ok(taken)
    }

    fn pop(&self) -> Option<Connection> {
        self.spare().idle.pop()
    }

    fn connect(&self) -> Result<Connection, StoreError> {
        let client = if self.config.get_ssl_mode() == SslMode::Require {
            self.config.connect(MakeRustlsConnect::new(client_tls()?))?
        } else {
            self.config.connect(NoTls)?
        };
        Ok(Connection { client, prepared: Prepared::default(), used: Instant::now() })
    }

    fn spare(&self) -> MutexGuard<'_, Spare> {
        self.spare.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A place among the connections, and the connection where there is one already.
struct Taken<'a> {
    all: &'a Connections,
    connection: Option<Connection>,
}

impl Drop for Taken<'_> {
    fn drop(&mut self) {
        let mut spare = self.all.spare();
        spare.left += 1;
        let gone = match self.connection.take() {
            // A database that went took the others with it.
            Some(connection) if connection.client.is_closed() => std::mem::take(&mut spare.idle),
            Some(connection) => {
                spare.idle.push(Connection { used: Instant::now(), ..connection });
                Vec::new()
            }
            None => Vec::new(),
        };
        drop(spare);
        self.all.freed.notify_one();
        drop(gone);
    }
}
