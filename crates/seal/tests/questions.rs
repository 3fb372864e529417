//! The four questions, asked of a sealed report under changing trust.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod draft;
#[path = "../src/fixture.rs"]
mod fixture;

use draft::Draft;
use fixture::{TestFirm, at};
use proptest::prelude::*;
use seal::{
    certificate::Role,
    check::check_file,
    digest::ReportIdentity,
    file::{SealedFile, replace_room},
    key::PrivateKey,
    receipt::{LogEntry, LogKey, Receipt},
    revocation::{Reason, Revocation, RevocationList},
    sealing::{SealError, add_receipt, has_receipt, log_entry, seal_file},
    signature::{Signer, attach_receipt, attach_timestamp},
    statement::{StatementKind, sign_statement},
    trust::{FirmLog, Trust},
    verdict::{Check, Proof},
};

const LOG: &str = "log.example/north-bay";
const NOW: &str = "2026-06-01T12:00:00Z";

/// A firm, its inspector, a report that she sealed, and a reader who has everything needed to judge it.
struct Case {
    firm: TestFirm,
    signer: Signer,
    sealed: Vec<u8>,
    log_key: PrivateKey,
    trust: Trust,
}

fn case() -> Case {
    let mut firm = TestFirm::found("North Bay");
    let signer = firm.hire("Maja Holt", Role::Inspector);
    let sealed = seal_file(Draft::valid().prepare(), &signer).unwrap();
    let log_key = PrivateKey::from_seed(&[9; 32]);
    let list = firm.list_revocations(&[]);
    let trust = Trust {
        roots: vec![firm.root.clone()],
        revocation_lists: vec![list],
        logs: vec![FirmLog {
            root: firm.root.fingerprint(),
            key: LogKey::new(LOG, log_key.public()).unwrap(),
            witnesses: None,
        }],
        statements_complete_as_of: Some(at(NOW)),
        ..Trust::at(at(NOW))
    };
    Case { firm, signer, sealed, log_key, trust }
}

impl TestFirm {
    fn list_revocations(&self, revocations: &[Revocation]) -> RevocationList {
        let validity = (at("2026-05-30T00:00:00Z"), at("2026-06-06T00:00:00Z"));
        RevocationList::publish(&self.issuer_key, &self.issuer, 7, validity, revocations).unwrap()
    }
}

impl Case {
    fn identity(&self) -> ReportIdentity {
        log_entry(&self.sealed, at(NOW)).unwrap().report
    }

    /// The report with the log's receipt of a given time.
    fn logged(&self, time: &str) -> Vec<u8> {
        let entry = log_entry(&self.sealed, at(time)).unwrap();
        add_receipt(&self.sealed, &Receipt::issue_first(entry, LOG, &self.log_key)).unwrap()
    }

    fn revoke(&mut self, since: &str) {
        let serial = self.signer.chain().person().serial();
        let revocation = Revocation { serial, since: at(since), reason: Reason::KeyCompromise };
        self.trust.revocation_lists = vec![self.firm.list_revocations(&[revocation])];
    }
}

/// The codes of the four answers, `-` where the question was passed.
fn codes(bytes: &[u8], trust: &Trust) -> [&'static str; 4] {
    let report = check_file(bytes, trust);
    let codes = [report.unchanged.code(), report.whose.code(), report.since_when.code(), report.still_stands.code()];
    codes.map(|code| code.unwrap_or("-"))
}

