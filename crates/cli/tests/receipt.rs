//! A log's receipt in a report: a proof of time for readers who have the log's key.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::fs;

use chrono::{DateTime, SubsecRound as _, Utc};
use desk::Desk;
use seal::{
    key::PrivateKey,
    receipt::{LogKey, Receipt},
    sealing::log_entry,
};
use serde_json::Value;

const LOG: &str = "log.example/harbour-vale";

/// A desk with a sealed report, the key of a log, and the log's receipt for the report as of when it was sealed.
fn set_up() -> Desk {
    let desk = Desk::set_up();
    desk.expect(0, &desk.seal("report.pdf"));
    let key = PrivateKey::from_seed(&[7; 32]);
    fs::write(desk.at("log.key"), format!("{}\n", LogKey::new(LOG, key.public()).unwrap().to_text())).unwrap();
    write_receipt(&desk, "report.pdf", "receipt.txt", &key);
    desk
}

fn write_receipt(desk: &Desk, report: &str, out: &str, key: &PrivateKey) {
    let record: Value = serde_json::from_str(&desk.expect(0, &["show", report, "--json"])).unwrap();
    let sealed_at: DateTime<Utc> = record["frozen_at"].as_str().unwrap().parse().unwrap();
    let entry = log_entry(&fs::read(desk.at(report)).unwrap(), sealed_at.trunc_subsecs(0)).unwrap();
    fs::write(desk.at(out), Receipt::issue_first(entry, LOG, key).to_text()).unwrap();
}

fn verify(desk: &Desk, code: i32, more: &[&str]) -> Value {
    let arguments = [&["verify", "report.pdf", "--root", "firm/root.pem", "--json"], more].concat();
    serde_json::from_str(&desk.expect(code, &arguments)).unwrap()
}

fn refuse(desk: &Desk, arguments: &[&str]) -> Value {
    let fault: Value = serde_json::from_str(&desk.expect(70, &[arguments, &["--json"]].concat())).unwrap();
    fault["fault"]["code"].clone()
}

#[test]
fn a_receipt_proves_the_time_to_readers_who_have_the_logs_key() {
    let desk = set_up();
    let before = verify(&desk, 0, &["--log", "log.key"]);
    assert_eq!(before["questions"]["since_when"]["code"], "no-proof-of-time");
    let told = desk.expect(0, &["attach-receipt", "report.pdf", "--receipt", "receipt.txt"]);
    assert!(told.contains(LOG) && told.contains("entry 0"), "{told}");
    let after = verify(&desk, 0, &["--log", "log.key"]);
    assert_eq!(after["questions"]["since_when"]["state"], "passed", "{after:#}");
    assert_eq!(after["report"], before["report"], "identity and record are as before");
    // A reader without the log's key is where he was before.
    assert_eq!(verify(&desk, 0, &[])["questions"]["since_when"]["state"], "not_checked");
    let names = desk.list(".");
    assert_eq!(names, ["firm", "inspection.json", "log.key", "passphrase", "photographs", "receipt.txt", "report.pdf"]);
}

#[test]
fn a_receipt_goes_in_once_and_only_into_its_own_report() {
    let desk = set_up();
    desk.expect(0, &desk.seal("other.pdf"));
    let before = fs::read(desk.at("other.pdf")).unwrap();
    assert_eq!(
        refuse(&desk, &["attach-receipt", "other.pdf", "--receipt", "receipt.txt"]),
        "receipt-of-another-report"
    );
    assert_eq!(refuse(&desk, &["attach-receipt", "other.pdf", "--receipt", "passphrase"]), "receipt-refused");
    assert_eq!(refuse(&desk, &["attach-receipt", "passphrase", "--receipt", "receipt.txt"]), "receipt-not-attached");
    assert_eq!(fs::read(desk.at("other.pdf")).unwrap(), before);
    desk.expect(0, &["attach-receipt", "report.pdf", "--receipt", "receipt.txt"]);
    let once = fs::read(desk.at("report.pdf")).unwrap();
    assert_eq!(refuse(&desk, &["attach-receipt", "report.pdf", "--receipt", "receipt.txt"]), "receipt-not-attached");
    assert_eq!(fs::read(desk.at("report.pdf")).unwrap(), once);
}

#[test]
fn a_logs_key_is_one_firms() {
    let desk = set_up();
    desk.expect(0, &["attach-receipt", "report.pdf", "--receipt", "receipt.txt"]);
    let verify = |more: &[&str]| refuse(&desk, &[&["verify", "report.pdf"], more].concat());
    assert_eq!(verify(&["--log", "log.key"]), "log-key-refused");
    let two = ["--root", "firm/root.pem", "--root", "firm/root.pem", "--log", "log.key"];
    assert_eq!(verify(&two), "log-key-refused");
    assert_eq!(verify(&["--root", "firm/root.pem", "--log", "passphrase"]), "log-key-refused");
    // A key of the same name that did not sign the receipt.
    let other = LogKey::new(LOG, PrivateKey::from_seed(&[8; 32]).public()).unwrap();
    fs::write(desk.at("other.key"), other.to_text()).unwrap();
    let verdict = self::verify(&desk, 0, &["--log", "other.key"]);
    assert_ne!(verdict["questions"]["since_when"]["state"], "passed", "{verdict:#}");
}
