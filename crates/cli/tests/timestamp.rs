//! A timestamp on the command line: the question is written, and what is no answer to it leaves the report as it was.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::fs;

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