#[test]
fn a_sealed_report_answers_three_questions_and_with_a_receipt_all_four() {
    let case = case();
    assert_eq!(codes(&case.sealed, &case.trust), ["-", "-", "no-proof-of-time", "-"]);
    let logged = case.logged("2026-05-20T10:00:00Z");
    assert_eq!(codes(&logged, &case.trust), ["-", "-", "-", "-"]);
    let report = check_file(&logged, &case.trust);
    assert_eq!(report.unchanged.passed().unwrap().identity(), case.identity());
    assert_eq!(report.unchanged.passed().unwrap().signer(), case.signer.chain().person().fingerprint());
    let whose = report.whose.passed().unwrap();
    assert_eq!(whose.person.to_string(), "Maja Holt, North Bay (Inspector)");
    assert_eq!(whose.root_fingerprint, case.firm.root.fingerprint());
    assert_eq!(whose.judged_at, at("2026-05-20T10:00:00Z"));
    let proof = &report.since_when.passed().unwrap().proof;
    assert!(matches!(proof, Proof::Log { log, .. } if log == LOG), "{proof:?}");
    assert_eq!(report.still_stands.passed().unwrap().as_of, at("2026-05-30T00:00:00Z"));
    assert_eq!(report.claimed_time, Some(at("2026-01-02T03:04:05Z")));
    assert_eq!(report.remarks, []);
}

#[test]
fn sealing_changes_nothing_but_the_room() {
    let case = case();
    let prepared = Draft::valid().prepare();
    let range = SealedFile::read(&prepared).unwrap().byte_range().clone();
    let logged = case.logged("2026-05-20T10:00:00Z");
    for sealed in [&case.sealed, &logged] {
        assert_eq!(sealed.len(), prepared.len());
        assert_eq!(sealed[range.before.clone()], prepared[range.before.clone()]);
        assert_eq!(sealed[range.after.clone()], prepared[range.after.clone()]);
    }
    assert_ne!(case.sealed, logged);
    assert!(matches!(seal_file(case.sealed.clone(), &case.signer), Err(SealError::Room(_))));
    assert!(matches!(seal_file(b"%PDF-2.0".to_vec(), &case.signer), Err(SealError::File(_))));
    assert!(matches!(log_entry(&prepared, at(NOW)), Err(SealError::Room(_))));
}

#[test]
fn a_prepared_or_damaged_file_answers_nothing() {
    let case = case();
    let rest = ["not-unchanged"; 3];
    let expect = |bytes: &[u8], first: &'static str| {
        assert_eq!(codes(bytes, &case.trust), [first, rest[0], rest[1], rest[2]]);
    };
    expect(&Draft::valid().prepare(), "not-sealed");
    let other_text = Draft::valid().swap("info", "Brake", "Broke").prepare();
    let signature = SealedFile::read(&case.sealed).unwrap().signature().unwrap().to_vec();
    let moved = SealedFile::read(&other_text).unwrap().with_signature(&signature).unwrap();
    expect(&moved, "digest-differs");
    expect(&draft::sealed(), "cms-not-canonical");
    let report = check_file(&[], &case.trust);
    assert!(matches!(report.unchanged, Check::Failed(_)));
}

#[test]
fn a_root_that_the_reader_does_not_have_is_named_by_its_fingerprint() {
    let mut case = case();
    case.trust.roots = vec![TestFirm::found("North Bay Namesake").root];
    assert_eq!(codes(&case.sealed, &case.trust), ["-", "unknown-root", "no-proof-of-time", "-"]);
    let report = check_file(&case.sealed, &case.trust);
    let fingerprint = case.firm.root.fingerprint().to_string();
    let Check::NotChecked(finding) = report.whose else { panic!("{:?}", report.whose) };
    assert!(finding.reason.contains(&fingerprint), "{}", finding.reason);
    assert_eq!(report.named.unwrap().root_fingerprint, case.firm.root.fingerprint());
}

#[test]
fn a_namesake_of_the_readers_root_is_not_that_root() {
    let mut case = case();
    // The same firm name, founded by somebody else with other keys.
    let mut rng = fixture::FixedRng::new("namesake");
    let key = PrivateKey::generate(&mut rng);
    let founded = at("2026-01-01T00:00:00Z");
    let namesake = seal::certificate::create_root(&key, &case.firm.firm, founded, &mut rng).unwrap();
    assert_eq!(namesake.subject(), case.firm.root.subject());
    case.trust.roots = vec![namesake];
    assert_eq!(codes(&case.sealed, &case.trust)[1], "unknown-root");
}

