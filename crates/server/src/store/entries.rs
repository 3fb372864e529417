//! What devices wrote, in the order in which the office took it.

use chrono::{DateTime, Utc};
use model::{Carried, DeviceId, Entry, EntryId, Sha256};

use super::{
    FirmId, StoreError,
    rows::{Database, Given, Row, Rows, Statements},
};

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

    /// Some of what a device's entries name and the office lacks, in the order of the digests: those after one of them.
    fn wanted(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        after: Option<&Sha256>,
        most: u64,
    ) -> Result<Vec<Sha256>, StoreError>;

    /// Wants the same of another device: one that goes on where the first one ended.
    fn share_wanted(&self, firm: &FirmId, from: &DeviceId, to: &DeviceId) -> Result<(), StoreError>;

    /// Whether that is wanted of this device.
    fn is_wanted(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<bool, StoreError>;

    /// Keeps that a photograph or recording is here whole; nobody is asked for it any more.
    fn keep_blob(&self, firm: &FirmId, sha256: &Sha256, length: u64) -> Result<(), StoreError>;

    /// The length of one that is here.
    fn blob(&self, firm: &FirmId, sha256: &Sha256) -> Result<Option<u64>, StoreError>;
}

fn row_end(statements: &mut dyn Statements, firm: &FirmId, device: &DeviceId) -> Result<Option<RowEnd>, StoreError> {
    let sql = "SELECT seq, link FROM entries WHERE firm = ?1 AND device = ?2 ORDER BY seq DESC LIMIT 1";
    let row = statements.read_one(sql, &[firm.into(), device.as_str().into()])?;
    row.map(|mut row| Ok(RowEnd { count: row.count()?, link: row.sha256()? })).transpose()
}

/// Wants a file of a device, unless it is here.
pub(super) const WANT: &str = "INSERT INTO wanted (firm, device, sha256)
    SELECT column1, column2, column3 FROM (VALUES (?1, ?2, ?3)) AS named
    WHERE NOT EXISTS (SELECT length FROM blobs WHERE firm = column1 AND sha256 = column3)
    ON CONFLICT DO NOTHING";

fn read_json<T: serde::de::DeserializeOwned>(text: &str) -> Result<T, StoreError> {
    serde_json::from_str(text).map_err(|error| StoreError::Failed(format!("a row is not as it was written: {error}")))
}

fn write_json<T: serde::Serialize>(value: &T) -> Result<String, StoreError> {
    serde_json::to_string(value).map_err(|error| StoreError::Failed(error.to_string()))
}

/// An entry with its number and its bytes.
fn read(row: &mut Row) -> Result<(u64, Carried, usize), StoreError> {
    let number = row.count()?;
    let id = EntryId { device: row.named()?, seq: row.count()? };
    let (inspection, body_digest, body) = (row.named()?, row.sha256()?, row.maybe_text()?);
    let bytes = body.as_ref().map_or(0, String::len);
    let body = body.as_deref().map(read_json::<Entry>).transpose()?;
    Ok((number, Carried { id, inspection, body_digest, body, link: None }, bytes))
}

/// So many rows are read at once.
const PAGE: u64 = 256;

impl<D: Database> EntryRows for Rows<D> {
    fn epoch(&self, firm: &FirmId, draw: &str) -> Result<String, StoreError> {
        let known = || self.find("SELECT epoch FROM counts WHERE firm = ?1", &[firm.into()], Row::text);
        if let Some(epoch) = known()? {
            return Ok(epoch);
        }
        let sql = "INSERT INTO counts (firm, epoch) VALUES (?1, ?2) ON CONFLICT DO NOTHING";
        self.change(firm, sql, &[firm.into(), draw.into()])?;
        known()?.ok_or_else(|| StoreError::Failed(format!("the count of {firm} got no name")))
    }

    fn row_end(&self, firm: &FirmId, device: &DeviceId) -> Result<Option<RowEnd>, StoreError> {
        self.db.each(|statements| row_end(statements, firm, device))
    }

    fn digest(&self, firm: &FirmId, id: &EntryId) -> Result<Option<Sha256>, StoreError> {
        let sql = "SELECT digest FROM entries WHERE firm = ?1 AND device = ?2 AND seq = ?3";
        self.find(sql, &[firm.into(), id.device.as_str().into(), Given::count(id.seq)?], Row::sha256)
    }

