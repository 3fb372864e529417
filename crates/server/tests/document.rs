//! What the office says of its addresses, and that each of them is said.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod desk;

use std::{collections::BTreeSet, path::Path};

use axum::http::{StatusCode, header};
use desk::{Answer, Desk, set_up};
use serde_json::{Value, json};
use server::describe_api;

/// Method, path and what the document says of them.
fn operations(document: &Value) -> Vec<(String, String, Value)> {
    let mut operations = Vec::new();
    for (path, methods) in document["paths"].as_object().unwrap() {
        for (method, operation) in methods.as_object().unwrap() {
            operations.push((method.to_uppercase(), path.clone(), operation.clone()));
        }
    }
    operations
}

/// The path with something in each of its places.
fn filled(path: &str) -> String {
    let path = path.replace("{number}", "1").replace("{nth}", "0").replace("{sha256}", &"0".repeat(64));
    path.replace(['{', '}'], "")
}

fn references(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            found.extend(map.get("$ref").and_then(Value::as_str).map(str::to_owned));
            map.values().for_each(|value| references(value, found));
        }
        Value::Array(list) => list.iter().for_each(|value| references(value, found)),
        _ => {}
    }
}

fn assert_refused(answer: &Answer, status: StatusCode, code: &str, what: &str) {
    let said = String::from_utf8_lossy(&answer.bytes);
    assert_eq!(answer.status, status, "{what}: {said}");
    assert_eq!(answer.headers[header::CONTENT_TYPE], "application/json", "{what}: {said}");
    assert_eq!(answer.code(), code, "{what}");
}

#[tokio::test]
async fn everybody_can_read_what_the_office_can_be_asked() {
    let answer = set_up().ask("GET", "/openapi.json", None, "").await;
    assert_eq!(
        (answer.status, &answer.headers[header::CONTENT_TYPE]),
        (StatusCode::OK, &"application/json".parse().unwrap())
    );
    let document = answer.json();
    assert_eq!(document, describe_api());
    assert_eq!(
        (&document["openapi"], &document["info"]["version"]),
        (&"3.1.0".into(), &env!("CARGO_PKG_VERSION").into())
    );
    let mut found = BTreeSet::new();
    references(&document, &mut found);
    assert!(found.contains("#/components/schemas/Carried"), "{found:?}");
    for reference in found {
        assert!(document.pointer(reference.trim_start_matches('#')).is_some(), "{reference} leads nowhere");
    }
}

/// An address is made by its entry; one that is made otherwise is found here.
#[test]
fn no_address_is_made_without_its_entry() {
    for file in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/http")).unwrap() {
        let file = file.unwrap().path();
        let text = std::fs::read_to_string(&file).unwrap();
        assert!(!text.contains(".route("), "{} has an address that no document tells", file.display());
    }
}

#[tokio::test]
async fn what_the_document_tells_is_there() {
    let desk = set_up();
    for (method, path, operation) in operations(&describe_api()) {
        let what = format!("{method} {path}");
        let statuses = operation["responses"].as_object().unwrap();
        for status in ["400", "408", "413", "429"] {
            assert!(statuses.contains_key(status), "{what}: what the door answers is missing");
        }
        assert!(statuses.keys().any(|status| status.starts_with('2')), "{what}");
        assert!(operation["summary"].as_str().is_some_and(|summary| !summary.contains('.')), "{what}");
        let wants_token = operation["security"] == json!([{ "token": [] }]);
        assert_eq!(wants_token, path.starts_with("/v1/") && path != "/v1/enrol", "{what}");
        assert_eq!(wants_token, statuses.contains_key("401"), "{what}");
        let status = desk.ask(&method, &filled(&path), None, "").await.status;
        assert!(statuses.contains_key(status.as_str()), "{what}: {status} is not told");
        assert_eq!(wants_token, status == StatusCode::UNAUTHORIZED, "{what}: {status}");
    }
}

