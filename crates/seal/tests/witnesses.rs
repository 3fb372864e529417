//! Since when, by the word of witnesses: a receipt whose head they have signed, asked under changing trust.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod draft;
#[path = "../src/fixture.rs"]
mod fixture;

use draft::Draft;
use fixture::{TestFirm, at};
use seal::{
    certificate::Role,
    check::check_file,
    digest::Sha256Digest,
    key::PrivateKey,
    receipt::{Checkpoint, LogKey, Receipt, WitnessKey, Witnesses},
    revocation::{Reason, Revocation, RevocationList},
    sealing::{add_receipt, log_entry, seal_file},
    signature::Signer,
    trust::{FirmLog, Trust},
    verdict::{ByWitnesses, Proof, SealReport, SinceWhen},
};

const LOG: &str = "log.example/north-bay";
const NOW: &str = "2026-06-01T12:00:00Z";
const ENTERED: &str = "2026-05-20T10:00:00Z";

/// The witnesses by whom a log's time is proven.
fn by_witnesses(since: &SinceWhen) -> Option<ByWitnesses> {
    match &since.proof {
        Proof::Log { by_witnesses, .. } => *by_witnesses,
        Proof::Authority { name } => panic!("got the authority {name}, expected a log"),
    }
}

fn private(seed: u8) -> PrivateKey {
    PrivateKey::from_seed(&[seed; 32])
}

fn witness(seed: u8) -> WitnessKey {
    WitnessKey::new(&format!("witness.example/w{seed}"), private(seed).public()).unwrap()
}

/// A firm, a report that its inspector sealed, and a reader who needs two of the witnesses 1, 2 and 3.
struct Case {
    firm: TestFirm,
    signer: Signer,
    sealed: Vec<u8>,
    trust: Trust,
}

fn case() -> Case {
    let mut firm = TestFirm::found("North Bay");
    let signer = firm.hire("Maja Holt", Role::Inspector);
    let sealed = seal_file(Draft::valid().prepare(), &signer).unwrap();
    let log = FirmLog {
        root: firm.root.fingerprint(),
        key: LogKey::new(LOG, private(90).public()).unwrap(),
        witnesses: Some(Witnesses::new(vec![witness(1), witness(2), witness(3)], 2).unwrap()),
    };
    let trust = Trust { roots: vec![firm.root.clone()], logs: vec![log], ..Trust::at(at(NOW)) };
    Case { firm, signer, sealed, trust }
}

fn sign(head: &Checkpoint, seed: u8, time: &str) -> String {
    head.cosign(&witness(seed), &private(seed), at(time)).unwrap()
}

impl Case {
    fn receipt(&self, entered: &str) -> Receipt {
        Receipt::issue_first(log_entry(&self.sealed, at(entered)).unwrap(), LOG, &private(90))
    }

    /// What the reader finds where these witnesses have signed at these times.
    fn ask(&self, entered: &str, signed: &[(u8, &str)]) -> SealReport {
        let mut receipt = self.receipt(entered);
        for (seed, time) in signed {
            let line = sign(&receipt.checkpoint, *seed, time);
            receipt.checkpoint = receipt.checkpoint.with_signatures(&line).unwrap();
        }
        // As its text: what stands in a file was read from one.
        check_file(&add_receipt(&self.sealed, &Receipt::parse(&receipt.to_text()).unwrap()).unwrap(), &self.trust)
    }
}

#[test]
fn enough_witnesses_prove_the_time() {
    let case = case();
    let found = case.ask(ENTERED, &[(3, "2026-05-20T10:00:07Z"), (1, "2026-05-20T10:03:00Z"), (9, ENTERED)]);
    let since = found.since_when.passed().unwrap();
    assert_eq!(since.at, at("2026-05-20T10:03:00Z"));
    assert!(matches!(&since.proof, Proof::Log { log, index: 0, .. } if log == LOG), "{:?}", since.proof);
    assert_eq!(by_witnesses(since), Some(ByWitnesses { needed: 2, known: 3, entered: at(ENTERED) }));
    assert_eq!(found.whose.passed().unwrap().judged_at, at("2026-05-20T10:03:00Z"));
    assert_eq!(found.remarks, []);
}

#[test]
fn too_few_witnesses_leave_the_logs_own_word_and_that_is_said() {
    let case = case();
    for signed in
        [&[][..], &[(1, ENTERED)], &[(1, ENTERED), (1, "2026-05-20T11:00:00Z")], &[(8, ENTERED), (9, ENTERED)]]
    {
        let found = case.ask(ENTERED, signed);
        let since = found.since_when.passed().unwrap();
        assert_eq!((since.at, by_witnesses(since)), (at(ENTERED), None), "{signed:?}");
        assert_eq!(found.remarks[0].code, "witnesses-too-few", "{signed:?}");
    }
    // A reader without witnesses is told as before, whoever has signed.
    let mut trusting = self::case();
    trusting.trust.logs[0].witnesses = None;
    let found = trusting.ask(ENTERED, &[(1, ENTERED), (2, ENTERED)]);
    assert_eq!((by_witnesses(found.since_when.passed().unwrap()), found.remarks.len()), (None, 0));
}

