//! Every class of spoilt signature, each made from a valid one and, where it matters, validly signed again.

use cms::{
    cert::{CertificateChoices, OtherCertificateFormat},
    content_info::CmsVersion,
};
use const_oid::ObjectIdentifier;
use der::{Any, Encode as _, Tag, asn1::OctetString};
use proptest::prelude::*;
use sha2::{Digest as _, Sha256, Sha512};

use super::{sign::sign, *};
use crate::{
    asn1::{Attribute, AttributeType, ContentInfo, Listed, SignerInfo, bare_algorithm, octets},
    certificate::Role,
    fixture::TestFirm,
};

const CONTENT: &[u8] = b"the signed bytes of a report";

fn digest() -> ContentDigest {
    Sha512::digest(CONTENT).into()
}

fn signer() -> Signer {
    TestFirm::found("North Bay").hire("Maja Holt", Role::Inspector)
}

fn valid() -> ContentInfo {
    sign(&digest(), None, &signer()).unwrap()
}

/// The code with which a reader refuses the bytes; `passes` if it does not.
fn verdict(der: &[u8]) -> &'static str {
    match SignedMessage::parse(der, Form::Detached).and_then(|message| message.check(&digest())) {
        Ok(()) => "passes",
        Err(fault) => fault.code(),
    }
}

fn spoil(change: impl FnOnce(&mut ContentInfo)) -> &'static str {
    let mut message = valid();
    change(&mut message);
    verdict(&message.to_der().unwrap())
}

fn spoil_signer(change: impl FnOnce(&mut SignerInfo)) -> &'static str {
    spoil(|message| change(&mut message.content.signers.0[0]))
}

/// Changes the signed attributes and signs them again, so that only their content is wrong.
fn sign_other_attributes(change: impl FnOnce(&mut Vec<Attribute>)) -> &'static str {
    spoil_signer(|info| {
        let mut attributes = info.signed_attributes.take().unwrap().0;
        change(&mut attributes);
        let attributes = Listed::sorted(attributes).unwrap();
        let signature = signer().key().sign(&attributes.to_der().unwrap());
        info.signature = OctetString::new(signature).unwrap();
        info.signed_attributes = Some(attributes);
    })
}

fn with_unsigned(attributes: Vec<Attribute>) -> &'static str {
    spoil_signer(|info| info.unsigned_attributes = Some(Listed::sorted(attributes).unwrap()))
}

fn position(attributes: &[Attribute], kind: ObjectIdentifier) -> usize {
    attributes.iter().position(|attribute| attribute.kind == AttributeType::from(kind)).unwrap()
}

fn receipt_attribute(text: &str) -> Attribute {
    Attribute::new(AttributeType(RECEIPT_ATTRIBUTE.to_vec()), Any::new(Tag::Utf8String, text.as_bytes()).unwrap())
}

#[test]
fn the_valid_signature_passes() {
    assert_eq!(spoil(|_| ()), "passes");
    assert_eq!(sign_other_attributes(|_| ()), "passes");
}

#[test]
fn a_signature_without_signed_attributes_is_refused() {
    // RFC 5652 §5.4: without them the signature would be over the content itself.
    let code = spoil_signer(|info| {
        info.signed_attributes = None;
        info.signature = OctetString::new(signer().key().sign(CONTENT)).unwrap();
    });
    assert_eq!(code, "cms-no-signed-attributes");
}

#[test]
fn missing_attributes_are_refused() {
    for kind in [CONTENT_TYPE, MESSAGE_DIGEST, SIGNING_CERTIFICATE] {
        let code = sign_other_attributes(|attributes| {
            attributes.remove(position(attributes, kind));
        });
        assert_eq!(code, "cms-attribute-missing");
        let code = sign_other_attributes(|attributes| {
            let at = position(attributes, kind);
            attributes[at].values.0.clear();
        });
        assert_eq!(code, "cms-attribute-missing");
    }
}

