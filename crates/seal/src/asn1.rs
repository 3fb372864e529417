//! ASN.1 as we read and write it: DER only, nothing sorted or merged behind our back.
//!
//! The `cms` crate's own `SignedData` sorts sets while reading and cannot hold an attribute type under the UUID arc
//! (its arcs have 32 bits), so the signature's outer structures are written here; names, certificates and algorithm
//! identifiers are those of `x509-cert` and `spki`.

use chrono::{DateTime, Utc};
use cms::{
    cert::{CertificateChoices, IssuerAndSerialNumber},
    content_info::CmsVersion,
};
use der::{
    Any, Decode, DecodeValue, Encode, EncodeValue, FixedTag, Header, Length, Reader, Sequence, Tag, Writer,
    asn1::{ObjectIdentifier, OctetString},
};
use spki::AlgorithmIdentifierOwned;
use x509_cert::time::Time;

/// Reads DER that, written again, gives the same bytes; anything else is an error.
pub(crate) fn decode_canonical<T>(bytes: &[u8]) -> der::Result<T>
where
    T: for<'a> Decode<'a, Error = der::Error> + Encode,
{
    let value = T::from_der(bytes)?;
    if value.to_der()? != bytes {
        return Err(der::ErrorKind::Noncanonical { tag: Tag::Sequence }.into());
    }
    Ok(value)
}

/// A SET OF in the order in which it was written, doubled elements kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Listed<T>(pub Vec<T>);

impl<T: Encode> Listed<T> {
    /// The set in DER's order (X.690 §11.6).
    pub(crate) fn sorted(elements: Vec<T>) -> der::Result<Self> {
        let mut keyed: Vec<(Vec<u8>, T)> = Vec::with_capacity(elements.len());
        for element in elements {
            keyed.push((element.to_der()?, element));
        }
        keyed.sort_by(|a, b| a.0.cmp(&b.0));
        Ok(Self(keyed.into_iter().map(|(_, element)| element).collect()))
    }

    /// Are the elements in DER's order? Equal neighbours are.
    pub(crate) fn is_sorted(&self) -> der::Result<bool> {
        let encoded = self.0.iter().map(Encode::to_der).collect::<der::Result<Vec<_>>>()?;
        Ok(encoded.is_sorted())
    }
}

impl<T> FixedTag for Listed<T> {
    const TAG: Tag = Tag::Set;
}

impl<'a, T: Decode<'a, Error = der::Error>> DecodeValue<'a> for Listed<T> {
    type Error = der::Error;

    fn decode_value<R: Reader<'a>>(reader: &mut R, _header: Header) -> der::Result<Self> {
        let mut elements = Vec::new();
        while !reader.is_finished() {
            elements.push(T::decode(reader)?);
        }
        Ok(Self(elements))
    }
}

impl<T: Encode> EncodeValue for Listed<T> {
    fn value_len(&self) -> der::Result<Length> {
        self.0.iter().try_fold(Length::ZERO, |sum, element| sum + element.encoded_len()?)
    }

    fn encode_value(&self, writer: &mut impl Writer) -> der::Result<()> {
        self.0.iter().try_for_each(|element| element.encode(writer))
    }
}

/// An object identifier as its encoded bytes, which may hold arcs of any size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct AttributeType(pub Vec<u8>);

impl From<ObjectIdentifier> for AttributeType {
    fn from(oid: ObjectIdentifier) -> Self {
        Self(oid.as_bytes().to_vec())
    }
}

impl FixedTag for AttributeType {
    const TAG: Tag = Tag::ObjectIdentifier;
}

impl<'a> DecodeValue<'a> for AttributeType {
    type Error = der::Error;

    fn decode_value<R: Reader<'a>>(reader: &mut R, header: Header) -> der::Result<Self> {
        Ok(Self(reader.read_slice(header.length())?.to_vec()))
    }
}

impl EncodeValue for AttributeType {
    fn value_len(&self) -> der::Result<Length> {
        self.0.len().try_into()
    }

    fn encode_value(&self, writer: &mut impl Writer) -> der::Result<()> {
        writer.write(&self.0)
    }
}

