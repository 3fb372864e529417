//! Sealed reports and statements that the office has whole.

use chrono::{DateTime, Utc};
use model::{DeviceId, Sha256};

use super::{
    FirmId, StoreError,
    entries::WANT,
    rows::{Database, Given, Row, Rows},
};

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

fn read(row: &mut Row) -> Result<ReportRow, StoreError> {
    Ok(ReportRow {
        number: row.count()?,
        identity: row.sha256()?,
        sha256: row.sha256()?,
        length: row.count()?,
        device: row.text()?,
        taken_at: row.time()?,
    })
}

impl<D: Database> ReportRows for Rows<D> {
    fn announce(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<(), StoreError> {
        self.change(firm, WANT, &[firm.into(), device.as_str().into(), sha256.into()])?;
        Ok(())
    }

    fn forget(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<(), StoreError> {
        let sql = "DELETE FROM wanted WHERE firm = ?1 AND device = ?2 AND sha256 = ?3";
        self.change(firm, sql, &[firm.into(), device.as_str().into(), sha256.into()])?;
        Ok(())
    }

    fn take_report(&self, firm: &FirmId, report: &NewReport<'_>) -> Result<(), StoreError> {
        let sql = "INSERT INTO reports (firm, number, identity, sha256, length, device, taken_at)
             SELECT ?1, (SELECT coalesce(max(number), 0) + 1 FROM reports WHERE firm = ?1), ?2, ?3, ?4, ?5, ?6
             WHERE NOT EXISTS (SELECT number FROM reports WHERE firm = ?1 AND identity = ?2)";
        let given = [
            firm.into(),
            report.identity.into(),
            report.sha256.into(),
            Given::count(report.length)?,
            report.device.as_str().into(),
            report.at.into(),
        ];
        self.together(firm, |statements| statements.run(sql, &given)).map(|_| ())
    }

    fn report(&self, firm: &FirmId, identity: &Sha256) -> Result<Option<ReportRow>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM reports WHERE firm = ?1 AND identity = ?2");
        self.find(&sql, &[firm.into(), identity.into()], read)
    }

    fn reports_after(
        &self,
        firm: &FirmId,
        seen: u64,
        most: u64,
        of: Option<&DeviceId>,
    ) -> Result<Vec<ReportRow>, StoreError> {
        let sql = format!(
            "SELECT {COLUMNS} FROM reports WHERE firm = ?1 AND number > ?2 AND (?4 IS NULL OR device = ?4)
             ORDER BY number LIMIT ?3"
        );
        let of = Given::Text(of.map(DeviceId::as_str));
        self.list(&sql, &[firm.into(), Given::count(seen)?, Given::count(most)?, of], read)
    }
}