#[test]
fn doubled_attributes_are_refused() {
    for kind in [CONTENT_TYPE, MESSAGE_DIGEST, SIGNING_CERTIFICATE] {
        let code = sign_other_attributes(|attributes| {
            let again = attributes[position(attributes, kind)].clone();
            attributes.push(again);
        });
        assert_eq!(code, "cms-attribute-doubled");
        let code = sign_other_attributes(|attributes| {
            let at = position(attributes, kind);
            let again = attributes[at].values.0[0].clone();
            attributes[at].values.0.push(again);
        });
        assert_eq!(code, "cms-attribute-doubled");
        // A second one that says nothing is one as well.
        let code = sign_other_attributes(|attributes| {
            let again = attributes[position(attributes, kind)].kind.clone();
            attributes.push(Attribute { kind: again, values: Listed(Vec::new()) });
        });
        assert_eq!(code, "cms-attribute-doubled");
    }
}

#[test]
fn wrong_attributes_are_refused() {
    let set = |kind, value: Any| {
        sign_other_attributes(|attributes| {
            let at = position(attributes, kind);
            attributes[at].values.0[0] = value;
        })
    };
    assert_eq!(set(CONTENT_TYPE, Any::encode_from(&SIGNED_DATA).unwrap()), "cms-attribute-content-type");
    let sha256 = octets(&Sha256::digest(CONTENT)).unwrap();
    assert_eq!(set(MESSAGE_DIGEST, sha256), "cms-attribute-message-digest");
    assert_eq!(set(MESSAGE_DIGEST, Any::null()), "cms-attribute-message-digest");
    let other_digest = octets(&Sha512::digest(b"other")).unwrap();
    assert_eq!(set(MESSAGE_DIGEST, other_digest), "digest-differs");
    let other_signer = TestFirm::found("South Bay").hire("Maja Holt", Role::Inspector);
    let [person, issuer, root] = other_signer.chain().certificates();
    let own = signer();
    let [own_person, own_issuer, own_root] = own.chain().certificates();
    for certificates in [
        [person, issuer, root],
        [own_person, issuer, own_root],
        [own_issuer, own_person, own_root],
        [own_person, own_person, own_root],
    ] {
        let reference = signing_certificate(certificates).unwrap();
        assert_eq!(set(SIGNING_CERTIFICATE, reference), "cms-attribute-signing-certificate");
    }
}

#[test]
fn a_further_signed_attribute_is_refused() {
    // id-signingTime (RFC 5652 §11.3), which PAdES forbids beside /M, stands for any other.
    let signing_time = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.5");
    let value = Any::new(Tag::UtcTime, &b"260301000000Z"[..]).unwrap();
    let code = sign_other_attributes(|attributes| attributes.push(Attribute::new(signing_time, value)));
    assert_eq!(code, "cms-attribute-unknown");
}

#[test]
fn zero_or_two_signers_are_refused() {
    assert_eq!(spoil(|message| message.content.signers.0.clear()), "cms-signer-count");
    let code = spoil(|message| {
        let again = message.content.signers.0[0].clone();
        message.content.signers.0.push(again);
    });
    assert_eq!(code, "cms-signer-count");
}

#[test]
fn a_signer_who_is_not_inside_is_refused() {
    let code = spoil_signer(|info| {
        info.signer.serial_number = x509_cert::serial_number::SerialNumber::new(&[0x42]).unwrap();
    });
    assert_eq!(code, "cms-signer-unknown");
}

#[test]
fn another_digest_algorithm_is_refused() {
    let sha256 = bare_algorithm(const_oid::db::rfc5912::ID_SHA_256);
    let mut with_null = bare_algorithm(SHA_512);
    with_null.parameters = Some(Any::null());
    for algorithm in [sha256, with_null] {
        let code = spoil(|message| message.content.digest_algorithms = Listed(vec![algorithm.clone()]));
        assert_eq!(code, "cms-digest-algorithm");
        let code = spoil(|message| message.content.digest_algorithms.0.push(algorithm.clone()));
        assert_eq!(code, "cms-digest-algorithm");
        assert_eq!(spoil_signer(|info| info.digest_algorithm = algorithm), "cms-digest-algorithm");
    }
    assert_eq!(spoil(|message| message.content.digest_algorithms.0.clear()), "cms-digest-algorithm");
}

