//! Reads signatures, strictly: everything expected once, nothing else.

use cms::{cert::CertificateChoices, content_info::CmsVersion};
use der::{Any, Encode as _, Tag, Tagged as _, asn1::OctetStringRef};

use super::{
    CONTENT_TYPE, ContentDigest, DATA, ED25519, MESSAGE_DIGEST, RECEIPT_ATTRIBUTE, SHA_512, SIGNED_DATA,
    SIGNING_CERTIFICATE, SignatureFault, TIMESTAMP_TOKEN, signing_certificate,
};
use crate::{
    asn1::{Attribute, AttributeType, ContentInfo, Listed, SignerInfo, bare_algorithm, decode_canonical},
    certificate::Certificate,
};

/// Where the signed content is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Outside of the signature, as in a PDF.
    Detached,
    /// Inside, as in a statement.
    Attached,
}

/// A signature of our profile. Its structure is sound; whether it fits its content is for [`SignedMessage::check`].
#[derive(Clone, Debug)]
pub struct SignedMessage {
    certificates: Vec<Certificate>,
    signer: Certificate,
    content: Option<Vec<u8>>,
    message_digest: ContentDigest,
    signed_attributes: Vec<u8>,
    signature: Vec<u8>,
    receipt: Option<String>,
    timestamp: Option<Vec<u8>>,
}

impl SignedMessage {
    /// The most bytes that are read: four times the room in a report.
    pub const MOST_BYTES: usize = 64 * 1024;

    /// Reads canonical DER of the given form.
    pub fn parse(der: &[u8], form: Form) -> Result<Self, SignatureFault> {
        if der.len() > Self::MOST_BYTES {
            return Err(SignatureFault::TooLarge { got: der.len(), most: Self::MOST_BYTES });
        }
        // First the type alone, so that another kind of message is called that.
        let message: ContentInfo = decode_canonical(der).map_err(|error| match outer_type(der) {
            Some(kind) if kind != SIGNED_DATA => SignatureFault::NotSignedData,
            _ => SignatureFault::NotCanonical(error),
        })?;
        if message.content_type != SIGNED_DATA {
            return Err(SignatureFault::NotSignedData);
        }
        let data = message.content;
        if data.version != CmsVersion::V1 {
            return Err(SignatureFault::Version);
        }
        if data.digest_algorithms.0 != [bare_algorithm(SHA_512)] {
            return Err(SignatureFault::DigestAlgorithm);
        }
        if data.content.content_type != DATA {
            return Err(SignatureFault::ContentType);
        }
        let content = match (form, data.content.content) {
            (Form::Detached, None) => None,
            (Form::Detached, Some(_)) => return Err(SignatureFault::ContentInside),
            (Form::Attached, None) => return Err(SignatureFault::ContentMissing),
            (Form::Attached, Some(content)) => Some(content.into_bytes().to_vec()),
        };
        let certificates = read_certificates(data.certificates)?;
        let [info] = &data.signers.0[..] else {
            return Err(SignatureFault::Signers { got: data.signers.0.len() });
        };
        if info.version != CmsVersion::V1 {
            return Err(SignatureFault::Version);
        }
        if info.digest_algorithm != bare_algorithm(SHA_512) {
            return Err(SignatureFault::DigestAlgorithm);
        }
        if info.signature_algorithm != bare_algorithm(ED25519) {
            return Err(SignatureFault::SignatureAlgorithm);
        }
        let signer = find_signer(info, &certificates).ok_or(SignatureFault::SignerUnknown)?.clone();
        let attributes = info.signed_attributes.as_ref().ok_or(SignatureFault::NoSignedAttributes)?;
        let message_digest = read_signed_attributes(attributes, &signer, &certificates)?;
        let (receipt, timestamp) = read_unsigned_attributes(info.unsigned_attributes.as_ref())?;
        Ok(Self {
            certificates,
            signer,
            content,
            message_digest,
            signed_attributes: attributes.to_der().map_err(SignatureFault::NotCanonical)?,
            signature: info.signature.as_bytes().to_vec(),
            receipt,
            timestamp,
        })
    }

    /// Does the signature fit? For content outside give its SHA-512 digest; content inside is digested by the caller
    /// too, from [`SignedMessage::content`].
    pub fn check(&self, digest: &ContentDigest) -> Result<(), SignatureFault> {
        if self.message_digest != *digest {
            return Err(SignatureFault::DigestDiffers);
        }
        self.signer.key().check(&self.signed_attributes, &self.signature).map_err(|_| SignatureFault::SignatureInvalid)
    }

    /// All certificates inside, three.
    pub fn certificates(&self) -> &[Certificate] {
        &self.certificates
    }

    /// The certificate that the signature names as its signer's.
    pub fn signer(&self) -> &Certificate {
        &self.signer
    }

    /// The content inside, for the attached form.
    pub fn content(&self) -> Option<&[u8]> {
        self.content.as_deref()
    }

    /// The digest that was signed, not yet compared with the content's.
    pub(super) const fn message_digest(&self) -> &ContentDigest {
        &self.message_digest
    }

    /// The signature value, normally 64 bytes.
    pub fn signature(&self) -> &[u8] {
        &self.signature
    }

    /// The log receipt, not yet checked.
    pub fn receipt(&self) -> Option<&str> {
        self.receipt.as_deref()
    }

    /// The RFC 3161 token in DER, not yet checked.
    pub fn timestamp(&self) -> Option<&[u8]> {
        self.timestamp.as_deref()
    }
}

