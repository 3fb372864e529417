//! The files of one firm: what devices sent, and what everybody may read.

use model::{DeviceId, Sha256};
use sha2::Digest as _;
use sync::{PIECE_BYTES, pieces};

use crate::store::{Blobs, Digested, FirmId, Joined, Shelf, StoreError};

/// Under whose name the pieces come: no device has it.
const CARRIER: &str = "device-0000000000000000";

/// Carries a file and reads it back; false where it was lost before.
pub(super) fn carry_blob(
    from: &dyn Blobs,
    to: &dyn Blobs,
    firm: &FirmId,
    (sha256, length): (&Sha256, u64),
) -> Result<bool, StoreError> {
    if to.piece(firm, sha256, 0)?.is_some() {
        return read_back(to, firm, sha256, length).map(|()| true);
    }
    let carrier: DeviceId =
        CARRIER.parse().map_err(|_| StoreError::Failed(format!("{CARRIER} is no device's name")))?;
    for nth in 0..pieces(length) {
        let Some(piece) = from.piece(firm, sha256, nth)? else { return Ok(false) };
        to.stage(firm, &carrier, sha256, nth, &Digested::of(piece.into()))?;
    }
    match to.join(firm, &carrier, sha256, length)? {
        Joined::Whole => read_back(to, firm, sha256, length).map(|()| true),
        // What has other bytes already was lost before.
        Joined::OtherBytes | Joined::Missing => Ok(false),
    }
}

fn read_back(blobs: &dyn Blobs, firm: &FirmId, sha256: &Sha256, length: u64) -> Result<(), StoreError> {
    let mut digest = sha2::Sha256::new();
    let mut read = 0;
    for nth in 0..pieces(length).max(1) {
        let piece = blobs.piece(firm, sha256, nth)?.unwrap_or_default();
        debug_assert!(piece.len() as u64 <= PIECE_BYTES);
        read += piece.len() as u64;
        digest.update(&piece);
    }
    if read == length && Sha256::new(digest.finalize().into()) == *sha256 {
        Ok(())
    } else {
        Err(StoreError::Failed(format!(
            "{sha256} has other bytes where it was carried to: the office stays where it was"
        )))
    }
}

/// Carries the public files and reads them back; how many.
pub(super) fn carry_shelf(from: &dyn Shelf, to: &dyn Shelf, firm: &FirmId) -> Result<u64, StoreError> {
    let paths = from.list(firm)?;
    let gone = |path: &str| StoreError::Failed(format!("{path} went away while it was carried"));
    // The head after what it shows.
    let (heads, others): (Vec<&String>, Vec<&String>) = paths.iter().partition(|path| *path == log::CHECKPOINT);
    for path in others.into_iter().chain(heads) {
        let bytes = from.read(firm, path)?.ok_or_else(|| gone(path))?;
        if to.read(firm, path)?.as_deref() != Some(&*bytes) {
            to.put(firm, path, &bytes)?;
        }
        if to.read(firm, path)?.as_deref() != Some(&*bytes) {
            return Err(StoreError::Failed(format!(
                "{path} has other bytes where it was carried to: the office stays where it was"
            )));
        }
    }
    Ok(paths.len() as u64)
}