#[test]
fn another_signature_algorithm_is_refused() {
    let ed448 = bare_algorithm(ObjectIdentifier::new_unwrap("1.3.101.113"));
    let mut with_null = bare_algorithm(ED25519);
    with_null.parameters = Some(Any::null());
    for algorithm in [ed448, with_null] {
        assert_eq!(spoil_signer(|info| info.signature_algorithm = algorithm), "cms-signature-algorithm");
    }
}

#[test]
fn other_versions_and_types_are_refused() {
    assert_eq!(spoil(|message| message.content.version = CmsVersion::V3), "cms-version");
    assert_eq!(spoil_signer(|info| info.version = CmsVersion::V3), "cms-version");
    assert_eq!(spoil(|message| message.content_type = DATA), "cms-not-signed-data");
    assert_eq!(spoil(|message| message.content.content.content_type = SIGNED_DATA), "cms-content-type");
    let inside = OctetString::new(CONTENT).unwrap();
    assert_eq!(spoil(|message| message.content.content.content = Some(inside)), "cms-content-inside");
}

#[test]
fn another_count_of_certificates_is_refused() {
    assert_eq!(spoil(|message| message.content.certificates = None), "cms-certificates");
    let code = spoil(|message| {
        message.content.certificates.as_mut().unwrap().0.pop();
    });
    assert_eq!(code, "cms-certificates");
    let code = spoil(|message| {
        let certificates = &mut message.content.certificates.as_mut().unwrap().0;
        certificates.insert(1, certificates[0].clone());
    });
    assert_eq!(code, "cms-certificates");
    // One of a kind of its own (RFC 5652 §10.2.2, `other`) beside the three: no signature would cover it.
    let other_cert_format = ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.16.1");
    let other = CertificateChoices::Other(OtherCertificateFormat { other_cert_format, other_cert: Any::null() });
    let code = spoil(|message| message.content.certificates.as_mut().unwrap().0.push(other));
    assert_eq!(code, "cms-certificates");
}

#[test]
fn a_message_of_another_kind_is_called_that_and_a_broken_one_is_not() {
    // ContentInfo (RFC 5652 §3) with nothing inside that could be read: of the kind enveloped-data (§6.1), signed-data
    // (§5.1), and one whose outer tag is a set's.
    let message = |tag: u8, kind: ObjectIdentifier| {
        let inside = [&kind.to_der().unwrap()[..], &[0xA0, 2, 0x30, 0]].concat();
        [&[tag, u8::try_from(inside.len()).unwrap()][..], &inside].concat()
    };
    let enveloped = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.3");
    assert_eq!(verdict(&message(0x30, enveloped)), "cms-not-signed-data");
    assert_eq!(verdict(&message(0x30, SIGNED_DATA)), "cms-not-canonical");
    assert_eq!(verdict(&message(0x31, enveloped)), "cms-not-canonical");
}

#[test]
fn sets_out_of_order_are_refused() {
    assert_eq!(spoil(|message| message.content.certificates.as_mut().unwrap().0.reverse()), "cms-set-order");
    // The attributes as signed, in another order: the same signature, another spelling.
    assert_eq!(spoil_signer(|info| info.signed_attributes.as_mut().unwrap().0.reverse()), "cms-set-order");
}

