//! Chains in which one certificate is validly signed and says something wrong.

use const_oid::AssociatedOid as _;
use der::{
    Any, Decode as _, Encode as _, Tag,
    asn1::{BitString, OctetString},
};
use ed25519_dalek::SigningKey;
use spki::{SubjectPublicKeyInfoOwned, SubjectPublicKeyInfoRef};
use x509_cert::{
    TbsCertificate,
    builder::{Builder as _, CertificateBuilder, profile::BuilderProfile},
    ext::{
        Extension,
        pkix::{
            AuthorityKeyIdentifier, BasicConstraints, ExtendedKeyUsage, KeyUsage, KeyUsages, SubjectKeyIdentifier,
            name::GeneralName,
        },
    },
    name::Name,
    serial_number::SerialNumber,
    time::Validity,
};

use super::*;
use crate::{
    asn1::to_asn1_time,
    certificate::Role,
    fixture::{TestFirm, at},
    key::{PrivateKey, PublicKey},
    signature::Signer,
};

/// A certificate to be forged: like the given one in all that is not changed.
struct Forgery {
    subject: Name,
    issuer: Name,
    extensions: Vec<Extension>,
    key: PublicKey,
}

impl Forgery {
    fn like(certificate: &Certificate) -> Self {
        let body = certificate.inner().tbs_certificate();
        Self {
            subject: body.subject().clone(),
            issuer: body.issuer().clone(),
            extensions: body.extensions().unwrap().clone(),
            key: certificate.key(),
        }
    }

    fn extension(&mut self, oid: const_oid::ObjectIdentifier) -> &mut Extension {
        self.extensions.iter_mut().find(|extension| extension.extn_id == oid).unwrap()
    }

    fn set(&mut self, oid: const_oid::ObjectIdentifier, value: &impl der::Encode) {
        self.extension(oid).extn_value = OctetString::new(value.to_der().unwrap()).unwrap();
    }

    fn remove(&mut self, oid: const_oid::ObjectIdentifier) {
        self.extensions.retain(|extension| extension.extn_id != oid);
    }

    fn sign(self, key: &PrivateKey) -> Certificate {
        let from = to_asn1_time(at("2026-01-01T00:00:00Z")).unwrap();
        let to = to_asn1_time(at("2028-01-01T00:00:00Z")).unwrap();
        let spki = SubjectPublicKeyInfoOwned::from_der(&self.key.to_spki_der()).unwrap();
        let serial = SerialNumber::new(&[0x42; 16]).unwrap();
        let builder = CertificateBuilder::new(self, serial, Validity::new(from, to), spki).unwrap();
        let signing_key: &SigningKey = key.signing_key();
        let built = builder.build::<_, ed25519_dalek::Signature>(signing_key).unwrap();
        Certificate::parse_der(&built.to_der().unwrap()).unwrap()
    }
}

impl BuilderProfile for Forgery {
    fn get_issuer(&self, _subject: &Name) -> Name {
        self.issuer.clone()
    }

    fn get_subject(&self) -> Name {
        self.subject.clone()
    }

    fn build_extensions(
        &self,
        _key: SubjectPublicKeyInfoRef<'_>,
        _issuer_key: SubjectPublicKeyInfoRef<'_>,
        _certificate: &TbsCertificate,
    ) -> x509_cert::builder::Result<Vec<Extension>> {
        Ok(self.extensions.clone())
    }
}

fn firm() -> (TestFirm, Signer) {
    let mut firm = TestFirm::found("North Bay");
    let signer = firm.hire("Maja Holt", Role::Inspector);
    (firm, signer)
}

fn code(person: &Certificate, issuer: &Certificate, root: &Certificate) -> &'static str {
    let all = [root.clone(), person.clone(), issuer.clone()];
    Chain::build(person, &all).map_or_else(|fault| fault.code(), |_| "passes")
}

