//! An office's rows, watched.

use std::sync::Arc;

use chrono::{DateTime, Utc};
use model::{Carried, DeviceId, EntryId, Sha256};
use seal::certificate::Role;

use super::{Metrics, Watched};
use crate::store::{
    AllRows, CertificateRow, Certificates, Device, Devices, EntryRows, FirmId, Fork, LetterRow, Letters, Link, Links,
    LogRows, NewEntries, NewLink, NewReport, Part, ReportRow, ReportRows, RowEnd, SecretDigest, StoreError,
};

/// Rows, with what is done to them noted.
pub struct MeasuredRows(Watched<dyn AllRows>);

impl MeasuredRows {
    /// Watches these.
    pub fn new(inner: Arc<dyn AllRows>, metrics: Arc<Metrics>) -> Self {
        Self(Watched { inner, metrics })
    }
}

/// Each of these does what the rows do, and is noted under its name.
macro_rules! watched {
    ($(fn $name:ident($($argument:ident: $kind:ty),*) -> $returned:ty;)*) => { $(
        fn $name(&self, $($argument: $kind),*) -> Result<$returned, StoreError> {
            self.0.metrics.watch("rows", stringify!($name), || self.0.inner.$name($($argument),*))
        }
    )* };
}

impl Devices for MeasuredRows {
    watched! {
        fn open_code(
            firm: &FirmId, code: &SecretDigest, called: (&str, Role), until: DateTime<Utc>, tries: u32
        ) -> ();
        fn let_in(
            firm: &FirmId, code: &SecretDigest, device: &str, token: &SecretDigest, now: DateTime<Utc>
        ) -> bool;
        fn follow(before: &Device, device: &str, token: &SecretDigest, now: DateTime<Utc>) -> bool;
        fn find_device(token: &SecretDigest) -> Option<Device>;
        fn list_devices(firm: &FirmId) -> Vec<Device>;
        fn shut_out(firm: &FirmId, device: &str, now: DateTime<Utc>) -> bool;
    }
}

impl EntryRows for MeasuredRows {
    fn take(&self, firm: &FirmId, new: &NewEntries<'_>) -> Result<(), StoreError> {
        self.0.metrics.watch("rows", "take", || self.0.inner.take(firm, new))?;
        self.0.metrics.entries.inc_by(new.entries.len() as u64);
        Ok(())
    }

    watched! {
        fn epoch(firm: &FirmId, draw: &str) -> String;
        fn row_end(firm: &FirmId, device: &DeviceId) -> Option<RowEnd>;
        fn digest(firm: &FirmId, id: &EntryId) -> Option<Sha256>;
        fn part(firm: &FirmId, seen: u64, without: (&DeviceId, u64), most_bytes: usize) -> Part;
        fn keep_fork(firm: &FirmId, entry: &Carried, at: DateTime<Utc>) -> ();
        fn forks(firm: &FirmId) -> Vec<Fork>;
        fn wanted(firm: &FirmId, device: &DeviceId, after: Option<&Sha256>, most: u64) -> Vec<Sha256>;
        fn share_wanted(firm: &FirmId, from: &DeviceId, to: &DeviceId) -> ();
        fn is_wanted(firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> bool;
        fn keep_blob(firm: &FirmId, sha256: &Sha256, length: u64) -> ();
        fn blob(firm: &FirmId, sha256: &Sha256) -> Option<u64>;
    }
}

impl ReportRows for MeasuredRows {
    watched! {
        fn announce(firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> ();
        fn forget(firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> ();
        fn take_report(firm: &FirmId, report: &NewReport<'_>) -> ();
        fn report(firm: &FirmId, identity: &Sha256) -> Option<ReportRow>;
        fn reports_after(firm: &FirmId, seen: u64, most: u64, of: Option<&DeviceId>) -> Vec<ReportRow>;
    }
}

impl Links for MeasuredRows {
    watched! {
        fn open_link(firm: &FirmId, link: &NewLink<'_>) -> u64;
        fn find_link(secret: &SecretDigest, now: DateTime<Utc>) -> Option<Link>;
        fn count_opening(firm: &FirmId, number: u64, now: DateTime<Utc>) -> ();
        fn list_links(firm: &FirmId) -> Vec<Link>;
        fn close_link(firm: &FirmId, number: u64, now: DateTime<Utc>) -> bool;
    }
}

impl Letters for MeasuredRows {
    watched! {
        fn keep_letter(firm: &FirmId, letter: &str, device: &str, now: DateTime<Utc>) -> u64;
        fn keep_reply(firm: &FirmId, letter: u64, reply: &str, most: u64, now: DateTime<Utc>) -> bool;
        fn letter(firm: &FirmId, number: u64) -> Option<LetterRow>;
    }
}

impl Certificates for MeasuredRows {
    watched! {
        fn ask_certificate(firm: &FirmId, device: &str, request: &str, now: DateTime<Utc>) -> ();
        fn give_certificate(firm: &FirmId, asked: (&str, &str), chain: &str, now: DateTime<Utc>) -> bool;
        fn certificate(firm: &FirmId, device: &str) -> Option<CertificateRow>;
        fn list_certificates(firm: &FirmId) -> Vec<CertificateRow>;
    }
}

impl LogRows for MeasuredRows {
    watched! {
        fn count(firm: &FirmId) -> u64;
        fn entries(firm: &FirmId, from: u64, most: u64) -> Vec<Vec<u8>>;
        fn append(firm: &FirmId, thought: u64, entries: &[Vec<u8>]) -> ();
        fn head(firm: &FirmId) -> Option<String>;
        fn keep_head(firm: &FirmId, size: u64, text: &str) -> ();
        fn alone(firm: &FirmId, work: &mut dyn FnMut() -> Result<(), StoreError>) -> ();
    }
}