#[test]
fn an_expired_certificate_is_not_confirmed_without_an_earlier_time() {
    let mut case = case();
    let logged = case.logged("2026-05-20T10:00:00Z");
    case.trust.at = at("2028-01-01T00:00:01Z");
    assert_eq!(codes(&case.sealed, &case.trust)[1], "expired");
    assert_eq!(codes(&logged, &case.trust)[1], "-");
    case.trust.at = at("2028-01-01T00:00:00Z");
    assert_eq!(codes(&case.sealed, &case.trust)[1], "-", "the last second still counts");
    let too_late = case.logged("2028-01-01T00:00:01Z");
    case.trust.at = at("2029-01-01T00:00:00Z");
    assert_eq!(codes(&too_late, &case.trust)[1], "expired-before-proven-time");
    case.trust.at = at("2025-12-31T23:59:59Z");
    assert_eq!(codes(&case.sealed, &case.trust)[1], "not-yet-valid");
    case.trust.at = at("2026-01-01T00:00:00Z");
    assert_eq!(codes(&case.sealed, &case.trust)[1], "-", "the first second counts");
}

#[test]
fn a_revoked_key_counts_only_before_its_revocation_and_only_with_proof() {
    let mut case = case();
    let before = case.logged("2026-05-20T10:00:00Z");
    let same = case.logged("2026-05-21T00:00:00Z");
    let after = case.logged("2026-05-22T10:00:00Z");
    case.revoke("2026-05-21T00:00:00Z");
    assert_eq!(codes(&case.sealed, &case.trust), ["-", "revoked", "no-proof-of-time", "signer-refused"]);
    assert_eq!(codes(&before, &case.trust), ["-", "-", "-", "-"]);
    assert_eq!(codes(&same, &case.trust)[1], "revoked");
    assert_eq!(codes(&after, &case.trust)[1], "revoked");
    let report = check_file(&before, &case.trust);
    let later = report.whose.passed().unwrap().revoked_later.clone().unwrap();
    assert_eq!((later.since, later.reason), (at("2026-05-21T00:00:00Z"), Reason::KeyCompromise));
}

#[test]
fn a_revoked_issuer_takes_its_people_along() {
    let mut case = case();
    let serial = case.firm.issuer.serial();
    let since = at("2026-03-01T00:00:00Z");
    let revocation = Revocation { serial, since, reason: Reason::KeyCompromise };
    let validity = (at("2026-03-01T00:00:00Z"), at("2027-03-01T00:00:00Z"));
    let list = RevocationList::publish(&case.firm.root_key, &case.firm.root, 1, validity, &[revocation]).unwrap();
    case.trust.revocation_lists.push(list);
    assert_eq!(codes(&case.sealed, &case.trust)[1], "revoked");
}

#[test]
fn a_list_of_another_firm_revokes_nothing_and_an_outdated_one_still_does() {
    let mut case = case();
    let serial = case.signer.chain().person().serial();
    let since = at("2026-05-01T00:00:00Z");
    let revocation = Revocation { serial, since, reason: Reason::KeyCompromise };
    let foreign = TestFirm::found("South Bay").list_revocations(std::slice::from_ref(&revocation));
    case.trust.revocation_lists = vec![foreign];
    assert_eq!(codes(&case.sealed, &case.trust), ["-", "-", "no-proof-of-time", "revocation-list-missing"]);
    case.trust.revocation_lists = vec![case.firm.list_revocations(&[])];
    // The list speaks from its own second to that in which the next one is due.
    for (now, code) in [
        ("2026-05-29T23:59:59Z", "revocation-list-outdated"),
        ("2026-05-30T00:00:00Z", "-"),
        ("2026-06-06T00:00:00Z", "-"),
        ("2026-06-06T00:00:01Z", "revocation-list-outdated"),
        ("2026-07-01T00:00:00Z", "revocation-list-outdated"),
    ] {
        case.trust.at = at(now);
        case.trust.statements_complete_as_of = Some(at(now));
        assert_eq!(codes(&case.sealed, &case.trust)[3], code, "{now}");
    }
    case.trust.revocation_lists = vec![case.firm.list_revocations(&[revocation])];
    assert_eq!(codes(&case.sealed, &case.trust)[1], "revoked");
}

