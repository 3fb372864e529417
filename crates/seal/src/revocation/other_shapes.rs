//! Lists that their authority signed validly, and that say something else than ours do.

use const_oid::ObjectIdentifier;
use x509_cert::ext::pkix::name::GeneralName;

use super::*;
use crate::fixture::{TestFirm, at};

/// A list with one revocation, changed and signed again by its authority; what is wrong with it, if anything is.
fn with(change: impl FnOnce(&mut CertificateList)) -> Option<&'static str> {
    let firm = TestFirm::found("North Bay");
    let week = (at("2026-03-01T00:00:00Z"), at("2026-03-08T00:00:00Z"));
    let revocation = Revocation { serial: "4a01".to_owned(), since: week.0, reason: Reason::KeyCompromise };
    let mut list = RevocationList::publish(&firm.issuer_key, &firm.issuer, 1, week, &[revocation]).unwrap().inner;
    change(&mut list);
    let signature = firm.issuer_key.sign(&list.tbs_cert_list.to_der().unwrap());
    list.signature = BitString::from_bytes(&signature).unwrap();
    match RevocationList::parse_der(&list.to_der().unwrap()).and_then(|list| list.check(&firm.issuer)) {
        Ok(()) => None,
        Err(RevocationError::Profile(expected)) => Some(expected),
        Err(other) => panic!("{other:?}"),
    }
}

fn with_entry(change: impl FnOnce(&mut Vec<Extension>)) -> Option<&'static str> {
    with(|list| {
        let entries = list.tbs_cert_list.revoked_certificates.as_mut().unwrap();
        change(entries[0].crl_entry_extensions.as_mut().unwrap());
    })
}

fn with_authority(change: impl FnOnce(&mut AuthorityKeyIdentifier)) -> Option<&'static str> {
    with(|list| {
        let extensions = list.tbs_cert_list.crl_extensions.as_mut().unwrap();
        let named = extensions.iter_mut().find(|one| one.extn_id == AuthorityKeyIdentifier::OID).unwrap();
        let mut identifier = AuthorityKeyIdentifier::from_der(named.extn_value.as_bytes()).unwrap();
        change(&mut identifier);
        named.extn_value = OctetString::new(identifier.to_der().unwrap()).unwrap();
    })
}

#[test]
fn an_unchanged_list_passes() {
    assert_eq!(with(|_| ()), None);
    assert_eq!(with_entry(|_| ()), None);
    assert_eq!(with_authority(|_| ()), None);
}

#[test]
fn a_list_of_another_version_or_algorithm_is_refused() {
    let mut with_null = bare_algorithm(ID_ED_25519);
    with_null.parameters = Some(der::Any::null());
    let expected = Some("version 2, signed with Ed25519");
    assert_eq!(with(|list| list.tbs_cert_list.version = Version::V1), expected);
    assert_eq!(with(|list| list.tbs_cert_list.version = Version::V3), expected);
    assert_eq!(with(|list| list.tbs_cert_list.signature = with_null.clone()), expected);
    assert_eq!(with(|list| list.signature_algorithm = with_null), expected);
}

#[test]
fn what_stands_beside_a_revocation_is_its_reason_and_nothing_else() {
    let expected = Some("at most a reason with each revocation");
    // RFC 5280 §5.3.2 and §5.3.3: the invalidity date, and the certificate's issuer, which says that the entry is of another
    // authority's certificate. Even where such a value could be read as a reason it is none.
    for oid in ["2.5.29.24", "2.5.29.29"] {
        let oid = ObjectIdentifier::new_unwrap(oid);
        assert_eq!(with_entry(|extensions| extensions[0].extn_id = oid), expected);
    }
    assert_eq!(with_entry(|extensions| extensions[0].critical = true), expected);
    assert_eq!(with_entry(|extensions| extensions.push(extensions[0].clone())), expected);
    assert_eq!(with_entry(Vec::clear), expected);
    // A hold can be taken back, and a revocation is never.
    let hold = OctetString::new(CrlReason::CertificateHold.to_der().unwrap()).unwrap();
    let code = with_entry(|extensions| extensions[0].extn_value = hold);
    assert_eq!(code, Some("a final reason for each revocation"));
}

#[test]
fn the_authority_is_named_by_its_keys_identifier_alone() {
    let expected = Some("exactly a number and the authority's key identifier");
    // RFC 5280 §4.2.1.1, as in a certificate: a name and a serial number may stand there, and in ours they do not.
    let name = || Some(vec![GeneralName::DirectoryName("CN=South Bay issuer,O=South Bay".parse().unwrap())]);
    let serial = || Some(SerialNumber::new(&[0x42]).unwrap());
    for (name, serial) in [(name(), None), (None, serial()), (name(), serial())] {
        let code = with_authority(|named| {
            (named.authority_cert_issuer, named.authority_cert_serial_number) = (name, serial);
        });
        assert_eq!(code, expected);
    }
    assert_eq!(with_authority(|named| named.key_identifier = None), expected);
}
