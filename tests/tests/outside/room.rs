//! The room for the signature takes a receipt later, without a second revision.

use rimside_tests::{FixedWorld, ask_pyhanko};
use seal::{
    key::PrivateKey,
    receipt::Receipt,
    sealing::{add_receipt, log_entry},
};

use crate::SEALED;

#[test]
fn a_receipt_leaves_pyhanko_as_content_as_before() {
    let sealed = std::fs::read(&SEALED.report).unwrap();
    let entry = log_entry(&sealed, FixedWorld::NOW.parse().unwrap()).unwrap();
    let receipt = Receipt::issue_first(entry, "log.example/harbour-vale", &PrivateKey::from_seed(&[7; 32]));
    let logged = add_receipt(&sealed, &receipt).unwrap();
    assert_ne!(logged, sealed);
    let path = SEALED.folder.path().join("logged.pdf");
    std::fs::write(&path, logged).unwrap();
    let before = ask_pyhanko(&SEALED.report, &SEALED.root, FixedWorld::NOW).unwrap();
    let after = ask_pyhanko(&path, &SEALED.root, FixedWorld::NOW).unwrap();
    assert!(after.bottom_line && after.summary == "INTACT:TRUSTED,UNTOUCHED", "{after:?}");
    assert_eq!(before, after);
}