#[test]
fn whether_a_receipt_is_in_a_report_is_seen() {
    let case = case();
    let logged = case.logged("2026-05-20T10:00:00Z");
    assert_eq!((has_receipt(&case.sealed), has_receipt(&logged), has_receipt(b"no report")), (false, true, false));
}

#[test]
fn another_reports_receipt_is_refused() {
    let case = case();
    let other = seal_file(Draft::valid().swap("info", "Brake", "Other").prepare(), &case.signer).unwrap();
    let entry = log_entry(&other, at("2026-05-20T10:00:00Z")).unwrap();
    let receipt = Receipt::issue_first(entry, LOG, &case.log_key);
    assert!(matches!(add_receipt(&case.sealed, &receipt), Err(SealError::OtherReceipt)));
    let forced = force_receipt(&case.sealed, &receipt.to_text());
    assert_eq!(codes(&forced, &case.trust), ["-", "-", "receipt-of-another-report", "-"]);
}

#[test]
fn another_signatures_receipt_is_refused() {
    // A colleague signs the very same bytes: the first signature's receipt proves nothing for the second.
    let mut case = case();
    let colleague = case.firm.hire("Iver Sund", Role::Inspector);
    let again = seal_file(Draft::valid().prepare(), &colleague).unwrap();
    let entry = log_entry(&case.sealed, at("2026-05-20T10:00:00Z")).unwrap();
    let receipt = Receipt::issue_first(entry, LOG, &case.log_key);
    assert!(matches!(add_receipt(&again, &receipt), Err(SealError::OtherReceipt)));
    let forced = force_receipt(&again, &receipt.to_text());
    assert_eq!(codes(&forced, &case.trust)[2], "receipt-of-another-signature");
}

#[test]
fn a_second_receipt_is_refused() {
    let case = case();
    let entry = log_entry(&case.sealed, at("2026-05-20T10:00:00Z")).unwrap();
    let receipt = Receipt::issue_first(entry, LOG, &case.log_key);
    let once = add_receipt(&case.sealed, &receipt).unwrap();
    assert!(matches!(add_receipt(&once, &receipt), Err(SealError::Attach(_))));
}

#[test]
fn a_receipt_counts_only_from_the_firms_own_log() {
    let mut case = case();
    let logged = case.logged("2026-05-20T10:00:00Z");
    case.trust.logs[0].root = TestFirm::found("South Bay").root.fingerprint();
    assert_eq!(codes(&logged, &case.trust)[2], "receipt-log-unknown");
    case.revoke("2026-05-21T00:00:00Z");
    assert_eq!(codes(&logged, &case.trust)[1], "revoked", "an unknown log's time must not help");
    let garbage = force_receipt(&case.sealed, "no receipt");
    assert_eq!(codes(&garbage, &case.trust)[2], "receipt-malformed");
}

#[test]
fn a_receipt_from_the_future_is_refused() {
    let case = case();
    assert_eq!(codes(&case.logged("2026-06-01T12:10:00Z"), &case.trust)[2], "-");
    assert_eq!(codes(&case.logged("2026-06-01T12:10:01Z"), &case.trust)[2], "receipt-from-the-future");
}