    fn take(&self, firm: &FirmId, new: &NewEntries<'_>) -> Result<(), StoreError> {
        let bodies = new.entries.iter().map(|(entry, _)| entry.body.as_ref().map(write_json).transpose());
        let bodies = bodies.collect::<Result<Vec<_>, _>>()?;
        let device = new.device.as_str().into();
        self.together(firm, |statements| {
            let sql = "SELECT
                 coalesce((SELECT seq FROM entries WHERE firm = ?1 AND device = ?2 ORDER BY seq DESC LIMIT 1), 0),
                 coalesce((SELECT number FROM entries WHERE firm = ?1 ORDER BY number DESC LIMIT 1), 0)";
            let row = statements.read_one(sql, &[firm.into(), device])?;
            let (now, taken) = row.map_or(Ok((0, 0)), |mut row| Ok::<_, StoreError>((row.count()?, row.count()?)))?;
            if now != new.thought {
                return Err(StoreError::Moved { thought: new.thought, now });
            }
            let numbered = new.entries.iter().zip(&bodies).zip(taken + 1..);
            let each = numbered.map(|(((entry, link), body), number)| {
                Ok(vec![
                    firm.into(),
                    Given::count(number)?,
                    entry.id.device.as_str().into(),
                    Given::count(entry.id.seq)?,
                    entry.inspection.as_str().into(),
                    (&entry.body_digest).into(),
                    link.into(),
                    Given::Text(body.as_deref()),
                    new.at.into(),
                ])
            });
            let each: Vec<Vec<Given<'_>>> = each.collect::<Result<_, StoreError>>()?;
            let sql = "INSERT INTO entries (firm, number, device, seq, inspection, digest, link, body, taken_at)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
            statements.run_each(sql, &each)?;
            let each: Vec<_> = new.named.iter().map(|sha256| vec![firm.into(), device, sha256.into()]).collect();
            statements.run_each(WANT, &each)
        })
    }

    fn part(
        &self,
        firm: &FirmId,
        seen: u64,
        (device, own): (&DeviceId, u64),
        most_bytes: usize,
    ) -> Result<Part, StoreError> {
        let sql = "SELECT number, device, seq, inspection, digest, body FROM entries WHERE firm = ?1 AND number > ?2
             ORDER BY number LIMIT ?3";
        let (mut part, mut bytes) = (Part { seen, more: false, entries: Vec::new() }, 0);
        loop {
            let given = [firm.into(), Given::count(part.seen)?, Given::count(PAGE)?];
            let page = self.list(sql, &given, read)?;
            let is_last = (page.len() as u64) < PAGE;
            for (number, entry, length) in page {
                if entry.id.device != *device || entry.id.seq > own {
                    bytes += length;
                    if bytes > most_bytes && !part.entries.is_empty() {
                        return Ok(Part { more: true, ..part });
                    }
                    part.entries.push(entry);
                }
                part.seen = number;
            }
            if is_last {
                return Ok(part);
            }
        }
    }

    fn keep_fork(&self, firm: &FirmId, entry: &Carried, at: DateTime<Utc>) -> Result<(), StoreError> {
        let sql = "INSERT INTO forks (firm, device, seq, digest, entry, came_at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
             ON CONFLICT DO NOTHING";
        let (text, seq) = (write_json(entry)?, Given::count(entry.id.seq)?);
        let device = entry.id.device.as_str().into();
        self.change(firm, sql, &[firm.into(), device, seq, (&entry.body_digest).into(), (&*text).into(), at.into()])?;
        Ok(())
    }

    fn forks(&self, firm: &FirmId) -> Result<Vec<Fork>, StoreError> {
        let sql = "SELECT entry, came_at FROM forks WHERE firm = ?1 ORDER BY device, seq, digest";
        self.list(sql, &[firm.into()], |row| Ok(Fork { entry: read_json(&row.text()?)?, came_at: row.time()? }))
    }

    fn wanted(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        after: Option<&Sha256>,
        most: u64,
    ) -> Result<Vec<Sha256>, StoreError> {
        let sql = "SELECT sha256 FROM wanted WHERE firm = ?1 AND device = ?2 AND sha256 > ?3 ORDER BY sha256 LIMIT ?4";
        // Nothing comes before every digest.
        let after = after.map_or(&[][..], |sha256| sha256.as_bytes());
        self.list(sql, &[firm.into(), device.as_str().into(), after.into(), Given::count(most)?], Row::sha256)
    }

    fn share_wanted(&self, firm: &FirmId, from: &DeviceId, to: &DeviceId) -> Result<(), StoreError> {
        let sql = "INSERT INTO wanted (firm, device, sha256)
             SELECT firm, ?3, sha256 FROM wanted WHERE firm = ?1 AND device = ?2 ON CONFLICT DO NOTHING";
        self.change(firm, sql, &[firm.into(), from.as_str().into(), to.as_str().into()])?;
        Ok(())
    }

    fn is_wanted(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<bool, StoreError> {
        let sql = "SELECT device FROM wanted WHERE firm = ?1 AND device = ?2 AND sha256 = ?3";
        self.exists(sql, &[firm.into(), device.as_str().into(), sha256.into()])
    }

    fn keep_blob(&self, firm: &FirmId, sha256: &Sha256, length: u64) -> Result<(), StoreError> {
        let length = Given::count(length)?;
        self.together(firm, |statements| {
            let sql = "INSERT INTO blobs (firm, sha256, length) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING";
            statements.run(sql, &[firm.into(), sha256.into(), length])?;
            statements.run("DELETE FROM wanted WHERE firm = ?1 AND sha256 = ?2", &[firm.into(), sha256.into()])?;
            Ok(())
        })
    }

    fn blob(&self, firm: &FirmId, sha256: &Sha256) -> Result<Option<u64>, StoreError> {
        let sql = "SELECT length FROM blobs WHERE firm = ?1 AND sha256 = ?2";
        self.find(sql, &[firm.into(), sha256.into()], Row::count)
    }
}
