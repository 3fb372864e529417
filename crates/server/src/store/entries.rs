//! What devices wrote, in the order in which the office took it.

use chrono::{DateTime, Utc};
use model::{Carried, DeviceId, Entry, EntryId, Sha256};
use rusqlite::{Connection, OptionalExtension as _, Row, TransactionBehavior, params};

use super::{FirmId, SqliteRows, StoreError, sqlite::at};

/// How far a device's row goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RowEnd {
    /// Its entries.
    pub count: u64,
    /// The link of the last one.
    pub link: Sha256,
}

/// Entries that are to be put behind a row, each with its link.
#[derive(Debug, Clone)]
pub struct NewEntries<'a> {
    /// Whose.
    pub device: &'a DeviceId,
    /// How many entries the row was thought to have.
    pub thought: u64,
    /// They, with their links.
    pub entries: &'a [(&'a Carried, Sha256)],
    /// What they speak of and the office may lack.
    pub named: &'a [Sha256],
    /// When they came.
    pub at: DateTime<Utc>,
}

/// A part of what the office took.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// How far it goes.
    pub seen: u64,
    /// There is more behind it.
    pub more: bool,
    /// Its entries, but for those that whoever asks has.
    pub entries: Vec<Carried>,
}

/// An entry under a name that another one has.
#[derive(Debug, Clone, PartialEq)]
pub struct Fork {
    /// The entry as it came.
    pub entry: Carried,
    /// When it came first.
    pub came_at: DateTime<Utc>,
}

/// The rows of entries. What a function has said it did is on the disk when it returns; an entry is never changed.
pub trait EntryRows: Send + Sync {
    /// The name of this firm's count; `draw` becomes it where there is none yet.
    fn epoch(&self, firm: &FirmId, draw: &str) -> Result<String, StoreError>;

    /// How far a device's row goes; none where it has no entries.
    fn row_end(&self, firm: &FirmId, device: &DeviceId) -> Result<Option<RowEnd>, StoreError>;

    /// The digest of an entry; none where it is not there.
    fn digest(&self, firm: &FirmId, id: &EntryId) -> Result<Option<Sha256>, StoreError>;

