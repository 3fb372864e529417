//! The office as those who speak to it meet it: devices with a code, with a token, shut out, of another firm, and whoever
//! means harm.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

mod desk;

use std::{
    io::{Read as _, Write as _},
    net::TcpStream,
    path::Path,
    time::Duration,
};

use axum::http::{StatusCode, header};
use desk::{Answer, Desk, FIRMS, People, firm, identity, key, log_name, set_up, signature_value, to_enter};
use log::{LogKey, Receipt, audit};
use serde_json::json;
use server::{
    Limits, SqliteRows,
    conformance::{devices_keep_to_their_word, papers_keep_to_their_word},
    serve,
};

#[test]
fn sqlite_keeps_to_its_word_about_devices() {
    let folder = tempfile::tempdir().unwrap();
    devices_keep_to_their_word(&SqliteRows::open(&folder.path().join("office.sqlite")).unwrap());
}

#[test]
fn sqlite_keeps_to_its_word_about_reports_links_letters_and_certificates() {
    let folder = tempfile::tempdir().unwrap();
    papers_keep_to_their_word(&SqliteRows::open(&folder.path().join("office.sqlite")).unwrap());
}

#[tokio::test]
async fn a_device_with_a_code_gets_a_token_and_with_it_receipts() {
    let desk = set_up();
    let code = desk.code("harbour-vale");
    // As somebody types it who heard it on the telephone.
    let token = desk.enrol("harbour-vale", &code.replace('-', " ").to_lowercase(), "device-1").await;
    let token = token.json()["token"].as_str().unwrap().to_owned();
    assert_eq!(desk.enrol("harbour-vale", &code, "device-2").await.code(), "code-refused", "a code is good once");
    let receipt = |answer: &Answer| Receipt::parse(std::str::from_utf8(&answer.bytes).unwrap()).unwrap();
    let first = desk.enter(&token, "one").await;
    desk.later(3);
    let (second, again) = (desk.enter(&token, "two").await, desk.enter(&token, "one").await);
    let log_key = LogKey::new(&log_name("harbour-vale"), key("harbour-vale").public()).unwrap();
    for (answer, report, index) in [(&first, "one", 0), (&second, "two", 1), (&again, "one", 0)] {
        let signature = signature_value(&People::of(FIRMS[0]).sign(report));
        let proved = receipt(answer).check(identity(report), &signature, std::slice::from_ref(&log_key)).unwrap();
        assert_eq!(proved.index, index);
    }
    assert_eq!(receipt(&again).entry.at, receipt(&first).entry.at, "what stands keeps its time");
    assert_eq!(receipt(&again).checkpoint.size(), 2);
}

#[tokio::test]
async fn wrong_answers_end_a_code_and_so_does_time() {
    let desk = set_up();
    let code = desk.code("harbour-vale");
    for _ in 0..5 {
        assert_eq!(desk.enrol("harbour-vale", "AAAAA-AAAAA", "device-1").await.status, StatusCode::FORBIDDEN);
    }
    assert_eq!(desk.enrol("harbour-vale", &code, "device-1").await.code(), "code-refused");
    let code = desk.code("harbour-vale");
    // Another firm's wrong answers are its own, and its codes open no other door.
    for _ in 0..5 {
        assert_eq!(desk.enrol("north-bay", &code, "device-1").await.status, StatusCode::FORBIDDEN);
    }
    desk.later(9);
    assert_eq!(desk.enrol("harbour-vale", &code, "device-1").await.status, StatusCode::OK);
    let late = desk.code("harbour-vale");
    desk.later(10);
    assert_eq!(desk.enrol("harbour-vale", &late, "device-2").await.code(), "code-refused");
}

