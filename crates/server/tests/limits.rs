//! Whoever wants more of the office than his part gets an answer that says so, and others are served meanwhile.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod counter;

use std::{
    io::{Read as _, Write as _},
    net::{SocketAddr, TcpStream},
    time::Duration,
};

use counter::{DEVICES, HEALTH, by, open, request, say};
use server::{Limits, Rate};

/// No body that an address takes is larger, with what the machine holds between two programs.
const MOST_READ: usize = 24 << 20;

fn status(answer: &str) -> &str {
    answer.get(9..12).unwrap_or("none")
}

#[tokio::test(flavor = "multi_thread")]
async fn a_body_that_comes_drop_by_drop_is_not_waited_for() {
    let limits = Limits { answer: Duration::from_millis(300), ..Limits::default() };
    let counter = open(limits).await;
    for path in ["/v1/enrol", "/v1/sync"] {
        let slow = request("POST", path, &format!("{}content-length: 500\r\n", by(DEVICES[0])), "{\"code\"");
        let answer = counter.say(slow).await;
        assert!(answer.starts_with("HTTP/1.1 408") && answer.contains("too-slow"), "{answer}");
    }
    assert!(counter.say(HEALTH).await.ends_with("ok\n"));
    counter.close().await;
}

/// As over a link of which a driveway has little. What comes at all is waited for longer than a small request.
#[tokio::test(flavor = "multi_thread")]
async fn a_piece_of_a_photograph_may_come_slowly() {
    let counter = open(Limits { answer: Duration::from_millis(300), ..Limits::default() }).await;
    let address = counter.address;
    let send = move |device: &str| {
        let mut stream = TcpStream::connect(address).unwrap();
        let path = format!("/v1/blobs/{}/0", "0".repeat(64));
        let head = request("PUT", &path, &format!("{}content-length: 1000\r\n", by(device)), "");
        stream.write_all(head.as_bytes()).unwrap();
        for _ in 0..4 {
            std::thread::sleep(Duration::from_millis(150));
            // Whoever is not waited for finds the door closed.
            drop(stream.write_all(&[b' '; 250]));
        }
        say(&mut stream, b"")
    };
    let answers = tokio::task::spawn_blocking(move || (send(DEVICES[0]), send("nobody")));
    let (answer, stranger) = answers.await.unwrap();
    assert_eq!(status(&answer), "404", "it was read to its end, and nobody asked for it: {answer}");
    assert!(stranger.is_empty() || status(&stranger) == "408", "{stranger}");
    counter.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_body_that_says_ten_gigabytes_is_refused_before_a_byte_of_it() {
    let counter = open(Limits::default()).await;
    for (method, path) in [("POST", "/v1/enrol"), ("POST", "/v1/sync"), ("PUT", "/v1/blobs/00/0"), ("GET", "/health")] {
        let answer = counter.say(request(method, path, "content-length: 10000000000\r\n", "")).await;
        assert!(answer.starts_with("HTTP/1.1 413") && answer.contains("too-large"), "{path}: {answer}");
    }
    counter.close().await;
}

/// Every address, as the office's own document has it: one that is added is walked as well.
fn addresses() -> Vec<String> {
    let document = server::describe_api();
    let found: Vec<String> = document["paths"].as_object().unwrap().keys().cloned().collect();
    assert!(found.len() > 7 && found.iter().any(|path| path == "/v1/blobs/{sha256}/{nth}"), "{found:?}");
    found
}

/// Sends a body without an end for as long as it is taken; how many bytes that were, and what came back.
fn pour(address: SocketAddr, head: &str) -> (usize, String) {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(head.as_bytes()).unwrap();
    let piece = [&b"10000\r\n"[..], &vec![b' '; 0x10000], b"\r\n"].concat();
    let mut taken = 0;
    while taken < MOST_READ && stream.write_all(&piece).is_ok() {
        taken += piece.len();
    }
    (taken, say(&mut stream, b""))
}

#[tokio::test(flavor = "multi_thread")]
async fn no_address_reads_a_body_that_never_ends() {
    let counter = open(Limits { connections: 8, ..Limits::default() }).await;
    for path in addresses() {
        let path = path
            .replace("{firm}", "firm")
            .replace("{path}", "checkpoint")
            .replace("{sha256}", &"0".repeat(64))
            .replace(['{', '}'], "");
        for method in ["GET", "POST", "PUT", "DELETE", "PATCH"] {
            let head = request(method, &path, &format!("{}transfer-encoding: chunked\r\n", by(DEVICES[0])), "");
            let address = counter.address;
            let (taken, answer) = tokio::task::spawn_blocking(move || pour(address, &head)).await.unwrap();
            assert!(taken < MOST_READ, "{method} {path} read {taken} bytes and more");
            assert!(!answer.starts_with("HTTP/1.1 5"), "{method} {path}: {answer}");
            assert!(method == "GET" || !answer.starts_with("HTTP/1.1 2"), "{method} {path}: {answer}");
        }
    }
    assert!(counter.say(HEALTH).await.ends_with("ok\n"));
    counter.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_method_that_an_address_does_not_know_is_answered_as_nothing_there() {
    let counter = open(Limits::default()).await;
    for (method, path) in [
        ("DELETE", "/health"),
        ("PATCH", "/v1/sync"),
        ("GET", "/v1/enrol"),
        ("TRACE", "/v1/receipts"),
        ("OPTIONS", "/v1/blobs/00/0"),
        ("BREW", "/ready"),
    ] {
        let answer = counter.say(request(method, path, &by(DEVICES[0]), "")).await;
        assert!(answer.starts_with("HTTP/1.1 404") && answer.contains("not-there"), "{method} {path}: {answer}");
    }
    counter.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_may_be_said_once_is_not_taken_twice() {
    let counter = open(Limits::default()).await;
    let digest = "content-digest: sha-256=:x:\r\n".repeat(2);
    for twice in [by(DEVICES[0]) + &by(DEVICES[1]), digest, "host: y\r\n".to_owned()] {
        let answer = counter.say(request("POST", "/v1/sync", &format!("{twice}content-length: 2\r\n"), "{}")).await;
        assert!(answer.starts_with("HTTP/1.1 400") && answer.contains("said-twice"), "{twice}: {answer}");
    }
    for lengths in ["content-length: 2\r\ncontent-length: 3\r\n", "content-length: 2\r\ntransfer-encoding: chunked\r\n"]
    {
        let answer = counter.say(request("POST", "/v1/sync", lengths, "{}")).await;
        assert!(status(&answer).starts_with('4'), "two lengths are two requests to two readers: {answer}");
    }
    counter.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn whoever_asks_too_often_is_told_how_long_to_wait() {
    let rates = |address, device, enrol| {
        let [address, device, enrol] = [address, device, enrol].map(|per_minute| Rate { per_minute });
        Limits { address, device, enrol, ..Limits::default() }
    };
    // Guessing at codes ends sooner than anything else.
    let counter = open(rates(1000, 1000, 3)).await;
    let guess = request("POST", "/v1/enrol", "content-length: 2\r\n", "{}");
    for _ in 0..3 {
        assert_eq!(status(&counter.say(guess.clone()).await), "400");
    }
    let answer = counter.say(guess).await;
    let seconds = answer.split("retry-after: ").nth(1).and_then(|rest| rest.split("\r\n").next());
    let seconds: u64 = seconds.unwrap_or_else(|| panic!("{answer}")).parse().unwrap();
    assert!(answer.starts_with("HTTP/1.1 429") && (1..=21).contains(&seconds), "{answer}");
    assert!(counter.say(HEALTH).await.ends_with("ok\n"), "other addresses of the office are open to him");
    counter.close().await;
    // One device's hurry is not another's.
    let counter = open(rates(1000, 2, 3)).await;
    let sync = |device| request("POST", "/v1/sync", &format!("{}content-length: 2\r\n", by(device)), "{}");
    let mut seen = Vec::new();
    for device in [DEVICES[0], DEVICES[0], DEVICES[0], DEVICES[1]] {
        seen.push(status(&counter.say(sync(device)).await).to_owned());
    }
    assert_eq!(seen, ["409", "409", "429", "409"]);
    counter.close().await;
    let counter = open(rates(2, 1000, 3)).await;
    let mut seen = Vec::new();
    for _ in 0..3 {
        seen.push(status(&counter.say(HEALTH).await).to_owned());
    }
    assert_eq!(seen, ["200", "200", "429"]);
    counter.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn one_address_alone_does_not_fill_the_office() {
    let counter = open(Limits { connections: 4, head: Duration::from_hours(1), ..Limits::default() }).await;
    let address = counter.address;
    let taken = tokio::task::spawn_blocking(move || {
        let mut inside: Vec<TcpStream> = (0..2).map(|_| TcpStream::connect(address).unwrap()).collect();
        for stream in &mut inside {
            stream.write_all(b"GET /health HTTP/1.1\r\nhost: x\r\n\r\n").unwrap();
            let mut first = [0; 12];
            stream.read_exact(&mut first).unwrap();
            assert_eq!(&first, b"HTTP/1.1 200");
        }
        // Half of the room is taken by this address; a third connection is closed without a word.
        assert_eq!(say(&mut TcpStream::connect(address).unwrap(), HEALTH), "");
        // One that leaves makes room; the office sees that in its own time.
        inside.pop();
        loop {
            let answer = say(&mut TcpStream::connect(address).unwrap(), HEALTH);
            if !answer.is_empty() {
                return (answer, inside);
            }
        }
    });
    assert!(taken.await.unwrap().0.ends_with("ok\n"));
    counter.close().await;
}
