//! A genuine report under changing trust, and broken files.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod sealed;

use std::sync::LazyLock;

use rand_chacha::{ChaCha20Rng, rand_core::SeedableRng as _};
use seal::{
    certificate::Role,
    digest::{ReportIdentity, Sha256Digest},
    file::SealedFile,
    revocation::{Reason, Revocation},
    statement::{StatementKind, sign_statement},
};
use sealed::{Case, NOW, at, prepare, record};
use verify::{Headline, MainIndication, Trust, Verdict, check_fully, check_signature};

static CASE: LazyLock<(Case, Vec<u8>)> = LazyLock::new(|| {
    let case = Case::found();
    let sealed = case.seal(&record());
    (case, sealed)
});

fn identity(sealed: &[u8]) -> ReportIdentity {
    ReportIdentity(Sha256Digest::from_bytes(SealedFile::read(sealed).unwrap().identity()))
}

fn codes(verdict: &Verdict) -> [&'static str; 4] {
    verdict.questions.list_in_order().map(|asked| asked.answer.code().unwrap_or("-"))
}

#[test]
fn a_signature_alone_is_never_genuine() {
    let (case, sealed) = &*CASE;
    let verdict = check_signature(sealed, &case.trust());
    assert_eq!(verdict.headline, Headline::CannotBeFullyConfirmed);
    assert_eq!(codes(&verdict), ["not-drawn-again", "-", "no-proof-of-time", "-"]);
    assert_eq!(verdict.signed_by.unwrap().name, "Ines Okafor-Lind");
    assert_eq!(verdict.details.indication.indication, MainIndication::TotalPassed);
}

#[test]
fn without_lists_the_standing_is_not_checked() {
    let (case, sealed) = &*CASE;
    let no_list = Trust { revocation_lists: Vec::new(), ..case.trust() };
    let verdict = check_fully(sealed, &no_list);
    assert_eq!(verdict.headline, Headline::GenuineStandingNotChecked);
    assert_eq!(codes(&verdict), ["-", "-", "no-proof-of-time", "revocation-list-missing"]);
    assert_eq!(verdict.details.indication.subindication, Some("TRY_LATER"));
}

#[test]
fn an_unknown_root_is_shown_by_its_fingerprint() {
    let (case, sealed) = &*CASE;
    let verdict = check_fully(sealed, &Trust { roots: Vec::new(), ..case.trust() });
    assert_eq!(verdict.headline, Headline::CannotBeFullyConfirmed);
    assert_eq!(codes(&verdict)[1], "unknown-root");
    let root = verdict.root.unwrap();
    let fingerprint = case.root.fingerprint().to_string();
    assert!(!root.given_by_reader && root.fingerprint == fingerprint);
    assert!(verdict.because.contains(&fingerprint) && verdict.next.contains("Compare the root's fingerprint"));
    assert_eq!(verdict.details.indication.subindication, Some("NO_CERTIFICATE_CHAIN_FOUND"));
}

#[test]
fn another_firms_root_of_the_same_name_does_not_help() {
    let (case, sealed) = &*CASE;
    let mut rng = ChaCha20Rng::from_seed([8; 32]);
    let key = seal::key::PrivateKey::generate(&mut rng);
    let firm = seal::certificate::Firm { name: "Harbour & Vale Inspections".into() };
    let root = seal::certificate::create_root(&key, &firm, at("2026-01-01T00:00:00Z"), &mut rng).unwrap();
    let verdict = check_fully(sealed, &Trust { roots: vec![root], ..case.trust() });
    assert_eq!((verdict.headline, codes(&verdict)[1]), (Headline::CannotBeFullyConfirmed, "unknown-root"));
    assert!(!verdict.root.unwrap().given_by_reader);
}

#[test]
fn a_revoked_key_fails() {
    let (case, sealed) = &*CASE;
    let serial = case.signer.chain().person().serial();
    let revocation = Revocation { serial, since: at("2026-11-25T00:00:00Z"), reason: Reason::KeyCompromise };
    let trust = Trust { revocation_lists: vec![case.list(&[revocation])], ..case.trust() };
    let verdict = check_fully(sealed, &trust);
    assert_eq!((verdict.headline, codes(&verdict)[1]), (Headline::DoNotRely, "revoked"));
    assert!(verdict.root.as_ref().unwrap().given_by_reader);
    let stranger = check_fully(sealed, &Trust { roots: Vec::new(), ..trust });
    assert!(!stranger.root.unwrap().given_by_reader, "revoked or not, the reader did not bring this root");
    assert_eq!(verdict.details.indication.subindication, Some("REVOKED_NO_POE"));
}

