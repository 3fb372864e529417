//! What can be wrong with a signature.

use crate::certificate::CertificateError;

/// Why a signature was refused. Each class has its own stable code.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SignatureFault {
    /// More bytes than any signature of ours.
    #[error("a signature of {got} bytes, expected at most {most}")]
    TooLarge {
        /// Its length in bytes.
        got: usize,
        /// The most that is read.
        most: usize,
    },
    /// BER, trailing bytes, another spelling, or another structure (for example with revocation lists inside).
    #[error("not a CMS SignedData in canonical DER")]
    NotCanonical(#[source] der::Error),
    /// A content type other than signed-data.
    #[error("a CMS message that is not SignedData")]
    NotSignedData,
    /// A version other than 1.
    #[error("a version of SignedData or SignerInfo other than 1")]
    Version,
    /// A digest algorithm other than SHA-512 without parameters, or several.
    #[error("another digest algorithm than SHA-512")]
    DigestAlgorithm,
    /// Another kind of signed content than plain data.
    #[error("signed content of another type than data")]
    ContentType,
    /// Content inside where it must be outside.
    #[error("signed content inside the signature, expected only outside")]
    ContentInside,
    /// No content inside where it must be.
    #[error("no signed content inside the signature")]
    ContentMissing,
    /// No certificates, or something else among them.
    #[error("{got} certificates inside the signature, expected 3 X.509 certificates")]
    Certificates {
        /// How many X.509 certificates there are.
        got: usize,
    },
    /// A certificate that cannot be read.
    #[error("a certificate inside the signature is refused")]
    Certificate(#[source] CertificateError),
    /// A set that is not in DER's order.
    #[error("a set in another order than DER's")]
    SetOrder,
    /// Zero or several signers.
    #[error("{got} signers, expected 1")]
    Signers {
        /// How many there are.
        got: usize,
    },
    /// The named signer is not among the certificates.
    #[error("the signer's certificate is not inside the signature")]
    SignerUnknown,
    /// Another signature algorithm than Ed25519 without parameters.
    #[error("another signature algorithm than Ed25519 without parameters")]
    SignatureAlgorithm,
    /// No signed attributes at all.
    #[error("a signature without signed attributes")]
    NoSignedAttributes,
    /// One of the three is missing.
    #[error("the signed attribute {kind} is missing")]
    AttributeMissing {
        /// Which.
        kind: &'static str,
    },
    /// One of the three stands twice, or holds several values.
    #[error("the signed attribute {kind} is doubled")]
    AttributeDoubled {
        /// Which.
        kind: &'static str,
    },
    /// A fourth signed attribute.
    #[error("an unknown signed attribute")]
    AttributeUnknown,
    /// The attribute content-type does not say data.
    #[error("the signed attribute content-type is wrong")]
    AttributeContentType,
    /// The attribute message-digest is not 64 bytes.
    #[error("the signed attribute message-digest is malformed")]
    AttributeMessageDigest,
    /// The attribute signing-certificate-v2 names other certificates than those inside, or is spelt otherwise.
    #[error("the signed attribute signing-certificate-v2 does not name the certificates inside, the signer's first")]
    AttributeSigningCertificate,
    /// An empty set of unsigned attributes.
    #[error("an empty set of unsigned attributes")]
    UnsignedEmpty,
    /// An unsigned attribute that is neither receipt nor timestamp.
    #[error("an unknown unsigned attribute")]
    UnsignedUnknown,
    /// Two receipts.
    #[error("a second log receipt")]
    ReceiptDoubled,
    /// A receipt that is not one string.
    #[error("a malformed log receipt attribute")]
    ReceiptMalformed,
    /// Two timestamp tokens.
    #[error("a second timestamp token")]
    TimestampDoubled,
    /// The signed bytes are not those that were signed.
    #[error("the bytes are not those that were signed: their digest differs")]
    DigestDiffers,
    /// The signature itself does not fit.
    #[error("the signature does not fit the signer's key")]
    SignatureInvalid,
}

impl SignatureFault {
    /// A stable code in kebab case.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::TooLarge { .. } => "cms-too-large",
            Self::NotCanonical(_) => "cms-not-canonical",
            Self::NotSignedData => "cms-not-signed-data",
            Self::Version => "cms-version",
            Self::DigestAlgorithm => "cms-digest-algorithm",
            Self::ContentType => "cms-content-type",
            Self::ContentInside => "cms-content-inside",
            Self::ContentMissing => "cms-content-missing",
            Self::Certificates { .. } => "cms-certificates",
            Self::Certificate(_) => "cms-certificate-refused",
            Self::SetOrder => "cms-set-order",
            Self::Signers { .. } => "cms-signer-count",
            Self::SignerUnknown => "cms-signer-unknown",
            Self::SignatureAlgorithm => "cms-signature-algorithm",
            Self::NoSignedAttributes => "cms-no-signed-attributes",
            Self::AttributeMissing { .. } => "cms-attribute-missing",
            Self::AttributeDoubled { .. } => "cms-attribute-doubled",
            Self::AttributeUnknown => "cms-attribute-unknown",
            Self::AttributeContentType => "cms-attribute-content-type",
            Self::AttributeMessageDigest => "cms-attribute-message-digest",
            Self::AttributeSigningCertificate => "cms-attribute-signing-certificate",
            Self::UnsignedEmpty => "cms-unsigned-empty",
            Self::UnsignedUnknown => "cms-unsigned-unknown",
            Self::ReceiptDoubled => "receipt-doubled",
            Self::ReceiptMalformed => "receipt-attribute-malformed",
            Self::TimestampDoubled => "timestamp-doubled",
            Self::DigestDiffers => "digest-differs",
            Self::SignatureInvalid => "signature-invalid",
        }
    }
}