/// What an address says that it takes at most is what it takes at most; and it is refused in the form of every refusal.
#[tokio::test]
async fn a_body_beyond_what_is_told_is_refused_as_everything_is() {
    let desk = set_up();
    let token = desk.let_in("harbour-vale", "device-ines").await;
    for (method, path, operation) in operations(&describe_api()) {
        if operation["requestBody"].is_null() {
            continue;
        }
        let most = operation["x-most-bytes"].as_u64().map_or(16 * 1024, |most| most as usize);
        let what = format!("{method} {path}, {most} bytes");
        let answer = desk.ask(&method, &filled(&path), Some(&token), &" ".repeat(most + 1)).await;
        assert_refused(&answer, StatusCode::PAYLOAD_TOO_LARGE, "too-large", &what);
        let answer = desk.ask(&method, &filled(&path), Some(&token), &" ".repeat(most)).await;
        assert_ne!(answer.status, StatusCode::PAYLOAD_TOO_LARGE, "{what}");
    }
}

#[tokio::test]
async fn an_address_in_which_something_else_stands_is_none() {
    let desk = set_up();
    let token = desk.let_in("harbour-vale", "device-ines").await;
    for (method, path) in [
        ("GET", "/v1/letters/one"),
        ("DELETE", "/v1/links/-1"),
        ("GET", "/v1/blobs/00/first"),
        ("GET", "/link/%ff"),
        ("GET", "/log/%ff/checkpoint"),
    ] {
        let answer = desk.ask(method, path, Some(&token), "").await;
        assert_refused(&answer, StatusCode::NOT_FOUND, "not-there", path);
    }
}

/// A database counts to 2^63 - 1; what lies beyond it is a number that nothing has, not a failure of the office.
#[tokio::test]
async fn a_number_beyond_all_others_is_one_that_nothing_has() {
    let desk = set_up();
    let token = desk.let_in("harbour-vale", "device-ines").await;
    let beyond = 1_u64 << 63;
    for (method, path) in [("GET", format!("/v1/letters/{beyond}")), ("DELETE", format!("/v1/links/{beyond}"))] {
        let answer = desk.ask(method, &path, Some(&token), "").await;
        assert_refused(&answer, StatusCode::NOT_FOUND, "not-there", &path);
    }
    let link = json!({"shows": format!("letter:{beyond}"), "label": "", "days": 1}).to_string();
    let answer = desk.ask("POST", "/v1/links", Some(&token), &link).await;
    assert_refused(&answer, StatusCode::BAD_REQUEST, "request-refused", "a link");
    let sha256 = "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d".parse().unwrap();
    let firm = desk::firm("harbour-vale");
    let blobs = server::FolderBlobs::open(&desk.folder.path().join("blobs")).unwrap();
    let piece = server::Digested::of(vec![0].into());
    server::Blobs::stage(&blobs, &firm, &"device-ines".parse().unwrap(), &sha256, 0, &piece).unwrap();
    server::Blobs::join(&blobs, &firm, &"device-ines".parse().unwrap(), &sha256, 1).unwrap();
    let answer = desk.ask("GET", &format!("/v1/blobs/{sha256}/{}", u64::MAX), Some(&token), "").await;
    assert_eq!((answer.status, answer.bytes.len()), (StatusCode::OK, 0), "beyond the end of a file there is nothing");
    // A device that says it has seen more than there is hears nothing new.
    let told =
        json!({"epoch": null, "seen": beyond, "own": u64::MAX, "entries": [], "reports_seen": beyond}).to_string();
    let digest = sync::content_digest(told.as_bytes());
    let answer = desk.ask_with("POST", "/v1/sync", Some(&token), &[("content-digest", &digest)], &told).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", String::from_utf8_lossy(&answer.bytes));
    assert_eq!(answer.json()["entries"], json!([]));
}

/// A name that entries cannot have would be let in, and then not be known.
#[tokio::test]
async fn a_device_comes_in_under_a_name_that_entries_can_have() {
    let desk = set_up();
    let enrol = async |desk: &Desk, device: &str| desk.enrol("harbour-vale", &desk.code("harbour-vale"), device).await;
    for device in ["-ines", "", "Ines", &"x".repeat(65)] {
        assert_refused(&enrol(&desk, device).await, StatusCode::BAD_REQUEST, "request-refused", device);
    }
    for device in ["ines_2", "7"] {
        let answer = enrol(&desk, device).await;
        assert_eq!(answer.status, StatusCode::OK, "{device}");
        let token = answer.json()["token"].as_str().unwrap().to_owned();
        let path = format!("/v1/blobs/{}/0", "0".repeat(64));
        assert_refused(&desk.ask("PUT", &path, Some(&token), "").await, StatusCode::NOT_FOUND, "not-wanted", device);
    }
}
