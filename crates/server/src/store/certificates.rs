//! Certificates that devices ask for and the firm's issuer, elsewhere, gives.

use chrono::{DateTime, Utc};

use super::{
    FirmId, StoreError,
    rows::{Database, Row, Rows},
};

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

fn read(row: &mut Row) -> Result<CertificateRow, StoreError> {
    Ok(CertificateRow {
        device: row.text()?,
        request: row.text()?,
        asked_at: row.time()?,
        chain: row.maybe_text()?,
        given_at: row.maybe_time()?,
    })
}

impl<D: Database> Certificates for Rows<D> {
    fn ask_certificate(
        &self,
        firm: &FirmId,
        device: &str,
        request: &str,
        now: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        let sql = "INSERT INTO certificates (firm, device, request, asked_at) VALUES (?1, ?2, ?3, ?4)
             ON CONFLICT (firm, device) DO UPDATE
             SET request = excluded.request, asked_at = excluded.asked_at, chain = NULL, given_at = NULL
             WHERE certificates.request <> excluded.request";
        self.change(firm, sql, &[firm.into(), device.into(), request.into(), now.into()])?;
        Ok(())
    }

    fn give_certificate(
        &self,
        firm: &FirmId,
        (device, request): (&str, &str),
        chain: &str,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let sql = "UPDATE certificates SET chain = ?4, given_at = ?5 WHERE firm = ?1 AND device = ?2 AND request = ?3";
        let changed =
            self.change(firm, sql, &[firm.into(), device.into(), request.into(), chain.into(), now.into()])?;
        Ok(changed > 0)
    }

    fn certificate(&self, firm: &FirmId, device: &str) -> Result<Option<CertificateRow>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM certificates WHERE firm = ?1 AND device = ?2");
        self.find(&sql, &[firm.into(), device.into()], read)
    }

    fn list_certificates(&self, firm: &FirmId) -> Result<Vec<CertificateRow>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM certificates WHERE firm = ?1 ORDER BY device");
        self.list(&sql, &[firm.into()], read)
    }
}
