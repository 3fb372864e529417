//! A firm's log on the command line: begun, kept, read again by somebody who trusts nobody.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::fs;

use desk::Desk;
use serde_json::Value;

const ENTER: [&str; 3] = ["log", "enter", "log"];
const AS_FIRM: [&str; 4] = ["--root", "firm/root.pem", "--passphrase-file", "passphrase"];
const AUDIT: [&str; 5] = ["log", "audit", "log/public/firm", "--key", "log/log.pub"];

/// A desk with two sealed reports and a log.
fn set_up() -> Desk {
    let desk = Desk::set_up();
    desk.expect(0, &desk.seal("report.pdf"));
    desk.expect(0, &desk.seal("second.pdf"));
    let name = "log.harbour-vale.example/reports";
    let told = desk.expect(0, &["log", "found", "log", "--name", name, "--passphrase-file", "passphrase"]);
    assert!(told.contains(name), "{told}");
    desk
}

fn enter(desk: &Desk, code: i32, files: &[&str]) -> Value {
    serde_json::from_str(&desk.expect(code, &[&ENTER[..], files, &AS_FIRM, &["--json"]].concat())).unwrap()
}

fn audit(desk: &Desk, code: i32, more: &[&str]) -> Value {
    serde_json::from_str(&desk.expect(code, &[&AUDIT[..], more, &["--json"]].concat())).unwrap()
}

#[test]
fn a_report_gets_its_receipt_and_whoever_reads_the_log_finds_it() {
    let desk = set_up();
    assert_eq!(audit(&desk, 0, &["--keep", "head.txt"])["size"], 0);
    let entered = enter(&desk, 0, &["report.pdf", "second.pdf"]);
    assert_eq!((&entered[0]["index"], &entered[1]["index"]), (&0.into(), &1.into()));
    let verdict: Value = serde_json::from_str(
        &desk.expect(0, &["verify", "second.pdf", "--root", "firm/root.pem", "--log", "log/log.pub", "--json"]),
    )
    .unwrap();
    assert_eq!(verdict["questions"]["since_when"]["state"], "passed", "{verdict:#}");
    // Withdrawn, and entered as such; the same twice is there once.
    desk.expect(
        0,
        &[
            "withdraw",
            "report.pdf",
            "--reason",
            "a reading was of another disc",
            "--firm",
            "firm",
            "--as",
            "ines",
            "--passphrase-file",
            "passphrase",
            "--out",
            "withdrawn.pem",
        ],
    );
    assert_eq!(enter(&desk, 0, &["withdrawn.pem"])[0]["what"], "withdrawn");
    let again = enter(&desk, 0, &["withdrawn.pem", "second.pdf"]);
    assert_eq!((&again[0]["is_new"], &again[1]["index"]), (&false.into(), &1.into()));
    let whole = audit(&desk, 0, &["--seen", "head.txt", "--keep", "head.txt"]);
    assert_eq!(whole["by_kind"], serde_json::json!({"issued": 2, "withdrawn": 1}));
    assert_eq!(desk.list("log/public/firm"), ["checkpoint", "log.pub", "statements", "tile"]);
}

#[test]
fn a_log_takes_its_own_firms_papers_alone() {
    let desk = set_up();
    desk.expect(0, &["firm", "found", "other", "--name", "North Bay", "--passphrase-file", "passphrase"]);
    let foreign = ["report.pdf", "--root", "other/root.pem", "--passphrase-file", "passphrase", "--json"];
    let fault: Value = serde_json::from_str(&desk.expect(70, &[&ENTER[..], &foreign].concat())).unwrap();
    assert_eq!(fault["fault"]["code"], "not-entered");
    assert_eq!(enter(&desk, 70, &["inspection.json"])["fault"]["code"], "not-entered");
    let mut changed = fs::read(desk.at("report.pdf")).unwrap();
    let middle = changed.len() / 2;
    changed[middle] ^= 1;
    fs::write(desk.at("changed.pdf"), changed).unwrap();
    // One that is refused keeps the others out: nothing of the call is entered.
    assert_eq!(enter(&desk, 70, &["report.pdf", "changed.pdf"])["fault"]["code"], "not-entered");
    assert_eq!(audit(&desk, 0, &[])["size"], 0);
    fs::write(desk.at("passphrase"), "another passphrase\n").unwrap();
    assert_eq!(enter(&desk, 70, &["report.pdf"])["fault"]["code"], "wrong-passphrase");
}

#[test]
fn a_log_that_was_tampered_with_is_not_relied_on() {
    let desk = set_up();
    enter(&desk, 0, &["report.pdf", "second.pdf"]);
    audit(&desk, 0, &["--keep", "head.txt"]);
    let bundle = desk.at("log/public/firm/tile/entries/000.p/2");
    let whole = fs::read(&bundle).unwrap();
    let mut spoilt = whole.clone();
    let place = whole.windows(6).position(|bytes| bytes == b"issued").unwrap();
    spoilt[place..place + 6].copy_from_slice(b"revoke");
    fs::write(&bundle, spoilt).unwrap();
    let told = audit(&desk, 1, &[]);
    assert!(told["fault"].as_str().unwrap().contains("entry 0"), "{told}");
    fs::remove_file(&bundle).unwrap();
    assert!(audit(&desk, 2, &[])["fault"].as_str().unwrap().contains("tile/entries/000.p/2"));
    fs::write(&bundle, whole).unwrap();
    audit(&desk, 0, &["--seen", "head.txt"]);
    // Another key under the same name is another log.
    desk.expect(
        0,
        &["log", "found", "fork", "--name", "log.harbour-vale.example/reports", "--passphrase-file", "passphrase"],
    );
    let other = ["log", "audit", "log/public/firm", "--key", "fork/log.pub", "--json"];
    let told: Value = serde_json::from_str(&desk.expect(1, &other)).unwrap();
    assert!(told["fault"].as_str().unwrap().contains("not signed by"), "{told}");
}
