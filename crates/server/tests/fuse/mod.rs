//! Stores behind a fuse: one call of theirs fails, before its effect or after it.

use std::sync::{
    Arc,
    atomic::{AtomicI64, Ordering},
};

use chrono::{DateTime, Utc};
use model::{Carried, DeviceId, EntryId, Sha256};
use seal::certificate::Role;
use server::{
    Blobs, CertificateRow, Certificates, Device, Devices, Digested, EntryRows, FirmId, Fork, Joined, LetterRow,
    Letters, Link, Links, NewEntries, NewLink, NewReport, Part, ReportRow, ReportRows, RowEnd, SecretDigest,
    StoreError,
};

/// Counts down to the one call that fails.
pub struct Fuse {
    pub left: AtomicI64,
    pub persisted: bool,
}

impl Fuse {
    fn guard<T>(&self, work: impl FnOnce() -> Result<T, StoreError>) -> Result<T, StoreError> {
        let fails = self.left.fetch_sub(1, Ordering::SeqCst) == 0;
        if fails && !self.persisted {
            return Err(StoreError::Failed("on purpose".to_owned()));
        }
        let done = work();
        if fails { Err(StoreError::Failed("on purpose, after its effect".to_owned())) } else { done }
    }
}

/// A store behind a fuse.
pub struct Failing<S> {
    pub store: Arc<S>,
    pub fuse: Arc<Fuse>,
}

impl<S: EntryRows> EntryRows for Failing<S> {
    fn epoch(&self, firm: &FirmId, draw: &str) -> Result<String, StoreError> {
        self.fuse.guard(|| self.store.epoch(firm, draw))
    }
    fn row_end(&self, firm: &FirmId, device: &DeviceId) -> Result<Option<RowEnd>, StoreError> {
        self.fuse.guard(|| self.store.row_end(firm, device))
    }
    fn digest(&self, firm: &FirmId, id: &EntryId) -> Result<Option<Sha256>, StoreError> {
        self.fuse.guard(|| self.store.digest(firm, id))
    }
    fn take(&self, firm: &FirmId, new: &NewEntries<'_>) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.take(firm, new))
    }
    fn part(&self, firm: &FirmId, seen: u64, without: (&DeviceId, u64), most: usize) -> Result<Part, StoreError> {
        self.fuse.guard(|| self.store.part(firm, seen, without, most))
    }
    fn keep_fork(&self, firm: &FirmId, entry: &Carried, at: DateTime<Utc>) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.keep_fork(firm, entry, at))
    }
    fn forks(&self, firm: &FirmId) -> Result<Vec<Fork>, StoreError> {
        self.fuse.guard(|| self.store.forks(firm))
    }
    fn wanted(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        after: Option<&Sha256>,
        most: u64,
    ) -> Result<Vec<Sha256>, StoreError> {
        self.fuse.guard(|| self.store.wanted(firm, device, after, most))
    }
    fn share_wanted(&self, firm: &FirmId, from: &DeviceId, to: &DeviceId) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.share_wanted(firm, from, to))
    }
    fn is_wanted(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<bool, StoreError> {
        self.fuse.guard(|| self.store.is_wanted(firm, device, sha256))
    }
    fn keep_blob(&self, firm: &FirmId, sha256: &Sha256, length: u64) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.keep_blob(firm, sha256, length))
    }
    fn blob(&self, firm: &FirmId, sha256: &Sha256) -> Result<Option<u64>, StoreError> {
        self.fuse.guard(|| self.store.blob(firm, sha256))
    }
}

impl<S: Blobs> Blobs for Failing<S> {
    fn stage(
        &self,
        firm: &FirmId,
        of: &DeviceId,
        sha256: &Sha256,
        nth: u64,
        piece: &Digested,
    ) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.stage(firm, of, sha256, nth, piece))
    }
    fn staged(&self, firm: &FirmId, of: &DeviceId, sha256: &Sha256) -> Result<Vec<u64>, StoreError> {
        self.fuse.guard(|| self.store.staged(firm, of, sha256))
    }
    fn join(&self, firm: &FirmId, of: &DeviceId, sha256: &Sha256, length: u64) -> Result<Joined, StoreError> {
        self.fuse.guard(|| self.store.join(firm, of, sha256, length))
    }
    fn piece(&self, firm: &FirmId, sha256: &Sha256, nth: u64) -> Result<Option<Vec<u8>>, StoreError> {
        self.fuse.guard(|| self.store.piece(firm, sha256, nth))
    }
    fn sweep(&self, unmoved_since: DateTime<Utc>) -> Result<u64, StoreError> {
        self.fuse.guard(|| self.store.sweep(unmoved_since))
    }
}