/// `Attribute` of RFC 5652 §5.3.
#[derive(Clone, Debug, PartialEq, Eq, Sequence)]
pub(crate) struct Attribute {
    pub kind: AttributeType,
    pub values: Listed<Any>,
}

impl Attribute {
    pub(crate) fn new(kind: impl Into<AttributeType>, value: Any) -> Self {
        Self { kind: kind.into(), values: Listed(vec![value]) }
    }
}

/// `ContentInfo` of RFC 5652 §3 with a `SignedData` inside.
#[derive(Clone, Debug, PartialEq, Eq, Sequence)]
pub(crate) struct ContentInfo {
    pub content_type: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT")]
    pub content: SignedData,
}

/// `SignedData` of RFC 5652 §5.1. Revocation lists inside are not part of our profile: their presence fails to parse.
#[derive(Clone, Debug, PartialEq, Eq, Sequence)]
pub(crate) struct SignedData {
    pub version: CmsVersion,
    pub digest_algorithms: Listed<AlgorithmIdentifierOwned>,
    pub content: EncapsulatedContent,
    #[asn1(context_specific = "0", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    pub certificates: Option<Listed<CertificateChoices>>,
    pub signers: Listed<SignerInfo>,
}

/// `EncapsulatedContentInfo` of RFC 5652 §5.2.
#[derive(Clone, Debug, PartialEq, Eq, Sequence)]
pub(crate) struct EncapsulatedContent {
    pub content_type: ObjectIdentifier,
    #[asn1(context_specific = "0", tag_mode = "EXPLICIT", optional = "true")]
    pub content: Option<OctetString>,
}

/// `SignerInfo` of RFC 5652 §5.3, identified by issuer and serial number.
#[derive(Clone, Debug, PartialEq, Eq, Sequence)]
pub(crate) struct SignerInfo {
    pub version: CmsVersion,
    pub signer: IssuerAndSerialNumber,
    pub digest_algorithm: AlgorithmIdentifierOwned,
    #[asn1(context_specific = "0", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    pub signed_attributes: Option<Listed<Attribute>>,
    pub signature_algorithm: AlgorithmIdentifierOwned,
    pub signature: OctetString,
    #[asn1(context_specific = "1", tag_mode = "IMPLICIT", constructed = "true", optional = "true")]
    pub unsigned_attributes: Option<Listed<Attribute>>,
}

/// An algorithm without parameters (RFC 8410 §3, RFC 5754 §2).
pub(crate) fn bare_algorithm(oid: ObjectIdentifier) -> AlgorithmIdentifierOwned {
    AlgorithmIdentifierOwned { oid, parameters: None }
}

/// An OCTET STRING as the value of an attribute.
pub(crate) fn octets(bytes: &[u8]) -> der::Result<Any> {
    Any::new(Tag::OctetString, bytes)
}

/// One PEM block (RFC 7468).
pub(crate) fn to_pem(label: &str, der: &[u8]) -> String {
    der::pem::encode_string(label, der::pem::LineEnding::LF, der)
        .expect("a label of ours and at most some megabytes always make a PEM block")
}

/// The bytes of exactly one PEM block with that label.
pub(crate) fn from_pem(label: &str, text: &str) -> Option<Vec<u8>> {
    let (found, der) = der::pem::decode_vec(text.trim().as_bytes()).ok()?;
    (found == label).then_some(der)
}

/// Whole seconds of an ASN.1 time. Before 1970 there are no certificates.
pub(crate) fn to_asn1_time(time: DateTime<Utc>) -> der::Result<Time> {
    let seconds = u64::try_from(time.timestamp()).map_err(|_| der::ErrorKind::DateTime)?;
    Ok(der::DateTime::from_unix_duration(std::time::Duration::from_secs(seconds))?.into())
}

/// The instant that an ASN.1 time names.
pub(crate) fn from_asn1_time(time: Time) -> DateTime<Utc> {
    let seconds = i64::try_from(time.to_unix_duration().as_secs()).unwrap_or(i64::MAX);
    DateTime::from_timestamp(seconds, 0).unwrap_or(DateTime::<Utc>::MAX_UTC)
}
