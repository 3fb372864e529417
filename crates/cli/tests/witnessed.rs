//! A receipt that witnesses have signed: the time is proven to a reader who brings their keys, and a log's word to all others.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::fs;

use chrono::{DateTime, SubsecRound as _, Utc};
use desk::Desk;
use seal::{
    key::PrivateKey,
    receipt::{LogKey, Receipt, WitnessKey},
    sealing::log_entry,
};
use serde_json::Value;

const LOG: &str = "log.example/harbour-vale";

fn witness(seed: u8) -> (PrivateKey, WitnessKey) {
    let key = PrivateKey::from_seed(&[seed; 32]);
    let public = WitnessKey::new(&format!("witness.example/w{seed}"), key.public()).unwrap();
    (key, public)
}

/// A desk with a report whose receipt two of three witnesses have signed, and everybody's keys.
fn set_up() -> Desk {
    let desk = Desk::set_up();
    desk.expect(0, &desk.seal("report.pdf"));
    let record: Value = serde_json::from_str(&desk.expect(0, &["show", "report.pdf", "--json"])).unwrap();
    let sealed_at: DateTime<Utc> = record["frozen_at"].as_str().unwrap().parse().unwrap();
    let sealed_at = sealed_at.trunc_subsecs(0);
    let log = PrivateKey::from_seed(&[7; 32]);
    fs::write(desk.at("log.key"), LogKey::new(LOG, log.public()).unwrap().to_text()).unwrap();
    let entry = log_entry(&fs::read(desk.at("report.pdf")).unwrap(), sealed_at).unwrap();
    let mut receipt = Receipt::issue_first(entry, LOG, &log);
    for seed in [1, 2, 3] {
        let (key, public) = witness(seed);
        fs::write(desk.at(&format!("w{seed}.key")), format!("{}\n", public.to_text())).unwrap();
        if seed != 3 {
            let line = receipt.checkpoint.cosign(&public, &key, sealed_at).unwrap();
            receipt.checkpoint = receipt.checkpoint.with_signatures(&line).unwrap();
        }
    }
    fs::write(desk.at("receipt.txt"), receipt.to_text()).unwrap();
    desk.expect(0, &["attach-receipt", "report.pdf", "--receipt", "receipt.txt"]);
    desk
}

const VERIFY: [&str; 7] = ["verify", "report.pdf", "--root", "firm/root.pem", "--log", "log.key", "--json"];
const ALL: [&str; 6] = ["--witness", "w1.key", "--witness", "w2.key", "--witness", "w3.key"];

fn since(desk: &Desk, more: &[&str]) -> (String, Vec<String>) {
    let verdict: Value = serde_json::from_str(&desk.expect(0, &[&VERIFY, more].concat())).unwrap();
    assert_eq!(verdict["questions"]["since_when"]["state"], "passed", "{verdict:#}");
    let remarks = verdict["details"]["remarks"].as_array().unwrap();
    let codes = remarks.iter().map(|remark| remark["code"].as_str().unwrap().to_owned()).collect();
    (verdict["questions"]["since_when"]["sentence"].as_str().unwrap().to_owned(), codes)
}

#[test]
fn a_reader_is_told_whether_the_time_is_proven_or_the_logs_word() {
    let desk = set_up();
    let (said, _) = since(&desk, &[]);
    assert!(said.contains("as the firm's log") && !said.contains("proven"), "{said}");
    let (said, remarks) = since(&desk, &[&ALL[..], &["--witnesses-needed", "2"]].concat());
    assert!(said.contains("proven by 2 of the 3 witnesses that you gave") && said.contains(LOG), "{said}");
    assert!(!remarks.contains(&"witnesses-too-few".to_owned()));
    let (said, _) = since(&desk, &["--witness", "w1.key"]);
    assert!(said.contains("proven by the witness that you gave"), "{said}");
    // All of them, where nothing else is said.
    let (said, remarks) = since(&desk, &ALL);
    assert!(said.contains("as the firm's log") && !said.contains("proven"), "{said}");
    assert!(remarks.contains(&"witnesses-too-few".to_owned()), "{remarks:?}");
}

#[test]
fn keys_of_witnesses_that_prove_nothing_are_refused() {
    let desk = set_up();
    let refuse = |arguments: &[&str]| {
        let fault: Value = serde_json::from_str(&desk.expect(70, arguments)).unwrap();
        assert_eq!(fault["fault"]["code"], "witness-refused", "{fault:#}");
        fault["fault"]["message"].as_str().unwrap().to_owned()
    };
    let with = |more: &[&str]| refuse(&[&VERIFY, more].concat());
    assert!(with(&["--witness", "log.key"]).contains("a key of type 1, expected 4"));
    assert!(with(&["--witness", "w1.key", "--witness", "w1.key"]).contains("counts once"));
    assert!(with(&["--witness", "w1.key", "--witnesses-needed", "2"]).contains("2 of 1 witnesses needed"));
    assert!(with(&["--witness", "w1.key", "--witnesses-needed", "0"]).contains("expected from 1 to 1"));
    let own = WitnessKey::new("witness.example/own", PrivateKey::from_seed(&[7; 32]).public()).unwrap();
    fs::write(desk.at("own.key"), own.to_text()).unwrap();
    assert!(with(&["--witness", "w1.key", "--witness", "own.key"]).starts_with("own.key: "));
    let no_log = ["verify", "report.pdf", "--root", "firm/root.pem", "--json", "--witness", "w1.key"];
    assert!(refuse(&no_log).contains("no key of a log"));
    let alone = ["verify", "report.pdf", "--witnesses-needed", "1"];
    desk.expect(64, &alone);
}