#[test]
fn a_false_signature_of_a_witness_fails_the_question() {
    let case = case();
    let mut receipt = case.receipt(ENTERED);
    let other = Checkpoint::sign(LOG, 2, Sha256Digest::of(b"another tree"), &private(90));
    for line in [sign(&receipt.checkpoint, 1, ENTERED), sign(&receipt.checkpoint, 2, ENTERED), sign(&other, 3, ENTERED)]
    {
        receipt.checkpoint = receipt.checkpoint.with_signatures(&line).unwrap();
    }
    let found = check_file(&add_receipt(&case.sealed, &receipt).unwrap(), &case.trust);
    assert_eq!(found.since_when.code(), Some("receipt-witness-signature"));
    assert!(found.unchanged.passed().is_some(), "the file itself is as it was");
}

#[test]
fn witnesses_who_signed_before_the_entry_contradict_the_log() {
    let case = case();
    let early = |time| case.ask(ENTERED, &[(1, time), (2, time)]).since_when.code();
    // Clocks differ by minutes.
    assert_eq!(early("2026-05-20T09:50:00Z"), None);
    assert_eq!(early("2026-05-20T09:49:59Z"), Some("receipt-times-disagree"));
    let found = case.ask(ENTERED, &[(1, "2026-05-20T09:49:59Z"), (2, "2026-05-20T09:49:59Z")]);
    let why = format!("{:?}", found.since_when);
    assert!(why.contains("signed by 2026-05-20 09:49 UTC"), "{why}");
    assert!(why.contains("later, on 2026-05-20 10:00 UTC"), "{why}");
    // One who lies about it, where two are needed, changes nothing.
    let found = case.ask(ENTERED, &[(1, "2026-05-01T00:00:00Z"), (2, "2026-05-20T10:00:09Z")]);
    assert_eq!(found.since_when.passed().unwrap().at, at("2026-05-20T10:00:09Z"));
    // And whose time is to come has not signed yet.
    let found = case.ask(ENTERED, &[(1, ENTERED), (2, "2026-06-01T12:10:01Z")]);
    assert_eq!(by_witnesses(found.since_when.passed().unwrap()), None);
}

#[test]
fn a_witness_whose_clock_is_ahead_by_minutes_counts() {
    let case = case();
    // The reader's own clock may be as much behind.
    for time in [NOW, "2026-06-01T12:10:00Z"] {
        let found = case.ask(ENTERED, &[(1, ENTERED), (2, time)]);
        let since = found.since_when.passed().unwrap();
        assert_eq!((since.at, by_witnesses(since).is_some()), (at(time), true), "{time}");
    }
}

#[test]
fn a_log_that_sets_its_clock_back_does_not_help_a_revoked_key_where_witnesses_have_signed() {
    let mut case = case();
    let serial = case.signer.chain().person().serial();
    let revoked = Revocation { serial, since: at("2026-05-25T00:00:00Z"), reason: Reason::KeyCompromise };
    let validity = (at("2026-05-30T00:00:00Z"), at("2026-06-06T00:00:00Z"));
    let list = RevocationList::publish(&case.firm.issuer_key, &case.firm.issuer, 7, validity, &[revoked]).unwrap();
    case.trust.revocation_lists = vec![list];
    let signed_at = |time| case.ask(ENTERED, &[(1, time), (2, time)]).whose.code();
    assert_eq!(signed_at("2026-05-24T23:59:59Z"), None);
    assert_eq!(signed_at("2026-05-25T00:00:00Z"), Some("revoked"));
}

#[test]
fn sixteen_witnesses_and_a_deep_tree_fit_into_the_room() {
    let case = case();
    let mut receipt = case.receipt(ENTERED);
    // A tree of 2^40 entries: forty hashes, which lead somewhere else, and so fail where they should.
    receipt.proof = (0..40_u8).map(|nth| Sha256Digest::of(&[nth])).collect();
    let log = "log.a-firm-with-a-rather-long-name.example/reports-and-statements";
    receipt.checkpoint = Checkpoint::sign(log, 1 << 40, Sha256Digest::of(b"root"), &private(90));
    for seed in 1..=16 {
        let key = WitnessKey::new(&format!("witness-{seed}.of-some-institute.example/logs"), private(seed).public());
        let line = receipt.checkpoint.cosign(&key.unwrap(), &private(seed), at(ENTERED)).unwrap();
        receipt.checkpoint = receipt.checkpoint.with_signatures(&line).unwrap();
    }
    let text = receipt.to_text();
    assert!(text.len() < 6_000, "{} bytes", text.len());
    assert_eq!(Receipt::parse(&text).unwrap(), receipt);
    let sealed = add_receipt(&case.sealed, &receipt).unwrap();
    assert_eq!(sealed.len(), case.sealed.len());
    assert_eq!(check_file(&sealed, &case.trust).since_when.code(), Some("receipt-log-unknown"));
}