/// The person's certificate, changed and signed again by the firm's issuer.
fn with_person(change: impl FnOnce(&mut Forgery)) -> &'static str {
    let (firm, signer) = firm();
    let mut forgery = Forgery::like(signer.chain().person());
    change(&mut forgery);
    code(&forgery.sign(&firm.issuer_key), &firm.issuer, &firm.root)
}

/// The issuer's certificate, changed and signed again by the firm's root.
fn with_issuer(change: impl FnOnce(&mut Forgery)) -> &'static str {
    let (firm, signer) = firm();
    let mut forgery = Forgery::like(&firm.issuer);
    change(&mut forgery);
    code(signer.chain().person(), &forgery.sign(&firm.root_key), &firm.root)
}

#[test]
fn an_unchanged_forgery_passes() {
    assert_eq!(with_person(|_| ()), "passes");
    assert_eq!(with_issuer(|_| ()), "passes");
}

#[test]
fn an_authority_as_signer_is_refused() {
    let (firm, signer) = firm();
    assert_eq!(code(&firm.issuer, signer.chain().person(), &firm.root), "authority-as-signer");
    let code = with_person(|forgery| {
        forgery.extensions.push(Extension {
            extn_id: BasicConstraints::OID,
            critical: true,
            extn_value: OctetString::new(BasicConstraints { ca: true, path_len_constraint: Some(0) }.to_der().unwrap())
                .unwrap(),
        });
    });
    assert_eq!(code, "authority-as-signer");
}

#[test]
fn a_person_as_authority_is_refused() {
    let (mut firm, signer) = firm();
    let key = PrivateKey::generate(&mut firm.rng);
    let middle = signer.chain().person();
    let mut forgery = Forgery::like(middle);
    forgery.issuer = middle.inner().tbs_certificate().subject().clone();
    forgery.key = key.public();
    forgery.set(SubjectKeyIdentifier::OID, &OctetString::new(key.public().identifier()).unwrap());
    let authority = AuthorityKeyIdentifier {
        key_identifier: Some(OctetString::new(middle.key().identifier()).unwrap()),
        ..Default::default()
    };
    forgery.set(AuthorityKeyIdentifier::OID, &authority);
    let below = forgery.sign(signer.key());
    assert_eq!(code(&below, middle, &firm.issuer), "signer-as-authority");
}

#[test]
fn a_wrong_key_usage_is_refused() {
    let usages = [
        KeyUsages::KeyEncipherment.into(),
        KeyUsages::DigitalSignature.into(),
        KeyUsages::DigitalSignature | KeyUsages::NonRepudiation | KeyUsages::KeyCertSign,
    ];
    for usage in usages {
        assert_eq!(with_person(|forgery| forgery.set(KeyUsage::OID, &KeyUsage(usage))), "certificate-key-usage");
    }
    assert_eq!(with_person(|forgery| forgery.remove(KeyUsage::OID)), "certificate-key-usage");
    assert_eq!(with_person(|forgery| forgery.extension(KeyUsage::OID).critical = false), "certificate-key-usage");
    let only_lists = KeyUsage(KeyUsages::CRLSign.into());
    assert_eq!(with_issuer(|forgery| forgery.set(KeyUsage::OID, &only_lists)), "certificate-key-usage");
}

#[test]
fn a_wrong_purpose_is_refused() {
    // id-kp-serverAuth and anyExtendedKeyUsage (RFC 5280 §4.2.1.12).
    for oid in ["1.3.6.1.5.5.7.3.1", "2.5.29.37.0"] {
        let purpose = ExtendedKeyUsage(vec![const_oid::ObjectIdentifier::new_unwrap(oid)]);
        assert_eq!(with_person(|forgery| forgery.set(ExtendedKeyUsage::OID, &purpose)), "certificate-purpose");
    }
    assert_eq!(with_person(|forgery| forgery.remove(ExtendedKeyUsage::OID)), "certificate-purpose");
}

