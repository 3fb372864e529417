//! What an office counts, read as Prometheus reads it: by the parser of the Prometheus project's own library for Python
//! (`tests/outside/metrics.py`).

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;
mod served;

use std::{
    fs,
    io::Write as _,
    process::{Command, Stdio},
};

use api::model::{Carried, Change, Entry, EntryId, Salt, Sha256};
use desk::Desk;
use seal::sealing::lone_signature;
use serde_json::{Value, json};
use served::{Served, ask, checkout, serve, tool};
use server::sync::{Ask, Finish, Issued};

fn set_up() -> Desk {
    let desk = Desk::lay_out();
    desk.expect(0, &["log", "found", "log", "--name", "log.example/firm", "--passphrase-file", "passphrase"]);
    desk
}

/// The text, and its series as the parser understands them: name, labels, value.
struct Counted {
    text: String,
    series: Vec<Value>,
}

impl Counted {
    fn read(served: &Served) -> Self {
        let address = served.told["metrics"].as_str().unwrap();
        let (status, text) = ask(address, "none", "GET", "/metrics", b"");
        assert_eq!(status, 200);
        let mut parser = Command::new(tool("venv/bin/python"))
            .arg(checkout("tests/outside/metrics.py"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        parser.stdin.take().unwrap().write_all(&text).unwrap();
        let said = parser.wait_with_output().unwrap();
        assert!(said.status.success(), "the parser refused it:\n{}", String::from_utf8_lossy(&text));
        Self { text: String::from_utf8(text).unwrap(), series: serde_json::from_slice(&said.stdout).unwrap() }
    }

    /// The value of the one series of this name and exactly these labels; all that are asked for are counts.
    fn value(&self, name: &str, labels: &[(&str, &str)]) -> u64 {
        let labels: Value = labels.iter().map(|(label, value)| ((*label).to_owned(), json!(value))).collect();
        let found: Vec<&Value> = self.series.iter().filter(|one| one[0] == name && one[1] == labels).collect();
        assert_eq!(found.len(), 1, "{name}{labels}:\n{}", self.text);
        found[0][2].as_f64().unwrap().to_string().parse().unwrap()
    }

    fn requests(&self, method: &str, route: &str, status: &str) -> u64 {
        self.value("rimside_http_requests_total", &[("route", route), ("method", method), ("status", status)])
    }
}

fn entry(device: &str, photograph: &Sha256) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: device.parse().unwrap(), seq: 1 },
        inspection: "inspection-1".parse().unwrap(),
        path: "photographs.photo-0001".to_owned(),
        value: json!({ "sha256": photograph }),
        replaces: Vec::new(),
        change: Change::Written,
        written_at: "2026-11-24T10:00:00+01:00".parse().unwrap(),
        author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
        salt: Salt::new([1; 16]),
    })
}

