//! Certificates, requests for them, lists of what is revoked, signed statements.

use seal::{
    certificate::{Certificate, CertificateAsked, Rank},
    revocation::RevocationList,
    statement::SignedStatement,
    timestamp::AuthorityCertificate,
};

/// Reads the bytes as everything that holds or names certificates, in DER or as a PEM block. Whatever is read comes back
/// the same; gives whether they are any of it.
///
/// # Panics
/// Something does not hold.
pub fn read_certificate(bytes: &[u8]) -> bool {
    let text = std::str::from_utf8(bytes).unwrap_or_default();
    let certificate = Certificate::parse_der(bytes).ok().or_else(|| Certificate::parse_pem(text).ok());
    let list = RevocationList::parse_der(bytes).ok().or_else(|| RevocationList::parse_pem(text).ok());
    let asked = CertificateAsked::parse_pem(text).ok();
    let statement = SignedStatement::parse_pem(text).ok();
    if let Some(certificate) = &certificate {
        look_at(certificate);
    }
    if let Some(list) = &list {
        let again = RevocationList::parse_pem(&list.to_pem()).ok();
        assert_eq!(again.as_ref(), Some(list), "a list does not come back");
        assert!(list.list_revocations().iter().all(|one| !one.serial.is_empty()), "a certificate without a number");
    }
    if let Some(asked) = &asked {
        let again = CertificateAsked::parse_pem(&asked.to_pem()).ok();
        assert_eq!(again.as_ref(), Some(asked), "a request does not come back");
    }
    if let Some(statement) = &statement {
        let again = SignedStatement::parse_pem(statement.to_pem()).ok();
        let again = again.as_ref().map(SignedStatement::statement);
        assert_eq!(again, Some(statement.statement()), "a statement does not come back");
    }
    let authority = AuthorityCertificate::parse_pem(text);
    certificate.is_some() || list.is_some() || asked.is_some() || statement.is_some() || authority.is_ok()
}

/// A certificate has one place in a chain at most.
fn look_at(certificate: &Certificate) {
    let again = Certificate::parse_pem(&certificate.to_pem()).ok();
    assert_eq!(again.as_ref(), Some(certificate), "a certificate does not come back");
    let der = Certificate::parse_der(certificate.as_der()).ok();
    assert_eq!(der.as_ref(), Some(certificate), "a certificate does not come back");
    let ranks = [Rank::Root, Rank::Issuer, Rank::Person];
    let fitting: Vec<Rank> = ranks.into_iter().filter(|rank| certificate.check_profile(*rank).is_ok()).collect();
    assert!(fitting.len() <= 1, "a certificate of several ranks: {fitting:?}");
    assert!(fitting.is_empty() || certificate.subject().is_ok(), "a certificate in order names nobody");
    assert!(!certificate.serial().is_empty(), "a certificate without a number");
    let again = certificate.is_signed_by(certificate.key());
    assert_eq!(der.map(|der| der.is_signed_by(der.key())), Some(again), "a signature stands once and not again");
}
