//! A signature of section 3 of `docs/format.md`, put together piece by piece so that each piece can be another.

use seal::{certificate::Certificate, digest::Sha256Digest, key::PrivateKey};

use super::der::{attribute, listed, oid, parts, sequence, set, wrap};

pub const CONTENT_TYPE: &str = "2a864886f70d010903";
pub const MESSAGE_DIGEST: &str = "2a864886f70d010904";
pub const SIGNING_CERTIFICATE: &str = "2a864886f70d010910022f";
pub const SIGNING_TIME: &str = "2a864886f70d010905";
pub const COUNTERSIGNATURE: &str = "2a864886f70d010906";
pub const RECEIPT: &str = "6982dbc3d896a0caba9df58398cb8bf7d78dd846";
pub const DATA: &str = "2a864886f70d010701";
const SIGNED_DATA: &str = "2a864886f70d010702";
pub const SHA_512: &str = "608648016503040203";
pub const SHA_256: &str = "608648016503040201";
const ED25519: &str = "2b6570";

/// The pieces of a signature.
pub struct Signature {
    /// DER of the certificates inside.
    pub certificates: Vec<Vec<u8>>,
    /// Whose issuer and serial number stand as the signer's.
    pub signer: Vec<u8>,
    /// Who really signs.
    pub key: PrivateKey,
    pub digest_algorithm: Vec<u8>,
    /// DER of the content inside, with its `[0]`.
    pub content: Vec<u8>,
    /// DER of the signed attributes.
    pub attributes: Vec<Vec<u8>>,
    /// Written in DER's order.
    pub sorted: bool,
    /// Changes the signature value.
    pub spoil: fn(&mut Vec<u8>),
    pub unsigned: Vec<Vec<u8>>,
}

/// The value of signing-certificate-v2 for these certificates.
pub fn named(certificates: &[&[u8]]) -> Vec<u8> {
    let references: Vec<Vec<u8>> =
        certificates.iter().map(|der| sequence(&[&wrap(4, &[Sha256Digest::of(der).as_bytes()])])).collect();
    sequence(&[&listed(0x30, &references)])
}

pub fn receipt_attribute(text: &str) -> Vec<u8> {
    attribute(RECEIPT, &[wrap(0x0c, &[text.as_bytes()])])
}

impl Signature {
    /// The valid one over a digest: the signer's certificate first, then those that vouch.
    pub fn valid(digest: &[u8], certificates: [&Certificate; 3], key: PrivateKey) -> Self {
        let ders = certificates.map(Certificate::as_der);
        Self {
            certificates: ders.iter().map(|der| der.to_vec()).collect(),
            signer: ders[0].to_vec(),
            key,
            digest_algorithm: sequence(&[&oid(SHA_512)]),
            content: Vec::new(),
            attributes: vec![
                attribute(CONTENT_TYPE, &[oid(DATA)]),
                attribute(MESSAGE_DIGEST, &[wrap(4, &[digest])]),
                attribute(SIGNING_CERTIFICATE, &[named(&ders)]),
            ],
            sorted: true,
            spoil: |_| {},
            unsigned: Vec::new(),
        }
    }

    pub fn to_der(&self) -> Vec<u8> {
        let ordered = |tag, elements: &[Vec<u8>]| {
            let reversed: Vec<_> = elements.iter().rev().cloned().collect();
            if self.sorted { set(tag, elements) } else { listed(tag, &reversed) }
        };
        let body = parts(&self.signer)[0];
        let [_, serial, _, issuer, ..] = parts(body)[..] else { panic!("a certificate has these parts") };
        let mut value = self.key.sign(&set(0x31, &self.attributes)).to_vec();
        (self.spoil)(&mut value);
        let signed = if self.attributes.is_empty() { Vec::new() } else { ordered(0xa0, &self.attributes) };
        let unsigned = if self.unsigned.is_empty() { Vec::new() } else { set(0xa1, &self.unsigned) };
        let one = wrap(2, &[&[1]]);
        let info = sequence(&[
            &one,
            &sequence(&[issuer, serial]),
            &self.digest_algorithm,
            &signed,
            &sequence(&[&oid(ED25519)]),
            &wrap(4, &[&value]),
            &unsigned,
        ]);
        let data = sequence(&[
            &one,
            &wrap(0x31, &[&self.digest_algorithm]),
            &sequence(&[&oid(DATA), &self.content]),
            &ordered(0xa0, &self.certificates),
            &wrap(0x31, &[&info]),
        ]);
        sequence(&[&oid(SIGNED_DATA), &wrap(0xa0, &[&data])])
    }
}

/// A token of RFC 3161 over a signature value by nobody: its own signature is not judged.
pub fn timestamp_token(value: &[u8]) -> Vec<u8> {
    let algorithm = sequence(&[&oid(SHA_256)]);
    let imprint = sequence(&[&algorithm, &wrap(4, &[Sha256Digest::of(value).as_bytes()])]);
    let (one, three, serial) = (wrap(2, &[&[1]]), wrap(2, &[&[3]]), wrap(2, &[&[42]]));
    let info = sequence(&[&one, &oid("2b0601"), &imprint, &serial, &wrap(0x18, &[b"20261124131000Z"])]);
    let content = sequence(&[&oid("2a864886f70d0109100104"), &wrap(0xa0, &[&wrap(4, &[&info])])]);
    let data = sequence(&[&three, &wrap(0x31, &[&algorithm]), &content, &wrap(0x31, &[])]);
    sequence(&[&oid(SIGNED_DATA), &wrap(0xa0, &[&data])])
}