#[test]
fn ber_is_refused() {
    let der = valid().to_der().unwrap();
    // X.690 §8.1.3.6: the outer sequence with indefinite length and end-of-contents octets.
    assert_eq!(der[..2], [0x30, 0x82]);
    let indefinite = [&[0x30, 0x80][..], &der[4..], &[0, 0]].concat();
    assert_eq!(verdict(&indefinite), "cms-not-canonical");
    // X.690 §10.1: a length in more octets than needed.
    let long = [&[0x30, 0x83, 0x00][..], &der[2..]].concat();
    assert_eq!(verdict(&long), "cms-not-canonical");
    let trailing = [&der[..], &[0]].concat();
    assert_eq!(verdict(&trailing), "cms-not-canonical");
    assert_eq!(verdict(&[]), "cms-not-canonical");
    assert_eq!(verdict(&vec![0x30; SignedMessage::MOST_BYTES + 1]), "cms-too-large");
}

#[test]
fn revocation_lists_inside_are_refused() {
    use cms::{content_info, revocation::RevocationInfoChoices, signed_data::SignedData};
    use der::Decode as _;
    let lax = content_info::ContentInfo::from_der(&valid().to_der().unwrap()).unwrap();
    let mut data: SignedData = lax.content.decode_as().unwrap();
    data.crls = Some(RevocationInfoChoices(der::asn1::SetOfVec::new()));
    let der = content_info::ContentInfo { content: Any::encode_from(&data).unwrap(), ..lax }.to_der().unwrap();
    assert_eq!(verdict(&der), "cms-not-canonical");
}

#[test]
fn bad_signature_values_are_refused() {
    for change in [0, 31, 32, 63] {
        let code = spoil_signer(|info| {
            let mut bytes = info.signature.as_bytes().to_vec();
            bytes[change] ^= 1;
            info.signature = OctetString::new(bytes).unwrap();
        });
        assert_eq!(code, "signature-invalid");
    }
    // S + L: the equation holds, the scalar is not reduced (RFC 8032 §5.1.7).
    let code = spoil_signer(|info| {
        let mut bytes = info.signature.as_bytes().to_vec();
        add_group_order(&mut bytes[32..]);
        info.signature = OctetString::new(bytes).unwrap();
    });
    assert_eq!(code, "signature-invalid");
    // R = the identity, a point of small order, in its canonical and its other spelling; S = 0.
    for r in [[1, 0, 0], [0xee, 0xff, 0x7f]] {
        let code = spoil_signer(|info| {
            let mut bytes = vec![r[1]; 32];
            (bytes[0], bytes[31]) = (r[0], r[2]);
            bytes.extend([0; 32]);
            info.signature = OctetString::new(bytes).unwrap();
        });
        assert_eq!(code, "signature-invalid");
    }
    for length in [0, 63, 65] {
        let code = spoil_signer(|info| info.signature = OctetString::new(vec![7; length]).unwrap());
        assert_eq!(code, "signature-invalid");
    }
}

fn add_group_order(scalar: &mut [u8]) {
    // L = 2^252 + 27742317777372353535851937790883648493 (RFC 8032 §5.1), little end first.
    let order = hex::decode("edd3f55c1a631258d69cf7a2def9de1400000000000000000000000000000010").unwrap();
    let mut carry = 0;
    for (byte, add) in scalar.iter_mut().zip(order) {
        let sum = u16::from(*byte) + u16::from(add) + carry;
        *byte = sum.to_le_bytes()[0];
        carry = sum >> 8;
    }
}

#[test]
fn a_key_of_small_order_or_second_spelling_is_refused_with_its_certificate() {
    let key = signer().chain().person().key().to_bytes();
    let der = valid().to_der().unwrap();
    let at = der.windows(32).position(|window| window == key).unwrap();
    let mut identity = [0; 32];
    identity[0] = 1;
    let mut second_spelling = [0xff; 32];
    (second_spelling[0], second_spelling[31]) = (0xf0, 0x7f);
    for point in [identity, second_spelling] {
        let mut other = der.clone();
        other[at..at + 32].copy_from_slice(&point);
        assert_eq!(verdict(&other), "cms-certificate-refused");
    }
}

