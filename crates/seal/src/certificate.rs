//! X.509 certificates of a firm's small tree: root, issuer, person.

mod asked;
mod issue;
mod profile;
mod subject;

pub use asked::{AskedError, CertificateAsked};
pub use issue::{Firm, IssueError, certify_issuer, certify_person, create_root};
pub use profile::{ProfileFault, Rank};
pub use subject::{Person, Role, Subject, SubjectError};

use base16ct::lower::encode_string;
use chrono::{DateTime, Utc};
use der::Encode as _;

use crate::{
    asn1::{decode_canonical, from_asn1_time, from_pem, to_pem},
    digest::Fingerprint,
    key::PublicKey,
};

/// A certificate in canonical DER with an Ed25519 key. Whether it may be relied on is a question of the chain.
#[derive(Clone, PartialEq, Eq)]
pub struct Certificate {
    der: Vec<u8>,
    inner: x509_cert::Certificate,
    key: PublicKey,
}

/// No certificate of ours comes near this.
const MOST_BYTES: usize = 4 * 1024;
const PEM_LABEL: &str = "CERTIFICATE";

impl Certificate {
    /// Reads DER. Refuses what is not canonical DER, not X.509, oversized, or holds no sound Ed25519 key.
    pub fn parse_der(der: &[u8]) -> Result<Self, CertificateError> {
        if der.len() > MOST_BYTES {
            return Err(CertificateError::TooLarge { got: der.len() });
        }
        let inner: x509_cert::Certificate = decode_canonical(der).map_err(CertificateError::NotDer)?;
        let spki = inner.tbs_certificate().subject_public_key_info();
        let bits = spki.subject_public_key.as_bytes().unwrap_or_default();
        let key = PublicKey::parse(bits).map_err(CertificateError::Key)?;
        let spki = spki.to_der().map_err(CertificateError::NotDer)?;
        if spki != key.to_spki_der() {
            return Err(CertificateError::KeyNotEd25519);
        }
        Ok(Self { der: der.to_vec(), inner, key })
    }

    /// Reads exactly one PEM block `CERTIFICATE`.
    pub fn parse_pem(pem: &str) -> Result<Self, CertificateError> {
        // The largest allowed DER, in base64 with line ends, and some room for comments before the block.
        if pem.len() > 2 * MOST_BYTES {
            return Err(CertificateError::TooLarge { got: pem.len() });
        }
        Self::parse_der(&from_pem(PEM_LABEL, pem).ok_or(CertificateError::NotPem)?)
    }

    /// The certificate as a PEM block.
    pub fn to_pem(&self) -> String {
        to_pem(PEM_LABEL, &self.der)
    }

    /// The canonical DER.
    pub fn as_der(&self) -> &[u8] {
        &self.der
    }

    /// The key that the certificate speaks of.
    pub fn key(&self) -> PublicKey {
        self.key
    }

    /// The key's fingerprint: SHA-256 over its `SubjectPublicKeyInfo`.
    pub fn fingerprint(&self) -> Fingerprint {
        self.key.fingerprint()
    }

    /// Whom it names.
    pub fn subject(&self) -> Result<Subject, SubjectError> {
        Subject::read(self.inner.tbs_certificate().subject())
    }

    /// First and last instant of validity; both belong to it.
    pub fn validity(&self) -> (DateTime<Utc>, DateTime<Utc>) {
        let validity = self.inner.tbs_certificate().validity();
        (from_asn1_time(validity.not_before), from_asn1_time(validity.not_after))
    }

    /// The serial number in lower-case hexadecimal.
    pub fn serial(&self) -> String {
        let bytes = self.inner.tbs_certificate().serial_number().as_bytes();
        encode_string(bytes)
    }

    /// Does this key's signature stand under the certificate?
    pub fn is_signed_by(&self, key: PublicKey) -> bool {
        let Ok(signed) = self.inner.tbs_certificate().to_der() else { return false };
        let signature = self.inner.signature().as_bytes().unwrap_or_default();
        key.check(&signed, signature).is_ok()
    }

    pub(crate) fn inner(&self) -> &x509_cert::Certificate {
        &self.inner
    }
}

impl std::fmt::Debug for Certificate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "certificate of {} with {:?}", self.inner.tbs_certificate().subject(), self.key)
    }
}

/// Why a certificate could not be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum CertificateError {
    /// More bytes than any certificate of ours.
    #[error("a certificate of {got} bytes, expected at most {MOST_BYTES}")]
    TooLarge {
        /// Its length in bytes.
        got: usize,
    },
    /// Not one PEM block named CERTIFICATE.
    #[error("not a PEM block `CERTIFICATE`")]
    NotPem,
    /// Not canonical DER of an X.509 certificate.
    #[error("not an X.509 certificate in canonical DER")]
    NotDer(#[source] der::Error),
    /// The key is not usable.
    #[error("the certificate's key is refused")]
    Key(#[source] crate::key::KeyError),
    /// The key is of another kind.
    #[error("the certificate's key is not an Ed25519 key without parameters")]
    KeyNotEd25519,
}

#[cfg(test)]
mod tests;