#[test]
fn an_expired_key_is_not_confirmed() {
    let (case, sealed) = &*CASE;
    let verdict = check_fully(sealed, &Trust { at: at("2029-01-01T00:00:00Z"), ..case.trust() });
    assert_eq!((verdict.headline, codes(&verdict)[1]), (Headline::CannotBeFullyConfirmed, "expired"));
}

#[test]
fn withdrawn_and_superseded_are_told_apart() {
    let (case, sealed) = &*CASE;
    let mut second = record();
    second.device.sequence = 2;
    second.device.previous = Some(model::Sha256::of(b"first"));
    let other = identity(&case.seal(&second));
    let state = |kind| sign_statement(identity(sealed), kind, "Wrong disc.", at(NOW), &case.signer).unwrap();
    for (kind, headline) in [
        (StatementKind::Withdrawn, Headline::GenuineButWithdrawn),
        (StatementKind::Superseded { by: other }, Headline::GenuineButSuperseded),
    ] {
        let trust = Trust { statements: vec![state(kind)], ..case.trust() };
        let verdict = check_fully(sealed, &trust);
        assert_eq!(verdict.headline, headline);
        assert!(verdict.because.contains("Wrong disc."), "{}", verdict.because);
        // Taken back without being confirmed: not to be relied on either way.
        assert_eq!(check_signature(sealed, &trust).headline, Headline::DoNotRely);
    }
}

#[test]
fn a_statement_without_right_is_set_aside_and_remarked() {
    let mut case = Case::found();
    let sealed = case.seal(&record());
    let colleague = case.hire("Odd Colleague", Role::Inspector);
    let statement = sign_statement(identity(&sealed), StatementKind::Withdrawn, "Spite.", at(NOW), &colleague).unwrap();
    let verdict = check_fully(&sealed, &Trust { statements: vec![statement], ..case.trust() });
    assert_eq!(verdict.headline, Headline::Genuine);
    assert_eq!(verdict.details.remarks[0].code, "statement-without-right");
}

#[test]
fn what_is_no_report_is_refused_without_panic() {
    let (case, sealed) = &*CASE;
    let unsigned = prepare(&record());
    let cut = &sealed[..sealed.len() / 2];
    let longer = [sealed.as_slice(), b"\n% a note of 312 bytes".as_slice()].concat();
    for bytes in [b"".as_slice(), b"%PDF-2.0", b"hello", cut, &longer, &unsigned] {
        let verdict = check_fully(bytes, &case.trust());
        assert_eq!(verdict.headline, Headline::DoNotRely);
        assert!(verdict.signed_by.is_none() && verdict.root.is_none() && verdict.report.is_none());
    }
    assert_eq!(codes(&check_fully(&unsigned, &case.trust()))[0], "not-sealed");
    let verdict = check_fully(&longer, &case.trust());
    assert_eq!(codes(&verdict)[0], "bytes-after-end");
    assert!(verdict.because.starts_with("This report was changed after it was signed: "), "{}", verdict.because);
}

#[test]
fn no_changed_byte_is_called_genuine() {
    let (case, sealed) = &*CASE;
    let trust = case.trust();
    // Every 997th byte, each with another bit: all parts of the file are hit.
    for (turn, at) in (0..sealed.len()).step_by(997).enumerate() {
        let mut changed = sealed.clone();
        changed[at] ^= 1 << (turn % 8);
        let verdict = check_fully(&changed, &trust);
        assert_eq!(verdict.headline, Headline::DoNotRely, "byte {at}: {verdict:#?}");
    }
}

#[test]
fn a_verdict_is_data() {
    let (case, sealed) = &*CASE;
    let json = serde_json::to_value(check_fully(sealed, &case.trust())).unwrap();
    assert_eq!(json["headline"], "genuine");
    assert_eq!(json["questions"]["unchanged"]["state"], "passed");
    assert_eq!(json["questions"]["since_when"]["state"], "not_checked");
    assert_eq!(json["questions"]["since_when"]["code"], "no-proof-of-time");
    assert_eq!(json["details"]["indication"]["indication"], "TOTAL-PASSED");
}
