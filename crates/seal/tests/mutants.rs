//! A hundred thousand changes to a sealed report, and none of them is called unchanged.
//!
//! The changes are the same in each run: a fixed seed, so that a failure can be looked at.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod draft;
#[path = "../src/fixture.rs"]
mod fixture;

use std::collections::BTreeMap;
use std::ops::Range;

use draft::Draft;
use fixture::{TestFirm, at};
use seal::certificate::Role;
use seal::check::check_file;
use seal::file::SealedFile;
use seal::key::PrivateKey;
use seal::receipt::{LogKey, Receipt};
use seal::sealing::{add_receipt, log_entry, seal_file};
use seal::trust::{FirmLog, Trust};

const MUTANTS: usize = 100_000;
const LOG: &str = "log.example/north-bay";
const NOW: &str = "2026-06-01T12:00:00Z";

/// `SplitMix64` (Steele, Lea and Flood 2014): quick, small, and the same everywhere.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((mixed ^ (mixed >> 31)) % below.max(1) as u64) as usize
    }
}

/// The parts of a sealed file. A place is chosen part by part, so that the long empty padding does not take most of
/// the changes.
struct Parts {
    before: Range<usize>,
    signature: Range<usize>,
    padding: Range<usize>,
    after: Range<usize>,
}

impl Parts {
    fn of(bytes: &[u8]) -> Self {
        let file = SealedFile::read(bytes).unwrap();
        let start = file.byte_range().before.end + 1;
        let end = start + 2 * file.signature().unwrap().len();
        let after = file.byte_range().after.clone();
        Self { before: 0..start, signature: start..end, padding: end..after.start, after }
    }

    fn place(&self, dice: &mut Dice) -> usize {
        let part = match dice.roll(16) {
            0..6 => &self.before,
            6..12 => &self.signature,
            12 => &self.padding,
            _ => &self.after,
        };
        part.start + dice.roll(part.len())
    }
}

fn mutate(original: &[u8], parts: &Parts, dice: &mut Dice) -> Vec<u8> {
    let mut bytes = original.to_vec();
    // Mostly one change: several hide each other behind the first fault.
    for _ in 0..[1, 1, 1, 2, 3][dice.roll(5)] {
        let at = parts.place(dice).min(bytes.len().saturating_sub(1));
        let longest = [4, 64, 4096][dice.roll(3)];
        let length = 1 + dice.roll(longest);
        let end = (at + length).min(bytes.len());
        match dice.roll(10) {
            0 => bytes[at] ^= 1 << dice.roll(8),
            1 => bytes[at] = dice.roll(256) as u8,
            // Another digit: passes everywhere that a digit stands, in the signature and in numbers.
            2..5 => bytes[at] = b"0123456789abcdef"[dice.roll(16)],
            5 => drop(bytes.drain(at..end)),
            6 => bytes.truncate(at),
            7 => {
                let piece = bytes[at..end].to_vec();
                bytes.splice(at..at, piece);
            }
            8 => {
                let from = parts.place(dice).min(bytes.len() - 1);
                let piece = bytes[from..(from + length).min(bytes.len())].to_vec();
                let end = (at + piece.len()).min(bytes.len());
                bytes.splice(at..end, piece);
            }
            _ => {
                let other = parts.place(dice).min(bytes.len() - 1);
                bytes.swap(at, other);
            }
        }
        if bytes.is_empty() {
            break;
        }
    }
    bytes
}

struct Case {
    sealed: Vec<u8>,
    logged: Vec<u8>,
    trust: Trust,
}

fn case() -> Case {
    let mut firm = TestFirm::found("North Bay");
    let signer = firm.hire("Maja Holt", Role::Inspector);
    let sealed = seal_file(Draft::valid().prepare(), &signer).unwrap();
    let log_key = PrivateKey::from_seed(&[9; 32]);
    let entry = log_entry(&sealed, at("2026-05-20T10:00:00Z")).unwrap();
    let logged = add_receipt(&sealed, &Receipt::issue_first(entry, LOG, &log_key)).unwrap();
    let log =
        FirmLog { root: firm.root.fingerprint(), key: LogKey::new(LOG, log_key.public()).unwrap(), witnesses: None };
    let trust = Trust { roots: vec![firm.root.clone()], logs: vec![log], ..Trust::at(at(NOW)) };
    Case { sealed, logged, trust }
}

/// What the mutants were refused for, and how often.
type Reasons = BTreeMap<&'static str, usize>;

/// So that a loop which changes nothing, or only ever trips over the first check, cannot pass.
fn assert_varied(reasons: &Reasons, code: &str) {
    assert!(reasons.len() >= 30, "only {} reasons: {reasons:?}", reasons.len());
    assert!(reasons.get(code).is_some_and(|&times| times > 500), "hardly any came to {code}: {reasons:?}");
}

#[test]
fn none_of_a_hundred_thousand_mutants_is_called_unchanged() {
    let Case { sealed, trust, .. } = case();
    assert!(check_file(&sealed, &trust).whose.passed().is_some());
    let parts = Parts::of(&sealed);
    let mut dice = Dice(1);
    let mut reasons = Reasons::new();
    for number in 0..MUTANTS {
        let mutant = mutate(&sealed, &parts, &mut dice);
        match check_file(&mutant, &trust).unchanged.code() {
            None => assert!(mutant == sealed, "mutant {number} is called unchanged and is not identical"),
            Some(code) => *reasons.entry(code).or_default() += 1,
        }
    }
    assert_varied(&reasons, "digest-differs");
}

/// A receipt lies outside the signature, so a file may lose it; it may not gain or keep a time through any change.
#[test]
fn no_mutant_of_a_logged_report_keeps_its_time() {
    let Case { logged, trust, .. } = case();
    assert!(check_file(&logged, &trust).since_when.passed().is_some());
    let parts = Parts::of(&logged);
    let mut dice = Dice(2);
    let mut reasons = Reasons::new();
    for number in 0..MUTANTS / 5 {
        let mutant = mutate(&logged, &parts, &mut dice);
        let report = check_file(&mutant, &trust);
        if report.unchanged.passed().is_some() {
            assert_eq!(mutant.len(), logged.len(), "mutant {number}");
            assert!(mutant[parts.before.clone()] == logged[parts.before.clone()], "mutant {number}");
            assert!(mutant[parts.after.clone()] == logged[parts.after.clone()], "mutant {number}");
        }
        match report.unchanged.code().or(report.whose.code()).or(report.since_when.code()) {
            None => assert!(mutant == logged, "mutant {number} keeps its time and is changed"),
            Some(code) => *reasons.entry(code).or_default() += 1,
        }
    }
    assert_varied(&reasons, "digest-differs");
}