#[test]
fn unknown_doubled_and_empty_unsigned_attributes_are_refused() {
    assert_eq!(with_unsigned(vec![receipt_attribute("one")]), "passes");
    // id-countersignature (RFC 5652 §11.4) stands for any other.
    let counter = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.6");
    assert_eq!(with_unsigned(vec![Attribute::new(counter, Any::null())]), "cms-unsigned-unknown");
    assert_eq!(with_unsigned(vec![]), "cms-unsigned-empty");
    // A neighbour of our own attribute type in the UUID arc.
    let mut neighbour = RECEIPT_ATTRIBUTE.to_vec();
    neighbour[19] ^= 1;
    assert_eq!(with_unsigned(vec![Attribute::new(AttributeType(neighbour), Any::null())]), "cms-unsigned-unknown");
}

#[test]
fn a_second_receipt_or_timestamp_is_refused() {
    assert_eq!(with_unsigned(vec![receipt_attribute("one"), receipt_attribute("two")]), "receipt-doubled");
    assert_eq!(with_unsigned(vec![receipt_attribute("one"), receipt_attribute("one")]), "receipt-doubled");
    let mut both = receipt_attribute("one");
    both.values.0.push(Any::new(Tag::Utf8String, &b"two"[..]).unwrap());
    assert_eq!(with_unsigned(vec![both]), "receipt-doubled");
    let mut none = receipt_attribute("one");
    none.values.0.clear();
    assert_eq!(with_unsigned(vec![none]), "receipt-attribute-malformed");
    let bytes = Attribute::new(AttributeType(RECEIPT_ATTRIBUTE.to_vec()), octets(b"one").unwrap());
    assert_eq!(with_unsigned(vec![bytes]), "receipt-attribute-malformed");
    let token = || Attribute::new(TIMESTAMP_TOKEN, Any::null());
    assert_eq!(with_unsigned(vec![token(), token()]), "timestamp-doubled");
    assert_eq!(with_unsigned(vec![token(), receipt_attribute("one")]), "passes");
}

/// Flips, cuts, doubles and splices.
fn mutate(bytes: &[u8], kind: u8, at: usize, length: usize, value: u8) -> Vec<u8> {
    let mut other = bytes.to_vec();
    let at = at % bytes.len();
    let end = (at + length % 64).min(bytes.len());
    match kind % 5 {
        0 => other[at] ^= value.max(1),
        1 => drop(other.drain(at..end)),
        2 => drop(other.splice(at..at, bytes[at..end].to_vec())),
        3 => drop(other.splice(at..at, [value])),
        _ => other.rotate_left(at),
    }
    other
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_mutation_passes(steps in prop::collection::vec(any::<(u8, usize, usize, u8)>(), 1..4)) {
        let der = attach_receipt(&valid().to_der().unwrap(), "receipt").unwrap();
        // The receipt is not signed here and has its own checks: stop at its attribute's text.
        let text = der.len() - "receipt".len();
        let mut other = der.clone();
        for (kind, at, length, value) in steps {
            other = mutate(&other, kind, at, length, value);
            prop_assume!(!other.is_empty());
        }
        let same_but_for_the_receipt = other.len() == der.len() && other[..text] == der[..text];
        prop_assert!(same_but_for_the_receipt || verdict(&other) != "passes");
    }

    #[test]
    fn no_bytes_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        prop_assert!(verdict(&bytes) != "passes");
        let _ = attach_receipt(&bytes, "receipt");
        let _ = attach_timestamp(&valid().to_der().unwrap(), &bytes);
    }
}

#[test]
fn no_single_bit_of_a_signature_can_change() {
    let der = valid().to_der().unwrap();
    for at in 0..der.len() {
        for bit in 0..8 {
            let mut other = der.clone();
            other[at] ^= 1 << bit;
            assert_ne!(verdict(&other), "passes", "bit {bit} of byte {at}");
        }
    }
}
