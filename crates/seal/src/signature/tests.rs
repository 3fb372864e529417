use sha2::{Digest as _, Sha512};

use super::*;
use crate::{certificate::Role, chain::Chain, fixture::TestFirm, key::PrivateKey};

fn digest(content: &[u8]) -> ContentDigest {
    Sha512::digest(content).into()
}

#[test]
fn sha512_agrees_with_the_standards_example() {
    // FIPS 180-4, example of the one-block message "abc" (NIST's published example values).
    assert_eq!(
        hex::encode(digest(b"abc")),
        "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a\
         2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f"
    );
}

#[test]
fn a_signature_fits_its_content_and_no_other() {
    let signer = TestFirm::found("North Bay").hire("Maja Holt", Role::Inspector);
    let der = sign_detached(&digest(b"content"), &signer).unwrap();
    let message = SignedMessage::parse(&der, Form::Detached).unwrap();
    message.check(&digest(b"content")).unwrap();
    assert_eq!(message.check(&digest(b"Content")).unwrap_err().code(), "digest-differs");
    assert_eq!(message.signer(), signer.chain().person());
    assert_eq!(Chain::build(message.signer(), message.certificates()).unwrap(), *signer.chain());
    assert!(der.len() < 4096, "{} bytes leave too little room in a report", der.len());
}

#[test]
fn the_object_identifiers_are_those_of_the_standards() {
    // RFC 5652 §11, RFC 5035 §3, RFC 3161 appendix A, RFC 8419 §2.3 and RFC 8410 §3.
    assert_eq!(CONTENT_TYPE.to_string(), "1.2.840.113549.1.9.3");
    assert_eq!(MESSAGE_DIGEST.to_string(), "1.2.840.113549.1.9.4");
    assert_eq!(SHA_512.to_string(), "2.16.840.1.101.3.4.2.3");
    assert_eq!(ED25519.to_string(), "1.3.101.112");
    assert_eq!(SIGNED_DATA.to_string(), "1.2.840.113549.1.7.2");
    assert_eq!(DATA.to_string(), "1.2.840.113549.1.7.1");
}

#[test]
fn content_inside_is_read_back_and_the_forms_are_not_mixed() {
    let signer = TestFirm::found("North Bay").hire("Maja Holt", Role::Office);
    let der = sign_attached(b"statement", &signer).unwrap();
    let message = SignedMessage::parse(&der, Form::Attached).unwrap();
    assert_eq!(message.content(), Some(&b"statement"[..]));
    message.check(&digest(b"statement")).unwrap();
    let refused = SignedMessage::parse(&der, Form::Detached).unwrap_err();
    assert_eq!(refused.code(), "cms-content-inside");
    let detached = sign_detached(&digest(b"statement"), &signer).unwrap();
    let refused = SignedMessage::parse(&detached, Form::Attached).unwrap_err();
    assert_eq!(refused.code(), "cms-content-missing");
}

#[test]
fn a_receipt_and_a_timestamp_leave_the_signed_parts_alone() {
    let signer = TestFirm::found("North Bay").hire("Maja Holt", Role::Inspector);
    let plain = sign_detached(&digest(b"content"), &signer).unwrap();
    let with_receipt = attach_receipt(&plain, "receipt\n").unwrap();
    // Any DER will do as a token here: SEQUENCE { INTEGER 5 }.
    let with_both = attach_timestamp(&with_receipt, &[0x30, 3, 2, 1, 5]).unwrap();
    let before = SignedMessage::parse(&plain, Form::Detached).unwrap();
    let after = SignedMessage::parse(&with_both, Form::Detached).unwrap();
    after.check(&digest(b"content")).unwrap();
    assert_eq!(after.signature(), before.signature());
    assert_eq!((before.receipt(), before.timestamp()), (None, None));
    assert_eq!(after.receipt(), Some("receipt\n"));
    assert_eq!(after.timestamp(), Some(&[0x30, 3, 2, 1, 5][..]));
    assert!(matches!(attach_receipt(&with_both, "again"), Err(AttachError::AlreadyThere)));
    assert!(matches!(attach_timestamp(&with_both, &[5, 0]), Err(AttachError::AlreadyThere)));
    assert!(matches!(attach_timestamp(&plain, &[5]), Err(AttachError::NotDer(_))));
}

#[test]
fn a_signer_needs_the_certificates_own_key() {
    let mut firm = TestFirm::found("North Bay");
    let signer = firm.hire("Maja Holt", Role::Inspector);
    let refused = Signer::new(PrivateKey::generate(&mut firm.rng), signer.chain().clone()).unwrap_err();
    assert_eq!(refused, SignerError::KeyOfAnother);
}
