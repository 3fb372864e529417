//! A token (RFC 3161 §2.4.2): CMS `SignedData` around what an authority says of a digest and a time.
//!
//! Others make it, so what may differ between makers is read as it comes; what is signed is checked as it stands.

use chrono::{DateTime, NaiveDateTime, Utc};
use cms::{cert::CertificateChoices, content_info::CmsVersion, signed_data::SignerIdentifier};
use const_oid::ObjectIdentifier;
use der::{
    Any, Decode as _, Encode as _, Reader as _, Sequence, SliceReader, Tag, Tagged as _,
    asn1::{OctetString, OctetStringRef},
};
use sha1::Sha1;
use sha2::Digest as _;
use spki::AlgorithmIdentifierOwned;
use x509_cert::Certificate;

use super::algorithm::{Digest, check_signature};
use crate::asn1::{Attribute, AttributeType, EncapsulatedContent, Listed, decode_canonical};

/// id-ct-TSTInfo (RFC 3161 §2.4.2).
const TST_INFO: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.1.4");
/// id-aa-signingCertificate (RFC 2634 §5.4), which names a certificate by SHA-1.
const SIGNING_CERTIFICATE_V1: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.12");
/// id-aa-signingCertificateV2 (RFC 5035 §3).
const SIGNING_CERTIFICATE_V2: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");

/// `ContentInfo` of RFC 5652 §3.
#[derive(Sequence)]
struct Message {
    content_type: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    content: Signed,
}

/// `SignedData` of RFC 5652 §5.1.
#[derive(Sequence)]
struct Signed {
    version: CmsVersion,
    digest_algorithms: Listed<AlgorithmIdentifierOwned>,
    content: EncapsulatedContent,
    #[asn1(context_specific = "0", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    certificates: Option<Listed<CertificateChoices>>,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    revocation_lists: Option<Listed<Any>>,
    signers: Listed<Signer>,
}

/// `SignerInfo` of RFC 5652 §5.3.
#[derive(Sequence)]
struct Signer {
    version: CmsVersion,
    identifier: SignerIdentifier,
    digest_algorithm: AlgorithmIdentifierOwned,
    #[asn1(context_specific = "0", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    signed_attributes: Option<Listed<Attribute>>,
    signature_algorithm: AlgorithmIdentifierOwned,
    signature: OctetString,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    unsigned_attributes: Option<Listed<Attribute>>,
}

/// A token of one signer, whose imprint was checked elsewhere.
pub(crate) struct Token {
    at: DateTime<Utc>,
    info: Vec<u8>,
    certificates: Vec<Certificate>,
    signer: Signer,
    attributes: Listed<Attribute>,
}

impl Token {
    /// Reads canonical DER. None for anything else, several signers, or a time that cannot be read.
    pub(crate) fn parse(der: &[u8]) -> Option<Self> {
        let message: Message = decode_canonical(der).ok()?;
        let data = message.content;
        let is_token =
            message.content_type == const_oid::db::rfc5911::ID_SIGNED_DATA && data.content.content_type == TST_INFO;
        let info = data.content.content.filter(|_| is_token)?.into_bytes().to_vec();
        let mut signers = data.signers.0.into_iter();
        let mut signer = signers.next().filter(|_| signers.next().is_none())?;
        let attributes = signer.signed_attributes.take()?;
        let certificates = data.certificates.map_or_else(Vec::new, |listed| listed.0).into_iter();
        let certificates = certificates.filter_map(|choice| match choice {
            CertificateChoices::Certificate(certificate) => Some(certificate),
            CertificateChoices::Other(_) => None,
        });
        Some(Self { at: read_time(&info)?, info, certificates: certificates.collect(), signer, attributes })
    }

    /// When the authority says that it signed, to the second.
    pub(crate) const fn at(&self) -> DateTime<Utc> {
        self.at
    }

    /// The certificates that came along.
    pub(crate) fn certificates(&self) -> &[Certificate] {
        &self.certificates
    }

    /// Whether the signature says that this is its signer's certificate.
    pub(crate) fn names(&self, certificate: &Certificate) -> bool {
        let body = certificate.tbs_certificate();
        match &self.signer.identifier {
            SignerIdentifier::IssuerAndSerialNumber(named) => {
                named.issuer == *body.issuer() && named.serial_number == *body.serial_number()
            }
            SignerIdentifier::SubjectKeyIdentifier(named) => {
                let own = body.get_extension::<x509_cert::ext::pkix::SubjectKeyIdentifier>();
                own.is_ok_and(|own| own.is_some_and(|(_, own)| own == *named))
            }
        }
    }