#[tokio::test]
async fn nobody_comes_in_by_any_address_without_the_right() {
    use server::Devices as _;
    let desk = set_up();
    let (ours, theirs) = (desk.let_in("harbour-vale", "device-1").await, desk.let_in("north-bay", "device-1").await);
    let out = desk.let_in("harbour-vale", "device-2").await;
    assert!(desk.rows.shut_out(&firm("harbour-vale"), "device-2", desk.now()).unwrap());
    let before = desk.let_in("harbour-vale", "device-3").await;
    let now = desk.let_in("harbour-vale", "device-3").await;
    for token in [None, Some(""), Some("x"), Some(&*out), Some(&*before), Some(&ours[1..]), Some(&*ours.to_uppercase())]
    {
        let answer = desk.ask("POST", "/v1/receipts", token, &to_enter(FIRMS[0], "one")).await;
        assert_eq!((answer.status, answer.code()), (StatusCode::UNAUTHORIZED, json!("who-is-it")), "{token:?}");
    }
    assert_eq!(desk.enter(&now, "two").await.status, StatusCode::OK);
    // A device's entries go into its own firm's log, whatever it says.
    assert_eq!(
        desk.ask("POST", "/v1/receipts", Some(&theirs), &to_enter("north-bay", "three")).await.status,
        StatusCode::OK
    );
    let read = |of: &str| {
        let public = desk.folder.path().join("public").join(of);
        let log_key = LogKey::new(&log_name(of), key(of).public()).unwrap();
        audit(&log_key, None, |path| std::fs::read(public.join(path))).unwrap().entries.len()
    };
    assert_eq!((read("harbour-vale"), read("north-bay")), (1, 1));
    let named = json!({"firm": "north-bay", "signature": ""}).to_string();
    for body in ["", "{}", "null", "[]", &named, r#"{"signature":"\u0000"}"#, r#"{"signature":["AA=="]}"#] {
        assert_eq!(desk.ask("POST", "/v1/receipts", Some(&ours), body).await.status, StatusCode::BAD_REQUEST, "{body}");
    }
    for device in ["", "../x", "Ines", &"x".repeat(65)] {
        assert_eq!(desk.enrol("harbour-vale", &desk.code("harbour-vale"), device).await.code(), "request-refused");
    }
}

