//! Letters of questions and the replies to them.

use chrono::{DateTime, Utc};

use super::{
    FirmId, StoreError,
    rows::{Database, Given, Rows},
};

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

impl<D: Database> Letters for Rows<D> {
    fn keep_letter(&self, firm: &FirmId, letter: &str, device: &str, now: DateTime<Utc>) -> Result<u64, StoreError> {
        let sql = "INSERT INTO letters (firm, number, letter, written_at, device)
             SELECT ?1, (SELECT coalesce(max(number), 0) + 1 FROM letters WHERE firm = ?1), ?2, ?3, ?4
             RETURNING number";
        let given = [firm.into(), letter.into(), now.into(), device.into()];
        let row = self.together(firm, |statements| statements.read_one(sql, &given))?;
        row.map_or_else(|| Err(StoreError::Failed("a letter got no number".to_owned())), |mut row| row.count())
    }

    fn keep_reply(
        &self,
        firm: &FirmId,
        letter: u64,
        reply: &str,
        most: u64,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let letter = Given::count(letter)?;
        self.together(firm, |statements| {
            let sql = "SELECT count(*) FROM replies WHERE firm = ?1 AND letter = ?2";
            let before = statements.read_one(sql, &[firm.into(), letter])?.map_or(Ok(0), |mut row| row.count())?;
            if before >= most {
                return Ok(false);
            }
            let sql = "INSERT INTO replies (firm, letter, number, reply, came_at) VALUES (?1, ?2, ?3, ?4, ?5)";
            statements.run(sql, &[firm.into(), letter, Given::count(before + 1)?, reply.into(), now.into()])?;
            Ok(true)
        })
    }

    fn letter(&self, firm: &FirmId, number: u64) -> Result<Option<LetterRow>, StoreError> {
        let given = [firm.into(), Given::count(number)?];
        let sql = "SELECT letter, written_at, device FROM letters WHERE firm = ?1 AND number = ?2";
        let found = self.find(sql, &given, |row| {
            let (letter, written_at, device) = (row.text()?, row.time()?, row.text()?);
            Ok(LetterRow { number, letter, written_at, device, replies: Vec::new() })
        })?;
        let Some(letter) = found else { return Ok(None) };
        let sql = "SELECT reply, came_at FROM replies WHERE firm = ?1 AND letter = ?2 ORDER BY number";
        let replies = self.list(sql, &given, |row| Ok((row.text()?, row.time()?)))?;
        Ok(Some(LetterRow { replies, ..letter }))
    }
}
