//! Writing a signature into the room that is left for it; nothing else in the file changes.

use super::SealedFile;
use super::byte_range::{ByteRange, ROOM_BYTES, der_sequence_bytes};
use super::fault::Fault;

/// Why a signature was not written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RoomError {
    /// The file is not one of ours.
    #[error("the file cannot be sealed: {0}")]
    Unreadable(#[from] Fault),
    /// The file already has a signature.
    #[error("the file is sealed already; a file is sealed once")]
    Filled,
    /// The file has no signature that could be replaced.
    #[error("the file is not sealed, so its signature cannot be replaced")]
    Empty,
    /// The signature does not fit.
    #[error("the signature has {needed} bytes and its room {ROOM_BYTES}")]
    TooSmall {
        /// The bytes that the signature has.
        needed: usize,
    },
    /// The bytes given are no signature.
    #[error("the signature of {found} bytes is not one DER sequence")]
    NotDer {
        /// The bytes that were given.
        found: usize,
    },
}

/// The sealed file: `prepared` with `der` as lower-case hexadecimal digits in its empty room.
///
/// `der` is one DER sequence of at most [`ROOM_BYTES`] bytes; the rest of the room stays zero.
pub fn fill_room(prepared: &[u8], der: &[u8]) -> Result<Vec<u8>, RoomError> {
    let file = SealedFile::read(prepared)?;
    if file.signature().is_some() { Err(RoomError::Filled) } else { file.with_signature(der) }
}

/// A sealed file with `der` in the place of its signature, so that the new one can carry a receipt.
pub fn replace_room(sealed: &[u8], der: &[u8]) -> Result<Vec<u8>, RoomError> {
    let file = SealedFile::read(sealed)?;
    if file.signature().is_none() { Err(RoomError::Empty) } else { file.with_signature(der) }
}

impl SealedFile<'_> {
    /// This file with `der`, one DER sequence, as its signature, whatever stands in the room now.
    pub fn with_signature(&self, der: &[u8]) -> Result<Vec<u8>, RoomError> {
        let mut bytes = self.bytes().to_vec();
        write_room(&mut bytes, self.byte_range(), der)?;
        Ok(bytes)
    }
}

/// Writes `der`, one DER sequence, into the room that this byte range leaves.
pub(crate) fn write_room(bytes: &mut [u8], range: &ByteRange, der: &[u8]) -> Result<(), RoomError> {
    if der.len() > ROOM_BYTES {
        return Err(RoomError::TooSmall { needed: der.len() });
    }
    if der_sequence_bytes(der) != Some(der.len()) {
        return Err(RoomError::NotDer { found: der.len() });
    }
    let room = &mut bytes[range.before.end + 1..range.after.start - 1];
    room.fill(b'0');
    base16ct::lower::encode(der, room).map_err(|_| RoomError::TooSmall { needed: der.len() })?;
    Ok(())
}
