//! What the command line promises whatever the command: exit codes, JSON, help, nothing half done.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::{
    fs,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    path::{Path, PathBuf},
    process::{Command, Stdio},
};

use desk::{Desk, PASSPHRASE};
use serde_json::Value;

const COMMANDS: [&[&str]; 28] = [
    &[],
    &["firm", "found"],
    &["firm", "renew-list"],
    &["certify"],
    &["revoke"],
    &["reckon"],
    &["seal"],
    &["verify"],
    &["show"],
    &["withdraw"],
    &["attach-receipt"],
    &["timestamp", "request"],
    &["timestamp", "attach"],
    &["log", "found"],
    &["log", "enter"],
    &["log", "add-witness"],
    &["log", "audit"],
    &["witness", "found"],
    &["witness", "watch"],
    &["witness", "serve"],
    &["office", "code"],
    &["office", "devices"],
    &["office", "shut-out"],
    &["serve"],
    &["photo"],
    &["recording"],
    &["schema"],
    &["completions"],
];

#[test]
fn each_command_has_help_with_one_example() {
    let desk = Desk::lay_out();
    for command in COMMANDS {
        let help = desk.expect(0, &[command, &["--help"]].concat());
        match command {
            [] => assert!(help.contains("Exit codes:") && help.contains("cannot be fully confirmed"), "{help}"),
            _ => assert_eq!(help.matches("Example:\n  rimside ").count(), 1, "{help}"),
        }
        let widest = help.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= 140, "{widest} characters: {help}");
    }
    assert!(desk.expect(0, &["--version"]).starts_with("rimside "));
}

#[test]
fn what_is_misspelt_ends_with_64() {
    let desk = Desk::lay_out();
    let misspelt: [&[&str]; 12] = [
        &[],
        &["firm"],
        &["inspect"],
        &["verify"],
        &["verify", "a.pdf", "--rooot", "root.pem"],
        &["verify", "a.pdf", "b.pdf"],
        &["verify", "a.pdf", "--statements-complete", "yesterday"],
        &["schema", "report"],
        &["certify", "--firm", "firm", "--id", "../ines", "--name", "Ines", "--role", "inspector"],
        &["certify", "--firm", "firm", "--id", "ines", "--name", "Ines", "--role", "owner"],
        &["firm", "found", "firm", "--name", "North Bay", "--passphrase", "in sight of all"],
        &["seal", "i.json", "--photographs", "p", "--firm", "f", "--as", "ines", "--out", "o", "--supersedes", "12"],
    ];
    for arguments in misspelt {
        let output = desk.run(arguments);
        assert_eq!(output.status.code(), Some(64), "{arguments:?}");
        assert!(output.stdout.is_empty() && !output.stderr.is_empty(), "{arguments:?}");
    }
    assert_eq!(desk.list("."), ["inspection.json", "passphrase", "photographs"]);
}