#[test]
fn a_wrong_path_length_is_refused() {
    for length in [None, Some(1), Some(255)] {
        let constraints = BasicConstraints { ca: true, path_len_constraint: length };
        let code = with_issuer(|forgery| forgery.set(BasicConstraints::OID, &constraints));
        assert_eq!(code, "certificate-path-length");
    }
    let code = with_issuer(|forgery| forgery.extension(BasicConstraints::OID).critical = false);
    assert_eq!(code, "certificate-path-length");
    assert_eq!(with_issuer(|forgery| forgery.remove(BasicConstraints::OID)), "signer-as-authority");
}

#[test]
fn key_identifiers_that_do_not_fit_are_refused() {
    let other = OctetString::new([7; 20]).unwrap();
    let code = with_person(|forgery| forgery.set(SubjectKeyIdentifier::OID, &other));
    assert_eq!(code, "certificate-key-identifier");
    assert_eq!(with_person(|forgery| forgery.remove(AuthorityKeyIdentifier::OID)), "certificate-key-identifier");
    let authority = AuthorityKeyIdentifier { key_identifier: Some(other), ..Default::default() };
    let code = with_person(|forgery| forgery.set(AuthorityKeyIdentifier::OID, &authority));
    assert_eq!(code, "chain-same-name-other-key");
}

#[test]
fn an_issuing_key_that_is_named_by_more_than_its_identifier_is_refused() {
    // RFC 5280 §4.2.1.1: the issuer's name and serial number may stand beside the key's identifier, and the extension is
    // never critical. In ours they never stand there: a second name could say something else than the first.
    let (firm, _) = firm();
    let issuer = firm.issuer.inner().tbs_certificate();
    let name = || Some(vec![GeneralName::DirectoryName(issuer.subject().clone())]);
    let serial = || Some(issuer.serial_number().clone());
    for (name, serial) in [(name(), None), (None, serial()), (name(), serial())] {
        let authority = AuthorityKeyIdentifier {
            key_identifier: Some(OctetString::new(firm.issuer.key().identifier()).unwrap()),
            authority_cert_issuer: name,
            authority_cert_serial_number: serial,
        };
        let code = with_person(|forgery| forgery.set(AuthorityKeyIdentifier::OID, &authority));
        assert_eq!(code, "certificate-key-identifier", "{authority:?}");
    }
    let code = with_person(|forgery| forgery.extension(AuthorityKeyIdentifier::OID).critical = true);
    assert_eq!(code, "certificate-key-identifier");
}

#[test]
fn either_of_the_obsolete_unique_identifiers_is_refused() {
    // RFC 5280 §4.1.2.8: issuerUniqueID [1] and subjectUniqueID [2], bit strings behind the key.
    let (firm, signer) = firm();
    let person = signer.chain().person();
    let body = Any::from_der(&person.inner().tbs_certificate().to_der().unwrap()).unwrap();
    let key = person.key().to_spki_der();
    let place = body.value().windows(key.len()).position(|bytes| bytes == key).unwrap() + key.len();
    let with = |identifiers: &[u8]| {
        let body = [&body.value()[..place], identifiers, &body.value()[place..]].concat();
        let body = Any::new(Tag::Sequence, body).unwrap().to_der().unwrap();
        let signature = BitString::from_bytes(&firm.issuer_key.sign(&body)).unwrap().to_der().unwrap();
        let algorithm = person.inner().signature_algorithm().to_der().unwrap();
        let whole = Any::new(Tag::Sequence, [body, algorithm, signature].concat()).unwrap().to_der().unwrap();
        code(&Certificate::parse_der(&whole).unwrap(), &firm.issuer, &firm.root)
    };
    assert_eq!(with(&[]), "passes");
    for identifiers in [&[0x81, 2, 0, 7][..], &[0x82, 2, 0, 7], &[0x81, 2, 0, 7, 0x82, 2, 0, 7]] {
        assert_eq!(with(identifiers), "certificate-unique-identifier", "{identifiers:02x?}");
    }
}