impl<S: Devices> Devices for Failing<S> {
    fn open_code(
        &self,
        firm: &FirmId,
        code: &SecretDigest,
        called: (&str, Role),
        until: DateTime<Utc>,
        tries: u32,
    ) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.open_code(firm, code, called, until, tries))
    }
    fn let_in(
        &self,
        firm: &FirmId,
        code: &SecretDigest,
        device: &str,
        token: &SecretDigest,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        self.fuse.guard(|| self.store.let_in(firm, code, device, token, now))
    }
    fn follow(
        &self,
        before: &Device,
        device: &str,
        token: &SecretDigest,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        self.fuse.guard(|| self.store.follow(before, device, token, now))
    }
    fn find_device(&self, token: &SecretDigest) -> Result<Option<Device>, StoreError> {
        self.fuse.guard(|| self.store.find_device(token))
    }
    fn list_devices(&self, firm: &FirmId) -> Result<Vec<Device>, StoreError> {
        self.fuse.guard(|| self.store.list_devices(firm))
    }
    fn shut_out(&self, firm: &FirmId, device: &str, now: DateTime<Utc>) -> Result<bool, StoreError> {
        self.fuse.guard(|| self.store.shut_out(firm, device, now))
    }
}

impl<S: ReportRows> ReportRows for Failing<S> {
    fn announce(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.announce(firm, device, sha256))
    }
    fn forget(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.forget(firm, device, sha256))
    }
    fn take_report(&self, firm: &FirmId, report: &NewReport<'_>) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.take_report(firm, report))
    }
    fn report(&self, firm: &FirmId, identity: &Sha256) -> Result<Option<ReportRow>, StoreError> {
        self.fuse.guard(|| self.store.report(firm, identity))
    }
    fn reports_after(
        &self,
        firm: &FirmId,
        seen: u64,
        most: u64,
        of: Option<&DeviceId>,
    ) -> Result<Vec<ReportRow>, StoreError> {
        self.fuse.guard(|| self.store.reports_after(firm, seen, most, of))
    }
}

impl<S: Links> Links for Failing<S> {
    fn open_link(&self, firm: &FirmId, link: &NewLink<'_>) -> Result<u64, StoreError> {
        self.fuse.guard(|| self.store.open_link(firm, link))
    }
    fn find_link(&self, secret: &SecretDigest, now: DateTime<Utc>) -> Result<Option<Link>, StoreError> {
        self.fuse.guard(|| self.store.find_link(secret, now))
    }
    fn count_opening(&self, firm: &FirmId, number: u64, now: DateTime<Utc>) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.count_opening(firm, number, now))
    }
    fn list_links(&self, firm: &FirmId) -> Result<Vec<Link>, StoreError> {
        self.fuse.guard(|| self.store.list_links(firm))
    }
    fn close_link(&self, firm: &FirmId, number: u64, now: DateTime<Utc>) -> Result<bool, StoreError> {
        self.fuse.guard(|| self.store.close_link(firm, number, now))
    }
}

impl<S: Letters> Letters for Failing<S> {
    fn keep_letter(&self, firm: &FirmId, letter: &str, device: &str, now: DateTime<Utc>) -> Result<u64, StoreError> {
        self.fuse.guard(|| self.store.keep_letter(firm, letter, device, now))
    }
    fn keep_reply(
        &self,
        firm: &FirmId,
        letter: u64,
        reply: &str,
        most: u64,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        self.fuse.guard(|| self.store.keep_reply(firm, letter, reply, most, now))
    }
    fn letter(&self, firm: &FirmId, number: u64) -> Result<Option<LetterRow>, StoreError> {
        self.fuse.guard(|| self.store.letter(firm, number))
    }
}

impl<S: Certificates> Certificates for Failing<S> {
    fn ask_certificate(
        &self,
        firm: &FirmId,
        device: &str,
        request: &str,
        now: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        self.fuse.guard(|| self.store.ask_certificate(firm, device, request, now))
    }
    fn give_certificate(
        &self,
        firm: &FirmId,
        asked: (&str, &str),
        chain: &str,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        self.fuse.guard(|| self.store.give_certificate(firm, asked, chain, now))
    }
    fn certificate(&self, firm: &FirmId, device: &str) -> Result<Option<CertificateRow>, StoreError> {
        self.fuse.guard(|| self.store.certificate(firm, device))
    }
    fn list_certificates(&self, firm: &FirmId) -> Result<Vec<CertificateRow>, StoreError> {
        self.fuse.guard(|| self.store.list_certificates(firm))
    }
}
