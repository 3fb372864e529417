//! Stores of files, watched.

use std::sync::Arc;

use chrono::{DateTime, Utc};
use model::{DeviceId, Sha256};

use super::{Metrics, Outcome, Watched};
use crate::store::{Blobs, Digested, FirmId, Joined, Shelf, StoreError};

/// Photographs and recordings, with what is done to them noted.
pub struct MeasuredBlobs(Watched<dyn Blobs>);

impl MeasuredBlobs {
    /// Watches these.
    pub fn new(inner: Arc<dyn Blobs>, metrics: Arc<Metrics>) -> Self {
        Self(Watched { inner, metrics })
    }

    fn watch<T>(
        &self,
        operation: &'static str,
        work: impl FnOnce(&dyn Blobs) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.0.metrics.watch("blobs", operation, || work(self.0.inner.as_ref()))
    }
}

impl Blobs for MeasuredBlobs {
    fn stage(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        sha256: &Sha256,
        nth: u64,
        piece: &Digested,
    ) -> Result<(), StoreError> {
        self.watch("stage", |blobs| blobs.stage(firm, device, sha256, nth, piece))?;
        self.0.metrics.piece("taken");
        Ok(())
    }

    fn staged(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<Vec<u64>, StoreError> {
        self.watch("staged", |blobs| blobs.staged(firm, device, sha256))
    }

    fn join(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256, length: u64) -> Result<Joined, StoreError> {
        let joined = self.watch("join", |blobs| blobs.join(firm, device, sha256, length))?;
        let outcome = match joined {
            Joined::Whole => "whole",
            Joined::Missing => "missing",
            Joined::OtherBytes => "other-bytes",
        };
        self.0.metrics.files.get_or_create(&Outcome { outcome }).inc();
        Ok(joined)
    }

    fn piece(&self, firm: &FirmId, sha256: &Sha256, nth: u64) -> Result<Option<Vec<u8>>, StoreError> {
        self.watch("piece", |blobs| blobs.piece(firm, sha256, nth))
    }

    fn sweep(&self, unmoved_since: DateTime<Utc>) -> Result<u64, StoreError> {
        self.watch("sweep", |blobs| blobs.sweep(unmoved_since))
    }
}

/// Files that everybody may read, with what is done to them noted.
pub struct MeasuredShelf(Watched<dyn Shelf>);

impl MeasuredShelf {
    /// Watches this one.
    pub fn new(inner: Arc<dyn Shelf>, metrics: Arc<Metrics>) -> Self {
        Self(Watched { inner, metrics })
    }
}

impl Shelf for MeasuredShelf {
    fn put(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        self.0.metrics.watch("shelf", "put", || self.0.inner.put(firm, path, bytes))
    }

    fn put_again(&self, firm: &FirmId, files: &[(&str, &[u8])]) -> Result<(), StoreError> {
        self.0.metrics.watch("shelf", "put_again", || self.0.inner.put_again(firm, files))
    }

    fn may_lose(&self) -> bool {
        self.0.inner.may_lose()
    }

    fn list(&self, firm: &FirmId) -> Result<Vec<String>, StoreError> {
        self.0.metrics.watch("shelf", "list", || self.0.inner.list(firm))
    }

    fn read(&self, firm: &FirmId, path: &str) -> Result<Option<Vec<u8>>, StoreError> {
        self.0.metrics.watch("shelf", "read", || self.0.inner.read(firm, path))
    }
}
