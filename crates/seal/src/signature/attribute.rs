//! Attributes: the one that names the signer's certificate, and those that may be added after signing.

use der::{Any, Encode as _, Sequence, Tag, asn1::OctetString};

use super::{RECEIPT_ATTRIBUTE, TIMESTAMP_TOKEN};
use crate::{
    asn1::{Attribute, AttributeType, ContentInfo, Listed, decode_canonical},
    certificate::Certificate,
    digest::Sha256Digest,
};

/// `SigningCertificateV2` of RFC 5035 §3 without policies.
#[derive(Sequence)]
struct SigningCertificate {
    certificates: Vec<CertificateReference>,
}

/// `ESSCertIDv2` of RFC 5035 §4. SHA-256 is the default algorithm and so is not written; the issuer and serial number,
/// which EN 319 142-1 leaves optional, stand in the signer information.
#[derive(Sequence)]
struct CertificateReference {
    digest: OctetString,
}

/// The value of the attribute signing-certificate-v2 for the signer's certificate, which comes first, and those that
/// vouch for it. With these the signature covers every certificate that travels with it.
pub(crate) fn signing_certificate(certificates: [&Certificate; 3]) -> der::Result<Any> {
    let mut references = Vec::new();
    for certificate in certificates {
        let digest = OctetString::new(*Sha256Digest::of(certificate.as_der()).as_bytes())?;
        references.push(CertificateReference { digest });
    }
    Any::encode_from(&SigningCertificate { certificates: references })
}

/// Adds a log receipt to a signature as an unsigned attribute; returns the new DER. The signed parts stay the same to
/// the byte. A second receipt is refused.
pub fn attach_receipt(signature: &[u8], receipt: &str) -> Result<Vec<u8>, AttachError> {
    let value = Any::new(Tag::Utf8String, receipt.as_bytes())?;
    attach(signature, Attribute::new(AttributeType(RECEIPT_ATTRIBUTE.to_vec()), value))
}

/// Adds an RFC 3161 timestamp token, given in DER, as an unsigned attribute. A second token is refused.
pub fn attach_timestamp(signature: &[u8], token: &[u8]) -> Result<Vec<u8>, AttachError> {
    attach(signature, Attribute::new(TIMESTAMP_TOKEN, decode_canonical(token)?))
}

fn attach(signature: &[u8], attribute: Attribute) -> Result<Vec<u8>, AttachError> {
    let mut message: ContentInfo = decode_canonical(signature)?;
    let [signer] = &mut message.content.signers.0[..] else { return Err(AttachError::NotOneSigner) };
    let mut attributes = signer.unsigned_attributes.take().map_or_else(Vec::new, |listed| listed.0);
    if attributes.iter().any(|present| present.kind == attribute.kind) {
        return Err(AttachError::AlreadyThere);
    }
    attributes.push(attribute);
    signer.unsigned_attributes = Some(Listed::sorted(attributes)?);
    Ok(message.to_der()?)
}

/// Why an attribute could not be added.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AttachError {
    /// The signature or the token is not canonical DER.
    #[error("not canonical DER")]
    NotDer(#[from] der::Error),
    /// The signature has no signer or several.
    #[error("a signature without exactly one signer")]
    NotOneSigner,
    /// There is one of this kind already.
    #[error("the signature carries such an attribute already")]
    AlreadyThere,
}
