//! The office as devices meet it while they sync, and as those meet it who mean harm. Histories with bad luck are elsewhere.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex},
    time::Duration,
};

use axum::{
    Router,
    body::{Body, to_bytes},
    http::{Request, StatusCode, header},
};
use chrono::{DateTime, Utc};
use model::{Carried, Change, Entry, EntryId, Sha256};
use seal::certificate::Role;
use serde_json::{Value, json};
use server::{
    Devices as _, EntryRows as _, FirmId, FolderBlobs, FolderShelf, Office, OfficeWorld, SqliteRows,
    conformance::{blobs_keep_to_their_word, entries_are_seen_in_one_order, entries_keep_to_their_word},
    digest_token, routes,
};
use sync::{Answer, Ask, Follow, MOST_ENTRY_BYTES, PIECE_BYTES, content_digest};
use tower::ServiceExt as _;

struct World(Mutex<u64>);

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        "2026-11-24T10:00:00Z".parse().unwrap()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()> {
        let mut drawn = self.0.lock().unwrap();
        *drawn += 1;
        let digest = Sha256::of(&drawn.to_be_bytes());
        bytes.copy_from_slice(&digest.as_bytes()[..bytes.len()]);
        Ok(())
    }
}

struct Desk {
    _folder: tempfile::TempDir,
    rows: Arc<SqliteRows>,
    routes: Router,
}

fn firm(name: &str) -> FirmId {
    name.parse().unwrap()
}

/// A device of one firm and one of another; a token is the device's name.
fn set_up() -> Desk {
    let folder = tempfile::tempdir().unwrap();
    let rows = Arc::new(SqliteRows::open(&folder.path().join("office.sqlite")).unwrap());
    let now = "2026-11-24T10:00:00Z".parse().unwrap();
    for (of, device, code) in
        [("harbour-vale", "device-ines", 1), ("harbour-vale", "device-tomas", 2), ("north-bay", "device-away", 3)]
    {
        rows.open_code(&firm(of), &[code; 32], ("a phone", Role::Inspector), DateTime::<Utc>::MAX_UTC, 5).unwrap();
        assert!(rows.let_in(&firm(of), &[code; 32], device, &digest_token(device), now).unwrap());
    }
    let office = Office {
        rows: Arc::clone(&rows) as _,
        shelf: Arc::new(FolderShelf::open(&folder.path().join("public")).unwrap()),
        blobs: Arc::new(FolderBlobs::open(&folder.path().join("blobs")).unwrap()),
        logs: BTreeMap::new(),
        pages: None,
        stamps: false,
        world: Arc::new(World(Mutex::new(0))),
        tell: Box::new(|_| {}),
    };
    Desk { _folder: folder, rows, routes: routes(Arc::new(office), Duration::from_secs(30)) }
}

impl Desk {
    async fn send(&self, method: &str, path: &str, token: &str, body: Vec<u8>, digest: &str) -> (StatusCode, Vec<u8>) {
        let request = Request::builder()
            .method(method)
            .uri(path)
            .header(header::AUTHORIZATION, format!("Bearer {token}"))
            .header("content-digest", digest)
            .body(Body::from(body))
            .unwrap();
        let response = self.routes.clone().oneshot(request).await.unwrap();
        let status = response.status();
        (status, to_bytes(response.into_body(), 8 << 20).await.unwrap().to_vec())
    }

    async fn ask(&self, method: &str, path: &str, token: &str, body: Vec<u8>) -> (StatusCode, Vec<u8>) {
        let digest = content_digest(&body);
        self.send(method, path, token, body, &digest).await
    }

    async fn tell(&self, token: &str, seen: u64, entries: &[Carried]) -> (StatusCode, Vec<u8>) {
        let own = entries.last().map_or(0, |entry| entry.id.seq);
        let ask = Ask { seen, own, entries: entries.to_vec(), ..Ask::default() };
        self.ask("POST", "/v1/sync", token, serde_json::to_vec(&ask).unwrap()).await
    }

    async fn hear(&self, token: &str, entries: &[Carried]) -> Answer {
        let (status, body) = self.tell(token, 0, entries).await;
        assert_eq!(status, StatusCode::OK, "{}", String::from_utf8_lossy(&body));
        serde_json::from_slice(&body).unwrap()
    }