#[test]
fn unknown_and_doubled_extensions_are_refused() {
    for critical in [false, true] {
        let code = with_person(|forgery| {
            forgery.extensions.push(Extension {
                extn_id: const_oid::ObjectIdentifier::new_unwrap("2.5.29.17"),
                critical,
                extn_value: OctetString::new([0x30, 0]).unwrap(),
            });
        });
        assert_eq!(code, "certificate-unknown-extension");
    }
    let code = with_person(|forgery| {
        let again = forgery.extension(KeyUsage::OID).clone();
        forgery.extensions.push(again);
    });
    assert_eq!(code, "certificate-broken-extension");
}

#[test]
fn a_same_named_issuer_is_refused() {
    // Another firm that calls itself the same: every name fits, every signature of its own stands.
    let (firm, signer) = firm();
    let mut rng = crate::fixture::FixedRng::new("namesake");
    let key = PrivateKey::generate(&mut rng);
    let mut namesake = Forgery::like(&firm.issuer);
    namesake.key = key.public();
    namesake.set(SubjectKeyIdentifier::OID, &OctetString::new(key.public().identifier()).unwrap());
    let namesake = namesake.sign(&firm.root_key);
    assert_eq!(code(signer.chain().person(), &namesake, &firm.root), "chain-same-name-other-key");
    // The namesake signs a person's certificate that names the true issuer's key.
    let forged = Forgery::like(signer.chain().person()).sign(&key);
    assert_eq!(code(&forged, &firm.issuer, &firm.root), "chain-signature-invalid");
    assert_eq!(code(&forged, &namesake, &firm.root), "chain-same-name-other-key");
}

#[test]
fn an_issuer_that_is_called_like_its_root_is_found_by_its_key_in_any_order() {
    let (firm, signer) = firm();
    let name = firm.root.inner().tbs_certificate().subject();
    let issuer = Forgery { subject: name.clone(), ..Forgery::like(&firm.issuer) }.sign(&firm.root_key);
    let person = Forgery { issuer: name.clone(), ..Forgery::like(signer.chain().person()) }.sign(&firm.issuer_key);
    for order in [[&person, &issuer, &firm.root], [&firm.root, &person, &issuer]] {
        let chain = Chain::build(&person, &order.map(Certificate::clone)).unwrap();
        assert_eq!(chain.certificates(), [&person, &issuer, &firm.root]);
    }
}

#[test]
fn certificates_of_two_firms_are_no_chain() {
    let (firm, signer) = firm();
    let other = TestFirm::found("South Bay");
    assert_eq!(code(signer.chain().person(), &other.issuer, &other.root), "chain-certificate-missing");
    assert_eq!(code(signer.chain().person(), &firm.issuer, &other.root), "chain-certificate-missing");
    let two = [signer.chain().person().clone(), firm.issuer.clone()];
    assert_eq!(Chain::build(&two[0], &two).unwrap_err().code(), "chain-certificate-count");
}

#[test]
fn a_root_that_is_not_signed_by_itself_is_refused() {
    let (firm, signer) = firm();
    let root = Forgery::like(&firm.root).sign(&firm.issuer_key);
    assert_eq!(code(signer.chain().person(), &firm.issuer, &root), "chain-signature-invalid");
}

#[test]
fn a_subject_of_another_shape_is_refused() {
    let names = [
        "CN=Maja Holt",
        "CN=Maja Holt,O=North Bay",
        "CN=Maja Holt,OU=Queen,O=North Bay",
        "CN=A,CN=B,O=C",
        "CN=A,OU=Inspector,O=B,O=C",
    ];
    for name in names {
        let code = with_person(|forgery| forgery.subject = name.parse().unwrap());
        assert_eq!(code, "certificate-subject", "{name}");
    }
}