#[test]
fn what_an_office_does_is_counted_and_nobody_is_named() {
    let desk = Desk::set_up();
    desk.expect(0, &["log", "found", "log", "--name", "log.example/firm", "--passphrase-file", "passphrase"]);
    desk.expect(0, &["office", "show", "log", "--firm", "firm"]);
    desk.expect(0, &desk.seal("report.pdf"));
    let served = serve(&desk, &["metrics.listen=127.0.0.1:0"]);
    let before = Counted::read(&served);
    assert_eq!(before.value("rimside_build_info", &[("version", env!("CARGO_PKG_VERSION"))]), 1);
    assert_eq!(before.value("rimside_log_entries", &[]), 0);
    assert_eq!(before.value("rimside_pieces_total", &[("outcome", "refused")]), 0);
    let (device, bytes) = ("device-ines", [7; 5000]);
    let token = served.enrol(&desk, device, "inspector");
    let photograph = Sha256::of(&bytes);
    let entries = vec![entry(device, &photograph)];
    let told = Ask { own: 1, entries, ..Ask::default() };
    let told = serde_json::to_vec(&told).unwrap();
    for _ in 0..2 {
        assert_eq!(served.ask(&token, "POST", "/v1/sync", &told).0, 200);
    }
    let path = format!("/v1/blobs/{photograph}");
    assert_eq!(served.ask(&token, "PUT", &format!("{path}/0"), &bytes).0, 204);
    assert_eq!(served.ask(&token, "PUT", &format!("/v1/blobs/{}/0", Sha256::of(b"")), &bytes).0, 404);
    let finish = serde_json::to_vec(&Finish { length: 5000 }).unwrap();
    assert_eq!(served.ask(&token, "POST", &path, &finish).0, 204);
    let issued = Issued::carry(&lone_signature(&fs::read(desk.at("report.pdf")).unwrap()).unwrap());
    assert_eq!(served.ask(&token, "POST", "/v1/receipts", &serde_json::to_vec(&issued).unwrap()).0, 200);
    assert_eq!(served.ask("nobody", "GET", "/v1/links", b"").0, 401);
    assert_eq!(served.ask("nobody", "BREW", "/tea", b"").0, 404);
    let counted = Counted::read(&served);
    assert_eq!(counted.requests("POST", "/v1/enrol", "200"), 1);
    assert_eq!(counted.requests("POST", "/v1/sync", "200"), 2);
    assert_eq!(counted.requests("PUT", "/v1/blobs/{sha256}/{nth}", "404"), 1);
    assert_eq!(counted.requests("GET", "/v1/links", "401"), 1);
    assert_eq!(counted.requests("other", "none", "404"), 1);
    let of_sync = [("route", "/v1/sync"), ("method", "POST")];
    assert_eq!(counted.value("rimside_http_request_duration_seconds_count", &of_sync), 2);
    let ever = [&of_sync[..], &[("le", "+Inf")]].concat();
    assert_eq!(counted.value("rimside_http_request_duration_seconds_bucket", &ever), 2);
    // An entry that is told twice was taken once.
    assert_eq!(counted.value("rimside_sync_entries_total", &[]), 1);
    assert_eq!(counted.value("rimside_pieces_total", &[("outcome", "taken")]), 1);
    assert_eq!(counted.value("rimside_pieces_total", &[("outcome", "refused")]), 1);
    assert_eq!(counted.value("rimside_files_total", &[("outcome", "whole")]), 1);
    assert_eq!(counted.value("rimside_log_entries", &[]), 1);
    assert_eq!(counted.value("rimside_http_connections_total", &[("outcome", "taken")]), 9);
    assert!(counted.value("rimside_http_received_bytes_total", &[]) > 10_000, "two pieces came");
    assert!(counted.value("rimside_http_sent_bytes_total", &[]) > 500);
    let taking = [("store", "rows"), ("operation", "take")];
    assert_eq!(counted.value("rimside_store_duration_seconds_count", &taking), 1);
    assert_eq!(counted.value("rimside_store_failures_total", &taking), 0);
    // The log's own rows and files are watched as well.
    for (store, operation) in [("rows", "append"), ("shelf", "put_again")] {
        let of_log = [("store", store), ("operation", operation)];
        assert_eq!(counted.value("rimside_store_duration_seconds_count", &of_log), 1, "{operation}");
    }
    for named in [device, "firm=", "Ines", &photograph.to_string(), &token, "inspection-1"] {
        assert!(!counted.text.contains(named), "{named} is named:\n{}", counted.text);
    }
    // Whoever reads the office's public address reads none of it.
    assert_eq!(served.ask("none", "GET", "/metrics", b"").0, 404);
}

#[test]
fn a_store_that_fails_shows_among_the_failures() {
    let desk = set_up();
    let served = serve(&desk, &["metrics.listen=127.0.0.1:0"]);
    let token = served.enrol(&desk, "device-ines", "inspector");
    let bytes = [7; 50];
    let photograph = Sha256::of(&bytes);
    let entries = vec![entry("device-ines", &photograph)];
    let told = Ask { own: 1, entries, ..Ask::default() };
    assert_eq!(served.ask(&token, "POST", "/v1/sync", &serde_json::to_vec(&told).unwrap()).0, 200);
    // A file stands where the folder of what is coming would be.
    let coming = desk.at("log/blobs/coming");
    fs::remove_dir_all(&coming).unwrap();
    fs::write(&coming, "").unwrap();
    assert_eq!(served.ask(&token, "PUT", &format!("/v1/blobs/{photograph}/0"), &bytes).0, 503);
    let counted = Counted::read(&served);
    let staging = [("store", "blobs"), ("operation", "stage")];
    assert_eq!(counted.value("rimside_store_failures_total", &staging), 1);
    assert_eq!(counted.value("rimside_pieces_total", &[("outcome", "taken")]), 0);
}

#[test]
fn a_firm_is_named_only_where_the_operator_says_so() {
    let desk = set_up();
    let served = serve(&desk, &["metrics.listen=127.0.0.1:0", "metrics.firms=true"]);
    assert_eq!(Counted::read(&served).value("rimside_log_entries", &[("firm", "firm")]), 0);
    drop(served);
    assert!(serve(&desk, &[]).told["metrics"].is_null(), "nothing is shown unless it is said where");
}