    fn taken(&self, of: &str) -> usize {
        self.rows.part(&firm(of), 0, (&"nobody".parse().unwrap(), 0), usize::MAX).unwrap().entries.len()
    }
}

fn entry(device: &str, seq: u64, path: &str, value: Value) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: device.parse().unwrap(), seq },
        inspection: "inspection-1".parse().unwrap(),
        path: path.to_owned(),
        value,
        replaces: Vec::new(),
        change: Change::Written,
        written_at: "2026-11-24T10:00:00+01:00".parse().unwrap(),
        author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
        salt: model::Salt::new([3; 16]),
    })
}

fn words(device: &str, seq: u64) -> Carried {
    entry(device, seq, "car.description", json!(format!("as written {seq}")))
}

fn photograph(device: &str, seq: u64, bytes: &[u8]) -> Carried {
    entry(device, seq, "photographs.photo-0001", json!({"sha256": Sha256::of(bytes)}))
}

#[test]
fn sqlite_and_a_folder_keep_to_their_word() {
    let folder = tempfile::tempdir().unwrap();
    let rows = SqliteRows::open(&folder.path().join("office.sqlite")).unwrap();
    entries_keep_to_their_word(&rows);
    entries_are_seen_in_one_order(&rows);
    blobs_keep_to_their_word(&FolderBlobs::open(&folder.path().join("blobs")).unwrap());
}

#[tokio::test]
async fn what_one_device_tells_another_of_the_firm_hears_and_nobody_else() {
    let desk = set_up();
    let row = [words("device-ines", 1), words("device-ines", 2)];
    for _ in 0..2 {
        let told = desk.hear("device-ines", &row).await;
        assert_eq!((told.held, told.seen, told.entries.len()), (2, 2, 0), "its own are not told back");
    }
    assert_eq!(desk.hear("device-tomas", &[]).await.entries, row);
    assert_eq!(desk.hear("device-away", &[]).await.entries, []);
    // A device that lost what it wrote hears its own again.
    assert_eq!(desk.hear("device-ines", &[]).await.entries, row);
    let later = desk.hear("device-ines", &row[..1]).await;
    assert_eq!((later.entries, later.held), (row[1..].to_vec(), 2));
}

#[tokio::test]
async fn a_photograph_goes_over_in_pieces_and_comes_back_the_same() {
    let desk = set_up();
    let bytes: Vec<u8> = (0..PIECE_BYTES * 2 + 5).map(|nth| (nth * 7 % 253) as u8).collect();
    let sha256 = Sha256::of(&bytes);
    let path = |nth: usize| format!("/v1/blobs/{sha256}/{nth}");
    let pieces: Vec<&[u8]> = bytes.chunks(PIECE_BYTES as usize).collect();
    assert_eq!(desk.ask("PUT", &path(0), "device-ines", pieces[0].to_vec()).await.0, StatusCode::NOT_FOUND);
    let told = desk.hear("device-ines", &[photograph("device-ines", 1, &bytes)]).await;
    assert_eq!((told.wants.len(), &told.wants[0].sha256, told.wants[0].pieces.len()), (1, &sha256, 0));
    assert_eq!(desk.ask("PUT", &path(2), "device-ines", pieces[2].to_vec()).await.0, StatusCode::NO_CONTENT);
    let told = desk.hear("device-ines", &[photograph("device-ines", 1, &bytes)]).await;
    assert_eq!(told.wants[0].pieces, [2], "the office says where to go on");
    for nth in [0, 1] {
        assert_eq!(desk.ask("PUT", &path(nth), "device-ines", pieces[nth].to_vec()).await.0, StatusCode::NO_CONTENT);
    }
    assert_eq!(desk.ask("GET", &path(0), "device-tomas", Vec::new()).await.0, StatusCode::NOT_FOUND, "not whole yet");
    let finish = serde_json::to_vec(&json!({"length": bytes.len()})).unwrap();
    let whole = format!("/v1/blobs/{sha256}");
    for _ in 0..2 {
        assert_eq!(desk.ask("POST", &whole, "device-ines", finish.clone()).await.0, StatusCode::NO_CONTENT);
    }
    for (nth, piece) in pieces.iter().enumerate() {
        let (status, got) = desk.ask("GET", &path(nth), "device-tomas", Vec::new()).await;
        assert!(status == StatusCode::OK && got == *piece, "piece {nth}");
    }
    assert_eq!(desk.ask("GET", &path(0), "device-away", Vec::new()).await.0, StatusCode::NOT_FOUND, "another firm's");
    assert!(desk.hear("device-ines", &[]).await.wants.is_empty());
}

