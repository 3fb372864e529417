//! OpenSSL 3.6 on the bare signature: CMS with Ed25519 and SHA-512 (RFC 8419).

use rimside_tests::ask_openssl;
use seal::file::SealedFile;

use crate::SEALED;

/// Writes the signature and what it covers beside the report.
fn take_apart(name: &str, spoil: impl FnOnce(&mut Vec<u8>)) -> (std::path::PathBuf, std::path::PathBuf) {
    let bytes = std::fs::read(&SEALED.report).unwrap();
    let file = SealedFile::read(&bytes).unwrap();
    let mut content = file.signed_bytes().concat();
    spoil(&mut content);
    let place = SEALED.folder.path();
    let (signature, covered) = (place.join(format!("{name}.der")), place.join(format!("{name}.bin")));
    std::fs::write(&signature, file.signature().unwrap()).unwrap();
    std::fs::write(&covered, content).unwrap();
    (signature, covered)
}

#[test]
fn openssl_verifies_the_signature_over_the_covered_bytes() {
    let (signature, content) = take_apart("whole", |_| {});
    let said = ask_openssl(&signature, &content, &SEALED.root).unwrap();
    assert!(said.contains("CMS Verification successful"), "{said}");
}

#[test]
fn openssl_refuses_one_changed_bit() {
    let (signature, content) = take_apart("changed", |content| content[1_000] ^= 1);
    let said = ask_openssl(&signature, &content, &SEALED.root).unwrap_err().to_string();
    assert!(said.contains("Verification failure"), "{said}");
}