#[tokio::test]
async fn the_log_is_read_by_anybody_and_nothing_else_of_the_folder_is() {
    let desk = set_up();
    let token = desk.let_in("harbour-vale", "device-1").await;
    desk.enter(&token, "one").await;
    let head = desk.ask("GET", "/log/harbour-vale/checkpoint", None, "").await;
    assert_eq!(head.headers[header::CACHE_CONTROL], "no-cache");
    assert!(head.bytes.starts_with(b"log.example/harbour-vale\n1\n"));
    let tile = desk.ask("GET", "/log/harbour-vale/tile/0/000.p/1", None, "").await;
    assert_eq!(tile.bytes.len(), 32);
    assert!(tile.headers[header::CACHE_CONTROL].to_str().unwrap().contains("immutable"));
    for path in [
        "/",
        "/log",
        "/log/harbour-vale/",
        "/log/harbour-vale/../office.sqlite",
        "/log/harbour-vale/%2e%2e/%2e%2e/office.sqlite",
        "/log/..%2foffice.sqlite/x",
        "/log/harbour-vale/tile%2f0%2f000.p%2f2",
        "/log/HARBOUR/checkpoint",
        "/v1/receipts",
        "/v1/enrol",
        "/admin",
    ] {
        let answer = desk.ask("GET", path, None, "").await;
        assert_eq!((answer.status, answer.code()), (StatusCode::NOT_FOUND, json!("not-there")), "{path}");
        assert_eq!(answer.headers[header::X_CONTENT_TYPE_OPTIONS], "nosniff");
        assert_eq!(answer.headers[header::CACHE_CONTROL], "no-store");
    }
    assert_eq!(desk.ask("GET", "/health", None, "").await.bytes, b"ok\n");
    assert_eq!(desk.ask("GET", "/ready", None, "").await.bytes, b"ready\n");
    let told = desk.told.lock().unwrap().join("\n");
    assert!(told.contains(r#""route":"/v1/receipts""#) && told.contains(r#""status":404"#));
    for secret in [&*token, "device-1", "office.sqlite", "harbour-vale"] {
        assert!(!told.contains(secret), "the office's own log tells {secret}");
    }
}

/// A real listener, and what closes it.
async fn listen(
    desk: &Desk,
    limits: Limits,
) -> (std::net::SocketAddr, tokio::sync::oneshot::Sender<()>, tokio::task::JoinHandle<()>) {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let (close, closed) = tokio::sync::oneshot::channel();
    let served = tokio::spawn(serve(listener, desk.routes.clone(), limits, async {
        let _ = closed.await;
    }));
    (address, close, served)
}

/// What comes back to these bytes until the office closes the connection.
async fn say(address: std::net::SocketAddr, text: Vec<u8>) -> String {
    tokio::task::spawn_blocking(move || {
        let mut stream = TcpStream::connect(address).unwrap();
        // An office that hangs up on a flood resets the connection: what came before counts.
        let _ = stream.write_all(&text);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    })
    .await
    .unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn who_dawdles_or_floods_is_let_go_and_others_are_served() {
    let desk = set_up();
    let limits = Limits { head: Duration::from_millis(300), ..Limits::default() };
    let (address, close, served) = listen(&desk, limits).await;
    let slow = tokio::spawn(say(address, b"GET /health HTTP/1.1\r\nhost: x\r\nx-slow".to_vec()));
    let health = b"GET /health HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n";
    assert!(say(address, health.to_vec()).await.ends_with("ok\n"), "others are served meanwhile");
    let answer = slow.await.unwrap();
    assert!(answer.is_empty() || answer.starts_with("HTTP/1.1 408"), "{answer}");
    let mut flood =
        b"POST /v1/enrol HTTP/1.1\r\nhost: x\r\nconnection: close\r\ncontent-length: 10000000000\r\n\r\n".to_vec();
    flood.resize(200_000, b'x');
    assert!(say(address, flood).await.starts_with("HTTP/1.1 413"));
    assert!(say(address, b"\x16\x03\x01 this is no HTTP\r\n\r\n".to_vec()).await.starts_with("HTTP/1.1 400"));
    assert!(say(address, health.to_vec()).await.ends_with("ok\n"));
    close.send(()).unwrap();
    served.await.unwrap();
    assert!(TcpStream::connect(address).is_err(), "a closed office takes nobody in");
}

#[tokio::test(flavor = "multi_thread")]
async fn an_office_that_closes_finishes_what_was_begun() {
    let desk = set_up();
    let token = desk.let_in("harbour-vale", "device-1").await;
    let (address, close, served) = listen(&desk, Limits::default()).await;
    let body = to_enter(FIRMS[0], "one");
    let head = format!(
        "POST /v1/receipts HTTP/1.1\r\nhost: x\r\nauthorization: Bearer {token}\r\nconnection: close\r\ncontent-length: {}\r\n\r\n",
        body.len()
    );
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(head.as_bytes()).unwrap();
    stream.write_all(&body.as_bytes()[..20]).unwrap();
    // The office has met the request when it serves a later one.
    assert!(
        say(address, b"GET /health HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n".to_vec()).await.ends_with("ok\n")
    );
    close.send(()).unwrap();
    stream.write_all(&body.as_bytes()[20..]).unwrap();
    let answer = tokio::task::spawn_blocking(move || {
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    });
    let answer = answer.await.unwrap();
    assert!(answer.starts_with("HTTP/1.1 200") && answer.contains("c2sp.org/tlog-proof@v1"), "{answer}");
    served.await.unwrap();
    assert!(Path::new(&desk.folder.path().join("public/harbour-vale/checkpoint")).exists());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_full_office_closes_all_the_same() {
    let desk = set_up();
    let limits = Limits { connections: 1, head: Duration::from_hours(1), ..Limits::default() };
    // Whether the office has met who stands outside before it is told to close is up to the machine: so, many times.
    for _ in 0..20 {
        let (address, close, served) = listen(&desk, limits).await;
        let mut inside = TcpStream::connect(address).unwrap();
        inside.write_all(b"GET /health HTTP/1.1\r\nhost: x\r\n\r\n").unwrap();
        let inside = tokio::task::spawn_blocking(move || {
            let mut first = [0; 12];
            inside.read_exact(&mut first).unwrap();
            assert_eq!(&first, b"HTTP/1.1 200");
            inside
        });
        let inside = inside.await.unwrap();
        let outside = TcpStream::connect(address).unwrap();
        close.send(()).unwrap();
        tokio::time::timeout(Duration::from_mins(1), served).await.expect("it closes").unwrap();
        drop((inside, outside));
    }
}
