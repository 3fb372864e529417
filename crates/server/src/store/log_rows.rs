//! The rows of the logs.

use super::{
    FirmId, StoreError,
    rows::{Database, Given, Row, Rows, Statements},
};

/// The rows of the logs. What a function has said it did is on the disk when it returns, but for heads; a row is never
/// changed.
pub trait LogRows: Send + Sync {
    /// How many entries a firm's log has.
    fn count(&self, firm: &FirmId) -> Result<u64, StoreError>;

    /// Entries in their order from a place on, at most so many.
    fn entries(&self, firm: &FirmId, from: u64, most: u64) -> Result<Vec<Vec<u8>>, StoreError>;

    /// Puts entries after exactly `thought` others, all or none. [`StoreError::Moved`] if there are more or fewer.
    fn append(&self, firm: &FirmId, thought: u64, entries: &[Vec<u8>]) -> Result<(), StoreError>;

    /// The signed head over the most entries.
    fn head(&self, firm: &FirmId) -> Result<Option<String>, StoreError>;

    /// Keeps a signed head over so many entries. One over fewer than the kept one changes nothing. Everybody sees it when
    /// this returns; a machine that falls over may lose it, and whoever opens the log signs the same one over its rows.
    fn keep_head(&self, firm: &FirmId, size: u64, text: &str) -> Result<(), StoreError>;

    /// Does something while nobody else does so for this firm, in any process.
    fn alone(&self, firm: &FirmId, work: &mut dyn FnMut() -> Result<(), StoreError>) -> Result<(), StoreError>;
}

fn count(statements: &mut dyn Statements, firm: &FirmId) -> Result<u64, StoreError> {
    let sql = "SELECT coalesce(max(number) + 1, 0) FROM log_entries WHERE firm = ?1";
    statements.read_one(sql, &[firm.into()])?.map_or(Ok(0), |mut row| row.count())
}

impl<D: Database> LogRows for Rows<D> {
    fn count(&self, firm: &FirmId) -> Result<u64, StoreError> {
        self.db.each(|statements| count(statements, firm))
    }

    fn entries(&self, firm: &FirmId, from: u64, most: u64) -> Result<Vec<Vec<u8>>, StoreError> {
        let sql = "SELECT number, entry FROM log_entries WHERE firm = ?1 AND number >= ?2 ORDER BY number LIMIT ?3";
        let given = [firm.into(), Given::count(from)?, Given::count(most)?];
        let rows = self.list(sql, &given, |row| Ok((row.count()?, row.bytes()?)))?;
        let gap = rows.iter().zip(from..).find(|((number, _), expected)| number != expected);
        if let Some((_, expected)) = gap {
            return Err(StoreError::Failed(format!("entry {expected} of {firm} is missing")));
        }
        Ok(rows.into_iter().map(|(_, entry)| entry).collect())
    }

    fn append(&self, firm: &FirmId, thought: u64, entries: &[Vec<u8>]) -> Result<(), StoreError> {
        let numbered = entries.iter().zip(thought..);
        let each: Vec<Vec<Given<'_>>> = numbered
            .map(|(entry, number)| Ok(vec![firm.into(), Given::count(number)?, entry.as_slice().into()]))
            .collect::<Result<_, StoreError>>()?;
        self.together(firm, |statements| {
            let now = count(statements, firm)?;
            if now != thought {
                return Err(StoreError::Moved { thought, now });
            }
            statements.run_each("INSERT INTO log_entries (firm, number, entry) VALUES (?1, ?2, ?3)", &each)
        })
    }

    fn head(&self, firm: &FirmId) -> Result<Option<String>, StoreError> {
        let sql = "SELECT head FROM log_heads WHERE firm = ?1 ORDER BY size DESC LIMIT 1";
        self.find(sql, &[firm.into()], Row::text)
    }

    fn keep_head(&self, firm: &FirmId, size: u64, text: &str) -> Result<(), StoreError> {
        let sql = "INSERT INTO log_heads (firm, size, head) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING";
        self.change_soon(firm, sql, &[firm.into(), Given::count(size)?, text.into()])?;
        Ok(())
    }

    fn alone(&self, firm: &FirmId, work: &mut dyn FnMut() -> Result<(), StoreError>) -> Result<(), StoreError> {
        self.db.alone(firm, work)
    }
}
