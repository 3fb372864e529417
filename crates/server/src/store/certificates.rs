//! Certificates that devices ask for and the firm's issuer, elsewhere, gives.

use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension as _, Row, params};

use super::{FirmId, SqliteRows, StoreError, sqlite::at};

/// What a device asked for, and what it was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CertificateRow {
    /// Which device.
    pub device: String,
    /// Its request (PKCS #10, PEM).
    pub request: String,
    /// When it asked.
    pub asked_at: DateTime<Utc>,
    /// The certificate and those above it (PEM, one after another), once there is one.
    pub chain: Option<String>,
    /// Since when.
    pub given_at: Option<DateTime<Utc>>,
}

/// The rows of certificates. What a function has said it did is on the disk when it returns.
pub trait Certificates: Send + Sync {
    /// Keeps what a device asks for. Another request takes the place of the one before, and what was given for that goes.
    fn ask_certificate(&self, firm: &FirmId, device: &str, request: &str, now: DateTime<Utc>)
    -> Result<(), StoreError>;

    /// Gives a device its certificate for the request that it made: its name and that. Whether there was such a request.
    fn give_certificate(
        &self,
        firm: &FirmId,
        asked: (&str, &str),
        chain: &str,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError>;

    /// What a device asked for.
    fn certificate(&self, firm: &FirmId, device: &str) -> Result<Option<CertificateRow>, StoreError>;

    /// What all devices of a firm asked for, in the order of their names.
    fn list_certificates(&self, firm: &FirmId) -> Result<Vec<CertificateRow>, StoreError>;
}

const COLUMNS: &str = "device, request, asked_at, chain, given_at";

fn read(row: &Row<'_>) -> rusqlite::Result<CertificateRow> {
    Ok(CertificateRow {
        device: row.get(0)?,
        request: row.get(1)?,
        asked_at: at(row.get(2)?),
        chain: row.get(3)?,
        given_at: row.get::<_, Option<i64>>(4)?.map(at),
    })
}

impl Certificates for SqliteRows {
    fn ask_certificate(
        &self,
        firm: &FirmId,
        device: &str,
        request: &str,
        now: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        self.db().execute(
            "INSERT INTO certificates (firm, device, request, asked_at) VALUES (?1, ?2, ?3, ?4)
             ON CONFLICT (firm, device) DO UPDATE
             SET request = excluded.request, asked_at = excluded.asked_at, chain = NULL, given_at = NULL
             WHERE request <> excluded.request",
            params![firm.as_str(), device, request, now.timestamp()],
        )?;
        Ok(())
    }

    fn give_certificate(
        &self,
        firm: &FirmId,
        (device, request): (&str, &str),
        chain: &str,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let changed = self.db().execute(
            "UPDATE certificates SET chain = ?4, given_at = ?5 WHERE firm = ?1 AND device = ?2 AND request = ?3",
            params![firm.as_str(), device, request, chain, now.timestamp()],
        )?;
        Ok(changed > 0)
    }

    fn certificate(&self, firm: &FirmId, device: &str) -> Result<Option<CertificateRow>, StoreError> {
        let db = self.db();
        let mut query =
            db.prepare_cached(&format!("SELECT {COLUMNS} FROM certificates WHERE firm = ?1 AND device = ?2"))?;
        Ok(query.query_row(params![firm.as_str(), device], read).optional()?)
    }

    fn list_certificates(&self, firm: &FirmId) -> Result<Vec<CertificateRow>, StoreError> {
        let db = self.db();
        let mut query =
            db.prepare_cached(&format!("SELECT {COLUMNS} FROM certificates WHERE firm = ?1 ORDER BY device"))?;
        Ok(query.query_map(params![firm.as_str()], read)?.collect::<Result<_, _>>()?)
    }
}