fn outer_type(der: &[u8]) -> Option<const_oid::ObjectIdentifier> {
    use der::{Decode as _, Reader as _};
    let mut reader = der::SliceReader::new(der).ok()?;
    let header = der::Header::decode(&mut reader).ok()?;
    (header.tag() == Tag::Sequence).then(|| reader.decode().ok())?
}

fn read_certificates(listed: Option<Listed<CertificateChoices>>) -> Result<Vec<Certificate>, SignatureFault> {
    let listed = listed.ok_or(SignatureFault::Certificates { got: 0 })?;
    check_order(&listed)?;
    let mut certificates = Vec::new();
    for choice in &listed.0 {
        let CertificateChoices::Certificate(certificate) = choice else { continue };
        let der = certificate.to_der().map_err(SignatureFault::NotCanonical)?;
        certificates.push(Certificate::parse_der(&der).map_err(SignatureFault::Certificate)?);
    }
    if certificates.len() != 3 || listed.0.len() != 3 {
        return Err(SignatureFault::Certificates { got: certificates.len() });
    }
    Ok(certificates)
}

fn find_signer<'a>(info: &SignerInfo, certificates: &'a [Certificate]) -> Option<&'a Certificate> {
    certificates.iter().find(|certificate| {
        let body = certificate.inner().tbs_certificate();
        *body.issuer() == info.signer.issuer && *body.serial_number() == info.signer.serial_number
    })
}

/// Exactly content-type, message-digest and signing-certificate-v2; returns the message digest.
fn read_signed_attributes(
    attributes: &Listed<Attribute>,
    signer: &Certificate,
    certificates: &[Certificate],
) -> Result<ContentDigest, SignatureFault> {
    let known = [
        (CONTENT_TYPE, "content-type"),
        (MESSAGE_DIGEST, "message-digest"),
        (SIGNING_CERTIFICATE, "signing-certificate-v2"),
    ];
    let mut values = Vec::new();
    for (oid, kind) in known {
        let kind_of = AttributeType::from(oid);
        let found: Vec<&Any> = attributes.0.iter().filter(|a| a.kind == kind_of).flat_map(|a| &a.values.0).collect();
        let times = attributes.0.iter().filter(|a| a.kind == kind_of).count();
        match found[..] {
            [value] if times == 1 => values.push(value),
            [] => return Err(SignatureFault::AttributeMissing { kind }),
            _ => return Err(SignatureFault::AttributeDoubled { kind }),
        }
    }
    if attributes.0.len() != known.len() {
        return Err(SignatureFault::AttributeUnknown);
    }
    check_order(attributes)?;
    let expected = Any::encode_from(&DATA).map_err(SignatureFault::NotCanonical)?;
    if *values[0] != expected {
        return Err(SignatureFault::AttributeContentType);
    }
    let digest = values[1]
        .decode_as::<&OctetStringRef>()
        .ok()
        .and_then(|octets| octets.as_bytes().try_into().ok())
        .ok_or(SignatureFault::AttributeMessageDigest)?;
    check_signing_certificate(values[2], signer, certificates)?;
    Ok(digest)
}

/// The signer's certificate first, then the two others; which of them is the root is not known here, so both orders.
fn check_signing_certificate(
    value: &Any,
    signer: &Certificate,
    certificates: &[Certificate],
) -> Result<(), SignatureFault> {
    let others: Vec<&Certificate> = certificates.iter().filter(|certificate| *certificate != signer).collect();
    let [a, b] = others[..] else { return Err(SignatureFault::Certificates { got: certificates.len() }) };
    for order in [[signer, a, b], [signer, b, a]] {
        if signing_certificate(order).map_err(SignatureFault::NotCanonical)? == *value {
            return Ok(());
        }
    }
    Err(SignatureFault::AttributeSigningCertificate)
}

type Unsigned = (Option<String>, Option<Vec<u8>>);

/// At most one receipt and at most one timestamp token.
fn read_unsigned_attributes(attributes: Option<&Listed<Attribute>>) -> Result<Unsigned, SignatureFault> {
    let Some(attributes) = attributes else { return Ok((None, None)) };
    if attributes.0.is_empty() {
        return Err(SignatureFault::UnsignedEmpty);
    }
    let receipt_type = AttributeType(RECEIPT_ATTRIBUTE.to_vec());
    let timestamp_type = AttributeType::from(TIMESTAMP_TOKEN);
    let (mut receipt, mut timestamp) = (None, None);
    for attribute in &attributes.0 {
        let values = &attribute.values.0[..];
        if attribute.kind == receipt_type {
            if receipt.is_some() || values.len() > 1 {
                return Err(SignatureFault::ReceiptDoubled);
            }
            let text = values.first().and_then(read_text).ok_or(SignatureFault::ReceiptMalformed)?;
            receipt = Some(text);
        } else if attribute.kind == timestamp_type {
            let ([token], None) = (values, &timestamp) else { return Err(SignatureFault::TimestampDoubled) };
            timestamp = Some(token.to_der().map_err(SignatureFault::NotCanonical)?);
        } else {
            return Err(SignatureFault::UnsignedUnknown);
        }
    }
    check_order(attributes)?;
    Ok((receipt, timestamp))
}

fn read_text(value: &Any) -> Option<String> {
    (value.tag() == Tag::Utf8String).then(|| String::from_utf8(value.value().to_vec()).ok())?
}

fn check_order<T: der::Encode>(listed: &Listed<T>) -> Result<(), SignatureFault> {
    match listed.is_sorted() {
        Ok(true) => Ok(()),
        Ok(false) => Err(SignatureFault::SetOrder),
        Err(error) => Err(SignatureFault::NotCanonical(error)),
    }
}