#[test]
fn everything_is_told_as_json_too() {
    let desk = Desk::lay_out();
    let with_passphrase = |arguments: &[&str]| -> Value {
        let arguments = [arguments, &["--json", "--passphrase-file", "passphrase"]].concat();
        serde_json::from_str(&desk.expect(0, &arguments)).unwrap()
    };
    let firm = with_passphrase(&["firm", "found", "firm", "--name", "Harbour & Vale Inspections"]);
    assert_eq!(firm["firm"], "Harbour & Vale Inspections");
    let ines = with_passphrase(&[
        "certify",
        "--firm",
        "firm",
        "--id",
        "ines",
        "--name",
        "Ines Okafor-Lind",
        "--role",
        "inspector",
    ]);
    assert_eq!(ines["role"], "Inspector");
    let sealed: Value =
        serde_json::from_str(&desk.expect(0, &[&desk.seal("report.pdf")[..], &["--json"]].concat())).unwrap();
    assert_eq!((&sealed["sequence"], &sealed["root_fingerprint"]), (&Value::from(1), &firm["root_fingerprint"]));

    let json = |code, arguments: &[&str]| -> Value {
        serde_json::from_str(&desk.expect(code, &[arguments, &["--json"]].concat())).unwrap()
    };
    let reckoned = json(0, &["reckon", "inspection.json"]);
    let shown = json(0, &["show", "report.pdf"]);
    assert_eq!(shown["reckoning"], reckoned);
    let verdict = json(0, &["verify", "report.pdf", "--root", "firm/root.pem"]);
    assert_eq!(verdict["headline"], "genuine-standing-not-checked");
    assert_eq!(verdict["report"]["record"], sealed["record"]);
    let refused = json(1, &["verify", "passphrase"]);
    assert_eq!((&refused["headline"], &refused["signed_by"]), (&Value::from("do-not-rely"), &Value::Null));
    let withdrawn =
        with_passphrase(&["withdraw", "report.pdf", "--reason", "Wrong disc.", "--firm", "firm", "--as", "ines"]);
    assert_eq!(withdrawn["report"], sealed["identity"]);
    assert_eq!(
        json(3, &["verify", "report.pdf", "--root", "firm/root.pem", "--statement", "report.pdf.withdrawn.pem"])["headline"],
        "genuine-but-withdrawn"
    );
    let list = with_passphrase(&["revoke", "--firm", "firm", "--id", "ines", "--reason", "stopped"]);
    assert_eq!((&list["number"], &list["revoked"]), (&Value::from(2), &Value::from(1)));
    assert_eq!(with_passphrase(&["firm", "renew-list", "firm"])["number"], 3);
    let fault = json(70, &["reckon", "nowhere.json"]);
    assert_eq!(fault["fault"]["code"], "file-not-found");
    for of in ["inspection", "record"] {
        assert_eq!(json(0, &["schema", of])["$schema"], "https://json-schema.org/draft/2020-12/schema");
    }
}

#[test]
fn the_records_own_bytes_are_what_was_hashed() {
    let desk = Desk::set_up();
    let sealed: Value =
        serde_json::from_str(&desk.expect(0, &[&desk.seal("report.pdf")[..], &["--json"]].concat())).unwrap();
    let record = desk.expect(0, &["show", "report.pdf", "--record"]);
    assert_eq!(api::model::Sha256::of(record.as_bytes()).to_string(), sealed["record"].as_str().unwrap());
    let text = desk.expect(0, &["show", "report.pdf"]);
    assert!(text.starts_with("This is what the file says; whether it is genuine is for `rimside verify`."), "{text}");
    let short = sealed["record_short"].as_str().unwrap();
    assert!(text.contains(short) && text.contains("Ines Okafor-Lind") && text.contains("front left"), "{text}");
}

#[test]
fn completions_are_written_for_each_shell() {
    let desk = Desk::lay_out();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = desk.expect(0, &["completions", shell]);
        assert!(script.contains("rimside") && script.contains("require-standing"), "{shell}");
    }
}

#[test]
fn the_passphrase_comes_from_standard_input_too() {
    let desk = Desk::set_up();
    let arguments: Vec<&str> =
        desk.seal("report.pdf").into_iter().map(|word| if word == "passphrase" { "-" } else { word }).collect();
    for (typed, code) in [("not the phrase\n", 70), (&format!("{PASSPHRASE}\r\n"), 0)] {
        let mut child =
            desk.command(&arguments).stdin(Stdio::piped()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        child.stdin.take().unwrap().write_all(typed.as_bytes()).unwrap();
        assert_eq!(child.wait().unwrap().code(), Some(code));
        assert_eq!(desk.at("report.pdf").exists(), code == 0);
    }
}

#[test]
fn without_a_terminal_a_missing_passphrase_is_a_fault() {
    let desk = Desk::set_up();
    let mut arguments = desk.seal("report.pdf");
    arguments.retain(|word| !matches!(*word, "--passphrase-file" | "passphrase"));
    // In a session of its own a program has no terminal, wherever this test runs.
    let output = Command::new("setsid")
        .arg("--wait")
        .arg(env!("CARGO_BIN_EXE_rimside"))
        .args(arguments)
        .current_dir(desk.at(""))
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(70));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("[no-passphrase]") && said.contains("--passphrase-file"), "{said}");
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let desk = Desk::lay_out();
    let mut child = desk.command(&["schema", "record"]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let mut said = String::new();
    child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    assert_eq!((child.wait().unwrap().code(), said.as_str()), (Some(0), ""));
}

