//! Links that show one thing to whoever has them.

use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension as _, Row, TransactionBehavior, params};

use super::{FirmId, SecretDigest, SqliteRows, StoreError, sqlite::at};

/// A link as the office keeps it. Its secret is known to whoever has the link, and to nobody here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// Whose thing it shows.
    pub firm: FirmId,
    /// Its place among the firm's links, from 1.
    pub number: u64,
    /// What it shows, in the office's own spelling.
    pub shows: String,
    /// For whom it was made.
    pub label: String,
    /// Which device made it.
    pub device: String,
    /// Since when.
    pub made_at: DateTime<Utc>,
    /// It shows nothing from then on.
    pub until: DateTime<Utc>,
    /// Since when it was closed, if it was.
    pub closed_at: Option<DateTime<Utc>>,
    /// How often it was opened.
    pub opened: u64,
    /// When it was opened last.
    pub opened_at: Option<DateTime<Utc>>,
}

/// A link that is made.
#[derive(Debug, Clone, Copy)]
pub struct NewLink<'a> {
    /// The digest of its secret.
    pub secret: &'a SecretDigest,
    /// What it shows.
    pub shows: &'a str,
    /// For whom.
    pub label: &'a str,
    /// Which device makes it.
    pub device: &'a str,
    /// Since when.
    pub made_at: DateTime<Utc>,
    /// Until when.
    pub until: DateTime<Utc>,
}

/// The rows of links. What a function has said it did is on the disk when it returns.
pub trait Links: Send + Sync {
    /// Keeps a link; its number among the firm's comes back.
    fn open_link(&self, firm: &FirmId, link: &NewLink<'_>) -> Result<u64, StoreError>;

    /// The link of this secret, if it still shows something at this time.
    fn find_link(&self, secret: &SecretDigest, now: DateTime<Utc>) -> Result<Option<Link>, StoreError>;

    /// Counts that a link was opened.
    fn count_opening(&self, firm: &FirmId, number: u64, now: DateTime<Utc>) -> Result<(), StoreError>;

    /// A firm's links, the newest first.
    fn list_links(&self, firm: &FirmId) -> Result<Vec<Link>, StoreError>;

    /// Closes a link for good. Whether there was one that was open.
    fn close_link(&self, firm: &FirmId, number: u64, now: DateTime<Utc>) -> Result<bool, StoreError>;
}

const COLUMNS: &str = "firm, number, shows, label, device, made_at, until, closed_at, opened, opened_at";

fn read(row: &Row<'_>) -> rusqlite::Result<Link> {
    let firm: String = row.get(0)?;
    Ok(Link {
        firm: firm.parse().map_err(|_| rusqlite::Error::InvalidColumnName(firm))?,
        number: row.get(1)?,
        shows: row.get(2)?,
        label: row.get(3)?,
        device: row.get(4)?,
        made_at: at(row.get(5)?),
        until: at(row.get(6)?),
        closed_at: row.get::<_, Option<i64>>(7)?.map(at),
        opened: row.get(8)?,
        opened_at: row.get::<_, Option<i64>>(9)?.map(at),
    })
}

impl Links for SqliteRows {
    fn open_link(&self, firm: &FirmId, link: &NewLink<'_>) -> Result<u64, StoreError> {
        let mut db = self.db();
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let number = change.query_row(
            "INSERT INTO links (firm, number, secret, shows, label, device, made_at, until)
             SELECT ?1, (SELECT coalesce(max(number), 0) + 1 FROM links WHERE firm = ?1), ?2, ?3, ?4, ?5, ?6, ?7
             RETURNING number",
            params![
                firm.as_str(),
                link.secret,
                link.shows,
                link.label,
                link.device,
                link.made_at.timestamp(),
                link.until.timestamp()
            ],
            |row| row.get(0),
        )?;
        change.commit()?;
        Ok(number)
    }

    fn find_link(&self, secret: &SecretDigest, now: DateTime<Utc>) -> Result<Option<Link>, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM links WHERE secret = ?1 AND closed_at IS NULL AND until > ?2"
        ))?;
        Ok(query.query_row(params![secret, now.timestamp()], read).optional()?)
    }

    fn count_opening(&self, firm: &FirmId, number: u64, now: DateTime<Utc>) -> Result<(), StoreError> {
        self.db().execute(
            "UPDATE links SET opened = opened + 1, opened_at = ?3 WHERE firm = ?1 AND number = ?2",
            params![firm.as_str(), number, now.timestamp()],
        )?;
        Ok(())
    }

    fn list_links(&self, firm: &FirmId) -> Result<Vec<Link>, StoreError> {
        let db = self.db();
        let mut query =
            db.prepare_cached(&format!("SELECT {COLUMNS} FROM links WHERE firm = ?1 ORDER BY number DESC"))?;
        Ok(query.query_map(params![firm.as_str()], read)?.collect::<Result<_, _>>()?)
    }

    fn close_link(&self, firm: &FirmId, number: u64, now: DateTime<Utc>) -> Result<bool, StoreError> {
        let changed = self.db().execute(
            "UPDATE links SET closed_at = ?3 WHERE firm = ?1 AND number = ?2 AND closed_at IS NULL",
            params![firm.as_str(), number, now.timestamp()],
        )?;
        Ok(changed > 0)
    }
}