/// A copy of a notebook that was put back lacks what was taken since, and the office names only so many at once.
#[tokio::test]
async fn all_that_is_wanted_is_named_behind_what_a_device_does_not_have() {
    let desk = set_up();
    let all: Vec<_> = (1..=100).map(|seq| photograph("device-ines", seq, &seq.to_be_bytes())).collect();
    let mut named: Vec<Sha256> = desk.hear("device-ines", &all).await.wants.iter().map(|one| one.sha256).collect();
    assert!(named.len() < all.len(), "not all at once");
    while let Some(last) = named.last().copied() {
        let ask = Ask { own: 100, wants_after: Some(last), ..Ask::default() };
        let (_, body) = desk.ask("POST", "/v1/sync", "device-ines", serde_json::to_vec(&ask).unwrap()).await;
        let more = serde_json::from_slice::<Answer>(&body).unwrap().wants;
        if more.is_empty() {
            break;
        }
        named.extend(more.iter().map(|one| one.sha256));
    }
    let mut expected: Vec<Sha256> = (1..=100_u64).map(|seq| Sha256::of(&seq.to_be_bytes())).collect();
    expected.sort();
    assert_eq!(named, expected);
}

#[tokio::test]
async fn a_liar_gets_nothing_in() {
    let desk = set_up();
    desk.hear("device-ines", &[words("device-ines", 1)]).await;
    let mut other_digest = words("device-ines", 2);
    other_digest.body_digest = Sha256::of(b"no such body");
    let mut linked = words("device-ines", 2);
    linked.link = Some(Sha256::of(b"a link of its own"));
    let long = entry("device-ines", 2, "car.description", json!("x".repeat(MOST_ENTRY_BYTES)));
    let lies = [
        ("another's name", vec![words("device-tomas", 1)]),
        ("another firm's", vec![words("device-away", 1)]),
        ("a digest of something else", vec![other_digest]),
        ("a link of its own", vec![linked]),
        ("number nought", vec![words("device-ines", 0)]),
        ("a gap inside", vec![words("device-ines", 2), words("device-ines", 4)]),
        ("backwards", vec![words("device-ines", 2), words("device-ines", 1)]),
        ("one that is too long", vec![long]),
    ];
    for (what, entries) in &lies {
        let (status, body) = desk.tell("device-ines", 0, entries).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{what}: {}", String::from_utf8_lossy(&body));
        assert_eq!(desk.taken("harbour-vale"), 1, "{what}");
    }
    // A gap before is no lie: the office says how far the row goes, and takes nothing.
    let ahead = desk.hear("device-ines", &[words("device-ines", 7)]).await;
    assert_eq!((ahead.held, desk.taken("harbour-vale")), (1, 1));
    // Half a lie is one: nothing of it is taken.
    let (status, _) = desk.tell("device-ines", 0, &[words("device-ines", 2), words("device-tomas", 3)]).await;
    assert_eq!((status, desk.taken("harbour-vale")), (StatusCode::UNPROCESSABLE_ENTITY, 1));

    let forked = entry("device-ines", 1, "car.description", json!("something else"));
    let (status, body) = desk.tell("device-ines", 0, &[forked.clone(), words("device-ines", 2)]).await;
    assert_eq!((status, body), (StatusCode::CONFLICT, br#"{"at":1}"#.to_vec()));
    assert_eq!(desk.taken("harbour-vale"), 1);
    let forks = desk.rows.forks(&firm("harbour-vale")).unwrap();
    assert_eq!(forks.iter().map(|fork| &fork.entry).collect::<Vec<_>>(), [&forked], "it is kept as evidence");

    let ask = serde_json::to_vec(&Ask { own: 2, entries: vec![words("device-ines", 2)], ..Ask::default() }).unwrap();
    let digest = content_digest(&ask);
    for digest in [content_digest(b"other bytes"), String::new(), format!("sha-512{}", &digest[7..])] {
        let (status, _) = desk.send("POST", "/v1/sync", "device-ines", ask.clone(), &digest).await;
        assert_eq!((status, desk.taken("harbour-vale")), (StatusCode::CONFLICT, 1), "{digest:?}");
    }
    for body in [&b"{"[..], b"[]", br#"{"seen":-1}"#, b"\xff\xfe"] {
        let (status, _) = desk.ask("POST", "/v1/sync", "device-ines", body.to_vec()).await;
        assert_eq!(status, StatusCode::BAD_REQUEST);
    }
    let (status, _) = desk.ask("POST", "/v1/sync", "device-ines", vec![b' '; 4 << 20]).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn wrong_pieces_are_thrown_away_and_spoil_nobody_elses() {
    let desk = set_up();
    let bytes = b"a photograph of both".to_vec();
    let sha256 = Sha256::of(&bytes);
    let (piece, whole) = (format!("/v1/blobs/{sha256}/0"), format!("/v1/blobs/{sha256}"));
    let finish = serde_json::to_vec(&json!({"length": bytes.len()})).unwrap();
    for device in ["device-ines", "device-tomas"] {
        desk.hear(device, &[photograph(device, 1, &bytes)]).await;
    }
    let wrong = b"something else, long".to_vec();
    assert_eq!(desk.ask("PUT", &piece, "device-ines", wrong).await.0, StatusCode::NO_CONTENT);
    assert_eq!(desk.ask("PUT", &piece, "device-tomas", bytes.clone()).await.0, StatusCode::NO_CONTENT);
    assert_eq!(desk.ask("POST", &whole, "device-ines", finish.clone()).await.0, StatusCode::CONFLICT);
    assert_eq!(desk.hear("device-ines", &[]).await.wants[0].pieces, Vec::<u64>::new(), "told to begin anew");
    assert_eq!(desk.ask("POST", &whole, "device-tomas", finish.clone()).await.0, StatusCode::NO_CONTENT);
    assert_eq!(desk.ask("GET", &piece, "device-ines", Vec::new()).await.1, bytes);
    let large = vec![0; PIECE_BYTES as usize + 1];
    assert_eq!(desk.ask("PUT", &piece, "device-ines", large).await.0, StatusCode::PAYLOAD_TOO_LARGE);
    let nobody = Sha256::of(b"nobody speaks of it");
    let finish_nobody = desk.ask("POST", &format!("/v1/blobs/{nobody}"), "device-ines", finish).await;
    assert_eq!(finish_nobody.0, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn every_address_wants_a_token_that_counts() {
    let desk = set_up();
    desk.rows.shut_out(&firm("harbour-vale"), "device-tomas", "2026-11-24T11:00:00Z".parse().unwrap()).unwrap();
    let sha256 = Sha256::of(b"any");
    for (method, path) in [
        ("POST", "/v1/sync".to_owned()),
        ("POST", "/v1/follow".to_owned()),
        ("POST", format!("/v1/blobs/{sha256}")),
        ("PUT", format!("/v1/blobs/{sha256}/0")),
        ("GET", format!("/v1/blobs/{sha256}/0")),
    ] {
        for token in ["", "device-tomas", "no such device"] {
            assert_eq!(
                desk.ask(method, &path, token, Vec::new()).await.0,
                StatusCode::UNAUTHORIZED,
                "{path} {token:?}"
            );
        }
    }
}

#[tokio::test]
async fn a_device_whose_row_forked_goes_on_under_another_name() {
    let desk = set_up();
    desk.hear("device-ines", &[words("device-ines", 1)]).await;
    let token = "7".repeat(64);
    let follow = |device: &str, token: &str| {
        serde_json::to_vec(&Follow { device: device.parse().unwrap(), token: token.to_owned() }).unwrap()
    };
    for _ in 0..2 {
        let (status, _) = desk.ask("POST", "/v1/follow", "device-ines", follow("device-ines-2", &token)).await;
        assert_eq!(status, StatusCode::NO_CONTENT);
    }
    assert_eq!(desk.hear(&token, &[words("device-ines-2", 1)]).await.held, 1);
    for (name, token) in [("device-tomas", "8".repeat(64)), ("device-ines-2", "9".repeat(64))] {
        let (status, _) = desk.ask("POST", "/v1/follow", "device-ines", follow(name, &token)).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{name} is somebody already");
        assert_eq!(desk.tell(&token, 0, &[]).await.0, StatusCode::UNAUTHORIZED);
    }
    let (status, _) = desk.ask("POST", "/v1/follow", "device-ines", follow("device-new", "short")).await;
    assert_eq!(status, StatusCode::BAD_REQUEST);
}
