//! `rimside serve --check`: what holds, where each value came from, and what is refused before anything is served.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::{fs, net::TcpListener};

use desk::Desk;
use serde_json::Value;

const FILE: &str = r#"folder = "log"
listen = "127.0.0.1:0"
passphrase-file = "passphrase"

[limits]
connections = 64
head-seconds = 5
"#;

fn set_up() -> Desk {
    let desk = Desk::lay_out();
    desk.expect(0, &["log", "found", "log", "--name", "log.example/firm", "--passphrase-file", "passphrase"]);
    fs::write(desk.at("office.toml"), FILE).unwrap();
    desk
}

/// The answer as JSON to a check with these variables and flags.
fn check(desk: &Desk, code: i32, variables: &[(&str, &str)], flags: &[&str]) -> Value {
    let mut command = desk.command(&[&["serve", "--check", "--json"], flags].concat());
    let output = command.envs(variables.iter().copied()).output().unwrap();
    assert_eq!(output.status.code(), Some(code), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn setting(checked: &Value, name: &str) -> (String, String) {
    let all = checked["settings"].as_array().unwrap();
    let one = all.iter().find(|one| one["name"] == name).unwrap_or_else(|| panic!("{name} is not told: {checked:#}"));
    (one["value"].as_str().unwrap_or("-").to_owned(), one["from"].as_str().unwrap().to_owned())
}

#[test]
fn a_check_says_what_holds_and_from_where() {
    let desk = set_up();
    let variables = [("RIMSIDE_SERVE_CONFIG", "office.toml"), ("RIMSIDE_SERVE_LIMITS_CONNECTIONS", "32")];
    let checked = check(&desk, 0, &variables, &["--set", "limits.head-seconds=7"]);
    let expected = [
        ("folder", "log", "file, office.toml"),
        ("limits.connections", "32", "environment, RIMSIDE_SERVE_LIMITS_CONNECTIONS"),
        ("limits.head-seconds", "7", "flag"),
        ("limits.answer-seconds", "30", "default"),
        ("tls.key", "-", "default"),
    ];
    for (name, value, from) in expected {
        assert_eq!(setting(&checked, name), (value.to_owned(), from.to_owned()));
    }
    let told = desk.expect(0, &["serve", "--check", "--config", "office.toml"]);
    assert!(told.starts_with("The office can be served at http://127.0.0.1:"), "{told}");
    assert!(told.contains("limits.connections         64                       file, office.toml"), "{told}");
}

#[test]
fn a_check_leaves_the_address_to_others_and_says_when_it_is_taken() {
    let desk = set_up();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let flags = ["--config", "office.toml", "--listen", &address];
    let refused = check(&desk, 70, &[], &flags);
    assert_eq!(refused["fault"]["code"], "not-served");
    drop(taken);
    for _ in 0..2 {
        assert_eq!(check(&desk, 0, &[], &flags)["address"], *address);
    }
    TcpListener::bind(&address).expect("nobody listens there any more");
}

#[test]
fn what_nobody_knows_or_can_read_is_refused_by_its_name() {
    let desk = set_up();
    fs::write(desk.at("misspelt.toml"), FILE.replace("connections", "conections")).unwrap();
    let told = |variables: &[(&str, &str)], flags: &[&str]| {
        let refused = check(&desk, 70, variables, flags);
        (refused["fault"]["code"].to_string(), refused["fault"]["message"].as_str().unwrap().to_owned())
    };
    let (code, message) = told(&[], &["--config", "misspelt.toml"]);
    assert!(code.contains("settings-refused"), "{code}");
    assert!(message.contains("misspelt.toml") && message.contains("\"limits.conections\""), "{message}");
    let (_, message) = told(&[("RIMSIDE_SERVE_LISTN", "x")], &["--config", "office.toml"]);
    assert!(message.contains("the environment: \"RIMSIDE_SERVE_LISTN\""), "{message}");
    let (code, message) = told(&[], &["--config", "gone.toml"]);
    assert!(code.contains("file-not-read") && message.contains("gone.toml"), "{message}");
    let (code, message) = told(&[], &["--config", "office.toml", "--pages", "photographs"]);
    assert!(code.contains("no-pages"), "{message}");
    let tls = ["--config", "office.toml", "--tls-certificate", "chain.pem", "--tls-key", "key.pem"];
    let (code, message) = told(&[], &tls);
    assert!(code.contains("certificate-refused") && message.contains("chain.pem"), "{message}");
    let (_, message) = told(&[], &tls[..4]);
    assert!(message.starts_with("tls.key is not set"), "{message}");
    desk.expect(64, &["serve", "log", "--set", "limits.connections"]);
}
