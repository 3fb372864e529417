//! A store that fails at any one of its calls while a device tells and sends, before its effect or after it: the device asks
//! again, and in the end everything is there once.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod fuse;

use std::{
    collections::BTreeMap,
    sync::{
        Arc,
        atomic::{AtomicI64, Ordering},
    },
    time::Duration,
};

use axum::{
    Router,
    body::{Body, to_bytes},
    http::{Request, header},
};
use chrono::{DateTime, Utc};
use fuse::{Failing, Fuse};
use model::{Carried, Change, Entry, EntryId, Salt, Sha256};
use serde_json::{Value, json};
use server::{
    Blobs as _, Devices as _, EntryRows as _, FirmId, FolderBlobs, FolderShelf, Office, OfficeWorld, SqliteRows,
    digest_token, routes,
};
use sync::{Answer, Ask, Finish, PIECE_BYTES, content_digest};
use tower::ServiceExt as _;

const DEVICE: &str = "device-ines";
/// No device needs more turns after one fault.
const MOST_TURNS: usize = 4;

struct World;

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        "2026-11-24T10:00:00Z".parse().unwrap()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()> {
        bytes.fill(7);
        Ok(())
    }
}

fn firm() -> FirmId {
    "harbour-vale".parse().unwrap()
}

fn entry(seq: u64, path: &str, value: Value) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: DEVICE.parse().unwrap(), seq },
        inspection: "inspection-1".parse().unwrap(),
        path: path.to_owned(),
        value,
        replaces: Vec::new(),
        change: Change::Written,
        written_at: "2026-11-24T10:00:00+01:00".parse().unwrap(),
        author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
        salt: Salt::new([3; 16]),
    })
}

async fn ask(routes: &Router, method: &str, path: &str, body: &[u8]) -> (u16, Vec<u8>) {
    let request = Request::builder()
        .method(method)
        .uri(path)
        .header(header::AUTHORIZATION, format!("Bearer {DEVICE}"))
        .header("content-digest", content_digest(body));
    let response = routes.clone().oneshot(request.body(Body::from(body.to_vec())).unwrap()).await.unwrap();
    let status = response.status().as_u16();
    (status, to_bytes(response.into_body(), 8 << 20).await.unwrap().to_vec())
}

/// A turn of a device from what it thinks that the office has; whether all of it was answered well, and what it then knows.
async fn tell(routes: &Router, row: &[Carried], photograph: &[u8], held: &mut u64, whole: &mut bool) -> bool {
    let entries = row[*held as usize..].to_vec();
    let told = serde_json::to_vec(&Ask { own: row.len() as u64, entries, ..Ask::default() }).unwrap();
    let (status, answer) = ask(routes, "POST", "/v1/sync", &told).await;
    if status != 200 {
        assert_eq!(status, 503, "a fault is answered as one");
        return false;
    }
    let answer: Answer = serde_json::from_slice(&answer).unwrap();
    assert!(answer.held >= *held, "what was acknowledged is lost");
    assert!(!*whole || answer.wants.is_empty(), "a photograph was acknowledged and is asked for again");
    *held = answer.held;
    for wanted in answer.wants {
        let path = format!("/v1/blobs/{}", wanted.sha256);
        for (nth, piece) in (0..).zip(photograph.chunks(PIECE_BYTES as usize)) {
            if !wanted.pieces.contains(&nth) && ask(routes, "PUT", &format!("{path}/{nth}"), piece).await.0 != 204 {
                return false;
            }
        }
        let finish = serde_json::to_vec(&Finish { length: photograph.len() as u64 }).unwrap();
        if ask(routes, "POST", &path, &finish).await.0 != 204 {
            return false;
        }
        *whole = true;
    }
    true
}

/// Lives with a fault at this call; whether there was one.
async fn live(nth: i64, persisted: bool) -> bool {
    let folder = tempfile::tempdir().unwrap();
    let rows = Arc::new(SqliteRows::open(&folder.path().join("office.sqlite")).unwrap());
    let blobs = Arc::new(FolderBlobs::open(&folder.path().join("blobs")).unwrap());
    rows.open_code(&firm(), &[1; 32], ("a phone", seal::certificate::Role::Inspector), DateTime::<Utc>::MAX_UTC, 5)
        .unwrap();
    assert!(rows.let_in(&firm(), &[1; 32], DEVICE, &digest_token(DEVICE), World.now()).unwrap());
    let fuse = Arc::new(Fuse { left: AtomicI64::new(nth), persisted });
    let office = Office {
        rows: Arc::new(Failing { store: Arc::clone(&rows), fuse: Arc::clone(&fuse) }),
        shelf: Arc::new(FolderShelf::open(&folder.path().join("public")).unwrap()),
        blobs: Arc::new(Failing { store: Arc::clone(&blobs), fuse: Arc::clone(&fuse) }),
        logs: BTreeMap::new(),
        pages: None,
        stamps: false,
        world: Arc::new(World),
        tell: Box::new(|_| {}),
    };
    let routes = routes(Arc::new(office), Duration::from_mins(1));
    let photograph: Vec<u8> = (0..PIECE_BYTES + 77).map(|nth| (nth * 31 % 251) as u8).collect();
    let row = [
        entry(1, "car.description", json!("as written")),
        entry(2, "photographs.photo-0001", json!({ "sha256": Sha256::of(&photograph) })),
        entry(3, "car.description", json!("as written later")),
    ];
    let (mut held, mut whole, mut turns) = (0, false, 0);
    while !(tell(&routes, &row, &photograph, &mut held, &mut whole).await && held == 3) {
        turns += 1;
        assert!(turns < MOST_TURNS, "call {nth}: the device does not come to an end");
    }
    let has_failed = fuse.left.load(Ordering::SeqCst) < 0;
    let taken = rows.part(&firm(), 0, (&"nobody".parse().unwrap(), 0), usize::MAX).unwrap();
    assert_eq!(taken.entries, row, "call {nth}: once each, in their order");
    let sha256 = Sha256::of(&photograph);
    let pieces: Vec<u8> =
        (0..2).flat_map(|piece| blobs.piece(&firm(), &sha256, piece).unwrap().expect("it is there")).collect();
    assert!(pieces == photograph, "call {nth}: other bytes");
    assert!(rows.forks(&firm()).unwrap().is_empty());
    assert_eq!(blobs.staged(&firm(), &DEVICE.parse().unwrap(), &sha256).unwrap(), Vec::<u64>::new());
    has_failed
}

#[tokio::test]
async fn a_fault_at_any_call_of_the_stores_loses_nothing_and_doubles_nothing() {
    for persisted in [false, true] {
        let mut faults = 0;
        while live(faults, persisted).await {
            faults += 1;
            assert!(faults < 200, "a session of so many calls was not meant");
        }
        assert!(faults > 12, "only {faults} calls were made to fail");
    }
}
