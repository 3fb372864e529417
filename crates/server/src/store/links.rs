//! Links that show one thing to whoever has them.

use chrono::{DateTime, Utc};

use super::{
    FirmId, SecretDigest, StoreError,
    rows::{Database, Given, Row, Rows},
};

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

fn read(row: &mut Row) -> Result<Link, StoreError> {
    Ok(Link {
        firm: row.named()?,
        number: row.count()?,
        shows: row.text()?,
        label: row.text()?,
        device: row.text()?,
        made_at: row.time()?,
        until: row.time()?,
        closed_at: row.maybe_time()?,
        opened: row.count()?,
        opened_at: row.maybe_time()?,
    })
}

impl<D: Database> Links for Rows<D> {
    fn open_link(&self, firm: &FirmId, link: &NewLink<'_>) -> Result<u64, StoreError> {
        let sql = "INSERT INTO links (firm, number, secret, shows, label, device, made_at, until)
             SELECT ?1, (SELECT coalesce(max(number), 0) + 1 FROM links WHERE firm = ?1), ?2, ?3, ?4, ?5, ?6, ?7
             RETURNING number";
        let given = [
            firm.into(),
            link.secret.into(),
            link.shows.into(),
            link.label.into(),
            link.device.into(),
            link.made_at.into(),
            link.until.into(),
        ];
        let row = self.together(firm, |statements| statements.read_one(sql, &given))?;
        row.map_or_else(|| Err(StoreError::Failed("a link got no number".to_owned())), |mut row| row.count())
    }

    fn find_link(&self, secret: &SecretDigest, now: DateTime<Utc>) -> Result<Option<Link>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM links WHERE secret = ?1 AND closed_at IS NULL AND until > ?2");
        self.find(&sql, &[secret.into(), now.into()], read)
    }

    fn count_opening(&self, firm: &FirmId, number: u64, now: DateTime<Utc>) -> Result<(), StoreError> {
        let sql = "UPDATE links SET opened = opened + 1, opened_at = ?3 WHERE firm = ?1 AND number = ?2";
        self.change(firm, sql, &[firm.into(), Given::count(number)?, now.into()])?;
        Ok(())
    }

    fn list_links(&self, firm: &FirmId) -> Result<Vec<Link>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM links WHERE firm = ?1 ORDER BY number DESC");
        self.list(&sql, &[firm.into()], read)
    }

    fn close_link(&self, firm: &FirmId, number: u64, now: DateTime<Utc>) -> Result<bool, StoreError> {
        let sql = "UPDATE links SET closed_at = ?3 WHERE firm = ?1 AND number = ?2 AND closed_at IS NULL";
        Ok(self.change(firm, sql, &[firm.into(), Given::count(number)?, now.into()])? > 0)
    }
}