#[test]
fn a_timestamp_token_must_belong_to_the_signature_and_is_said_to_be_unjudged() {
    let case = case();
    let file = SealedFile::read(&case.sealed).unwrap();
    let signature = file.signature().unwrap();
    let value = seal::signature::SignedMessage::parse(signature, seal::signature::Form::Detached).unwrap();
    let fitting = timestamp_token(value.signature());
    let with_token = |token: &[u8]| {
        let der = attach_timestamp(signature, token).unwrap();
        replace_room(&case.sealed, &der).unwrap()
    };
    let report = check_file(&with_token(&fitting), &case.trust);
    assert_eq!(report.since_when.code(), Some("no-proof-of-time"));
    assert_eq!(report.remarks.len(), 1);
    assert_eq!(report.remarks[0].code, "timestamp-not-checked");
    assert!(report.remarks[0].reason.contains("2026-02-03"), "{}", report.remarks[0].reason);
    let other = timestamp_token(b"another signature");
    assert_eq!(codes(&with_token(&other), &case.trust)[2], "timestamp-of-another-signature");
    assert_eq!(codes(&with_token(&[0x30, 0]), &case.trust)[2], "timestamp-malformed");
}

#[test]
fn withdrawals_count_from_the_signer_and_the_office_only() {
    let mut case = case();
    let office = case.firm.hire("Nadia Okoro", Role::Office);
    let colleague = case.firm.hire("Iver Sund", Role::Inspector);
    let stranger = TestFirm::found("South Bay").hire("Nadia Okoro", Role::Office);
    let report = case.identity();
    let when = at("2026-05-25T10:00:00Z");
    let say = |kind, signer: &Signer| sign_statement(report, kind, "wrong car", when, signer).unwrap();
    for signer in [&office, &case.signer] {
        let trust = Trust { statements: vec![say(StatementKind::Withdrawn, signer)], ..case.trust.clone() };
        assert_eq!(codes(&case.sealed, &trust), ["-", "-", "no-proof-of-time", "withdrawn"]);
        let Check::Failed(finding) = check_file(&case.sealed, &trust).still_stands else { panic!() };
        assert!(finding.reason.contains("wrong car"), "{}", finding.reason);
    }
    for signer in [&colleague, &stranger] {
        let trust = Trust { statements: vec![say(StatementKind::Withdrawn, signer)], ..case.trust.clone() };
        assert_eq!(codes(&case.sealed, &trust)[3], "-");
        assert_eq!(check_file(&case.sealed, &trust).remarks[0].code, "statement-without-right");
    }
    let other = ReportIdentity(seal::digest::Sha256Digest::of(b"other"));
    let superseded = say(StatementKind::Superseded { by: other }, &office);
    let mut trust = Trust { statements: vec![superseded], ..case.trust.clone() };
    assert_eq!(codes(&case.sealed, &trust)[3], "superseded");
    trust.statements.push(say(StatementKind::Withdrawn, &office));
    assert_eq!(codes(&case.sealed, &trust)[3], "withdrawn");
    let about_another = sign_statement(other, StatementKind::Withdrawn, "other", when, &office).unwrap();
    trust.statements = vec![about_another];
    assert_eq!(codes(&case.sealed, &trust)[3], "-");
}

#[test]
fn a_withdrawal_with_a_revoked_key_leaves_the_standing_open() {
    let mut case = case();
    let office = case.firm.hire("Nadia Okoro", Role::Office);
    let when = at("2026-05-25T10:00:00Z");
    let withdrawal = sign_statement(case.identity(), StatementKind::Withdrawn, "x", when, &office).unwrap();
    let serial = office.chain().person().serial();
    let revocation = Revocation { serial, since: when, reason: Reason::KeyCompromise };
    case.trust.revocation_lists = vec![case.firm.list_revocations(&[revocation])];
    case.trust.statements = vec![withdrawal];
    assert_eq!(codes(&case.sealed, &case.trust), ["-", "-", "no-proof-of-time", "statement-key-revoked"]);
}

#[test]
fn the_absence_of_a_withdrawal_proves_nothing_without_a_complete_list() {
    let mut case = case();
    case.trust.statements_complete_as_of = None;
    assert_eq!(codes(&case.sealed, &case.trust)[3], "withdrawals-not-checked");
}

/// Puts a text into the receipt's attribute without asking whether it fits.
fn force_receipt(sealed: &[u8], text: &str) -> Vec<u8> {
    let signature = SealedFile::read(sealed).unwrap().signature().unwrap().to_vec();
    replace_room(sealed, &attach_receipt(&signature, text).unwrap()).unwrap()
}

