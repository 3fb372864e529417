//! A sealed report that a device brings: its pieces, a look at it, its place among the others.

use log::EntryKind;
use model::{DeviceId, Sha256};
use sync::{Bring, Brought, MOST_REPORT_BYTES, pieces};

use crate::{
    entering::{EnterError, read_kind},
    papers::{ROOT, read_paper},
    store::{Blobs, FirmId, NewReport, OfficeRows, Shelf, StoreError},
};

/// Why a report was not taken.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TakeError {
    /// More bytes than any report.
    #[error("got a report of {got} bytes, expected at most {MOST_REPORT_BYTES}")]
    TooLarge {
        /// Its length.
        got: u64,
    },
    /// The office does not know under which root the firm's reports are signed.
    #[error("the office was not told the firm's root")]
    NoRoot,
    /// It is no report of this firm.
    #[error(transparent)]
    NotOurs(#[from] EnterError),
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// What an office takes reports with.
#[derive(Clone, Copy)]
pub struct Takes<'a> {
    /// Its rows.
    pub rows: &'a dyn OfficeRows,
    /// Its files.
    pub blobs: &'a dyn Blobs,
    /// What it shows, the firm's root among it.
    pub shelf: &'a dyn Shelf,
    /// The time by its clock.
    pub now: chrono::DateTime<chrono::Utc>,
}

/// Takes a report whose file is here whole, or says which pieces came already. Only what is sealed under the firm's root is
/// taken. Asking twice is as asking once.
///
/// # Errors
/// [`TakeError`].
pub fn take_report(
    Takes { rows, blobs, shelf, now }: Takes<'_>,
    (firm, device): (&FirmId, &DeviceId),
    brought: &Bring,
) -> Result<Brought, TakeError> {
    let Bring { sha256, length } = brought;
    if *length > MOST_REPORT_BYTES {
        return Err(TakeError::TooLarge { got: *length });
    }
    let root = read_paper(shelf, firm, ROOT)?.ok_or(TakeError::NoRoot)?;
    if rows.blob(firm, sha256)? != Some(*length) {
        rows.announce(firm, device, sha256)?;
        return Ok(Brought { here: false, pieces: blobs.staged(firm, device, sha256)? });
    }
    let bytes = read_whole(blobs, firm, sha256, *length)?;
    let EntryKind::Issued { report, .. } = read_kind(&bytes, &root, now)? else {
        return Err(EnterError::Foreign("it is a statement and no report".to_owned()).into());
    };
    let identity = Sha256::new(*report.0.as_bytes());
    rows.take_report(firm, &NewReport { identity: &identity, sha256, length: *length, device, at: now })?;
    Ok(Brought { here: true, pieces: Vec::new() })
}

/// A file of so many bytes that is here.
///
/// # Errors
/// The store; a file that lost its bytes.
pub fn read_whole(blobs: &dyn Blobs, firm: &FirmId, sha256: &Sha256, length: u64) -> Result<Vec<u8>, StoreError> {
    let mut bytes = Vec::new();
    for nth in 0..pieces(length) {
        let piece = blobs.piece(firm, sha256, nth)?;
        bytes.extend(piece.ok_or_else(|| StoreError::Failed(format!("the file {sha256} is missing")))?);
    }
    if bytes.len() as u64 != length {
        return Err(StoreError::Failed(format!("the file {sha256} has {} bytes instead of {length}", bytes.len())));
    }
    Ok(bytes)
}
