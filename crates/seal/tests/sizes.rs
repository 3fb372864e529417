//! What is larger than anything of ours is refused before it is read, and what is not is read.

#![allow(clippy::unwrap_used, reason = "tests")]

use seal::{
    certificate::{AskedError, Certificate, CertificateAsked, CertificateError},
    key_file::{KeyFileError, Passphrase, unlock_key},
    receipt::{Receipt, ReceiptFault},
    revocation::{RevocationError, RevocationList},
    statement::{SignedStatement, StatementError},
};

/// Whether so many bytes are too many, asked of just as many as are not, of one more, and of many more.
#[track_caller]
fn at_most(most: usize, is_too_large: impl Fn(&str) -> bool) {
    for (bytes, expected) in [(most, false), (most + 1, true), (most * 3, true)] {
        assert_eq!(is_too_large(&"0".repeat(bytes)), expected, "{bytes} bytes");
    }
}

#[test]
fn each_reader_has_its_largest() {
    let der = |text: &str| Certificate::parse_der(text.as_bytes());
    at_most(4 << 10, |text| matches!(der(text), Err(CertificateError::TooLarge { got }) if got == text.len()));
    at_most(8 << 10, |text| matches!(Certificate::parse_pem(text), Err(CertificateError::TooLarge { .. })));
    at_most(8 << 10, |text| matches!(CertificateAsked::parse_pem(text), Err(AskedError::TooLarge { .. })));
    // Of a request the text around it is read first, so that its bytes have a largest of their own.
    let ask = |text: &str| {
        let pem = der::pem::encode_string("CERTIFICATE REQUEST", der::pem::LineEnding::LF, text.as_bytes()).unwrap();
        CertificateAsked::parse_pem(&pem)
    };
    at_most(4 << 10, |text| matches!(ask(text), Err(AskedError::TooLarge { .. })));
    let der = |text: &str| RevocationList::parse_der(text.as_bytes());
    at_most(1 << 20, |text| matches!(der(text), Err(RevocationError::TooLarge { got }) if got == text.len()));
    at_most(2 << 20, |text| matches!(RevocationList::parse_pem(text), Err(RevocationError::TooLarge { .. })));
    at_most(16 << 10, |text| matches!(Receipt::parse(text), Err(ReceiptFault::TooLarge { .. })));
    at_most(32 << 10, |text| matches!(SignedStatement::parse_pem(text), Err(StatementError::TooLarge { .. })));
    let passphrase = Passphrase::from("correct horse".to_owned());
    at_most(8 << 10, |text| matches!(unlock_key(text, &passphrase), Err(KeyFileError::TooLarge { .. })));
}
