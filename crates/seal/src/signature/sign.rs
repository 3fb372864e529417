//! Makes signatures.

use cms::{
    cert::{CertificateChoices, IssuerAndSerialNumber},
    content_info::CmsVersion,
};
use der::{Any, Encode as _, asn1::OctetString};
use sha2::{Digest as _, Sha512};

use super::{
    CONTENT_TYPE, ContentDigest, DATA, ED25519, MESSAGE_DIGEST, SHA_512, SIGNED_DATA, SIGNING_CERTIFICATE,
    signing_certificate,
};
use crate::{
    asn1::{Attribute, ContentInfo, EncapsulatedContent, Listed, SignedData, SignerInfo, bare_algorithm, octets},
    chain::{Chain, ChainFault},
    key::PrivateKey,
};

/// A person ready to sign: the private key and the chain of certificates that goes with it.
#[derive(Debug)]
pub struct Signer {
    key: PrivateKey,
    chain: Chain,
}

impl Signer {
    /// Refuses a key that is not that of the chain's person.
    pub fn new(key: PrivateKey, chain: Chain) -> Result<Self, SignerError> {
        if key.public() != chain.person().key() {
            return Err(SignerError::KeyOfAnother);
        }
        Ok(Self { key, chain })
    }

    /// The certificates that will go into a signature.
    pub fn chain(&self) -> &Chain {
        &self.chain
    }

    pub(crate) fn key(&self) -> &PrivateKey {
        &self.key
    }
}

/// Why a person cannot sign.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum SignerError {
    /// The private key belongs to another certificate.
    #[error("the private key does not belong to the certificate")]
    KeyOfAnother,
    /// The certificates are no chain.
    #[error("the certificates do not belong together")]
    Chain(#[from] ChainFault),
}

/// Signs content that stays outside, given by its SHA-512 digest; returns DER.
pub fn sign_detached(digest: &ContentDigest, signer: &Signer) -> der::Result<Vec<u8>> {
    sign(digest, None, signer)?.to_der()
}

/// Signs content and carries it inside; returns DER.
pub fn sign_attached(content: &[u8], signer: &Signer) -> der::Result<Vec<u8>> {
    let digest = Sha512::digest(content).into();
    sign(&digest, Some(OctetString::new(content)?), signer)?.to_der()
}

pub(super) fn sign(digest: &ContentDigest, content: Option<OctetString>, signer: &Signer) -> der::Result<ContentInfo> {
    let attributes = signed_attributes(digest, signer.chain())?;
    let signature = signer.key().sign(&attributes.to_der()?);
    let [person, issuer, root] = signer.chain().certificates();
    let body = person.inner().tbs_certificate();
    let certificates = [person, issuer, root].map(|one| CertificateChoices::Certificate(one.inner().clone()));
    let info = SignerInfo {
        version: CmsVersion::V1,
        signer: IssuerAndSerialNumber { issuer: body.issuer().clone(), serial_number: body.serial_number().clone() },
        digest_algorithm: bare_algorithm(SHA_512),
        signed_attributes: Some(attributes),
        signature_algorithm: bare_algorithm(ED25519),
        signature: OctetString::new(signature)?,
        unsigned_attributes: None,
    };
    Ok(ContentInfo {
        content_type: SIGNED_DATA,
        content: SignedData {
            version: CmsVersion::V1,
            digest_algorithms: Listed(vec![bare_algorithm(SHA_512)]),
            content: EncapsulatedContent { content_type: DATA, content },
            certificates: Some(Listed::sorted(certificates.into())?),
            signers: Listed(vec![info]),
        },
    })
}

/// The three signed attributes, in DER's order. No signing time: in PAdES that stands in the signature dictionary.
pub(super) fn signed_attributes(digest: &ContentDigest, chain: &Chain) -> der::Result<Listed<Attribute>> {
    Listed::sorted(vec![
        Attribute::new(CONTENT_TYPE, Any::encode_from(&DATA)?),
        Attribute::new(MESSAGE_DIGEST, octets(digest)?),
        Attribute::new(SIGNING_CERTIFICATE, signing_certificate(chain.certificates())?),
    ])
}