    /// Puts entries behind a row of exactly `thought` others, all or none, and keeps what is lacking of what they name.
    /// [`StoreError::Moved`] if the row has more or fewer.
    fn take(&self, firm: &FirmId, new: &NewEntries<'_>) -> Result<(), StoreError>;

    /// What was taken after so much, in its order, of so many bytes at most but at least one entry, without the first `own`
    /// entries of `device`.
    fn part(&self, firm: &FirmId, seen: u64, without: (&DeviceId, u64), most_bytes: usize) -> Result<Part, StoreError>;

    /// Keeps an entry under a name that another one has.
    fn keep_fork(&self, firm: &FirmId, entry: &Carried, at: DateTime<Utc>) -> Result<(), StoreError>;

    /// All of those.
    fn forks(&self, firm: &FirmId) -> Result<Vec<Fork>, StoreError>;

    /// Some of what a device's entries name and the office lacks.
    fn wanted(&self, firm: &FirmId, device: &DeviceId, most: u64) -> Result<Vec<Sha256>, StoreError>;

    /// Wants the same of another device: one that goes on where the first one ended.
    fn share_wanted(&self, firm: &FirmId, from: &DeviceId, to: &DeviceId) -> Result<(), StoreError>;

    /// Whether that is wanted of this device.
    fn is_wanted(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<bool, StoreError>;

    /// Keeps that a photograph or recording is here whole; nobody is asked for it any more.
    fn keep_blob(&self, firm: &FirmId, sha256: &Sha256, length: u64) -> Result<(), StoreError>;

    /// The length of one that is here.
    fn blob(&self, firm: &FirmId, sha256: &Sha256) -> Result<Option<u64>, StoreError>;
}

fn row_end(db: &Connection, firm: &FirmId, device: &DeviceId) -> Result<Option<RowEnd>, StoreError> {
    let mut query =
        db.prepare_cached("SELECT seq, link FROM entries WHERE firm = ?1 AND device = ?2 ORDER BY seq DESC LIMIT 1")?;
    Ok(query
        .query_row(params![firm.as_str(), device.as_str()], |row| {
            Ok(RowEnd { count: row.get(0)?, link: Sha256::new(row.get(1)?) })
        })
        .optional()?)
}

fn unreadable(what: &str) -> StoreError {
    StoreError::Failed(format!("a row is not as it was written: {what}"))
}

/// An entry with its number and its bytes.
fn read(row: &Row<'_>) -> Result<(u64, Carried, usize), StoreError> {
    let (device, inspection): (String, String) = (row.get(1)?, row.get(3)?);
    let body: Option<String> = row.get(5)?;
    let bytes = body.as_ref().map_or(0, String::len);
    let carried = Carried {
        id: EntryId { device: device.parse().map_err(|_| unreadable(&device))?, seq: row.get(2)? },
        inspection: inspection.parse().map_err(|_| unreadable(&inspection))?,
        body_digest: Sha256::new(row.get(4)?),
        body: body.map(|body| serde_json::from_str::<Entry>(&body).map_err(|_| unreadable(&device))).transpose()?,
        link: None,
    };
    Ok((row.get(0)?, carried, bytes))
}

impl EntryRows for SqliteRows {
    fn epoch(&self, firm: &FirmId, draw: &str) -> Result<String, StoreError> {
        let db = self.db();
        let mut known = db.prepare_cached("SELECT epoch FROM counts WHERE firm = ?1")?;
        if let Some(epoch) = known.query_row(params![firm.as_str()], |row| row.get(0)).optional()? {
            return Ok(epoch);
        }
        db.execute(
            "INSERT INTO counts (firm, epoch) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
            params![firm.as_str(), draw],
        )?;
        Ok(known.query_row(params![firm.as_str()], |row| row.get(0))?)
    }

    fn row_end(&self, firm: &FirmId, device: &DeviceId) -> Result<Option<RowEnd>, StoreError> {
        row_end(&self.db(), firm, device)
    }

    fn digest(&self, firm: &FirmId, id: &EntryId) -> Result<Option<Sha256>, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached("SELECT digest FROM entries WHERE firm = ?1 AND device = ?2 AND seq = ?3")?;
        let found = query.query_row(params![firm.as_str(), id.device.as_str(), id.seq], |row| row.get(0)).optional()?;
        Ok(found.map(Sha256::new))
    }

    fn take(&self, firm: &FirmId, new: &NewEntries<'_>) -> Result<(), StoreError> {
        let mut db = self.db();
        // Numbers are given under the database's one writing lock: none is skipped, and none is seen before one below it.
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let now = row_end(&change, firm, new.device)?.map_or(0, |end| end.count);
        if now != new.thought {
            return Err(StoreError::Moved { thought: new.thought, now });
        }
        let taken: u64 = change
            .prepare_cached("SELECT coalesce(max(number), 0) FROM entries WHERE firm = ?1")?
            .query_row(params![firm.as_str()], |row| row.get(0))?;
        for ((entry, link), number) in new.entries.iter().zip(taken + 1..) {
            let body = entry.body.as_ref().map(serde_json::to_string).transpose();
            let body = body.map_err(|error| StoreError::Failed(error.to_string()))?;
            change
                .prepare_cached(
                    "INSERT INTO entries (firm, number, device, seq, inspection, digest, link, body, taken_at)
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
                )?
                .execute(params![
                    firm.as_str(),
                    number,
                    entry.id.device.as_str(),
                    entry.id.seq,
                    entry.inspection.as_str(),
                    entry.body_digest.as_bytes(),
                    link.as_bytes(),
                    body,
                    new.at.timestamp()
                ])?;
        }
        for sha256 in new.named {
            change
                .prepare_cached(
                    "INSERT INTO wanted (firm, device, sha256)
                     SELECT ?1, ?2, ?3 WHERE NOT EXISTS (SELECT 1 FROM blobs WHERE firm = ?1 AND sha256 = ?3)
                     ON CONFLICT DO NOTHING",
                )?
                .execute(params![firm.as_str(), new.device.as_str(), sha256.as_bytes()])?;
        }
        Ok(change.commit()?)
    }

    fn part(
        &self,
        firm: &FirmId,
        seen: u64,
        (device, own): (&DeviceId, u64),
        most_bytes: usize,
    ) -> Result<Part, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached(
            "SELECT number, device, seq, inspection, digest, body FROM entries WHERE firm = ?1 AND number > ?2
             ORDER BY number",
        )?;
        let mut rows = query.query(params![firm.as_str(), seen])?;
        let (mut part, mut bytes) = (Part { seen, more: false, entries: Vec::new() }, 0);
        while let Some(row) = rows.next()? {
            let (number, entry, length) = read(row)?;
            if entry.id.device != *device || entry.id.seq > own {
                bytes += length;
                if bytes > most_bytes && !part.entries.is_empty() {
                    part.more = true;
                    break;
                }
                part.entries.push(entry);
            }
            part.seen = number;
        }
        Ok(part)
    }

