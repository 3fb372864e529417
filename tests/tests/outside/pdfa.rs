//! pdfluent 1.2 as a checker of PDF/A-4f (ISO 19005-4). It sees colour without an output intent, fonts that are not
//! embedded, annotations that do not print, attachments without a relationship and a wrong identification; it does not
//! check the structure tree, and it is wrong in two points that are named here.

use std::collections::BTreeSet;

use rimside_tests::ask_pdfluent;

use crate::SEALED;

/// Findings that ISO 19005-4:2020 does not share (its text from memory): the set of glyphs is not asked for since
/// PDF 2.0 gave it up, and the identification of level f is exactly this letter.
fn is_mistaken(finding: &str) -> bool {
    finding.ends_with("missing required /CIDSet")
        || finding == "6.7.3 PDF/A-4 must not have pdfaid:conformance (found 'F')"
}

fn findings(name: &str, bytes: &[u8]) -> (String, BTreeSet<String>) {
    let path = SEALED.folder.path().join(name);
    std::fs::write(&path, bytes).unwrap();
    let (level, mut findings) = ask_pdfluent(&path).unwrap();
    findings.retain(|finding| !is_mistaken(finding));
    (level, findings)
}

#[test]
fn a_sealed_report_is_found_to_be_pdf_a_4f() {
    let sealed = std::fs::read(&SEALED.report).unwrap();
    assert_eq!(findings("whole.pdf", &sealed), ("PDF/A-4F".to_owned(), BTreeSet::new()));
}

/// So that a checker which finds nothing in anything does not count.
#[test]
fn what_breaks_the_level_is_found() {
    let sealed = std::fs::read(&SEALED.report).unwrap();
    for (key, clause) in [("/AFRelationship", "6.9 "), ("/OutputIntents", "6.2.4.3 "), ("/FontFile2", "6.2.10.4.1 ")] {
        let at = sealed.windows(key.len()).position(|window| window == key.as_bytes()).unwrap();
        let mut broken = sealed.clone();
        broken[at + 1] = b'Z';
        let (_, found) = findings("broken.pdf", &broken);
        assert!(found.iter().any(|finding| finding.starts_with(clause)), "{key}: {found:?}");
    }
}