/// A token in the shape of RFC 3161 over a signature value, SHA-256, 2026-02-03 04:05:06, without signers.
fn timestamp_token(signature: &[u8]) -> Vec<u8> {
    let imprint = seal::digest::Sha256Digest::of(signature);
    let tlv = |tag: u8, parts: &[&[u8]]| {
        let body = parts.concat();
        let length = u8::try_from(body.len()).unwrap();
        let head = if length < 128 { vec![tag, length] } else { vec![tag, 0x81, length] };
        [head, body].concat()
    };
    let oid = |hexadecimal: &str| tlv(6, &[&hex::decode(hexadecimal).unwrap()]);
    let algorithm = tlv(0x30, &[&oid("608648016503040201")]);
    let info = tlv(
        0x30,
        &[
            &tlv(2, &[&[1]]),
            &oid("2b0601"),
            &tlv(0x30, &[&algorithm, &tlv(4, &[imprint.as_bytes()])]),
            &tlv(2, &[&[42]]),
            &tlv(0x18, &[b"20260203040506Z"]),
        ],
    );
    let content = tlv(0x30, &[&oid("2a864886f70d0109100104"), &tlv(0xa0, &[&tlv(4, &[&info])])]);
    let data = tlv(0x30, &[&tlv(2, &[&[3]]), &tlv(0x31, &[&algorithm]), &content, &tlv(0x31, &[])]);
    tlv(0x30, &[&oid("2a864886f70d010702"), &tlv(0xa0, &[&data])])
}

#[test]
fn a_log_entry_names_the_report_and_the_signature() {
    let case = case();
    let entry = log_entry(&case.sealed, at("2026-05-20T10:00:00Z")).unwrap();
    assert_eq!(LogEntry::parse(entry.to_text().as_bytes()), Some(entry.clone()));
    assert_eq!(LogEntry::parse(format!("{} ", entry.to_text()).as_bytes()), None);
    let identity = SealedFile::read(&case.sealed).unwrap().identity();
    assert_eq!(entry.report.0.as_bytes(), &identity);
}

/// Flips, cuts, doubles, overwrites and splices in other parts of the file.
fn mutate(bytes: &[u8], (kind, at, length, value): (u8, usize, usize, u8)) -> Vec<u8> {
    let mut other = bytes.to_vec();
    let at = at % bytes.len();
    let end = (at + 1 + length % 200).min(bytes.len());
    match kind % 6 {
        0 => other[at] ^= value.max(1),
        1 => drop(other.drain(at..end)),
        2 => drop(other.splice(at..at, bytes[at..end].to_vec())),
        3 => other[at] = b"0123456789abcdef<>[]()/ \n%"[usize::from(value) % 26],
        4 => other.truncate(at),
        _ => drop(other.splice(at..end, bytes[length % bytes.len()..].iter().take(end - at).copied())),
    }
    other
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_mutation_of_a_report_answers_all_questions(
        logged: bool,
        steps in prop::collection::vec(any::<(u8, usize, usize, u8)>(), 1..3),
    ) {
        static FILES: std::sync::LazyLock<(Case, Vec<u8>)> = std::sync::LazyLock::new(|| {
            let case = case();
            let logged = case.logged("2026-05-20T10:00:00Z");
            (case, logged)
        });
        let (case, with_receipt) = &*FILES;
        let original = if logged { with_receipt } else { &case.sealed };
        let mut other = original.clone();
        for step in steps {
            if !other.is_empty() {
                other = mutate(&other, step);
            }
        }
        let found = codes(&other, &case.trust);
        if other != *original && other != case.sealed {
            // A receipt is not signed by the report's signer: it is the log's, and fails under its own question.
            prop_assert!(found[0] != "-" || found[2] != "-", "{found:?}");
            prop_assert!(logged || found[0] != "-", "{found:?}");
        }
    }
}
