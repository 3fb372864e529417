//! A copy of an office that is open, and an office from it, as somebody does it at a terminal.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::{
    fs,
    io::{BufRead as _, BufReader},
    process::{Child, Stdio},
};

use desk::Desk;
use serde_json::Value;

const ENTER: [&str; 5] = ["--root", "firm/root.pem", "--passphrase-file", "passphrase", "--json"];

/// An office that is served, with a report in its log.
fn set_up() -> (Desk, Child) {
    let desk = Desk::set_up();
    desk.expect(0, &desk.seal("report.pdf"));
    desk.expect(0, &desk.seal("second.pdf"));
    desk.expect(0, &["log", "found", "log", "--name", "log.example/firm", "--passphrase-file", "passphrase"]);
    desk.expect(0, &[&["log", "enter", "log", "report.pdf"][..], &ENTER].concat());
    let serve = ["serve", "log", "--listen", "127.0.0.1:0", "--passphrase-file", "passphrase"];
    let mut served = desk.command(&serve).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let mut line = String::new();
    BufReader::new(served.stderr.take().unwrap()).read_line(&mut line).unwrap();
    assert!(line.contains("served"), "{line}");
    (desk, served)
}

fn since_when(desk: &Desk, report: &str, key: &str) -> String {
    let verify = ["verify", report, "--root", "firm/root.pem", "--log", key, "--json"];
    let verdict: Value = serde_json::from_str(&desk.expect(0, &verify)).unwrap();
    verdict["questions"]["since_when"]["state"].as_str().unwrap().to_owned()
}

#[test]
fn an_office_is_copied_while_it_is_open_and_comes_back_from_the_copy() {
    let (desk, mut served) = set_up();
    let told = desk.expect(0, &["office", "backup", "log", "--out", "copy"]);
    assert!(told.contains("1 of the log"), "{told}");
    desk.expect(70, &["office", "backup", "log", "--out", "copy"]);
    served.kill().unwrap();
    served.wait().unwrap();
    desk.expect(0, &["log", "audit", "log/public/firm", "--key", "log/log.pub", "--keep", "head.txt"]);
    fs::remove_dir_all(desk.at("log")).unwrap();
    let told = desk.expect(0, &["office", "restore", "copy", "--to", "log", "--seen", "head.txt"]);
    assert!(told.starts_with("log is good"), "{told}");
    // It goes on as the office that it was.
    let entered: Value = serde_json::from_str(
        &desk.expect(0, &[&["log", "enter", "log", "report.pdf", "second.pdf"][..], &ENTER].concat()),
    )
    .unwrap();
    assert_eq!((&entered[0]["is_new"], &entered[1]["index"]), (&false.into(), &1.into()));
    desk.expect(0, &["log", "audit", "log/public/firm", "--key", "log/log.pub", "--seen", "head.txt"]);
}

#[test]
fn a_copy_that_is_older_than_what_the_log_has_shown_says_what_to_do() {
    let (desk, mut served) = set_up();
    desk.expect(0, &["office", "backup", "log", "--out", "copy"]);
    served.kill().unwrap();
    served.wait().unwrap();
    desk.expect(0, &[&["log", "enter", "log", "second.pdf"][..], &ENTER].concat());
    desk.expect(0, &["log", "audit", "log/public/firm", "--key", "log/log.pub", "--keep", "head.txt"]);
    fs::remove_dir_all(desk.at("log")).unwrap();
    let restore = ["office", "restore", "copy", "--to", "log", "--json"];
    let refused: Value =
        serde_json::from_str(&desk.expect(70, &[&restore[..], &["--seen", "head.txt"]].concat())).unwrap();
    assert_eq!(refused["fault"]["code"], "log-is-behind");
    assert!(refused["fault"]["hint"].as_str().unwrap().contains("--new-log"), "{refused:#}");
    assert!(!desk.at("log").exists());
    desk.expect(0, &[&restore[..], &["--new-log", "log.example/firm-2", "--passphrase-file", "passphrase"]].concat());
    // What was entered since is entered again; the receipt that the report has had stays good under the old key.
    assert_eq!(since_when(&desk, "second.pdf", "log/log-before.pub"), "passed");
    let entered: Value =
        serde_json::from_str(&desk.expect(0, &[&["log", "enter", "log", "second.pdf"][..], &ENTER].concat())).unwrap();
    assert_eq!((&entered[0]["is_new"], &entered[0]["index"]), (&true.into(), &1.into()));
    let audited = desk.expect(0, &["log", "audit", "log/public/firm", "--key", "log/log.pub"]);
    assert!(audited.contains("log.example/firm-2") && audited.contains("2 in all"), "{audited}");
    assert_eq!(since_when(&desk, "report.pdf", "log/log-before.pub"), "passed");
}
