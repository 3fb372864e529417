//! What is entered into a firm's log over HTTP, and what a device cannot have entered however it lies.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

mod desk;

use axum::http::StatusCode;
use chrono::TimeDelta;
use desk::{Desk, FIRMS, People, carry, firm, key, log_name, set_up, to_enter};
use log::{LogKey, Receipt, audit};
use seal::{digest::Sha256Digest, signature::sign_attached};
use serde_json::json;
use server::{FolderShelf, Shelf as _, papers::REVOKED};

/// How many entries a firm's log has for whoever reads it.
fn entries(desk: &Desk, of: &str) -> usize {
    let public = desk.folder.path().join("public").join(of);
    let log_key = LogKey::new(&log_name(of), key(of).public()).unwrap();
    if !public.join("checkpoint").exists() {
        return 0;
    }
    audit(&log_key, None, |path| std::fs::read(public.join(path))).unwrap().entries.len()
}

async fn ask(desk: &Desk, token: &str, body: &str) -> (StatusCode, String) {
    let answer = desk.ask("POST", "/v1/receipts", Some(token), body).await;
    (answer.status, String::from_utf8(answer.bytes).unwrap())
}

#[tokio::test]
async fn a_lying_device_enters_nothing() {
    let desk = set_up();
    let token = desk.let_in(FIRMS[0], "device-1").await;
    let digest = |text: &str| Sha256Digest::of(text.as_bytes()).to_hex();
    let digests = json!({"report": digest("a report"), "signature": digest("a signature")}).to_string();
    assert_eq!(ask(&desk, &token, &digests).await.0, StatusCode::BAD_REQUEST, "digests alone are anybody's");

    let ours = People::of(FIRMS[0]);
    let good = ours.sign("one");
    let mut another_report = good.clone();
    // The message-digest of the report stands in the signed attributes.
    let place = another_report.windows(2).position(|bytes| bytes == [0x04, 0x40]).unwrap() + 2;
    another_report[place] ^= 1;
    let mut no_signature = good.clone();
    *no_signature.last_mut().unwrap() ^= 1;
    for (what, signature) in [
        ("nothing", Vec::new()),
        ("no signature", b"a signature".to_vec()),
        ("another firm's", People::of(FIRMS[1]).sign("one")),
        ("a firm of the same name with its own root", People::of("another").sign("one")),
        ("a signature that was put to another report", another_report),
        ("a signature that does not stand", no_signature),
        ("one that is cut off", good[..good.len() - 1].to_vec()),
        ("a statement", sign_attached(b"the report is withdrawn", &ours.inspector).unwrap()),
    ] {
        let (status, said) = ask(&desk, &token, &carry(&signature)).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{what}: {said}");
        assert!(said.contains("not-the-firms"), "{what}: {said}");
    }
    assert_eq!(entries(&desk, FIRMS[0]), 0);
    assert_eq!(ask(&desk, &token, &carry(&good)).await.0, StatusCode::OK);
    assert_eq!(entries(&desk, FIRMS[0]), 1);
}

#[tokio::test]
async fn what_a_lost_key_signs_is_not_entered_and_what_was_entered_keeps_its_receipt() {
    let desk = set_up();
    let (token, ours) = (desk.let_in(FIRMS[0], "device-1").await, People::of(FIRMS[0]));
    let (status, receipt) = ask(&desk, &token, &to_enter(FIRMS[0], "before")).await;
    assert_eq!(status, StatusCode::OK);
    desk.later(60);
    let shelf = FolderShelf::open(&desk.folder.path().join("public")).unwrap();
    let list = ours.revoke(desk.now() - TimeDelta::minutes(30));
    shelf.put(&firm(FIRMS[0]), REVOKED, list.to_pem().as_bytes()).unwrap();
    assert_eq!(ask(&desk, &token, &to_enter(FIRMS[0], "after")).await.0, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(ask(&desk, &token, &to_enter(FIRMS[0], "before")).await, (StatusCode::OK, receipt));
    assert_eq!(entries(&desk, FIRMS[0]), 1);
}

#[tokio::test]
async fn a_report_that_comes_after_its_signers_certificate_has_expired_is_entered_with_that_time() {
    let desk = set_up();
    let token = desk.let_in(FIRMS[0], "device-1").await;
    // A person's certificate is good for two years; the report may have been sealed in time and told late.
    desk.later(3 * 366 * 24 * 60);
    let (status, receipt) = ask(&desk, &token, &to_enter(FIRMS[0], "late")).await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(Receipt::parse(&receipt).unwrap().entry.at, desk.now());
    assert_eq!(entries(&desk, FIRMS[0]), 1);
}

#[tokio::test]
async fn an_office_that_knows_no_root_enters_nothing() {
    let desk = set_up();
    let token = desk.let_in(FIRMS[0], "device-1").await;
    std::fs::remove_file(desk.folder.path().join("public").join(FIRMS[0]).join("root.pem")).unwrap();
    let (status, said) = ask(&desk, &token, &to_enter(FIRMS[0], "one")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(said.contains("office-without-root"), "{said}");
    assert_eq!(entries(&desk, FIRMS[0]), 0);
}