#[test]
fn an_answer_that_the_disk_does_not_take_is_a_fault() {
    let desk = Desk::lay_out();
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output =
        desk.command(&["schema"]).stdout(full).stderr(Stdio::piped()).spawn().unwrap().wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(70));
    assert!(String::from_utf8(output.stderr).unwrap().contains("[output-failed]"));
}

/// A folder in which nobody can make a file, not even the administrator that tests may run as.
fn find_closed_folder(desk: &Desk) -> PathBuf {
    let folder = desk.at("closed");
    fs::create_dir(&folder).unwrap();
    let mut permissions = fs::metadata(&folder).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&folder, permissions).unwrap();
    if fs::write(folder.join("trial"), b"").is_ok() { PathBuf::from("/sys") } else { folder }
}

#[test]
fn a_closed_folder_is_named_and_uses_up_no_number() {
    let desk = Desk::set_up();
    let out = find_closed_folder(&desk).join("report.pdf").display().to_string();
    let output = desk.run(&desk.seal(&out));
    assert_eq!(output.status.code(), Some(70));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains(&out) && said.contains("[permission-denied]"), "{said}");
    assert!(!Path::new(&out).exists());
    assert!(desk.expect(0, &desk.seal("report.pdf")).contains("record 1 of"));
}

#[test]
fn a_disk_that_takes_no_more_leaves_nothing_half_written() {
    let desk = Desk::set_up();
    // The kernel stops each file at 64 blocks of 512 bytes; the report is larger.
    let script = format!("trap '' XFSZ; ulimit -f 64; exec '{}' \"$@\"", env!("CARGO_BIN_EXE_rimside"));
    let output = Command::new("sh")
        .args(["-c", &script, "rimside"])
        .args(desk.seal("report.pdf"))
        .current_dir(desk.at(""))
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(70), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(desk.list("."), ["firm", "inspection.json", "passphrase", "photographs"]);
    assert!(desk.expect(0, &desk.seal("report.pdf")).contains("record 1 of"));
}

#[test]
fn a_killed_process_leaves_a_whole_report_or_none() {
    let desk = Desk::set_up();
    let mut lines = 1;
    for turn in 0.. {
        let out = format!("report-{turn}.pdf");
        let mut child = desk.command(&desk.seal(&out)).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
        let mut progress = BufReader::new(child.stderr.take().unwrap()).lines();
        // Killed at its first line of progress, then at its second, and so on until it is not reached any more.
        let reached = progress.by_ref().take(lines).map_while(Result::ok).count();
        let _ = child.kill();
        child.wait().unwrap();
        if reached < lines {
            break;
        }
        if desk.at(&out).exists() {
            desk.expect(0, &["verify", &out, "--root", "firm/root.pem"]);
        }
        lines += 1;
    }
    assert!(lines > 5, "photographs, pages, signature and file are told: got {lines}");
    // What the killed ones began is finished, each record once, none skipped.
    desk.expect(0, &desk.seal("last.pdf"));
    let mut records: Vec<Value> = desk
        .list(".")
        .iter()
        .filter(|name| Path::new(name).extension().is_some_and(|ending| ending == "pdf"))
        .map(|name| serde_json::from_str(&desk.expect(0, &["show", name, "--json"])).unwrap())
        .collect();
    records.sort_by_key(|record| record["device"]["sequence"].as_u64());
    let numbers: Vec<u64> = records.iter().filter_map(|record| record["device"]["sequence"].as_u64()).collect();
    assert_eq!(numbers, (1..=records.len() as u64).collect::<Vec<_>>());
}
