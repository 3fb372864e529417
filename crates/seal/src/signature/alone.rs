//! A report's signature without its file: some 3 kB that say which report was sealed, and by whom.
//!
//! The signature's message-digest is the digest of the signed bytes, and the report's identity is made of that. So whoever
//! checks the signature knows the identity, and nobody without the signer's key can claim another one.

use chrono::{DateTime, Utc};
use der::Encode as _;

use super::{AttachError, Form, SignatureFault, SignedMessage};
use crate::{
    asn1::{ContentInfo, decode_canonical},
    chain::{Chain, ChainFault},
    digest::{ReportIdentity, Sha256Digest},
    receipt::LogEntry,
};

/// A signature whose structure, mathematics and chain are sound. Whether its root is known and its key may sign is for
/// [`Trust::judge`](crate::trust::Trust::judge).
#[derive(Clone, Debug)]
pub struct LoneSignature {
    report: ReportIdentity,
    value: Vec<u8>,
    chain: Chain,
}

impl LoneSignature {
    /// Reads and checks the DER of a detached signature.
    ///
    /// # Errors
    /// [`LoneSignatureFault`]: another structure, a signature that does not stand, certificates that are no chain.
    pub fn parse(der: &[u8]) -> Result<Self, LoneSignatureFault> {
        let message = SignedMessage::parse(der, Form::Detached)?;
        message.check(message.message_digest())?;
        let chain = Chain::build(message.signer(), message.certificates())?;
        let report = ReportIdentity(Sha256Digest::of(message.message_digest()));
        Ok(Self { report, value: message.signature().to_vec(), chain })
    }

    /// The identity of the report that was sealed with it.
    pub const fn report(&self) -> ReportIdentity {
        self.report
    }

    /// The signer's certificate and those that vouch for it.
    pub const fn chain(&self) -> &Chain {
        &self.chain
    }

    /// The entry that a log makes of it, with the log's own time.
    pub fn log_entry(&self, at: DateTime<Utc>) -> LogEntry {
        LogEntry::new(self.report, &self.value, at)
    }
}

/// A signature without what was added after signing; returns DER. The signed parts stay the same to the byte.
///
/// # Errors
/// [`AttachError`]: not a signature of one signer in canonical DER.
pub fn strip_unsigned(signature: &[u8]) -> Result<Vec<u8>, AttachError> {
    let mut message: ContentInfo = decode_canonical(signature)?;
    let [signer] = &mut message.content.signers.0[..] else { return Err(AttachError::NotOneSigner) };
    signer.unsigned_attributes = None;
    Ok(message.to_der()?)
}

/// Why a signature alone says nothing.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LoneSignatureFault {
    /// The signature.
    #[error("the signature is refused: {0}")]
    Signature(#[from] SignatureFault),
    /// Its certificates.
    #[error("the signer's certificates are refused: {0}")]
    Chain(#[from] ChainFault),
}

#[cfg(test)]
mod tests {
    use sha2::{Digest as _, Sha512};

    use super::*;
    use crate::{
        certificate::Role,
        fixture::{TestFirm, at},
        signature::{attach_receipt, sign_attached, sign_detached},
    };

    #[test]
    fn a_signature_alone_names_its_report_and_its_signer_and_nothing_else_does() {
        let mut firm = TestFirm::found("Harbour & Vale Inspections");
        let ines = firm.hire("Ines Okafor-Lind", Role::Inspector);
        let digest = Sha512::digest(b"the signed bytes").into();
        let signed = sign_detached(&digest, &ines).unwrap();
        let read = LoneSignature::parse(&signed).unwrap();
        assert_eq!(read.report(), ReportIdentity(Sha256Digest::of(&digest)));
        assert_eq!(read.chain(), ines.chain());
        let entry = read.log_entry(at("2026-11-24T10:00:00Z"));
        assert_eq!(entry.report, read.report());

        // What was added later is left away, and changes nothing of it.
        let later = attach_receipt(&signed, "a receipt").unwrap();
        assert_eq!(strip_unsigned(&later).unwrap(), signed);

        // A statement has its content inside.
        let inside = sign_attached(b"a statement", &ines).unwrap();
        assert!(matches!(
            LoneSignature::parse(&inside),
            Err(LoneSignatureFault::Signature(SignatureFault::ContentInside))
        ));
        // Of every byte that is changed, none is taken with another meaning.
        for place in 0..signed.len() {
            let mut changed = signed.clone();
            changed[place] ^= 1;
            assert!(LoneSignature::parse(&changed).is_err(), "byte {place}");
        }
    }
}
