//! Sealed reports and statements that the office has whole.

use chrono::{DateTime, Utc};
use model::{DeviceId, Sha256};
use rusqlite::{OptionalExtension as _, Row, TransactionBehavior, params};

use super::{FirmId, SqliteRows, StoreError, sqlite::at};

/// A report that is here. Its file is among the [`Blobs`](super::Blobs).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReportRow {
    /// Its place in the order in which reports were taken, from 1.
    pub number: u64,
    /// The report's identity, which a receipt does not change.
    pub identity: Sha256,
    /// SHA-256 of its file.
    pub sha256: Sha256,
    /// Bytes of its file.
    pub length: u64,
    /// Whose device sent it.
    pub device: String,
    /// When it came.
    pub taken_at: DateTime<Utc>,
}

/// A report that comes.
#[derive(Debug, Clone, Copy)]
pub struct NewReport<'a> {
    /// The report's identity.
    pub identity: &'a Sha256,
    /// SHA-256 of its file.
    pub sha256: &'a Sha256,
    /// Bytes of its file.
    pub length: u64,
    /// Whose device sent it.
    pub device: &'a DeviceId,
    /// When.
    pub at: DateTime<Utc>,
}

/// The rows of reports. What a function has said it did is on the disk when it returns; a row is never changed.
pub trait ReportRows: Send + Sync {
    /// Says that this device is about to send a file that no entry speaks of.
    fn announce(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<(), StoreError>;

    /// Takes what was announced back: it is not wanted any more.
    fn forget(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<(), StoreError>;

    /// Notes a report whose file is here. One whose identity is here already is left.
    fn take_report(&self, firm: &FirmId, report: &NewReport<'_>) -> Result<(), StoreError>;

    /// The report of this identity.
    fn report(&self, firm: &FirmId, identity: &Sha256) -> Result<Option<ReportRow>, StoreError>;

    /// Reports after this place, in their order, at most so many; of one device alone where it is named.
    fn reports_after(
        &self,
        firm: &FirmId,
        seen: u64,
        most: u64,
        of: Option<&DeviceId>,
    ) -> Result<Vec<ReportRow>, StoreError>;
}

const COLUMNS: &str = "number, identity, sha256, length, device, taken_at";

fn read(row: &Row<'_>) -> rusqlite::Result<ReportRow> {
    Ok(ReportRow {
        number: row.get(0)?,
        identity: Sha256::new(row.get(1)?),
        sha256: Sha256::new(row.get(2)?),
        length: row.get(3)?,
        device: row.get(4)?,
        taken_at: at(row.get(5)?),
    })
}

impl ReportRows for SqliteRows {
    fn announce(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<(), StoreError> {
        self.db().execute(
            "INSERT INTO wanted (firm, device, sha256)
             SELECT ?1, ?2, ?3 WHERE NOT EXISTS (SELECT 1 FROM blobs WHERE firm = ?1 AND sha256 = ?3)
             ON CONFLICT DO NOTHING",
            params![firm.as_str(), device.as_str(), sha256.as_bytes()],
        )?;
        Ok(())
    }

    fn forget(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<(), StoreError> {
        self.db().execute(
            "DELETE FROM wanted WHERE firm = ?1 AND device = ?2 AND sha256 = ?3",
            params![firm.as_str(), device.as_str(), sha256.as_bytes()],
        )?;
        Ok(())
    }

    fn take_report(&self, firm: &FirmId, report: &NewReport<'_>) -> Result<(), StoreError> {
        let mut db = self.db();
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        change.execute(
            "INSERT INTO reports (firm, number, identity, sha256, length, device, taken_at)
             SELECT ?1, (SELECT coalesce(max(number), 0) + 1 FROM reports WHERE firm = ?1), ?2, ?3, ?4, ?5, ?6
             WHERE NOT EXISTS (SELECT 1 FROM reports WHERE firm = ?1 AND identity = ?2)",
            params![
                firm.as_str(),
                report.identity.as_bytes(),
                report.sha256.as_bytes(),
                report.length,
                report.device.as_str(),
                report.at.timestamp()
            ],
        )?;
        Ok(change.commit()?)
    }

    fn report(&self, firm: &FirmId, identity: &Sha256) -> Result<Option<ReportRow>, StoreError> {
        let db = self.db();
        let mut query =
            db.prepare_cached(&format!("SELECT {COLUMNS} FROM reports WHERE firm = ?1 AND identity = ?2"))?;
        Ok(query.query_row(params![firm.as_str(), identity.as_bytes()], read).optional()?)
    }

    fn reports_after(
        &self,
        firm: &FirmId,
        seen: u64,
        most: u64,
        of: Option<&DeviceId>,
    ) -> Result<Vec<ReportRow>, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM reports WHERE firm = ?1 AND number > ?2 AND (?4 IS NULL OR device = ?4)
             ORDER BY number LIMIT ?3"
        ))?;
        let rows = query.query_map(params![firm.as_str(), seen, most, of.map(DeviceId::as_str)], read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}