    fn keep_fork(&self, firm: &FirmId, entry: &Carried, at: DateTime<Utc>) -> Result<(), StoreError> {
        let text = serde_json::to_string(entry).map_err(|error| StoreError::Failed(error.to_string()))?;
        self.db().execute(
            "INSERT INTO forks (firm, device, seq, digest, entry, came_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
             ON CONFLICT DO NOTHING",
            params![
                firm.as_str(),
                entry.id.device.as_str(),
                entry.id.seq,
                entry.body_digest.as_bytes(),
                text,
                at.timestamp()
            ],
        )?;
        Ok(())
    }

    fn forks(&self, firm: &FirmId) -> Result<Vec<Fork>, StoreError> {
        let db = self.db();
        let mut query =
            db.prepare_cached("SELECT entry, came_at FROM forks WHERE firm = ?1 ORDER BY device, seq, digest")?;
        let rows = query.query_map(params![firm.as_str()], |row| Ok((row.get::<_, String>(0)?, row.get(1)?)))?;
        rows.map(|row| {
            let (text, came_at) = row?;
            let entry = serde_json::from_str(&text).map_err(|_| unreadable("a fork"))?;
            Ok(Fork { entry, came_at: at(came_at) })
        })
        .collect()
    }

    fn wanted(&self, firm: &FirmId, device: &DeviceId, most: u64) -> Result<Vec<Sha256>, StoreError> {
        let db = self.db();
        let mut query =
            db.prepare_cached("SELECT sha256 FROM wanted WHERE firm = ?1 AND device = ?2 ORDER BY sha256 LIMIT ?3")?;
        let rows = query.query_map(params![firm.as_str(), device.as_str(), most], |row| row.get(0))?;
        Ok(rows.map(|row| row.map(Sha256::new)).collect::<Result<_, _>>()?)
    }

    fn share_wanted(&self, firm: &FirmId, from: &DeviceId, to: &DeviceId) -> Result<(), StoreError> {
        self.db().execute(
            "INSERT INTO wanted (firm, device, sha256)
             SELECT firm, ?3, sha256 FROM wanted WHERE firm = ?1 AND device = ?2 ON CONFLICT DO NOTHING",
            params![firm.as_str(), from.as_str(), to.as_str()],
        )?;
        Ok(())
    }

    fn is_wanted(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<bool, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached("SELECT 1 FROM wanted WHERE firm = ?1 AND device = ?2 AND sha256 = ?3")?;
        Ok(query.exists(params![firm.as_str(), device.as_str(), sha256.as_bytes()])?)
    }

    fn keep_blob(&self, firm: &FirmId, sha256: &Sha256, length: u64) -> Result<(), StoreError> {
        let mut db = self.db();
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        change.execute(
            "INSERT INTO blobs (firm, sha256, length) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
            params![firm.as_str(), sha256.as_bytes(), length],
        )?;
        change
            .execute("DELETE FROM wanted WHERE firm = ?1 AND sha256 = ?2", params![firm.as_str(), sha256.as_bytes()])?;
        Ok(change.commit()?)
    }

    fn blob(&self, firm: &FirmId, sha256: &Sha256) -> Result<Option<u64>, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached("SELECT length FROM blobs WHERE firm = ?1 AND sha256 = ?2")?;
        Ok(query.query_row(params![firm.as_str(), sha256.as_bytes()], |row| row.get(0)).optional()?)
    }
}
