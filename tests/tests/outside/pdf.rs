//! pyHanko, qpdf and pdfsig on the file.

use rimside_tests::{FixedWorld, Judgement, ask_pdfsig, ask_pyhanko, check_with_qpdf};

use crate::SEALED;

#[test]
fn pyhanko_says_intact_trusted_untouched_and_the_entire_file() {
    let said = ask_pyhanko(&SEALED.report, &SEALED.root, FixedWorld::NOW).unwrap();
    assert_eq!(
        said,
        Judgement {
            summary: "INTACT:TRUSTED,UNTOUCHED".into(),
            coverage: "ENTIRE_FILE".into(),
            modification: "NONE".into(),
            bottom_line: true,
            ades: "AdESPassed.OK".into(),
        }
    );
}

#[test]
fn pyhanko_does_not_trust_another_root() {
    let other = SEALED.folder.path().join("another-firm");
    let passphrase = "demonstration only".to_owned().into();
    api::found_firm(&FixedWorld::seeded("another"), &other, "Another Firm", &passphrase).unwrap();
    let said = ask_pyhanko(&SEALED.report, &other.join("root.pem"), FixedWorld::NOW).unwrap();
    assert!(!said.bottom_line && said.summary.starts_with("INTACT:UNTRUSTED"), "{said:?}");
}

/// The middle of the file lies in a photograph: it stays readable as a PDF, and only the digest tells.
#[test]
fn pyhanko_sees_one_changed_byte() {
    let mut bytes = std::fs::read(&SEALED.report).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    let changed = SEALED.folder.path().join("changed.pdf");
    std::fs::write(&changed, bytes).unwrap();
    let said = ask_pyhanko(&changed, &SEALED.root, FixedWorld::NOW).unwrap();
    assert!(!said.bottom_line && said.summary.starts_with("INVALID"), "{said:?}");
}

#[test]
fn qpdf_finds_nothing_to_complain_of() {
    let said = check_with_qpdf(&SEALED.report).unwrap();
    assert!(said.contains("No syntax or stream encoding errors found"), "{said}");
    assert!(!said.contains("WARNING"), "{said}");
}

#[test]
fn pdfsig_sees_one_signature_over_the_total_document() {
    // Debian 12's poppler checks with a library that does not know Ed25519: it cannot say more than this.
    let said = ask_pdfsig(&SEALED.report).unwrap();
    assert!(said.contains("Signature #1"), "{said}");
    assert!(!said.contains("Signature #2"), "{said}");
    assert!(said.contains("Total document signed"), "{said}");
    assert!(said.contains("ETSI.CAdES.detached"), "{said}");
}
