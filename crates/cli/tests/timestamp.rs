//! A timestamp on the command line: the question is written, and what is no answer to it leaves the report as it was.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::{
    fs,
    io::{Read as _, Write as _},
    net::TcpListener,
};

use desk::Desk;
use seal::{sealing::ask_for_timestamp, timestamp::ask_for_token};
use serde_json::Value;

#[test]
fn the_question_is_written_once_and_only_an_answer_is_taken() {
    let desk = Desk::set_up();
    desk.expect(0, &desk.seal("report.pdf"));
    let before = fs::read(desk.at("report.pdf")).unwrap();
    let request = ["timestamp", "request", "report.pdf", "--out", "question.tsq"];
    assert!(desk.expect(0, &request).contains("question.tsq holds the question for report.pdf"));
    let question = fs::read(desk.at("question.tsq")).unwrap();
    assert_eq!(question, ask_for_timestamp(&before).unwrap());
    assert_ne!(question, ask_for_token(b"another signature").unwrap());
    desk.expect(70, &request);
    let refuse = |report: &str, answer: &str| {
        let arguments = ["timestamp", "attach", report, "--answer", answer, "--json"];
        let fault: Value = serde_json::from_str(&desk.expect(70, &arguments)).unwrap();
        fault["fault"]["code"].as_str().unwrap().to_owned()
    };
    // "Rejected", no answer at all, an answer whose token is none, no report.
    fs::write(desk.at("refused.tsr"), [0x30, 5, 0x30, 3, 2, 1, 2]).unwrap();
    fs::write(desk.at("empty.tsr"), [0x30, 10, 0x30, 3, 2, 1, 0, 0x30, 3, 2, 1, 5]).unwrap();
    assert_eq!(refuse("report.pdf", "refused.tsr"), "timestamp-refused");
    assert_eq!(refuse("report.pdf", "question.tsq"), "timestamp-refused");
    assert_eq!(refuse("report.pdf", "empty.tsr"), "timestamp-of-another-report");
    assert_eq!(refuse("inspection.json", "empty.tsr"), "timestamp-not-attached");
    assert_eq!(fs::read(desk.at("report.pdf")).unwrap(), before);
}

#[test]
fn what_is_no_authority_leaves_the_report_as_it_was() {
    let desk = Desk::set_up();
    desk.expect(0, &desk.seal("report.pdf"));
    let before = fs::read(desk.at("report.pdf")).unwrap();
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}/stamps", listener.local_addr().unwrap());
    let question = ask_for_timestamp(&before).unwrap();
    let (kind, length) = ("application/timestamp-query", question.len());
    let answers = [
        ("500 Broken", "text/plain", &b"broken"[..]),
        ("200 OK", "text/html", b"<html>"),
        // "Rejected" (RFC 3161 §2.4.2).
        ("200 OK", "application/timestamp-reply", &[0x30, 5, 0x30, 3, 2, 1, 2]),
    ];
    let served = std::thread::spawn(move || {
        for (status, kind_back, body) in answers {
            let (mut stream, _) = listener.accept().unwrap();
            let mut asked = Vec::new();
            while !asked.ends_with(&question) {
                let mut piece = [0; 1024];
                let read = stream.read(&mut piece).unwrap();
                asked.extend_from_slice(&piece[..read]);
            }
            let head = String::from_utf8_lossy(&asked).to_ascii_lowercase();
            assert!(head.starts_with("post /stamps ") && head.contains(&format!("content-type: {kind}")), "{head}");
            assert!(head.contains(&format!("content-length: {length}")), "{head}");
            let back = format!(
                "HTTP/1.1 {status}\r\ncontent-type: {kind_back}\r\ncontent-length: {}\r\nconnection: close\r\n\r\n",
                body.len()
            );
            stream.write_all(back.as_bytes()).unwrap();
            stream.write_all(body).unwrap();
        }
    });
    let fetch = |address: &str| {
        let fault: Value = serde_json::from_str(
            &desk.expect(70, &["timestamp", "fetch", "report.pdf", "--authority", address, "--json"]),
        )
        .unwrap();
        let word = |name: &str| fault["fault"][name].as_str().unwrap().to_owned();
        (word("code"), word("message"))
    };
    assert_eq!(
        fetch(&address),
        ("timestamp-not-given".to_owned(), "the authority answered with the status 500, expected 200".to_owned())
    );
    assert!(fetch(&address).1.contains("text/html"));
    assert_eq!(fetch(&address).0, "timestamp-refused");
    served.join().unwrap();
    let (code, message) = fetch(&address);
    assert!(code == "timestamp-not-given" && message.contains("not reached"), "{message}");
    assert_eq!(fetch("stamps.example").0, "authority-refused");
    assert_eq!(fs::read(desk.at("report.pdf")).unwrap(), before);
}