    /// Whether the holder of this certificate's key signed exactly this: its attributes name the content, its digest and the
    /// certificate (RFC 5652 §5.4, RFC 3161 §2.4.2, RFC 5816 §2.2.1). Else what is wrong.
    pub(crate) fn check(&self, certificate: &Certificate) -> Result<(), &'static str> {
        let digest = Digest::of(self.signer.digest_algorithm.oid).ok_or("it uses another digest than SHA-2")?;
        let kind = self.attribute(const_oid::db::rfc5911::ID_CONTENT_TYPE).and_then(|kind| kind.decode_as().ok());
        if kind != Some(TST_INFO) {
            return Err("what is signed is not named as a timestamp");
        }
        let named = self.attribute(const_oid::db::rfc5911::ID_MESSAGE_DIGEST);
        let named = named.and_then(|named| named.decode_as::<&OctetStringRef>().ok());
        if named.map(OctetStringRef::as_bytes) != Some(&digest.digest(&self.info)) {
            return Err("its content is not the one that was signed");
        }
        if !self.is_bound_to(certificate) {
            return Err("its signature names another certificate");
        }
        let signed = self.attributes.to_der().map_err(|_| "what is signed cannot be spelt")?;
        let algorithm = (&self.signer.signature_algorithm, Some(digest));
        let key = certificate.tbs_certificate().subject_public_key_info();
        match check_signature(key, algorithm, &signed, self.signer.signature.as_bytes()) {
            Some(true) => Ok(()),
            Some(false) => Err("its signature does not stand"),
            None => Err("its signature is of a kind that is not taken here"),
        }
    }

    /// The one value of an attribute that stands there once.
    fn attribute(&self, oid: ObjectIdentifier) -> Option<&Any> {
        let kind = AttributeType::from(oid);
        let mut found = self.attributes.0.iter().filter(|attribute| attribute.kind == kind);
        let attribute = found.next().filter(|_| found.next().is_none())?;
        if let [value] = &attribute.values.0[..] { Some(value) } else { None }
    }

    /// The first certificate that the attribute signing-certificate names has to be this one.
    fn is_bound_to(&self, certificate: &Certificate) -> bool {
        let Ok(der) = certificate.to_der() else { return false };
        if let Some(value) = self.attribute(SIGNING_CERTIFICATE_V2) {
            return first_reference(value).as_ref().and_then(read_reference).is_some_and(|(algorithm, named)| {
                let digest = algorithm.map_or(Some(Digest::Sha256), |algorithm| Digest::of(algorithm.oid));
                digest.is_some_and(|digest| digest.digest(&der) == named)
            });
        }
        let named = self.attribute(SIGNING_CERTIFICATE_V1).and_then(first_reference);
        let named = named.as_ref().and_then(read_reference);
        named.is_some_and(|(algorithm, named)| algorithm.is_none() && named == Sha1::digest(&der).to_vec())
    }
}

/// The bytes inside the first `ESSCertID` or `ESSCertIDv2` of a signing-certificate attribute.
fn first_reference(value: &Any) -> Option<Any> {
    value.tag().assert_eq(Tag::Sequence).ok()?;
    let references = SliceReader::new(value.value()).ok()?.decode::<Any>().ok()?;
    references.tag().assert_eq(Tag::Sequence).ok()?;
    SliceReader::new(references.value()).ok()?.decode::<Any>().ok()
}

/// The digest's algorithm, where it is written, and the digest of the certificate.
fn read_reference(reference: &Any) -> Option<(Option<AlgorithmIdentifierOwned>, Vec<u8>)> {
    let mut reader = SliceReader::new(reference.value()).ok()?;
    let first: Any = reader.decode().ok()?;
    let (algorithm, digest) = match first.tag() {
        Tag::Sequence => (Some(first.decode_as().ok()?), reader.decode::<OctetString>().ok()?),
        _ => (None, first.decode_as().ok()?),
    };
    Some((algorithm, digest.into_bytes().to_vec()))
}

/// `genTime` of a `TSTInfo`: version, policy, imprint and serial number stand before it. Fractions of a second are cut off.
fn read_time(info: &[u8]) -> Option<DateTime<Utc>> {
    let info = Any::from_der(info).ok()?;
    let mut reader = SliceReader::new(info.value()).ok()?;
    for _ in 0..4 {
        reader.decode::<Any>().ok()?;
    }
    let time: Any = reader.decode().ok()?;
    time.tag().assert_eq(Tag::GeneralizedTime).ok()?;
    let text = std::str::from_utf8(time.value()).ok()?.strip_suffix('Z')?;
    let whole = text.split('.').next()?;
    NaiveDateTime::parse_from_str(whole, "%Y%m%d%H%M%S").ok().map(|time| time.and_utc())
}
