//! A witness and a log on the command line: one process watches, the other asks it, and a reader has the time proven.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::{
    fs,
    io::{BufRead as _, BufReader},
    process::{Child, Command, Stdio},
};

use desk::Desk;
use nix::{
    sys::signal::{Signal, kill},
    unistd::Pid,
};
use rcgen::{BasicConstraints, CertificateParams, DnType, IsCa, Issuer, KeyPair};
use serde_json::Value;

fn serve(desk: &Desk, listen: &str, more: &[&str]) -> (Child, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_rimside"))
        .args(["witness", "serve", "witness", "--listen", listen, "--passphrase-file", "passphrase"])
        .args(more)
        .current_dir(desk.at("."))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stderr.take().unwrap()).read_line(&mut line).unwrap();
    let told: Value = serde_json::from_str(&line).unwrap_or_else(|error| panic!("{error}: {line}"));
    (child, told["served"].as_str().unwrap().to_owned())
}

/// Seals and enters a report; what its reader, who has the witness's key, is told of its time.
fn enter(desk: &Desk, report: &str) -> String {
    desk.expect(0, &desk.seal(report));
    desk.expect(0, &["log", "enter", "log", report, "--root", "firm/root.pem", "--passphrase-file", "passphrase"]);
    let trust = ["--root", "firm/root.pem", "--log", "log/log.pub", "--witness", "witness/witness.pub", "--json"];
    let verdict: Value = serde_json::from_str(&desk.expect(0, &[&["verify", report], &trust[..]].concat())).unwrap();
    assert_eq!(verdict["questions"]["since_when"]["state"], "passed", "{verdict:#}");
    verdict["questions"]["since_when"]["sentence"].as_str().unwrap().to_owned()
}

#[test]
fn a_witness_proves_the_time_and_a_log_does_not_wait_for_it() {
    let desk = Desk::set_up();
    let with = ["--passphrase-file", "passphrase"];
    desk.expect(0, &[&["log", "found", "log", "--name", "log.example/firm"], &with[..]].concat());
    let told = desk.expect(0, &[&["witness", "found", "witness", "--name", "witness.example/w1"], &with[..]].concat());
    assert!(told.contains("witness.example/w1+") && told.contains("old copy"), "{told}");
    let watch = ["witness", "watch", "witness", "--log", "log/log.pub"];
    assert!(desk.expect(0, &watch).contains("log.example/firm is watched."));
    assert!(desk.expect(0, &watch).contains("as it was already"));
    let (mut child, address) = serve(&desk, "127.0.0.1:0", &[]);
    let url = format!("http://{address}");
    let add =
        |at: &str| ["log", "add-witness", "log", "--witness", "witness/witness.pub", "--at", at].map(str::to_owned);
    let run = |code, arguments: &[String]| desk.expect(code, &arguments.iter().map(String::as_str).collect::<Vec<_>>());
    assert!(run(0, &add(&url)).contains("asked from now on"));
    assert!(run(0, &add(&url)).contains("as it was already"));
    run(70, &add("ftp://witness.example"));
    assert!(enter(&desk, "first.pdf").contains("proven by the witness that you gave"));
    // Killed as a machine loses its power: the report goes without, and says so.
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(enter(&desk, "second.pdf").contains("as the firm's log log.example/firm says"));
    let (mut child, _) = serve(&desk, &address, &[]);
    assert!(enter(&desk, "third.pdf").contains("proven by the witness that you gave"));
    let head = fs::read_to_string(desk.at("log/public/firm/checkpoint")).unwrap();
    assert!(head.starts_with("log.example/firm\n3\n") && head.contains("\n— witness.example/w1 "), "{head}");
    desk.expect(0, &["log", "audit", "log/public/firm", "--key", "log/log.pub"]);
    kill(Pid::from_raw(child.id().try_into().unwrap()), Signal::SIGTERM).unwrap();
    assert!(child.wait().unwrap().success());
}

/// A certificate for this machine, issued by an authority of the test's own.
fn issue(desk: &Desk) {
    let (ca_key, key) = (KeyPair::generate().unwrap(), KeyPair::generate().unwrap());
    let mut ca = CertificateParams::default();
    ca.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let authority = ca.self_signed(&ca_key).unwrap().pem();
    let mut own = CertificateParams::new(vec!["localhost".to_owned()]).unwrap();
    own.distinguished_name.push(DnType::CommonName, "localhost");
    let own = own.signed_by(&key, &Issuer::new(ca, ca_key)).unwrap().pem();
    fs::write(desk.at("chain.pem"), own + &authority).unwrap();
    fs::write(desk.at("key.pem"), key.serialize_pem()).unwrap();
    fs::write(desk.at("authority.pem"), authority).unwrap();
}

#[test]
fn a_witness_speaks_tls_itself() {
    let desk = Desk::set_up();
    let with = ["--passphrase-file", "passphrase"];
    desk.expect(0, &[&["log", "found", "log", "--name", "log.example/firm"], &with[..]].concat());
    desk.expect(0, &[&["witness", "found", "witness", "--name", "witness.example/w1"], &with[..]].concat());
    desk.expect(0, &["witness", "watch", "witness", "--log", "log/log.pub"]);
    issue(&desk);
    let alone = [&["witness", "serve", "witness", "--tls-certificate", "chain.pem"], &with[..]].concat();
    assert!(String::from_utf8_lossy(&desk.run(&alone).stderr).contains("--tls-key"), "a certificate needs its key");
    let (mut child, address) = serve(&desk, "127.0.0.1:0", &["--tls-certificate", "chain.pem", "--tls-key", "key.pem"]);
    let url = format!("https://{}", address.replace("127.0.0.1", "localhost"));
    desk.expect(0, &["log", "add-witness", "log", "--witness", "witness/witness.pub", "--at", &url]);
    // Whoever does not know the authority gets no signature; who does gets one.
    desk.expect(0, &desk.seal("report.pdf"));
    let enter = ["log", "enter", "log", "report.pdf", "--root", "firm/root.pem", "--passphrase-file", "passphrase"];
    desk.expect(0, &enter);
    let head = || fs::read_to_string(desk.at("log/public/firm/checkpoint")).unwrap();
    assert!(!head().contains("\n— witness.example/w1 "), "{}", head());
    desk.expect(0, &desk.seal("second.pdf"));
    let enter = enter.map(|part| if part == "report.pdf" { "second.pdf" } else { part });
    let mut trusting = desk.command(&enter);
    let entered = trusting.env("SSL_CERT_FILE", desk.at("authority.pem")).output().unwrap();
    assert!(entered.status.success(), "{}", String::from_utf8_lossy(&entered.stderr));
    assert!(head().contains("\n— witness.example/w1 "), "{}", head());
    child.kill().unwrap();
    child.wait().unwrap();
}
