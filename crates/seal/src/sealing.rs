//! Seals a prepared report, and puts a receipt or a timestamp into a sealed one.

use crate::{
    check::check_imprint,
    digest::{ReportIdentity, Sha256Digest},
    file::{Fault, RoomError, SealedFile, write_room},
    receipt::{LogEntry, Receipt},
    signature::{
        AttachError, Form, SignatureFault, SignedMessage, Signer, attach_receipt, attach_timestamp, sign_detached,
        strip_unsigned,
    },
    timestamp::{AnswerFault, ask_for_token, read_answer},
};
use chrono::{DateTime, Utc};

/// Signs a prepared report; returns the sealed file, which differs from the prepared one inside `/Contents` only.
///
/// The bytes are taken, so that a large report is not in memory twice.
pub fn seal_file(mut prepared: Vec<u8>, signer: &Signer) -> Result<Vec<u8>, SealError> {
    let file = SealedFile::read(&prepared)?;
    if file.signature().is_some() {
        return Err(RoomError::Filled.into());
    }
    let signature = sign_detached(file.covered_digest(), signer).map_err(SealError::Encoding)?;
    let range = file.byte_range().clone();
    write_room(&mut prepared, &range, &signature)?;
    Ok(prepared)
}

/// The entry to be made in the log for a sealed report: its identity, its signature, and the log's own time.
pub fn log_entry(sealed: &[u8], at: DateTime<Utc>) -> Result<LogEntry, SealError> {
    let file = SealedFile::read(sealed)?;
    let message = read_message(&file)?;
    Ok(LogEntry::new(identity(&file), message.signature(), at))
}

/// A sealed report's signature without its file and without what was added after signing, in DER, some 3 kB: it alone shows a
/// log what was sealed, and by whom ([`LoneSignature`](crate::signature::LoneSignature)).
///
/// # Errors
/// [`SealError`]: the file is not sealed, or its signature does not stand.
pub fn lone_signature(sealed: &[u8]) -> Result<Vec<u8>, SealError> {
    let file = SealedFile::read(sealed)?;
    read_message(&file)?;
    Ok(strip_unsigned(file.signature().ok_or(RoomError::Empty)?)?)
}

/// Puts a log's receipt into the room of a sealed report; no signed byte changes. Refused: a receipt for another
/// report or signature, and a second receipt.
pub fn add_receipt(sealed: &[u8], receipt: &Receipt) -> Result<Vec<u8>, SealError> {
    let file = SealedFile::read(sealed)?;
    let message = read_message(&file)?;
    let expected = LogEntry::new(identity(&file), message.signature(), receipt.entry.at);
    if receipt.entry != expected {
        return Err(SealError::OtherReceipt);
    }
    let signature = file.signature().ok_or(RoomError::Empty)?;
    let signature = attach_receipt(signature, &receipt.to_text())?;
    Ok(file.with_signature(&signature)?)
}

/// The question for a timestamp of RFC 3161 over a sealed report's signature, in DER.
pub fn ask_for_timestamp(sealed: &[u8]) -> Result<Vec<u8>, SealError> {
    let file = SealedFile::read(sealed)?;
    ask_for_token(read_message(&file)?.signature()).map_err(SealError::Encoding)
}

/// Puts the token of an authority's answer into the room of a sealed report; no signed byte changes. Refused: a token over
/// another signature, and a second token. Who issued it is not judged.
pub fn add_timestamp(sealed: &[u8], answer: &[u8]) -> Result<Vec<u8>, SealError> {
    add_token(sealed, &read_answer(answer)?)
}

/// Puts a token (RFC 3161, DER) into the room of a sealed report, as [`add_timestamp`] does with an answer's.
pub fn add_token(sealed: &[u8], token: &[u8]) -> Result<Vec<u8>, SealError> {
    let file = SealedFile::read(sealed)?;
    check_token(&file, token)?;
    let signature = file.signature().ok_or(RoomError::Empty)?;
    Ok(file.with_signature(&attach_timestamp(signature, token)?)?)
}

/// The token in an authority's answer, which has to be one over this sealed report's signature. Who issued it is not judged.
pub fn read_token(sealed: &[u8], answer: &[u8]) -> Result<Vec<u8>, SealError> {
    let token = read_answer(answer)?;
    check_token(&SealedFile::read(sealed)?, &token)?;
    Ok(token)
}

fn check_token(file: &SealedFile<'_>, token: &[u8]) -> Result<(), SealError> {
    let message = read_message(file)?;
    check_imprint(token, message.signature()).map_err(|finding| SealError::OtherTimestamp(finding.reason))?;
    Ok(())
}

/// Whether a timestamp's token is in a sealed report.
pub fn has_timestamp(sealed: &[u8]) -> bool {
    let timestamp = |file: SealedFile<'_>| read_message(&file).ok()?.timestamp().map(drop);
    SealedFile::read(sealed).ok().and_then(timestamp).is_some()
}

/// Whether a log's receipt is in a sealed report. Whether it proves anything is for the check of the report.
pub fn has_receipt(sealed: &[u8]) -> bool {
    let receipt = |file: SealedFile<'_>| read_message(&file).ok()?.receipt().map(drop);
    SealedFile::read(sealed).ok().and_then(receipt).is_some()
}

fn read_message(file: &SealedFile<'_>) -> Result<SignedMessage, SealError> {
    let signature = file.signature().ok_or(RoomError::Empty)?;
    let message = SignedMessage::parse(signature, Form::Detached)?;
    message.check(file.covered_digest())?;
    Ok(message)
}

pub(crate) fn identity(file: &SealedFile<'_>) -> ReportIdentity {
    ReportIdentity(Sha256Digest::from_bytes(file.identity()))
}

/// Why a report was not sealed, or its room not filled further.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SealError {
    /// The file is not of the profile.
    #[error("the file is not a report that can be sealed: {0}")]
    File(#[from] Fault),
    /// The room is filled, empty, or too small.
    #[error(transparent)]
    Room(#[from] RoomError),
    /// The signature inside is refused.
    #[error("the file's signature is refused: {0}")]
    Signature(#[from] SignatureFault),
    /// The receipt belongs to something else.
    #[error("the receipt belongs to another report or another signature")]
    OtherReceipt,
    /// The authority's answer holds no token.
    #[error(transparent)]
    Answer(#[from] AnswerFault),
    /// The token is malformed, or belongs to something else.
    #[error("{0}")]
    OtherTimestamp(String),
    /// The receipt or token could not be attached.
    #[error("it could not be added: {0}")]
    Attach(#[from] AttachError),
    /// The signature could not be encoded.
    #[error("the signature could not be encoded")]
    Encoding(#[source] der::Error),
}
