//! Letters of questions and the replies to them.

use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension as _, TransactionBehavior, params};

use super::{FirmId, SqliteRows, StoreError, sqlite::at};

/// A letter as it was written, with what came back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LetterRow {
    /// Its place among the firm's letters, from 1.
    pub number: u64,
    /// It, as JSON.
    pub letter: String,
    /// When it came here.
    pub written_at: DateTime<Utc>,
    /// Which device sent it.
    pub device: String,
    /// The replies as they came, each with its time, in their order: none takes another's place.
    pub replies: Vec<(String, DateTime<Utc>)>,
}

/// The rows of letters. What a function has said it did is on the disk when it returns; nothing is ever changed.
pub trait Letters: Send + Sync {
    /// Keeps a letter; its number among the firm's comes back.
    fn keep_letter(&self, firm: &FirmId, letter: &str, device: &str, now: DateTime<Utc>) -> Result<u64, StoreError>;

    /// Keeps a reply behind those that came before, of which there may be so many at most. Whether it was kept.
    fn keep_reply(
        &self,
        firm: &FirmId,
        letter: u64,
        reply: &str,
        most: u64,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError>;

    /// A letter with its replies.
    fn letter(&self, firm: &FirmId, number: u64) -> Result<Option<LetterRow>, StoreError>;
}

impl Letters for SqliteRows {
    fn keep_letter(&self, firm: &FirmId, letter: &str, device: &str, now: DateTime<Utc>) -> Result<u64, StoreError> {
        let mut db = self.db();
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let number = change.query_row(
            "INSERT INTO letters (firm, number, letter, written_at, device)
             SELECT ?1, (SELECT coalesce(max(number), 0) + 1 FROM letters WHERE firm = ?1), ?2, ?3, ?4
             RETURNING number",
            params![firm.as_str(), letter, now.timestamp(), device],
            |row| row.get(0),
        )?;
        change.commit()?;
        Ok(number)
    }

    fn keep_reply(
        &self,
        firm: &FirmId,
        letter: u64,
        reply: &str,
        most: u64,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let mut db = self.db();
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let before: u64 = change.query_row(
            "SELECT count(*) FROM replies WHERE firm = ?1 AND letter = ?2",
            params![firm.as_str(), letter],
            |row| row.get(0),
        )?;
        if before >= most {
            return Ok(false);
        }
        change.execute(
            "INSERT INTO replies (firm, letter, number, reply, came_at) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![firm.as_str(), letter, before + 1, reply, now.timestamp()],
        )?;
        change.commit()?;
        Ok(true)
    }

    fn letter(&self, firm: &FirmId, number: u64) -> Result<Option<LetterRow>, StoreError> {
        let db = self.db();
        let mut query =
            db.prepare_cached("SELECT letter, written_at, device FROM letters WHERE firm = ?1 AND number = ?2")?;
        let found = query.query_row(params![firm.as_str(), number], |row| {
            Ok(LetterRow {
                number,
                letter: row.get(0)?,
                written_at: at(row.get(1)?),
                device: row.get(2)?,
                replies: Vec::new(),
            })
        });
        let Some(letter) = found.optional()? else { return Ok(None) };
        let mut query =
            db.prepare_cached("SELECT reply, came_at FROM replies WHERE firm = ?1 AND letter = ?2 ORDER BY number")?;
        let replies = query.query_map(params![firm.as_str(), number], |row| Ok((row.get(0)?, at(row.get(1)?))))?;
        Ok(Some(LetterRow { replies: replies.collect::<Result<_, _>>()?, ..letter }))
    }
}
