//! What the office says of its addresses holds: schemathesis reads the document that the real program serves, asks every
//! address what it was made for and what it was not, and finds no failure of the office, no status, form or body that the
//! document does not tell, and nothing that asks for a token and answers without one.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;
mod served;

use std::process::Command;

use desk::Desk;
use serde_json::json;
use served::{checkout, serve, tool};

const CHECKS: &str = "not_a_server_error,status_code_conformance,content_type_conformance,\
                      response_headers_conformance,response_schema_conformance,ignored_auth";
/// Requests that are made up for an address beside those at the ends of what it takes.
const EXAMPLES: &str = "10";

#[test]
fn every_address_keeps_to_what_the_document_says() {
    let desk = Desk::lay_out();
    let passphrase = ["--passphrase-file", "passphrase"];
    desk.expect(0, &[&["firm", "found", "firm", "--name", "Harbour & Vale Inspections"], &passphrase[..]].concat());
    desk.expect(0, &[&["log", "found", "log", "--name", "log.example/firm"], &passphrase[..]].concat());
    desk.expect(0, &["office", "show", "log", "--firm", "firm"]);
    let rates = ["address", "device", "enrol"].map(|who| format!("limits.{who}-per-minute=1000000"));
    let served = serve(&desk, &rates.each_ref().map(String::as_str));
    let token = served.enrol(&desk, "device-office", "office");
    // Something to be found: a letter and a link that shows it.
    assert_eq!(served.ask(&token, "POST", "/v1/letters", b"{\"of\":\"Amara Quill\"}").0, 200);
    let link = json!({"shows": "letter:1", "label": "Saltmarsh Motor House", "days": 30}).to_string();
    assert_eq!(served.ask(&token, "POST", "/v1/links", link.as_bytes()).0, 200);
    let asked = Command::new(tool("venv/bin/st"))
        .arg("run")
        .arg(format!("http://{}/openapi.json", served.address()))
        .args(["--header", &format!("Authorization: Bearer {token}"), "--checks", CHECKS, "--max-examples", EXAMPLES])
        .args(["--phases", "examples,coverage,fuzzing", "--seed", "1", "--generation-deterministic"])
        .args(["--no-shrink", "--continue-on-failure", "--no-color"])
        .args(["--warnings", "off", "--suppress-health-check", "all", "--request-timeout", "30"])
        .env("PYTHONPATH", checkout("tests/outside"))
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .env("SCHEMATHESIS_HOOKS", "addresses")
        .current_dir(desk.at("."))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&asked.stdout);
    let more = String::from_utf8_lossy(&asked.stderr);
    assert!(asked.status.success(), "{said}\n{more}");
    assert!(said.contains("No issues found") || said.contains("passed"), "{said}");
    assert_eq!(served.ask(&token, "GET", "/v1/links", b"").0, 200, "the office is open and knows the device");
}
