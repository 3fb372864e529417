//! `rimside serve`: a device with a code gets its token, its report gets a receipt, and the office ends when it is told to.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::{
    fs,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::TcpStream,
    process::{Child, Command, Stdio},
};

use desk::Desk;
use nix::{
    sys::signal::{Signal, kill},
    unistd::Pid,
};
use seal::sealing::lone_signature;
use serde_json::{Value, json};
use server::sync::Issued;

struct Served {
    child: Child,
    address: String,
}

fn serve(desk: &Desk) -> Served {
    let mut child = Command::new(env!("CARGO_BIN_EXE_rimside"))
        .args(["serve", "log", "--listen", "127.0.0.1:0", "--passphrase-file", "passphrase"])
        .current_dir(desk.at("."))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stderr.take().unwrap()).read_line(&mut line).unwrap();
    let told: Value = serde_json::from_str(&line).unwrap_or_else(|error| panic!("{error}: {line}"));
    Served { child, address: told["served"].as_str().unwrap().to_owned() }
}

/// The body of the answer to a POST.
fn post(served: &Served, path: &str, token: Option<&str>, body: &Value) -> String {
    let body = body.to_string();
    let who = token.map_or_else(String::new, |token| format!("authorization: Bearer {token}\r\n"));
    let head = format!(
        "POST {path} HTTP/1.1\r\nhost: office\r\nconnection: close\r\n{who}content-length: {}\r\n\r\n{body}",
        body.len()
    );
    let mut stream = TcpStream::connect(&served.address).unwrap();
    stream.write_all(head.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer.split_once("\r\n\r\n").unwrap().1.to_owned()
}

fn enrol(desk: &Desk, served: &Served, device: &str) -> String {
    let code: Value =
        serde_json::from_str(&desk.expect(0, &["office", "code", "log", "--label", "Ines's phone", "--json"])).unwrap();
    let answer = post(served, "/v1/enrol", None, &json!({"firm": "firm", "code": code["code"], "device": device}));
    let answer: Value = serde_json::from_str(&answer).unwrap();
    answer["token"].as_str().unwrap_or_else(|| panic!("{answer}")).to_owned()
}

fn to_enter(desk: &Desk, report: &str) -> Value {
    serde_json::to_value(Issued::carry(&lone_signature(&fs::read(desk.at(report)).unwrap()).unwrap())).unwrap()
}

#[test]
fn an_office_lets_a_device_in_gives_receipts_and_ends_when_told() {
    let desk = Desk::set_up();
    desk.expect(0, &desk.seal("report.pdf"));
    desk.expect(0, &["log", "found", "log", "--name", "log.example/firm", "--passphrase-file", "passphrase"]);
    desk.expect(0, &["office", "show", "log", "--firm", "firm"]);
    let checked =
        desk.expect(0, &["serve", "log", "--listen", "127.0.0.1:0", "--check", "--passphrase-file", "passphrase"]);
    assert!(checked.contains("can be served"), "{checked}");
    let mut served = serve(&desk);
    let token = enrol(&desk, &served, "device-1");
    let receipt = post(&served, "/v1/receipts", Some(&token), &to_enter(&desk, "report.pdf"));
    // Killed as a machine loses its power, and served again: what was acknowledged stands.
    served.child.kill().unwrap();
    served.child.wait().unwrap();
    let mut served = serve(&desk);
    assert_eq!(post(&served, "/v1/receipts", Some(&token), &to_enter(&desk, "report.pdf")), receipt);
    fs::write(desk.at("receipt.txt"), receipt).unwrap();
    desk.expect(0, &["attach-receipt", "report.pdf", "--receipt", "receipt.txt"]);
    let verify = ["verify", "report.pdf", "--root", "firm/root.pem", "--log", "log/log.pub", "--json"];
    let verdict: Value = serde_json::from_str(&desk.expect(0, &verify)).unwrap();
    assert_eq!(verdict["questions"]["since_when"]["state"], "passed", "{verdict:#}");
    // A lost phone: shut out while the office is open, and at once.
    let listed = desk.expect(0, &["office", "devices", "log"]);
    assert!(listed.contains("device-1: Ines's phone"), "{listed}");
    desk.expect(0, &["office", "shut-out", "log", "device-1"]);
    let refused = post(&served, "/v1/receipts", Some(&token), &to_enter(&desk, "report.pdf"));
    assert!(refused.contains("who-is-it"), "{refused}");
    desk.expect(70, &["office", "shut-out", "log", "device-1"]);
    kill(Pid::from_raw(served.child.id().try_into().unwrap()), Signal::SIGTERM).unwrap();
    assert!(served.child.wait().unwrap().success());
    let audited = desk.expect(0, &["log", "audit", "log/public/firm", "--key", "log/log.pub"]);
    assert!(audited.contains("1 in all (1 issued)"), "{audited}");
}
